//! The usual cautions of treatment: common practice, no source. All are printed: to choose by the words of a proposal
//! would leave one out where a word is missed.

use serde::Serialize;

/// One kind of work with what is usual and what is never done.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct Caution {
    name: &'static str,
    usual: &'static [&'static str],
    never: &'static str,
}

/// Printed on every treatment.
pub const CAUTIONS: [Caution; 4] = [
    Caution {
        name: "Wet cleaning and any other use of water",
        usual: &[
            "It cannot be undone. Every colour, finish, sewing thread, mark and metal is tested first, on a spot that does \
             not show, with the very liquid, temperature and time that are meant, and pressed on white blotter while wet \
             and while it dries.",
            "Wet cloth is heavier, and old silk and cellulose weaker: it is carried on a support the whole time, and dried \
             flat and fast.",
            "Water moves soil, dyes and old repairs from one layer to the next and leaves a tideline where it stops; it \
             rusts iron, shrinks crape and wool, and lifts glazes.",
        ],
        never: "on weighted or split silk, painted or glazed cloth, iron pins or bones that cannot come out, or a colour that \
                has not been tested.",
    },
    Caution {
        name: "Solvents",
        usual: &[
            "The safety data sheet of the very product is read first. Extraction at the work, gloves and eye protection that \
             withstand this solvent, no flame, spark or hot surface, a second person within call.",
            "Small covered quantities; swabs and waste into a closed metal bin, and never into the sink.",
            "Plastics, paints, adhesives, coatings and some dyes dissolve or swell: they are tested as for water.",
        ],
        never: "two products mixed, a bottle without a label, or work without air drawn away from the face.",
    },
    Caution {
        name: "Blades and needles",
        usual: &[
            "Cut away from hand and cloth, with a guard between the blade and what lies below; a fresh blade slips less.",
            "Needles, pins and blades are counted out and counted in again; used ones go into a sharps box.",
            "A stitch is cut and drawn out from the side on which it shows least; what is unpicked is recorded first.",
        ],
        never: "a blade between two layers that cannot both be seen.",
    },
    Caution {
        name: "Dust, mould and old poisons",
        usual: &[
            "Old pieces may carry arsenic, mercury, lead, pesticide or mould whether or not anybody recorded it: gloves, a \
             fitted respirator of the class that the risk asks for, damp wiping of the table.",
            "A vacuum with a HEPA filter, through a screen, for plain dust only; none where arsenic, mercury, asbestos or \
             powdering silk is recorded or suspected.",
            "Hands are washed; food and drink stay in another room; clothes for work stay at work.",
        ],
        never: "brushed, shaken or blown clean; nor steamed or wetted before mould and poisons were thought of.",
    },
];
