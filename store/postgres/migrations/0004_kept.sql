-- When a file was last kept, so that a sweep takes nothing that is just being
-- recorded. Empty is not known: a sweep then begins to count.
ALTER TABLE file ADD COLUMN kept TEXT COLLATE "C" NOT NULL DEFAULT '';
