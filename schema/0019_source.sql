-- What an old list said of a piece: one row of a spreadsheet, every cell as it stood, beside what was read from it.
CREATE TABLE source_row (
  id INTEGER PRIMARY KEY,
  uid TEXT NOT NULL UNIQUE CHECK (length(uid) = 36),
  piece_id INTEGER NOT NULL REFERENCES piece(id),
  -- the file by its name and the SHA-256 of its bytes, and the row as a spreadsheet program counts
  file TEXT NOT NULL,
  file_sha256 TEXT NOT NULL CHECK (length(file_sha256) = 64),
  sheet TEXT,
  "row" INTEGER NOT NULL CHECK ("row" > 0),
  -- a list with an object for each column, in order: heading, text, taken_for, read
  cells TEXT NOT NULL CHECK (json_valid(cells) AND json_type(cells) = 'array')
) STRICT;
CREATE INDEX source_row_piece ON source_row(piece_id);

CREATE VIEW v_source_cell AS
SELECT p.number, s.file, s.sheet, s."row", c.key + 1 AS "column", json_extract(c.value, '$.heading') AS heading,
       json_extract(c.value, '$.text') AS text, json_extract(c.value, '$.taken_for') AS taken_for,
       json_extract(c.value, '$.read') AS read
FROM source_row s JOIN piece p ON p.id = s.piece_id JOIN json_each(s.cells) c
ORDER BY p.number_order, s.id, c.key;
