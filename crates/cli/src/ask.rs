//! Asking a person at the terminal.

use std::io::{BufRead as _, IsTerminal as _, Write as _};

/// Whether a person is there to answer.
pub(crate) fn someone_is_there() -> bool {
    std::io::stdin().is_terminal() && std::io::stderr().is_terminal()
}

/// One question with the answer that an empty line means.
pub(crate) fn ask(question: &str, otherwise: &str) -> String {
    let mut err = anstream::stderr();
    let _ = write!(err, "{question} [{otherwise}] ");
    let _ = err.flush();
    let mut line = String::new();
    match std::io::stdin().lock().read_line(&mut line) {
        Ok(n) if n > 0 && !line.trim().is_empty() => line.trim().to_string(),
        _ => otherwise.to_string(),
    }
}
