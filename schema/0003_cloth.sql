-- What is measured of fibres, yarns and cloth beyond counts and angles: the diameter, density and birefringence of a fibre;
-- the turns, diameter and crimp of a yarn; the mass of an area of cloth.

ALTER TABLE textile_fibres ADD COLUMN diameter TEXT;
ALTER TABLE textile_fibres ADD COLUMN diameter_mm REAL;
ALTER TABLE textile_fibres ADD COLUMN diameter_u REAL CHECK (diameter_u >= 0)
  CHECK ((diameter IS NULL) = (diameter_mm IS NULL) AND (diameter IS NULL) = (diameter_u IS NULL));
-- g/cm³
ALTER TABLE textile_fibres ADD COLUMN density REAL CHECK (density > 0);
ALTER TABLE textile_fibres ADD COLUMN birefringence REAL CHECK (birefringence BETWEEN -1 AND 1);

ALTER TABLE textile ADD COLUMN warp_turns TEXT;
ALTER TABLE textile ADD COLUMN warp_turns_per_cm REAL;
ALTER TABLE textile ADD COLUMN warp_turns_u REAL CHECK (warp_turns_u >= 0)
  CHECK ((warp_turns IS NULL) = (warp_turns_per_cm IS NULL) AND (warp_turns IS NULL) = (warp_turns_u IS NULL));
ALTER TABLE textile ADD COLUMN warp_diameter TEXT;
ALTER TABLE textile ADD COLUMN warp_diameter_mm REAL;
ALTER TABLE textile ADD COLUMN warp_diameter_u REAL CHECK (warp_diameter_u >= 0)
  CHECK ((warp_diameter IS NULL) = (warp_diameter_mm IS NULL) AND (warp_diameter IS NULL) = (warp_diameter_u IS NULL));
ALTER TABLE textile ADD COLUMN warp_crimp TEXT;
ALTER TABLE textile ADD COLUMN warp_crimp_percent REAL;
ALTER TABLE textile ADD COLUMN warp_crimp_u REAL CHECK (warp_crimp_u >= 0)
  CHECK ((warp_crimp IS NULL) = (warp_crimp_percent IS NULL) AND (warp_crimp IS NULL) = (warp_crimp_u IS NULL));
ALTER TABLE textile ADD COLUMN weft_turns TEXT;
ALTER TABLE textile ADD COLUMN weft_turns_per_cm REAL;
ALTER TABLE textile ADD COLUMN weft_turns_u REAL CHECK (weft_turns_u >= 0)
  CHECK ((weft_turns IS NULL) = (weft_turns_per_cm IS NULL) AND (weft_turns IS NULL) = (weft_turns_u IS NULL));
ALTER TABLE textile ADD COLUMN weft_diameter TEXT;
ALTER TABLE textile ADD COLUMN weft_diameter_mm REAL;
ALTER TABLE textile ADD COLUMN weft_diameter_u REAL CHECK (weft_diameter_u >= 0)
  CHECK ((weft_diameter IS NULL) = (weft_diameter_mm IS NULL) AND (weft_diameter IS NULL) = (weft_diameter_u IS NULL));
ALTER TABLE textile ADD COLUMN weft_crimp TEXT;
ALTER TABLE textile ADD COLUMN weft_crimp_percent REAL;
ALTER TABLE textile ADD COLUMN weft_crimp_u REAL CHECK (weft_crimp_u >= 0)
  CHECK ((weft_crimp IS NULL) = (weft_crimp_percent IS NULL) AND (weft_crimp IS NULL) = (weft_crimp_u IS NULL));
ALTER TABLE textile ADD COLUMN mass TEXT;
ALTER TABLE textile ADD COLUMN mass_g_m2 REAL;
ALTER TABLE textile ADD COLUMN mass_u REAL CHECK (mass_u >= 0)
  CHECK ((mass IS NULL) = (mass_g_m2 IS NULL) AND (mass IS NULL) = (mass_u IS NULL));

-- The joined picture of a cloth, with the sett in both units, the yarns in tex and the mass.
DROP VIEW v_textile;
CREATE VIEW v_textile AS
SELECT v.number, v.examined, v.component, substr(t.role, 14) AS role, t.name,
       (SELECT group_concat(substr(f.fibre, 7), ', ') FROM textile_fibres f WHERE f.owner_id = t.id) AS fibres,
       substr(t.structure, 7) AS structure, t.ends_per_cm, t.picks_per_cm, t.ends_per_cm * 2.54 AS ends_per_inch,
       t.picks_per_cm * 2.54 AS picks_per_inch, t.warp_number_tex AS warp_tex, t.weft_number_tex AS weft_tex,
       t.mass_g_m2, t.colour, v.evidence, v.certainty
FROM textile t JOIN v_observation v ON v.id = t.id;
