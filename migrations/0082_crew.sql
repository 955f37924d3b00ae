-- The crew's plan, absences, lost days, pattern heads, hours and notes.

-- One step of one head, planned for a carpenter and a day.
CREATE TABLE plan_slot (
    id         INTEGER PRIMARY KEY NOT NULL,
    created_at INTEGER NOT NULL,
    created_by INTEGER REFERENCES user (id),
    version    INTEGER NOT NULL DEFAULT 1,
    head_id    INTEGER NOT NULL REFERENCES head (id),
    step_id    INTEGER NOT NULL REFERENCES head_step (id),
    user_id    INTEGER NOT NULL REFERENCES user (id),
    day        TEXT NOT NULL,
    UNIQUE (head_id, step_id)
) STRICT;
CREATE INDEX plan_slot_by_day ON plan_slot (day, user_id);

CREATE TABLE absence (
    id         INTEGER PRIMARY KEY NOT NULL,
    created_at INTEGER NOT NULL,
    created_by INTEGER REFERENCES user (id),
    user_id    INTEGER NOT NULL REFERENCES user (id),
    first_day  TEXT NOT NULL,
    last_day   TEXT NOT NULL CHECK (last_day >= first_day),
    reason     TEXT NOT NULL CHECK (reason IN ('sick', 'holiday', 'school', 'other')),
    ended_at   INTEGER
) STRICT;
CREATE INDEX absence_by_day ON absence (first_day, last_day);

-- A day on which a job (or, without one, the whole firm) could not work.
CREATE TABLE lost_day (
    id         INTEGER PRIMARY KEY NOT NULL,
    created_at INTEGER NOT NULL,
    created_by INTEGER REFERENCES user (id),
    job_id     INTEGER REFERENCES job (id),
    day        TEXT NOT NULL,
    reason     TEXT NOT NULL CHECK (length(reason) BETWEEN 1 AND 300),
    -- temporary cover left on the wall, if any
    cover      TEXT NOT NULL DEFAULT '',
    moved      INTEGER NOT NULL CHECK (moved >= 0)
) STRICT;
CREATE TRIGGER lost_day_never_changes BEFORE UPDATE ON lost_day
BEGIN SELECT RAISE(ABORT, 'a lost day is never changed'); END;
CREATE TRIGGER lost_day_never_goes BEFORE DELETE ON lost_day
BEGIN SELECT RAISE(ABORT, 'a lost day is never removed'); END;

-- A head whose twins wait until it has been built and fitted.
CREATE TABLE head_pattern (
    head_id    INTEGER PRIMARY KEY NOT NULL REFERENCES head (id),
    pattern_id INTEGER NOT NULL REFERENCES head (id),
    until_step INTEGER NOT NULL REFERENCES head_step (id),
    created_at INTEGER NOT NULL,
    created_by INTEGER REFERENCES user (id),
    CHECK (pattern_id <> head_id)
) STRICT;

-- Waiting for the pattern head is one more thing a step may ask for.
CREATE TABLE head_step_gate_new (
    step_id INTEGER NOT NULL REFERENCES head_step (id),
    gate    TEXT NOT NULL CHECK (gate IN ('approval', 'material', 'permit', 'safety', 'photo', 'pattern')),
    PRIMARY KEY (step_id, gate)
) STRICT, WITHOUT ROWID;
INSERT INTO head_step_gate_new SELECT step_id, gate FROM head_step_gate;
DROP TABLE head_step_gate;
ALTER TABLE head_step_gate_new RENAME TO head_step_gate;
INSERT OR IGNORE INTO head_step_gate (step_id, gate) SELECT id, 'pattern' FROM head_step WHERE name = 'cut';

-- Hours worked. A correction is a row that replaces another; 0 minutes strike
-- it out. Nothing is ever changed.
CREATE TABLE hours (
    id         INTEGER PRIMARY KEY NOT NULL,
    created_at INTEGER NOT NULL,
    created_by INTEGER NOT NULL REFERENCES user (id),
    user_id    INTEGER NOT NULL REFERENCES user (id),
    job_id     INTEGER NOT NULL REFERENCES job (id),
    head_id    INTEGER REFERENCES head (id),
    step_id    INTEGER REFERENCES head_step (id),
    day        TEXT NOT NULL,
    minutes    INTEGER NOT NULL CHECK (minutes BETWEEN 0 AND 1440),
    timed      INTEGER NOT NULL DEFAULT 0 CHECK (timed IN (0, 1)),
    note       TEXT NOT NULL DEFAULT '',
    replaces   INTEGER UNIQUE REFERENCES hours (id)
) STRICT;
CREATE INDEX hours_by_day ON hours (day, user_id);
CREATE INDEX hours_by_head ON hours (head_id) WHERE head_id IS NOT NULL;
CREATE TRIGGER hours_never_change BEFORE UPDATE ON hours
BEGIN SELECT RAISE(ABORT, 'hours are corrected by a new row'); END;
CREATE TRIGGER hours_never_go BEFORE DELETE ON hours
BEGIN SELECT RAISE(ABORT, 'hours are corrected by a new row'); END;

-- The one timer of a person that runs.
CREATE TABLE timer (
    user_id    INTEGER PRIMARY KEY NOT NULL REFERENCES user (id),
    started_at INTEGER NOT NULL,
    head_id    INTEGER NOT NULL REFERENCES head (id),
    step_id    INTEGER REFERENCES head_step (id)
) STRICT;

-- A note on a job or one of its heads, for one person or for all who see it.
CREATE TABLE note (
    id         INTEGER PRIMARY KEY NOT NULL,
    created_at INTEGER NOT NULL,
    created_by INTEGER NOT NULL REFERENCES user (id),
    job_id     INTEGER NOT NULL REFERENCES job (id),
    head_id    INTEGER REFERENCES head (id),
    to_id      INTEGER REFERENCES user (id),
    words      TEXT NOT NULL CHECK (length(words) > 0)
) STRICT;
CREATE INDEX note_by_job ON note (job_id, id);
CREATE INDEX note_by_person ON note (to_id, id) WHERE to_id IS NOT NULL;
CREATE TRIGGER note_never_changes BEFORE UPDATE ON note
BEGIN SELECT RAISE(ABORT, 'a note is never changed'); END;
CREATE TABLE note_seen (
    note_id INTEGER PRIMARY KEY NOT NULL REFERENCES note (id),
    seen_at INTEGER NOT NULL,
    seen_by INTEGER NOT NULL REFERENCES user (id)
) STRICT;
