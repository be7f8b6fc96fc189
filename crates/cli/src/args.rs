//! What can be asked for on the command line.

use clap::{Parser, Subcommand, ValueEnum};
use std::path::PathBuf;

const ORDER: &str = "\
The ten questions and what answers them:
   1  May I build it?                         check
   2  How much do we use?                     uses, check
   3  What does our sky give?                 weather look (finder, pictures), year
   4  What should we build?                   size
   5  Will it carry us through the year?      year, open
   6  Do the parts fit together?              check
   7  How is it wired, what protects us?      wire
   8  What do we buy?                         buy, cost
   9  How do we build and prove it?           book (steps and tests not built yet)
  10  Is it doing what it should?             (not built yet)
Any number in an answer explains itself: wattwright why DESIGN FIGURE";

/// The workbench of your own solar and battery power system: one plain design file, answers to ten questions.
#[derive(Debug, Parser)]
#[command(name = "wattwright", version, after_help = ORDER, max_term_width = 100)]
pub(crate) struct Args {
    /// What to do; without one the workbook opens.
    #[command(subcommand)]
    pub(crate) command: Option<Command>,
    /// Print the same content for machines.
    #[arg(long, global = true)]
    pub(crate) json: bool,
}

#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Open the workbook in the browser.
    Open(Open),
    /// Write a commented starter design.
    New(New),
    /// Read the design and look for what does not fit; findings like a compiler's.
    Check(Check),
    /// How much do we use? Every load by month, the list against your bills.
    Uses(Schedule),
    /// Will it carry us through the year? Months, worst stretch, weather years, drill.
    Year(YearOf),
    /// What should we build? The cheapest system that keeps the promise, and what money buys.
    Size(Size),
    /// What does our sky give? Look at weather, make years, bring measured ones, find places.
    Weather(WeatherOf),
    /// How is it wired? Circuit and raceway schedules.
    Wire(Schedule),
    /// What do we buy? The purchase list.
    Buy(Schedule),
    /// What does it cost to own? Bills, fuel, upkeep and what is bought again, beside doing without it.
    Cost(Schedule),
    /// Write the build book: .html, or .pdf where it is built in.
    Book(Book),
    /// Where a number comes from.
    Why(Why),
    /// What a rule checks and why.
    Rule(RuleOf),
    /// Print the JSON Schema of the design file, or its guide.
    Schema(SchemaOf),
    /// Print completions for a shell.
    Completions {
        /// The shell.
        shell: clap_complete::Shell,
    },
    /// Print the manual page.
    Manual,
}

#[derive(Debug, clap::Args)]
pub(crate) struct Open {
    /// The design; without one, a page on which one is chosen or begun.
    pub(crate) design: Option<PathBuf>,
    /// Port on this machine; 0 takes a free one.
    #[arg(long, default_value_t = 0)]
    pub(crate) port: u16,
    /// Do not open a browser, only print the address.
    #[arg(long)]
    pub(crate) no_browser: bool,
    /// Listen on the house network too, for phones that are let in with a code.
    #[arg(long)]
    pub(crate) share: bool,
}

#[derive(Debug, clap::Args)]
pub(crate) struct New {
    /// Folder to write into; it is made when it is not there.
    #[arg(default_value = ".")]
    pub(crate) folder: PathBuf,
    /// Ask nothing.
    #[arg(long)]
    pub(crate) yes: bool,
}

#[derive(Debug, clap::Args)]
pub(crate) struct Design {
    /// The design, or - for standard input.
    pub(crate) design: PathBuf,
}

#[derive(Debug, clap::Args)]
pub(crate) struct YearOf {
    /// The design, or - for standard input.
    pub(crate) design: PathBuf,
    /// Write every hour of one weather year as comma-separated values: light, DC and AC power, loads, battery.
    #[arg(long, value_name = "FILE")]
    pub(crate) hours: Option<PathBuf>,
    /// Which weather year, from 1; left out, the middling one.
    #[arg(long, value_name = "N", requires = "hours")]
    pub(crate) weather_year: Option<usize>,
}

#[derive(Debug, clap::Args)]
pub(crate) struct Size {
    /// The design, or - for standard input.
    pub(crate) design: PathBuf,
    /// Write a system into the design as an edit: best, or its number in the table.
    #[arg(long)]
    pub(crate) apply: Option<String>,
    /// Also write the picture of cost against hardship into this .svg.
    #[arg(long)]
    pub(crate) picture: Option<PathBuf>,
    /// Leave out what if, and the last word on the promise over 200 weather years.
    #[arg(long)]
    pub(crate) quick: bool,
}

#[derive(Debug, clap::Args)]
pub(crate) struct Check {
    /// The design, or - for standard input.
    pub(crate) design: PathBuf,
    /// List what is unknown and whom to ask, what was assumed, and what is recorded but not used yet.
    #[arg(long)]
    pub(crate) questions: bool,
    /// Leave the year out, which is the slow part.
    #[arg(long)]
    pub(crate) no_year: bool,
}

#[derive(Debug, clap::Args)]
pub(crate) struct Schedule {
    /// The design, or - for standard input.
    pub(crate) design: PathBuf,
    /// Print comma-separated values.
    #[arg(long)]
    pub(crate) csv: bool,
}

#[derive(Debug, clap::Args)]
pub(crate) struct Book {
    /// The design, or - for standard input.
    pub(crate) design: PathBuf,
    /// File to write; its ending says which kind.
    #[arg(short, long)]
    pub(crate) output: PathBuf,
    /// Paper of a PDF; left out, by the design's units.
    #[arg(long)]
    pub(crate) paper: Option<PaperSize>,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
pub(crate) enum PaperSize {
    Letter,
    A4,
}

#[derive(Debug, clap::Args)]
pub(crate) struct Why {
    /// The design, or - for standard input.
    pub(crate) design: PathBuf,
    /// Name of the figure, such as runs/field-to-workshop/drop; left out, all names are listed.
    pub(crate) figure: Option<String>,
}

#[derive(Debug, clap::Args)]
pub(crate) struct RuleOf {
    /// Code of the rule; left out, all are listed.
    pub(crate) code: Option<String>,
}

#[derive(Debug, clap::Args)]
pub(crate) struct SchemaOf {
    /// Print the guide to the design file in words instead.
    #[arg(long)]
    pub(crate) guide: bool,
}

#[derive(Debug, clap::Args)]
pub(crate) struct WeatherOf {
    /// What to do with it.
    #[command(subcommand)]
    pub(crate) command: WeatherCommand,
}

#[derive(Debug, Subcommand)]
pub(crate) enum WeatherCommand {
    /// Months, dullest stretches, whether it can be true; of a design also the best tilt and bearing.
    Look(Look),
    /// Write the design's weather years in the table form that can be read again.
    Make(MakeYears),
    /// Bring measured years from NASA's open service of meteorological data; never done by itself.
    Fetch(FetchYears),
    /// Zone, nearest climate row and cold temperatures of a place.
    Near(NearTo),
}

#[derive(Debug, clap::Args)]
pub(crate) struct Look {
    /// A design (.toml), or an hourly file: EPW, TMY3, table with a declared heading, answer of the service.
    pub(crate) file: PathBuf,
    /// Also write pictures: the months into this .svg, of a design the others beside it.
    #[arg(long)]
    pub(crate) picture: Option<PathBuf>,
}

#[derive(Debug, clap::Args)]
pub(crate) struct MakeYears {
    /// The design.
    pub(crate) design: PathBuf,
    /// File of the first year; further years get their number before the ending.
    #[arg(short, long)]
    pub(crate) output: PathBuf,
    /// How many of the years; left out, all of them.
    #[arg(long)]
    pub(crate) years: Option<usize>,
}

#[derive(Debug, clap::Args)]
pub(crate) struct FetchYears {
    /// The design; its coordinates are sent, nothing else.
    pub(crate) design: PathBuf,
    /// First calendar year.
    #[arg(long, default_value_t = 2005)]
    pub(crate) from: u16,
    /// Last calendar year.
    #[arg(long, default_value_t = 2024)]
    pub(crate) to: u16,
    /// Seconds to wait for one year.
    #[arg(long, default_value_t = 120)]
    pub(crate) patience: u64,
    /// Address of the hourly interface.
    #[arg(long, default_value = "https://power.larc.nasa.gov/api/temporal/hourly/point")]
    pub(crate) service: String,
}

#[derive(Debug, clap::Args)]
pub(crate) struct NearTo {
    /// A name, or latitude,longitude in degrees, north and east positive.
    #[arg(allow_hyphen_values = true)]
    pub(crate) place: String,
}
