//! book, completions, manual.

use super::answers::{refused, status};
use crate::CLEAN;
use crate::args::{Args, Book, PaperSize};
use crate::load;
use crate::show::{self, Failure};
use clap::CommandFactory as _;
use quantity::Units;
use study::Depth;
use typeset::Paper;

pub(crate) fn book(args: &Book, json: bool) -> Result<u8, Failure> {
    let ending = args.output.extension().and_then(|e| e.to_str()).unwrap_or("").to_ascii_lowercase();
    if !["html", "pdf"].contains(&ending.as_str()) {
        return Err(Failure::new(
            format!("{} ends in neither .html nor .pdf", args.output.display()),
            "the ending says which kind of book is written",
        ));
    }
    let loaded = load::design(&args.design)?;
    if let Some(status) = refused(&loaded, json) {
        return Ok(status);
    }
    let (study, findings) = load::study(&loaded, Depth::Whole)?;
    let searched = super::size::for_the_book(&loaded);
    let sized = searched.as_ref().map(|(found, odds, supposed)| output::size::Sized {
        design: &loaded.design,
        study: found,
        odds: odds.as_ref(),
        supposed,
    });
    let book = output::book::book_with_search(&study, &findings, sized.as_ref());
    let bytes = if ending == "html" {
        output::book::html(&book).into_bytes()
    } else {
        let paper = match (args.paper, study.design.system.units) {
            (Some(PaperSize::Letter), _) | (None, Units::Us) => Paper::Letter,
            (Some(PaperSize::A4), _) | (None, Units::Metric) => Paper::A4,
        };
        typeset::pdf(&book, paper)
            .map_err(|e| Failure::new(e.to_string(), "write an .html book and print it from a browser"))?
    };
    door::write_atomically(&args.output, &bytes)
        .map_err(|e| Failure::new(e.to_string(), "nothing was changed"))?;
    if json {
        show::json(&serde_json::json!({
            "format": output::json::FORMAT, "what": "book", "file": args.output.display().to_string(), "bytes": bytes.len(),
        }));
    } else {
        show::line(&format!("wrote {} ({} kB)", args.output.display(), bytes.len().div_ceil(1000)));
    }
    Ok(status(&findings))
}

pub(crate) fn completions(shell: clap_complete::Shell) -> u8 {
    let mut bytes = Vec::new();
    clap_complete::generate(shell, &mut Args::command(), "wattwright", &mut bytes);
    show::line(String::from_utf8_lossy(&bytes).trim_end());
    CLEAN
}

pub(crate) fn manual() -> Result<u8, Failure> {
    let mut bytes = Vec::new();
    let command = Args::command();
    let fail = |e: std::io::Error| Failure::new(e.to_string(), "");
    clap_mangen::Man::new(command.clone()).render(&mut bytes).map_err(fail)?;
    // One page holds all commands: each follows with its own part.
    for sub in command.get_subcommands().filter(|sub| sub.get_name() != "help") {
        clap_mangen::Man::new(sub.clone()).render(&mut bytes).map_err(fail)?;
    }
    show::line(String::from_utf8_lossy(&bytes).trim_end());
    Ok(CLEAN)
}
