-- Permits and historic-district certificates of a job.
CREATE TABLE permit (
    id          INTEGER PRIMARY KEY NOT NULL,
    created_at  INTEGER NOT NULL,
    created_by  INTEGER REFERENCES user (id),
    version     INTEGER NOT NULL DEFAULT 1,
    archived_at INTEGER,
    job_id      INTEGER NOT NULL REFERENCES job (id),
    kind        TEXT NOT NULL CHECK (kind IN ('building', 'certificate', 'street', 'other')),
    authority   TEXT NOT NULL CHECK (length(authority) BETWEEN 1 AND 120),
    number      TEXT NOT NULL DEFAULT '',
    state       TEXT NOT NULL CHECK (state IN ('needed', 'applied', 'granted', 'refused', 'closed')),
    conditions  TEXT NOT NULL DEFAULT '',
    granted_on  TEXT,
    -- the last day on which it holds
    expires_on  TEXT,
    note        TEXT NOT NULL DEFAULT '',
    CHECK (state <> 'granted' OR granted_on IS NOT NULL)
) STRICT;
CREATE INDEX permit_of_job ON permit (job_id, id);
