//! The workbook in a real browser: Chromium driven through its WebDriver, as a person would with the keyboard.
#![cfg(feature = "browser")]

use std::fs;
use std::net::TcpListener;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};
use thirtyfour::prelude::*;
use web::{Options, Server};

/// A person would have given up by then; what is waited for comes within a second or two.
const PATIENCE: Duration = Duration::from_secs(20);

/// The driver, ended when the test is.
struct Driver {
    child: Child,
    url: String,
}

impl Driver {
    fn start() -> Driver {
        // Asked of the system and given back at once, so that the driver finds it free.
        let port = TcpListener::bind(("127.0.0.1", 0))
            .and_then(|listener| listener.local_addr())
            .expect("a free port")
            .port();
        let child = Command::new("chromedriver")
            .arg(format!("--port={port}"))
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .expect("chromedriver is installed where the feature `browser` is on");
        Driver { child, url: format!("http://127.0.0.1:{port}") }
    }

    async fn browser(&self) -> WebDriver {
        let mut wishes = DesiredCapabilities::chrome();
        for wish in [
            "--headless=new",
            "--no-sandbox",
            "--disable-gpu",
            "--disable-dev-shm-usage",
            "--window-size=1440,1200",
        ] {
            wishes.add_arg(wish).expect("a plain argument");
        }
        let begun = Instant::now();
        loop {
            match WebDriver::new(&self.url, wishes.clone()).await {
                Ok(browser) => return browser,
                Err(error) => assert!(begun.elapsed() < PATIENCE, "no browser: {error}"),
            }
            tokio::time::sleep(Duration::from_millis(100)).await;
        }
    }
}

impl Drop for Driver {
    fn drop(&mut self) {
        self.child.kill().ok();
        self.child.wait().ok();
    }
}

/// A folder of its own with one design, removed when the test is over.
struct House {
    folder: PathBuf,
    file: PathBuf,
    url: String,
}

impl House {
    fn open(name: &str, text: &str) -> House {
        let folder = std::env::temp_dir().join(format!("wattwright-{name}-{}", std::process::id()));
        fs::create_dir_all(&folder).expect("a temporary folder");
        let file = folder.join("house.toml");
        fs::write(&file, text).expect("a design");
        let options =
            Options { design: file.clone(), port: 0, open_browser: false, memory: web::Memory::none() };
        let server = Server::bind(&options).expect("a free port on the loopback interface");
        let url = server.url();
        // Ends with the test's process.
        std::thread::spawn(move || server.run());
        House { folder, file, url }
    }

    fn text(&self) -> String {
        fs::read_to_string(&self.file).expect("the design is there")
    }
}

impl Drop for House {
    fn drop(&mut self) {
        fs::remove_dir_all(&self.folder).ok();
    }
}

async fn text_of(browser: &WebDriver, id: &str) -> String {
    match browser.find(By::Id(id)).await {
        Ok(element) => element.text().await.unwrap_or_default(),
        Err(_) => String::new(),
    }
}

/// The sentence, without the workings that may be open below it.
async fn sentence(browser: &WebDriver) -> String {
    text_of(browser, "answer").await.lines().next().unwrap_or_default().to_string()
}

/// Waits until the part says what is wanted, and gives its text.
async fn until(browser: &WebDriver, id: &str, what: &str, wanted: impl Fn(&str) -> bool) -> String {
    let begun = Instant::now();
    loop {
        let text = text_of(browser, id).await;
        if wanted(&text) {
            return text;
        }
        assert!(begun.elapsed() < PATIENCE, "waiting for {what}; {id} says: {text}");
        tokio::time::sleep(Duration::from_millis(40)).await;
    }
}

fn farm() -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../designs/hollow-farm/hollow-farm.toml");
    let text = fs::read_to_string(path).expect("the demo is part of the project");
    text.replace("\nparallel = 6\n", "\nparallel = 6   # four now, two in spring\n")
}

/// One walk: read the answer, open a working, move a control with the keyboard, keep it, edit by hand, break and mend.
#[tokio::test(flavor = "multi_thread")]
async fn browser_a_slider_moved_by_keyboard_is_kept_in_the_file_and_the_page_follows_the_file() {
    let before = farm();
    let house = House::open("walk", &before);
    let driver = Driver::start();
    let browser = driver.browser().await;
    // Ends the browser also when an assertion below fails: the walk is a task of its own.
    let walked = tokio::spawn(walk(browser.clone(), house.url.clone(), house.file.clone(), before)).await;
    browser.quit().await.ok();
    if let Err(failed) = walked {
        std::panic::resume_unwind(failed.into_panic());
    }
    assert!(house.text().contains("tilt = \"40°\""), "the last text is the one written by hand");
}

async fn walk(browser: WebDriver, url: String, file: PathBuf, before: String) {
    browser.goto(&url).await.expect("the page opens");
    assert!(browser.current_url().await.expect("an address").path() == "/5", "the door leads to the year");
    until(&browser, "answer", "the answer", |text| text.contains("hours")).await;
    let stored = sentence(&browser).await;

    // A number opens its working in place.
    let number = browser.find(By::Css("#answer a.n")).await.expect("a figure in the sentence");
    number.send_keys(Key::Enter + "").await.expect("a link takes Enter");
    until(&browser, "answer", "its working", |text| text.contains("design lines")).await;

    // Two steps to the right: the sentence changes, the file does not.
    let slider = browser.find(By::Id("batteries")).await.expect("the control");
    slider.send_keys(Key::Right + "").await.expect("a slider takes arrows");
    slider.send_keys(Key::Right + "").await.expect("a slider takes arrows");
    until(&browser, "change", "the change", |text| text.contains("batteries 6 → 8")).await;
    let tried = sentence(&browser).await;
    assert_ne!(tried, stored, "the answer came with the change");
    assert_eq!(text_of(&browser, "out-batteries").await, "8");
    until(&browser, "step-batteries", "what one more brings", |text| text.contains("+$1,240")).await;
    assert_eq!(fs::read_to_string(&file).expect("readable"), before, "trying writes nothing");
    let address = browser.current_url().await.expect("an address");
    assert_eq!(address.query(), Some("batteries=8"), "a reload shows the same");

    // Kept: one value changed, its comment stays.
    let keep = browser.find(By::Css("form[data-keep] button")).await.expect("the button");
    keep.send_keys(Key::Enter + "").await.expect("a button takes Enter");
    until(&browser, "notice", "the word that it was written", |text| text.contains("Batteries 6 → 8")).await;
    let kept = fs::read_to_string(&file).expect("readable");
    assert_eq!(kept, before.replace("\nparallel = 6   # four", "\nparallel = 8   # four"));
    assert_eq!(sentence(&browser).await, tried);

    // Edited by hand: the page follows, the control too.
    let by_hand =
        kept.replace("\nparallel = 8 ", "\nparallel = 7 ").replace("tilt = \"48°\"", "tilt = \"40°\"");
    fs::write(&file, &by_hand).expect("written by hand");
    until(&browser, "out-batteries", "the file's number", |text| text == "7").await;
    until(&browser, "out-tilt", "the file's tilt", |text| text == "40°").await;
    let slider = browser.find(By::Id("batteries")).await.expect("the control");
    assert_eq!(slider.prop("value").await.expect("a value").as_deref(), Some("7"));
    let followed = sentence(&browser).await;

    // Broken by hand: the last answer stays, the place is shown, the controls are off; mended, they are on again.
    fs::write(&file, by_hand.replace("\nparallel = 7", "\nparallel = = 7")).expect("written by hand");
    until(&browser, "notice", "the broken place", |text| text.contains("parallel = = 7")).await;
    assert_eq!(sentence(&browser).await, followed);
    assert!(!slider.is_enabled().await.expect("a state"));
    fs::write(&file, &by_hand).expect("written by hand");
    until(&browser, "notice", "nothing to say", str::is_empty).await;
    assert!(slider.is_enabled().await.expect("a state"));
}
