//! Calendar dates as records write them: `2026-03-14`.

pub use jiff::civil::Date;
use jiff::civil::Time;
use std::fmt;

/// A day, with the time of day where it is known: `2026-03-14 16:30`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Moment {
    pub day: Date,
    pub time: Option<Time>,
}

impl fmt::Display for Moment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.time {
            Some(time) => write!(f, "{} {}", self.day, time.strftime("%H:%M")),
            None => self.day.fmt(f),
        }
    }
}

/// Why a text is no moment.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MomentFault {
    Day(DateFault),
    Time,
}

/// Reads `YYYY-MM-DD` or `YYYY-MM-DD HH:MM`.
pub fn moment(text: &str) -> Result<Moment, MomentFault> {
    let (day, time) = match text.split_once([' ', '\t']) {
        Some((day, time)) => (day, Some(time.trim_matches([' ', '\t']))),
        None => (text, None),
    };
    let day = read(day).map_err(MomentFault::Day)?;
    let time = time.map(|text| time_of_day(text).ok_or(MomentFault::Time));
    Ok(Moment {
        day,
        time: time.transpose()?,
    })
}

/// `16:30`.
fn time_of_day(text: &str) -> Option<Time> {
    let digits = |text: &str| text.len() == 2 && text.bytes().all(|byte| byte.is_ascii_digit());
    let (hour, minute) = text.split_once(':')?;
    let is_time = digits(hour) && digits(minute);
    let [hour, minute] = [hour, minute].map(|part| part.parse::<i8>().ok());
    Time::new(hour?, minute?, 0, 0).ok().filter(|_| is_time)
}

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

/// Whole days from one date to another.
#[must_use]
pub fn days(from: Date, to: Date) -> i32 {
    let hours = from.duration_until(to).as_hours();
    hours.try_into().map_or(i32::MAX, |hours: i32| hours / 24)
}

/// The days that a text in another form may mean: `14.3.2026`, `2026/3/14`, `14/03/2026`. Day and month
/// that can be exchanged give two.
#[must_use]
pub fn meant(text: &str) -> Vec<Date> {
    let parts: Vec<&str> = text.split(['-', '/', '.']).collect();
    let [first, second, third] = parts.as_slice() else {
        return Vec::new();
    };
    let day = |year: &str, month: &str, day: &str| {
        let short = |text: &str| (1..=2).contains(&text.len());
        let fits = year.len() == 4 && short(month) && short(day);
        read(&format!("{year}-{month:0>2}-{day:0>2}"))
            .ok()
            .filter(|_| fits)
    };
    let mut days: Vec<Date> = match first.len() {
        4 => day(first, second, third).into_iter().collect(),
        // Between points the day comes first; between strokes either may.
        _ if text.contains('.') => day(third, second, first).into_iter().collect(),
        _ => [day(third, second, first), day(third, first, second)]
            .into_iter()
            .flatten()
            .collect(),
    };
    days.dedup();
    days
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

    #[test]
    fn a_moment_is_a_day_with_or_without_its_time() {
        for text in ["2026-03-14", "2026-03-14 16:30", "2026-03-14 00:00"] {
            assert_eq!(moment(text).unwrap().to_string(), text);
        }
        let day = |fault| Err(MomentFault::Day(fault));
        assert_eq!(moment("16:30"), day(DateFault::Form));
        assert_eq!(moment("14.3.2026 16:30"), day(DateFault::Form));
        assert_eq!(moment("2026-02-30 16:30"), day(DateFault::Impossible));
        for time in [
            "24:00", "16:60", "4:30", "1630", "16.30", "16:30 h", "+1:30",
        ] {
            let text = format!("2026-03-14 {time}");
            assert_eq!(moment(&text), Err(MomentFault::Time), "{time}");
        }
    }

    #[test]
    fn another_form_is_understood_where_it_can_be() {
        let days = |text: &str| meant(text).iter().map(Date::to_string).collect::<Vec<_>>();
        for text in [
            "14.3.2026",
            "14.03.2026",
            "2026-3-14",
            "2026/03/14",
            "14/03/2026",
            "3/14/2026",
        ] {
            assert_eq!(days(text), ["2026-03-14"], "{text}");
        }
        assert_eq!(days("3/4/2026"), ["2026-04-03", "2026-03-04"]);
        assert_eq!(days("4/4/2026"), ["2026-04-04"]);
        for text in ["14.3.26", "31.2.2026", "today", "2026-03", "1.2.3.4"] {
            assert!(days(text).is_empty(), "{text}");
        }
    }
}
