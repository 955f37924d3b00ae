-- Painters, scaffolders and sheet-metal people who are not on the payroll:
-- what they do on which job and when, and the private links to just that.
CREATE TABLE outside_firm (
    id            INTEGER PRIMARY KEY NOT NULL,
    created_at    INTEGER NOT NULL,
    created_by    INTEGER REFERENCES user (id),
    version       INTEGER NOT NULL DEFAULT 1,
    archived_at   INTEGER,
    name          TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 120),
    trade         TEXT NOT NULL CHECK (trade IN ('painter', 'scaffolder', 'sheet-metal', 'other')),
    contact       TEXT NOT NULL DEFAULT '',
    phone         TEXT NOT NULL DEFAULT '',
    email         TEXT NOT NULL DEFAULT '',
    -- the last day that its insurance paper covers
    insured_until TEXT,
    note          TEXT NOT NULL DEFAULT ''
) STRICT;

CREATE TABLE outside_work (
    id          INTEGER PRIMARY KEY NOT NULL,
    created_at  INTEGER NOT NULL,
    created_by  INTEGER REFERENCES user (id),
    version     INTEGER NOT NULL DEFAULT 1,
    archived_at INTEGER,
    job_id      INTEGER NOT NULL REFERENCES job (id),
    firm_id     INTEGER NOT NULL REFERENCES outside_firm (id),
    first_day   TEXT,
    last_day    TEXT,
    -- what they do; their link shows it
    does        TEXT NOT NULL CHECK (length(does) > 0),
    -- for the crew only
    note        TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX outside_work_of_job ON outside_work (job_id, id);

CREATE TABLE outside_link (
    id         INTEGER PRIMARY KEY NOT NULL,
    created_at INTEGER NOT NULL,
    created_by INTEGER REFERENCES user (id),
    work_id    INTEGER NOT NULL REFERENCES outside_work (id),
    -- SHA-256 of the token: the token itself is shown once and kept nowhere
    token_sha  BLOB NOT NULL UNIQUE CHECK (length(token_sha) = 32),
    expires_at INTEGER NOT NULL,
    revoked_at INTEGER
) STRICT;
