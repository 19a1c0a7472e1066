//! What stands on page one, before any test. The order is the order of work; it follows the five steps
//! of EN 50110-1 (seen in a reprint) and the practice of the trade. It is not a permit to work:
//! local rules, the permit and licensed practice decide.

const NO_PERMIT: &str = "Local rules, the permit and licensed practice decide; this sheet is not a permit to work, and no clearance to energise.";
const DEAD_FIRST: &str = "Before any lead is connected: disconnect; secure against re-connection; prove dead; earth and short-circuit; guard what stays live nearby (the order of EN 50110-1).";
const INSTRUMENT: &str = "Earth the instrument first. Its earth comes off last.";
const TRIPS: &str = "Before a secondary is shorted, earthed or parted: block the trips of every relay that its circuit feeds, or that a summation it belongs to feeds, and tell the control room. Part each circuit at its links. Trips stay blocked until everything is restored.";
const NEVER_OPEN: &str = "Never open a secondary that carries, or may come to carry, current. Short it at the CT side first and prove the short by measurement, then open on the relay side of the short.";
const DISCHARGE: &str = "After every test with direct voltage: discharge and earth for at least four times the time of application, and until a meter shows zero.";
const LOOP: &str = "Leave no closed loop through the primary. While testing, earth it at one side only, under whatever sanction the site needs to lift the other earth: with both sides earthed every core reads like a shorted turn.";
const OTHER_CORES: &str = "Other cores: short the full winding, with one earth only on each: its circuit's own earth off and one at the short, or the short on the one earth that it has. Unused taps of the core under test stay open and insulated. Never short a tap of the core under test.";
const DRIVEN_TAP: &str = "A driven tap raises the whole winding: the outer terminals reach V x N(full)/N(tap), the primary V/N. Put a barrier at every open end before the source is switched on.";
const CURRENT_DOWN: &str = "Winding resistance: never break the current. Let it run down and wait for zero before a clip is moved.";

/// Of work on circuits alone, the primary dead.
pub const OF_CIRCUITS: &[&str] = &[
    NO_PERMIT,
    DEAD_FIRST,
    "No test of this sheet needs an earth of the primary lifted: they all stay on until the circuits are whole.",
    INSTRUMENT,
    TRIPS,
    NEVER_OPEN,
    "An earth that is lifted is put back before anything else is done, counted, and written down; while it is off nobody touches the circuit. Two persons.",
    DISCHARGE,
    "Injected current goes wherever the circuit leads: to summed zones, neighbours and meters as well. Whoever answers for them knows of it.",
    "Before leaving: one earth on each circuit, every test link as it is to serve, spare cores shorted, connections tight; trips unblocked last. A second person looks, and signs.",
];

/// Of readings with the primary live.
pub const LIVE: &[&str] = &[
    NO_PERMIT,
    "The primary is live. Nobody touches it, its terminals or its earths, and no terminal box of the CT is opened: what is read is read at relays, meters and test blocks, by those who may work near live circuits. Two persons.",
    "Never open a live secondary: its terminals reach kilovolts. A clamp meter round the lead, or what the device itself shows, is better than a test plug; a test plug shorts before it opens, and its shorting contacts are proven on the bench first.",
    "Plant that carries current is not left without protection. Whoever answers for it says what stays in service while a trip is blocked for a reading, and for how long.",
    "A reading that nobody can explain ends the work: tell who is in charge, and let the plant be made dead before anything is opened or changed.",
    "Before leaving: plugs and clamps off, covers on, every blocked trip back in service, control room told. A second person looks, and signs.",
];

/// Of tests at the maker's.
pub const AT_MAKER: &[&str] = &[
    NO_PERMIT,
    "Before any lead is connected: every source off and locked, the unit and its neighbours discharged and earthed. The barrier is closed before a source is switched on, and nobody is inside.",
    INSTRUMENT,
    LOOP,
    NEVER_OPEN,
    OTHER_CORES,
    DRIVEN_TAP,
    CURRENT_DOWN,
    DISCHARGE,
    "Before it leaves: cores demagnetised behind the last direct current, earths of the tests off, secondaries shorted for the way, terminals tight. A second person looks, and signs.",
];

/// Of tests of the CT.
pub const OF_TESTS: &[&str] = &[
    NO_PERMIT,
    DEAD_FIRST,
    INSTRUMENT,
    TRIPS,
    LOOP,
    NEVER_OPEN,
    "Take the burden off for tests of the CT, and the CT off for tests of the burden.",
    OTHER_CORES,
    DRIVEN_TAP,
    CURRENT_DOWN,
    DISCHARGE,
    "Before leaving: cores demagnetised while the links are open; then one earth on each circuit, links closed, spare cores shorted, connections tight; trips unblocked last. A second person looks, and signs.",
];
