//! Question 4: what to build. A search over the systems that the choices of a design allow.
//!
//! Every system tried is the design's own text with a few edits, read, resolved, studied and inspected like any other
//! design. So it is buildable by the same rules, costs what its own purchase list says, and comes through the year as its
//! own study says; there is no second model that could differ.

mod choice;
mod examine;
mod explain;
mod margin;
mod odds;
mod outcome;
mod patch;
mod proof;
mod repeated;
mod search;
mod stages;
mod suppose;
mod tally;
mod trial;
mod walk;

pub use choice::{Knob, LARGEST, Refusal, Setting, Space};
pub use examine::Walked;
pub use explain::{AS_DRAWN, PREFIX, STAGE, cost_at_other_price, difference, explain};
pub use margin::{Neighbour, Step};
pub use odds::{Odds, YEARS, odds};
pub use outcome::{Hardship, Limit, Outcome};
pub use proof::{Proof, Skipped};
pub use search::{Finished, Ranking, Scale, SizeStudy, Stage, Watch, changed_text, search};
pub use stages::{Ahead, GivenUp, Growth, StageStands, StageStudy};
pub use suppose::{PriceShift, Supposed, suppose};
pub use tally::{Counts, Rejected};
pub use trial::{Bulk, Candidate, Fate, Rejection, Unpriced, Years};
