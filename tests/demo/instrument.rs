//! The invented instruments: what `instruments.toml` states is what the noise keeps to.

use super::noise::Noise;

/// One function of an instrument; texts are those of `instruments.toml`.
pub struct Function {
    pub measures: &'static str,
    pub from: &'static str,
    pub to: &'static str,
    pub of_reading: &'static str,
    pub floor: &'static str,
    /// Tests it serves; empty means any.
    pub tests: &'static [&'static str],
}

/// One instrument with its certificate.
pub struct Instrument {
    pub id: &'static str,
    pub what: &'static str,
    pub maker: &'static str,
    pub serial: &'static str,
    pub calibrated: &'static str,
    pub due: &'static str,
    pub certificate: &'static str,
    pub functions: &'static [Function],
}

const fn function(
    measures: &'static str,
    [from, to]: [&'static str; 2],
    [of_reading, floor]: [&'static str; 2],
    tests: &'static [&'static str],
) -> Function {
    Function {
        measures,
        from,
        to,
        of_reading,
        floor,
        tests,
    }
}

const CURVE: &[&str] = &["excitation", "demagnetisation"];
const RATIO: &[&str] = &["ratio"];
const BURDEN: &[&str] = &["burden"];

const SOURCE: &[Function] = &[
    function("voltage", ["0 V", "2000 V"], ["0.10 %", "5 mV"], CURVE),
    function("current", ["0 A", "12 A"], ["0.20 %", "0.002 mA"], CURVE),
    function("voltage", ["0 V", "1.5 V"], ["0.02 %", "0.002 mV"], RATIO),
    function("voltage", ["1.5 V", "1000 V"], ["0.02 %", "0.2 mV"], RATIO),
    function(
        "phase",
        ["-10800 arcmin", "10800 arcmin"],
        ["", "1.0 arcmin"],
        RATIO,
    ),
    function("ratio", ["50 %", "200 %"], ["0.03 %", ""], &[]),
    function("voltage", ["0 V", "100 V"], ["0.20 %", "1 mV"], BURDEN),
    function("current", ["0 A", "10 A"], ["0.20 %", "1 mA"], BURDEN),
    function("angle", ["-180 deg", "180 deg"], ["", "0.5 deg"], BURDEN),
    function("resistance", ["0 ohm", "2 ohm"], ["1.0 %", "0.5 mohm"], &[]),
    function("frequency", ["5 Hz", "70 Hz"], ["0.02 %", ""], &[]),
    function("temperature", ["-20 C", "60 C"], ["", "0.5 C"], &[]),
    function("humidity", ["5 %", "95 %"], ["", "3 %"], &[]),
    function("time", ["0 s", "3600 s"], ["", "1 s"], &[]),
];
const BRIDGE: &[Function] = &[
    function("current", ["1 mA", "10 A"], ["0.05 %", "0.01 mA"], &[]),
    function("voltage", ["0 V", "50 V"], ["0.05 %", "0.005 mV"], &[]),
    function("temperature", ["-20 C", "60 C"], ["", "0.5 C"], &[]),
    function("time", ["0 s", "3600 s"], ["", "1 s"], &[]),
];
const INSULATION: &[Function] = &[
    function("voltage", ["250 V", "5500 V"], ["3 %", ""], &[]),
    function(
        "insulation",
        ["0.1 Mohm", "200 Gohm"],
        ["5 %", "0.01 Mohm"],
        &[],
    ),
    function("temperature", ["-20 C", "60 C"], ["", "0.5 C"], &[]),
    function("time", ["0 s", "3600 s"], ["", "1 s"], &[]),
];
const COMPARATOR: &[Function] = &[
    function("ratio-error", ["-10 %", "10 %"], ["", "0.01 %"], &[]),
    function(
        "phase",
        ["-300 arcmin", "300 arcmin"],
        ["", "0.5 arcmin"],
        &[],
    ),
    function("current", ["0 A", "600 A"], ["0.20 %", "2 mA"], &[]),
    function("temperature", ["-20 C", "60 C"], ["", "0.5 C"], &[]),
    function("humidity", ["5 %", "95 %"], ["", "3 %"], &[]),
];
const STANDARD: &[Function] = &[
    function("ratio-error", ["-1 %", "1 %"], ["", "0.005 %"], &[]),
    function(
        "phase",
        ["-60 arcmin", "60 arcmin"],
        ["", "0.2 arcmin"],
        &[],
    ),
];
const AMMETERS: &[Function] = &[
    function("current", ["0 A", "300 A"], ["0.10 %", "1 mA"], RATIO),
    function("voltage", ["0 V", "100 V"], ["0.20 %", "1 mV"], BURDEN),
    function("current", ["0 A", "10 A"], ["0.20 %", "1 mA"], BURDEN),
    function("temperature", ["-20 C", "60 C"], ["", "1 C"], &[]),
];

const MULTIMETER: &[Function] = &[function(
    "resistance",
    ["0 ohm", "2000 ohm"],
    ["0.5 %", "20 mohm"],
    &[],
)];
const CLAMP: &[Function] = &[
    function("current", ["0 A", "10 A"], ["0.5 %", "1 mA"], &[]),
    function("angle", ["-180 deg", "180 deg"], ["", "0.5 deg"], &[]),
];
const FEEDER: &[Function] = &[function(
    "current",
    ["0 A", "30 A"],
    ["0.10 %", "0.2 mA"],
    &[],
)];
const MAKERS: &[Function] = &[
    function("voltage", ["0 V", "2000 V"], ["0.10 %", "5 mV"], CURVE),
    function("current", ["0 A", "12 A"], ["0.20 %", "0.002 mA"], CURVE),
    function("ratio-error", ["-10 %", "10 %"], ["", "0.01 %"], &[]),
    function(
        "phase",
        ["-300 arcmin", "300 arcmin"],
        ["", "0.5 arcmin"],
        &[],
    ),
    function("current", ["1 mA", "2000 A"], ["0.05 %", "0.01 mA"], &[]),
    function("voltage", ["0 V", "50 V"], ["0.05 %", "0.005 mV"], &[]),
    function("charge", ["0 pC", "1000 pC"], ["5 %", "0.4 pC"], &[]),
    function("capacitance", ["10 pF", "100 nF"], ["0.5 %", "0.5 pF"], &[]),
    function(
        "dissipation-factor",
        ["0 %", "10 %"],
        ["1 %", "0.005 %"],
        &[],
    ),
    function("temperature", ["-20 C", "60 C"], ["", "0.5 C"], &[]),
    function("humidity", ["5 %", "95 %"], ["", "3 %"], &[]),
    function("time", ["0 s", "3600 s"], ["", "1 s"], &[]),
];

const SOURCE_WHAT: &str = "excitation and ratio source with voltmeter, ammeter and phase meter";
const BRIDGE_WHAT: &str = "winding-resistance bridge, four leads";
const INSULATION_WHAT: &str = "insulation tester";
const BENCH_WHAT: &str = "test bench of the maker for exciting curves";

const fn instrument(
    id: &'static str,
    [what, maker, serial]: [&'static str; 3],
    [calibrated, due, certificate]: [&'static str; 3],
    functions: &'static [Function],
) -> Instrument {
    Instrument {
        id,
        what,
        maker,
        serial,
        calibrated,
        due,
        certificate,
        functions,
    }
}

const HOLMGARD: &str = "Holmgard Measures";

/// Every instrument of the job, those of earlier visits too.
pub static ALL: &[Instrument] = &[
    instrument(
        "M1",
        [SOURCE_WHAT, HOLMGARD, "M1-20-014"],
        ["2026-01-20", "2027-01-20", "HC-2026-0113"],
        SOURCE,
    ),
    instrument(
        "R1",
        [BRIDGE_WHAT, HOLMGARD, "R1-21-207"],
        ["2026-01-21", "2027-01-21", "HC-2026-0114"],
        BRIDGE,
    ),
    instrument(
        "I1",
        [INSULATION_WHAT, "Lundvig Instruments", "L5-3391"],
        ["2026-02-03", "2027-02-03", "LC-2026-088"],
        INSULATION,
    ),
    instrument(
        "K1",
        [
            "comparator for ratio error and phase displacement",
            HOLMGARD,
            "K1-22-006",
        ],
        ["2026-02-10", "2027-02-10", "HC-2026-0160"],
        COMPARATOR,
    ),
    instrument(
        "N1",
        [
            "standard current transformer for comparison",
            HOLMGARD,
            "N1-18-002",
        ],
        ["2025-11-05", "2027-11-05", "HC-2025-0977"],
        STANDARD,
    ),
    instrument(
        "C1",
        [
            "pair of ammeters with voltmeter for burdens",
            "Lundvig Instruments",
            "L2-0775",
        ],
        ["2026-02-04", "2027-02-04", "LC-2026-091"],
        AMMETERS,
    ),
    instrument(
        "F1",
        [BENCH_WHAT, "Brandal Ring Works", "bench 4"],
        ["2025-03-01", "2026-03-01", "BW-25-031"],
        SOURCE,
    ),
    instrument(
        "F2",
        [
            "test bench of the maker: resistance, ratio, curve",
            "Brandal Ring Works",
            "bench 7",
        ],
        ["2026-02-20", "2027-02-20", "BW-26-014"],
        MAKERS,
    ),
    instrument(
        "U1",
        ["multimeter", "Lundvig Instruments", "L7-0412"],
        ["2026-02-04", "2027-02-04", "LC-2026-092"],
        MULTIMETER,
    ),
    instrument(
        "W1",
        [
            "clamp meter for current and angle",
            "Lundvig Instruments",
            "L8-1190",
        ],
        ["2026-02-05", "2027-02-05", "LC-2026-094"],
        CLAMP,
    ),
    instrument(
        "J1",
        ["three-phase current source", HOLMGARD, "J1-21-030"],
        ["2026-01-22", "2027-01-22", "HC-2026-0120"],
        FEEDER,
    ),
    instrument(
        "F0",
        [BENCH_WHAT, "Trask Coil", "bench B"],
        ["2018-10-01", "2019-10-01", "TC-18-207"],
        SOURCE,
    ),
    instrument(
        "M0",
        [SOURCE_WHAT, HOLMGARD, "M1-16-003"],
        ["2019-02-11", "2020-02-11", "HC-2019-0209"],
        SOURCE,
    ),
    instrument(
        "R0",
        [BRIDGE_WHAT, HOLMGARD, "R1-15-118"],
        ["2019-02-12", "2020-02-12", "HC-2019-0210"],
        BRIDGE,
    ),
    instrument(
        "I0",
        [INSULATION_WHAT, "Lundvig Instruments", "L5-1207"],
        ["2019-03-04", "2020-03-04", "LC-2019-044"],
        INSULATION,
    ),
    instrument(
        "I2",
        [INSULATION_WHAT, "Lundvig Instruments", "L5-2260"],
        ["2022-02-14", "2023-02-14", "LC-2022-061"],
        INSULATION,
    ),
];

impl Function {
    fn serves(&self, test: &str, measures: &str, value: f64) -> bool {
        self.measures == measures
            && (self.tests.is_empty() || self.tests.contains(&test))
            && si(self.from) <= value
            && value <= si(self.to)
    }
}

/// What the instrument shows for a true value; panics where no function of it covers the value,
/// since a demo reading outside its instrument's range would be a slip in the demo.
pub fn read(id: &str, [test, measures]: [&str; 2], truth: f64, noise: &mut Noise) -> f64 {
    let instrument = ALL.iter().find(|one| one.id == id);
    let function = instrument
        .and_then(|one| {
            one.functions
                .iter()
                .find(|f| f.serves(test, measures, truth))
        })
        .unwrap_or_else(|| panic!("{id} cannot read {truth} as {measures} in {test}"));
    let limit = si(function.of_reading) * truth.abs() + si(function.floor);
    truth + noise.within(limit)
}

/// A text with its unit in SI (angles in arcmin); an empty text is no contribution.
pub fn si(text: &str) -> f64 {
    let Some((number, unit)) = text.split_once(' ') else {
        return 0.0;
    };
    let scale = match unit {
        "V" | "A" | "ohm" | "Hz" | "C" | "s" | "arcmin" => 1.0,
        "mV" | "mA" | "mohm" => 1e-3,
        "Mohm" => 1e6,
        "Gohm" => 1e9,
        "%" => 1e-2,
        "deg" => 60.0,
        _ => panic!("unit of {text}"),
    };
    number.parse::<f64>().map_or(0.0, |number| number * scale)
}

/// `instruments.toml`.
pub fn toml() -> String {
    let mut text = String::from(
        "# The instruments of the job; makers, serials and certificates are invented.\n",
    );
    for one in ALL {
        text += &format!(
            "\n[[instrument]]\nid = \"{}\"\nwhat = \"{}\"\nmaker = \"{}\"\nserial = \"{}\"\ncalibrated = {}\ndue = {}\ncertificate = \"{}\"\n",
            one.id, one.what, one.maker, one.serial, one.calibrated, one.due, one.certificate
        );
        for function in one.functions {
            text += &function_toml(function);
        }
    }
    text
}

fn function_toml(function: &Function) -> String {
    let mut text = format!(
        "[[instrument.function]]\nmeasures = \"{}\"\nfrom = \"{}\"\nto = \"{}\"\n",
        function.measures, function.from, function.to
    );
    for (key, value) in [
        ("of_reading", function.of_reading),
        ("floor", function.floor),
    ] {
        if !value.is_empty() {
            text += &format!("{key} = \"{value}\"\n");
        }
    }
    text += "digits = 1\n";
    if !function.tests.is_empty() {
        text += &format!("tests = {:?}\n", function.tests);
    }
    text
}
