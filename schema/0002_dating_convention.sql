-- Catalogue schema, version 2: how this catalogue understands written dates. One row, or none while the program's own
-- conventions hold (circa 5 years, centuries 1800-1899, thirds, strict, ask). A date that was entered keeps the years of
-- its own day: its remark names the convention that gave them, and a change here touches dates entered afterwards.
CREATE TABLE dating_convention (
  id INTEGER PRIMARY KEY CHECK (id = 1),
  -- Years either side of a single `circa` year.
  circa_years INTEGER NOT NULL CHECK (circa_years BETWEEN 0 AND 100),
  -- 0: the 19th century is 1800-1899; 1: it is 1801-1900.
  century_from INTEGER NOT NULL CHECK (century_from IN (0, 1)),
  -- How early, mid and late cut a century.
  cut TEXT NOT NULL CHECK (cut IN ('thirds', 'quarters')),
  -- Whether `before 1800` and `after 1800` hold 1800 itself, and whether they end.
  beyond TEXT NOT NULL CHECK (beyond IN ('strict', 'inclusive', 'hundred')),
  -- What `1800s` means.
  hundreds TEXT NOT NULL CHECK (hundreds IN ('ask', 'century', 'decade'))
) STRICT;
