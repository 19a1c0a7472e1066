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
    let mut parts = text.split('-');
    let (Some(year), Some(month), Some(day), None) =
        (parts.next(), parts.next(), parts.next(), parts.next())
    else {
        return Err(DateFault::Form);
    };
    let digits = |s: &str, n: usize| s.len() == n && s.bytes().all(|b| b.is_ascii_digit());
    if !digits(year, 4) || !digits(month, 2) || !digits(day, 2) {
        return Err(DateFault::Form);
    }
    let number = |s: &str| s.parse::<i16>().ok();
    let (Some(year), Some(month), Some(day)) = (number(year), number(month), number(day)) else {
        return Err(DateFault::Form);
    };
    let small = |n: i16| i8::try_from(n).unwrap_or(0);
    Date::new(year, small(month), small(day)).map_err(|_| DateFault::Impossible)
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
