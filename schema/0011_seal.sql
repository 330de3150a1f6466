-- Own wordings of terms, and sealed reports. Both stay as they were written: what comes later is a new row.

-- The collection's own definition of a word of judgement, from a day on. A blank definition: from that day on the
-- shipped one holds again. Of two for the same day the one entered later holds.
CREATE TABLE wording (
  id INTEGER PRIMARY KEY,
  uid TEXT NOT NULL UNIQUE CHECK (length(uid) = 36),
  term TEXT NOT NULL REFERENCES term(id)
    CHECK (substr(term, 1, instr(term, '/') - 1) IN ('grade', 'stability', 'urgency', 'severity', 'activity', 'damage')),
  -- the first day on which it holds, and the day on which it was entered
  since TEXT NOT NULL CHECK (since GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  entered TEXT NOT NULL CHECK (entered GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  definition TEXT CHECK (trim(definition) <> ''),
  source TEXT NOT NULL CHECK (trim(source) <> '')
) STRICT;

-- Sealed reports: the exact page lies in the folder `sealed` under its SHA-256.
CREATE TABLE seal (
  id INTEGER PRIMARY KEY,
  uid TEXT NOT NULL UNIQUE CHECK (length(uid) = 36),
  piece_id INTEGER NOT NULL REFERENCES piece(id),
  examination_id INTEGER NOT NULL REFERENCES examination(id),
  -- full report, one-page summary or loan set; with against_id the report beside that earlier sealed one
  print_set TEXT NOT NULL CHECK (print_set IN ('full', 'summary', 'loan', 'against')),
  against_id INTEGER REFERENCES seal(id),
  sha256 TEXT NOT NULL UNIQUE CHECK (length(sha256) = 64 AND sha256 NOT GLOB '*[^0-9a-f]*'),
  -- short form of the same for paper; the program works it out from sha256
  code TEXT NOT NULL UNIQUE CHECK (length(code) = 14),
  bytes INTEGER NOT NULL CHECK (bytes > 0),
  sealed_on TEXT NOT NULL CHECK (sealed_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  sealed_by TEXT NOT NULL CHECK (trim(sealed_by) <> ''),
  -- the last row of the journal when the page was printed, and its hash: what the catalogue was then
  revision INTEGER NOT NULL CHECK (revision >= 0),
  revision_hash TEXT NOT NULL CHECK (length(revision_hash) = 64),
  -- of the program, the shipped vocabulary, and the own terms and wordings (`none` if there were none)
  program TEXT NOT NULL,
  vocabulary TEXT NOT NULL,
  definitions TEXT NOT NULL,
  -- everything recorded of the piece at that moment
  record TEXT NOT NULL CHECK (json_valid(record)),
  CHECK ((print_set = 'against') = (against_id IS NOT NULL))
) STRICT;
CREATE INDEX seal_piece ON seal(piece_id);

CREATE TRIGGER wording_stays BEFORE UPDATE ON wording
BEGIN SELECT RAISE(ABORT, 'a wording stays as it was entered; a later one is a new row'); END;
CREATE TRIGGER wording_is_kept BEFORE DELETE ON wording
BEGIN SELECT RAISE(ABORT, 'a wording stays; to give it up, enter that the shipped one holds again'); END;
CREATE TRIGGER sealed_report_stays BEFORE UPDATE ON seal
BEGIN SELECT RAISE(ABORT, 'a sealed report is never changed'); END;
CREATE TRIGGER sealed_report_is_kept BEFORE DELETE ON seal
BEGIN SELECT RAISE(ABORT, 'a sealed report is never removed'); END;

CREATE VIEW v_seal AS
SELECT p.number, e.date AS examined, s.print_set, s.sealed_on, s.sealed_by, s.code, s.sha256,
       'sealed/' || substr(s.sha256, 1, 2) || '/' || s.sha256 || '.html' AS file, s.bytes, s.revision, s.revision_hash,
       s.program, s.vocabulary, s.definitions
  FROM seal s JOIN piece p ON p.id = s.piece_id JOIN examination e ON e.id = s.examination_id;
