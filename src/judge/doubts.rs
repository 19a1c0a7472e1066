//! The doubts: which findings put others in doubt, how far and how long that reaches, and what rests on what is doubted.

use super::finding::Resting;
use super::rules::{self, Rule};
use crate::document::Grade;

/// How far a doubt reaches.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Reach {
    Core,
    /// Its core; of what one pair is read for that of its pair alone, or of its rows.
    Winding,
    /// The rows that it points at, and the class that they show.
    Rows,
    /// One pair.
    Pair,
    /// What was read in its own section.
    Section,
    Unit,
    /// What was read with the same instrument.
    Instrument,
}

/// Which visits a doubt speaks of, until it is answered.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Lasts {
    /// Its own: it lies in how that day's readings were taken.
    Day,
    /// Its own and later ones: it is a state that the core was left in.
    State,
    /// All: it lies in the thing itself.
    Thing,
}

/// Which failures of what rests on it a doubt explains.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Explains {
    None,
    /// Those that a cause was found to be behind, one by one.
    WhatItMarks,
    /// All; of a cause those of the pairs whose readings it explains.
    All,
}

pub(super) struct Doubt {
    pub of: &'static Rule,
    /// From which grade on the finding is a doubt.
    pub from: Grade,
    pub reach: Reach,
    pub lasts: Lasts,
    /// What rests on what it doubts.
    pub withholds: Resting,
    /// Whether it explains a failure, and so withholds that too.
    pub explains: Explains,
}

/// What is read off the excitation curve at and above the knee.
pub(super) static BY_CURVE: &[&Rule] = &[
    &rules::protection::KNEE_EMF,
    &rules::protection::COMPOSITE_ERROR,
    &rules::protection::SECURITY_FACTOR,
    &rules::protection::EXCITING_AT_CLASS,
    &rules::protection::PEAK_EXCITING_CURRENT,
    &rules::protection::ACTUAL_FACTOR,
    &rules::protection::ACTUAL_FACTOR_RATED,
    &rules::demagnetisation::DEMAGNETISATION_START,
    &rules::ratio::VOLTS_PER_TURN,
    &rules::duty::REQUIRED_KNEE,
    &rules::duty::REQUIRED_FACTOR,
];

/// What is read off its low end.
pub(super) static BY_LOW_END: &[&Rule] = &[
    &rules::protection::EXCITING_CURRENT,
    &rules::ratio::TURNS_RATIO,
];

/// What counts the turns.
pub(super) static BY_TURNS: &[&Rule] = &[&rules::ratio::TURNS_RATIO];

/// What the two voltages of one row of a ratio test tell.
pub(super) static BY_VOLTAGES: &[&Rule] =
    &[&rules::ratio::TURNS_RATIO, &rules::ratio::VOLTS_PER_TURN];

pub(super) static BY_POLARITY: &[&Rule] = &[&rules::polarity::POLARITY];

/// What one pair alone was read for.
pub(super) static OF_ONE_PAIR: &[&Rule] = &[
    &rules::resistance::WINDING_RESISTANCE,
    &rules::ratio::TURNS_RATIO,
    &rules::ratio::VOLTS_PER_TURN,
    &rules::polarity::POLARITY,
];

pub(super) static BY_RATIO: &[&Rule] = &[
    &rules::ratio::RATIO_ERROR,
    &rules::ratio::PHASE_DISPLACEMENT,
    &rules::ratio::RATIO_CORRECTION_FACTOR,
    &rules::ratio::TRANSFORMER_CORRECTION_FACTOR,
    &rules::ratio::CLASS_SHOWN,
];

/// What one column of a table of errors tells.
pub(super) static BY_ERROR: &[&Rule] = &[
    &rules::ratio::RATIO_ERROR,
    &rules::ratio::RATIO_CORRECTION_FACTOR,
    &rules::ratio::TRANSFORMER_CORRECTION_FACTOR,
    &rules::ratio::CLASS_SHOWN,
];
pub(super) static BY_PHASE: &[&Rule] = &[
    &rules::ratio::PHASE_DISPLACEMENT,
    &rules::ratio::TRANSFORMER_CORRECTION_FACTOR,
    &rules::ratio::CLASS_SHOWN,
];

/// What the winding resistance goes into, itself among it.
pub(super) static BY_RESISTANCE: &[&Rule] = &[
    &rules::resistance::WINDING_RESISTANCE,
    &rules::protection::COMPOSITE_ERROR,
    &rules::protection::SECURITY_FACTOR,
    &rules::protection::EXCITING_AT_CLASS,
    &rules::protection::PEAK_EXCITING_CURRENT,
    &rules::protection::ACTUAL_FACTOR,
    &rules::protection::ACTUAL_FACTOR_RATED,
    &rules::duty::REQUIRED_FACTOR,
];

/// The same without the resistance itself: with a joint in it, that is what it is.
pub(super) static PAST_RESISTANCE: &[&Rule] = BY_RESISTANCE.split_at(1).1;

/// What an insulation tester reads.
pub(super) static BY_INSULATION: &[&Rule] = &[
    &rules::insulation::INSULATION_RESISTANCE,
    &rules::insulation::POLARISATION_INDEX,
    &rules::insulation::DIELECTRIC_ABSORPTION,
];

/// What the connected burden goes into.
pub(super) static BY_CIRCUIT: &[&Rule] = &[
    &rules::burden::CIRCUIT_BURDEN,
    &rules::burden::CIRCUIT_BURDEN_BELOW_RANGE,
    &rules::protection::ACTUAL_FACTOR,
    &rules::duty::SECURITY_CONNECTED,
    &rules::duty::DUTY_BURDEN,
    &rules::duty::REQUIRED_FACTOR,
    &rules::duty::REQUIRED_KNEE,
];

/// What is for review beside a knee, or a circuit, that may not be the core's.
pub(super) static BESIDE: &[&Rule] = &[
    &rules::ratio::VOLTS_PER_TURN,
    &rules::demagnetisation::DEMAGNETISATION_START,
    &rules::duty::DUTY_BURDEN,
    &rules::burden::CIRCUIT_BURDEN_BELOW_RANGE,
];

/// What holds only while the circuit is connected as marked.
pub(super) static BY_CONNECTION: &[&Rule] = &[
    &rules::duty::REQUIRED_KNEE,
    &rules::duty::REQUIRED_FACTOR,
    &rules::restored::CIRCUIT_AS_LEFT,
];

impl Doubt {
    /// Of how a curve was taken: all that is read off it waits until it is taken again.
    const fn of_the_taking(of: &'static Rule) -> Self {
        Self {
            of,
            from: Grade::Review,
            reach: Reach::Core,
            lasts: Lasts::Day,
            withholds: &OFF_CURVE,
            explains: Explains::All,
        }
    }

    /// Of all that was read on one unit, or is held against its plate.
    const fn of_the_unit(of: &'static Rule, withholds: Resting) -> Self {
        Self {
            withholds,
            reach: Reach::Unit,
            ..Self::of_the_taking(of)
        }
    }

    /// Of how a resistance was taken.
    const fn of_the_resistance(of: &'static Rule) -> Self {
        Self::of_the_unit(of, &OFF_RESISTANCE)
    }

    /// Of how the resistance of one core was taken.
    const fn of_a_winding(of: &'static Rule) -> Self {
        Self {
            reach: Reach::Winding,
            ..Self::of_the_resistance(of)
        }
    }
}

impl Doubt {
    /// Of how an insulation was read: of a core, or of the primary, which has none.
    const fn of_the_insulation(of: &'static Rule, reach: Reach) -> Self {
        Self {
            withholds: &OFF_INSULATION,
            reach,
            ..Self::of_the_taking(of)
        }
    }

    /// Of how a table of errors was written.
    const fn of_the_errors(of: &'static Rule, withholds: Resting) -> Self {
        Self {
            withholds,
            reach: Reach::Rows,
            ..Self::of_the_taking(of)
        }
    }

    /// Of how a circuit was read.
    const fn of_the_circuit(of: &'static Rule) -> Self {
        Self {
            withholds: &OFF_CIRCUIT,
            ..Self::of_the_taking(of)
        }
    }
}

/// All that is read off a curve.
pub(super) static OFF_CURVE: [&[&Rule]; 2] = [BY_CURVE, BY_LOW_END];
pub(super) static OFF_RESISTANCE: [&[&Rule]; 1] = [BY_RESISTANCE];
pub(super) static OFF_RATIO: [&[&Rule]; 2] = [BY_TURNS, BY_RATIO];
pub(super) static OFF_ALL: [&[&Rule]; 4] = [BY_CURVE, BY_LOW_END, BY_RATIO, BY_RESISTANCE];
/// What goes by the ratio in service.
pub(super) static OFF_LINKS: [&[&Rule]; 1] = [&[
    &rules::load::LOAD_RATIO,
    &rules::ratio_setting::RATIO_SETTING,
]];
/// What is held against the plate, or goes by its rated current.
pub(super) static OFF_PLATE: [&[&Rule]; 5] =
    [BY_CURVE, BY_LOW_END, BY_RATIO, BY_RESISTANCE, BY_CIRCUIT];
/// What goes by the resistance of a plate, by its knee, by its exciting current, by its class and factors.
pub(super) static OF_PLATE_RESISTANCE: [&[&Rule]; 1] = [BY_RESISTANCE];
pub(super) static OF_PLATE_KNEE: [&[&Rule]; 1] = [BY_CURVE];
pub(super) static OF_PLATE_EXCITING: [&[&Rule]; 1] = [&[&rules::protection::EXCITING_CURRENT]];
pub(super) static OF_PLATE_CLASS: [&[&Rule]; 2] = [BY_CURVE, BY_RATIO];
/// Whatever a table may hold.
pub(super) static OFF_TABLE: [&[&Rule]; 7] = [
    BY_CURVE,
    BY_LOW_END,
    BY_RATIO,
    BY_RESISTANCE,
    BY_INSULATION,
    BY_CIRCUIT,
    BY_POLARITY,
];
pub(super) static OFF_INSULATION: [&[&Rule]; 1] = [BY_INSULATION];
pub(super) static OFF_CIRCUIT: [&[&Rule]; 1] = [BY_CIRCUIT];

/// The doubts, from the one that explains most. Common practice, no source.
pub(super) static DOUBTS: &[Doubt] = &[
    Doubt {
        of: &rules::excitation::PRIMARY_LOOP_SUSPECTED,
        from: Grade::Review,
        reach: Reach::Unit,
        lasts: Lasts::Day,
        withholds: &[BY_CURVE, BY_LOW_END, BY_RATIO],
        explains: Explains::All,
    },
    Doubt {
        of: &rules::ratio::VOLTS_PER_TURN,
        from: Grade::Review,
        reach: Reach::Core,
        lasts: Lasts::Day,
        withholds: &[BY_TURNS],
        explains: Explains::All,
    },
    Doubt {
        of: &rules::self_check::SELF_CHECK,
        from: Grade::Fails,
        reach: Reach::Instrument,
        lasts: Lasts::State,
        withholds: &[BY_RATIO, BY_TURNS],
        explains: Explains::All,
    },
    Doubt::of_the_taking(&rules::excitation::CURVE_OF_ANOTHER_TAP),
    Doubt::of_the_taking(&rules::excitation::CURVE_SLIP),
    Doubt::of_the_taking(&rules::excitation::BURDEN_LEFT_ON),
    Doubt::of_the_taking(&rules::excitation::SHORT_LEFT_ON),
    Doubt::of_the_unit(&rules::excitation::VOLTMETER_SCALE, &OFF_CURVE),
    Doubt::of_the_unit(&rules::excitation::VOLTMETER_SENSE, &OFF_CURVE),
    Doubt::of_the_unit(&rules::excitation::SOURCE_FREQUENCY, &OFF_CURVE),
    Doubt::of_the_unit(&rules::ratio::PRIMARY_LINKS, &OFF_RATIO),
    Doubt::of_the_unit(&rules::ratio::PRIMARY_PASSES, &OFF_RATIO),
    Doubt::of_the_unit(&rules::load::LOAD_LINKS, &OFF_LINKS),
    Doubt {
        reach: Reach::Core,
        ..Doubt::of_the_unit(&rules::ratio::OTHER_CORE_OPEN, &[BY_RATIO])
    },
    Doubt::of_the_unit(&rules::ratio::PICK_UP, &[BY_TURNS]),
    Doubt {
        withholds: &[BY_VOLTAGES],
        ..Doubt::of_a_winding(&rules::ratio::RATIO_SLIP)
    },
    Doubt::of_the_errors(&rules::ratio::ERROR_SLIP, &[BY_ERROR]),
    Doubt::of_the_errors(&rules::ratio::PHASE_SLIP, &[BY_PHASE]),
    Doubt::of_the_errors(&rules::ratio::ERRORS_EXCHANGED, &[BY_RATIO]),
    Doubt {
        reach: Reach::Pair,
        // The limits are the same at both burdens.
        explains: Explains::None,
        ..Doubt::of_the_errors(&rules::ratio::BURDENS_EXCHANGED, &[BY_RATIO])
    },
    Doubt::of_the_unit(&rules::inspection::RECORDS_EXCHANGED, &OFF_ALL),
    Doubt::of_the_unit(&rules::inspection::PLATE_FREQUENCY, &[BY_CURVE]),
    Doubt {
        reach: Reach::Core,
        lasts: Lasts::Thing,
        ..Doubt::of_the_unit(&rules::inspection::PLATE_VALUE, &OFF_PLATE)
    },
    Doubt {
        reach: Reach::Section,
        ..Doubt::of_the_unit(&rules::inspection::COPIED_TABLE, &OFF_TABLE)
    },
    Doubt::of_the_resistance(&rules::resistance::TEMPERATURE_WRONG),
    Doubt::of_the_resistance(&rules::resistance::ALREADY_AT_75),
    Doubt::of_the_resistance(&rules::resistance::LEADS_IN_READING),
    Doubt::of_the_resistance(&rules::resistance::LEADS_SUBTRACTED_TWICE),
    Doubt::of_a_winding(&rules::resistance::RESISTANCE_SLIP),
    Doubt::of_a_winding(&rules::resistance::RESISTANCE_ROWS_EXCHANGED),
    Doubt {
        withholds: &[BY_VOLTAGES],
        ..Doubt::of_a_winding(&rules::ratio::RATIO_ROWS_EXCHANGED)
    },
    Doubt {
        withholds: &OFF_CURVE,
        ..Doubt::of_a_winding(&rules::excitation::CURVES_EXCHANGED)
    },
    Doubt::of_a_winding(&rules::resistance::LOOSE_CLIP),
    Doubt::of_a_winding(&rules::resistance::RESISTANCE_UNSETTLED),
    Doubt {
        lasts: Lasts::Thing,
        explains: Explains::None,
        withholds: &[PAST_RESISTANCE],
        ..Doubt::of_a_winding(&rules::resistance::JOINT_SUSPECTED)
    },
    Doubt::of_the_insulation(&rules::insulation::INSULATION_TEST_LEAD, Reach::Unit),
    Doubt::of_the_insulation(&rules::insulation::INSULATION_SURFACE, Reach::Core),
    Doubt::of_the_insulation(&rules::insulation::INSULATION_EARTH_ON, Reach::Core),
    Doubt::of_the_insulation(&rules::insulation::INSULATION_SLIP, Reach::Core),
    Doubt::of_the_circuit(&rules::burden::CIRCUIT_TWO_PHASES),
    Doubt::of_the_circuit(&rules::burden::CIRCUIT_SLIP),
    Doubt {
        withholds: &OFF_CIRCUIT,
        ..Doubt::of_a_winding(&rules::burden::CIRCUIT_ROWS_EXCHANGED)
    },
    // Beside a short the relay is no burden, and every knee seems to be enough for it.
    Doubt::of_the_circuit(&rules::burden::CIRCUIT_SHORTED),
    Doubt {
        of: &rules::excitation::RESIDUAL_MAGNETISM,
        from: Grade::Review,
        reach: Reach::Core,
        lasts: Lasts::State,
        withholds: &[BY_LOW_END],
        explains: Explains::All,
    },
    Doubt {
        of: &rules::excitation::SHORTED_TURN_SUSPECTED,
        from: Grade::Review,
        reach: Reach::Core,
        lasts: Lasts::Thing,
        withholds: &OFF_CURVE,
        explains: Explains::None,
    },
    Doubt {
        of: &rules::excitation::CURVE_FLAW,
        from: Grade::Review,
        reach: Reach::Core,
        lasts: Lasts::Day,
        withholds: &OFF_CURVE,
        explains: Explains::None,
    },
    Doubt {
        of: &rules::ratio::WRONG_TAP,
        from: Grade::Review,
        reach: Reach::Core,
        lasts: Lasts::Thing,
        withholds: &[BY_CURVE, BY_LOW_END, BY_RATIO, BY_CONNECTION],
        explains: Explains::WhatItMarks,
    },
    Doubt {
        of: &rules::ratio::TAPS_EXCHANGED,
        from: Grade::Review,
        reach: Reach::Core,
        lasts: Lasts::Thing,
        withholds: &[BY_CURVE, BY_RATIO, BY_CONNECTION, BY_TURNS],
        explains: Explains::None,
    },
    Doubt {
        of: &rules::inspection::CORES_EXCHANGED,
        from: Grade::Review,
        reach: Reach::Unit,
        lasts: Lasts::Thing,
        withholds: &[BY_CURVE, BY_LOW_END, BY_RATIO, BY_CONNECTION, BY_RESISTANCE],
        explains: Explains::All,
    },
    Doubt {
        of: &rules::resistance::WINDING_RESISTANCE_DRIFT,
        from: Grade::Review,
        reach: Reach::Core,
        lasts: Lasts::State,
        withholds: &[BY_RESISTANCE],
        explains: Explains::All,
    },
    Doubt {
        lasts: Lasts::Thing,
        withholds: &[BY_CONNECTION, BY_POLARITY],
        ..Doubt::of_a_winding(&rules::polarity::POLARITY_CONTRADICTION)
    },
    Doubt {
        reach: Reach::Core,
        lasts: Lasts::Day,
        withholds: &[
            BY_CONNECTION,
            BY_POLARITY,
            BY_TURNS,
            BY_RATIO,
            BY_RESISTANCE,
        ],
        explains: Explains::WhatItMarks,
        ..Doubt::of_the_unit(&rules::polarity::LEADS_FROM_THE_OTHER_END, &[])
    },
    Doubt {
        of: &rules::polarity::POLARITY,
        from: Grade::Fails,
        reach: Reach::Core,
        lasts: Lasts::Thing,
        withholds: &[BY_CONNECTION],
        explains: Explains::None,
    },
];

impl Reach {
    fn words(self) -> &'static str {
        match self {
            Self::Core => "on its core",
            Self::Winding => {
                "on its core, of what is read pair by pair on its own pair or rows alone"
            }
            Self::Rows => "at its rows, with the class that they show",
            Self::Pair => "on its pair",
            Self::Section => "in its section",
            Self::Unit => "on the whole unit",
            Self::Instrument => "with the same instrument",
        }
    }
}

impl Lasts {
    fn words(self) -> &'static str {
        match self {
            Self::Day => "at its own visit",
            Self::State => "at its own visit and later ones",
            Self::Thing => "at all visits",
        }
    }
}

impl Explains {
    fn words(self) -> &'static str {
        match self {
            Self::None => "failures stand",
            Self::WhatItMarks => "failures that it was found to be behind are withheld",
            Self::All => "failures are withheld as well",
        }
    }
}

/// What a finding of a rule puts in doubt, as the manual tells it; `None` where it is no doubt.
pub fn told(rule: &Rule) -> Option<String> {
    let doubt = DOUBTS.iter().find(|doubt| doubt.of == rule)?;
    let mut withheld: Vec<&str> = Vec::new();
    for rule in doubt.withholds.iter().copied().flatten() {
        if !withheld.contains(&rule.id) {
            withheld.push(rule.id);
        }
    }
    let list = match withheld.as_slice() {
        [] => "what it is found to be behind".to_owned(),
        ids => format!("`{}`", ids.join("`, `")),
    };
    Some(format!(
        "From {} on it puts in doubt, {}, {} ({}): {list}.",
        doubt.from.word(),
        doubt.reach.words(),
        doubt.lasts.words(),
        doubt.explains.words(),
    ))
}
