-- Safekeeping: a piece can be withdrawn from the lists and come back; it can be purged, and the journal then keeps that it
-- was, though not what it held.

-- Why the piece was withdrawn; blank while it is in the catalogue. Nothing of it is lost.
ALTER TABLE piece ADD COLUMN withdrawn TEXT CHECK (trim(withdrawn) <> '');

-- One row a purged piece. journal_rows names the rows of the journal whose contents went with it, as a list of first and
-- last: [[3,17],[20,20]].
CREATE TABLE purge (
  id INTEGER PRIMARY KEY,
  uid TEXT NOT NULL UNIQUE CHECK (length(uid) = 36),
  number TEXT NOT NULL,
  journal_rows TEXT NOT NULL CHECK (json_valid(journal_rows)),
  photographs INTEGER NOT NULL CHECK (photographs >= 0),
  sealed_pages INTEGER NOT NULL CHECK (sealed_pages >= 0)
) STRICT;
CREATE TRIGGER purge_stands BEFORE UPDATE ON purge
BEGIN SELECT RAISE(ABORT, 'that a piece was purged is never changed'); END;
CREATE TRIGGER purge_is_kept BEFORE DELETE ON purge
BEGIN SELECT RAISE(ABORT, 'that a piece was purged is never forgotten'); END;

-- From here on a row of the journal covers the SHA-256 of its contents, and not the contents themselves, so that contents
-- can go without breaking the chain. Blank while the contents are there: they can be worked out from them.
ALTER TABLE journal ADD COLUMN before_sha256 TEXT CHECK (before_sha256 IS NULL OR (length(before_sha256) = 64 AND before IS NULL));
ALTER TABLE journal ADD COLUMN after_sha256 TEXT CHECK (after_sha256 IS NULL OR (length(after_sha256) = 64 AND after IS NULL));

-- Rows of the journal from before this schema cover their contents themselves, and keep the hash that was printed on
-- sealed pages. They are covered a second time: sha256 is the last of a chain over rows 1 to up_to, worked out as for rows
-- of today. One row, or none in a catalogue that was never older.
CREATE TABLE journal_cover (
  id INTEGER PRIMARY KEY CHECK (id = 1),
  up_to INTEGER NOT NULL CHECK (up_to > 0),
  sha256 TEXT NOT NULL CHECK (length(sha256) = 64)
) STRICT;

DROP VIEW v_piece;
CREATE VIEW v_piece AS
SELECT p.number, substr(p.nature, 8) AS nature, p.object_name, p.title, p.maker, p.place, p.date,
       p.date_earliest, p.date_latest,
       (SELECT m."to" FROM move m WHERE m.piece_id = p.id ORDER BY m.date DESC, m.position DESC LIMIT 1) AS location,
       (SELECT count(*) FROM examination e WHERE e.piece_id = p.id) AS examinations,
       (SELECT count(*) FROM photograph_of f WHERE f.piece_id = p.id) AS photographs,
       p.description, p.uid, p.withdrawn
FROM piece p ORDER BY p.number_order;

-- A consent that was taken back; what was agreed to stays sealed.
ALTER TABLE treatment ADD COLUMN consent_withdrawn_by_id INTEGER REFERENCES person(id);
ALTER TABLE treatment ADD COLUMN consent_withdrawn_on TEXT
  CHECK (consent_withdrawn_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]');
ALTER TABLE treatment ADD COLUMN consent_withdrawn_why TEXT
  CHECK ((consent_withdrawn_why IS NULL) = (consent_withdrawn_on IS NULL)
    AND (consent_withdrawn_why IS NULL) = (consent_withdrawn_by_id IS NULL));
