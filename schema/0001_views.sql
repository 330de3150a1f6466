-- The joined picture for a reader who has only the sqlite3 program. Withdrawn and replaced observations are left out.

CREATE VIEW v_piece AS
SELECT p.number, substr(p.nature, 8) AS nature, p.object_name, p.title, p.maker, p.place, p.date,
       p.date_earliest, p.date_latest,
       (SELECT m."to" FROM move m WHERE m.piece_id = p.id ORDER BY m.date DESC, m.position DESC LIMIT 1) AS location,
       (SELECT count(*) FROM examination e WHERE e.piece_id = p.id) AS examinations,
       (SELECT count(*) FROM photograph_of f WHERE f.piece_id = p.id) AS photographs,
       p.description, p.uid
FROM piece p ORDER BY p.number_order;

CREATE VIEW v_observation AS
SELECT o.id, p.number, e.date AS examined, x.name AS examiner, o.kind, c.name AS component,
       substr(o.evidence, 10) AS evidence, substr(o.certainty, 11) AS certainty, o.interpretation, o.note, o.uid
FROM observation o
JOIN examination e ON e.id = o.examination_id
JOIN piece p ON p.id = e.piece_id
JOIN person x ON x.id = e.examiner_id
LEFT JOIN component c ON c.id = o.component_id
WHERE o.replaced_by IS NULL AND o.withdrawn IS NULL;

CREATE VIEW v_measurement AS
SELECT v.number, v.examined, v.component, substr(m.dimension, 11) AS dimension,
       (SELECT group_concat(r.as_written, '; ') FROM reading r WHERE r.owner_id = m.id) AS as_written,
       m.mm, m.u_mm, m.taken, m.instrument, v.evidence, v.certainty
FROM measurement m JOIN v_observation v ON v.id = m.id;

CREATE VIEW v_textile AS
SELECT v.number, v.examined, v.component, substr(t.role, 14) AS role, t.name,
       (SELECT group_concat(substr(f.fibre, 7), ', ') FROM textile_fibres f WHERE f.owner_id = t.id) AS fibres,
       substr(t.structure, 7) AS structure, t.ends_per_cm, t.picks_per_cm, t.colour, v.evidence, v.certainty
FROM textile t JOIN v_observation v ON v.id = t.id;

CREATE VIEW v_stitching AS
SELECT v.number, v.examined, v.component, substr(s.purpose, 9) AS purpose, substr(s.stitch, 8) AS stitch,
       substr(s.seam, 6) AS seam, s.made, s.thread, s.per_cm, s.u_per_cm, v.evidence, v.certainty
FROM stitching s JOIN v_observation v ON v.id = s.id;

CREATE VIEW v_condition AS
SELECT v.number, v.examined, v.component, substr(c.damage, 8) AS damage, c.place, c.extent, c.extent_kind,
       c.extent_value, c.extent_u, substr(c.severity, 10) AS severity, substr(c.activity, 10) AS activity,
       substr(c.cause, 7) AS cause, c.treated, v.evidence, v.certainty
FROM condition c JOIN v_observation v ON v.id = c.id;

CREATE VIEW v_photograph AS
SELECT p.number, f.sha256, f.extension, f.original_name, f.taken, f.taken_offset, substr(o.view, 6) AS view,
       substr(o.light, 7) AS light, o.stage, c.name AS component, o.caption
FROM photograph_of o JOIN photograph f ON f.id = o.photograph_id JOIN piece p ON p.id = o.piece_id
LEFT JOIN component c ON c.id = o.component_id;
