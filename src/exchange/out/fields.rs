//! The decision on every field: public, or left out as what. One line a record, by the name of its section in a sheet.
//! A test holds the lists against the records: each field stands in exactly one of them.

use super::discretion::Kind;

/// Fields for the public.
pub(super) const PUBLIC: &[(&str, &str)] = &[
    (
        "piece",
        "number nature object_name garment title maker place culture date description inscriptions credit_line rights \
         rights_statement rights_holder keywords",
    ),
    ("component", "name part_of term side count"),
    ("made_after", "model source scale"),
    ("departure", "feature component was now reason"),
    ("examination", "date light magnification"),
    (
        "textile",
        "component role name structure ends picks mass selvedge loom_width colour dye finish evidence certainty",
    ),
    ("textile.fibres", "fibre percent method certainty diameter density birefringence"),
    ("textile.warp", "fibre ply twist angle turns diameter number crimp"),
    ("textile.weft", "fibre ply twist angle turns diameter number crimp"),
    ("textile.colours", "place exposure l a b instrument"),
    (
        "measurement",
        "component dimension readings taken instrument resolution error_limit adds_up_to times evidence certainty",
    ),
    (
        "stitching",
        "component purpose stitch seam made thread density length allowance order_of_work evidence certainty",
    ),
    ("fastening", "component fastening material count size spacing worked evidence certainty"),
    ("stiffening", "component stiffener count width thickness length channel evidence certainty"),
    ("trimming", "component trimming material width length placing evidence certainty"),
    ("step", "component order_of_work done evidence certainty"),
    ("sign", "component sign seen evidence certainty"),
];

/// Fields that are left out, and as what.
pub(super) const KEPT: &[(&str, Kind, &str)] = &[
    ("piece", Kind::Distinguishing, "distinguishing_features"),
    ("component", Kind::Notes, "note"),
    ("person", Kind::People, "person role note"),
    ("event", Kind::Provenance, "event date person place source"),
    ("event", Kind::Notes, "note"),
    ("move", Kind::Location, "to date by reason"),
    ("housing", Kind::Location, "storage description length width height since"),
    ("display", Kind::Location, "place from to light hours uv note"),
    ("care", Kind::Condition, "topic instead reason by date"),
    ("made_after", Kind::Notes, "note"),
    ("departure", Kind::Notes, "note learned"),
    ("work", Kind::WorkLog, "date task component hours purpose stitch sewn stitches done"),
    ("work", Kind::Values, "cost"),
    ("work", Kind::Notes, "note"),
    (
        "treatment",
        Kind::Treatment,
        "title follows proposed_by proposed_on present_condition aims proposal not_to_be_done risks hours_expected \
         departures result after_care",
    ),
    (
        "treatment",
        Kind::Consent,
        "consent_by consent_on consent_shown consent_conditions consent_withdrawn_by consent_withdrawn_on \
         consent_withdrawn_why",
    ),
    ("treatment.options", Kind::Treatment, "option taken reason"),
    ("treatment.tests", Kind::Treatment, "test place by date method result meaning"),
    ("treatment.planned", Kind::Treatment, "step component hours"),
    ("treatment.proposed_materials", Kind::Treatment, "material purpose supplier amount"),
    ("treatment.steps", Kind::Treatment, "done date by hours"),
    ("treatment.materials", Kind::Treatment, "material supplier lot amount"),
    ("examination", Kind::People, "examiner"),
    ("examination", Kind::Location, "place"),
    ("examination", Kind::Notes, "reason temperature humidity methods not_examined note"),
    ("textile", Kind::Notes, "interpretation note withdrawn"),
    ("textile.fibres", Kind::Notes, "note"),
    ("measurement", Kind::Notes, "interpretation note withdrawn"),
    ("stitching", Kind::Notes, "interpretation note withdrawn"),
    ("fastening", Kind::Notes, "interpretation note withdrawn"),
    ("stiffening", Kind::Notes, "interpretation note withdrawn"),
    ("trimming", Kind::Notes, "interpretation note withdrawn"),
    ("step", Kind::Notes, "interpretation note withdrawn"),
    ("sign", Kind::Notes, "interpretation note withdrawn"),
    (
        "condition",
        Kind::Condition,
        "component damage place extent severity activity cause treated continues evidence certainty",
    ),
    ("condition", Kind::Notes, "interpretation note withdrawn"),
    (
        "overall",
        Kind::Condition,
        "component grade stability urgency statement handling storage display evidence certainty",
    ),
    ("overall", Kind::Notes, "interpretation note withdrawn"),
    ("hazard", Kind::Condition, "component hazard basis tested caution evidence certainty"),
    ("hazard", Kind::Notes, "interpretation note withdrawn"),
];
