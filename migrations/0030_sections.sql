-- The shelf of moulding sections. A section's drawing is kept in editions,
-- exactly as curves; an edition never changes, so that a head which took one
-- can always name it.

CREATE TABLE section (
    id          INTEGER PRIMARY KEY NOT NULL,
    created_at  INTEGER NOT NULL,
    created_by  INTEGER REFERENCES user (id),
    version     INTEGER NOT NULL DEFAULT 1 CHECK (version > 0),
    archived_at INTEGER,
    name        TEXT NOT NULL COLLATE NOCASE UNIQUE CHECK (length(name) BETWEEN 1 AND 120),
    note        TEXT NOT NULL DEFAULT '',
    -- the edition that counts now
    edition     INTEGER NOT NULL DEFAULT 1 CHECK (edition > 0)
) STRICT;

CREATE TABLE section_edition (
    section_id INTEGER NOT NULL REFERENCES section (id),
    edition    INTEGER NOT NULL CHECK (edition > 0),
    created_at INTEGER NOT NULL,
    created_by INTEGER REFERENCES user (id),
    -- how it was given: parts, points, path, dxf, rip, raked
    made_of    TEXT NOT NULL CHECK (made_of IN ('parts', 'points', 'path', 'dxf', 'rip', 'raked')),
    -- the curves, with a form number of their own
    drawing    TEXT NOT NULL CHECK (json_valid(drawing)),
    -- what was typed, to change it again
    typed      TEXT NOT NULL CHECK (json_valid(typed)),
    PRIMARY KEY (section_id, edition)
) STRICT, WITHOUT ROWID;
CREATE TRIGGER section_edition_never_changes BEFORE UPDATE ON section_edition
BEGIN SELECT RAISE(ABORT, 'section_edition is append-only'); END;
CREATE TRIGGER section_edition_never_goes BEFORE DELETE ON section_edition
BEGIN SELECT RAISE(ABORT, 'section_edition is append-only'); END;

CREATE TABLE section_event (
    id         INTEGER PRIMARY KEY NOT NULL,
    created_at INTEGER NOT NULL,
    created_by INTEGER REFERENCES user (id),
    section_id INTEGER NOT NULL REFERENCES section (id),
    what       TEXT NOT NULL CHECK (what IN ('created', 'renamed', 'redrawn', 'noted', 'archived',
                   'brought-back')),
    -- the edition once this had happened
    edition    INTEGER NOT NULL CHECK (edition > 0),
    -- the name before a renaming
    old_value  TEXT
) STRICT;
CREATE INDEX section_event_by_section ON section_event (section_id, id);
CREATE TRIGGER section_event_never_changes BEFORE UPDATE ON section_event
BEGIN SELECT RAISE(ABORT, 'section_event is append-only'); END;
CREATE TRIGGER section_event_never_goes BEFORE DELETE ON section_event
BEGIN SELECT RAISE(ABORT, 'section_event is append-only'); END;
