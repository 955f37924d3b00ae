-- One private address of a calendar feed for each person; a new one ends the
-- old. Only the SHA-256 of its token is kept.
CREATE TABLE calendar_link (
    user_id    INTEGER PRIMARY KEY NOT NULL REFERENCES user (id),
    created_at INTEGER NOT NULL,
    token_sha  BLOB NOT NULL UNIQUE CHECK (length(token_sha) = 32)
) STRICT;
