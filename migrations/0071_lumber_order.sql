-- Lumber orders: which heads, what was worked out, what was bought, which
-- stick is cut. What was asked and what came out are rows that never change.

CREATE TABLE lumber_order (
    id          INTEGER PRIMARY KEY NOT NULL,
    created_at  INTEGER NOT NULL,
    created_by  INTEGER REFERENCES user (id),
    version     INTEGER NOT NULL DEFAULT 1 CHECK (version > 0),
    archived_at INTEGER,
    name        TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 120),
    -- what the waste rule adds, in per cent of each length
    spare       INTEGER NOT NULL CHECK (spare BETWEEN 0 AND 50),
    end_trim_nm INTEGER NOT NULL CHECK (end_trim_nm >= 0),
    -- longest search for each moulding
    seconds     INTEGER NOT NULL CHECK (seconds BETWEEN 1 AND 600)
) STRICT;

CREATE TABLE lumber_order_head (
    order_id INTEGER NOT NULL REFERENCES lumber_order (id),
    head_id  INTEGER NOT NULL REFERENCES head (id),
    PRIMARY KEY (order_id, head_id)
) STRICT, WITHOUT ROWID;
CREATE INDEX lumber_order_by_head ON lumber_order_head (head_id);

-- One moulding or board to be worked out; a round is one press of the button.
CREATE TABLE lumber_solve (
    id         INTEGER PRIMARY KEY NOT NULL,
    created_at INTEGER NOT NULL,
    created_by INTEGER REFERENCES user (id),
    order_id   INTEGER NOT NULL REFERENCES lumber_order (id),
    round      INTEGER NOT NULL CHECK (round > 0),
    name       TEXT NOT NULL,
    item_id    INTEGER NOT NULL REFERENCES stock_item (id),
    request    TEXT NOT NULL CHECK (json_valid(request))
) STRICT;
CREATE INDEX lumber_solve_by_order ON lumber_solve (order_id, round);

CREATE TABLE lumber_result (
    id         INTEGER PRIMARY KEY NOT NULL,
    created_at INTEGER NOT NULL,
    solve_id   INTEGER NOT NULL UNIQUE REFERENCES lumber_solve (id),
    -- 'ended' by itself or at its time limit, 'stopped' by a person, 'failed'
    how        TEXT NOT NULL CHECK (how IN ('ended', 'stopped', 'failed')),
    result     TEXT NOT NULL CHECK (json_valid(result))
) STRICT;

-- The order placed, or taken back: the last row counts.
CREATE TABLE lumber_event (
    id         INTEGER PRIMARY KEY NOT NULL,
    created_at INTEGER NOT NULL,
    created_by INTEGER REFERENCES user (id),
    order_id   INTEGER NOT NULL REFERENCES lumber_order (id),
    nth        INTEGER NOT NULL CHECK (nth > 0),
    what       TEXT NOT NULL CHECK (what IN ('placed', 'taken-back')),
    round      INTEGER NOT NULL CHECK (round > 0),
    UNIQUE (order_id, nth)
) STRICT;

-- What is bought of whom: one purchase for each supplier of a placing.
CREATE TABLE purchase (
    id          INTEGER PRIMARY KEY NOT NULL,
    created_at  INTEGER NOT NULL,
    created_by  INTEGER REFERENCES user (id),
    event_id    INTEGER NOT NULL REFERENCES lumber_event (id),
    supplier_id INTEGER NOT NULL REFERENCES supplier (id),
    UNIQUE (event_id, supplier_id)
) STRICT;

CREATE TABLE purchase_line (
    id          INTEGER PRIMARY KEY NOT NULL,
    created_at  INTEGER NOT NULL,
    created_by  INTEGER REFERENCES user (id),
    purchase_id INTEGER NOT NULL REFERENCES purchase (id),
    item_id     INTEGER NOT NULL REFERENCES stock_item (id),
    length_nm   INTEGER NOT NULL CHECK (length_nm > 0),
    qty         INTEGER NOT NULL CHECK (qty > 0),
    price_cents INTEGER NOT NULL CHECK (price_cents >= 0),
    lead_days   INTEGER
) STRICT;
CREATE INDEX purchase_line_by_purchase ON purchase_line (purchase_id);

-- A stick of the plan that is cut: once.
CREATE TABLE stick_cut (
    id         INTEGER PRIMARY KEY NOT NULL,
    created_at INTEGER NOT NULL,
    created_by INTEGER REFERENCES user (id),
    solve_id   INTEGER NOT NULL REFERENCES lumber_solve (id),
    stick      INTEGER NOT NULL CHECK (stick > 0),
    UNIQUE (solve_id, stick)
) STRICT;

CREATE TRIGGER lumber_solve_never_changes BEFORE UPDATE ON lumber_solve
BEGIN SELECT RAISE(ABORT, 'lumber_solve is append-only'); END;
CREATE TRIGGER lumber_solve_never_goes BEFORE DELETE ON lumber_solve
BEGIN SELECT RAISE(ABORT, 'lumber_solve is append-only'); END;
CREATE TRIGGER lumber_result_never_changes BEFORE UPDATE ON lumber_result
BEGIN SELECT RAISE(ABORT, 'lumber_result is append-only'); END;
CREATE TRIGGER lumber_result_never_goes BEFORE DELETE ON lumber_result
BEGIN SELECT RAISE(ABORT, 'lumber_result is append-only'); END;
CREATE TRIGGER lumber_event_never_changes BEFORE UPDATE ON lumber_event
BEGIN SELECT RAISE(ABORT, 'lumber_event is append-only'); END;
CREATE TRIGGER lumber_event_never_goes BEFORE DELETE ON lumber_event
BEGIN SELECT RAISE(ABORT, 'lumber_event is append-only'); END;
CREATE TRIGGER purchase_line_never_changes BEFORE UPDATE ON purchase_line
BEGIN SELECT RAISE(ABORT, 'purchase_line is append-only'); END;
CREATE TRIGGER purchase_line_never_goes BEFORE DELETE ON purchase_line
BEGIN SELECT RAISE(ABORT, 'purchase_line is append-only'); END;
CREATE TRIGGER stick_cut_never_changes BEFORE UPDATE ON stick_cut
BEGIN SELECT RAISE(ABORT, 'stick_cut is append-only'); END;
CREATE TRIGGER stick_cut_never_goes BEFORE DELETE ON stick_cut
BEGIN SELECT RAISE(ABORT, 'stick_cut is append-only'); END;

-- A placed order is placed no second time before it is taken back.
CREATE TRIGGER lumber_event_is_legal BEFORE INSERT ON lumber_event
WHEN new.what = coalesce((SELECT what FROM lumber_event WHERE order_id = new.order_id
                          ORDER BY nth DESC LIMIT 1), 'taken-back')
BEGIN SELECT RAISE(ABORT, 'the order stands so already'); END;
