//! open and new.

use crate::CLEAN;
use crate::args::{New, Open};
use crate::ask::{ask, someone_is_there};
use crate::show::{self, Failure};
use design::starter::{Wishes, starter};
use std::path::PathBuf;

pub(crate) fn open(args: Open) -> Result<u8, Failure> {
    let options = web::Options {
        design: args.design,
        folder: PathBuf::from("."),
        port: args.port,
        open_browser: !args.no_browser,
        memory: web::Memory::of_this_user(),
        share: args.share,
    };
    let fail = |e: web::WebError| Failure::new(e.to_string(), "");
    let server = web::Server::bind(&options).map_err(fail)?;
    show::line(&format!("the workbook is open at {}", server.url()));
    match server.pairing() {
        Some((address, code)) => {
            show::line(&code);
            show::aside(&format!("a phone comes in once by scanning this, or at {address}"));
            show::aside("the house network carries it in plain text; stop it with Ctrl-C");
        }
        None => show::aside("it answers on this machine only; stop it with Ctrl-C"),
    }
    server.run().map_err(fail)?;
    Ok(CLEAN)
}

pub(crate) fn new(args: &New, json: bool) -> Result<u8, Failure> {
    let path = args.folder.join("house.toml");
    if path.exists() {
        return Err(Failure::new(
            format!("{} is there already; nothing was written", path.display()),
            "choose another folder: wattwright new FOLDER",
        ));
    }
    let wishes = if args.yes || !someone_is_there() { no_questions() } else { questions()? };
    let text = starter(&wishes);
    std::fs::create_dir_all(&args.folder).map_err(|e| {
        Failure::new(format!("{}: {e}", args.folder.display()), "choose a folder you may write into")
    })?;
    door::write_atomically(&path, text.as_bytes()).map_err(|e| Failure::new(e.to_string(), ""))?;
    if json {
        show::json(
            &serde_json::json!({ "format": output::json::FORMAT, "what": "new", "file": path.display().to_string() }),
        );
    } else {
        show::line(&format!("wrote {}", path.display()));
        show::aside(&format!("next: open it in an editor, then  wattwright check {}", path.display()));
    }
    Ok(CLEAN)
}

fn no_questions() -> Wishes {
    Wishes {
        title: "Our House".into(),
        latitude: 40.0,
        longitude: -105.0,
        elevation: "5000 ft".into(),
        zone: "America/Denver".into(),
        american: true,
    }
}

fn questions() -> Result<Wishes, Failure> {
    let number = |question: &str, otherwise: &str, most: f64| -> Result<f64, Failure> {
        let text = ask(question, otherwise);
        match text.parse::<f64>() {
            Ok(value) if value.abs() <= most => Ok(value),
            _ => Err(Failure::new(
                format!("{text} is no number between −{most} and {most}"),
                "nothing was written",
            )),
        }
    };
    let title = ask("What do you call the house?", "Our House");
    let latitude = number("Latitude in degrees, north positive?", "40.0", 90.0)?;
    let longitude = number("Longitude in degrees, east positive?", "-105.0", 180.0)?;
    let elevation = ask("Height above the sea?", "1500 m");
    let zone = ask("Time zone (IANA)?", "America/Denver");
    let volts = ask("Supply of the house: 120/240 or 230?", "120/240");
    Ok(Wishes { title, latitude, longitude, elevation, zone, american: volts.starts_with("120") })
}
