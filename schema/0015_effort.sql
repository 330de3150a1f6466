-- What a line of the work log sewed: the maker's pace follows from it, and which lines of stitches are done.

-- With the component, the purpose finds the stitching that was sewn.
ALTER TABLE work ADD COLUMN purpose TEXT REFERENCES term(id) CHECK (purpose GLOB 'purpose/*');
ALTER TABLE work ADD COLUMN stitch TEXT REFERENCES term(id) CHECK (stitch GLOB 'stitch/*');
-- blank: the whole line
ALTER TABLE work ADD COLUMN sewn TEXT;
ALTER TABLE work ADD COLUMN sewn_mm REAL CHECK ((sewn IS NULL) = (sewn_mm IS NULL));
ALTER TABLE work ADD COLUMN sewn_u REAL CHECK (sewn_u >= 0 AND (sewn IS NULL) = (sewn_u IS NULL));
-- counted by the maker
ALTER TABLE work ADD COLUMN stitches TEXT;
ALTER TABLE work ADD COLUMN stitches_count REAL CHECK ((stitches IS NULL) = (stitches_count IS NULL));
ALTER TABLE work ADD COLUMN stitches_u REAL CHECK (stitches_u >= 0 AND (stitches IS NULL) = (stitches_u IS NULL));
-- blank: finished, or as far as was sewn
ALTER TABLE work ADD COLUMN done TEXT CHECK (done IN ('begun', 'finished'));
