-- Which way a feature lay on the plate (upright and lying bores come out
-- differently), and what the hints were.
ALTER TABLE readings ADD COLUMN axis TEXT NOT NULL DEFAULT '';
ALTER TABLE solves ADD COLUMN hint_text TEXT NOT NULL DEFAULT '';
CREATE INDEX photos_sha256 ON photos(sha256);
CREATE INDEX trials_at ON trials(at);
