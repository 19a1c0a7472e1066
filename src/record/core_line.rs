//! A core on one line, as `kneemark new` takes it: `2S PX 600/1 A knee 300 V exciting 30 mA at 300 V`.
//! Every value is read by the record's own readers; what none of them reads is told, never guessed.

use super::core::SCHEMA;
use super::parse::{self, Piece};
use super::schema::{Key, Kind};
use super::value::Datum;
use crate::ground::diagnostic::Diagnostic;
use crate::ground::nearest::nearest;
use crate::trade::Class;

/// What the line says of the core, as texts that a record takes.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct CoreLine {
    pub name: String,
    /// Keys of `[core]` with their values, in the order written.
    pub values: Vec<(&'static str, String)>,
    /// Pairs of terminals with their ratios.
    pub taps: Vec<(String, String)>,
}

/// A word, and whether a comma behind it ends a value.
type Word<'a> = (&'a str, bool);

/// What a plate shows without a name for it, in the order in which it is tried: `B-0.5` and `1-10 VA`
/// have a hyphen as a pair of terminals has.
const BARE: &[&str] = &["burden", "ratio", "class"];

/// Reads the line; `ieee` is the family of the plate's standard.
///
/// # Errors
/// A sentence that names the words that are not understood.
pub fn read(text: &str, ieee: bool) -> Result<CoreLine, String> {
    let words: Vec<Word<'_>> = text
        .split([' ', '\t'])
        .flat_map(parts)
        .filter(|(word, _)| !word.is_empty())
        .collect();
    let (name, words) = match words.as_slice() {
        [(name, _), rest @ ..] if name.bytes().all(|byte| byte.is_ascii_alphanumeric()) => {
            (*name, rest)
        }
        _ => return Err("it begins with the name of the core, such as 1S or X".to_owned()),
    };
    let mut line = CoreLine {
        name: name.to_owned(),
        ..CoreLine::default()
    };
    let mut rest = words;
    while let Some((first, _)) = rest.first() {
        rest = if let Some((key, behind)) = named(rest) {
            line.keep(key, behind, ieee)?
        } else if let Some((key, text, behind)) = bare(rest, ieee) {
            line.push(key, text)?;
            behind
        } else if is_pair(first) {
            line.tap(rest, ieee)?
        } else if matches!(*first, "tap" | "taps") {
            rest.get(1..).unwrap_or(&[])
        } else {
            return Err(line.stranger(rest, ieee));
        };
    }
    line.name_is_no_class(ieee)?;
    Ok(line)
}

/// The parts of a word between commas, each with whether one ends it. A comma behind a whole number, or
/// between digits at the word's end, is a decimal one (`7,5VA`, `600/1,5`), which the readers tell.
fn parts(word: &str) -> Vec<Word<'_>> {
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    let begins = |text: &str| text.starts_with(|c: char| c.is_ascii_digit());
    let ends = |text: &str| text.ends_with(|c: char| c.is_ascii_digit());
    if word.split_once(',').is_some_and(|(before, behind)| {
        digits(before) && begins(behind) || ends(before) && digits(behind)
    }) {
        return vec![(word, false)];
    }
    let mut parts: Vec<Word<'_>> = word.split([',', ';']).map(|part| (part, true)).collect();
    if let Some((_, comma)) = parts.last_mut() {
        *comma = false;
    }
    // A comma at the end of a word ends the part before it.
    parts.retain(|(part, _)| !part.is_empty());
    let ended = word.ends_with([',', ';']);
    if let Some((_, comma)) = parts.last_mut() {
        *comma = ended;
    }
    parts
}

impl CoreLine {
    /// Takes the value of a key, which is the longest run of words that it can read.
    fn keep<'w>(
        &mut self,
        key: &'static Key,
        words: &'w [Word<'w>],
        ieee: bool,
    ) -> Result<&'w [Word<'w>], String> {
        if key.kind == Kind::Terminals {
            let starts = |from: usize| {
                let rest = words.get(from..).unwrap_or(&[]);
                named(rest).is_some() || bare(rest, ieee).is_some()
            };
            let ended = |at: &usize| {
                let before = at.checked_sub(1).and_then(|before| words.get(before));
                before.is_some_and(|(word, comma)| *comma && is_pair(word))
            };
            let is_over = |at: &usize| {
                let next = words.get(*at).map(|(word, _)| *word);
                ended(at) || starts(*at) || next.is_none_or(|word| is_pair(word) || word == "taps")
            };
            let end = (0..=words.len()).find(is_over).unwrap_or(words.len());
            let marks = joined(words.get(..end).unwrap_or(&[]));
            if end < 2 {
                return Err(format!("`{marks}` are not the terminals of a winding"));
            }
            self.push(key, marks)?;
            return Ok(words.get(end..).unwrap_or(&[]));
        }
        let most = run(words);
        let read = (1..=most).rev().find_map(|count| {
            let text = joined(words.get(..count)?);
            is_value(&text, key, ieee).then_some((text, count))
        });
        match read {
            Some((text, count)) => {
                self.push(key, text)?;
                Ok(words.get(count..).unwrap_or(&[]))
            }
            None => Err(self.unread(key, words, ieee)),
        }
    }

    /// What the reader says of the words behind a key, up to where something else begins.
    fn unread(&self, key: &'static Key, words: &[Word<'_>], ieee: bool) -> String {
        let begins = |at: &usize| {
            let rest = words.get(*at..).unwrap_or(&[]);
            named(rest).is_some() || bare(rest, ieee).is_some()
        };
        let most = run(words);
        let end = (1..most).find(begins).unwrap_or(most);
        let text = joined(words.get(..end).unwrap_or(&[]));
        if text.is_empty() {
            return format!("nothing follows `{}`", key.word);
        }
        match parse::datum(Piece::new(&text, 0), key.kind, key.word, ieee) {
            Err(told) => said(&told),
            Ok(_) => {
                let meant = Class::meant(&text, ieee).filter(|_| key.kind == Kind::Class);
                let meant = meant.map(|meant| format!("; did you mean `{meant}`?"));
                format!("`{text}` is no {}{}", key.word, meant.unwrap_or_default())
            }
        }
    }

    fn push(&mut self, key: &'static Key, text: String) -> Result<(), String> {
        if let Some((pair, _)) = self.taps.last() {
            return Err(format!(
                "`{text}` stands behind the tap {pair}: write the values of the core first, then its taps; what holds for one tap alone is written into the record"
            ));
        }
        if !key.repeat && self.values.iter().any(|(word, _)| *word == key.word) {
            return Err(format!("`{}` stands there twice: `{text}`", key.word));
        }
        self.values.push((key.word, text));
        Ok(())
    }

    /// `1S1-1S2 300/1`.
    fn tap<'w>(&mut self, words: &'w [Word<'w>], ieee: bool) -> Result<&'w [Word<'w>], String> {
        let (pair, rest) = match words {
            [(pair, _), rest @ ..] => (*pair, rest),
            [] => return Ok(words),
        };
        match bare(rest, ieee) {
            Some((key, ratio, behind)) if key.kind == Kind::Ratio => {
                self.taps.push((pair.to_owned(), ratio));
                Ok(behind)
            }
            _ => Err(format!(
                "the tap {pair} needs its ratio behind it, such as {pair} 300/1"
            )),
        }
    }

    /// `PX 600/1 A` lacks the name of its core. An `X` may be the one or the other.
    fn name_is_no_class(&self, ieee: bool) -> Result<(), String> {
        let classed = self.values.iter().any(|(key, _)| *key == "class");
        let is_name = match SCHEMA.key("class") {
            Some(key) => classed || self.name == "X" || !is_value(&self.name, key, ieee),
            None => true,
        };
        if is_name {
            return Ok(());
        }
        Err(format!(
            "`{}` is a class; the name of the core comes first, such as 1S {}",
            self.name, self.name
        ))
    }
}

/// How many words may belong to one value: up to a comma.
fn run(words: &[Word<'_>]) -> usize {
    let comma = words.iter().position(|(_, comma)| *comma);
    comma.map_or(words.len(), |at| at + 1)
}

fn joined(words: &[Word<'_>]) -> String {
    let words: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
    words.join(" ")
}

/// Whether a text is a value of a key that a record takes without doubt.
fn is_value(text: &str, key: &Key, ieee: bool) -> bool {
    match parse::datum(Piece::new(text, 0), key.kind, key.word, ieee) {
        Ok(Datum::Class(class)) => !matches!(class, Class::Other(_)),
        Ok(_) => true,
        Err(_) => false,
    }
}

/// The key that the words begin with, whole or by its first word where no other key begins with it, and
/// what stands behind it.
fn named<'w>(words: &'w [Word<'w>]) -> Option<(&'static Key, &'w [Word<'w>])> {
    let keys = || SCHEMA.keys.iter().filter(|key| key.kind != Kind::Text);
    let spelt = |count: usize| {
        let text = joined(words.get(..count)?);
        let text = text.strip_suffix(':').unwrap_or(&text);
        let whole = keys().find(|key| key.word == text || key.also.contains(&text));
        let first = |key: &&Key| key.word.split(' ').next() == Some(text);
        let mut alike = keys().filter(first);
        let short = alike.next().filter(|_| alike.next().is_none());
        let key = whole.or(short.filter(|_| count == 1))?;
        Some((key, words.get(count..)?))
    };
    // No key has more than three words.
    (1..=3).rev().find_map(spelt)
}

/// A burden, a ratio or a class without its key.
fn bare<'w>(words: &'w [Word<'w>], ieee: bool) -> Option<(&'static Key, String, &'w [Word<'w>])> {
    let starts = |at: usize, word: &str| {
        let key = SCHEMA.key(word);
        let rest = words.get(at..run(words)).unwrap_or(&[]);
        let reads =
            |count| is_value(&joined(rest.get(..count).unwrap_or(&[])), key?, ieee).then_some(());
        (1..=rest.len()).find_map(reads).is_some()
    };
    BARE.iter().find_map(|word| {
        let key = SCHEMA.key(word)?;
        // A class may hold anything behind its letter, so it ends where a burden or a ratio begins.
        let other = |at: &usize| starts(*at, "burden") || starts(*at, "ratio");
        let is_class = key.kind == Kind::Class;
        let most = (1..run(words)).find(|at| is_class && other(at));
        let most = most.unwrap_or_else(|| run(words));
        (1..=most).rev().find_map(|count| {
            let text = joined(words.get(..count)?);
            is_value(&text, key, ieee).then_some((key, text, words.get(count..)?))
        })
    })
}

fn is_pair(word: &str) -> bool {
    parse::pair(Piece::new(word, 0)).is_ok()
}

/// Names of a winding with more than one ratio, as plates have them.
const MULTI_RATIO: &[&str] = &["MR", "mr", "multi-ratio", "multiratio"];

impl CoreLine {
    /// What is told of words that nothing reads, with what can be written instead where that is plain.
    fn stranger(&self, words: &[Word<'_>], ieee: bool) -> String {
        let first = words.first().map_or("", |(word, _)| word);
        if MULTI_RATIO.contains(&first) {
            return format!(
                "`{first}` names no tap; help: write each tap of the plate with its ratio, such as {}",
                self.with_taps(words, ieee)
            );
        }
        let class = (1..=run(words)).find_map(|count| {
            let text = joined(words.get(..count)?);
            Some((Class::meant(&text, ieee)?, text))
        });
        match class {
            Some((meant, text)) => format!("`{text}` is no class; did you mean `{meant}`?"),
            None => stranger(first),
        }
    }

    /// The core with two taps as an example: the ratio that it has, here or in the words behind, and half of it.
    fn with_taps(&self, behind: &[Word<'_>], ieee: bool) -> String {
        let known = self
            .values
            .iter()
            .filter_map(|(key, text)| Some((SCHEMA.key(key)?, text)));
        let told = known.clone().map(|(key, text)| {
            let is_bare = BARE.contains(&key.word);
            match is_bare {
                true => text.clone(),
                false => format!("{} {text}", key.word),
            }
        });
        let told: Vec<String> = std::iter::once(self.name.clone()).chain(told).collect();
        let mut own = known.filter(|(key, _)| key.kind == Kind::Ratio);
        let behind = || {
            let mut all = (0..behind.len()).filter_map(|at| bare(behind.get(at..)?, ieee));
            all.find_map(|(key, text, _)| (key.kind == Kind::Ratio).then_some(text))
        };
        let ratio = own.next().map(|(_, text)| text.clone()).or_else(behind);
        let half = ratio.as_ref().and_then(|ratio| {
            let (primary, rest) = ratio.split_at(ratio.find([':', '/'])?);
            Some(format!("{}{rest}", primary.parse::<f64>().ok()? / 2.0))
        });
        // Letters where nothing tells: figures would be those of another transformer.
        let (half, ratio) = half
            .zip(ratio)
            .unwrap_or_else(|| ("A:5".to_owned(), "B:5".to_owned()));
        let (name, told) = (&self.name, told.join(" "));
        format!("\"{told}, {name}1-{name}2 {half}, {name}1-{name}3 {ratio}\"")
    }
}

fn stranger(word: &str) -> String {
    let keys = SCHEMA.keys.iter().filter(|key| key.kind != Kind::Text);
    let spelt = keys.flat_map(|key| key.word.split(' ').take(1).chain([key.word]));
    let near = nearest(word, spelt);
    let near = near.map(|near| format!("; did you mean `{near}`?"));
    format!(
        "`{word}` is not understood: it is no class, burden, ratio or pair of terminals, and no key of [core]{}",
        near.unwrap_or_default()
    )
}

/// A diagnostic in one sentence, without its place.
pub fn said(told: &Diagnostic) -> String {
    match &told.help {
        Some(help) => format!("{}; {help}", told.title),
        None => told.title.clone(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(text: &str) -> CoreLine {
        read(text, false).unwrap()
    }

    fn value(key: &'static str, text: &str) -> (&'static str, String) {
        (key, text.to_owned())
    }

    #[test]
    fn what_a_plate_shows_is_told_apart_by_its_form() {
        assert_eq!(
            of("2S PX 600/1 A knee 300 V exciting 30 mA at 300 V resistance 3.40 ohm at 75 C")
                .values,
            [
                value("class", "PX"),
                value("ratio", "600/1 A"),
                value("knee emf", "300 V"),
                value("exciting current", "30 mA at 300 V"),
                value("resistance", "3.40 ohm at 75 C"),
            ]
        );
        assert_eq!(
            of("1S 15 VA 5P20 600/1, use protection").values,
            [
                value("burden", "15 VA"),
                value("class", "5P20"),
                value("ratio", "600/1"),
                value("use", "protection"),
            ]
        );
        assert_eq!(
            of("1M 0.2S FS5 1-10 VA 600/5 A extended 150 %").values,
            [
                value("class", "0.2S FS5"),
                value("burden", "1-10 VA"),
                value("ratio", "600/5 A"),
                value("extended", "150 %"),
            ]
        );
        assert_eq!(
            of("1S 600/1 A,5P20,15 VA,knee 300 V").values,
            [
                value("ratio", "600/1 A"),
                value("class", "5P20"),
                value("burden", "15 VA"),
                value("knee emf", "300 V"),
            ]
        );
        let glued = of("S 600/1,5P20,S1-S2 300/1,S1-S3 600/1");
        assert_eq!((glued.values.len(), glued.taps.len()), (2, 2));
        for decimal in [
            "7,5 VA",
            "burden 7,5VA",
            "knee 1,200V",
            "resistance 3,40ohm at 75 C",
        ] {
            let told = read(&format!("1S {decimal}"), false).unwrap_err();
            assert!(told.contains(','), "{decimal}: {told}");
        }
        assert_eq!(
            of("X 1200:5 C800").values,
            [value("ratio", "1200:5"), value("class", "C800")]
        );
        assert_eq!(
            of("M 0.3B-0.5 600:5").values,
            [value("class", "0.3B-0.5"), value("ratio", "600:5")]
        );
    }

    #[test]
    fn taps_and_marks_come_with_their_core() {
        let CoreLine { values, taps, .. } =
            of("3S 5P20 15 VA marks S1 S2 S3 600/1, taps S1-S2 300/1, S1-S3 600/1");
        assert_eq!(
            values,
            [
                value("class", "5P20"),
                value("burden", "15 VA"),
                value("marks", "S1 S2 S3"),
                value("ratio", "600/1"),
            ]
        );
        let pair = |pair: &str, ratio: &str| (pair.to_owned(), ratio.to_owned());
        assert_eq!(taps, [pair("S1-S2", "300/1"), pair("S1-S3", "600/1")]);
    }

    #[test]
    fn what_is_not_understood_is_an_error_that_names_it() {
        let fault = |text: &str| read(text, false).unwrap_err();
        for (text, named) in [
            ("", "name of the core"),
            ("PX 600/1 A", "`PX` is a class"),
            ("1S PX 600", "`600` is not understood"),
            ("1S PX 600/1 A 300 V", "`300` is not understood"),
            ("1S knee 300", "`300` has no unit"),
            ("1S knee", "nothing follows `knee emf`"),
            ("1S PX 5P20", "`class` stands there twice: `5P20`"),
            ("1S S1-S2", "the tap S1-S2 needs its ratio"),
            ("1S S1-S2 300/1 5P20", "`5P20` stands behind the tap S1-S2"),
            ("1S 15 kg", "`15` is not understood"),
            ("1S kneee 300 V", "did you mean `knee`?"),
            ("1S resistence 3 ohm at 75 C", "did you mean `resistance`?"),
        ] {
            let told = fault(text);
            assert!(told.contains(named), "{text}: {told}");
        }
    }
}
