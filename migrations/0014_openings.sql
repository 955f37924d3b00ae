-- What a head goes over, and how it was measured. Lengths are whole nanometres.
CREATE TABLE opening (
    id              INTEGER NOT NULL PRIMARY KEY,
    job_id          INTEGER NOT NULL REFERENCES job (id),
    mark            TEXT    NOT NULL COLLATE NOCASE,
    kind            TEXT    NOT NULL CHECK (kind IN ('window', 'door', 'paired-windows', 'bay',
                            'shopfront', 'garage', 'arch', 'other')),
    storey          INTEGER NOT NULL CHECK (storey BETWEEN 0 AND 20),
    sill_height_nm  INTEGER,
    wall            TEXT    NOT NULL DEFAULT '',
    siding          TEXT    NOT NULL DEFAULT '',
    siding_depth_nm INTEGER CHECK (siding_depth_nm >= 0),
    clear_above_nm  INTEGER CHECK (clear_above_nm >= 0),
    note            TEXT    NOT NULL DEFAULT '',
    version         INTEGER NOT NULL DEFAULT 1,
    created_at      INTEGER NOT NULL,
    created_by      INTEGER REFERENCES user (id),
    archived_at     INTEGER,
    UNIQUE (job_id, mark)
) STRICT;

-- A measure is a fact: a new one is a new row, and the last row of each pass
-- counts.
CREATE TABLE survey (
    id               INTEGER NOT NULL PRIMARY KEY,
    opening_id       INTEGER NOT NULL REFERENCES opening (id),
    pass             TEXT    NOT NULL CHECK (pass IN ('first', 'second')),
    width_top_nm     INTEGER CHECK (width_top_nm > 0),
    width_middle_nm  INTEGER CHECK (width_middle_nm > 0),
    width_bottom_nm  INTEGER CHECK (width_bottom_nm > 0),
    height_left_nm   INTEGER CHECK (height_left_nm > 0),
    height_middle_nm INTEGER CHECK (height_middle_nm > 0),
    height_right_nm  INTEGER CHECK (height_right_nm > 0),
    rising_nm        INTEGER CHECK (rising_nm > 0),
    falling_nm       INTEGER CHECK (falling_nm > 0),
    plumb_nm         INTEGER CHECK (plumb_nm >= 0),
    plumb_lean       TEXT    NOT NULL DEFAULT '' CHECK (plumb_lean IN ('', 'out', 'in')),
    level_nm         INTEGER CHECK (level_nm >= 0),
    level_high       TEXT    NOT NULL DEFAULT '' CHECK (level_high IN ('', 'left', 'right')),
    measured_by      INTEGER NOT NULL REFERENCES user (id),
    measured_on      TEXT    NOT NULL,
    note             TEXT    NOT NULL DEFAULT '',
    created_at       INTEGER NOT NULL,
    created_by       INTEGER REFERENCES user (id)
) STRICT;

CREATE INDEX survey_opening ON survey (opening_id, pass, id);

CREATE TRIGGER survey_is_never_changed BEFORE UPDATE ON survey
BEGIN SELECT RAISE(ABORT, 'a survey is never changed'); END;

CREATE TRIGGER survey_is_never_removed BEFORE DELETE ON survey
BEGIN SELECT RAISE(ABORT, 'a survey is never removed'); END;
