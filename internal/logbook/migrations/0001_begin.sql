-- A row belongs to another by the other's id; what belongs to a trial goes with
-- it, and the history keeps it. Times are UTC, with the maker's offset in minutes.
CREATE TABLE meta (key TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT;

CREATE TABLE deeds (
  id INTEGER PRIMARY KEY,
  at TEXT NOT NULL,
  at_offset INTEGER NOT NULL,
  what TEXT NOT NULL,
  undoes INTEGER REFERENCES deeds(id)
) STRICT;

-- which deed is being done; NULL between deeds
CREATE TABLE doing (one INTEGER PRIMARY KEY CHECK (one = 1), deed INTEGER) STRICT;
INSERT INTO doing VALUES (1, NULL);

-- one row for every row added, changed or removed; written by triggers alone
CREATE TABLE history (
  id INTEGER PRIMARY KEY,
  deed INTEGER REFERENCES deeds(id),
  tbl TEXT NOT NULL,
  row INTEGER NOT NULL,
  act TEXT NOT NULL CHECK (act IN ('added', 'changed', 'removed')),
  before TEXT
) STRICT;
CREATE INDEX history_row ON history(tbl, row);
CREATE INDEX history_deed ON history(deed);

CREATE TABLE printers (
  id INTEGER PRIMARY KEY,
  name TEXT NOT NULL UNIQUE COLLATE NOCASE,
  bed_x_mm REAL NOT NULL DEFAULT 0,
  bed_y_mm REAL NOT NULL DEFAULT 0,
  height_mm REAL NOT NULL DEFAULT 0,
  retired INTEGER NOT NULL DEFAULT 0,
  note TEXT NOT NULL DEFAULT ''
) STRICT;

CREATE TABLE nozzles (
  id INTEGER PRIMARY KEY,
  name TEXT NOT NULL UNIQUE COLLATE NOCASE,
  diameter_mm REAL NOT NULL DEFAULT 0,
  retired INTEGER NOT NULL DEFAULT 0,
  note TEXT NOT NULL DEFAULT ''
) STRICT;

CREATE TABLE spools (
  id INTEGER PRIMARY KEY,
  name TEXT NOT NULL UNIQUE COLLATE NOCASE,
  material TEXT NOT NULL DEFAULT '',
  colour TEXT NOT NULL DEFAULT '',
  density_g_cm3 REAL,
  grams REAL,
  retired INTEGER NOT NULL DEFAULT 0,
  note TEXT NOT NULL DEFAULT ''
) STRICT;

CREATE TABLE profiles (
  id INTEGER PRIMARY KEY,
  name TEXT NOT NULL UNIQUE COLLATE NOCASE,
  layer_mm REAL,
  first_layer_mm REAL,
  line_mm REAL,
  settings TEXT NOT NULL DEFAULT '{}',
  retired INTEGER NOT NULL DEFAULT 0,
  note TEXT NOT NULL DEFAULT ''
) STRICT;

CREATE TABLE designs (
  id INTEGER PRIMARY KEY,
  name TEXT NOT NULL UNIQUE COLLATE NOCASE,
  title TEXT NOT NULL DEFAULT '',
  file TEXT NOT NULL DEFAULT ''
) STRICT;

CREATE TABLE revisions (
  id INTEGER PRIMARY KEY,
  design INTEGER NOT NULL REFERENCES designs(id) ON DELETE CASCADE,
  number INTEGER NOT NULL,
  sha256 TEXT NOT NULL,
  at TEXT NOT NULL,
  at_offset INTEGER NOT NULL,
  parent INTEGER REFERENCES revisions(id),
  question TEXT NOT NULL DEFAULT '',
  note TEXT NOT NULL DEFAULT '',
  params TEXT NOT NULL DEFAULT '{}',
  UNIQUE (design, number),
  UNIQUE (design, sha256)
) STRICT;

CREATE TABLE proofs (
  id INTEGER PRIMARY KEY,
  sha256 TEXT NOT NULL,
  at TEXT NOT NULL,
  at_offset INTEGER NOT NULL,
  version TEXT NOT NULL DEFAULT '',
  growth_lo_mm REAL NOT NULL,
  growth_hi_mm REAL NOT NULL,
  verdict TEXT NOT NULL,
  certified INTEGER NOT NULL,
  moves INTEGER,
  moves_least INTEGER,
  strokes INTEGER,
  leak_lo_mm REAL,
  leak_hi_mm REAL,
  leak_with_play_lo_mm REAL,
  leak_with_play_hi_mm REAL,
  bind_lo_mm REAL,
  bind_hi_mm REAL,
  grams REAL,
  minutes REAL,
  parts TEXT NOT NULL DEFAULT '[]',
  steps TEXT NOT NULL DEFAULT '[]',
  way TEXT NOT NULL DEFAULT '[]',
  found TEXT NOT NULL DEFAULT '[]',
  UNIQUE (sha256, growth_lo_mm, growth_hi_mm)
) STRICT;

CREATE TABLE yields (
  id INTEGER PRIMARY KEY,
  sha256 TEXT NOT NULL,
  at TEXT NOT NULL,
  at_offset INTEGER NOT NULL,
  printer INTEGER REFERENCES printers(id),
  nozzle INTEGER REFERENCES nozzles(id),
  spool INTEGER REFERENCES spools(id),
  profile INTEGER REFERENCES profiles(id),
  seed INTEGER NOT NULL DEFAULT 0,
  prints INTEGER NOT NULL,
  work INTEGER NOT NULL,
  bind INTEGER NOT NULL,
  leak INTEGER NOT NULL,
  unknown INTEGER NOT NULL,
  worst TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX yields_sha256 ON yields(sha256);

CREATE TABLE trials (
  id INTEGER PRIMARY KEY,
  revision INTEGER NOT NULL REFERENCES revisions(id) ON DELETE CASCADE,
  at TEXT NOT NULL,
  at_offset INTEGER NOT NULL,
  printer INTEGER REFERENCES printers(id),
  nozzle INTEGER REFERENCES nozzles(id),
  spool INTEGER REFERENCES spools(id),
  profile INTEGER REFERENCES profiles(id),
  settings TEXT NOT NULL DEFAULT '{}',
  scale REAL NOT NULL DEFAULT 1,
  minutes REAL,
  grams REAL,
  copies INTEGER NOT NULL DEFAULT 1,
  outcome TEXT NOT NULL DEFAULT '',
  place TEXT NOT NULL DEFAULT '',
  note TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX trials_revision ON trials(revision);
CREATE INDEX trials_printer ON trials(printer);

CREATE TABLE trial_parts (
  id INTEGER PRIMARY KEY,
  trial INTEGER NOT NULL REFERENCES trials(id) ON DELETE CASCADE,
  part TEXT NOT NULL,
  copies INTEGER NOT NULL DEFAULT 1,
  note TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX trial_parts_trial ON trial_parts(trial);

CREATE TABLE readings (
  id INTEGER PRIMARY KEY,
  trial INTEGER NOT NULL REFERENCES trials(id) ON DELETE CASCADE,
  at TEXT NOT NULL,
  at_offset INTEGER NOT NULL,
  kind TEXT NOT NULL,
  feature TEXT NOT NULL DEFAULT '',
  nominal_mm REAL,
  gap_mm REAL,
  measured_mm REAL,
  uncertainty_mm REAL,
  felt TEXT NOT NULL DEFAULT '',
  note TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX readings_trial ON readings(trial);

CREATE TABLE faults (
  id INTEGER PRIMARY KEY,
  revision INTEGER NOT NULL REFERENCES revisions(id) ON DELETE CASCADE,
  trial INTEGER REFERENCES trials(id) ON DELETE CASCADE,
  at TEXT NOT NULL,
  at_offset INTEGER NOT NULL,
  place TEXT NOT NULL DEFAULT '',
  parts TEXT NOT NULL DEFAULT '[]',
  what TEXT NOT NULL,
  rule TEXT NOT NULL DEFAULT '',
  margin REAL,
  unit TEXT NOT NULL DEFAULT '',
  cause TEXT NOT NULL DEFAULT '',
  cure TEXT NOT NULL DEFAULT '',
  cured_in INTEGER REFERENCES revisions(id)
) STRICT;
CREATE INDEX faults_revision ON faults(revision);
CREATE INDEX faults_trial ON faults(trial);

CREATE TABLE photos (
  id INTEGER PRIMARY KEY,
  trial INTEGER REFERENCES trials(id) ON DELETE CASCADE,
  fault INTEGER REFERENCES faults(id) ON DELETE CASCADE,
  revision INTEGER REFERENCES revisions(id) ON DELETE CASCADE,
  at TEXT NOT NULL,
  at_offset INTEGER NOT NULL,
  sha256 TEXT NOT NULL,
  media TEXT NOT NULL,
  name TEXT NOT NULL DEFAULT '',
  width INTEGER NOT NULL,
  height INTEGER NOT NULL,
  bytes INTEGER NOT NULL,
  note TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX photos_trial ON photos(trial);

CREATE TABLE checks (
  id INTEGER PRIMARY KEY,
  design INTEGER NOT NULL REFERENCES designs(id) ON DELETE CASCADE,
  fault INTEGER REFERENCES faults(id),
  rule TEXT NOT NULL,
  parts TEXT NOT NULL DEFAULT '[]',
  step TEXT NOT NULL DEFAULT '',
  at_least REAL,
  at_most REAL,
  unit TEXT NOT NULL DEFAULT '',
  at TEXT NOT NULL,
  at_offset INTEGER NOT NULL,
  rests INTEGER NOT NULL DEFAULT 0,
  note TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX checks_design ON checks(design);

CREATE TABLE solves (
  id INTEGER PRIMARY KEY,
  revision INTEGER NOT NULL REFERENCES revisions(id) ON DELETE CASCADE,
  trial INTEGER REFERENCES trials(id) ON DELETE SET NULL,
  at TEXT NOT NULL,
  at_offset INTEGER NOT NULL,
  who TEXT NOT NULL DEFAULT '',
  minutes REAL,
  gave_up INTEGER NOT NULL DEFAULT 0,
  hints INTEGER NOT NULL DEFAULT 0,
  note TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX solves_revision ON solves(revision);
CREATE INDEX solves_trial ON solves(trial);
