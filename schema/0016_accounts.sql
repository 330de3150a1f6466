-- Who may use the workbench from another desk, and what for: to read, to examine, or to keep the collection.
CREATE TABLE account (
  id INTEGER PRIMARY KEY,
  uid TEXT NOT NULL UNIQUE CHECK (length(uid) = 36),
  -- the name that stands in the journal
  name TEXT NOT NULL UNIQUE COLLATE NOCASE CHECK (trim(name) = name AND length(name) BETWEEN 1 AND 120),
  role TEXT NOT NULL CHECK (role IN ('read', 'examine', 'keep'))
) STRICT;

-- Passwords, hashed. They stand apart because the journal is kept for ever and must not hold them.
CREATE TABLE account_password (
  account_id INTEGER PRIMARY KEY REFERENCES account(id) ON DELETE CASCADE,
  hash TEXT NOT NULL CHECK (hash GLOB '$argon2id$*')
) STRICT;
