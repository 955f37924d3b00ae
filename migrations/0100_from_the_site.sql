-- What phones sent from the site, some of it long after it was done there.

-- One row for each tick that a phone had queued: nothing sent is ever lost.
CREATE TABLE site_tick (
    id            INTEGER PRIMARY KEY NOT NULL,
    created_at    INTEGER NOT NULL,
    created_by    INTEGER REFERENCES user (id),
    head_id       INTEGER NOT NULL REFERENCES head (id),
    sheet_version INTEGER NOT NULL CHECK (sheet_version > 0),
    label         TEXT NOT NULL CHECK (length(label) BETWEEN 1 AND 120),
    done          INTEGER NOT NULL CHECK (done IN (0, 1)),
    -- by the phone's own clock, which may be wrong
    said_at       INTEGER NOT NULL,
    -- the sheet had changed: somebody must look
    late          INTEGER NOT NULL CHECK (late IN (0, 1))
) STRICT;
CREATE INDEX site_tick_by_head ON site_tick (head_id, id);
CREATE INDEX site_tick_by_person ON site_tick (created_by, id);
CREATE TRIGGER site_tick_never_changes BEFORE UPDATE ON site_tick
BEGIN SELECT RAISE(ABORT, 'site_tick is append-only'); END;
CREATE TRIGGER site_tick_never_goes BEFORE DELETE ON site_tick
BEGIN SELECT RAISE(ABORT, 'site_tick is append-only'); END;

-- What was decided about a late one.
CREATE TABLE site_tick_look (
    id            INTEGER PRIMARY KEY NOT NULL,
    created_at    INTEGER NOT NULL,
    created_by    INTEGER REFERENCES user (id),
    site_tick_id  INTEGER NOT NULL UNIQUE REFERENCES site_tick (id),
    counts        INTEGER NOT NULL CHECK (counts IN (0, 1))
) STRICT;
CREATE TRIGGER site_tick_look_never_changes BEFORE UPDATE ON site_tick_look
BEGIN SELECT RAISE(ABORT, 'site_tick_look is append-only'); END;
CREATE TRIGGER site_tick_look_never_goes BEFORE DELETE ON site_tick_look
BEGIN SELECT RAISE(ABORT, 'site_tick_look is append-only'); END;
