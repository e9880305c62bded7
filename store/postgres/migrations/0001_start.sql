-- Everything a database keeps, but the content of photos and clips. Text sorts
-- by its bytes, as it does in the other stores.

CREATE TABLE event (
    position BIGINT GENERATED ALWAYS AS IDENTITY PRIMARY KEY, -- the order in which they came here
    id       TEXT COLLATE "C" NOT NULL UNIQUE,
    job      TEXT COLLATE "C" NOT NULL,
    kind     TEXT COLLATE "C" NOT NULL,
    at       TEXT COLLATE "C" NOT NULL, -- UTC, nine digits of a second, so that text sorts as time
    by       TEXT COLLATE "C" NOT NULL,
    data     TEXT COLLATE "C" NOT NULL  -- JSON as it came, or empty
);
CREATE INDEX event_of_job ON event (job, id);

-- Events are stored one transaction after another, whoever sends them: only so
-- is a position, once seen, never undercut by one that becomes visible later.
CREATE FUNCTION event_turn() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    PERFORM pg_advisory_xact_lock(1279413332); -- "LBLT"
    RETURN NULL;
END $$;
CREATE TRIGGER event_turn BEFORE INSERT ON event FOR EACH STATEMENT EXECUTE FUNCTION event_turn();

-- What is recorded is never changed or taken away.
CREATE FUNCTION recorded() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION 'what is recorded in % stays as it is', TG_TABLE_NAME;
END $$;
CREATE TRIGGER event_recorded BEFORE UPDATE OR DELETE OR TRUNCATE ON event FOR EACH STATEMENT EXECUTE FUNCTION recorded();

CREATE TABLE summary (
    id       TEXT COLLATE "C" PRIMARY KEY,
    stage    TEXT COLLATE "C" NOT NULL,
    vehicle  TEXT COLLATE "C" NOT NULL,
    touched  TEXT COLLATE "C" NOT NULL,
    released TEXT COLLATE "C" NOT NULL, -- empty while the job is open
    search   TEXT COLLATE "C" NOT NULL, -- folded words to search in
    line     TEXT COLLATE "C" NOT NULL  -- the summary as JSON
);
CREATE INDEX summary_by_touched ON summary (touched DESC, id DESC);

CREATE TABLE document (
    kind    TEXT COLLATE "C" NOT NULL,
    id      TEXT COLLATE "C" NOT NULL,
    version INTEGER          NOT NULL CHECK (version > 0),
    at      TEXT COLLATE "C" NOT NULL,
    by      TEXT COLLATE "C" NOT NULL,
    note    TEXT COLLATE "C" NOT NULL,
    body    BYTEA            NOT NULL,
    PRIMARY KEY (kind, id, version)
);
CREATE TRIGGER document_recorded BEFORE UPDATE OR DELETE OR TRUNCATE ON document FOR EACH STATEMENT EXECUTE FUNCTION recorded();

CREATE TABLE file (
    name  TEXT COLLATE "C" PRIMARY KEY CHECK (length(name) = 64), -- SHA-256 of the content, hex
    media TEXT COLLATE "C" NOT NULL,
    size  BIGINT           NOT NULL
);
