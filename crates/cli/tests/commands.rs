//! Every command on every shipped design, and what bad input does.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::print_stdout)]

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../..")
}

fn run(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_wattwright"))
        .current_dir(root())
        .env("NO_COLOR", "1")
        .args(args)
        .output()
        .unwrap()
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

fn json(output: &Output) -> serde_json::Value {
    serde_json::from_slice(&output.stdout).unwrap_or_else(|e| panic!("{e}: {}", out(output)))
}

fn status(output: &Output) -> i32 {
    output.status.code().expect("not killed")
}

const DESIGNS: [&str; 5] = ["hollow-farm", "pine-cabin", "harbour-house", "orchard-row", "wrong-turns"];

fn path(name: &str) -> String {
    format!("designs/{name}/{name}.toml")
}

/// No word that claims what only an authority can say, and no number that is none.
fn reads_well(text: &str, what: &str) {
    for word in ["NaN", "inf ", "not a number"] {
        assert!(!text.contains(word), "{what} prints {word}");
    }
    for line in text.lines() {
        let lower = line.to_lowercase();
        for word in [" safe.", " is safe", "legal", "approved"] {
            assert!(!lower.contains(word), "{what} prints \"{word}\": {line}");
        }
    }
}

#[test]
fn every_command_answers_every_design_in_words_and_for_machines() {
    for name in DESIGNS {
        let path = path(name);
        for command in ["check", "uses", "year", "wire", "buy", "cost", "why"] {
            let plain = run(&[command, &path]);
            assert!(status(&plain) <= 1, "{command} {name}: {}", String::from_utf8_lossy(&plain.stderr));
            let text = out(&plain);
            assert!(text.len() > 60, "{command} {name} says nothing");
            reads_well(&text, command);
            if command != "check" {
                let widest = text.lines().map(|line| line.chars().count()).max().unwrap_or(0);
                assert!(widest <= 110, "{command} {name}: a line of {widest} columns");
            }
            let machine = run(&[command, &path, "--json"]);
            assert_eq!(status(&machine), status(&plain), "{command} {name}: another status with --json");
            let value = json(&machine);
            assert_eq!(value["format"], 1, "{command} {name}");
        }
    }
}

#[test]
fn the_machine_forms_have_what_they_promise() {
    let check = json(&run(&["check", &path("wrong-turns"), "--json"]));
    let finding = &check["findings"][0];
    for key in ["code", "severity", "undecided", "message", "at"] {
        assert!(!finding[key].is_null(), "a finding without {key}");
    }
    for key in ["file", "line", "column", "label"] {
        assert!(!finding["at"][0][key].is_null(), "a place without {key}");
    }
    let year = json(&run(&["year", &path("hollow-farm"), "--json"]));
    let months = year["months"].as_array().unwrap();
    assert_eq!(months.len(), 12);
    let sum: f64 = months.iter().map(|m| m["load_kwh"].as_f64().unwrap()).sum();
    assert!((sum - year["load_kwh"].as_f64().unwrap()).abs() < 1e-5 * sum);
    for key in ["pv_kwh", "missing_kwh", "backup_kwh", "unused_kwh"] {
        assert!(months[0][key].is_number());
    }
    the_weather_is_told_alike(&year, &out(&run(&["year", &path("hollow-farm")])));
    assert!(json(&run(&["wire", &path("hollow-farm"), "--json"]))["circuits"].as_array().unwrap().len() > 10);
    let metric = json(&run(&["wire", &path("harbour-house"), "--json"]));
    assert!(metric["circuits"][0]["conductor"].as_str().unwrap().ends_with("mm²"));
    assert!(metric["lock_out"].is_array() && metric["enclosures"].is_array() && metric["bonds"].is_array());
    assert!(json(&run(&["buy", &path("pine-cabin"), "--json"]))["lines"].as_array().unwrap().len() > 8);
}

/// What the weather years are, how they differ and how near they come to real ones: the same to people and machines.
fn the_weather_is_told_alike(year: &serde_json::Value, printed: &str) {
    let flat = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let printed = flat(printed);
    let says = year["weather_says"].as_str().unwrap();
    assert!(says.starts_with("20 synthetic years from the monthly means of "), "{says}");
    assert!(printed.contains(&flat(&format!("Weather: {says}."))), "{printed}");
    let remarks: Vec<&str> =
        year["weather_remarks"].as_array().unwrap().iter().map(|remark| remark.as_str().unwrap()).collect();
    for remark in &remarks {
        assert!(printed.contains(&flat(remark)), "not printed: {remark}");
    }
    let told = remarks.join(" ");
    for part in ["standard deviation over 20 years", "left to themselves the days", "times the real light"] {
        assert!(told.to_lowercase().contains(part), "{part}: {told}");
    }
}

/// A data sheet that no diode curve bears is refused with both numbers, in words, as a finding and in the year.
#[test]
fn a_data_sheet_that_contradicts_itself_is_refused_with_its_numbers() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("cabin.toml");
    let sound = std::fs::read_to_string(root().join(path("pine-cabin"))).unwrap();
    let flat = |text: String| text.split_whitespace().collect::<Vec<_>>().join(" ");
    for (right, wrong, says) in [
        (
            "pmax_per_kelvin = \"-0.34 %/K\"",
            "pmax_per_kelvin = \"-0.75 %/K\"",
            ["-0.750 %/K", "the other values imply"],
        ),
        (
            "in_series = 54",
            "in_series = 108",
            ["0.35 V in each of its 108 series cells", "count the cells in series"],
        ),
        (
            "vmp = \"31.4 V\"",
            "vmp = \"36.9 V\"",
            ["36.9 V times 13.06 A is 482 W, not 410 W", "within the rounding of the sheet"],
        ),
    ] {
        assert!(sound.contains(right), "{right}");
        std::fs::write(&file, sound.replace(right, wrong)).unwrap();
        let checked = run(&["check", file.to_str().unwrap()]);
        let text = flat(out(&checked) + &err(&checked));
        for part in says {
            assert!(text.contains(part), "{wrong}: {part} is not in {text}");
        }
        assert!(text.contains("cabin.toml:"), "{wrong} has no place: {text}");
    }
    std::fs::write(
        &file,
        sound.replace("pmax_per_kelvin = \"-0.34 %/K\"", "pmax_per_kelvin = \"-0.75 %/K\""),
    )
    .unwrap();
    let year = flat(out(&run(&["year", file.to_str().unwrap()])));
    assert!(year.contains("-0.750 %/K") && !year.contains("month by month"), "{year}");
    // The sound sheet says how far curve and sheet are apart.
    let why = flat(out(&run(&["why", &path("pine-cabin"), "modules/roof/apart"])));
    assert!(why.contains("largest difference of curve and sheet") && why.contains("De Soto"), "{why}");
}

#[test]
fn outlets_add_up_in_the_printed_months() {
    let year = json(&run(&["year", &path("hollow-farm"), "--json"]));
    for month in year["months"].as_array().unwrap() {
        let kwh = |key: &str| month[key].as_f64().unwrap();
        // Backup by transfer charges nothing here, so it all goes to loads; nine digits are printed.
        let served = kwh("from_sun_kwh") + kwh("from_battery_kwh") + kwh("backup_kwh") + kwh("missing_kwh");
        assert!((served - kwh("load_kwh")).abs() < 1e-5, "{month}");
    }
}

#[test]
fn a_book_is_written_whole_and_the_same_each_time() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("book.html");
    for name in DESIGNS {
        let output = run(&["book", &path(name), "-o", file.to_str().unwrap()]);
        assert!(status(&output) <= 1, "{}", String::from_utf8_lossy(&output.stderr));
        let first = std::fs::read(&file).unwrap();
        run(&["book", &path(name), "-o", file.to_str().unwrap()]);
        assert_eq!(std::fs::read(&file).unwrap(), first, "{name}: other bytes from the same study");
        reads_well(&String::from_utf8(first).unwrap(), name);
    }
    let refused = run(&["book", &path("pine-cabin"), "-o", folder.path().join("book.txt").to_str().unwrap()]);
    assert_eq!(status(&refused), 2);
    assert!(!folder.path().join("book.txt").exists());
}

#[test]
fn why_names_the_nearest_figures() {
    let output = run(&["why", &path("hollow-farm"), "strings/north/cold"]);
    assert_eq!(status(&output), 2);
    let said = String::from_utf8(output.stderr).unwrap();
    assert!(said.contains("strings/north-row/cold-"), "{said}");
    let output = run(&["why", &path("hollow-farm"), "strings/north-row/cold-voc"]);
    assert!(out(&output).contains("n · voc · (1 + beta · (t − 25))"));
    assert!(out(&output).contains("design line"));
}

#[test]
fn a_starter_is_begun_once_and_never_overwritten() {
    let folder = tempfile::tempdir().unwrap();
    let home = folder.path().join("my house");
    let first = run(&["new", home.to_str().unwrap(), "--yes"]);
    assert_eq!(status(&first), 0, "{}", String::from_utf8_lossy(&first.stderr));
    let file = home.join("house.toml");
    std::fs::write(&file, "mine").unwrap();
    let again = run(&["new", home.to_str().unwrap(), "--yes"]);
    assert_eq!(status(&again), 2);
    assert_eq!(std::fs::read_to_string(&file).unwrap(), "mine");
}

#[test]
fn a_starter_asks_for_what_dangers_depend_on() {
    let folder = tempfile::tempdir().unwrap();
    run(&["new", folder.path().to_str().unwrap(), "--yes"]);
    let file = folder.path().join("house.toml");
    let output = run(&["check", file.to_str().unwrap(), "--questions"]);
    assert_eq!(status(&output), 1, "a house with blanks passed");
    let text = out(&output);
    for field in ["place.coldest", "battery.rack.short_circuit", "battery.rack.low_temperature_cut_off"] {
        assert!(text.contains(field), "{field} is not asked for:\n{text}");
    }
}

fn refused(bytes: &[u8], what: &str) -> String {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("design.toml");
    std::fs::write(&file, bytes).unwrap();
    let book = folder.path().join("book.html");
    let mut said = String::new();
    for args in [vec!["check", "FILE"], vec!["year", "FILE"], vec!["book", "FILE", "-o", "BOOK"]] {
        let args: Vec<&str> = args
            .into_iter()
            .map(|arg| match arg {
                "FILE" => file.to_str().unwrap(),
                "BOOK" => book.to_str().unwrap(),
                other => other,
            })
            .collect();
        let output = run(&args);
        assert_eq!(status(&output), 2, "{what}: {args:?}");
        said = format!("{}{}", out(&output), String::from_utf8_lossy(&output.stderr));
        assert!(!said.trim().is_empty(), "{what}: refused without a word");
    }
    assert!(!book.exists(), "{what}: something was written");
    said
}

#[test]
fn files_that_are_no_designs_are_refused_with_a_place_and_write_nothing() {
    let whole = std::fs::read(root().join(path("hollow-farm"))).unwrap();
    assert!(refused(b"", "empty").to_lowercase().contains("empty"));
    let text = String::from_utf8(whole.clone()).unwrap();
    let inside = text.find("1722 mm").expect("a module has a size") + 3;
    refused(&whole[..inside], "truncated in the middle of a line");
    assert!(refused(&[0xff, 0xfe, 0x00, 0x41], "not UTF-8").contains("UTF-8"));
    let mut mixed = whole.clone();
    mixed[400] = 0xff;
    assert!(refused(&mixed, "one broken byte").contains("UTF-8"));
    assert!(refused(&b"a = \"x\"\n".repeat(1_300_000), "10 MB").contains("MB"));
    refused(b"\x00\x01\x02[[[[", "garbage");
}

#[test]
fn a_missing_file_is_refused_also_for_machines() {
    let output = run(&["check", "no/such/design.toml", "--json"]);
    assert_eq!(status(&output), 2);
    let value = json(&output);
    assert_eq!(value["what"], "error");
    assert!(value["message"].as_str().unwrap().contains("no/such/design.toml"));
}

#[test]
fn a_broken_weather_file_is_named_with_its_line() {
    let folder = tempfile::tempdir().unwrap();
    let text = std::fs::read_to_string(root().join(path("pine-cabin"))).unwrap();
    let line = text.lines().find(|line| line.starts_with("weather")).unwrap().to_string();
    let text = text.replace(&line, "weather = { file = \"year.epw\" }");
    let design = folder.path().join("design.toml");
    std::fs::write(&design, text).unwrap();
    for (bytes, expect) in [
        (&b""[..], "year.epw"),
        (&b"LOCATION,Nowhere\nrubbish\n"[..], "line"),
        (&[0xff, 0xfe, 0x00][..], "year.epw"),
    ] {
        std::fs::write(folder.path().join("year.epw"), bytes).unwrap();
        let output = run(&["year", design.to_str().unwrap()]);
        let said = err(&output);
        assert_eq!(status(&output), 2, "{said}");
        assert!(said.contains(expect), "{said}");
    }
    std::fs::remove_file(folder.path().join("year.epw")).unwrap();
    let output = run(&["year", design.to_str().unwrap()]);
    assert_eq!(status(&output), 2);
    assert_eq!(err(&output).matches("year.epw").count(), 1, "{}", err(&output));
    let book = folder.path().join("book.html");
    assert_eq!(status(&run(&["book", design.to_str().unwrap(), "-o", book.to_str().unwrap()])), 2);
    assert!(!book.exists());
}

#[test]
fn a_design_can_be_piped_in() {
    use std::io::Write as _;
    let mut child = Command::new(env!("CARGO_BIN_EXE_wattwright"))
        .args(["buy", "-", "--json"])
        .stdin(std::process::Stdio::piped())
        .stdout(std::process::Stdio::piped())
        .spawn()
        .unwrap();
    let text = std::fs::read(root().join(path("pine-cabin"))).unwrap();
    child.stdin.take().unwrap().write_all(&text).unwrap();
    let output = child.wait_with_output().unwrap();
    assert_eq!(json(&output)["title"], "Pine Cabin");
}

/// A real year read through the whole program; the yearly sum of the file stands in the data's own notes.
#[test]
fn a_real_hourly_year_carries_through_to_the_answer() {
    let Some(data) = std::env::var_os("WATTWRIGHT_DATA") else {
        println!("skipped: WATTWRIGHT_DATA is not set");
        return;
    };
    let folder = tempfile::tempdir().unwrap();
    let name = "USA_CO_Golden-NREL.724666_TMY3.epw";
    std::fs::copy(Path::new(&data).join("weather").join(name), folder.path().join(name)).unwrap();
    let text = std::fs::read_to_string(root().join(path("pine-cabin"))).unwrap();
    let line = text.lines().find(|line| line.starts_with("weather")).unwrap().to_string();
    let design = folder.path().join("design.toml");
    std::fs::write(&design, text.replace(&line, &format!("weather = {{ file = \"{name}\" }}"))).unwrap();
    let year = json(&run(&["year", design.to_str().unwrap(), "--json"]));
    assert_eq!(year["weather_years"], 1);
    assert!(year["pv_kwh"].as_f64().unwrap() > 1000.0, "{year}");
    // Hour by hour: what the machine is told adds up to what the owner reads.
    let file = folder.path().join("hours.csv");
    let output = run(&["year", design.to_str().unwrap(), "--hours", file.to_str().unwrap()]);
    assert!(status(&output) < 2, "{}", err(&output));
    let hours = Hourly::read(&file);
    assert_eq!(hours.rows.len(), 8760);
    // Thousandths of a watt, 8760 times.
    let kwh = |name: &str| hours.column(name).iter().sum::<f64>() / 1000.0;
    for (column, key) in [
        ("dc_offered_w", "pv_kwh"),
        ("asked_w", "load_kwh"),
        ("backup_w", "backup_kwh"),
        ("missing_w", "missing_kwh"),
        ("unused_w", "unused_kwh"),
        ("exported_w", "exported_kwh"),
    ] {
        let told = year[key].as_f64().unwrap();
        assert!((kwh(column) - told).abs() < 1e-2, "{column}: {} and {told}", kwh(column));
    }
    let columns = ["dc_offered_w", "dc_taken_w", "unused_w", "cables_w"].map(|name| hours.column(name));
    let [offered, taken, unused, cables] = &columns;
    for hour in 0..8760 {
        // Four numbers rounded to thousandths.
        let rest = offered[hour] - taken[hour] - unused[hour] - cables[hour];
        assert!(rest.abs() < 0.0025, "hour {hour}: {rest} W");
    }
    let (light, from) = (hours.column("light_south_roof_w_m2"), hours.column("from_h"));
    for (hour, light) in light.iter().enumerate().filter(|(_, light)| **light == 0.0) {
        assert_eq!(offered[hour], 0.0, "hour {hour} of {light} W/m2");
    }
    assert_eq!((from[0], from[23], from[24]), (0.0, 23.0, 0.0));
    let refused = run(&["year", design.to_str().unwrap(), "--hours", "x.csv", "--weather-year", "2"]);
    assert_eq!(status(&refused), 2);
    assert!(err(&refused).contains("weather years go from 1 to 1"), "{}", err(&refused));
}

/// A file of hours as it was written.
struct Hourly {
    columns: Vec<String>,
    rows: Vec<Vec<f64>>,
}

impl Hourly {
    fn read(path: &Path) -> Hourly {
        let text = std::fs::read_to_string(path).unwrap();
        let mut lines = text.lines();
        let columns = lines.next().unwrap().split(',').map(str::to_string).collect();
        let rows = lines.map(|line| line.split(',').map(|cell| cell.parse().unwrap()).collect()).collect();
        Hourly { columns, rows }
    }

    fn column(&self, name: &str) -> Vec<f64> {
        let at = self.columns.iter().position(|column| column == name);
        let at = at.unwrap_or_else(|| panic!("no column {name} in {:?}", self.columns));
        self.rows.iter().map(|row| row[at]).collect()
    }
}

#[test]
fn the_guide_and_the_machine_description_are_current() {
    let guide = out(&run(&["schema", "--guide"]));
    let file = root().join("docs/design-file.md");
    if std::env::var_os("UPDATE").is_some() {
        std::fs::write(&file, &guide).unwrap();
    }
    let kept = std::fs::read_to_string(&file).unwrap_or_default();
    assert_eq!(
        kept.trim(),
        guide.trim(),
        "docs/design-file.md is not what the catalogue says; run the tests with UPDATE=1"
    );
    let schema = json(&run(&["schema"]));
    assert!(schema["properties"]["place"].is_object());
    let described = std::fs::read_to_string(root().join("docs/json.md")).unwrap();
    let year = json(&run(&["year", &path("hollow-farm"), "--json"]));
    for key in year.as_object().unwrap().keys().filter(|k| !["format", "what", "title"].contains(&k.as_str()))
    {
        assert!(described.contains(key.as_str()), "docs/json.md does not describe {key}");
    }
    let circuit = &json(&run(&["wire", &path("hollow-farm"), "--json"]))["circuits"][0];
    for key in circuit.as_object().unwrap().keys() {
        assert!(described.contains(key.as_str()), "docs/json.md does not describe {key}");
    }
}

#[test]
fn completions_manual_rules_and_help_are_printed() {
    for shell in ["bash", "zsh", "fish"] {
        assert!(out(&run(&["completions", shell])).contains("wattwright"));
    }
    assert!(out(&run(&["manual"])).starts_with(".ie") || out(&run(&["manual"])).contains(".TH"));
    let rules = json(&run(&["rule", "--json"]));
    let rules = rules["rules"].as_array().unwrap();
    assert!(rules.len() >= 12);
    for rule in rules {
        let code = rule["code"].as_str().unwrap();
        let about = out(&run(&["rule", code]));
        assert!(about.len() > 200, "{code} says little of itself");
    }
    assert_eq!(status(&run(&["rule", "no-such-rule"])), 2);
    let help = out(&run(&["--help"]));
    assert!(help.contains("Will it carry us through the year?"));
    assert_eq!(status(&run(&["--no-such-option"])), 2);
}
