//! The workbook killed while it saves, a hundred times: the file is always the whole text before or the whole text after.
#![allow(clippy::unwrap_used)]
#![cfg(unix)]

use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

/// Saves of a form, and steps taken back or done again.
const SAVES: u32 = 100;
const TURNS: u32 = 50;
const TIMES: u32 = SAVES + TURNS;

struct Program {
    child: Child,
    address: String,
}

impl Program {
    fn open(folder: &Path) -> Program {
        let mut child = Command::new(env!("CARGO_BIN_EXE_wattwright"))
            .args(["open", "house.toml", "--no-browser"])
            .current_dir(folder)
            .env("XDG_STATE_HOME", folder.join("state"))
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut line = String::new();
        BufReader::new(child.stdout.take().unwrap()).read_line(&mut line).unwrap();
        let address = line.trim().rsplit("http://").next().unwrap().trim_end_matches('/').to_string();
        Program { child, address }
    }

    fn ask(&self, head: &str, body: &str) -> TcpStream {
        let mut stream = TcpStream::connect(&self.address).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(20))).unwrap();
        let length = body.len();
        let kind = "application/x-www-form-urlencoded";
        write!(
            stream,
            "{head} HTTP/1.1\r\nHost: {}\r\nConnection: close\r\nContent-Type: {kind}\r\nContent-Length: {length}\r\n\r\n{body}",
            self.address
        )
        .unwrap();
        stream
    }

    fn token(&self) -> String {
        let mut page = String::new();
        self.ask("GET /edit/load.pump", "").read_to_string(&mut page).unwrap();
        page.split("name=\"token\" value=\"").nth(1).unwrap().split('"').next().unwrap().to_string()
    }
}

impl Drop for Program {
    fn drop(&mut self) {
        self.child.kill().ok();
        self.child.wait().ok();
    }
}

/// A small house with a long story, so that writing it takes its time.
fn house(watts: u32) -> String {
    let story = "# A line of a long story about this house.\n".repeat(20_000);
    let head = "wattwright = 1\ntitle = \"Story House\"\ncurrency = \"USD\"\n";
    format!(
        "{head}\n[[load]]\nname = \"pump\"\nwatts = {watts}   # read from the plate\nvolts = 120\n\n{story}"
    )
}

/// The power of the pump in a text that is whole.
fn watts(text: &str) -> Option<u32> {
    let watts = text.split("\nwatts = ").nth(1)?.split(' ').next()?.parse().ok()?;
    (text == house(watts)).then_some(watts)
}

#[test]
fn killed_in_mid_save_a_hundred_times_no_file_is_lost_or_torn() {
    let folder: PathBuf = std::env::temp_dir().join(format!("wattwright-killed-{}", std::process::id()));
    fs::create_dir_all(&folder).unwrap();
    let file = folder.join("house.toml");
    fs::write(&file, house(1000)).unwrap();
    let (mut now, mut whole, mut before, mut after) = (1000, Duration::ZERO, 0, 0);
    let (mut written, mut turned) = (vec![1000], 0);
    for time in 0..TIMES {
        let mut program = Program::open(&folder);
        let next = 1001 + time;
        // After every two saves a step is taken back, or done again.
        let turn = (time % 3 == 2).then_some(if time % 2 == 0 { "back" } else { "again" });
        let (to, form) = match turn {
            Some(what) => ("POST /turn", format!("token={}&from=2&what={what}", program.token())),
            None => (
                "POST /edit/load.pump",
                format!("token={}&do=save&f.watts={next}&was.watts={now}", program.token()),
            ),
        };
        let begun = Instant::now();
        let mut reply = program.ask(to, &form);
        if time == 0 {
            // The first is let through, to know how long one takes.
            reply.read_to_string(&mut String::new()).unwrap();
            whole = begun.elapsed();
        } else {
            sleep(whole.mul_f64(f64::from(time) / f64::from(TIMES) * 1.3).saturating_sub(begun.elapsed()));
        }
        program.child.kill().unwrap();
        program.child.wait().unwrap();
        let mut said = String::new();
        reply.read_to_string(&mut said).ok();
        let text = fs::read_to_string(&file).unwrap();
        let Some(found) = watts(&text) else { panic!("time {time}: the file is torn") };
        if turn.is_some() {
            // Which step that was is told by what outlived the killing before; it leads to a text that once was.
            assert!(written.contains(&found), "time {time}: {found} W was never written");
            turned += u32::from(found != now);
            now = found;
        } else if found == next {
            (now, after) = (next, after + 1);
            written.push(next);
        } else {
            assert!(found == now, "time {time}: neither the text before nor the text after");
            assert!(!said.starts_with("HTTP/1.1 303"), "time {time}: said to be written and is not");
            before += 1;
        }
    }
    assert!(
        before > 0 && after > 0,
        "killed {before} times before and {after} times after the file was replaced"
    );
    assert!(turned > 0, "no step was ever taken back");
    // What it leaves behind besides is never taken for a design.
    let strays = fs::read_dir(&folder).unwrap().flatten().filter(|entry| {
        let name = entry.file_name().to_string_lossy().into_owned();
        name.ends_with(".toml") && name != "house.toml" && !name.starts_with('.')
    });
    assert_eq!(strays.count(), 0);
    // And the edits that were written can still be taken back.
    let program = Program::open(&folder);
    let mut page = String::new();
    program.ask("GET /2", "").read_to_string(&mut page).unwrap();
    assert!(page.contains("Story House"));
    let form = format!("token={}&from=2&what=back", program.token());
    program.ask("POST /turn", &form).read_to_string(&mut String::new()).unwrap();
    let back = watts(&fs::read_to_string(&file).unwrap());
    assert!(back.is_some_and(|back| back != now && written.contains(&back)), "{back:?} after {now}");
    drop(program);
    fs::remove_dir_all(&folder).unwrap();
}
