-- What became of cut pieces when their sheet was changed, and what was
-- decided of each. Facts: rows that never change.

CREATE TABLE piece_change (
    id            INTEGER PRIMARY KEY NOT NULL,
    created_at    INTEGER NOT NULL,
    created_by    INTEGER REFERENCES user (id),
    head_id       INTEGER NOT NULL REFERENCES head (id),
    from_version  INTEGER NOT NULL CHECK (from_version > 0),
    -- the sheet after the change
    to_version    INTEGER NOT NULL CHECK (to_version > from_version),
    label         TEXT NOT NULL CHECK (length(label) BETWEEN 1 AND 120),
    run           TEXT NOT NULL,
    -- the piece of the new sheet that it serves as; NULL: none
    now_label     TEXT,
    fate          TEXT NOT NULL CHECK (fate IN ('kept', 'recut', 'rack', 'scrap')),
    -- why it does not serve as it is, in words; empty if it does
    why           TEXT NOT NULL,
    -- left of it with both ends squared; NULL where that does not matter
    usable_nm     INTEGER CHECK (usable_nm >= 0)
) STRICT;
CREATE INDEX piece_change_by_head ON piece_change (head_id, to_version, id);
CREATE TRIGGER piece_change_never_changes BEFORE UPDATE ON piece_change
BEGIN SELECT RAISE(ABORT, 'piece_change is append-only'); END;
CREATE TRIGGER piece_change_never_goes BEFORE DELETE ON piece_change
BEGIN SELECT RAISE(ABORT, 'piece_change is append-only'); END;

-- The latest row of a change counts. A kept piece needs none.
CREATE TABLE piece_decision (
    id              INTEGER PRIMARY KEY NOT NULL,
    created_at      INTEGER NOT NULL,
    created_by      INTEGER REFERENCES user (id),
    piece_change_id INTEGER NOT NULL REFERENCES piece_change (id),
    decision        TEXT NOT NULL CHECK (decision IN ('recut', 'keep', 'rack', 'scrap')),
    note            TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX piece_decision_by_change ON piece_decision (piece_change_id, id);
CREATE TRIGGER piece_decision_never_changes BEFORE UPDATE ON piece_decision
BEGIN SELECT RAISE(ABORT, 'piece_decision is append-only'); END;
CREATE TRIGGER piece_decision_never_goes BEFORE DELETE ON piece_decision
BEGIN SELECT RAISE(ABORT, 'piece_decision is append-only'); END;
