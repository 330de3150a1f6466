-- The scale of a photograph, and regions that are the outline of a component.

-- A known length (two places) or rectangle (four corners in order round it) on a photograph, in pixels of the upright
-- original: x,y x,y ... size is what was written; across_mm is the length, or the side between the first two corners;
-- down_mm the next side. u_mm is the standard uncertainty of each, pointing_px that of a place in each direction.
-- further lists more known places: x,y=mm,mm x,y=mm,mm ... from the first corner along the two sides.
-- Every length and area taken with it holds in the plane of the bar or rectangle only.
CREATE TABLE scale (
  id INTEGER PRIMARY KEY,
  uid TEXT NOT NULL UNIQUE CHECK (length(uid) = 36),
  photograph_id INTEGER NOT NULL REFERENCES photograph(id),
  places TEXT NOT NULL,
  size TEXT NOT NULL,
  across_mm REAL NOT NULL CHECK (across_mm > 0),
  down_mm REAL CHECK (down_mm > 0),
  u_mm REAL NOT NULL CHECK (u_mm >= 0),
  tolerance TEXT,
  pointing_px REAL NOT NULL CHECK (pointing_px > 0),
  further TEXT,
  replaced_by INTEGER REFERENCES scale(id)
) STRICT;

-- A photograph has one scale that stands; the ones before it are kept.
CREATE UNIQUE INDEX scale_stands ON scale(photograph_id) WHERE replaced_by IS NULL;

-- The component whose outline the region is. shape may go on after an outline: hole x,y x,y x,y ...
ALTER TABLE region ADD COLUMN outlines_id INTEGER REFERENCES component(id);
