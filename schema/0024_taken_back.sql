-- What an entry brought and was taken back, though something points to it: a component that a withdrawn observation names, the
-- circumstances of an examination of which no observation stands. It stands no more, and stays readable.
ALTER TABLE component ADD COLUMN withdrawn TEXT CHECK (trim(withdrawn) <> '');
ALTER TABLE examination ADD COLUMN withdrawn TEXT CHECK (trim(withdrawn) <> '');

DROP VIEW v_piece;
CREATE VIEW v_piece AS
SELECT p.number, substr(p.nature, 8) AS nature, p.object_name, p.title, p.maker, p.place, p.date,
       p.date_earliest, p.date_latest,
       (SELECT m."to" FROM move m WHERE m.piece_id = p.id ORDER BY m.date DESC, m.position DESC LIMIT 1) AS location,
       (SELECT count(*) FROM examination e WHERE e.piece_id = p.id AND e.withdrawn IS NULL) AS examinations,
       (SELECT count(*) FROM photograph_of f WHERE f.piece_id = p.id) AS photographs,
       p.description, p.uid, p.withdrawn
FROM piece p ORDER BY p.number_order;
