//! Rated ratios. Read by hand, since that gives better messages than a grammar.

/// A rated ratio: primary and secondary current in ampere.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ratio {
    pub primary: f64,
    pub secondary: f64,
}

impl Ratio {
    /// Rated primary over rated secondary current.
    pub fn value(self) -> f64 {
        self.primary / self.secondary
    }

    /// As plates of the IEC family write it: `600/1`.
    pub fn text(self) -> String {
        format!("{}/{}", self.primary, self.secondary)
    }
}

/// Why a text is no ratio.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RatioFault {
    Form,
    Zero,
    /// `1/600 A`: a secondary current above the primary, and above what any secondary is rated for.
    Reversed,
}

/// The greatest rated secondary current of a plate, ampere: 1, 2 and 5 A are usual, matching transformers
/// go to 10 A; common practice, no source.
const MOST_SECONDARY: f64 = 10.0;

/// Reads `600/1 A`, `600/1`, `1200:5`, `1200:5 A`.
pub fn ratio(text: &str) -> Result<Ratio, RatioFault> {
    let bare = text
        .strip_suffix('A')
        .unwrap_or(text)
        .trim_matches([' ', '\t']);
    let (primary, secondary) = bare.split_once(['/', ':']).ok_or(RatioFault::Form)?;
    let number = |s: &str| -> Result<f64, RatioFault> {
        let plain = s.bytes().all(|b| b.is_ascii_digit() || b == b'.');
        let value: f64 = if plain {
            s.parse().map_err(|_| RatioFault::Form)?
        } else {
            return Err(RatioFault::Form);
        };
        if value == 0.0 {
            Err(RatioFault::Zero)
        } else if value.is_finite() {
            Ok(value)
        } else {
            Err(RatioFault::Form)
        }
    };
    let (primary, secondary) = (
        number(primary.trim_matches(' ')),
        number(secondary.trim_matches(' ')),
    );
    match (primary, secondary) {
        (Err(RatioFault::Form), _) | (_, Err(RatioFault::Form)) => Err(RatioFault::Form),
        (Ok(primary), Ok(secondary)) if secondary > primary.max(MOST_SECONDARY) => {
            Err(RatioFault::Reversed)
        }
        (Ok(primary), Ok(secondary)) => Ok(Ratio { primary, secondary }),
        _ => Err(RatioFault::Zero),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ratios_of_both_families() {
        let read = |text: &str| ratio(text).map(Ratio::text);
        assert_eq!(read("600/1 A"), Ok("600/1".to_owned()));
        assert_eq!(read("1200:5"), Ok("1200/5".to_owned()));
        assert_eq!(read("0/1"), Err(RatioFault::Zero));
        assert_eq!(read("1/5 A"), Ok("1/5".to_owned()));
        assert_eq!(read("1/600 A"), Err(RatioFault::Reversed));
        assert_eq!(read("600"), Err(RatioFault::Form));
        assert_eq!(read("6e2/1"), Err(RatioFault::Form));
    }
}
