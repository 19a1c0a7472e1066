//! Accuracy classes as plates state them.

use super::burden::designation;
use crate::ground::number::edited;
use crate::standards::TransientClass;

/// An accuracy class. What is not recognised is kept as text: old plates are no errors.
#[derive(Clone, Debug, PartialEq)]
pub enum Class {
    /// IEC measuring class 0.1 to 5, 0.2S, 0.5S, with the instrument security factor if stated.
    Measuring {
        name: String,
        security: Option<f64>,
        extended: Option<f64>,
    },
    /// IEC 5P, 10P, 5PR, 10PR with the accuracy limit factor.
    Protection {
        composite: u8,
        low_remanence: bool,
        limit_factor: f64,
    },
    /// IEC PX, PXR; older X and PS, judged by the knee data of the plate.
    Knee {
        low_remanence: bool,
        text: String,
    },
    /// IEC TPX, TPY, TPZ.
    Transient(TransientClass),
    /// IEEE metering class, with the burden designation if stated (0.3B-0.5).
    IeeeMetering {
        name: String,
        burden: Option<String>,
    },
    /// IEEE C or T class with its secondary terminal voltage.
    IeeeRelay {
        letter: char,
        volts: f64,
    },
    Other(String),
}

const IEC_MEASURING: &[&str] = &["0.1", "0.2", "0.5", "1", "3", "5", "0.2S", "0.5S"];
const IEEE_METERING: &[&str] = &["0.15", "0.15S", "0.15N", "0.3", "0.3S", "0.6", "1.2"];

impl Class {
    /// Reads a class as printed: `5P20`, `0.5 FS10`, `0.2S FS5 ext 150 %`, `PX`, `TPY`, `C800`, `0.3B-0.5`.
    /// `ieee` decides where both families write a bare number.
    pub fn read(text: &str, ieee: bool) -> Self {
        let bare = text
            .strip_prefix("class ")
            .or_else(|| text.strip_prefix("cl. "))
            .unwrap_or(text)
            .trim_matches(' ');
        let parsed = if ieee {
            ieee_class(bare).or_else(|| iec_class(bare))
        } else {
            iec_class(bare).or_else(|| ieee_class(bare))
        };
        parsed.unwrap_or_else(|| Self::Other(text.to_owned()))
    }

    /// The security factor in a text that is no class only because of it: `FS10` of `5P20 FS10`.
    pub fn stray_security(text: &str, ieee: bool) -> Option<&str> {
        let (class, factor) = text.split_at(text.find("FS")?);
        let alone = Self::read(class.trim_matches(' '), ieee);
        (!alone.is_measuring() && !matches!(alone, Self::Other(_))).then_some(factor)
    }

    /// The class that an unknown text is a slip of: small letters, blanks within or none before a security
    /// factor, O for 0, l for 1.
    pub fn meant(text: &str, ieee: bool) -> Option<String> {
        let plain = edited(text).map_or_else(|| text.to_owned(), |(_, plain)| plain);
        let upper = plain.to_uppercase();
        let digits = |text: &str| text.replace('O', "0").replace('L', "1");
        let joined = |text: &str| text.replace([' ', '\t'], "");
        let tries = [
            plain.clone(),
            upper.clone(),
            joined(&upper),
            digits(&upper),
            joined(&digits(&upper)),
            joined(&digits(&upper)).replacen("FS", " FS", 1),
        ];
        let known = |text: &String| !matches!(Self::read(text, ieee), Self::Other(_));
        tries
            .into_iter()
            .find(|meant| meant != text && known(meant))
    }

    /// Whether it is for metering, so that a verdict needs uncertainty.
    pub fn is_measuring(&self) -> bool {
        matches!(self, Self::Measuring { .. } | Self::IeeeMetering { .. })
    }

    /// Whether the plate's winding resistance is a limit of the class, not a figure beside it
    /// (IEC 61869-2: PX, PXR, TPX, TPY, TPZ, and PR where stated; from memory).
    pub fn limits_resistance(&self) -> bool {
        matches!(
            self,
            Self::Knee { .. }
                | Self::Transient(_)
                | Self::Protection {
                    low_remanence: true,
                    ..
                }
        )
    }

    /// As a reader writes it.
    pub fn text(&self) -> String {
        match self {
            Self::Measuring {
                name,
                security,
                extended,
            } => {
                let fs = security.map(|fs| format!(" FS{fs}")).unwrap_or_default();
                let ext = extended
                    .map(|ext| format!(" ext {ext} %"))
                    .unwrap_or_default();
                format!("{name}{fs}{ext}")
            }
            Self::Protection {
                composite,
                low_remanence,
                limit_factor,
            } => {
                format!(
                    "{composite}P{}{limit_factor}",
                    if *low_remanence { "R" } else { "" }
                )
            }
            Self::Knee { text, .. } | Self::Other(text) => text.clone(),
            Self::Transient(class) => class.name().to_owned(),
            Self::IeeeMetering { name, burden } => match burden {
                Some(burden) => format!("{name}{burden}"),
                None => name.clone(),
            },
            Self::IeeeRelay { letter, volts } => format!("{letter}{volts}"),
        }
    }
}

fn iec_class(text: &str) -> Option<Class> {
    let mut words = text.split([' ', '\t']).filter(|word| !word.is_empty());
    let first = words.next()?;
    let rest: Vec<&str> = words.collect();
    match first {
        "PX" | "X" | "PS" | "PXR" => {
            return rest.is_empty().then(|| Class::Knee {
                low_remanence: first == "PXR",
                text: first.to_owned(),
            });
        }
        _ => {}
    }
    if let Ok(class) = first.parse() {
        return rest.is_empty().then_some(Class::Transient(class));
    }
    if let Some((composite, factor)) = first.split_once('P') {
        let (low_remanence, factor) = factor
            .strip_prefix('R')
            .map_or((false, factor), |f| (true, f));
        // What stands behind a whole class is not dropped: a class with it is not known.
        let joined = match (factor.is_empty(), rest.is_empty()) {
            (true, _) => rest.concat(),
            (false, true) => factor.to_owned(),
            (false, false) => return None,
        };
        let limit_factor = within(&joined, 1.0, 1000.0)?;
        let composite = match composite {
            "5" => 5,
            "10" => 10,
            _ => return None,
        };
        return Some(Class::Protection {
            composite,
            low_remanence,
            limit_factor,
        });
    }
    if !IEC_MEASURING.contains(&first) {
        return None;
    }
    measuring(first, &rest)
}

fn within(text: &str, least: f64, most: f64) -> Option<f64> {
    let number = text.parse().ok();
    number.filter(|number: &f64| (least..=most).contains(number))
}

fn measuring(name: &str, rest: &[&str]) -> Option<Class> {
    let (mut security, mut extended) = (None, None);
    let mut rest = rest.iter();
    while let Some(word) = rest.next() {
        let known = ["FS", "ext.", "ext"].into_iter();
        let mut split = known.filter_map(|prefix| Some((prefix, word.strip_prefix(prefix)?)));
        let Some((prefix, glued)) = split.next() else {
            if *word == "%" {
                continue;
            }
            return None;
        };
        let value = if glued.is_empty() {
            rest.next()?
        } else {
            glued
        };
        if prefix == "FS" {
            security = Some(within(value, 1.0, 1000.0)?);
        } else {
            extended = Some(within(
                value.strip_suffix('%').unwrap_or(value),
                100.0,
                1000.0,
            )?);
        }
    }
    Some(Class::Measuring {
        name: name.to_owned(),
        security,
        extended,
    })
}

fn ieee_class(text: &str) -> Option<Class> {
    let compact: String = text.chars().filter(|c| *c != ' ').collect();
    if let Some(rest) = compact.strip_prefix(['C', 'T']) {
        let letter = compact.chars().next()?;
        let volts = within(rest, 1.0, 10_000.0)?;
        return Some(Class::IeeeRelay { letter, volts });
    }
    let (name, burden) = match compact.find(['B', 'E']) {
        // What is no designation is not dropped: a class with it is not known.
        Some(at) => (compact.get(..at)?, Some(designation(compact.get(at..)?)?)),
        None => (compact.as_str(), None),
    };
    IEEE_METERING.contains(&name).then(|| Class::IeeeMetering {
        name: name.to_owned(),
        burden,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plates_of_both_families() {
        let text = |t: &str, ieee| format!("{:?}", Class::read(t, ieee));
        assert!(
            text("5P20", false).contains("composite: 5")
                && text("10PR10", false).contains("low_remanence: true")
        );
        assert!(text("5P 20", false).contains("limit_factor: 20"));
        assert!(text("0.5 FS10", false).contains("security: Some(10.0)"));
        assert!(text("0.2S FS 5 ext. 150 %", false).contains("extended: Some(150.0)"));
        assert!(text("class X", false).starts_with("Knee"));
        assert!(text("TPY", false).contains("Tpy"));
        assert!(text("C800", true).contains("800") && text("0.3B-0.5", true).contains("B-0.5"));
        assert!(
            text("0.3 B0.1", true).contains("B-0.1") && text("0.15 E0.2", true).contains("E-0.2")
        );
        for none in [
            "0.3 B0.1xyz",
            "0.3B",
            "0.3BB-0.5",
            "0.3 B-0.5 soft",
            "0.6 B-inf",
            "0.3 B--1",
        ] {
            assert!(text(none, true).starts_with("Other"), "{none}");
        }
        let meant = |text: &str| Class::meant(text, false);
        for (written, known) in [
            ("5p20", "5P20"),
            ("5 P 20", "5P20"),
            ("5P2O", "5P20"),
            ("5P\u{200b}20", "5P20"),
            ("px", "PX"),
            ("0.5 fs10", "0.5 FS10"),
            ("0.5FS5", "0.5 FS5"),
            ("0.2sfs10", "0.2S FS10"),
        ] {
            assert_eq!(meant(written).as_deref(), Some(known));
        }
        assert!(meant("0.05 PX 400 R2").is_none() && meant("0.7").is_none());
        assert!(text("0.05 PX 400 R2", false).starts_with("Other"));
        assert!(text("5P20 FS10", false).starts_with("Other"));
        assert_eq!(Class::stray_security("5P20 FS10", false), Some("FS10"));
        assert_eq!(Class::stray_security("PX FS 5", false), Some("FS 5"));
        assert_eq!(Class::stray_security("0.7 FS5", false), None);
        assert!(text("0.7", false).starts_with("Other") && text("5P", false).starts_with("Other"));
    }
}
