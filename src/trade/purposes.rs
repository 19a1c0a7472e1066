//! What visits that answer together were made for: one purpose, or several that follow one another.

use super::Purpose;
use strum::VariantArray;

/// A set of purposes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Purposes {
    bits: u16,
}

impl Purposes {
    /// Reads `commissioning and before energising`: what it begins with counts, and what is listed behind it.
    pub fn read(text: &str) -> Self {
        let first = Purpose::read(text);
        let known = Self::listed(text).filter_map(|part| part.parse().ok());
        let more = known.filter(|purpose| *purpose != Purpose::Other);
        let all: Self = more.collect();
        // Where one is known, what is not is no purpose beside it.
        match first == Purpose::Other && all.bits != 0 {
            true => all,
            false => std::iter::once(first).chain(all.iter()).collect(),
        }
    }

    /// What is listed behind the first part.
    pub fn listed(text: &str) -> impl Iterator<Item = &str> {
        let listed = text.split([',', ';', '+', '&', '/']);
        let listed = listed.flat_map(|part| part.split(" and "));
        listed.map(str::trim).skip(1)
    }

    pub fn holds(self, purpose: Purpose) -> bool {
        self.bits & bit(purpose) != 0
    }

    /// All of them, in the order of a unit's life.
    pub fn iter(self) -> impl Iterator<Item = Purpose> {
        let all = <Purpose as VariantArray>::VARIANTS.iter().copied();
        all.filter(move |purpose| self.holds(*purpose))
    }

    /// Whether none is known.
    pub fn is_unknown(self) -> bool {
        self.iter().all(|purpose| purpose == Purpose::Other)
    }

    /// `for commissioning and before energising`
    pub fn text(self) -> String {
        let words: Vec<String> = self.iter().map(Purpose::when).collect();
        match words.split_last() {
            Some((last, first)) if !first.is_empty() => {
                format!("{} and {last}", first.join(", "))
            }
            _ => words.concat(),
        }
    }
}

/// Its place among the variants.
fn bit(purpose: Purpose) -> u16 {
    1 << (purpose as u16)
}

impl From<Purpose> for Purposes {
    fn from(purpose: Purpose) -> Self {
        Self { bits: bit(purpose) }
    }
}

impl FromIterator<Purpose> for Purposes {
    fn from_iter<I: IntoIterator<Item = Purpose>>(all: I) -> Self {
        let bits = all.into_iter().map(bit).fold(0, |all, one| all | one);
        Self { bits }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_listed_behind_a_purpose_counts() {
        for (text, words) in [
            (
                "commissioning and before energising",
                "for commissioning and before energising",
            ),
            (
                "before energizing, commissioning",
                "for commissioning and before energising",
            ),
            (
                "commissioning; maintenance, after a fault",
                "for commissioning, for maintenance and after a fault",
            ),
            ("inspection / commissioning", "for commissioning"),
            (
                "commissioning, replacing the factory unit",
                "for commissioning",
            ),
            ("commissioning, factory defect", "for commissioning"),
            ("commissioning and other", "for commissioning"),
            ("", "for a visit without a purpose"),
        ] {
            assert_eq!(Purposes::read(text).text(), words, "{text}");
        }
    }

    #[test]
    fn a_set_holds_what_was_put_in() {
        for one in <Purpose as VariantArray>::VARIANTS {
            for other in <Purpose as VariantArray>::VARIANTS {
                let set: Purposes = [*one].into_iter().collect();
                assert_eq!(set.holds(*other), one == other);
            }
        }
        let set: Purposes = [Purpose::BeforeEnergising, Purpose::Commissioning]
            .into_iter()
            .collect();
        assert_eq!(set.text(), "for commissioning and before energising");
        assert!(Purposes::default().is_unknown() && Purposes::from(Purpose::Other).is_unknown());
        assert!(!set.is_unknown());
    }
}
