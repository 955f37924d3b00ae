-- The firm's settings (one row) and its saws.

CREATE TABLE saw (
    id            INTEGER PRIMARY KEY NOT NULL,
    name          TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 80),
    swing_left_deg  REAL NOT NULL CHECK (swing_left_deg BETWEEN 0 AND 89),
    swing_right_deg REAL NOT NULL CHECK (swing_right_deg BETWEEN 0 AND 89),
    tilt_left_deg   REAL NOT NULL CHECK (tilt_left_deg BETWEEN 0 AND 89),
    tilt_right_deg  REAL NOT NULL CHECK (tilt_right_deg BETWEEN 0 AND 89),
    max_height_nm INTEGER NOT NULL CHECK (max_height_nm > 0),
    max_depth_nm  INTEGER NOT NULL CHECK (max_depth_nm > 0),
    kerf_nm       INTEGER NOT NULL CHECK (kerf_nm > 0),
    version       INTEGER NOT NULL DEFAULT 1,
    archived_at   INTEGER,
    created_at    INTEGER NOT NULL,
    created_by    INTEGER REFERENCES user (id)
) STRICT;

CREATE TABLE firm (
    id             INTEGER PRIMARY KEY NOT NULL CHECK (id = 1),
    name           TEXT NOT NULL,
    zone           TEXT NOT NULL,
    unit           TEXT NOT NULL CHECK (unit IN ('in', 'mm')),
    fraction       INTEGER NOT NULL CHECK (fraction IN (16, 32)),
    short_piece_nm INTEGER NOT NULL CHECK (short_piece_nm > 0),
    saw_id         INTEGER NOT NULL REFERENCES saw (id),
    version        INTEGER NOT NULL DEFAULT 1
) STRICT;

-- 50° each way, 45° to the left, 4 in at the fence, 8 in on the bed, 1/8 in kerf:
-- a plain sliding saw, to be set right by the owner.
INSERT INTO saw (id, name, swing_left_deg, swing_right_deg, tilt_left_deg, tilt_right_deg,
                 max_height_nm, max_depth_nm, kerf_nm, created_at)
VALUES (1, 'Shop saw', 50, 50, 45, 0, 101600000, 203200000, 3175000, 0);

-- 6 in: common practice for the shortest piece a hand may hold.
INSERT INTO firm (id, name, zone, unit, fraction, short_piece_nm, saw_id)
VALUES (1, 'Our firm', 'America/New_York', 'in', 16, 152400000, 1);
