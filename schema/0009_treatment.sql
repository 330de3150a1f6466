-- Treatment in full: options, tests made before, planned steps, what is not to be done; versions; and consents that are
-- sealed. A sealed proposal is never changed: a change is a new treatment row whose follows_id names the one before.

ALTER TABLE treatment ADD COLUMN follows_id INTEGER REFERENCES treatment(id) CHECK (follows_id <> id);
ALTER TABLE treatment ADD COLUMN present_condition TEXT;
ALTER TABLE treatment ADD COLUMN not_to_be_done TEXT;
ALTER TABLE treatment ADD COLUMN consent_conditions TEXT;

-- What could be done, and why it was chosen or not.
CREATE TABLE treatment_options (
  id INTEGER PRIMARY KEY,
  owner_id INTEGER NOT NULL REFERENCES treatment(id),
  position INTEGER NOT NULL,
  option TEXT NOT NULL,
  taken TEXT CHECK (taken IN ('yes', 'no', 'in part')),
  reason TEXT,
  UNIQUE (owner_id, position)
) STRICT;

-- Tests made before, each with its result and what follows from it.
CREATE TABLE treatment_tests (
  id INTEGER PRIMARY KEY,
  owner_id INTEGER NOT NULL REFERENCES treatment(id),
  position INTEGER NOT NULL,
  test TEXT NOT NULL,
  place TEXT,
  by_id INTEGER REFERENCES person(id),
  date TEXT CHECK (date GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  method TEXT,
  result TEXT,
  meaning TEXT,
  UNIQUE (owner_id, position)
) STRICT;

-- Steps as proposed; what was done stands in treatment_steps.
CREATE TABLE treatment_planned (
  id INTEGER PRIMARY KEY,
  owner_id INTEGER NOT NULL REFERENCES treatment(id),
  position INTEGER NOT NULL,
  step TEXT NOT NULL,
  component_id INTEGER REFERENCES component(id),
  hours TEXT, hours_h REAL, hours_u REAL CHECK (hours_u >= 0),
  UNIQUE (owner_id, position),
  CHECK ((hours IS NULL) = (hours_h IS NULL) AND (hours IS NULL) = (hours_u IS NULL))
) STRICT;

-- Materials as proposed; what was used stands in treatment_materials.
CREATE TABLE treatment_proposed_materials (
  id INTEGER PRIMARY KEY,
  owner_id INTEGER NOT NULL REFERENCES treatment(id),
  position INTEGER NOT NULL,
  material TEXT NOT NULL,
  purpose TEXT,
  supplier TEXT,
  amount TEXT,
  UNIQUE (owner_id, position)
) STRICT;

-- One row a consent that says who and when. proposal is the text of what was agreed to, a line a field; consent the text
-- of the agreement, whose first line is the hash of the proposal. Each hash is the SHA-256 of its text in UTF-8.
CREATE TABLE treatment_seal (
  id INTEGER PRIMARY KEY,
  owner_id INTEGER NOT NULL UNIQUE REFERENCES treatment(id),
  proposal TEXT NOT NULL,
  proposal_sha256 TEXT NOT NULL CHECK (length(proposal_sha256) = 64),
  consent TEXT NOT NULL,
  consent_sha256 TEXT NOT NULL CHECK (length(consent_sha256) = 64)
) STRICT;

-- A first fence; `dimity check` finds what gets past it.
CREATE TRIGGER seal_stands BEFORE UPDATE ON treatment_seal
BEGIN SELECT RAISE(ABORT, 'a seal is never changed'); END;
CREATE TRIGGER seal_is_kept BEFORE DELETE ON treatment_seal
BEGIN SELECT RAISE(ABORT, 'a seal is never removed'); END;
CREATE TRIGGER consent_stands BEFORE UPDATE OF id, uid, piece_id, title, follows_id, proposed_by_id, proposed_on, present_condition,
  aims, proposal, not_to_be_done, risks, hours_expected, hours_expected_h, hours_expected_u, consent_by_id, consent_on,
  consent_shown, consent_conditions ON treatment
WHEN EXISTS (SELECT 1 FROM treatment_seal WHERE owner_id = OLD.id)
BEGIN SELECT RAISE(ABORT, 'this proposal was consented to and is sealed: a change is a new version that follows it'); END;
CREATE TRIGGER consent_is_kept BEFORE DELETE ON treatment
WHEN EXISTS (SELECT 1 FROM treatment_seal WHERE owner_id = OLD.id)
BEGIN SELECT RAISE(ABORT, 'this proposal was consented to and is sealed: it is never removed'); END;
CREATE TRIGGER sealed_options_insert BEFORE INSERT ON treatment_options
WHEN EXISTS (SELECT 1 FROM treatment_seal WHERE owner_id = NEW.owner_id)
BEGIN SELECT RAISE(ABORT, 'this proposal was consented to and is sealed: a change is a new version that follows it'); END;
CREATE TRIGGER sealed_options_update BEFORE UPDATE ON treatment_options
WHEN EXISTS (SELECT 1 FROM treatment_seal WHERE owner_id IN (OLD.owner_id, NEW.owner_id))
BEGIN SELECT RAISE(ABORT, 'this proposal was consented to and is sealed: a change is a new version that follows it'); END;
CREATE TRIGGER sealed_options_delete BEFORE DELETE ON treatment_options
WHEN EXISTS (SELECT 1 FROM treatment_seal WHERE owner_id = OLD.owner_id)
BEGIN SELECT RAISE(ABORT, 'this proposal was consented to and is sealed: a change is a new version that follows it'); END;
CREATE TRIGGER sealed_tests_insert BEFORE INSERT ON treatment_tests
WHEN EXISTS (SELECT 1 FROM treatment_seal WHERE owner_id = NEW.owner_id)
BEGIN SELECT RAISE(ABORT, 'this proposal was consented to and is sealed: a change is a new version that follows it'); END;
CREATE TRIGGER sealed_tests_update BEFORE UPDATE ON treatment_tests
WHEN EXISTS (SELECT 1 FROM treatment_seal WHERE owner_id IN (OLD.owner_id, NEW.owner_id))
BEGIN SELECT RAISE(ABORT, 'this proposal was consented to and is sealed: a change is a new version that follows it'); END;
CREATE TRIGGER sealed_tests_delete BEFORE DELETE ON treatment_tests
WHEN EXISTS (SELECT 1 FROM treatment_seal WHERE owner_id = OLD.owner_id)
BEGIN SELECT RAISE(ABORT, 'this proposal was consented to and is sealed: a change is a new version that follows it'); END;
CREATE TRIGGER sealed_planned_insert BEFORE INSERT ON treatment_planned
WHEN EXISTS (SELECT 1 FROM treatment_seal WHERE owner_id = NEW.owner_id)
BEGIN SELECT RAISE(ABORT, 'this proposal was consented to and is sealed: a change is a new version that follows it'); END;
CREATE TRIGGER sealed_planned_update BEFORE UPDATE ON treatment_planned
WHEN EXISTS (SELECT 1 FROM treatment_seal WHERE owner_id IN (OLD.owner_id, NEW.owner_id))
BEGIN SELECT RAISE(ABORT, 'this proposal was consented to and is sealed: a change is a new version that follows it'); END;
CREATE TRIGGER sealed_planned_delete BEFORE DELETE ON treatment_planned
WHEN EXISTS (SELECT 1 FROM treatment_seal WHERE owner_id = OLD.owner_id)
BEGIN SELECT RAISE(ABORT, 'this proposal was consented to and is sealed: a change is a new version that follows it'); END;
CREATE TRIGGER sealed_proposed_materials_insert BEFORE INSERT ON treatment_proposed_materials
WHEN EXISTS (SELECT 1 FROM treatment_seal WHERE owner_id = NEW.owner_id)
BEGIN SELECT RAISE(ABORT, 'this proposal was consented to and is sealed: a change is a new version that follows it'); END;
CREATE TRIGGER sealed_proposed_materials_update BEFORE UPDATE ON treatment_proposed_materials
WHEN EXISTS (SELECT 1 FROM treatment_seal WHERE owner_id IN (OLD.owner_id, NEW.owner_id))
BEGIN SELECT RAISE(ABORT, 'this proposal was consented to and is sealed: a change is a new version that follows it'); END;
CREATE TRIGGER sealed_proposed_materials_delete BEFORE DELETE ON treatment_proposed_materials
WHEN EXISTS (SELECT 1 FROM treatment_seal WHERE owner_id = OLD.owner_id)
BEGIN SELECT RAISE(ABORT, 'this proposal was consented to and is sealed: a change is a new version that follows it'); END;

-- Treatments as a list: which version of which, how far, how long.
CREATE VIEW v_treatment AS
WITH RECURSIVE version(id, number) AS (
  SELECT id, 1 FROM treatment WHERE follows_id IS NULL
  UNION ALL SELECT t.id, version.number + 1 FROM treatment t JOIN version ON t.follows_id = version.id
)
SELECT p.number, t.title, coalesce(v.number, 1) AS version, w.name AS proposed_by, t.proposed_on, c.name AS consent_by, t.consent_on,
       substr(s.proposal_sha256, 1, 8) AS seal, t.hours_expected_h AS hours_expected,
       (SELECT sum(d.hours_h) FROM treatment_steps d WHERE d.owner_id = t.id) AS hours_worked,
       (SELECT max(d.date) FROM treatment_steps d WHERE d.owner_id = t.id) AS last_worked_on, t.result, t.uid
FROM treatment t JOIN piece p ON p.id = t.piece_id
LEFT JOIN person w ON w.id = t.proposed_by_id LEFT JOIN person c ON c.id = t.consent_by_id
LEFT JOIN treatment_seal s ON s.owner_id = t.id LEFT JOIN version v ON v.id = t.id
ORDER BY p.number_order, t.position;
