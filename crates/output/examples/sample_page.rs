//! Writes the invented sample book as a page, to be looked at: `cargo run -p output --example sample_page FILE`.

#[path = "../tests/sample/mod.rs"]
mod sample;

fn main() -> std::io::Result<()> {
    let file = std::env::args().nth(1).unwrap_or_else(|| "sample.html".into());
    std::fs::write(file, output::book::html(&sample::book()))
}
