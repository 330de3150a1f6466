-- Catalogue schema, version 1.
--
-- How to read it: a quantity keeps three columns, what was written, its value in the unit that ends the column's
-- name, and its standard uncertainty (`_u`). A date keeps what was written and the years it means. A term is the
-- id of a row in `term`, written scheme/name. `uid` is the identifier that leaves the catalogue (UUIDv7) and never
-- changes. A blank (NULL) means not recorded; it never means no.

-- What the catalogue as a whole agrees on.
CREATE TABLE setting (
  name TEXT PRIMARY KEY,
  value TEXT NOT NULL
) STRICT;

-- Controlled terms, each with its definition and source. Local terms are the collection's own.
CREATE TABLE term (
  id TEXT PRIMARY KEY CHECK (id GLOB '?*/?*'),
  scheme TEXT NOT NULL,
  name TEXT NOT NULL,
  also TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(also)),
  broader TEXT REFERENCES term(id) DEFERRABLE INITIALLY DEFERRED,
  definition TEXT NOT NULL,
  source TEXT NOT NULL,
  local INTEGER NOT NULL DEFAULT 0 CHECK (local IN (0, 1)),
  UNIQUE (scheme, name)
) STRICT;

-- People, by name.
CREATE TABLE person (
  id INTEGER PRIMARY KEY,
  uid TEXT NOT NULL UNIQUE CHECK (length(uid) = 36),
  name TEXT NOT NULL UNIQUE CHECK (trim(name) <> '')
) STRICT;

-- One row a catalogued piece.
CREATE TABLE piece (
  id INTEGER PRIMARY KEY,
  uid TEXT NOT NULL UNIQUE CHECK (length(uid) = 36),
  number TEXT NOT NULL UNIQUE CHECK (trim(number) = number AND length(number) BETWEEN 1 AND 80),
  number_order TEXT NOT NULL,
  nature TEXT NOT NULL REFERENCES term(id) CHECK (nature GLOB 'nature/*'),
  object_name TEXT NOT NULL,
  garment TEXT REFERENCES term(id) CHECK (garment GLOB 'garment/*'),
  title TEXT,
  maker TEXT,
  place TEXT,
  culture TEXT,
  date TEXT, date_earliest INTEGER, date_latest INTEGER, date_edtf TEXT, date_remark TEXT,
  description TEXT,
  inscriptions TEXT NOT NULL DEFAULT '[]',
  distinguishing_features TEXT,
  credit_line TEXT,
  rights TEXT,
  keywords TEXT NOT NULL DEFAULT '[]',
  CHECK (date_earliest <= date_latest),
  CHECK (date IS NOT NULL OR (date_earliest IS NULL AND date_latest IS NULL)),
  CHECK (json_valid(inscriptions)),
  CHECK (json_valid(keywords))
) STRICT;

CREATE INDEX piece_order ON piece(number_order);
CREATE INDEX piece_date ON piece(date_earliest, date_latest);

-- Named parts of a piece, nested by part_of_id.
CREATE TABLE component (
  id INTEGER PRIMARY KEY,
  uid TEXT NOT NULL UNIQUE CHECK (length(uid) = 36),
  piece_id INTEGER NOT NULL REFERENCES piece(id),
  position INTEGER NOT NULL,
  name TEXT NOT NULL CHECK (trim(name) <> ''),
  part_of_id INTEGER REFERENCES component(id),
  term TEXT REFERENCES term(id) CHECK (term GLOB 'component/*'),
  side TEXT CHECK (side IN ('left', 'right', 'centre')),
  count INTEGER CHECK (count > 0),
  note TEXT,
  UNIQUE (piece_id, name)
) STRICT;
CREATE INDEX component_piece ON component(piece_id);

-- What a person is to a piece.
CREATE TABLE person_role (
  id INTEGER PRIMARY KEY,
  uid TEXT NOT NULL UNIQUE CHECK (length(uid) = 36),
  piece_id INTEGER NOT NULL REFERENCES piece(id),
  position INTEGER NOT NULL,
  person_id INTEGER NOT NULL REFERENCES person(id),
  role TEXT NOT NULL REFERENCES term(id) CHECK (role GLOB 'person_role/*'),
  note TEXT
) STRICT;
CREATE INDEX person_role_piece ON person_role(piece_id);

-- Acquisition and provenance.
CREATE TABLE event (
  id INTEGER PRIMARY KEY,
  uid TEXT NOT NULL UNIQUE CHECK (length(uid) = 36),
  piece_id INTEGER NOT NULL REFERENCES piece(id),
  position INTEGER NOT NULL,
  event TEXT NOT NULL REFERENCES term(id) CHECK (event GLOB 'event/*'),
  date TEXT, date_earliest INTEGER, date_latest INTEGER, date_edtf TEXT, date_remark TEXT,
  person_id INTEGER REFERENCES person(id),
  place TEXT,
  source TEXT,
  note TEXT,
  CHECK (date_earliest <= date_latest),
  CHECK (date IS NOT NULL OR (date_earliest IS NULL AND date_latest IS NULL))
) STRICT;
CREATE INDEX event_piece ON event(piece_id);

-- Moves; the last one says where the piece lies.
CREATE TABLE move (
  id INTEGER PRIMARY KEY,
  uid TEXT NOT NULL UNIQUE CHECK (length(uid) = 36),
  piece_id INTEGER NOT NULL REFERENCES piece(id),
  position INTEGER NOT NULL,
  "to" TEXT NOT NULL,
  date TEXT CHECK (date GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  by_id INTEGER REFERENCES person(id),
  reason TEXT
) STRICT;
CREATE INDEX move_piece ON move(piece_id);

-- What holds a piece in store.
CREATE TABLE housing (
  id INTEGER PRIMARY KEY,
  uid TEXT NOT NULL UNIQUE CHECK (length(uid) = 36),
  piece_id INTEGER NOT NULL REFERENCES piece(id),
  position INTEGER NOT NULL,
  storage TEXT NOT NULL REFERENCES term(id) CHECK (storage GLOB 'storage/*'),
  description TEXT,
  length TEXT, length_mm REAL, length_u REAL CHECK (length_u >= 0),
  width TEXT, width_mm REAL, width_u REAL CHECK (width_u >= 0),
  height TEXT, height_mm REAL, height_u REAL CHECK (height_u >= 0),
  since TEXT CHECK (since GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  CHECK ((length IS NULL) = (length_mm IS NULL) AND (length IS NULL) = (length_u IS NULL)),
  CHECK ((width IS NULL) = (width_mm IS NULL) AND (width IS NULL) = (width_u IS NULL)),
  CHECK ((height IS NULL) = (height_mm IS NULL) AND (height IS NULL) = (height_u IS NULL))
) STRICT;
CREATE INDEX housing_piece ON housing(piece_id);

-- What a reconstruction follows: a piece here or a source elsewhere.
CREATE TABLE made_after (
  id INTEGER PRIMARY KEY,
  uid TEXT NOT NULL UNIQUE CHECK (length(uid) = 36),
  piece_id INTEGER NOT NULL REFERENCES piece(id),
  position INTEGER NOT NULL,
  model_id INTEGER REFERENCES piece(id),
  source TEXT,
  scale TEXT, scale_ratio REAL, scale_u REAL CHECK (scale_u >= 0),
  note TEXT,
  CHECK ((scale IS NULL) = (scale_ratio IS NULL) AND (scale IS NULL) = (scale_u IS NULL)),
  CHECK (model_id IS NOT NULL OR source IS NOT NULL)
) STRICT;
CREATE INDEX made_after_piece ON made_after(piece_id);

-- Differences a maker chose, with reasons.
CREATE TABLE departure (
  id INTEGER PRIMARY KEY,
  uid TEXT NOT NULL UNIQUE CHECK (length(uid) = 36),
  piece_id INTEGER NOT NULL REFERENCES piece(id),
  position INTEGER NOT NULL,
  feature TEXT NOT NULL,
  component_id INTEGER REFERENCES component(id),
  was TEXT,
  now TEXT,
  reason TEXT NOT NULL REFERENCES term(id) CHECK (reason GLOB 'departure_reason/*'),
  note TEXT
) STRICT;
CREATE INDEX departure_piece ON departure(piece_id);

-- A maker's work log.
CREATE TABLE work (
  id INTEGER PRIMARY KEY,
  uid TEXT NOT NULL UNIQUE CHECK (length(uid) = 36),
  piece_id INTEGER NOT NULL REFERENCES piece(id),
  position INTEGER NOT NULL,
  date TEXT NOT NULL CHECK (date GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  task TEXT NOT NULL,
  component_id INTEGER REFERENCES component(id),
  hours TEXT, hours_h REAL, hours_u REAL CHECK (hours_u >= 0),
  cost TEXT,
  note TEXT,
  CHECK ((hours IS NULL) = (hours_h IS NULL) AND (hours IS NULL) = (hours_u IS NULL))
) STRICT;
CREATE INDEX work_piece ON work(piece_id);

-- Treatments: proposed, consented to, done.
CREATE TABLE treatment (
  id INTEGER PRIMARY KEY,
  uid TEXT NOT NULL UNIQUE CHECK (length(uid) = 36),
  piece_id INTEGER NOT NULL REFERENCES piece(id),
  position INTEGER NOT NULL,
  title TEXT NOT NULL,
  proposed_by_id INTEGER REFERENCES person(id),
  proposed_on TEXT CHECK (proposed_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  aims TEXT,
  proposal TEXT,
  risks TEXT,
  hours_expected TEXT, hours_expected_h REAL, hours_expected_u REAL CHECK (hours_expected_u >= 0),
  consent_by_id INTEGER REFERENCES person(id),
  consent_on TEXT CHECK (consent_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  consent_shown TEXT,
  departures TEXT,
  result TEXT,
  after_care TEXT,
  CHECK ((hours_expected IS NULL) = (hours_expected_h IS NULL) AND (hours_expected IS NULL) = (hours_expected_u IS NULL))
) STRICT;
CREATE INDEX treatment_piece ON treatment(piece_id);

-- What was done in a treatment.
CREATE TABLE treatment_steps (
  id INTEGER PRIMARY KEY,
  owner_id INTEGER NOT NULL REFERENCES treatment(id),
  position INTEGER NOT NULL,
  done TEXT NOT NULL,
  date TEXT CHECK (date GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  by_id INTEGER REFERENCES person(id),
  hours TEXT, hours_h REAL, hours_u REAL CHECK (hours_u >= 0),
  UNIQUE (owner_id, position),
  CHECK ((hours IS NULL) = (hours_h IS NULL) AND (hours IS NULL) = (hours_u IS NULL))
) STRICT;

-- What was used in a treatment.
CREATE TABLE treatment_materials (
  id INTEGER PRIMARY KEY,
  owner_id INTEGER NOT NULL REFERENCES treatment(id),
  position INTEGER NOT NULL,
  material TEXT NOT NULL,
  supplier TEXT,
  lot TEXT,
  amount TEXT,
  UNIQUE (owner_id, position)
) STRICT;

-- One sitting: who looked, when, why, by what light.
CREATE TABLE examination (
  id INTEGER PRIMARY KEY,
  uid TEXT NOT NULL UNIQUE CHECK (length(uid) = 36),
  piece_id INTEGER NOT NULL REFERENCES piece(id),
  date TEXT NOT NULL CHECK (date GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  examiner_id INTEGER NOT NULL REFERENCES person(id),
  reason TEXT,
  place TEXT,
  light TEXT REFERENCES term(id) CHECK (light GLOB 'light/*'),
  magnification TEXT,
  temperature TEXT, temperature_c REAL, temperature_u REAL CHECK (temperature_u >= 0),
  humidity TEXT, humidity_percent REAL, humidity_u REAL CHECK (humidity_u >= 0),
  methods TEXT,
  not_examined TEXT,
  note TEXT,
  UNIQUE (piece_id, date, examiner_id),
  CHECK ((temperature IS NULL) = (temperature_c IS NULL) AND (temperature IS NULL) = (temperature_u IS NULL)),
  CHECK ((humidity IS NULL) = (humidity_percent IS NULL) AND (humidity IS NULL) = (humidity_u IS NULL))
) STRICT;

-- What every observation has in common. A correction is a new row; the old one stays and points to it.
CREATE TABLE observation (
  id INTEGER PRIMARY KEY,
  uid TEXT NOT NULL UNIQUE CHECK (length(uid) = 36),
  examination_id INTEGER NOT NULL REFERENCES examination(id),
  kind TEXT NOT NULL CHECK (kind IN ('textile', 'measurement', 'stitching', 'fastening', 'stiffening', 'trimming', 'step', 'sign', 'condition', 'overall', 'hazard')),
  position INTEGER NOT NULL,
  component_id INTEGER REFERENCES component(id),
  evidence TEXT NOT NULL REFERENCES term(id) CHECK (evidence GLOB 'evidence/*'),
  certainty TEXT NOT NULL REFERENCES term(id) CHECK (certainty GLOB 'certainty/*'),
  interpretation TEXT,
  note TEXT,
  replaced_by INTEGER REFERENCES observation(id),
  withdrawn TEXT,
  CHECK (replaced_by <> id)
) STRICT;

CREATE INDEX observation_examination ON observation(examination_id, kind);

-- Repeated readings of measurements, thread counts and stitch counts.
CREATE TABLE reading (
  id INTEGER PRIMARY KEY,
  owner_id INTEGER NOT NULL REFERENCES observation(id),
  field TEXT NOT NULL,
  position INTEGER NOT NULL,
  as_written TEXT NOT NULL,
  value REAL NOT NULL,
  u REAL NOT NULL CHECK (u >= 0),
  unit TEXT NOT NULL,
  UNIQUE (owner_id, field, position)
) STRICT;

-- Where an observation names several terms.
CREATE TABLE observation_term (
  id INTEGER PRIMARY KEY,
  owner_id INTEGER NOT NULL REFERENCES observation(id),
  field TEXT NOT NULL,
  position INTEGER NOT NULL,
  term TEXT NOT NULL REFERENCES term(id),
  UNIQUE (owner_id, field, position)
) STRICT;

-- Cloths and yarns; each count stands in `reading`.
CREATE TABLE textile (
  id INTEGER PRIMARY KEY REFERENCES observation(id),
  role TEXT NOT NULL REFERENCES term(id) CHECK (role GLOB 'textile_role/*'),
  name TEXT,
  structure TEXT REFERENCES term(id) CHECK (structure GLOB 'weave/*'),
  warp_fibre TEXT REFERENCES term(id) CHECK (warp_fibre GLOB 'fibre/*'),
  warp_ply INTEGER CHECK (warp_ply > 0),
  warp_twist TEXT CHECK (warp_twist IN ('S', 'Z', 'none')),
  warp_angle TEXT, warp_angle_deg REAL, warp_angle_u REAL CHECK (warp_angle_u >= 0),
  warp_number TEXT, warp_number_tex REAL, warp_number_u REAL CHECK (warp_number_u >= 0),
  weft_fibre TEXT REFERENCES term(id) CHECK (weft_fibre GLOB 'fibre/*'),
  weft_ply INTEGER CHECK (weft_ply > 0),
  weft_twist TEXT CHECK (weft_twist IN ('S', 'Z', 'none')),
  weft_angle TEXT, weft_angle_deg REAL, weft_angle_u REAL CHECK (weft_angle_u >= 0),
  weft_number TEXT, weft_number_tex REAL, weft_number_u REAL CHECK (weft_number_u >= 0),
  selvedge TEXT,
  loom_width TEXT, loom_width_mm REAL, loom_width_u REAL CHECK (loom_width_u >= 0),
  colour TEXT,
  dye TEXT,
  ends_per_cm REAL, ends_u REAL,
  picks_per_cm REAL, picks_u REAL,
  CHECK ((warp_angle IS NULL) = (warp_angle_deg IS NULL) AND (warp_angle IS NULL) = (warp_angle_u IS NULL)),
  CHECK ((warp_number IS NULL) = (warp_number_tex IS NULL) AND (warp_number IS NULL) = (warp_number_u IS NULL)),
  CHECK ((weft_angle IS NULL) = (weft_angle_deg IS NULL) AND (weft_angle IS NULL) = (weft_angle_u IS NULL)),
  CHECK ((weft_number IS NULL) = (weft_number_tex IS NULL) AND (weft_number IS NULL) = (weft_number_u IS NULL)),
  CHECK ((loom_width IS NULL) = (loom_width_mm IS NULL) AND (loom_width IS NULL) = (loom_width_u IS NULL))
) STRICT;

-- Fibres of a textile, in order of amount, and how each was told.
CREATE TABLE textile_fibres (
  id INTEGER PRIMARY KEY,
  owner_id INTEGER NOT NULL REFERENCES textile(id),
  position INTEGER NOT NULL,
  fibre TEXT NOT NULL REFERENCES term(id) CHECK (fibre GLOB 'fibre/*'),
  percent TEXT, percent_percent REAL, percent_u REAL CHECK (percent_u >= 0),
  method TEXT REFERENCES term(id) CHECK (method GLOB 'method/*'),
  certainty TEXT REFERENCES term(id) CHECK (certainty GLOB 'certainty/*'),
  note TEXT,
  UNIQUE (owner_id, position),
  CHECK ((percent IS NULL) = (percent_percent IS NULL) AND (percent IS NULL) = (percent_u IS NULL))
) STRICT;

-- CIELAB readings of a textile.
CREATE TABLE textile_colours (
  id INTEGER PRIMARY KEY,
  owner_id INTEGER NOT NULL REFERENCES textile(id),
  position INTEGER NOT NULL,
  place TEXT,
  l REAL NOT NULL CHECK (l BETWEEN 0 AND 100),
  a REAL NOT NULL,
  b REAL NOT NULL,
  instrument TEXT,
  UNIQUE (owner_id, position)
) STRICT;

-- Dimensions: the mean of the readings and its combined standard uncertainty.
CREATE TABLE measurement (
  id INTEGER PRIMARY KEY REFERENCES observation(id),
  dimension TEXT NOT NULL REFERENCES term(id) CHECK (dimension GLOB 'dimension/*'),
  taken TEXT,
  instrument TEXT,
  resolution TEXT, resolution_mm REAL, resolution_u REAL CHECK (resolution_u >= 0),
  mm REAL NOT NULL, u_mm REAL NOT NULL,
  CHECK ((resolution IS NULL) = (resolution_mm IS NULL) AND (resolution IS NULL) = (resolution_u IS NULL))
) STRICT;

-- Lines of stitches: the mean density and its standard uncertainty.
CREATE TABLE stitching (
  id INTEGER PRIMARY KEY REFERENCES observation(id),
  purpose TEXT NOT NULL REFERENCES term(id) CHECK (purpose GLOB 'purpose/*'),
  stitch TEXT REFERENCES term(id) CHECK (stitch GLOB 'stitch/*'),
  seam TEXT REFERENCES term(id) CHECK (seam GLOB 'seam/*'),
  made TEXT CHECK (made IN ('hand', 'machine')),
  thread TEXT,
  length TEXT, length_mm REAL, length_u REAL CHECK (length_u >= 0),
  allowance TEXT, allowance_mm REAL, allowance_u REAL CHECK (allowance_u >= 0),
  order_of_work INTEGER,
  per_cm REAL, u_per_cm REAL,
  CHECK ((length IS NULL) = (length_mm IS NULL) AND (length IS NULL) = (length_u IS NULL)),
  CHECK ((allowance IS NULL) = (allowance_mm IS NULL) AND (allowance IS NULL) = (allowance_u IS NULL))
) STRICT;

-- Buttons, hooks, lacing, ties.
CREATE TABLE fastening (
  id INTEGER PRIMARY KEY REFERENCES observation(id),
  fastening TEXT NOT NULL REFERENCES term(id) CHECK (fastening GLOB 'fastening/*'),
  material TEXT,
  count INTEGER CHECK (count >= 0),
  size TEXT, size_mm REAL, size_u REAL CHECK (size_u >= 0),
  spacing TEXT, spacing_mm REAL, spacing_u REAL CHECK (spacing_u >= 0),
  worked TEXT,
  CHECK ((size IS NULL) = (size_mm IS NULL) AND (size IS NULL) = (size_u IS NULL)),
  CHECK ((spacing IS NULL) = (spacing_mm IS NULL) AND (spacing IS NULL) = (spacing_u IS NULL))
) STRICT;

-- Bones, busks, buckram.
CREATE TABLE stiffening (
  id INTEGER PRIMARY KEY REFERENCES observation(id),
  stiffener TEXT NOT NULL REFERENCES term(id) CHECK (stiffener GLOB 'stiffener/*'),
  count INTEGER CHECK (count >= 0),
  width TEXT, width_mm REAL, width_u REAL CHECK (width_u >= 0),
  thickness TEXT, thickness_mm REAL, thickness_u REAL CHECK (thickness_u >= 0),
  length TEXT, length_mm REAL, length_u REAL CHECK (length_u >= 0),
  channel TEXT,
  CHECK ((width IS NULL) = (width_mm IS NULL) AND (width IS NULL) = (width_u IS NULL)),
  CHECK ((thickness IS NULL) = (thickness_mm IS NULL) AND (thickness IS NULL) = (thickness_u IS NULL)),
  CHECK ((length IS NULL) = (length_mm IS NULL) AND (length IS NULL) = (length_u IS NULL))
) STRICT;

-- Lace, braid, ribbon.
CREATE TABLE trimming (
  id INTEGER PRIMARY KEY REFERENCES observation(id),
  trimming TEXT NOT NULL REFERENCES term(id) CHECK (trimming GLOB 'trimming/*'),
  material TEXT,
  width TEXT, width_mm REAL, width_u REAL CHECK (width_u >= 0),
  length TEXT, length_mm REAL, length_u REAL CHECK (length_u >= 0),
  placing TEXT,
  CHECK ((width IS NULL) = (width_mm IS NULL) AND (width IS NULL) = (width_u IS NULL)),
  CHECK ((length IS NULL) = (length_mm IS NULL) AND (length IS NULL) = (length_u IS NULL))
) STRICT;

-- The order of making.
CREATE TABLE step (
  id INTEGER PRIMARY KEY REFERENCES observation(id),
  order_of_work INTEGER,
  done TEXT NOT NULL
) STRICT;

-- Signs of wear and alteration: evidence, not damage.
CREATE TABLE sign (
  id INTEGER PRIMARY KEY REFERENCES observation(id),
  sign TEXT NOT NULL REFERENCES term(id) CHECK (sign GLOB 'sign/*'),
  seen TEXT
) STRICT;

-- Damage, one row a place. extent_value is a number, mm, mm2 or percent by extent_kind.
CREATE TABLE condition (
  id INTEGER PRIMARY KEY REFERENCES observation(id),
  damage TEXT NOT NULL REFERENCES term(id) CHECK (damage GLOB 'damage/*'),
  place TEXT,
  extent TEXT, extent_kind TEXT, extent_value REAL, extent_u REAL,
  severity TEXT REFERENCES term(id) CHECK (severity GLOB 'severity/*'),
  activity TEXT REFERENCES term(id) CHECK (activity GLOB 'activity/*'),
  cause TEXT REFERENCES term(id) CHECK (cause GLOB 'cause/*'),
  treated TEXT,
  continues_id INTEGER REFERENCES observation(id),
  CHECK (extent_kind IN ('count', 'length', 'area', 'percent')),
  CHECK ((extent IS NULL) = (extent_value IS NULL) AND (extent IS NULL) = (extent_u IS NULL) AND (extent IS NULL) = (extent_kind IS NULL))
) STRICT;

-- The state of the whole, with advice.
CREATE TABLE overall (
  id INTEGER PRIMARY KEY REFERENCES observation(id),
  grade TEXT NOT NULL REFERENCES term(id) CHECK (grade GLOB 'grade/*'),
  stability TEXT REFERENCES term(id) CHECK (stability GLOB 'stability/*'),
  urgency TEXT REFERENCES term(id) CHECK (urgency GLOB 'urgency/*'),
  statement TEXT,
  handling TEXT,
  storage TEXT,
  display TEXT
) STRICT;

-- What could hurt someone: may contain, never contains, unless tested.
CREATE TABLE hazard (
  id INTEGER PRIMARY KEY REFERENCES observation(id),
  hazard TEXT NOT NULL REFERENCES term(id) CHECK (hazard GLOB 'hazard/*'),
  basis TEXT,
  tested TEXT,
  caution TEXT
) STRICT;

-- One row an original file, named by its SHA-256. taken is local time; taken_offset blank means zone unknown.
CREATE TABLE photograph (
  id INTEGER PRIMARY KEY,
  uid TEXT NOT NULL UNIQUE CHECK (length(uid) = 36),
  sha256 TEXT NOT NULL UNIQUE CHECK (length(sha256) = 64),
  extension TEXT NOT NULL,
  original_name TEXT NOT NULL,
  bytes INTEGER NOT NULL,
  media_type TEXT NOT NULL,
  width INTEGER NOT NULL, height INTEGER NOT NULL,
  orientation INTEGER NOT NULL CHECK (orientation BETWEEN 1 AND 8),
  taken TEXT, taken_offset TEXT,
  make TEXT, model TEXT, lens TEXT, software TEXT,
  focal_length_mm REAL, aperture REAL, shutter_s REAL, exposure_bias_ev REAL, iso INTEGER,
  flash TEXT, white_balance TEXT, colour_space TEXT,
  exif TEXT NOT NULL,
  remarks TEXT NOT NULL DEFAULT '[]',
  CHECK (json_valid(exif)),
  CHECK (json_valid(remarks))
) STRICT;

-- What a photograph shows.
CREATE TABLE photograph_of (
  id INTEGER PRIMARY KEY,
  uid TEXT NOT NULL UNIQUE CHECK (length(uid) = 36),
  photograph_id INTEGER NOT NULL REFERENCES photograph(id),
  piece_id INTEGER NOT NULL REFERENCES piece(id),
  component_id INTEGER REFERENCES component(id),
  examination_id INTEGER REFERENCES examination(id),
  treatment_id INTEGER REFERENCES treatment(id),
  view TEXT REFERENCES term(id) CHECK (view GLOB 'view/*'),
  light TEXT REFERENCES term(id) CHECK (light GLOB 'light/*'),
  stage TEXT CHECK (stage IN ('before', 'during', 'after')),
  photographer_id INTEGER REFERENCES person(id),
  caption TEXT,
  UNIQUE (photograph_id, piece_id)
) STRICT;

CREATE INDEX photograph_of_piece ON photograph_of(piece_id);

-- Points, lines and outlines on a photograph, in pixels of the upright original.
CREATE TABLE region (
  id INTEGER PRIMARY KEY,
  uid TEXT NOT NULL UNIQUE CHECK (length(uid) = 36),
  photograph_id INTEGER NOT NULL REFERENCES photograph(id),
  label TEXT NOT NULL,
  shape TEXT NOT NULL CHECK (shape GLOB 'point *' OR shape GLOB 'line *' OR shape GLOB 'outline *'),
  observation_id INTEGER REFERENCES observation(id),
  note TEXT
) STRICT;

CREATE INDEX region_photograph ON region(photograph_id);

-- Every change, in order: who, when, why, before and after. Each row's hash covers the one before.
CREATE TABLE journal (
  id INTEGER PRIMARY KEY,
  at TEXT NOT NULL,
  author TEXT NOT NULL CHECK (trim(author) <> ''),
  reason TEXT NOT NULL CHECK (trim(reason) <> ''),
  act TEXT NOT NULL CHECK (act IN ('insert', 'update', 'delete')),
  in_table TEXT NOT NULL,
  row_id INTEGER NOT NULL,
  before TEXT CHECK (json_valid(before)),
  after TEXT CHECK (json_valid(after)),
  previous_hash TEXT NOT NULL,
  hash TEXT NOT NULL UNIQUE
) STRICT;

CREATE INDEX journal_row ON journal(in_table, row_id);
CREATE TRIGGER journal_is_kept BEFORE DELETE ON journal BEGIN SELECT RAISE(ABORT, 'the journal is never shortened'); END;
CREATE TRIGGER journal_stands BEFORE UPDATE ON journal BEGIN SELECT RAISE(ABORT, 'the journal is never rewritten'); END;

-- Word search: one row a piece, rebuilt from the record whenever the piece changes.
CREATE VIRTUAL TABLE words USING fts5(number, name, body, tokenize = 'unicode61 remove_diacritics 2');
