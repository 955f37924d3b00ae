-- People who ask for work, the visits paid to them.
-- Days and times of day are text (YYYY-MM-DD, HH:MM): a person chose them, in
-- the firm's own time zone.
CREATE TABLE client (
    id          INTEGER NOT NULL PRIMARY KEY,
    name        TEXT    NOT NULL,
    firm        TEXT    NOT NULL DEFAULT '',
    phone       TEXT    NOT NULL DEFAULT '',
    email       TEXT    NOT NULL DEFAULT '',
    address     TEXT    NOT NULL DEFAULT '',
    heard_of    TEXT    NOT NULL DEFAULT '',
    note        TEXT    NOT NULL DEFAULT '',
    version     INTEGER NOT NULL DEFAULT 1,
    created_at  INTEGER NOT NULL,
    created_by  INTEGER REFERENCES user (id),
    archived_at INTEGER
) STRICT;

CREATE INDEX client_name ON client (name COLLATE NOCASE);

CREATE TABLE enquiry (
    id          INTEGER NOT NULL PRIMARY KEY,
    name        TEXT    NOT NULL,
    phone       TEXT    NOT NULL DEFAULT '',
    email       TEXT    NOT NULL DEFAULT '',
    heard_of    TEXT    NOT NULL DEFAULT '',
    wants       TEXT    NOT NULL,
    day         TEXT    NOT NULL,
    state       TEXT    NOT NULL DEFAULT 'new'
                CHECK (state IN ('new', 'visit-agreed', 'won', 'not-ours')),
    reason      TEXT    NOT NULL DEFAULT '',
    client_id   INTEGER REFERENCES client (id),
    version     INTEGER NOT NULL DEFAULT 1,
    created_at  INTEGER NOT NULL,
    created_by  INTEGER REFERENCES user (id),
    archived_at INTEGER,
    CHECK (state <> 'not-ours' OR reason <> '')
) STRICT;

CREATE INDEX enquiry_day ON enquiry (day);
CREATE INDEX enquiry_client ON enquiry (client_id);
