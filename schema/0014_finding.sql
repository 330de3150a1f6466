-- What pieces are found by, and searches kept under a name.
--
-- The tables found_... and the word index `words` are worked out from the records whenever a piece changes, in the same
-- transaction; they hold nothing of their own. `dimity check` compares them with the records, `--index` makes them anew.

-- Word search: one row a piece. Case and diacritics do not matter (unicode61, remove_diacritics 2); nothing is cut to a
-- stem, because the trade's words are close to one another: a stemmer would take `lining` for `line`, `stayed` for `stays`.
DROP TABLE words;
CREATE VIRTUAL TABLE words USING fts5(
  number, object, title, maker, person, place, location, colour, body,
  tokenize = 'unicode61 remove_diacritics 2', prefix = '2 3'
);

-- `key/value`: fibre/silk, maker/wren askerdale, has/photograph. For a figure the name of its key or dimension alone.
CREATE TABLE found_word (
  id INTEGER PRIMARY KEY,
  word TEXT NOT NULL UNIQUE
) STRICT;

CREATE TABLE found_under (
  word_id INTEGER NOT NULL,
  piece_id INTEGER NOT NULL,
  PRIMARY KEY (word_id, piece_id)
) STRICT, WITHOUT ROWID;
CREATE INDEX found_under_piece ON found_under(piece_id);

-- In the units of the tables of records (mm, per cm, tex, g/m2; days since 1970-01-01). low and high: what is recorded,
-- the same unless it is a limit or a range; least and most: two standard uncertainties further. Infinite where open.
CREATE TABLE found_figure (
  word_id INTEGER NOT NULL,
  low REAL NOT NULL, high REAL NOT NULL,
  least REAL NOT NULL, most REAL NOT NULL,
  piece_id INTEGER NOT NULL,
  PRIMARY KEY (word_id, low, high, least, most, piece_id)
) STRICT, WITHOUT ROWID;
CREATE INDEX found_figure_piece ON found_figure(piece_id);

-- One row a piece: what a line of a list shows and what pieces are counted by. Names of terms without their lists.
CREATE TABLE found_piece (
  piece_id INTEGER PRIMARY KEY,
  nature TEXT NOT NULL,
  garment TEXT,
  date_earliest INTEGER, date_latest INTEGER,
  location TEXT,
  grade TEXT,
  fibres TEXT NOT NULL CHECK (json_valid(fibres)),
  examined TEXT,
  photographs INTEGER NOT NULL,
  photograph TEXT
) STRICT;

-- Searches kept under a name; one may name another.
CREATE TABLE kept_search (
  id INTEGER PRIMARY KEY,
  uid TEXT NOT NULL UNIQUE CHECK (length(uid) = 36),
  name TEXT NOT NULL UNIQUE COLLATE NOCASE CHECK (trim(name) = name AND length(name) BETWEEN 1 AND 80),
  query TEXT NOT NULL,
  note TEXT
) STRICT;

CREATE VIEW v_kept_search AS SELECT name, query, note, uid FROM kept_search ORDER BY name;
