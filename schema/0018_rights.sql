-- Rights: what others may do with a piece and with a photograph of it, whose rights they are, and how to credit it.

-- What a term is known by elsewhere: a short identifier (of rightsstatements.org, or of the SPDX licence list) and a URI.
ALTER TABLE term ADD COLUMN identifier TEXT CHECK (trim(identifier) <> '');
ALTER TABLE term ADD COLUMN uri TEXT CHECK (trim(uri) <> '');

-- `rights` holds what is to be said beyond the statement, in words; in catalogues of earlier schemas the statement itself.
ALTER TABLE piece ADD COLUMN rights_statement TEXT REFERENCES term(id) CHECK (rights_statement GLOB 'rights/*');
ALTER TABLE piece ADD COLUMN rights_holder TEXT;

-- Of the photograph itself, whichever pieces it shows.
ALTER TABLE photograph ADD COLUMN rights_statement TEXT REFERENCES term(id) CHECK (rights_statement GLOB 'rights/*');
ALTER TABLE photograph ADD COLUMN rights_holder TEXT;
ALTER TABLE photograph ADD COLUMN credit_line TEXT;
ALTER TABLE photograph ADD COLUMN rights TEXT;

CREATE VIEW v_rights AS
SELECT p.number, NULL AS photograph, t.identifier AS statement, t.uri, p.rights_holder, p.credit_line, p.rights
FROM piece p LEFT JOIN term t ON t.id = p.rights_statement
UNION ALL
SELECT p.number, f.sha256, t.identifier, t.uri, f.rights_holder, f.credit_line, f.rights
FROM photograph f JOIN photograph_of o ON o.photograph_id = f.id JOIN piece p ON p.id = o.piece_id
LEFT JOIN term t ON t.id = f.rights_statement;
