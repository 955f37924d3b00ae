-- Photos of openings and of heads. The pictures lie as files in the data
-- folder's `photos`, made anew by the program; here stands what they show.
CREATE TABLE photo (
    id          INTEGER PRIMARY KEY NOT NULL,
    created_at  INTEGER NOT NULL,
    created_by  INTEGER REFERENCES user (id),
    version     INTEGER NOT NULL DEFAULT 1,
    archived_at INTEGER,
    opening_id  INTEGER NOT NULL REFERENCES opening (id),
    -- NULL: of the opening itself
    head_id     INTEGER REFERENCES head (id),
    kind        TEXT NOT NULL CHECK (kind IN ('before', 'wall', 'after', 'found')),
    caption     TEXT NOT NULL DEFAULT '' CHECK (length(caption) <= 200),
    -- the photo before the work that this one stands beside
    beside_id   INTEGER REFERENCES photo (id),
    -- the files' name without its ending; random, so that it cannot be guessed
    name        TEXT NOT NULL UNIQUE CHECK (length(name) = 32),
    width       INTEGER NOT NULL CHECK (width > 0),
    height      INTEGER NOT NULL CHECK (height > 0)
) STRICT;
CREATE INDEX photo_of_opening ON photo (opening_id, id);
CREATE INDEX photo_of_person ON photo (created_by, created_at);
