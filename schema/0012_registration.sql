-- Two photographs of the same thing laid over each other: before and after, original and reconstruction.

-- pairs lists the same marks on both, in pixels of the upright originals: x,y=x,y x,y=x,y ... with the place on the
-- first photograph before the sign and that on the second behind it. The map between the two planes follows from them.
CREATE TABLE registration (
  id INTEGER PRIMARY KEY,
  uid TEXT NOT NULL UNIQUE CHECK (length(uid) = 36),
  first_id INTEGER NOT NULL REFERENCES photograph(id),
  second_id INTEGER NOT NULL REFERENCES photograph(id),
  pairs TEXT NOT NULL,
  replaced_by INTEGER REFERENCES registration(id),
  CHECK (first_id <> second_id)
) STRICT;

-- Two photographs have one registration that stands; the ones before it are kept.
CREATE UNIQUE INDEX registration_stands ON registration(first_id, second_id) WHERE replaced_by IS NULL;
