-- What a head is made of and the air that it lives in: the firm's usual, and
-- a head's own where it differs.

CREATE TABLE firm_material (
    id          INTEGER PRIMARY KEY NOT NULL CHECK (id = 1),
    version     INTEGER NOT NULL DEFAULT 1,
    material    TEXT NOT NULL CHECK (length(material) BETWEEN 1 AND 60),
    grain       TEXT NOT NULL CHECK (grain IN ('flat', 'quarter')),
    -- moisture of the wood in per cent: driest, at fixing, wettest
    dry         REAL NOT NULL CHECK (dry BETWEEN 0 AND 40),
    fixed_at    REAL NOT NULL CHECK (fixed_at BETWEEN 0 AND 40),
    wet         REAL NOT NULL CHECK (wet BETWEEN 0 AND 40),
    -- of the surface, degrees Fahrenheit
    cold_f      REAL NOT NULL CHECK (cold_f BETWEEN -100 AND 250),
    fixed_f     REAL NOT NULL CHECK (fixed_f BETWEEN -100 AND 250),
    hot_f       REAL NOT NULL CHECK (hot_f BETWEEN -100 AND 250)
) STRICT;
INSERT INTO firm_material (id, material, grain, dry, fixed_at, wet, cold_f, fixed_f, hot_f)
VALUES (1, 'western redcedar', 'flat', 8, 12, 16, 0, 60, 120);

CREATE TABLE head_material (
    head_id     INTEGER PRIMARY KEY NOT NULL REFERENCES head (id),
    created_at  INTEGER NOT NULL,
    created_by  INTEGER REFERENCES user (id),
    version     INTEGER NOT NULL DEFAULT 1,
    material    TEXT NOT NULL CHECK (length(material) BETWEEN 1 AND 60),
    grain       TEXT NOT NULL CHECK (grain IN ('flat', 'quarter')),
    dry         REAL NOT NULL CHECK (dry BETWEEN 0 AND 40),
    fixed_at    REAL NOT NULL CHECK (fixed_at BETWEEN 0 AND 40),
    wet         REAL NOT NULL CHECK (wet BETWEEN 0 AND 40),
    cold_f      REAL NOT NULL CHECK (cold_f BETWEEN -100 AND 250),
    fixed_f     REAL NOT NULL CHECK (fixed_f BETWEEN -100 AND 250),
    hot_f       REAL NOT NULL CHECK (hot_f BETWEEN -100 AND 250)
) STRICT;
