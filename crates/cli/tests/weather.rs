//! The weather commands: looking at every shared year, writing years and reading them again, and fetching from a service
//! that answers in the documented form on this machine.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::print_stdout)]

use std::io::{Read, Write};
use std::net::{TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../..")
}

fn run(folder: &Path, args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_wattwright"))
        .current_dir(folder)
        .env("NO_COLOR", "1")
        .env_remove("http_proxy")
        .env_remove("https_proxy")
        .env_remove("HTTP_PROXY")
        .env_remove("HTTPS_PROXY")
        .env_remove("ALL_PROXY")
        .env_remove("all_proxy")
        .args(args)
        .output()
        .unwrap()
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

fn errors(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

fn farm(folder: &Path) -> PathBuf {
    let path = folder.join("house.toml");
    std::fs::copy(root().join("designs/hollow-farm/hollow-farm.toml"), &path).unwrap();
    path
}

#[test]
fn a_look_at_each_design_shows_months_planes_and_stretches() {
    for name in ["hollow-farm", "pine-cabin", "harbour-house"] {
        let path = format!("designs/{name}/{name}.toml");
        let look = run(&root(), &["weather", "look", &path]);
        assert!(look.status.code().unwrap() <= 1, "{}", errors(&look));
        let text = out(&look);
        for words in
            ["Best tilt and bearing", "The weather, month by month", "The dullest stretches", "rule of thumb"]
        {
            assert!(text.contains(words), "{name}: {words}");
        }
        let machine = run(&root(), &["weather", "look", &path, "--json"]);
        let value: serde_json::Value = serde_json::from_slice(&machine.stdout).unwrap();
        assert_eq!(value["what"], "weather");
        assert_eq!(value["months"].as_array().unwrap().len(), 12);
        assert!(!value["planes"][0]["best"].as_array().unwrap().is_empty());
    }
}

/// How the names of the shared years begin, in order.
const SHARED_YEARS: [&str; 7] = [
    "CAN_ON_Toronto",
    "NLD_DeBilt",
    "USA_AZ_Phoenix",
    "USA_CO_Golden",
    "USA_FL_Miami",
    "USA_MN_Minneapolis",
    "USA_PR_SanJuan",
];

/// The text of a whole picture that draws something.
fn is_a_drawing(picture: &Path) -> String {
    let text = std::fs::read_to_string(picture).unwrap_or_else(|e| panic!("{}: {e}", picture.display()));
    assert!(text.starts_with("<svg") && text.trim_end().ends_with("</svg>"), "{}", picture.display());
    assert!(text.contains("<path") || text.contains("<rect"), "{}", picture.display());
    text
}

#[test]
fn a_look_at_every_shared_year_finds_a_report_and_draws_it() {
    let Ok(data) = std::env::var("WATTWRIGHT_DATA") else {
        println!("skipped: WATTWRIGHT_DATA is not set");
        return;
    };
    let folder = tempfile::tempdir().unwrap();
    let mut looked = Vec::new();
    for entry in std::fs::read_dir(PathBuf::from(data).join("weather")).unwrap() {
        let path = entry.unwrap().path();
        let ending = path.extension().map(|e| e.to_string_lossy().to_lowercase()).unwrap_or_default();
        if !["epw", "csv"].contains(&ending.as_str()) {
            continue;
        }
        let name = path.file_stem().unwrap().to_string_lossy().into_owned();
        let picture = folder.path().join(format!("{name}.svg"));
        let look = run(
            folder.path(),
            &["weather", "look", path.to_str().unwrap(), "--picture", picture.to_str().unwrap()],
        );
        if look.status.code() == Some(2) {
            // A file of another kind is refused with its line, never half read.
            assert!(errors(&look).contains("line "), "{}: {}", path.display(), errors(&look));
            continue;
        }
        assert!(out(&look).contains("Can it be true?"), "{}", path.display());
        is_a_drawing(&picture);
        looked.push(name);
    }
    looked.sort();
    assert_eq!(looked.len(), SHARED_YEARS.len(), "{looked:?}");
    for (name, start) in looked.iter().zip(SHARED_YEARS) {
        assert!(name.starts_with(start), "{name} is not {start}");
        is_a_drawing(&folder.path().join(format!("{name}.svg")));
    }
}

#[test]
fn three_years_are_made_looked_at_and_drawn() {
    let folder = tempfile::tempdir().unwrap();
    let design = farm(folder.path());
    let made =
        run(folder.path(), &["weather", "make", design.to_str().unwrap(), "-o", "year.csv", "--years", "3"]);
    assert_eq!(made.status.code(), Some(0), "{}", errors(&made));
    let drawn = ["year", "year-2", "year-3"].map(|name| {
        let (file, picture) = (format!("{name}.csv"), format!("look-{name}.svg"));
        let look = run(folder.path(), &["weather", "look", &file, "--picture", &picture]);
        assert_eq!(look.status.code(), Some(0), "{file}: {}", errors(&look));
        assert!(out(&look).contains("Can it be true?"), "{file}");
        is_a_drawing(&folder.path().join(picture))
    });
    assert!(drawn[0] != drawn[1] && drawn[1] != drawn[2] && drawn[0] != drawn[2], "years of their own");
}

#[test]
fn written_years_are_read_again_as_the_same_weather() {
    let folder = tempfile::tempdir().unwrap();
    let design = farm(folder.path());
    let made =
        run(folder.path(), &["weather", "make", design.to_str().unwrap(), "-o", "year.csv", "--years", "2"]);
    assert_eq!(made.status.code(), Some(0), "{}", errors(&made));
    let look = |file: &str| -> serde_json::Value {
        let output = run(folder.path(), &["weather", "look", file, "--json"]);
        serde_json::from_slice(&output.stdout).unwrap_or_else(|e| panic!("{e}: {}", errors(&output)))
    };
    let (first, second) = (look("year.csv"), look("year-2.csv"));
    assert_ne!(first["months"], second["months"]);
    assert_eq!(first["latitude_deg"], 42.87);
    // The table rounds light to a tenth of a watt and drops nothing: a design that names the file has its months.
    let text = std::fs::read_to_string(&design).unwrap();
    let named = text.replacen(
        "weather = { normals = \"nearest\", years = 20, seed = 7 }",
        "weather = { file = \"year.csv\" }",
        1,
    );
    assert_ne!(named, text);
    std::fs::write(&design, named).unwrap();
    let of_design = look("house.toml");
    assert_eq!(of_design["years"], 1);
    assert_eq!(of_design["months"], first["months"]);
    // Two columns named the wrong way round are read, and not believed: a look says so and where, and so does a check.
    let year = std::fs::read_to_string(folder.path().join("year.csv")).unwrap();
    let swapped = year.replacen("dni_w_m2,dhi_w_m2", "dhi_w_m2,dni_w_m2", 1);
    assert_ne!(swapped, year);
    std::fs::write(folder.path().join("year.csv"), swapped).unwrap();
    let doubted = run(folder.path(), &["weather", "look", "year.csv"]);
    assert_eq!(doubted.status.code(), Some(1));
    assert!(out(&doubted).contains("No: year.csv, line 7:"), "{}", out(&doubted));
    assert!(out(&run(folder.path(), &["check", "house.toml"])).contains("P06"));
    let wrong = run(folder.path(), &["weather", "make", "house.toml", "-o", "year.txt"]);
    assert_eq!(wrong.status.code(), Some(2));
}

#[test]
fn a_place_is_found_by_name_and_by_coordinates_and_its_cold_has_a_basis() {
    let by_name = run(&root(), &["weather", "near", "sydney"]);
    assert_eq!(by_name.status.code(), Some(0));
    assert!(out(&by_name).contains("Australia/Sydney"), "{}", out(&by_name));
    let by_place = run(&root(), &["weather", "near", "-33.9,151.2"]);
    assert!(out(&by_place).contains("km away"), "{}", errors(&by_place));
    assert!(out(&by_place).contains("basis"));
    assert_eq!(run(&root(), &["weather", "near", "nowhere at all"]).status.code(), Some(2));
    // Where the design leaves its coldest blank, check shows what is known near by, and takes none of it.
    let folder = tempfile::tempdir().unwrap();
    let design = farm(folder.path());
    let text = std::fs::read_to_string(&design).unwrap();
    let blank: String =
        text.lines().filter(|line| !line.starts_with("coldest")).map(|l| format!("{l}\n")).collect();
    std::fs::write(&design, blank).unwrap();
    let check = run(folder.path(), &["check", "house.toml", "--questions", "--no-year"]);
    assert!(out(&check).contains("Cold near the design's place"), "{}", out(&check));
    assert!(out(&check).contains("place.coldest"));
}

/// What the service on this machine does with each request.
type Answers = Arc<dyn Fn(usize, &str) -> Reply + Send + Sync>;

enum Reply {
    Whole(String),
    Status(u16, String),
    /// Half of the bytes promised.
    Cut(String),
    /// Nothing for longer than anyone waits.
    Silence,
    /// A whole answer, byte by byte: never silent for long, and never done in time.
    Trickle(String),
}

struct Service {
    address: String,
    asked: Arc<Mutex<Vec<String>>>,
}

fn service(answers: Answers) -> Service {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = format!("http://{}/hourly", listener.local_addr().unwrap());
    let asked: Arc<Mutex<Vec<String>>> = Arc::default();
    let (log, count) = (asked.clone(), AtomicUsize::new(0));
    std::thread::spawn(move || {
        for stream in listener.incoming().flatten() {
            let number = count.fetch_add(1, Ordering::SeqCst);
            answer(stream, &answers, &log, number);
        }
    });
    Service { address, asked }
}

fn answer(mut stream: TcpStream, answers: &Answers, log: &Mutex<Vec<String>>, number: usize) {
    let mut request = Vec::new();
    let mut buffer = [0; 1024];
    while !request.windows(4).any(|end| end == b"\r\n\r\n") {
        match stream.read(&mut buffer) {
            Ok(0) | Err(_) => return,
            Ok(read) => request.extend_from_slice(&buffer[..read]),
        }
    }
    let line = String::from_utf8_lossy(&request).lines().next().unwrap_or("").to_string();
    log.lock().unwrap().push(line.clone());
    let head = |status: u16, length: usize| {
        format!(
            "HTTP/1.1 {status} answer\r\ncontent-type: text/csv\r\ncontent-length: {length}\r\nconnection: close\r\n\r\n"
        )
    };
    match answers(number, &line) {
        Reply::Whole(body) => {
            let _ = stream.write_all(head(200, body.len()).as_bytes());
            let _ = stream.write_all(body.as_bytes());
        }
        Reply::Status(status, body) => {
            let _ = stream.write_all(head(status, body.len()).as_bytes());
            let _ = stream.write_all(body.as_bytes());
        }
        Reply::Cut(body) => {
            let _ = stream.write_all(head(200, body.len()).as_bytes());
            let _ = stream.write_all(&body.as_bytes()[..body.len() / 2]);
        }
        Reply::Silence => std::thread::sleep(std::time::Duration::from_secs(4)),
        Reply::Trickle(body) => {
            let _ = stream.write_all(head(200, body.len()).as_bytes());
            for byte in body.as_bytes() {
                // Who was asked hangs up, and the next byte is refused.
                if stream.write_all(&[*byte]).and_then(|()| stream.flush()).is_err() {
                    return;
                }
                std::thread::sleep(std::time::Duration::from_millis(100));
            }
        }
    }
}

fn year_asked(line: &str) -> u16 {
    let at = line.find("start=").expect("a start") + 6;
    line[at..at + 4].parse().unwrap()
}

/// A year in the documented form of the service, hours in universal time, with a fill value now and then.
fn documented(year: u16) -> String {
    let mut text = format!(
        "-BEGIN HEADER-\nNASA/POWER Source Native Resolution Hourly Data \nDates (month/day/year): 01/01/{year} through 12/31/{year} in UTC\nLocation: latitude  42.87   longitude -118.21 \nelevation from MERRA-2: Average for 0.5 x 0.625 degree lat/lon region = 1300.00 meters\nThe value for missing source data that cannot be computed or is outside of the sources availability range: -999 \nparameter(s): \nALLSKY_SFC_SW_DWN     CERES SYN1deg All Sky Surface Shortwave Downward Irradiance (Wh/m^2) \nALLSKY_SFC_SW_DNI     CERES SYN1deg All Sky Surface Shortwave Downward Direct Normal Irradiance (Wh/m^2) \nALLSKY_SFC_SW_DIFF     CERES SYN1deg All Sky Surface Shortwave Diffuse Irradiance (Wh/m^2) \nT2M     MERRA-2 Temperature at 2 Meters (C) \nWS10M     MERRA-2 Wind Speed at 10 Meters (m/s) \n-END HEADER-\nYEAR,MO,DY,HR,ALLSKY_SFC_SW_DWN,ALLSKY_SFC_SW_DNI,ALLSKY_SFC_SW_DIFF,T2M,WS10M\n"
    );
    let leap = year.is_multiple_of(4);
    let days = [31, if leap { 29 } else { 28 }, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];
    for (month, count) in days.iter().enumerate() {
        for day in 1..=*count {
            for hour in 0..24 {
                // Local noon is 20 h universal time.
                let angle = ((hour as f64 + 0.5 - 19.9) / 24.0 * std::f64::consts::TAU).cos();
                let light = (angle * 600.0).max(0.0).round();
                let air = if day == 7 && hour == 3 {
                    "-999".to_string()
                } else {
                    format!("{:.1}", 8.0 + 9.0 * angle)
                };
                text.push_str(&format!(
                    "{year},{},{day},{hour},{light:.1},{:.1},{:.1},{air},3.0\n",
                    month + 1,
                    light * 0.5,
                    light * 0.5
                ));
            }
        }
    }
    text
}

#[test]
fn years_are_fetched_kept_and_joined_and_a_second_run_asks_for_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let design = farm(folder.path());
    let text = std::fs::read_to_string(&design).unwrap();
    let service = service(Arc::new(|number, line| match number {
        // The first request meets a service that is down for a moment.
        0 => Reply::Status(503, "try again".into()),
        _ => Reply::Whole(documented(year_asked(line))),
    }));
    let args =
        ["weather", "fetch", "house.toml", "--from", "2011", "--to", "2013", "--service", &service.address];
    let fetched = run(folder.path(), &args);
    assert_eq!(fetched.status.code(), Some(0), "{}", errors(&fetched));
    assert!(out(&fetched).contains("3 measured years"), "{}", out(&fetched));
    let asked = service.asked.lock().unwrap().clone();
    assert_eq!(asked.len(), 4, "{asked:?}");
    assert!(
        asked[0].contains("latitude=42.8700") && asked[0].contains("longitude=-118.2100"),
        "{}",
        asked[0]
    );
    assert_eq!(std::fs::read_to_string(&design).unwrap(), text, "the design is the owner's to change");
    let again = run(folder.path(), &args);
    assert!(out(&again).contains("0 brought now, 3 kept"), "{}", out(&again));
    assert_eq!(service.asked.lock().unwrap().len(), 4);
    // A year that was damaged on the disk is asked for again.
    let kept = folder.path().join("house-weather/power-2012-42.8700--118.2100.csv");
    let whole = std::fs::read_to_string(&kept).unwrap();
    std::fs::write(&kept, &whole[..whole.len() / 3]).unwrap();
    assert!(out(&run(folder.path(), &args)).contains("1 brought now, 2 kept"));
    // The design that names the file has three years.
    let named = text.replacen(
        "weather = { normals = \"nearest\", years = 20, seed = 7 }",
        "weather = { file = \"house-power.csv\" }",
        1,
    );
    std::fs::write(&design, named).unwrap();
    let look = run(folder.path(), &["weather", "look", "house.toml", "--json"]);
    let value: serde_json::Value = serde_json::from_slice(&look.stdout).unwrap();
    assert_eq!(value["years"], 3, "{value}");
    let year = run(folder.path(), &["year", "house.toml"]);
    assert!(out(&year).contains("3 hourly years"), "{}", out(&year));
}

#[test]
fn refused_cut_and_silent_answers_leave_nothing_half_and_say_why() {
    let folder = tempfile::tempdir().unwrap();
    farm(folder.path());
    let asking = |service: &Service, patience: &str| {
        let years = ["weather", "fetch", "house.toml", "--from", "2011", "--to", "2012"];
        let how = ["--patience", patience, "--service", &service.address];
        run(folder.path(), &[&years[..], &how[..]].concat())
    };
    // Patience enough for any machine where an answer is to come.
    let ask = |service: &Service| asking(service, "120");
    let no = "{\"messages\": [\"One of your parameters is incorrect\"]}";
    let refused = ask(&service(Arc::new(move |_, _| Reply::Status(422, no.into()))));
    assert_eq!(refused.status.code(), Some(2));
    assert!(
        errors(&refused).contains("422") && errors(&refused).contains("incorrect"),
        "{}",
        errors(&refused)
    );
    // The first year comes whole, the second is cut each time: the first is kept.
    let cut = ask(&service(Arc::new(|_, line| match year_asked(line) {
        2011 => Reply::Whole(documented(2011)),
        year => Reply::Cut(documented(year)),
    })));
    assert_eq!(cut.status.code(), Some(2), "{}", out(&cut));
    assert!(errors(&cut).contains("2012"), "{}", errors(&cut));
    let kept: Vec<String> = std::fs::read_dir(folder.path().join("house-weather"))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().to_string_lossy().to_string())
        .collect();
    assert_eq!(kept.len(), 1, "{kept:?}");
    assert!(!folder.path().join("house-power.csv").exists());
    // An answer that has the words of one but lacks its rows is no year either.
    let short = ask(&service(Arc::new(|_, line| {
        let text = documented(year_asked(line));
        let end = text.char_indices().rev().filter(|(_, c)| *c == '\n').nth(500).unwrap().0;
        Reply::Whole(text[..=end].to_string())
    })));
    assert_eq!(short.status.code(), Some(2));
    assert!(errors(&short).contains("2012"), "{}", errors(&short));
    let silent = asking(&service(Arc::new(|_, _| Reply::Silence)), "2");
    assert_eq!(silent.status.code(), Some(2));
    assert!(errors(&silent).contains("within 2 seconds"), "{}", errors(&silent));
    // A byte now and then keeps no request alive: the limit is for the whole answer. Sixty bytes take six seconds.
    let trickling = asking(&service(Arc::new(|_, _| Reply::Trickle("x".repeat(60)))), "2");
    assert_eq!(trickling.status.code(), Some(2));
    assert!(errors(&trickling).contains("no whole answer within 2 seconds"), "{}", errors(&trickling));
    // And then the service is well: only the missing year is brought.
    let well = service(Arc::new(|_, line| Reply::Whole(documented(year_asked(line)))));
    let done = ask(&well);
    assert!(out(&done).contains("1 brought now, 1 kept"), "{} {}", out(&done), errors(&done));
    assert_eq!(
        run(folder.path(), &["weather", "fetch", "house.toml", "--from", "1990"]).status.code(),
        Some(2)
    );
}

#[test]
fn a_file_that_is_no_weather_is_refused_with_its_line() {
    let folder = tempfile::tempdir().unwrap();
    for (name, bytes) in [
        ("empty.csv", &b""[..]),
        ("words.csv", b"not weather at all\n"),
        ("cut.epw", b"LOCATION,Somewhere,,,,,1,2\n"),
        ("bytes.csv", b"\xff\xfe\x00\x01"),
        ("table.csv", b"# place: x\n# latitude_deg: 99\n"),
        ("power.json", b"{\"header\": {}}"),
    ] {
        std::fs::write(folder.path().join(name), bytes).unwrap();
        let look = run(folder.path(), &["weather", "look", name]);
        assert_eq!(look.status.code(), Some(2), "{name}");
        assert!(errors(&look).contains(name) && errors(&look).contains("line "), "{name}: {}", errors(&look));
    }
    let missing = run(folder.path(), &["weather", "look", "nothing.epw"]);
    assert_eq!(missing.status.code(), Some(2));
}
