//! How true the colours of a photograph are, in a line, where its target was read.

use super::words::Facts;
use crate::colour::target::Scheme;
use crate::record::photograph::Photograph;

/// Adds the reading of the target to the capture data; a photograph without one is passed over.
pub(super) fn facts(p: &Photograph, facts: Facts) -> Facts {
    let Some(reading) = &p.target else { return facts };
    let found = &reading.results;
    let levels = Scheme::ALL.map(|s| s.judge(found).short()).join(", ");
    let corrected = match &reading.correction {
        Some(fitted) => format!(
            "colours read on this photograph are corrected by it (patches left out come to ΔE00 {:.1} on average)",
            fitted.left_out_mean
        ),
        None => "no correction was fitted".to_owned(),
    };
    facts.may_say(
        "Colour target",
        format!(
            "mean ΔE00 {:.1}, largest {:.1} against {}; {levels}; {corrected}",
            found.mean, found.max, reading.reference
        ),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::target::{Correction, Evaluation, Fitted, Reference};
    use crate::colour::{Lab, Swatch};
    use crate::record::target::TargetReading;

    #[test]
    fn one_line_says_how_far_off_by_whose_measure_and_whether_corrected() {
        let target = Reference::built_in();
        let swatches: Vec<Swatch> = target
            .patches
            .iter()
            .map(|p| {
                let zero = Lab::new(0.0, 0.0, 0.0);
                Swatch { light: p.light(), lab: p.lab, spread: zero, pixels: 100, clipped: 0.0 }
            })
            .collect();
        let results = Evaluation::of(target, &swatches, None).expect("judged");
        let mut reading = TargetReading {
            id: String::new(),
            corners: [(0.0, 0.0); 4],
            reference: "24 patches".into(),
            reference_sha256: String::new(),
            results,
            correction: None,
        };
        let line = |reading: Option<&TargetReading>| {
            let p = Photograph { target: reading.cloned(), ..Photograph::default() };
            facts(&p, Facts::default()).rows.first().map(|f| (f.label, f.value.clone()))
        };
        let head = "mean ΔE00 0.0, largest 0.0 against 24 patches; FADGI 2023: 4 star, Metamorfoze 2.0 (draft): \
                    Metamorfoze, ISO 19264-1:2021: level A; ";
        assert_eq!(line(Some(&reading)), Some(("Colour target", format!("{head}no correction was fitted"))));
        reading.correction = Some(Fitted {
            correction: Correction::NONE,
            patches: 24,
            left_aside: vec![],
            before: 3.0,
            left_out_mean: 1.24,
            left_out_max: 2.0,
        });
        let corrected =
            "colours read on this photograph are corrected by it (patches left out come to ΔE00 1.2 on average)";
        assert_eq!(line(Some(&reading)), Some(("Colour target", format!("{head}{corrected}"))));
        assert_eq!(line(None), None);
    }
}
