-- Safety: what the firm asks before work, what was answered and signed, talks,
-- accidents and near misses. What was signed or written down never changes.

-- A checklist the firm asks. Its words stand in editions, so that a signed list
-- keeps those that were signed.
CREATE TABLE checklist_template (
    id          INTEGER PRIMARY KEY NOT NULL,
    created_at  INTEGER NOT NULL,
    created_by  INTEGER REFERENCES user (id),
    -- the edition in use
    version     INTEGER NOT NULL DEFAULT 1,
    archived_at INTEGER,
    -- the topic by which the rule picks it; NULL for one of the firm's own,
    -- which is asked on every job
    topic       TEXT UNIQUE,
    scope       TEXT NOT NULL CHECK (scope IN ('day', 'job', 'head'))
) STRICT;

CREATE TABLE checklist_edition (
    id          INTEGER PRIMARY KEY NOT NULL,
    created_at  INTEGER NOT NULL,
    created_by  INTEGER REFERENCES user (id),
    template_id INTEGER NOT NULL REFERENCES checklist_template (id),
    edition     INTEGER NOT NULL CHECK (edition > 0),
    title       TEXT NOT NULL CHECK (length(title) BETWEEN 1 AND 80),
    -- one question a line
    asks        TEXT NOT NULL CHECK (length(asks) > 0),
    source      TEXT NOT NULL DEFAULT '',
    UNIQUE (template_id, edition)
) STRICT;
CREATE TRIGGER checklist_edition_never_changes BEFORE UPDATE ON checklist_edition
BEGIN SELECT RAISE(ABORT, 'checklist_edition is append-only'); END;
CREATE TRIGGER checklist_edition_never_goes BEFORE DELETE ON checklist_edition
BEGIN SELECT RAISE(ABORT, 'checklist_edition is append-only'); END;

-- Before which steps of a head a checklist must be signed.
CREATE TABLE checklist_step (
    template_id INTEGER NOT NULL REFERENCES checklist_template (id),
    step_id     INTEGER NOT NULL REFERENCES head_step (id),
    PRIMARY KEY (template_id, step_id)
) STRICT, WITHOUT ROWID;

-- A checklist answered and signed by `created_by` at `created_at`.
CREATE TABLE checklist (
    id          INTEGER PRIMARY KEY NOT NULL,
    created_at  INTEGER NOT NULL,
    created_by  INTEGER NOT NULL REFERENCES user (id),
    template_id INTEGER NOT NULL REFERENCES checklist_template (id),
    edition     INTEGER NOT NULL,
    job_id      INTEGER NOT NULL REFERENCES job (id),
    head_id     INTEGER REFERENCES head (id),
    -- the civil day in the firm's zone
    day         TEXT NOT NULL,
    -- every answer is yes or "not here"
    clear       INTEGER NOT NULL CHECK (clear IN (0, 1)),
    answers     TEXT NOT NULL CHECK (json_valid(answers)),
    note        TEXT NOT NULL DEFAULT '',
    FOREIGN KEY (template_id, edition) REFERENCES checklist_edition (template_id, edition)
) STRICT;
CREATE INDEX checklist_of_job ON checklist (job_id, template_id, id);
CREATE TRIGGER checklist_never_changes BEFORE UPDATE ON checklist
BEGIN SELECT RAISE(ABORT, 'a signed checklist never changes'); END;
CREATE TRIGGER checklist_never_goes BEFORE DELETE ON checklist
BEGIN SELECT RAISE(ABORT, 'a signed checklist is never removed'); END;

-- What the rule needs to know of a job's site beside the job and its openings.
CREATE TABLE site_hazard (
    job_id           INTEGER PRIMARY KEY NOT NULL REFERENCES job (id),
    created_at       INTEGER NOT NULL,
    created_by       INTEGER REFERENCES user (id),
    version          INTEGER NOT NULL DEFAULT 1,
    work_height_nm   INTEGER CHECK (work_height_nm >= 0),
    reach            TEXT NOT NULL DEFAULT 'ladder' CHECK (reach IN ('ladder', 'scaffold', 'lift')),
    lines            TEXT NOT NULL DEFAULT 'unknown' CHECK (lines IN ('unknown', 'none', 'there')),
    line_distance_nm INTEGER CHECK (line_distance_nm >= 0),
    line_kv          REAL CHECK (line_kv >= 0),
    line_insulated   INTEGER NOT NULL DEFAULT 0 CHECK (line_insulated IN (0, 1)),
    lead_ruled_out   INTEGER NOT NULL DEFAULT 0 CHECK (lead_ruled_out IN (0, 1)),
    old_paint_sqft   REAL CHECK (old_paint_sqft >= 0),
    window_replaced  INTEGER NOT NULL DEFAULT 0 CHECK (window_replaced IN (0, 1)),
    asbestos         TEXT NOT NULL DEFAULT 'unknown' CHECK (asbestos IN ('unknown', 'no', 'may')),
    fibre_cement     INTEGER NOT NULL DEFAULT 0 CHECK (fibre_cement IN (0, 1)),
    adhesive         INTEGER NOT NULL DEFAULT 0 CHECK (adhesive IN (0, 1)),
    heat_index_f     INTEGER CHECK (heat_index_f BETWEEN -60 AND 160)
) STRICT;

-- A talk of five minutes, and who was there.
CREATE TABLE talk (
    id         INTEGER PRIMARY KEY NOT NULL,
    created_at INTEGER NOT NULL,
    created_by INTEGER NOT NULL REFERENCES user (id),
    job_id     INTEGER NOT NULL REFERENCES job (id),
    day        TEXT NOT NULL,
    topic      TEXT NOT NULL CHECK (length(topic) BETWEEN 1 AND 120),
    said       TEXT NOT NULL DEFAULT '',
    others     TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX talk_of_job ON talk (job_id, id);
CREATE TABLE talk_person (
    talk_id INTEGER NOT NULL REFERENCES talk (id),
    user_id INTEGER NOT NULL REFERENCES user (id),
    PRIMARY KEY (talk_id, user_id)
) STRICT, WITHOUT ROWID;
CREATE TRIGGER talk_never_changes BEFORE UPDATE ON talk
BEGIN SELECT RAISE(ABORT, 'a talk is never changed'); END;
CREATE TRIGGER talk_never_goes BEFORE DELETE ON talk
BEGIN SELECT RAISE(ABORT, 'a talk is never removed'); END;

-- An accident or a near miss, as first written down.
CREATE TABLE incident (
    id         INTEGER PRIMARY KEY NOT NULL,
    created_at INTEGER NOT NULL,
    created_by INTEGER NOT NULL REFERENCES user (id),
    job_id     INTEGER NOT NULL REFERENCES job (id),
    day        TEXT NOT NULL,
    time       TEXT NOT NULL DEFAULT '',
    kind       TEXT NOT NULL CHECK (kind IN ('near-miss', 'first-aid', 'injury', 'damage')),
    what       TEXT NOT NULL CHECK (length(what) > 0),
    who        TEXT NOT NULL DEFAULT '',
    care       TEXT NOT NULL DEFAULT '',
    changed    TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX incident_of_job ON incident (job_id, id);
CREATE TRIGGER incident_never_changes BEFORE UPDATE ON incident
BEGIN SELECT RAISE(ABORT, 'an incident is never changed'); END;
CREATE TRIGGER incident_never_goes BEFORE DELETE ON incident
BEGIN SELECT RAISE(ABORT, 'an incident is never removed'); END;

INSERT OR IGNORE INTO head_step_gate (step_id, gate) SELECT id, 'safety' FROM head_step WHERE name = 'flashed';
