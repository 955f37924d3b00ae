-- Facts from the bench: pieces ticked off, and what the board really measured.

-- The latest row of a piece and sheet version says whether it is done.
CREATE TABLE piece_tick (
    id            INTEGER PRIMARY KEY NOT NULL,
    created_at    INTEGER NOT NULL,
    created_by    INTEGER REFERENCES user (id),
    head_id       INTEGER NOT NULL REFERENCES head (id),
    sheet_version INTEGER NOT NULL CHECK (sheet_version > 0),
    label         TEXT NOT NULL CHECK (length(label) BETWEEN 1 AND 120),
    done          INTEGER NOT NULL CHECK (done IN (0, 1))
) STRICT;
CREATE INDEX piece_tick_by_head ON piece_tick (head_id, sheet_version, label, id);
CREATE TRIGGER piece_tick_never_changes BEFORE UPDATE ON piece_tick
BEGIN SELECT RAISE(ABORT, 'piece_tick is append-only'); END;
CREATE TRIGGER piece_tick_never_goes BEFORE DELETE ON piece_tick
BEGIN SELECT RAISE(ABORT, 'piece_tick is append-only'); END;

-- The latest row of a head is its as-built; NULL: not measured, as drawn.
CREATE TABLE measured (
    id            INTEGER PRIMARY KEY NOT NULL,
    created_at    INTEGER NOT NULL,
    created_by    INTEGER REFERENCES user (id),
    head_id       INTEGER NOT NULL REFERENCES head (id),
    -- typed as the trade does, checked on the way in and out: JSON of the
    -- contract's `as_built`, `null` when the head goes back to as drawn
    as_built      TEXT NOT NULL CHECK (json_valid(as_built)),
    note          TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX measured_by_head ON measured (head_id, id);
CREATE TRIGGER measured_never_changes BEFORE UPDATE ON measured
BEGIN SELECT RAISE(ABORT, 'measured is append-only'); END;
CREATE TRIGGER measured_never_goes BEFORE DELETE ON measured
BEGIN SELECT RAISE(ABORT, 'measured is append-only'); END;
