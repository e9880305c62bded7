-- On which access map a job is, so that what finished jobs say about a map is
-- found among all jobs. For the lines that are here it is read from the records
-- that name one: the last that was not undone counts. Empty is no map. The records
-- are searched as text, since PostgreSQL refuses JSON with a NUL in it; inside a
-- value the quotes are escaped, so that only the key itself is found.
ALTER TABLE summary ADD COLUMN map TEXT COLLATE "C" NOT NULL DEFAULT '';
UPDATE summary SET map = coalesce((
    SELECT substring(said.data FROM '"map":"([^"\\]+)"') FROM event AS said
    WHERE said.job = summary.id AND said.kind IN ('started', 'planned', 'way-back')
        AND said.data ~ '"map":"[^"\\]+"'
        AND NOT EXISTS (
            SELECT 1 FROM event AS undo WHERE undo.job = said.job AND undo.kind = 'undo'
                AND substring(undo.data FROM '"event":"([^"\\]+)"') = said.id
                AND NOT EXISTS (
                    SELECT 1 FROM event AS redo WHERE redo.job = said.job AND redo.kind = 'undo'
                        AND substring(redo.data FROM '"event":"([^"\\]+)"') = undo.id))
    ORDER BY said.id DESC LIMIT 1), '');
CREATE INDEX summary_by_map ON summary (map, touched DESC, id DESC) WHERE map <> '';
