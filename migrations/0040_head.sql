-- Heads: the design as typed, the step reached, and the record of what
-- happened. Facts that happened are rows that never change.

-- The firm's own list of steps, in order. A step's `name` is the trade's word.
CREATE TABLE head_step (
    id         INTEGER PRIMARY KEY NOT NULL,
    position   INTEGER NOT NULL UNIQUE CHECK (position > 0),
    name       TEXT NOT NULL UNIQUE CHECK (length(name) BETWEEN 1 AND 40),
    -- the office may record this step (goods ordered, bill sent)
    by_office  INTEGER NOT NULL DEFAULT 0 CHECK (by_office IN (0, 1)),
    -- a carpenter's work, so it is given to somebody
    by_hand    INTEGER NOT NULL DEFAULT 0 CHECK (by_hand IN (0, 1))
) STRICT;

INSERT INTO head_step (id, position, name, by_office, by_hand) VALUES
    (1, 1, 'measured', 0, 0),
    (2, 2, 'drawn', 0, 0),
    (3, 3, 'approved', 0, 0),
    (4, 4, 'ordered', 1, 0),
    (5, 5, 'cut', 0, 1),
    (6, 6, 'assembled', 0, 1),
    (7, 7, 'primed', 0, 1),
    (8, 8, 'hung', 0, 1),
    (9, 9, 'flashed', 0, 1),
    (10, 10, 'walked', 0, 0),
    (11, 11, 'billed', 1, 0);

CREATE TABLE head (
    id           INTEGER PRIMARY KEY NOT NULL,
    created_at   INTEGER NOT NULL,
    created_by   INTEGER REFERENCES user (id),
    version      INTEGER NOT NULL DEFAULT 1 CHECK (version > 0),
    archived_at  INTEGER,
    opening_id   INTEGER NOT NULL REFERENCES opening (id),
    name         TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 120),
    kind         TEXT NOT NULL,
    -- which form of the design's JSON this is, so that an old one can be read
    form_version INTEGER NOT NULL CHECK (form_version > 0),
    design       TEXT NOT NULL CHECK (json_valid(design)),
    -- goes up when the design or the as-built values change: ticks belong to it
    sheet_version INTEGER NOT NULL DEFAULT 1 CHECK (sheet_version > 0),
    step_id      INTEGER NOT NULL REFERENCES head_step (id),
    -- NULL when the head is not held
    held_reason  TEXT CHECK (held_reason IS NULL OR length(held_reason) > 0)
) STRICT;
CREATE INDEX head_by_opening ON head (opening_id);
CREATE INDEX head_by_step ON head (step_id) WHERE archived_at IS NULL;

-- What is planned for one step of one head: who does it, or that it is not
-- needed. No row: needed, and given to nobody yet.
CREATE TABLE head_stage (
    head_id     INTEGER NOT NULL REFERENCES head (id),
    step_id     INTEGER NOT NULL REFERENCES head_step (id),
    assignee_id INTEGER REFERENCES user (id),
    not_needed  INTEGER NOT NULL DEFAULT 0 CHECK (not_needed IN (0, 1)),
    PRIMARY KEY (head_id, step_id)
) STRICT, WITHOUT ROWID;
CREATE INDEX head_stage_by_assignee ON head_stage (assignee_id) WHERE assignee_id IS NOT NULL;

CREATE TABLE head_event (
    id           INTEGER PRIMARY KEY NOT NULL,
    created_at   INTEGER NOT NULL,
    created_by   INTEGER REFERENCES user (id),
    head_id      INTEGER NOT NULL REFERENCES head (id),
    -- the head's version once this had happened
    head_version INTEGER NOT NULL CHECK (head_version > 0),
    what         TEXT NOT NULL CHECK (what IN ('created', 'renamed', 'redrawn', 'moved', 'held',
                     'released', 'sent-back', 'not-needed', 'needed', 'assigned', 'measured',
                     'archived', 'brought-back')),
    from_step    INTEGER REFERENCES head_step (id),
    to_step      INTEGER REFERENCES head_step (id),
    person_id    INTEGER REFERENCES user (id),
    reason       TEXT,
    old_value    TEXT,
    new_value    TEXT
) STRICT;
CREATE INDEX head_event_by_head ON head_event (head_id, id);
CREATE TRIGGER head_event_never_changes BEFORE UPDATE ON head_event
BEGIN SELECT RAISE(ABORT, 'head_event is append-only'); END;
CREATE TRIGGER head_event_never_goes BEFORE DELETE ON head_event
BEGIN SELECT RAISE(ABORT, 'head_event is append-only'); END;
