//! The hourly balance that joins sun, bank, inverters, loads and backup; reliability over many weather years.
//!
//! Words with one meaning: *missing* is load not served; *backup hours* are hours on utility or generator; *dark hours*
//! are hours in which a must-load is missing with every source as designed; *unused* is what the sun offered and
//! nothing took.

mod inputs;
mod year_input;

mod flows;

mod backup;
mod beside;
mod bounds;
mod cells;
mod hour;
mod side_by_side;
mod supply;

mod balance;
mod drill;
mod fast;
mod finer;
mod stretch;
mod waiting;
mod windows;
mod worst_month;
mod years;

pub use backup::Supply;
pub use balance::{Day, NearLimits, RateFlows, Start, YearResult, run, trace};
pub use drill::{Drill, drill, drill_from, drill_from_held_back};
pub use fast::{Floor, LANES, Least, Outside, Passed, Row, RowSums, SideBySide, SizeCurve};
pub use finer::{FinerHouse, FinerSums};
pub use flows::{Flows, Losses};
pub use hour::{ControllerHour, CoupledHour, DARK_ABOVE_WH, Given, Hour, House, State};
pub use inputs::{
    Bank, Chemistry, Coupled, Derate, Fleet, Generator, HOURS, Inputs, Problem, RATES, Rate, Room, Shed,
    System, Thermal, Transfer,
};
pub use stretch::{LeanDays, Stretch, lean_days, worst_stretch};
pub use waiting::{Waited, Waiting, wait_for_sun};
pub use windows::{Days, Window, Windows};
pub use worst_month::{
    ArrayNeeded, Covered, GeneratorHours, IdlePerDay, LackingPerDay, MadePerDay, NeededPerDay, Worksheet,
    WorksheetInput, WorksheetMonth, array_needed, covered, generator_hours, idle_per_day, lacking_per_day,
    made_per_day, needed_per_day, worksheet,
};
pub use year_input::{ControllerYear, CoupledYear, YearInput};
pub use years::{
    NineInTen, PERCENTILES_FROM, Promise, Spread, YearInShort, exact_interval, middling_of, middling_year,
    nine_in_ten, nine_in_ten_of, percentile, run_years, spread,
};
