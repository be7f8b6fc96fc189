//! The workbook in the browser: a local web application over one design file.
//!
//! The file on disk is the only truth. [`app`] is a router over a [`Workbook`] and can be called as a function;
//! [`serve`] binds it to the loopback interface and watches the file. One page per question; question 5 is live.

mod error;
mod events;
mod guard;
mod knobs;
mod page;
mod routes;
mod serve;
mod workbook;

pub use error::WebError;
pub use knobs::{Knob, Wish};
pub use routes::app;
pub use serve::{Options, Server, serve};
pub use workbook::{Clash, KeepError, Workbook};
