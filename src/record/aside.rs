//! Lines that speak of other lines: `amended: …` and `not done …: why`.

use super::parse::{self, Piece};
use super::value::{Amendment, Omission};
use super::words::list;
use crate::ground::diagnostic::{Code, Diagnostic};
use crate::ground::span::Located;

/// Reads `not done excitation 2S: why`.
pub fn omission(piece: Piece<'_>) -> Option<Omission> {
    let (scope, why) = piece.split(":")?;
    let scope = Piece::new(
        scope.text.strip_prefix("not done")?,
        scope.at + "not done".len(),
    );
    let complete = !scope.text.is_empty() && !why.text.is_empty();
    complete.then(|| Omission {
        scope: Located::new(scope.text.to_owned(), scope.span()),
        why: why.text.to_owned(),
        span: piece.span(),
    })
}

/// Reads `amended: voltage was 1.121; transcription; R. Anvik 2026-03-15`.
pub fn amendment(piece: Piece<'_>) -> Option<Amendment> {
    let (_, body) = piece.split(":")?;
    let mut parts = body
        .text
        .splitn(3, ';')
        .map(|part| part.trim_matches([' ', '\t']));
    let (what, was) = parts.next()?.split_once(" was ")?;
    let (why, signed) = (parts.next()?, parts.next()?);
    let (who, date) = match signed.rsplit_once(' ') {
        Some((who, day)) => match parse::day(Piece::new(day, 0)) {
            Ok(date) => (who, Some(date)),
            Err(_) => (signed, None),
        },
        None => (signed, None),
    };
    let complete = ![what, was, why, who].iter().any(|part| part.is_empty()) && date.is_some();
    complete.then(|| Amendment {
        what: what.trim_matches(' ').to_owned(),
        was: was.trim_matches(' ').to_owned(),
        why: why.to_owned(),
        who: who.trim_matches(' ').to_owned(),
        date,
        span: piece.span(),
    })
}

/// Whether an amended value says what now stands there.
pub fn same(was: &str, now: &str) -> bool {
    was == now || was.split(' ').next() == Some(now)
}

/// `known` is what the line above has.
pub fn amendment_column(amendment: &Amendment, known: &[&str]) -> Diagnostic {
    let what = &amendment.what;
    let (title, help) = match known {
        [] => (
            "there is no row or field above this amendment".to_owned(),
            "move it below the row or field that it corrects".to_owned(),
        ),
        known => (
            format!("the line above has no `{what}`"),
            format!("the line above has {}", list(known.iter().copied())),
        ),
    };
    Code::AmendmentColumn
        .at(amendment.span, title)
        .label("amends nothing")
        .help(help)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn amendments_and_omissions() {
        let a = amendment(Piece::new(
            "amended: voltage was 1.121; transcription; R. Anvik 2026-03-15",
            0,
        ))
        .unwrap();
        assert_eq!(
            (a.what.as_str(), a.was.as_str(), a.who.as_str()),
            ("voltage", "1.121", "R. Anvik")
        );
        assert_eq!(a.date.unwrap().to_string(), "2026-03-15");
        assert!(amendment(Piece::new("amended: voltage was 1.121", 0)).is_none());
        let o = omission(Piece::new("not done all but insulation: outage cut", 0)).unwrap();
        assert_eq!(
            (o.scope.value.as_str(), o.why.as_str()),
            ("all but insulation", "outage cut")
        );
        assert!(omission(Piece::new("not done 2S", 0)).is_none());
    }
}
