-- What belongs to a photograph, a piece or an examination, found from there without reading the whole table: a piece is
-- read and purged, and its journal told, by these links.
CREATE INDEX scale_of ON scale(photograph_id);
CREATE INDEX registration_first ON registration(first_id);
CREATE INDEX registration_second ON registration(second_id);
CREATE INDEX comparison_of ON comparison(piece_id);
CREATE INDEX comparison_other_piece ON comparison_other(piece_id);
CREATE INDEX seal_examination ON seal(examination_id);
