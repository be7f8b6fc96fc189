//! Why the workbook cannot be served.

use door::DoorError;
use std::fmt;

/// Why the workbook cannot be served.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum WebError {
    /// The design cannot be read at all.
    Design(DoorError),
    /// Something else listens on the port.
    PortTaken {
        /// The port asked for.
        port: u16,
    },
    /// Anything else the system reports.
    System {
        /// What was tried.
        doing: &'static str,
        /// The system's own words.
        says: String,
    },
}

impl WebError {
    pub(crate) fn system(doing: &'static str) -> impl Fn(std::io::Error) -> WebError {
        move |error| WebError::System { doing, says: error.to_string() }
    }
}

impl From<DoorError> for WebError {
    fn from(error: DoorError) -> Self {
        WebError::Design(error)
    }
}

impl fmt::Display for WebError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            WebError::Design(error) => error.fmt(f),
            WebError::PortTaken { port } => {
                write!(f, "port {port} is in use; name another one, or 0 for any that is free")
            }
            WebError::System { doing, says } => write!(f, "could not {doing}: {says}"),
        }
    }
}

impl std::error::Error for WebError {}
