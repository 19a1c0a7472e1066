//! Calendar dates as records write them: `2026-03-14`.

pub use jiff::civil::Date;

/// Why a text is no date.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DateFault {
    /// Not of the form year-month-day with 4, 2 and 2 digits.
    Form,
    /// The form is right, the day does not exist (2026-02-30).
    Impossible,
}

/// Reads `YYYY-MM-DD`.
pub fn read(text: &str) -> Result<Date, DateFault> {
    let fits = |(at, byte): (usize, u8)| match at {
        4 | 7 => byte == b'-',
        _ => byte.is_ascii_digit(),
    };
    if text.len() != 10 || !text.bytes().enumerate().all(fits) {
        return Err(DateFault::Form);
    }
    text.parse().map_err(|_| DateFault::Impossible)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_days_and_tells_form_from_impossible() {
        assert_eq!(read("2026-03-14").unwrap().to_string(), "2026-03-14");
        assert_eq!(read("2026-02-30"), Err(DateFault::Impossible));
        assert_eq!(read("14.03.2026"), Err(DateFault::Form));
        assert_eq!(read("2026-3-14"), Err(DateFault::Form));
        assert_eq!(read("2026-03-14b"), Err(DateFault::Form));
    }
}
