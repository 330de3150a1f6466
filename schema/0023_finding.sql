-- The pieces under a word as sets. A row for each piece under each word took most of the time of a search and a good part of
-- the time of an import.
DROP TABLE found_under;

-- 4096 row numbers to a part: part 0 has the pieces from 0 to 4095. `pieces` holds the places in the part, in order, two bytes
-- each, the lower byte first; where that would take 512 bytes or more, 512 bytes with a bit for each place, the lowest bit of
-- the first byte first. The pieces of which a figure is recorded are under the name of its key or dimension.
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
