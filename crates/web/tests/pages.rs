//! The workbook called as a function: pages, edits, and everything that is refused.
#![allow(clippy::unwrap_used)]

use axum::Router;
use axum::body::{Body, to_bytes};
use axum::http::{Request, StatusCode, header};
use door::{DoorError, FileHash, Files, InMemory};
use futures_core::Stream;
use std::path::Path;
use std::pin::pin;
use std::sync::Arc;
use tower::ServiceExt;
use web::{Workbook, app};

const PORT: u16 = 4000;
const FILE: &str = "house.toml";
const FARM: &str = include_str!("../../../designs/hollow-farm/hollow-farm.toml");
const CABIN: &str = include_str!("../../../designs/pine-cabin/pine-cabin.toml");
const HARBOUR: &str = include_str!("../../../designs/harbour-house/harbour-house.toml");

/// Files that the test and the workbook both hold.
#[derive(Clone)]
struct Shared(Arc<InMemory>);

impl Files for Shared {
    fn read_design(&self, path: &Path) -> Result<Vec<u8>, DoorError> {
        self.0.read_design(path)
    }
    fn read_data(&self, path: &Path) -> Result<Vec<u8>, DoorError> {
        self.0.read_data(path)
    }
    fn write(&self, path: &Path, bytes: &[u8]) -> Result<(), DoorError> {
        self.0.write(path, bytes)
    }
    fn replace(&self, path: &Path, read: FileHash, bytes: &[u8]) -> Result<FileHash, DoorError> {
        self.0.replace(path, read, bytes)
    }
}

struct House {
    files: Shared,
    book: Arc<Workbook>,
    app: Router,
}

impl House {
    fn of(text: &str) -> House {
        let files = Shared(Arc::new(InMemory::with(FILE, text)));
        let book = Arc::new(Workbook::open(FILE.into(), Box::new(files.clone()), PORT).unwrap());
        House { files, app: app(book.clone()), book }
    }

    fn text(&self) -> String {
        String::from_utf8(self.files.read_design(Path::new(FILE)).unwrap()).unwrap()
    }

    /// Writes the file as another program would, and lets the workbook look.
    fn edited_elsewhere(&self, text: &str) {
        self.files.write(Path::new(FILE), text.as_bytes()).unwrap();
        self.book.look_again();
    }

    async fn ask(&self, request: Request<Body>) -> (StatusCode, String) {
        let reply = self.app.clone().oneshot(request).await.unwrap();
        let status = reply.status();
        let body = to_bytes(reply.into_body(), 10_000_000).await.unwrap();
        (status, String::from_utf8(body.to_vec()).unwrap())
    }

    async fn get(&self, path: &str) -> (StatusCode, String) {
        self.ask(request(path).body(Body::empty()).unwrap()).await
    }

    async fn part(&self, path: &str, part: &str) -> (StatusCode, String) {
        self.ask(request(path).header("x-part", part).body(Body::empty()).unwrap()).await
    }

    async fn post(&self, form: &str) -> (StatusCode, String) {
        self.ask(post("http://127.0.0.1:4000").body(Body::from(form.to_string())).unwrap()).await
    }

    /// The form that the page itself offers for what is tried.
    async fn keep_form(&self, path: &str) -> String {
        let (_, page) = self.get(path).await;
        let form = page
            .split("action=\"/keep\"")
            .nth(1)
            .expect("a form to keep it")
            .split("</form>")
            .next()
            .unwrap();
        let fields = form.split("<input").skip(1).map(|input| {
            let value =
                |name: &str| input.split(&format!("{name}=\"")).nth(1).unwrap().split('"').next().unwrap();
            format!("{}={}", value(" name"), value(" value"))
        });
        fields.collect::<Vec<_>>().join("&")
    }
}

fn request(path: &str) -> axum::http::request::Builder {
    Request::builder().uri(path).header(header::HOST, format!("127.0.0.1:{PORT}"))
}

fn post(origin: &str) -> axum::http::request::Builder {
    request("/keep")
        .method("POST")
        .header(header::ORIGIN, origin)
        .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
}

/// Two texts line by line, so that a failure shows the line and not the file.
fn same(found: &str, expected: &str) {
    for (at, (a, b)) in found.lines().zip(expected.lines()).enumerate() {
        assert_eq!(a, b, "line {}", at + 1);
    }
    assert!(found == expected, "one is longer, or line ends differ");
}

/// The text of the part of an identifier, without its markup.
fn part_of(page: &str, id: &str) -> String {
    let rest = page.split(&format!("id=\"{id}\"")).nth(1).expect("the part is on the page");
    let mut text = String::new();
    let mut inside = true;
    for c in rest.chars().take(4000) {
        match c {
            '<' => inside = true,
            '>' => inside = false,
            c if !inside => text.push(c),
            _ => {}
        }
    }
    text
}

#[tokio::test(flavor = "multi_thread")]
async fn every_page_of_every_demo_is_whole() {
    for design in [FARM, CABIN, HARBOUR] {
        let house = House::of(design);
        for question in 1..=10 {
            let (status, page) = house.get(&format!("/{question}")).await;
            assert_eq!(status, StatusCode::OK);
            assert!(page.contains("class=\"answer\"") && page.contains("</html>"), "page {question}");
            assert_eq!(page.matches("aria-current=\"page\"").count(), 2, "the spine, wide and folded");
            // Nothing inline and nothing from elsewhere, or the policy would be a lie.
            for outside in [" style=\"", "<style", "onclick", "src=\"http", "href=\"http"] {
                assert!(!page.contains(outside), "page {question} has {outside}");
            }
            assert_eq!(page.matches("<script").count(), 1);
            let lower = page.to_lowercase();
            for word in ["not a number", "nan ", " safe ", "legal", "approved"] {
                assert!(!lower.contains(word), "page {question} says {word}");
            }
        }
        let (_, page) = house.get("/5").await;
        let mut ids: Vec<&str> =
            page.split(" id=\"").skip(1).filter_map(|rest| rest.split('"').next()).collect();
        let before = ids.len();
        ids.sort_unstable();
        ids.dedup();
        assert_eq!(ids.len(), before, "an id stands twice");
        assert!(page.contains("id=\"charge-wide\"") && page.contains("id=\"charge-phone\""));
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn the_door_leads_to_the_year_and_unknown_doors_lead_nowhere() {
    let house = House::of(FARM);
    let (status, _) = house.get("/").await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    for path in ["/0", "/11", "/5x", "/x/y", "/why/nothing", "/../etc/passwd", "/assets/../Cargo.toml"] {
        assert_eq!(house.get(path).await.0, StatusCode::NOT_FOUND, "{path}");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_host_that_is_not_ours_gets_nothing() {
    let house = House::of(FARM);
    let strange =
        Request::builder().uri("/5").header(header::HOST, "house.example").body(Body::empty()).unwrap();
    let (status, page) = house.ask(strange).await;
    assert_eq!(status, StatusCode::FORBIDDEN);
    assert!(!page.contains("Hollow Farm"));
}

#[tokio::test(flavor = "multi_thread")]
async fn trying_changes_the_answer_and_not_the_file() {
    let house = House::of(FARM);
    let (_, stored) = house.get("/5").await;
    let (status, tried) = house.part("/5?batteries=8", "answer").await;
    assert_eq!(status, StatusCode::OK);
    assert_ne!(part_of(&stored, "answer")[..200], part_of(&tried, "answer")[..200]);
    assert!(part_of(&tried, "change").contains("batteries 6 → 8"));
    // Two more batteries at the 1,240 each that the design states.
    assert!(part_of(&tried, "change").contains("+$2,480"), "{}", &part_of(&tried, "change")[..200]);
    assert!(tried.contains("/why/year/load?batteries=8"), "workings are of what is tried");
    same(&house.text(), FARM);
}

#[tokio::test(flavor = "multi_thread")]
async fn each_control_says_what_one_more_step_brings() {
    let house = House::of(FARM);
    let (_, steps) = house.part("/5", "steps").await;
    // One more battery of 1,240; one more module of 118 in each of two strings.
    assert!(part_of(&steps, "step-batteries").contains("+$1,240"), "{steps}");
    assert!(part_of(&steps, "step-modules").contains("+$236"), "{steps}");
    assert!(part_of(&steps, "step-tilt").starts_with("5° steeper:"), "{steps}");
    let (_, whole) = house.get("/5").await;
    assert!(whole.contains("+$1,240"), "also without scripts");
}

#[tokio::test(flavor = "multi_thread")]
async fn values_that_cannot_be_are_told_and_change_nothing() {
    let house = House::of(FARM);
    let (_, stored) = house.get("/5").await;
    let long = "9".repeat(3000);
    for value in
        ["abc", "-1", "0", "7.5", "1e99", "NaN", "inf", "", "%00", "%F0%9F%A6%89", "%FF", long.as_str()]
    {
        let (status, page) = house.get(&format!("/5?batteries={value}")).await;
        assert_eq!(status, StatusCode::OK, "{value}");
        assert!(page.contains("is not a whole number from 1 to 12"), "{value}");
        assert_eq!(part_of(&page, "answer")[..200], part_of(&stored, "answer")[..200]);
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn keeping_changes_one_value_and_keeps_every_comment() {
    let text = FARM.replace("\nparallel = 6\n", "\nparallel = 6   # four now, two in spring\n");
    let house = House::of(&text);
    let (status, _) = house.post(&house.keep_form("/5?batteries=8").await).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    same(&house.text(), &text.replace("\nparallel = 6 ", "\nparallel = 8 "));
    let (_, page) = house.get("/5").await;
    assert!(page.contains("Batteries 6 → 8"), "the page says what it wrote");
}

#[tokio::test(flavor = "multi_thread")]
async fn two_strings_moved_together_are_written_together() {
    let house = House::of(FARM);
    let (status, _) = house.post(&house.keep_form("/5?modules=10&tilt=52").await).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    let expected = FARM.replace("count = 9\n", "count = 10\n").replace("tilt = \"48°\"", "tilt = \"52°\"");
    same(&house.text(), &expected);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_change_elsewhere_in_the_file_and_an_edit_here_are_both_kept() {
    let house = House::of(FARM);
    let form = house.keep_form("/5?batteries=8").await;
    house
        .files
        .write(Path::new(FILE), FARM.replace("tilt = \"48°\"", "tilt = \"40°\" # by hand").as_bytes())
        .unwrap();
    let (status, _) = house.post(&form).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    let expected = FARM
        .replace("tilt = \"48°\"", "tilt = \"40°\" # by hand")
        .replace("\nparallel = 6", "\nparallel = 8");
    same(&house.text(), &expected);
}

#[tokio::test(flavor = "multi_thread")]
async fn the_same_field_on_both_sides_is_shown_with_both_and_nothing_is_lost() {
    let house = House::of(FARM);
    let form = house.keep_form("/5?batteries=8").await;
    let theirs = FARM.replace("\nparallel = 6", "\nparallel = 7 # by hand");
    house.edited_elsewhere(&theirs);
    let (status, page) = house.post(&form).await;
    assert_eq!(status, StatusCode::CONFLICT);
    same(&house.text(), &theirs);
    let notice = part_of(&page, "notice");
    assert!(notice.contains("Changed on both sides") && notice.contains("Batteries678"), "{notice}");
    // What was asked for is still there, now against the file as it is, and can be kept.
    assert!(part_of(&page, "change").contains("batteries 7 → 8"));
    let (status, _) = house.post(&house.keep_form("/5?batteries=8").await).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    same(&house.text(), &theirs.replace("\nparallel = 7", "\nparallel = 8"));
}

#[tokio::test(flavor = "multi_thread")]
async fn posts_without_token_or_from_elsewhere_write_nothing() {
    let house = House::of(FARM);
    let good = house.keep_form("/5?batteries=8").await;
    let (status, _) = house.post(&good.replacen("token=", "token=0", 1)).await;
    assert_eq!(status, StatusCode::FORBIDDEN);
    let (status, _) = house.post("batteries=8&was-batteries=6").await;
    assert_eq!(status, StatusCode::FORBIDDEN);
    for origin in ["http://house.example", "null", "http://127.0.0.1:4001"] {
        let (status, _) = house.ask(post(origin).body(Body::from(good.clone())).unwrap()).await;
        assert_eq!(status, StatusCode::FORBIDDEN, "{origin}");
    }
    let (status, _) = house.post(&format!("{good}&more={}", "x".repeat(100_000))).await;
    assert_eq!(status, StatusCode::PAYLOAD_TOO_LARGE);
    let (status, _) = house.get("/keep").await;
    assert_eq!(status, StatusCode::METHOD_NOT_ALLOWED);
    let json = request("/keep").method("POST").header(header::CONTENT_TYPE, "application/json");
    let (status, _) = house.ask(json.body(Body::from("{}")).unwrap()).await;
    assert!(status.is_client_error());
    same(&house.text(), FARM);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_text_that_breaks_leaves_the_last_answer_and_refuses_edits() {
    let house = House::of(FARM);
    let form = house.keep_form("/5?batteries=8").await;
    let (_, before) = house.get("/5").await;
    let broken = FARM.replace("\nparallel = 6", "\nparallel = = 6");
    house.edited_elsewhere(&broken);
    let (status, page) = house.get("/5").await;
    assert_eq!(status, StatusCode::OK);
    assert_eq!(part_of(&page, "answer")[..200], part_of(&before, "answer")[..200]);
    let line = broken.lines().position(|line| line.contains("= =")).unwrap() + 1;
    let notice = part_of(&page, "notice");
    assert!(notice.contains(&format!("Line {line}:")) && notice.contains("parallel = = 6"), "{notice}");
    assert!(page.contains("aria-describedby=\"step-batteries\" disabled"));
    let (status, page) = house.post(&form).await;
    assert_eq!(status, StatusCode::CONFLICT);
    assert!(part_of(&page, "notice").contains("Nothing was written"));
    same(&house.text(), &broken);
    // Mended by hand it goes on by itself.
    house.edited_elsewhere(&FARM.replace("\nparallel = 6", "\nparallel = 7"));
    let (_, page) = house.get("/5").await;
    assert!(!part_of(&page, "notice").contains("cannot be read") && page.contains("data-stored=\"7\""));
}

#[tokio::test(flavor = "multi_thread")]
async fn a_text_that_is_broken_from_the_start_is_never_answered_from_its_readable_part() {
    // The load that cannot be read would otherwise be left out and the answer be better for it.
    let house = House::of(&FARM.replace("watts = 140", "watts = = 140"));
    let (status, page) = house.get("/5").await;
    assert_eq!(status, StatusCode::OK);
    assert!(part_of(&page, "answer").starts_with("Cannot be said until the design file can be read."));
    for bytes in [&b""[..], b"\xff\xfe\x00", b"[[", b"wattwright = 1"] {
        let files = InMemory::with(FILE, bytes);
        let book = Arc::new(Workbook::open(FILE.into(), Box::new(files), PORT).unwrap());
        let reply = app(book).oneshot(request("/5").body(Body::empty()).unwrap()).await.unwrap();
        assert_eq!(reply.status(), StatusCode::OK, "{bytes:?}");
        let body = to_bytes(reply.into_body(), 10_000_000).await.unwrap();
        assert!(String::from_utf8_lossy(&body).contains("Cannot be said"), "{bytes:?}");
    }
    let missing = Workbook::open("nothing.toml".into(), Box::new(InMemory::default()), PORT);
    assert!(missing.is_err());
}

#[tokio::test(flavor = "multi_thread")]
async fn a_missing_fact_is_named_with_whom_to_ask() {
    let house = House::of(&FARM.replace("voc = \"38.9 V\"\n", ""));
    let (_, page) = house.get("/5").await;
    let answer = part_of(&page, "answer");
    assert!(answer.starts_with("Cannot be said until"), "{}", &answer[..200]);
    assert!(
        answer[..400].contains("module.field.voc") && answer[..400].contains("the data sheet"),
        "{}",
        &answer[..400]
    );
}

#[tokio::test(flavor = "multi_thread")]
async fn every_figure_on_the_page_opens_its_working() {
    let house = House::of(FARM);
    let (_, page) = house.get("/5?batteries=7").await;
    let mut links: Vec<&str> =
        page.split("href=\"/why/").skip(1).filter_map(|rest| rest.split('"').next()).collect();
    links.sort_unstable();
    links.dedup();
    assert!(links.len() > 90, "the sentence and twelve months: {}", links.len());
    for link in links.iter().step_by(9) {
        let (status, working) = house.part(&format!("/why/{link}"), "working").await;
        assert_eq!(status, StatusCode::OK, "{link}");
        assert!(working.contains("design line"), "{link} does not lead to the design");
    }
    let (_, working) = house.part("/why/strings/north-row/cold-voc", "working").await;
    // Ends in the very lines that state count, voltage, coefficient and coldest day.
    let line = |needle: &str| FARM.lines().position(|line| line.starts_with(needle)).unwrap() + 1;
    for needle in ["voc = ", "voc_per_kelvin", "coldest = "] {
        assert!(working.contains(&line(needle).to_string()), "{needle}");
    }
    assert!(working.contains("690.7"), "the clause");
    let (status, whole) = house.get("/why/strings/north-row/cold-voc").await;
    assert!(status == StatusCode::OK && whole.contains("<nav"), "a page of its own without scripts");
}

#[tokio::test(flavor = "multi_thread")]
async fn open_pages_hear_of_every_change_of_the_file() {
    let house = House::of(FARM);
    let reply = house.app.clone().oneshot(request("/events").body(Body::empty()).unwrap()).await.unwrap();
    assert_eq!(reply.headers()[header::CONTENT_TYPE], "text/event-stream");
    let mut stream = pin!(reply.into_body().into_data_stream());
    house.book.look_again();
    house.edited_elsewhere(&FARM.replace("\nparallel = 6", "\nparallel = 7"));
    let frame = std::future::poll_fn(|context| stream.as_mut().poll_next(context)).await.unwrap().unwrap();
    let text = String::from_utf8(frame.to_vec()).unwrap();
    // The look without a change told nothing, so the first word is of turn 2.
    assert!(text.contains("event: changed") && text.contains("data: 2"), "{text}");
}

#[tokio::test(flavor = "multi_thread")]
async fn answers_forbid_everything_from_elsewhere() {
    let house = House::of(FARM);
    for path in ["/5", "/assets/page.js", "/assets/page.css", "/nothing"] {
        let reply = house.app.clone().oneshot(request(path).body(Body::empty()).unwrap()).await.unwrap();
        let policy = reply.headers()[header::CONTENT_SECURITY_POLICY].to_str().unwrap();
        assert!(policy.starts_with("default-src 'none'") && !policy.contains("unsafe"), "{path}");
        assert_eq!(reply.headers()[header::X_FRAME_OPTIONS], "DENY");
    }
}
