//! `[type-test]`: what was shown on one unit for all of its type, by the certificate that says so.

use crate::ground::date;
use crate::record::schema::section;
use crate::record::value::choices;

section! {
    "type-test", "type tests of the standard, by their certificates";
    /// All of one section.
    TypeTest {}
    /// One test by reference.
    rows: TypeTestRow needs [["test"]] {
        test: Choice(Tested) "type test of the standard";
        certificate: Text "number of the certificate or report";
        of: Text "type that was tested, as the certificate names it";
        date: Text "day of the certificate, or its month or year, as it has it: 2024-02-01, 2024-02, 2024";
        result: Choice(Came) "passed or failed" or(&["passed or failed"]);
        remark: Text "anything else";
    }
}

choices! {
    /// Type tests of IEC 61869-1:2007, 7.2, and IEC 61869-2:2012, 7.2 (from memory).
    #[derive(PartialOrd, Ord)]
    #[strum(serialize_all = "kebab-case")]
    pub enum Tested {
        TemperatureRise,
        ShortTimeCurrent,
        LightningImpulse,
        SwitchingImpulse,
        WetWithstand,
        RadioInterference,
        DegreeOfProtection,
        RatioAndPhase,
        CompositeError,
        SecurityFactor,
        RemanenceFactor,
        LeakageReactance,
        TransientError,
    }
    /// How a type test went.
    #[strum(serialize_all = "kebab-case")]
    pub enum Came {
        Passed,
        Failed,
    }
}

/// A day in figures that is none. Words may stand there, as a certificate has them.
pub fn is_no_day(text: &str) -> bool {
    let is_figure = |byte: u8| byte.is_ascii_digit() || b"-./".contains(&byte);
    // A year or a month by its first day.
    let first = match text.len() {
        4 if is_iso(text) => format!("{text}-01-01"),
        7 if is_iso(text) => format!("{text}-01"),
        _ => text.to_owned(),
    };
    text.bytes().all(is_figure) && date::read(&first).is_err()
}

/// Whether a text is a year, a month or a day as ISO 8601 has them: 2024, 2024-02, 2024-02-01.
pub fn is_iso(text: &str) -> bool {
    let mut bytes = text.bytes().enumerate();
    let fits = bytes.all(|(at, byte)| match at {
        4 | 7 => byte == b'-',
        _ => byte.is_ascii_digit(),
    });
    fits && matches!(text.len(), 4 | 7 | 10)
}
