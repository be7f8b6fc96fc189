//! Sets the invented sample book, to be looked at: `cargo run -p typeset --features pdf --example sample_book FILE [a4]`.

#[path = "../../output/tests/sample/mod.rs"]
mod sample;

use typeset::{Paper, pdf};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let file = std::env::args().nth(1).unwrap_or_else(|| "sample.pdf".into());
    let paper = if std::env::args().any(|a| a == "a4") { Paper::A4 } else { Paper::Letter };
    Ok(std::fs::write(file, pdf(&sample::book(), paper)?)?)
}
