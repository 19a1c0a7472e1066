//! Rated ratios. Read by hand, since that gives better messages than a grammar.

/// A rated ratio: primary and secondary current in ampere.
#[derive(Clone, Copy, Debug)]
pub struct Ratio {
    /// Of a summation CT the sum of its inputs.
    pub primary: f64,
    pub secondary: f64,
    inputs: Inputs,
    /// Written as so many to one, with a colon and without a unit.
    to_one: bool,
}

/// Two are one by their currents, however they were written.
impl PartialEq for Ratio {
    fn eq(&self, other: &Self) -> bool {
        let of = |one: &Self| (one.primary, one.secondary, one.inputs);
        of(self) == of(other)
    }
}

/// More inputs than a summation CT has.
const MOST_INPUTS: usize = 8;

/// Rated currents of the inputs of a summation CT, ampere; of any other CT none.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Inputs {
    count: usize,
    currents: [f64; MOST_INPUTS],
}

impl Ratio {
    /// Of a CT with one primary.
    pub fn of(primary: f64, secondary: f64) -> Self {
        Self {
            primary,
            secondary,
            inputs: Inputs::default(),
            to_one: false,
        }
    }

    /// Whether it is a plain number, `240:1`, which names no rated current.
    pub fn is_to_one(&self) -> bool {
        self.to_one
    }

    /// Rated currents of the inputs of a summation CT, ampere; of any other CT none.
    pub fn inputs(&self) -> &[f64] {
        let inputs = self.inputs.currents.get(..self.inputs.count);
        inputs.unwrap_or_default()
    }

    /// Rated primary over rated secondary current.
    pub fn value(self) -> f64 {
        self.primary / self.secondary
    }

    /// As plates of the IEC family write it: `600/1`, `5+5+5/1`.
    pub fn text(self) -> String {
        let inputs: Vec<String> = self.inputs().iter().map(f64::to_string).collect();
        match inputs.is_empty() {
            true => format!("{}/{}", self.primary, self.secondary),
            false => format!("{}/{}", inputs.join("+"), self.secondary),
        }
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

/// Reads `600/1 A`, `600/1`, `1200:5`, `1200:5 A`, and of a summation CT `5+5+5/1 A`.
pub fn ratio(text: &str) -> Result<Ratio, RatioFault> {
    let bare = text
        .strip_suffix('A')
        .unwrap_or(text)
        .trim_matches([' ', '\t']);
    let (primary, secondary) = bare.split_once(['/', ':']).ok_or(RatioFault::Form)?;
    let currents: Vec<Result<f64, RatioFault>> = primary.split('+').map(current).collect();
    let secondary = current(secondary);
    let is_number = |one: &Result<f64, RatioFault>| *one != Err(RatioFault::Form);
    // What is no number at all is told before what cannot be.
    if currents.len() > MOST_INPUTS || !currents.iter().chain([&secondary]).all(is_number) {
        return Err(RatioFault::Form);
    }
    let currents: Vec<f64> = currents.into_iter().collect::<Result<_, _>>()?;
    let (primary, secondary) = (currents.iter().sum::<f64>(), secondary?);
    if secondary > primary.max(MOST_SECONDARY) {
        return Err(RatioFault::Reversed);
    }
    let mut read = Ratio::of(primary, secondary);
    read.to_one = secondary == 1.0 && text.contains(':') && !text.ends_with('A');
    if currents.len() > 1 {
        read.inputs.count = currents.len();
        for (slot, current) in read.inputs.currents.iter_mut().zip(currents) {
            *slot = current;
        }
    }
    Ok(read)
}

/// A rated current.
fn current(text: &str) -> Result<f64, RatioFault> {
    let text = text.trim_matches(' ');
    let plain = text.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    let value: Option<f64> = text.parse().ok().filter(|_| plain);
    match value {
        Some(0.0) => Err(RatioFault::Zero),
        Some(value) if value.is_finite() => Ok(value),
        _ => Err(RatioFault::Form),
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
        let is_to_one = |text: &str| ratio(text).unwrap().is_to_one();
        assert!(is_to_one("240:1"));
        assert!(
            ["240:1 A", "240/1", "1200:5"]
                .iter()
                .all(|text| !is_to_one(text))
        );
        assert_eq!(ratio("240:1"), ratio("240/1"));
        assert_eq!(read("0/1"), Err(RatioFault::Zero));
        assert_eq!(read("1/5 A"), Ok("1/5".to_owned()));
        assert_eq!(read("1/600 A"), Err(RatioFault::Reversed));
        assert_eq!(read("600"), Err(RatioFault::Form));
        assert_eq!(read("6e2/1"), Err(RatioFault::Form));
        assert_eq!(read("0/x"), Err(RatioFault::Form));
    }

    #[test]
    fn inputs_of_a_summation_ct_add_up() {
        let read = ratio("5 + 5+2.5/1 A").unwrap();
        assert_eq!(read.inputs(), [5.0, 5.0, 2.5]);
        assert_eq!((read.value(), read.text()), (12.5, "5+5+2.5/1".to_owned()));
        assert!(ratio("600/1").unwrap().inputs().is_empty());
        for (text, fault) in [
            ("5+/1", RatioFault::Form),
            ("5+0/1", RatioFault::Zero),
            ("1+1+1+1+1+1+1+1+1/1", RatioFault::Form),
        ] {
            assert_eq!(ratio(text), Err(fault), "{text}");
        }
    }
}
