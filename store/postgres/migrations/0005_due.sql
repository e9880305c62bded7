-- When the next thing of a job is due, so that it is found however long ago the
-- job was touched. The lines that are here have it as JSON, in UTC, with as many
-- digits of a second as it needed; the column has nine. Empty is nothing due.
-- The line is searched as text, since PostgreSQL refuses JSON with a NUL in it;
-- inside a value the quotes are escaped, so that only the key itself is found.
ALTER TABLE summary ADD COLUMN due TEXT COLLATE "C" NOT NULL DEFAULT '';
WITH line AS (SELECT id, substring(line FROM '"due":"([^"]+)Z"') AS due FROM summary)
UPDATE summary SET due = substr(line.due, 1, 19) || '.' || substr(substr(line.due, 21) || '000000000', 1, 9) || 'Z'
FROM line WHERE line.id = summary.id AND line.due IS NOT NULL;
CREATE INDEX summary_by_due ON summary (due, id) WHERE due <> '';
