-- A piece by its number, in whatever case that is typed, and by how its number begins.
CREATE INDEX piece_number_any_case ON piece(lower(number));
