//! Asking a service on the net, only when a person asked for it. Nothing else in the program reaches out.

use std::fmt;
use std::time::Duration;

/// Bytes from which on an answer is refused: a year of hours is under 1 MB.
pub const ANSWER_LIMIT: u64 = 10_000_000;

/// Why there is no answer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum FetchError {
    /// The service said no: its status and its own words, shortened.
    Refused {
        /// Status of the answer, such as 422.
        status: u16,
        /// What the answer says.
        says: String,
    },
    /// It took longer than the caller waits, seconds.
    Slow {
        /// Seconds.
        waited_s: u64,
    },
    /// The answer holds [`ANSWER_LIMIT`] bytes or more.
    TooLarge,
    /// No connection, an answer cut off, or anything else on the way.
    Broken {
        /// What went wrong.
        says: String,
    },
}

impl FetchError {
    /// Whether asking again later may help.
    pub fn may_pass(&self) -> bool {
        match self {
            FetchError::Refused { status, .. } => *status == 429 || *status >= 500,
            FetchError::Slow { .. } | FetchError::Broken { .. } => true,
            FetchError::TooLarge => false,
        }
    }
}

impl fmt::Display for FetchError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            FetchError::Refused { status, says } if says.is_empty() => {
                write!(f, "the service refused with status {status}")
            }
            FetchError::Refused { status, says } => {
                write!(f, "the service refused with status {status}: {says}")
            }
            FetchError::Slow { waited_s } => write!(f, "no whole answer within {waited_s} seconds"),
            FetchError::TooLarge => write!(f, "the answer is larger than any such answer; it was not read"),
            FetchError::Broken { says } => write!(f, "the connection failed: {says}"),
        }
    }
}

impl std::error::Error for FetchError {}

/// What asks a service.
pub trait Fetch {
    /// The whole body of the answer to one request.
    ///
    /// # Errors
    /// A refusal, a slow, cut or oversized answer, no connection.
    fn get(&self, address: &str) -> Result<Vec<u8>, FetchError>;
}

/// The net itself, by HTTP or HTTPS.
#[derive(Clone, Copy, Debug)]
pub struct Net {
    /// How long a whole answer may take.
    pub patience: Duration,
}

impl Fetch for Net {
    fn get(&self, address: &str) -> Result<Vec<u8>, FetchError> {
        let agent: ureq::Agent = ureq::Agent::config_builder()
            .timeout_global(Some(self.patience))
            .http_status_as_error(false)
            .user_agent(concat!("wattwright/", env!("CARGO_PKG_VERSION")))
            .build()
            .into();
        let failed = |error: ureq::Error| match error {
            ureq::Error::Timeout(_) => FetchError::Slow { waited_s: self.patience.as_secs() },
            ureq::Error::BodyExceedsLimit(_) => FetchError::TooLarge,
            other => FetchError::Broken { says: other.to_string() },
        };
        let mut answer = agent.get(address).call().map_err(failed)?;
        let status = answer.status().as_u16();
        let promised: Option<u64> =
            answer.headers().get("content-length").and_then(|v| v.to_str().ok()).and_then(|v| v.parse().ok());
        let body = answer.body_mut().with_config().limit(ANSWER_LIMIT).read_to_vec().map_err(failed)?;
        if !(200..300).contains(&status) {
            return Err(FetchError::Refused { status, says: shortened(&body) });
        }
        match promised {
            Some(promised) if (body.len() as u64) < promised => {
                Err(FetchError::Broken { says: format!("{} of {promised} bytes arrived", body.len()) })
            }
            _ => Ok(body),
        }
    }
}

/// The first words of an answer that says no, on one line.
fn shortened(body: &[u8]) -> String {
    let text = String::from_utf8_lossy(&body[..body.len().min(2000)]);
    let words: Vec<&str> = text.split_whitespace().collect();
    let mut line = words.join(" ");
    if line.chars().count() > 200 {
        line = line.chars().take(200).chain(['…']).collect();
    }
    line
}
