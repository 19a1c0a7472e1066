//! What an editor is told of records in hand: plain types over byte spans, and functions without effects but for
//! [`Desk`], which remembers who belongs together. No word of any protocol.

mod completion;
mod declared;
mod desk;
mod fixes;
mod hints;
mod hover;
mod outline;
mod spot;
mod told;

pub use completion::{Item, ItemKind, complete};
pub use declared::{Declared, declared};
pub use desk::{Desk, Looked, Reach};
pub use fixes::{Fix, fixes};
pub use hints::{Hint, hints};
pub use hover::{Hover, hover};
pub use outline::{Outlined, outline};
pub use told::{Level, Told, diagnosed, told, withheld};
