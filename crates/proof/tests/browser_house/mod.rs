//! A house in a folder of its own, its workbook, and a browser to look at it.
#![allow(dead_code)] // Each test file uses its part of this.

pub(crate) mod eyes;

use std::fs;
use std::net::TcpListener;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};
use thirtyfour::prelude::*;
use web::{Memory, Options, Server};

/// What is waited for comes within a second or two; the rest is for an unoptimised program on a busy machine.
pub(crate) const PATIENCE: Duration = Duration::from_secs(60);

/// The driver, ended when the test is.
pub(crate) struct Driver {
    child: Child,
    pub(crate) url: String,
}

impl Driver {
    pub(crate) fn start() -> Driver {
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

    pub(crate) async fn browser(&self) -> WebDriver {
        self.browser_with(&[]).await
    }

    pub(crate) async fn browser_with(&self, more: &[&str]) -> WebDriver {
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
        for wish in more {
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
pub(crate) struct House {
    pub(crate) folder: PathBuf,
    pub(crate) file: PathBuf,
    pub(crate) url: String,
}

impl House {
    pub(crate) fn open(name: &str, text: &str) -> House {
        let folder = std::env::temp_dir().join(format!("wattwright-{name}-{}", std::process::id()));
        fs::create_dir_all(&folder).expect("a temporary folder");
        let file = folder.join("house.toml");
        fs::write(&file, text).expect("a design");
        let url = serve(Some(&file), &folder);
        House { folder, file, url }
    }

    /// An empty folder, with no design open.
    pub(crate) fn empty(name: &str) -> House {
        let folder = std::env::temp_dir().join(format!("wattwright-{name}-{}", std::process::id()));
        fs::create_dir_all(&folder).expect("a temporary folder");
        let (file, url) = (folder.join("house.toml"), serve(None, &folder));
        House { folder, file, url }
    }

    pub(crate) fn text(&self) -> String {
        fs::read_to_string(&self.file).expect("the design is there")
    }
}

impl Drop for House {
    fn drop(&mut self) {
        fs::remove_dir_all(&self.folder).ok();
    }
}

pub(crate) async fn text_of(browser: &WebDriver, id: &str) -> String {
    match browser.find(By::Id(id)).await {
        Ok(element) => element.text().await.unwrap_or_default(),
        Err(_) => String::new(),
    }
}

/// The sentence, without the workings that may be open below it.
pub(crate) async fn sentence(browser: &WebDriver) -> String {
    text_of(browser, "answer").await.lines().next().unwrap_or_default().to_string()
}

/// Waits until the part says what is wanted, and gives its text.
pub(crate) async fn until(
    browser: &WebDriver,
    id: &str,
    what: &str,
    wanted: impl Fn(&str) -> bool,
) -> String {
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

/// Serves a design, or a folder without one, until the test's process ends; gives the address.
fn serve(design: Option<&Path>, folder: &Path) -> String {
    let server = Server::bind(&options(design, folder, 0)).expect("a free port on the loopback interface");
    let url = server.url();
    std::thread::spawn(move || server.run());
    url
}

pub(crate) fn options(design: Option<&Path>, folder: &Path, port: u16) -> Options {
    Options {
        design: design.map(Path::to_path_buf),
        folder: folder.to_path_buf(),
        port,
        open_browser: false,
        memory: Memory::none(),
        share: false,
    }
}

/// Waits until the page's script is at work, everything it asked for has come and nothing moves, so that a click meets what
/// was aimed at. A person waits for that too; what happens to one who does not is a test of its own.
pub(crate) async fn calm(browser: &WebDriver) {
    wait_for(browser, "html[data-alive] #content:not([aria-busy=true])").await;
}

/// Clicks what a selector finds, once the page is calm.
pub(crate) async fn click(browser: &WebDriver, css: &str) {
    calm(browser).await;
    click_now(browser, css).await;
}

/// Clicks what a selector finds, whatever else the page does; a part of it that was just replaced is looked for again.
pub(crate) async fn click_now(browser: &WebDriver, css: &str) {
    let begun = Instant::now();
    loop {
        let found = wait_for(browser, css).await;
        found.scroll_into_view().await.ok();
        match found.click().await {
            Ok(()) => return,
            Err(error) => assert!(begun.elapsed() < PATIENCE, "{css} cannot be clicked: {error}"),
        }
        tokio::time::sleep(Duration::from_millis(40)).await;
    }
}

/// Lets the browser run as on a slower processor, by that factor.
pub(crate) async fn slowed(browser: &WebDriver, factor: u32) {
    let rate = serde_json::json!({ "rate": factor });
    browser.cdp().send_raw("Emulation.setCPUThrottlingRate", rate).await.expect("a slower browser");
}

/// Types into a field over all that stands there, as a hand does: the field is not left in between.
pub(crate) async fn fill(browser: &WebDriver, css: &str, text: &str) {
    let field = wait_for(browser, css).await;
    field.scroll_into_view().await.ok();
    if field.tag_name().await.expect("a name") == "select" {
        let choice = format!("{css} option[value=\"{text}\"]");
        return click_now(browser, &choice).await;
    }
    let over = Key::Control + "a" + Key::Null + Key::Delete + text;
    field.send_keys(over).await.unwrap_or_else(|error| panic!("{css} takes no text: {error}"));
}

/// What a selector finds, as soon as it is there and shown.
pub(crate) async fn wait_for(browser: &WebDriver, css: &str) -> WebElement {
    let begun = Instant::now();
    loop {
        if let Ok(found) = browser.find(By::Css(css)).await
            && found.is_displayed().await.unwrap_or(false)
        {
            return found;
        }
        assert!(begun.elapsed() < PATIENCE, "waiting for {css}");
        tokio::time::sleep(Duration::from_millis(40)).await;
    }
}

/// Waits until the file says what is wanted, and gives its text.
pub(crate) async fn until_file(file: &Path, what: &str, wanted: impl Fn(&str) -> bool) -> String {
    let begun = Instant::now();
    loop {
        let text = fs::read_to_string(file).unwrap_or_default();
        if wanted(&text) {
            return text;
        }
        assert!(begun.elapsed() < PATIENCE, "waiting for the file: {what}");
        tokio::time::sleep(Duration::from_millis(40)).await;
    }
}

/// Walks in a task of its own, so that the browser ends also when an assertion fails.
pub(crate) async fn walked<T: Send + 'static>(
    browser: &WebDriver,
    walk: impl Future<Output = T> + Send + 'static,
) -> T {
    let done = tokio::spawn(walk).await;
    browser.clone().quit().await.ok();
    match done {
        Ok(done) => done,
        Err(failed) => std::panic::resume_unwind(failed.into_panic()),
    }
}

/// A browser at a house.
pub(crate) struct Visit {
    pub(crate) browser: WebDriver,
    pub(crate) url: String,
    pub(crate) file: PathBuf,
    pub(crate) folder: PathBuf,
}

impl Visit {
    /// Opens a page by what follows the address of the workbook.
    pub(crate) async fn page(&self, path: &str) {
        self.browser.goto(format!("{}{path}", self.url)).await.expect("the page opens");
    }
}

impl Visit {
    /// Another text in the file, put there whole as an editor does.
    pub(crate) fn put(&self, text: &str) {
        let aside = self.folder.join("aside.txt");
        fs::write(&aside, text).expect("written beside the design");
        fs::rename(&aside, &self.file).expect("put in its place");
    }
}

/// Opens a house and a browser for a walk, and ends both however the walk ends.
pub(crate) async fn visit<T: Send + 'static, W>(house: House, walk: impl FnOnce(Visit) -> W) -> T
where
    W: Future<Output = T> + Send + 'static,
{
    let driver = Driver::start();
    let browser = driver.browser().await;
    let (url, file, folder) = (house.url.clone(), house.file.clone(), house.folder.clone());
    walked(&browser, walk(Visit { browser: browser.clone(), url, file, folder })).await
}

/// The text of a demo.
pub(crate) fn demo(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("../../designs/{name}/{name}.toml"));
    fs::read_to_string(path).expect("the demo is part of the project")
}

pub(crate) fn farm() -> String {
    demo("hollow-farm").replace("\nparallel = 6\n", "\nparallel = 6   # four now, two in spring\n")
}
