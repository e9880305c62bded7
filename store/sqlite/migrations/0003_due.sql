-- When the next thing of a job is due, so that it is found however long ago the
-- job was touched. The lines that are here have it as JSON, in UTC, with as many
-- digits of a second as it needed; the column has nine. Empty is nothing due.
ALTER TABLE summary ADD COLUMN due TEXT NOT NULL DEFAULT '';
UPDATE summary SET due = substr(json_extract(line, '$.due'), 1, 19) || '.' ||
    substr(replace(substr(json_extract(line, '$.due'), 21), 'Z', '') || '000000000', 1, 9) || 'Z'
WHERE json_extract(line, '$.due') IS NOT NULL;
CREATE INDEX summary_by_due ON summary (due, id) WHERE due <> '';
