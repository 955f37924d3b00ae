-- Saws of the firm and of its people: who uses one, how sprung crown is held
-- on it, what test cuts showed, and which saw a person works at.

-- NULL: everyone's.
ALTER TABLE saw ADD COLUMN user_id INTEGER REFERENCES user (id);
-- The crew, van or bench it belongs to, in words.
ALTER TABLE saw ADD COLUMN used_by TEXT NOT NULL DEFAULT '' CHECK (length(used_by) <= 120);
-- '': as the head's design says.
ALTER TABLE saw ADD COLUMN sprung TEXT NOT NULL DEFAULT '' CHECK (sprung IN ('', 'flat', 'nested'));

-- What a test cut measured. Never changed: the latest of a saw, an axis and a
-- side is the offset in use.
CREATE TABLE saw_test (
    id           INTEGER PRIMARY KEY NOT NULL,
    created_at   INTEGER NOT NULL,
    created_by   INTEGER REFERENCES user (id),
    saw_id       INTEGER NOT NULL REFERENCES saw (id),
    day          TEXT NOT NULL,
    axis         TEXT NOT NULL CHECK (axis IN ('swing', 'tilt')),
    -- swing: the way the handle goes; tilt: the way the blade's top leans
    side         TEXT NOT NULL CHECK (side IN ('left', 'right')),
    set_deg      REAL NOT NULL CHECK (set_deg BETWEEN 0 AND 89),
    measured_deg REAL NOT NULL CHECK (measured_deg BETWEEN 0 AND 90),
    note         TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX saw_test_by_saw ON saw_test (saw_id, id);
CREATE TRIGGER saw_test_never_changes BEFORE UPDATE ON saw_test
BEGIN SELECT RAISE(ABORT, 'saw_test is append-only'); END;
CREATE TRIGGER saw_test_never_goes BEFORE DELETE ON saw_test
BEGIN SELECT RAISE(ABORT, 'saw_test is append-only'); END;

-- The saw a person works at; no row: the firm's usual one.
CREATE TABLE person_saw (
    user_id   INTEGER PRIMARY KEY NOT NULL REFERENCES user (id),
    saw_id    INTEGER NOT NULL REFERENCES saw (id),
    chosen_at INTEGER NOT NULL
) STRICT;
