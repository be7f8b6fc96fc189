//! The workbook in the browser: a local web application over one design file.
//!
//! The file on disk is the only truth. [`app`] is a router over a [`Bench`], on which one
//! [`Workbook`] lies open, and can be called as a function; [`serve`] binds it to the loopback interface and watches the
//! file. One page per question; question 5 is live.

mod bench;
mod error;
mod events;
mod guard;
mod knobs;
mod memory;
mod page;
mod routes;
mod serve;
mod skyline;
mod words;
mod workbook;

pub use bench::{Bench, Setting};
pub use error::WebError;
pub use knobs::{Knob, Wish};
pub use memory::Memory;
pub use routes::app;
pub use serve::{Options, Server, serve};
pub use skyline::Skyline;
pub use workbook::{Clash, Fault, KeepError, Workbook};
