//! Words of the trade that every later stage needs and that are no record: classes, ratios, burdens,
//! pairs, families of standards. Knows no file, no section and no message.

pub mod between;
mod burden;
mod class;
pub mod mark;
mod pair;
mod purposes;
pub mod ratio;
mod standard;
mod words;

pub use crate::standards::{Family, InsulationKind, Metal, Neutral, TransientClass};
pub use between::{Between, Item};
pub use burden::{Burden, designation};
pub use class::Class;
pub use pair::{Pair, PairName};
pub use purposes::Purposes;
pub use ratio::{Ratio, RatioFault};
pub use standard::PlateStandard;
pub use words::{Insulation, PrimaryMarks, Purpose, Service};
