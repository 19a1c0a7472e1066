//! Type tests by reference: their rules.

use super::rules;

rules! {
    TypeTest, Transformer {
        TEMPERATURE_RISE = "temperature-rise" {
            title: "temperature rise",
            means: "whether a certificate shows the temperature rise of this unit's type; it is never measured here, and a certificate of another type shows nothing",
            matters: "a winding that gets hotter than its insulation bears ages fast under continuous current",
            action: "ask the maker for the test that was passed after it, with what was changed: by the dates of the certificates the later test decides; until then keep the continuous current below what the test bore",
            source: "IEC 61869-1:2007, 7.2.2, a type test (from memory)",
        }
        TYPE_TEST = "type-test" {
            title: "type test",
            means: "whether a certificate shows a type test of this unit's type; a certificate of another type shows nothing",
            matters: "what is shown once for a type is not tested on each unit",
            action: "ask the maker for the test that was passed after it, with what was changed: by the dates of the certificates the later test decides",
            source: "IEC 61869-1:2007, 7.2, and IEC 61869-2:2012, 7.2, type tests (from memory)",
        }
    }
}
