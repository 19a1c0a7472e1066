//! Capacitance and dissipation factor: their rules.

use super::rules;

rules! {
    DissipationFactor, Transformer {
        DISSIPATION_FACTOR = "dissipation-factor" {
            title: "dissipation factor",
            means: "loss of the primary's insulation at alternating voltage, the tangent of its loss angle in per cent; held against the client's limit, else against what the standard calls usual, which fails nothing",
            matters: "moisture and ageing of paper in oil show in it long before the insulation gives way, and loss that heats makes more loss",
            action: "clean and dry the insulator's surface, use the guard, read again at the same voltage and temperature; then compare with the maker's value and the sister phases, and have the oil looked at",
            source: "IEC 61869-1:2007, 5.3.3.3 and 7.4.3 (from memory)",
        }
        CAPACITANCE = "capacitance" {
            title: "capacitance",
            means: "capacitance of the primary's insulation, as read",
            matters: "layers of the insulation that are shorted, or a tap that is loose, show as another capacitance",
            action: "",
            source: "IEC 61869-1:2007, 7.4.3 (from memory)",
        }
        CAPACITANCE_CHANGE = "capacitance-change" {
            title: "capacitance against earlier readings",
            means: "how far the capacitance is from an earlier one at nearly the same voltage, from half of it to twice as much: that of the last visit that read it, else of the first one, else of a row above it. It is told where that is more than the criteria of the job allow, or, where they are silent, common practice",
            matters: "one shorted layer of many raises the capacitance by its share, and leaves more voltage to the others",
            action: "keep it out of service; read again with the same connection and voltage, look at test tap and leads, and compare with the sister phases; where it stays, ask the maker",
            source: "the criteria of the job; capacitances of layers in series; common practice, no source",
        }
    }
}
