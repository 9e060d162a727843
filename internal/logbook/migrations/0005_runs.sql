-- An entry of the history may tell of a run of rows: it stands for as many entries as
-- run says, of the rows row-run+1 ... row, with the numbers id-run+1 ... id, and before
-- has a line with the names of the columns and one for each row, as arrays of JSON.
ALTER TABLE history ADD COLUMN run INTEGER NOT NULL DEFAULT 1;
DROP INDEX history_deed;
CREATE INDEX history_deed ON history(deed, run);
CREATE INDEX history_runs ON history(tbl, row) WHERE run > 1;
