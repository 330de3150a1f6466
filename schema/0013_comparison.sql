-- Comparisons that are kept by name: which piece beside which others, and on what terms. What comes of them is worked out
-- anew each time from the records as they stand.

CREATE TABLE comparison (
  id INTEGER PRIMARY KEY,
  uid TEXT NOT NULL UNIQUE CHECK (length(uid) = 36),
  name TEXT NOT NULL COLLATE NOCASE CHECK (length(name) > 0),
  -- the piece compared
  piece_id INTEGER NOT NULL REFERENCES piece(id),
  -- components paired by hand, one a line: component of the piece = component of the other
  pairs TEXT,
  -- one a line: what it is for, a share in per cent of the mean or an amount or both joined by "or"
  tolerances TEXT NOT NULL,
  -- one a line: scale or fit, lengths or girths, and the size of the others beside the piece or the dimensions fitted to
  sizes TEXT,
  by TEXT NOT NULL,
  kept_at TEXT NOT NULL,
  reason TEXT NOT NULL,
  replaced_by INTEGER REFERENCES comparison(id)
) STRICT;

-- A name has one comparison that stands; the ones before it are kept.
CREATE UNIQUE INDEX comparison_stands ON comparison(name) WHERE replaced_by IS NULL;

-- The pieces that it is compared with, in order.
CREATE TABLE comparison_other (
  id INTEGER PRIMARY KEY,
  comparison_id INTEGER NOT NULL REFERENCES comparison(id),
  position INTEGER NOT NULL,
  piece_id INTEGER NOT NULL REFERENCES piece(id)
) STRICT;
CREATE INDEX comparison_other_of ON comparison_other(comparison_id);

-- What a maker learned by a departure, for next time.
ALTER TABLE departure ADD COLUMN learned TEXT;

-- Every departure of the collection.
CREATE VIEW v_departure AS
SELECT p.number, c.name AS component, d.feature, d.was, d.now, substr(d.reason, 18) AS reason, d.note, d.learned
FROM departure d JOIN piece p ON p.id = d.piece_id LEFT JOIN component c ON c.id = d.component_id
ORDER BY p.number_order, d.position;
