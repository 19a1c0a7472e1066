//! What stands on page one, before any test. The order is the order of work; it follows the five steps
//! of EN 50110-1 (seen in a reprint) and the practice of the trade. It is not a permit to work:
//! local rules, the permit and licensed practice decide.

/// The cautions, in their order.
pub const CAUTIONS: &[&str] = &[
    "Local rules, the permit and licensed practice decide; this sheet is not a permit to work, and no clearance to energise.",
    "Before any lead is connected: disconnect; secure against re-connection; prove dead; earth and short-circuit; guard what stays live nearby (the order of EN 50110-1).",
    "Earth the instrument first. Its earth comes off last.",
    "Before a secondary is shorted, earthed or parted: block the trips of every relay that its circuit feeds, or that a summation it belongs to feeds, and tell the control room. Part each circuit at its links. Trips stay blocked until everything is restored.",
    "Leave no closed loop through the primary. While testing, earth it at one side only, under whatever sanction the site needs to lift the other earth: with both sides earthed every core reads like a shorted turn.",
    "Never open a secondary that carries, or may come to carry, current. Short it at the CT side first and prove the short by measurement, then open on the relay side of the short.",
    "Take the burden off for tests of the CT, and the CT off for tests of the burden.",
    "Other cores: short the full winding, with one earth only on each: its circuit's own earth off and one at the short, or the short on the one earth that it has. Unused taps of the core under test stay open and insulated. Never short a tap of the core under test.",
    "A driven tap raises the whole winding: the outer terminals reach V x N(full)/N(tap), the primary V/N. Put a barrier at every open end before the source is switched on.",
    "Winding resistance: never break the current. Let it run down and wait for zero before a clip is moved.",
    "After every test with direct voltage: discharge and earth for at least four times the time of application, and until a meter shows zero.",
    "Before leaving: cores demagnetised while the links are open; then one earth on each circuit, links closed, spare cores shorted, connections tight; trips unblocked last. A second person looks, and signs.",
];
