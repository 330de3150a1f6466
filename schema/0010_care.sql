-- Times on display, here or on loan. Light times hours a day times days is the dose.
CREATE TABLE display (
  id INTEGER PRIMARY KEY,
  uid TEXT NOT NULL UNIQUE CHECK (length(uid) = 36),
  piece_id INTEGER NOT NULL REFERENCES piece(id),
  position INTEGER NOT NULL,
  place TEXT NOT NULL,
  "from" TEXT NOT NULL CHECK ("from" GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  -- blank while the piece is there
  "to" TEXT CHECK ("to" GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  -- on the piece, in lux
  light TEXT, light_lx REAL, light_u REAL CHECK (light_u >= 0),
  -- of light a day, the mean over all days of the week
  hours TEXT, hours_h REAL, hours_u REAL CHECK (hours_u >= 0),
  -- microwatts per lumen
  uv TEXT, uv_uw_lm REAL, uv_u REAL CHECK (uv_u >= 0),
  note TEXT,
  CHECK ((light IS NULL) = (light_lx IS NULL) AND (light IS NULL) = (light_u IS NULL)),
  CHECK ((hours IS NULL) = (hours_h IS NULL) AND (hours IS NULL) = (hours_u IS NULL)),
  CHECK ((uv IS NULL) = (uv_uw_lm IS NULL) AND (uv IS NULL) = (uv_u IS NULL))
) STRICT;
CREATE INDEX display_piece ON display(piece_id);

-- Where the keeper decides otherwise than the program advises. The advice itself is worked out anew each time.
CREATE TABLE care (
  id INTEGER PRIMARY KEY,
  uid TEXT NOT NULL UNIQUE CHECK (length(uid) = 36),
  piece_id INTEGER NOT NULL REFERENCES piece(id),
  position INTEGER NOT NULL,
  topic TEXT NOT NULL CHECK (topic IN ('storage', 'padding', 'handling', 'light', 'ultraviolet', 'air', 'box', 'mannequin', 'display')),
  instead TEXT NOT NULL,
  reason TEXT NOT NULL,
  by_id INTEGER REFERENCES person(id),
  date TEXT CHECK (date GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]')
) STRICT;
CREATE INDEX care_piece ON care(piece_id);

-- After how many months a piece is looked at again; the program's own where there is no row.
CREATE TABLE survey_interval (
  id INTEGER PRIMARY KEY CHECK (id = 1),
  active_change INTEGER NOT NULL CHECK (active_change BETWEEN 1 AND 1200),
  at_risk INTEGER NOT NULL CHECK (at_risk BETWEEN 1 AND 1200),
  stable INTEGER NOT NULL CHECK (stable BETWEEN 1 AND 1200),
  not_recorded INTEGER NOT NULL CHECK (not_recorded BETWEEN 1 AND 1200),
  hazard INTEGER NOT NULL CHECK (hazard BETWEEN 1 AND 1200),
  growing INTEGER NOT NULL CHECK (growing BETWEEN 1 AND 1200)
) STRICT;

CREATE VIEW v_display AS
SELECT p.number, d.place, d."from", d."to", d.light, d.light_lx, d.hours_h, d.uv_uw_lm,
       round((julianday(coalesce(d."to", date('now'))) - julianday(d."from") + 1) * d.light_lx * d.hours_h) AS lux_hours
FROM display d JOIN piece p ON p.id = d.piece_id ORDER BY p.number_order, d."from";
