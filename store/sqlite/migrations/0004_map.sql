-- On which access map a job is, so that what finished jobs say about a map is
-- found among all jobs. For the lines that are here it is read from the records
-- that name one: the last that was not undone counts. Empty is no map.
ALTER TABLE summary ADD COLUMN map TEXT NOT NULL DEFAULT '';
UPDATE summary SET map = coalesce((
    SELECT json_extract(said.data, '$.map') FROM event AS said
    WHERE said.job = summary.id AND said.kind IN ('started', 'planned', 'way-back')
        AND CASE WHEN json_valid(said.data) THEN coalesce(json_extract(said.data, '$.map'), '') <> '' ELSE 0 END
        AND NOT EXISTS (
            SELECT 1 FROM event AS undo WHERE undo.job = said.job AND undo.kind = 'undo'
                AND CASE WHEN json_valid(undo.data) THEN json_extract(undo.data, '$.event') = said.id ELSE 0 END
                AND NOT EXISTS (
                    SELECT 1 FROM event AS redo WHERE redo.job = said.job AND redo.kind = 'undo'
                        AND CASE WHEN json_valid(redo.data) THEN json_extract(redo.data, '$.event') = undo.id ELSE 0 END))
    ORDER BY said.id DESC LIMIT 1), '');
CREATE INDEX summary_by_map ON summary (map, touched DESC, id DESC) WHERE map <> '';
