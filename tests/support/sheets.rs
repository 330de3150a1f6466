//! Sheets of invented pieces.

/// A piece with an examination that touches most sections.
pub const SPENCER: &str = r#"
[piece]
number = "2031.1"
nature = "extant"
object_name = "spencer"
garment = "spencer"
title = "Green silk spencer"
date = "c. 1815"
inscriptions = ["ink, inside collar: \"R. H.\""]
keywords = ["silk", "piping"]

[[component]]
name = "left front"

[[component]]
name = "watch pocket"
part_of = "left front"

[[person]]
person = "Sabine Dunmarrow"
role = "donor"

[[event]]
event = "gift"
date = "2016-11-05"
person = "Sabine Dunmarrow"

[[move]]
to = "bay A, shelf 1"
date = 2031-02-01

[[housing]]
storage = "box"
length = "76 cm"

[[treatment]]
title = "Support of the tear"
hours_expected = "4 h"
steps = [{ done = "Net laid", date = 2031-04-01, hours = "1 h 30 min" }]
materials = [{ material = "silk crepeline", lot = "7" }]

[examination]
date = 2031-03-02
examiner = "Wren Askerdale"
reason = "acquisition"
light = "daylight"
temperature = "18 °C"
humidity = "52 %"

[[textile]]
role = "shell"
component = "left front"
fibres = ["silk", { fibre = "cotton", percent = "20 %" }]
structure = "tabby"
warp = { twist = "Z", ply = 1, angle = "20 deg" }
ends = ["48 in 1 in", "50 in 1 in"]
picks = "40 in 1 in"
colours = [{ l = 38.2, a = -21.0, b = 14.5 }]

[[measurement]]
dimension = "centre back length"
readings = ["14 1/2 in", "14 5/8 in"]
taken = "flat"
resolution = "1/8 in"

[[stitching]]
purpose = "side seam"
stitch = "backstitch"
density = ["9 in 1 in", "10 in 1 in"]
made = "hand"

[[condition]]
damage = "tear"
component = "left front"
place = "at the pocket"
extent = "12 mm"
severity = "slight"
activity = "inactive"

[[overall]]
grade = "good"
statement = "Sound."
"#;

/// A later examination of the same piece.
pub const AGAIN: &str = r#"
[piece]
number = "2031.1"

[examination]
date = 2034-03-02
examiner = "Wren Askerdale"

[[condition]]
damage = "tear"
component = "left front"
place = "at the pocket"
extent = "16 mm"
severity = "moderate"
activity = "active"
continues = "last"
"#;

/// A reconstruction of the spencer that differs in a length, a fibre and a stitch density.
pub const AFTER: &str = r#"
[piece]
number = "2031.R1"
nature = "reconstruction"
object_name = "spencer"

[[made_after]]
model = "2031.1"

[[component]]
name = "left front"

[[component]]
name = "fob pocket"

[examination]
date = 2032-03-02
examiner = "Wren Askerdale"

[[textile]]
role = "shell"
component = "left front"
fibres = ["wool"]

[[measurement]]
dimension = "centre back length"
readings = ["16 in", "16 1/8 in"]
taken = "flat"
resolution = "1/8 in"

[[stitching]]
purpose = "side seam"
stitch = "running stitch"
density = ["5 in 1 in", "5 in 1 in"]
"#;

/// The least that is a sheet.
pub const PLAIN: &str = "[piece]\nnumber = \"2031.2\"\nnature = \"reconstruction\"\nobject_name = \"stays\"\n";

/// Another piece, like [`PLAIN`], under this number.
pub fn second(number: &str) -> String {
    let number = toml::Value::String(number.into());
    format!("[piece]\nnumber = {number}\nnature = \"extant\"\nobject_name = \"gown\"\n")
}
