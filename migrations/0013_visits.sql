-- A call paid to a client, before a job exists or for one of the client's jobs.
CREATE TABLE visit (
    id          INTEGER NOT NULL PRIMARY KEY,
    client_id   INTEGER NOT NULL REFERENCES client (id),
    job_id      INTEGER REFERENCES job (id),
    goes_id     INTEGER REFERENCES user (id),
    day         TEXT    NOT NULL,
    time        TEXT    NOT NULL DEFAULT '',
    purpose     TEXT    NOT NULL,
    key_with    TEXT    NOT NULL DEFAULT '',
    access      TEXT    NOT NULL DEFAULT '',
    contact     TEXT    NOT NULL DEFAULT '',
    outcome     TEXT    NOT NULL DEFAULT '',
    version     INTEGER NOT NULL DEFAULT 1,
    created_at  INTEGER NOT NULL,
    created_by  INTEGER REFERENCES user (id),
    archived_at INTEGER
) STRICT;

CREATE INDEX visit_client ON visit (client_id);
CREATE INDEX visit_job ON visit (job_id);
CREATE INDEX visit_day ON visit (day);
