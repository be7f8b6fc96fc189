//! A house in a folder of its own, its workbook, and a browser to look at it.
#![allow(dead_code)] // Each test file uses its part of this.

use std::fs;
use std::net::TcpListener;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};
use thirtyfour::prelude::*;
use web::{Options, Server};

/// A person would have given up by then; what is waited for comes within a second or two.
pub(crate) const PATIENCE: Duration = Duration::from_secs(20);

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
        let options = Options {
            design: Some(file.clone()),
            port: 0,
            open_browser: false,
            memory: web::Memory::none(),
            share: false,
        };
        let server = Server::bind(&options).expect("a free port on the loopback interface");
        let url = server.url();
        // Ends with the test's process.
        std::thread::spawn(move || server.run());
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

pub(crate) fn farm() -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../designs/hollow-farm/hollow-farm.toml");
    let text = fs::read_to_string(path).expect("the demo is part of the project");
    text.replace("\nparallel = 6\n", "\nparallel = 6   # four now, two in spring\n")
}
