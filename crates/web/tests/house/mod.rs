//! A house with its workbook, called as a function.
#![allow(clippy::unwrap_used, dead_code)] // Each test file uses its part of this.

use axum::Router;
use axum::body::{Body, to_bytes};
use axum::extract::ConnectInfo;
use axum::http::{Request, StatusCode, header};
use door::{DoorError, FileHash, Files, InMemory};
use std::net::SocketAddr;
use std::path::Path;
use std::sync::Arc;
use tower::ServiceExt;
use web::{Bench, Memory, Setting, Workbook, app};

pub(crate) const PORT: u16 = 4000;
pub(crate) const FILE: &str = "house.toml";
pub(crate) const FARM: &str = include_str!("../../../../designs/hollow-farm/hollow-farm.toml");
pub(crate) const CABIN: &str = include_str!("../../../../designs/pine-cabin/pine-cabin.toml");
pub(crate) const HARBOUR: &str = include_str!("../../../../designs/harbour-house/harbour-house.toml");
pub(crate) const WRONG: &str = include_str!("../../../../designs/wrong-turns/wrong-turns.toml");

/// Files that the test and the workbook both hold.
#[derive(Clone)]
pub(crate) struct Shared(pub(crate) Arc<InMemory>);

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

pub(crate) struct House {
    pub(crate) files: Shared,
    pub(crate) bench: Arc<Bench>,
    pub(crate) book: Option<Arc<Workbook>>,
    pub(crate) app: Router,
}

/// A bench over files in memory; nothing is watched, so that a test says when the file is looked at.
pub(crate) fn bench_over(files: Arc<dyn Files>, share: Option<SocketAddr>) -> Arc<Bench> {
    let (folder, memory) = ("".into(), Memory::none());
    Arc::new(Bench::new(Setting { files, folder, memory, port: PORT, share, watches: false }).unwrap())
}

impl House {
    pub(crate) fn of(text: &str) -> House {
        House::shared(text, None)
    }

    pub(crate) fn shared(text: &str, share: Option<SocketAddr>) -> House {
        let files = Shared(Arc::new(InMemory::with(FILE, text)));
        let bench = bench_over(Arc::new(files.clone()), share);
        let book = Some(bench.open(FILE.into()).unwrap());
        House { files, app: app(bench.clone()), bench, book }
    }

    /// The workbook that is open.
    pub(crate) fn book(&self) -> &Workbook {
        self.book.as_ref().unwrap()
    }

    pub(crate) fn text(&self) -> String {
        String::from_utf8(self.files.read_design(Path::new(FILE)).unwrap()).unwrap()
    }

    /// Writes the file as another program would, and lets the workbook look.
    pub(crate) fn edited_elsewhere(&self, text: &str) {
        self.files.write(Path::new(FILE), text.as_bytes()).unwrap();
        self.book().look_again();
    }

    pub(crate) async fn ask(&self, request: Request<Body>) -> (StatusCode, String) {
        let reply = self.app.clone().oneshot(here(request)).await.unwrap();
        let status = reply.status();
        let body = to_bytes(reply.into_body(), 10_000_000).await.unwrap();
        (status, String::from_utf8(body.to_vec()).unwrap())
    }

    pub(crate) async fn get(&self, path: &str) -> (StatusCode, String) {
        self.ask(request(path).body(Body::empty()).unwrap()).await
    }

    pub(crate) async fn part(&self, path: &str, part: &str) -> (StatusCode, String) {
        self.ask(request(path).header("x-part", part).body(Body::empty()).unwrap()).await
    }

    pub(crate) async fn post(&self, form: &str) -> (StatusCode, String) {
        self.ask(post("http://127.0.0.1:4000").body(Body::from(form.to_string())).unwrap()).await
    }

    /// Sends a form of our own to an address, with the token.
    pub(crate) async fn send(&self, path: &str, fields: &[(&str, &str)]) -> (StatusCode, String) {
        let mut form = format!("token={}", self.bench.token());
        for (name, value) in fields {
            form.push_str(&format!("&{}={}", encoded(name), encoded(value)));
        }
        let request = request(path)
            .method("POST")
            .header(header::ORIGIN, "http://127.0.0.1:4000")
            .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
        self.ask(request.body(Body::from(form)).unwrap()).await
    }

    /// The form that the page itself offers for what is tried.
    pub(crate) async fn keep_form(&self, path: &str) -> String {
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

/// A text for a form.
pub(crate) fn encoded(text: &str) -> String {
    text.bytes().fold(String::new(), |mut out, byte| {
        if byte.is_ascii_alphanumeric() {
            out.push(char::from(byte));
        } else {
            out.push_str(&format!("%{byte:02X}"));
        }
        out
    })
}

/// As it would come from this computer, unless it already says where it comes from.
pub(crate) fn here(mut request: Request<Body>) -> Request<Body> {
    let from = ConnectInfo(SocketAddr::from(([127, 0, 0, 1], 50_000)));
    if request.extensions().get::<ConnectInfo<SocketAddr>>().is_none() {
        request.extensions_mut().insert(from);
    }
    request
}

pub(crate) fn request(path: &str) -> axum::http::request::Builder {
    Request::builder().uri(path).header(header::HOST, format!("127.0.0.1:{PORT}"))
}

pub(crate) fn post(origin: &str) -> axum::http::request::Builder {
    request("/keep")
        .method("POST")
        .header(header::ORIGIN, origin)
        .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
}

/// Two texts line by line, so that a failure shows the line and not the file.
pub(crate) fn same(found: &str, expected: &str) {
    for (at, (a, b)) in found.lines().zip(expected.lines()).enumerate() {
        assert_eq!(a, b, "line {}", at + 1);
    }
    assert!(found == expected, "one is longer, or line ends differ");
}

/// The text of the part of an identifier, without its markup.
pub(crate) fn part_of(page: &str, id: &str) -> String {
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
