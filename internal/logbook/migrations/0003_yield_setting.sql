-- The name of the printer's setting that a yield was foretold for; it may be of
-- a printer that the logbook does not know.
ALTER TABLE yields ADD COLUMN setting TEXT NOT NULL DEFAULT '';
