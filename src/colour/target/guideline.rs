//! Tolerances of published guidelines for digitisation, and the verdict on a photograph of a target.

use serde::Serialize;

use super::evaluation::Evaluation;

/// How a figure came here.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Mark {
    /// Read in a stored public source.
    Read,
    /// From memory, to be checked before anything leans on it.
    Memory,
}

/// What is held against a tolerance.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Criterion {
    /// White balance ΔE(a*b*).
    WhiteBalance,
    /// Mean ΔE00.
    Mean,
    /// 90th percentile of ΔE00.
    P90,
    /// Largest ΔE00.
    Max,
    /// Mean ΔE00 with S_L = 1.
    MeanEven,
    /// Largest ΔE00 with S_L = 1.
    MaxEven,
    /// Tone response ΔL*.
    Tone,
}

/// One tolerance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limit {
    /// Of what.
    pub criterion: Criterion,
    /// The end of the tolerance.
    pub end: f64,
    /// Whether the end itself is still within.
    pub included: bool,
}

/// One level of a guideline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rung {
    /// Its name: `4 star`.
    pub name: &'static str,
    /// All that it asks of colour.
    pub limits: &'static [Limit],
}

/// A guideline with its levels, the strictest first.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scheme {
    /// Its name.
    pub name: &'static str,
    /// Where the figures were read, and what of it is not judged here.
    pub source: &'static str,
    /// How they came here.
    pub mark: Mark,
    /// Its levels.
    pub rungs: &'static [Rung],
}

/// What one guideline says of a photograph.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Verdict {
    /// The guideline.
    pub guideline: &'static str,
    /// The best level met; none if not even the lowest is, or if nothing could be judged.
    pub level: Option<&'static str>,
    /// What stands in the way of the next better level, with figures; empty where the best is met.
    pub wanting: Vec<String>,
    /// Where the tolerances were read.
    pub source: &'static str,
    /// How they came here.
    pub mark: Mark,
}

const fn below(criterion: Criterion, end: f64) -> Limit {
    Limit { criterion, end, included: false }
}

const fn up_to(criterion: Criterion, end: f64) -> Limit {
    Limit { criterion, end, included: true }
}

impl Scheme {
    /// FADGI, Metamorfoze and ISO 19264-1, in this order. Metamorfoze Extra Light is left away: of its tolerances only
    /// that of white balance was read.
    pub const ALL: [Scheme; 3] = [
        Scheme {
            name: "FADGI 2023",
            source: "FADGI, Technical Guidelines for Digitizing Cultural Heritage Materials (2023), general collections, \
                     as read in a comparison of guidelines (skandalski.pl); colour alone is judged here",
            mark: Mark::Read,
            rungs: &[
                Rung {
                    name: "4 star",
                    limits: &[
                        below(Criterion::WhiteBalance, 2.0),
                        below(Criterion::Mean, 2.0),
                        below(Criterion::P90, 4.0),
                        below(Criterion::Tone, 1.5),
                    ],
                },
                Rung {
                    name: "3 star",
                    limits: &[
                        below(Criterion::WhiteBalance, 4.0),
                        below(Criterion::Mean, 3.5),
                        below(Criterion::P90, 7.0),
                        below(Criterion::Tone, 3.0),
                    ],
                },
                Rung {
                    name: "2 star",
                    limits: &[
                        below(Criterion::WhiteBalance, 6.0),
                        below(Criterion::Mean, 5.0),
                        below(Criterion::P90, 10.0),
                        below(Criterion::Tone, 4.5),
                    ],
                },
                Rung {
                    // No 90th percentile is given for it there.
                    name: "1 star",
                    limits: &[
                        below(Criterion::WhiteBalance, 8.0),
                        below(Criterion::Mean, 6.5),
                        below(Criterion::Tone, 6.0),
                    ],
                },
            ],
        },
        Scheme {
            name: "Metamorfoze 2.0 (draft)",
            source: "Metamorfoze Preservation Imaging Guidelines 2.0, draft (preservationimaging.com), ΔE00 with S_L = 1; \
                     colour alone is judged here",
            mark: Mark::Read,
            rungs: &[
                Rung {
                    name: "Metamorfoze",
                    limits: &[
                        up_to(Criterion::WhiteBalance, 3.0),
                        up_to(Criterion::MeanEven, 3.0),
                        up_to(Criterion::MaxEven, 7.0),
                    ],
                },
                Rung {
                    name: "Metamorfoze Light",
                    limits: &[
                        up_to(Criterion::WhiteBalance, 3.0),
                        up_to(Criterion::MeanEven, 4.0),
                        up_to(Criterion::MaxEven, 14.0),
                    ],
                },
            ],
        },
        Scheme {
            name: "ISO 19264-1:2021",
            source: "ISO 19264-1:2021 level A, colour accuracy, as read in a comparison of guidelines (skandalski.pl); \
                     colour alone is judged here",
            mark: Mark::Read,
            rungs: &[Rung { name: "level A", limits: &[up_to(Criterion::Mean, 4.0), up_to(Criterion::Max, 10.0)] }],
        },
    ];

    /// What it says of a photograph.
    pub fn judge(&self, found: &Evaluation) -> Verdict {
        let failed = |rung: &Rung| -> Vec<String> { rung.limits.iter().filter_map(|l| l.missed(found)).collect() };
        let met = self.rungs.iter().position(|rung| failed(rung).is_empty());
        let better = met.map_or(self.rungs.len(), |at| at).checked_sub(1).and_then(|at| self.rungs.get(at));
        Verdict {
            guideline: self.name,
            level: met.and_then(|at| self.rungs.get(at)).map(|rung| rung.name),
            wanting: better.map(failed).unwrap_or_default(),
            source: self.source,
            mark: self.mark,
        }
    }
}

impl Limit {
    /// What is wrong where it is not met; a figure that could not be taken does not meet it.
    fn missed(&self, found: &Evaluation) -> Option<String> {
        let (value, words) = self.criterion.of(found);
        let sign = if self.included { "at most" } else { "below" };
        let Some(value) = value else { return Some(format!("{words} not known, {sign} {} asked for", self.end)) };
        let within = value < self.end || (self.included && value <= self.end);
        (!within).then(|| format!("{words} {value:.2}, {sign} {} asked for", self.end))
    }
}

impl Criterion {
    fn of(self, found: &Evaluation) -> (Option<f64>, &'static str) {
        match self {
            Criterion::WhiteBalance => (found.white_balance, "white balance ΔE(a*b*)"),
            Criterion::Mean => (Some(found.mean), "mean ΔE00"),
            Criterion::P90 => (Some(found.p90), "90th percentile of ΔE00"),
            Criterion::Max => (Some(found.max), "largest ΔE00"),
            Criterion::MeanEven => (Some(found.mean_even), "mean ΔE00 (S_L = 1)"),
            Criterion::MaxEven => (Some(found.max_even), "largest ΔE00 (S_L = 1)"),
            Criterion::Tone => (found.tone, "tone response ΔL*"),
        }
    }
}

impl Verdict {
    /// `FADGI 2023: 3 star`, or that not even its lowest level is met.
    pub fn short(&self) -> String {
        format!("{}: {}", self.guideline, self.level.unwrap_or("no level met"))
    }
}
