//! In which system a length is read first: what people prefer, not what they wrote.

/// Millimetres in an inch, by the international agreement of 1959.
pub const MM_PER_INCH: f64 = 25.4;

/// Metric or inches.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Hash)]
pub enum System {
    /// Millimetres and centimetres.
    #[default]
    Metric,
    /// Inches.
    Inches,
}

impl System {
    /// Its word in a file and on a command line.
    pub fn word(self) -> &'static str {
        match self {
            Self::Metric => "metric",
            Self::Inches => "inches",
        }
    }

    /// The one of this word.
    pub fn named(word: &str) -> Option<Self> {
        [Self::Metric, Self::Inches].into_iter().find(|system| system.word() == word)
    }

    /// The two figures of a length, the preferred one first.
    pub fn ordered<T>(self, metric: T, inches: T) -> [T; 2] {
        match self {
            Self::Metric => [metric, inches],
            Self::Inches => [inches, metric],
        }
    }
}
