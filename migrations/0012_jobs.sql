-- One piece of work at one address.
CREATE TABLE job (
    id           INTEGER NOT NULL PRIMARY KEY,
    client_id    INTEGER NOT NULL REFERENCES client (id),
    code         TEXT    NOT NULL COLLATE NOCASE UNIQUE,
    title        TEXT    NOT NULL,
    site_address TEXT    NOT NULL,
    access       TEXT    NOT NULL DEFAULT '',
    site_contact TEXT    NOT NULL DEFAULT '',
    year_built   INTEGER CHECK (year_built BETWEEN 1500 AND 2200),
    historic     INTEGER NOT NULL DEFAULT 0 CHECK (historic IN (0, 1)),
    zone         TEXT    NOT NULL DEFAULT '',
    foreman_id   INTEGER REFERENCES user (id),
    first_day    TEXT,
    last_day     TEXT,
    terms        TEXT    NOT NULL DEFAULT '',
    note         TEXT    NOT NULL DEFAULT '',
    version      INTEGER NOT NULL DEFAULT 1,
    created_at   INTEGER NOT NULL,
    created_by   INTEGER REFERENCES user (id),
    archived_at  INTEGER,
    CHECK (last_day IS NULL OR first_day IS NULL OR last_day >= first_day)
) STRICT;

CREATE INDEX job_client ON job (client_id);
CREATE INDEX job_foreman ON job (foreman_id);
