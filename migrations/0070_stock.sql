-- What can be bought (shelf) and what lies there already (rack).
-- Lengths are whole nanometres, prices whole cents.

CREATE TABLE supplier (
    id          INTEGER PRIMARY KEY NOT NULL,
    created_at  INTEGER NOT NULL,
    created_by  INTEGER REFERENCES user (id),
    version     INTEGER NOT NULL DEFAULT 1 CHECK (version > 0),
    archived_at INTEGER,
    name        TEXT NOT NULL COLLATE NOCASE UNIQUE CHECK (length(name) BETWEEN 1 AND 120),
    phone       TEXT NOT NULL DEFAULT '',
    note        TEXT NOT NULL DEFAULT ''
) STRICT;

-- A board or a moulding, in whatever lengths it is sold.
CREATE TABLE stock_item (
    id           INTEGER PRIMARY KEY NOT NULL,
    created_at   INTEGER NOT NULL,
    created_by   INTEGER REFERENCES user (id),
    version      INTEGER NOT NULL DEFAULT 1 CHECK (version > 0),
    archived_at  INTEGER,
    name         TEXT NOT NULL COLLATE NOCASE UNIQUE CHECK (length(name) BETWEEN 1 AND 120),
    form         TEXT NOT NULL CHECK (form IN ('moulding', 'board')),
    material     TEXT NOT NULL DEFAULT '',
    -- the section in words; section_id names a drawn section once there is one
    section      TEXT NOT NULL DEFAULT '',
    section_id   INTEGER,
    nominal      TEXT NOT NULL DEFAULT '',
    -- dressed: a board's thickness and width, a moulding's projection and height
    thickness_nm INTEGER NOT NULL CHECK (thickness_nm > 0),
    width_nm     INTEGER NOT NULL CHECK (width_nm > 0),
    -- which ways round a piece may be taken from the stick
    flip         TEXT NOT NULL CHECK (flip IN ('fixed', 'turn', 'any')),
    -- mill runs differ to the eye: one visible run takes one batch only
    match_runs   INTEGER NOT NULL CHECK (match_runs IN (0, 1)),
    -- a left-over this long goes back to the rack
    keep_nm      INTEGER NOT NULL CHECK (keep_nm > 0),
    note         TEXT NOT NULL DEFAULT ''
) STRICT;

-- One length that one supplier sells.
CREATE TABLE stock_length (
    id          INTEGER PRIMARY KEY NOT NULL,
    created_at  INTEGER NOT NULL,
    created_by  INTEGER REFERENCES user (id),
    archived_at INTEGER,
    item_id     INTEGER NOT NULL REFERENCES stock_item (id),
    supplier_id INTEGER NOT NULL REFERENCES supplier (id),
    length_nm   INTEGER NOT NULL CHECK (length_nm > 0),
    price_cents INTEGER NOT NULL CHECK (price_cents >= 0),
    lead_days   INTEGER CHECK (lead_days BETWEEN 0 AND 365),
    UNIQUE (item_id, supplier_id, length_nm)
) STRICT;

-- One real stick in the firm's hands: an offcut, or a whole stick.
CREATE TABLE offcut (
    id         INTEGER PRIMARY KEY NOT NULL,
    created_at INTEGER NOT NULL,
    created_by INTEGER REFERENCES user (id),
    version    INTEGER NOT NULL DEFAULT 1 CHECK (version > 0),
    item_id    INTEGER NOT NULL REFERENCES stock_item (id),
    length_nm  INTEGER NOT NULL CHECK (length_nm > 0),
    -- ripped narrower than the item; NULL for its full width
    width_nm   INTEGER CHECK (width_nm > 0),
    place      TEXT NOT NULL DEFAULT '',
    -- kept for one job; NULL for anyone
    job_id     INTEGER REFERENCES job (id),
    -- the mill run; empty when nobody knows
    batch      TEXT NOT NULL DEFAULT '',
    -- bad stretches from its left end: [[from_nm, to_nm], …]
    defects    TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(defects)),
    note       TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX offcut_by_item ON offcut (item_id);

-- What happened to a stick on the rack. Rows are added and never changed; the
-- last row says where the stick stands. `nth` makes a race lose.
CREATE TABLE stock_move (
    id         INTEGER PRIMARY KEY NOT NULL,
    created_at INTEGER NOT NULL,
    created_by INTEGER REFERENCES user (id),
    offcut_id  INTEGER NOT NULL REFERENCES offcut (id),
    nth        INTEGER NOT NULL CHECK (nth > 0),
    what       TEXT NOT NULL CHECK (what IN ('racked', 'reserved', 'released', 'used', 'scrapped')),
    -- the lumber order it is reserved by, or was used for or left over from
    order_id   INTEGER,
    reason     TEXT NOT NULL DEFAULT '',
    UNIQUE (offcut_id, nth)
) STRICT;
CREATE INDEX stock_move_by_order ON stock_move (order_id) WHERE order_id IS NOT NULL;

CREATE TRIGGER stock_move_never_changes BEFORE UPDATE ON stock_move
BEGIN SELECT RAISE(ABORT, 'stock_move is append-only'); END;
CREATE TRIGGER stock_move_never_goes BEFORE DELETE ON stock_move
BEGIN SELECT RAISE(ABORT, 'stock_move is append-only'); END;

-- A stick is counted once: only a free one can be reserved, only one that is
-- still there used or scrapped.
CREATE TRIGGER stock_move_is_legal BEFORE INSERT ON stock_move
WHEN NOT EXISTS (
    SELECT 1 FROM (
        SELECT (SELECT what FROM stock_move WHERE offcut_id = new.offcut_id
                ORDER BY nth DESC LIMIT 1) AS last,
               (SELECT coalesce(max(nth), 0) FROM stock_move
                WHERE offcut_id = new.offcut_id) AS nth
    ) AS now
    WHERE new.nth = now.nth + 1
      AND CASE new.what
            WHEN 'racked' THEN now.last IS NULL OR now.last = 'scrapped'
            WHEN 'reserved' THEN now.last IN ('racked', 'released')
            WHEN 'released' THEN now.last = 'reserved'
            ELSE now.last IN ('racked', 'released', 'reserved')
          END
)
BEGIN SELECT RAISE(ABORT, 'this stick is not there to be moved so'); END;
