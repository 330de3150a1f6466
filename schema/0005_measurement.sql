-- An instrument's own error, and parts that make up a whole.

ALTER TABLE measurement ADD COLUMN error_limit TEXT;
ALTER TABLE measurement ADD COLUMN error_limit_mm REAL CHECK ((error_limit IS NULL) = (error_limit_mm IS NULL));
ALTER TABLE measurement ADD COLUMN error_limit_u REAL
  CHECK (error_limit_u >= 0 AND (error_limit IS NULL) = (error_limit_u IS NULL));
ALTER TABLE measurement ADD COLUMN adds_up_to TEXT REFERENCES term(id) CHECK (adds_up_to GLOB 'dimension/*');
ALTER TABLE measurement ADD COLUMN times INTEGER CHECK (times > 0);
