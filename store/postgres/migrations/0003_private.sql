-- What belongs to those who serve the database and not to the record: who may
-- come in. It is in no backup and no export, and only its newest version stays.

CREATE TABLE private (
    name    TEXT COLLATE "C" PRIMARY KEY,
    version BIGINT           NOT NULL,
    content BYTEA            NOT NULL
);
