-- Where rows came from that were imported: rows theirs, theirs+1 ... of another
-- logbook's table are rows ours, ours+1 ... of this one's.
CREATE TABLE origins (
  id INTEGER PRIMARY KEY,
  book TEXT NOT NULL,
  tbl TEXT NOT NULL,
  theirs INTEGER NOT NULL,
  ours INTEGER NOT NULL,
  n INTEGER NOT NULL
) STRICT;
