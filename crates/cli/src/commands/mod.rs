//! One function per command.

mod answers;
mod begin;
mod explain;
mod fetch;
mod hours;
mod publish;
mod size;
mod weather;

use crate::args::{Args, Command, WeatherCommand};
use crate::show::Failure;

/// Runs a command; the number is the exit status.
pub(crate) fn run(args: Args) -> Result<u8, Failure> {
    let json = args.json;
    match args.command {
        None => begin::open(crate::args::Open { design: None, port: 0, no_browser: false, share: false }),
        Some(Command::Open(open)) => begin::open(open),
        Some(Command::New(new)) => begin::new(&new, json),
        Some(Command::Check(check)) => answers::check(&check, json),
        Some(Command::Year(args)) => answers::year(&args, json),
        Some(Command::Size(size)) => size::size(&size, json),
        Some(Command::Weather(of)) => match of.command {
            WeatherCommand::Look(look) => weather::look(&look, json),
            WeatherCommand::Make(make) => weather::make(&make, json),
            WeatherCommand::Fetch(fetch) => fetch::fetch(&fetch, json),
            WeatherCommand::Near(near) => weather::near(&near.place, json),
        },
        Some(Command::Wire(schedule)) => answers::wire(&schedule, json),
        Some(Command::Uses(schedule)) => answers::uses(&schedule, json),
        Some(Command::Buy(schedule)) => answers::buy(&schedule, json),
        Some(Command::Cost(schedule)) => answers::cost(&schedule, json),
        Some(Command::Book(book)) => publish::book(&book, json),
        Some(Command::Why(why)) => explain::why(&why, json),
        Some(Command::Rule(rule)) => explain::rule(rule.code.as_deref(), json),
        Some(Command::Schema(schema)) => Ok(explain::schema(schema.guide)),
        Some(Command::Completions { shell }) => Ok(publish::completions(shell)),
        Some(Command::Manual) => publish::manual(),
    }
}
