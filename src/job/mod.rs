//! Many files into one job: which records lie under some paths, what holds in their folders, whose
//! plate is shared, and the compiled records themselves. One broken record never stops the others.

mod attached;
mod basis;
mod compiled;
mod feeders;
mod functions;
mod gather;
mod missing;
mod paths;
mod setting;
mod shared;
mod survey;

pub use attached::{Attached, FOLDER, Lies, Shown};
pub use basis::{ATTACHED, Basis, Carried, JOBS, LIMITS, PACK, Part, RECORD, SISTER, limits_sum};
pub use compiled::{Compiled, Diagnosed, Job, Outcome, outcome};
pub use gather::{Prepare, Terms};
use paths::changed;
pub(crate) use paths::jobs_of;
pub use paths::{Places, find, here, is_record, places, shown, unreadable};
pub use survey::{Bonds, Found, Kin, MOST_SISTERS, Survey};
