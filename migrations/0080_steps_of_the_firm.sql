-- The firm's list of steps becomes its own to change; a change to a head can be
-- taken back for a few seconds; a piece can be made again.

ALTER TABLE head_step ADD COLUMN version INTEGER NOT NULL DEFAULT 1;
-- A step is never removed: what happened at it still names it.
ALTER TABLE head_step ADD COLUMN retired_at INTEGER;

-- What a head needs before it may reach a step.
CREATE TABLE head_step_gate (
    step_id INTEGER NOT NULL REFERENCES head_step (id),
    gate    TEXT NOT NULL CHECK (gate IN ('approval', 'material', 'permit', 'safety', 'photo')),
    PRIMARY KEY (step_id, gate)
) STRICT, WITHOUT ROWID;

INSERT INTO head_step_gate (step_id, gate) VALUES
    (3, 'approval'), (4, 'permit'), (5, 'material'), (5, 'safety'), (8, 'safety'), (8, 'photo');

-- The same record with two more things that may happen, and with how the head
-- stood before, so that the change can be taken back.
CREATE TABLE head_event_new (
    id           INTEGER PRIMARY KEY NOT NULL,
    created_at   INTEGER NOT NULL,
    created_by   INTEGER REFERENCES user (id),
    head_id      INTEGER NOT NULL REFERENCES head (id),
    -- the head's version once this had happened
    head_version INTEGER NOT NULL CHECK (head_version > 0),
    what         TEXT NOT NULL CHECK (what IN ('created', 'renamed', 'redrawn', 'moved', 'held',
                     'released', 'sent-back', 'not-needed', 'needed', 'assigned', 'measured',
                     'archived', 'brought-back', 'again', 'undone')),
    from_step    INTEGER REFERENCES head_step (id),
    to_step      INTEGER REFERENCES head_step (id),
    person_id    INTEGER REFERENCES user (id),
    reason       TEXT,
    old_value    TEXT,
    new_value    TEXT,
    before       TEXT CHECK (before IS NULL OR json_valid(before))
) STRICT;
INSERT INTO head_event_new (id, created_at, created_by, head_id, head_version, what, from_step,
                            to_step, person_id, reason, old_value, new_value)
SELECT id, created_at, created_by, head_id, head_version, what, from_step, to_step, person_id,
       reason, old_value, new_value FROM head_event;
DROP TABLE head_event;
ALTER TABLE head_event_new RENAME TO head_event;
CREATE INDEX head_event_by_head ON head_event (head_id, id);
CREATE TRIGGER head_event_never_changes BEFORE UPDATE ON head_event
BEGIN SELECT RAISE(ABORT, 'head_event is append-only'); END;
CREATE TRIGGER head_event_never_goes BEFORE DELETE ON head_event
BEGIN SELECT RAISE(ABORT, 'head_event is append-only'); END;

-- Why a piece is to be made again: its tick is then taken back.
ALTER TABLE piece_tick ADD COLUMN again_reason TEXT
    CHECK (again_reason IS NULL OR (done = 0 AND length(again_reason) > 0));
