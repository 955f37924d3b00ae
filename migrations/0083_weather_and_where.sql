-- Where a head or its cut pieces stand, the limits of glue and paint, and the
-- weather of a day.

-- The newest row of a head counts.
CREATE TABLE head_stand (
    id         INTEGER PRIMARY KEY NOT NULL,
    created_at INTEGER NOT NULL,
    created_by INTEGER REFERENCES user (id),
    head_id    INTEGER NOT NULL REFERENCES head (id),
    words      TEXT NOT NULL CHECK (length(words) BETWEEN 1 AND 300)
) STRICT;
CREATE INDEX head_stand_by_head ON head_stand (head_id, id);
CREATE TRIGGER head_stand_never_changes BEFORE UPDATE ON head_stand
BEGIN SELECT RAISE(ABORT, 'where a head stood is never changed'); END;
CREATE TRIGGER head_stand_never_goes BEFORE DELETE ON head_stand
BEGIN SELECT RAISE(ABORT, 'where a head stood is never removed'); END;

-- What the maker's data sheet of a glue, primer or paint asks of the day.
CREATE TABLE weather_limit (
    id         INTEGER PRIMARY KEY NOT NULL,
    created_at INTEGER NOT NULL,
    created_by INTEGER REFERENCES user (id),
    name       TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 120),
    step_id    INTEGER NOT NULL REFERENCES head_step (id),
    -- degrees Fahrenheit
    low_f      REAL CHECK (low_f BETWEEN -100 AND 250),
    high_f     REAL CHECK (high_f BETWEEN -100 AND 250),
    dry        INTEGER NOT NULL CHECK (dry IN (0, 1)),
    retired_at INTEGER,
    CHECK (low_f IS NULL OR high_f IS NULL OR low_f <= high_f)
) STRICT;

-- What a day is expected to be: the newest row of a day counts.
CREATE TABLE weather_day (
    id         INTEGER PRIMARY KEY NOT NULL,
    created_at INTEGER NOT NULL,
    created_by INTEGER REFERENCES user (id),
    day        TEXT NOT NULL,
    low_f      REAL NOT NULL CHECK (low_f BETWEEN -100 AND 250),
    high_f     REAL NOT NULL CHECK (high_f BETWEEN -100 AND 250),
    wet        INTEGER NOT NULL CHECK (wet IN (0, 1)),
    CHECK (low_f <= high_f)
) STRICT;
CREATE INDEX weather_day_by_day ON weather_day (day, id);
