-- A reading of the colour target in a photograph: how far the photograph is off, and the correction fitted to it for
-- colour readings on that photograph alone. The original is never altered. A later reading replaces an earlier one,
-- which stays.
CREATE TABLE target_reading (
  id INTEGER PRIMARY KEY,
  uid TEXT NOT NULL UNIQUE CHECK (length(uid) = 36),
  photograph_id INTEGER NOT NULL REFERENCES photograph(id),
  -- the outer corners of the four corner patches, `x,y x,y x,y x,y`, in pixels of the upright original
  corners TEXT NOT NULL,
  -- name of the reference values, and the SHA-256 of their file
  reference TEXT NOT NULL CHECK (trim(reference) <> ''),
  reference_sha256 TEXT NOT NULL CHECK (length(reference_sha256) = 64),
  -- every patch with reference and measured CIELAB (D50), ΔE00, and the figures taken from them
  results TEXT NOT NULL CHECK (json_valid(results)),
  mean_de00 REAL NOT NULL CHECK (mean_de00 >= 0),
  max_de00 REAL NOT NULL CHECK (max_de00 >= 0),
  -- matrix and offset in linear light of sRGB, and how well they hold for patches left out; blank where none was fitted
  correction TEXT CHECK (json_valid(correction)),
  replaced_by INTEGER REFERENCES target_reading(id)
) STRICT;

CREATE INDEX target_reading_photograph ON target_reading(photograph_id);