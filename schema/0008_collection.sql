-- The collection itself: what its reports are headed with, and where it is kept. One row, or none.
CREATE TABLE collection (
  id INTEGER PRIMARY KEY CHECK (id = 1),
  name TEXT,
  -- Degrees, north and east positive; both or neither. The height of the sun in daylight photographs is reckoned for it.
  latitude REAL CHECK (latitude BETWEEN -90 AND 90),
  longitude REAL CHECK (longitude BETWEEN -180 AND 180),
  CHECK ((latitude IS NULL) = (longitude IS NULL))
) STRICT;
