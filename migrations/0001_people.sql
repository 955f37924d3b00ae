-- People, their sessions, and the two records every area writes to.
-- Instants are whole milliseconds since 1970 in UTC (…_at). Civil dates are TEXT.

CREATE TABLE user (
    id            INTEGER PRIMARY KEY NOT NULL,
    sign_in       TEXT NOT NULL UNIQUE CHECK (sign_in = lower(sign_in) AND length(sign_in) BETWEEN 2 AND 60),
    name          TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 120),
    phone         TEXT NOT NULL DEFAULT '',
    role          TEXT NOT NULL CHECK (role IN ('owner', 'office', 'foreman', 'carpenter')),
    password_hash TEXT NOT NULL,
    disabled_at   INTEGER,
    version       INTEGER NOT NULL DEFAULT 1,
    created_at    INTEGER NOT NULL,
    created_by    INTEGER REFERENCES user (id)
) STRICT;

CREATE TABLE session (
    id         INTEGER PRIMARY KEY NOT NULL,
    user_id    INTEGER NOT NULL REFERENCES user (id),
    token_sha  BLOB NOT NULL UNIQUE CHECK (length(token_sha) = 32),
    agent      TEXT NOT NULL,
    created_at INTEGER NOT NULL,
    seen_at    INTEGER NOT NULL,
    asked_at   INTEGER NOT NULL
) STRICT;
CREATE INDEX session_user ON session (user_id);

CREATE TABLE invite (
    id         INTEGER PRIMARY KEY NOT NULL,
    code_sha   BLOB NOT NULL UNIQUE CHECK (length(code_sha) = 32),
    name       TEXT NOT NULL,
    role       TEXT NOT NULL CHECK (role IN ('owner', 'office', 'foreman', 'carpenter')),
    created_at INTEGER NOT NULL,
    created_by INTEGER NOT NULL REFERENCES user (id),
    used_at    INTEGER,
    used_by    INTEGER REFERENCES user (id)
) STRICT;

-- One row for each failed sign-in, by account name typed and by address.
CREATE TABLE sign_in_miss (
    id   INTEGER PRIMARY KEY NOT NULL,
    what TEXT NOT NULL CHECK (what IN ('account', 'address')),
    who  TEXT NOT NULL,
    at   INTEGER NOT NULL
) STRICT;
CREATE INDEX sign_in_miss_who ON sign_in_miss (what, who, at);

-- A form that was taken: its key stands in the same transaction as its effect.
CREATE TABLE posted_key (
    user_id    INTEGER NOT NULL REFERENCES user (id),
    key        TEXT NOT NULL CHECK (length(key) BETWEEN 16 AND 64),
    body_sha   BLOB NOT NULL CHECK (length(body_sha) = 32),
    reply      TEXT NOT NULL,
    created_at INTEGER NOT NULL,
    PRIMARY KEY (user_id, key)
) STRICT, WITHOUT ROWID;
CREATE INDEX posted_key_age ON posted_key (created_at);

-- What was done, by whom. Rows are added and never touched again.
CREATE TABLE audit (
    id      INTEGER PRIMARY KEY NOT NULL,
    at      INTEGER NOT NULL,
    user_id INTEGER REFERENCES user (id),
    event   TEXT NOT NULL,
    thing   TEXT NOT NULL,
    thing_id INTEGER,
    detail  TEXT NOT NULL DEFAULT '{}' CHECK (json_valid(detail))
) STRICT;
CREATE INDEX audit_thing ON audit (thing, thing_id);

CREATE TRIGGER audit_no_update BEFORE UPDATE ON audit
BEGIN SELECT RAISE(ABORT, 'audit rows are never changed'); END;
CREATE TRIGGER audit_no_delete BEFORE DELETE ON audit
BEGIN SELECT RAISE(ABORT, 'audit rows are never removed'); END;
