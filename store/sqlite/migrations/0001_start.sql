-- Everything a folder keeps, but the content of photos and clips.

CREATE TABLE event (
    position INTEGER PRIMARY KEY AUTOINCREMENT, -- the order in which they came here
    id       TEXT NOT NULL UNIQUE,
    job      TEXT NOT NULL,
    kind     TEXT NOT NULL,
    at       TEXT NOT NULL, -- UTC, nine digits of a second, so that text sorts as time
    by       TEXT NOT NULL,
    data     TEXT NOT NULL  -- JSON, or empty
) STRICT;
CREATE INDEX event_of_job ON event (job, id);

CREATE TABLE summary (
    id       TEXT PRIMARY KEY,
    stage    TEXT NOT NULL,
    vehicle  TEXT NOT NULL,
    touched  TEXT NOT NULL,
    released TEXT NOT NULL, -- empty while the job is open
    search   TEXT NOT NULL, -- folded words to search in
    line     TEXT NOT NULL  -- the summary as JSON
) STRICT;
CREATE INDEX summary_by_touched ON summary (touched DESC, id DESC);

CREATE TABLE document (
    kind    TEXT    NOT NULL,
    id      TEXT    NOT NULL,
    version INTEGER NOT NULL CHECK (version > 0),
    at      TEXT    NOT NULL,
    by      TEXT    NOT NULL,
    note    TEXT    NOT NULL,
    body    BLOB    NOT NULL,
    PRIMARY KEY (kind, id, version)
) STRICT;

CREATE TABLE file (
    name  TEXT    PRIMARY KEY CHECK (length(name) = 64), -- SHA-256 of the content, hex
    media TEXT    NOT NULL,
    size  INTEGER NOT NULL
) STRICT;
