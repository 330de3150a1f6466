-- What pieces are found by, with the pieces of a word kept as sets. A row for each piece under each word took most of the
-- time of a search and a good part of the time of an import.
--
-- As before, these tables are worked out from the records whenever a piece changes, in the same transaction, and hold nothing
-- of their own; `dimity check` compares them with the records, `--index` makes them anew.
DROP TABLE found_under;
DROP TABLE found_figure;
DROP TABLE found_piece;
DROP TABLE found_word;
DROP TABLE words;

-- Word search: one row a piece. Case and diacritics do not matter (unicode61, remove_diacritics 2); nothing is cut to a
-- stem, because the trade's words are close to one another: a stemmer would take `lining` for `line`, `stayed` for `stays`.
CREATE VIRTUAL TABLE words USING fts5(
  number, object, title, maker, person, place, location, colour, body,
  tokenize = 'unicode61 remove_diacritics 2', prefix = '2 3'
);

-- `key/value`: fibre/silk, maker/wren askerdale, has/photograph. For a figure the name of its key or dimension alone.
CREATE TABLE found_word (
  id INTEGER PRIMARY KEY,
  word TEXT NOT NULL UNIQUE
) STRICT;

-- The pieces under a word, 4096 row numbers to a part: part 0 has those from 0 to 4095. `pieces` holds the places in the part,
-- in order, two bytes each, the lower byte first; where that would take 512 bytes or more, 512 bytes with a bit for each place,
-- the lowest bit of the first byte first.
CREATE TABLE found_under (
  word_id INTEGER NOT NULL,
  part INTEGER NOT NULL,
  pieces BLOB NOT NULL CHECK (length(pieces) BETWEEN 2 AND 512),
  PRIMARY KEY (word_id, part)
) STRICT, WITHOUT ROWID;

-- The words that a piece is under, as a list of their numbers, so that it can be taken out of their sets.
CREATE TABLE found_words_of (
  piece_id INTEGER PRIMARY KEY,
  words TEXT NOT NULL CHECK (json_valid(words))
) STRICT;

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

-- One row a piece: what a line of a list shows. Names of terms without their lists.
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
