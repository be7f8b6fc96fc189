//! Binding the workbook to the loopback interface, watching its file, opening the browser.

use crate::{Bench, Memory, Setting, WebError, app};
use axum::Router;
use axum::extract::ConnectInfo;
use door::Disk;
use hyper::server::conn::http1;
use hyper::service::{Service, service_fn};
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::service::TowerToHyperService;
use std::io::ErrorKind;
use std::net::{Ipv4Addr, SocketAddr, TcpListener, UdpSocket};
use std::path::PathBuf;
use std::process::{Command, Stdio};
use std::sync::Arc;
use std::time::Duration;

/// How long a client may take to say what it asks for; one that asks for nothing more is let go after as long. A page has
/// another connection within a moment.
const HEAD_TIME: Duration = Duration::from_secs(20);
/// How long taking connections rests where the system gives none, as when too many files are open.
const REST: Duration = Duration::from_millis(200);

/// What to open and where.
#[derive(Clone, Debug)]
pub struct Options {
    /// The design file; without one, the page on which one is chosen or begun.
    pub design: Option<PathBuf>,
    /// The folder in which designs are begun when none is named.
    pub folder: PathBuf,
    /// Port on the loopback interface; 0 for any that is free.
    pub port: u16,
    /// Whether to open the page in the owner's browser.
    pub open_browser: bool,
    /// What outlives the run.
    pub memory: Memory,
    /// Whether to listen on the house network too, for devices that are let in.
    pub share: bool,
}

/// A workbook bound to its address and not yet answering.
#[derive(Debug)]
pub struct Server {
    listener: TcpListener,
    shared: Option<TcpListener>,
    address: SocketAddr,
    bench: Arc<Bench>,
    open_browser: bool,
}

impl Server {
    /// Reads the design and takes the port. Only programs on this computer can reach it.
    ///
    /// # Errors
    /// A design that cannot be read at all, or a port that is taken. A design with problems opens and shows them.
    pub fn bind(options: &Options) -> Result<Server, WebError> {
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, options.port)).map_err(|error| {
            if error.kind() == ErrorKind::AddrInUse {
                WebError::PortTaken { port: options.port }
            } else {
                WebError::system("listen on the loopback interface")(error)
            }
        })?;
        let address = listener.local_addr().map_err(WebError::system("listen"))?;
        let shared = options.share.then(|| listen_at_home(address.port())).transpose()?;
        let share =
            shared.as_ref().map(TcpListener::local_addr).transpose().map_err(WebError::system("listen"))?;
        let folder = options.folder.clone();
        let memory = options.memory.clone();
        let setting =
            Setting { files: Arc::new(Disk), folder, memory, port: address.port(), share, watches: true };
        let bench = Arc::new(Bench::new(setting)?);
        if let Some(design) = &options.design {
            bench.open(design.clone())?;
        }
        Ok(Server { listener, shared, address, bench, open_browser: options.open_browser })
    }

    /// The address with which a device is let in, and the same as a code to scan from a terminal; nothing where the
    /// workbook is not shared.
    pub fn pairing(&self) -> Option<(String, String)> {
        let address = self.bench.pairing()?;
        let code = crate::page::code_for_terminal(&address);
        Some((address, code))
    }

    /// The address to open in a browser.
    pub fn url(&self) -> String {
        format!("http://{}/", self.address)
    }

    /// Answers until the program is interrupted.
    ///
    /// # Errors
    /// What the system reports.
    pub fn run(self) -> Result<(), WebError> {
        self.run_until(async {
            tokio::signal::ctrl_c().await.ok();
        })
    }

    /// Answers until something else comes to its end.
    ///
    /// # Errors
    /// What the system reports.
    pub fn run_until(self, end: impl Future<Output = ()>) -> Result<(), WebError> {
        self.listener.set_nonblocking(true).map_err(WebError::system("listen"))?;
        let url = self.url();
        let runtime = tokio::runtime::Builder::new_multi_thread()
            .worker_threads(2)
            .enable_all()
            .build()
            .map_err(WebError::system("start"))?;
        runtime.block_on(async move {
            let listener =
                tokio::net::TcpListener::from_std(self.listener).map_err(WebError::system("listen"))?;
            if self.open_browser {
                open_in_browser(&url);
            }
            let app = app(self.bench);
            let at_home = self.shared.map(tokio::net::TcpListener::from_std).transpose();
            let at_home = at_home.map_err(WebError::system("listen"))?;
            let shared_app = app.clone();
            let home = async move {
                match at_home {
                    Some(listener) => answer(listener, shared_app).await,
                    None => std::future::pending().await,
                }
            };
            // Open event streams would hold up a graceful end for ever; nothing is lost by ending at once.
            tokio::select! {
                () = answer(listener, app) => Ok(()),
                () = home => Ok(()),
                () = end => Ok(()),
            }
        })
    }
}

/// Answers every connection for as long as it is wanted, and lets go of those that do not say what they want.
async fn answer(listener: tokio::net::TcpListener, app: Router) {
    loop {
        let Ok((stream, peer)) = listener.accept().await else {
            tokio::time::sleep(REST).await;
            continue;
        };
        let app = TowerToHyperService::new(app.clone());
        let service = service_fn(move |mut request: hyper::Request<hyper::body::Incoming>| {
            request.extensions_mut().insert(ConnectInfo(peer));
            app.call(request)
        });
        let mut http = http1::Builder::new();
        http.timer(TokioTimer::new()).header_read_timeout(HEAD_TIME);
        // What goes wrong on a connection is nobody's but its client's.
        tokio::spawn(async move { http.serve_connection(TokioIo::new(stream), service).await.ok() });
    }
}

/// Listens on this computer's address in the house network.
fn listen_at_home(port: u16) -> Result<TcpListener, WebError> {
    // The system names the address it would send from; nothing is sent. The far end is one that documents use (RFC 5737).
    let doing = "find this computer's address in the house network";
    let probe = UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0)).map_err(WebError::system(doing))?;
    probe.connect((Ipv4Addr::new(192, 0, 2, 1), 9)).map_err(WebError::system(doing))?;
    let home = probe.local_addr().map_err(WebError::system(doing))?.ip();
    let listener =
        TcpListener::bind((home, port)).map_err(WebError::system("listen on the house network"))?;
    listener.set_nonblocking(true).map_err(WebError::system("listen on the house network"))?;
    Ok(listener)
}

/// Opens the workbook of a design and answers until interrupted.
///
/// # Errors
/// As [`Server::bind`] and [`Server::run`].
pub fn serve(options: Options) -> Result<(), WebError> {
    Server::bind(&options)?.run()
}

/// Asks the system to show an address. Where that fails, the owner types it.
fn open_in_browser(url: &str) {
    let (program, before): (&str, &[&str]) = if cfg!(target_os = "macos") {
        ("open", &[])
    } else if cfg!(windows) {
        ("rundll32", &["url.dll,FileProtocolHandler"])
    } else {
        ("xdg-open", &[])
    };
    let mut command = Command::new(program);
    command.args(before).arg(url).stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
    if let Ok(mut child) = command.spawn() {
        // Waited for, so that no finished child is left behind.
        std::thread::spawn(move || child.wait());
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use tokio::io::{AsyncReadExt, AsyncWriteExt};
    use tokio::net::TcpStream;
    use tokio::time::Instant;

    /// Asks with these bytes and gives what comes until the connection is closed, and after how long. The clock of the test
    /// jumps on while everyone waits.
    async fn said(bytes: &[u8]) -> (String, Duration) {
        let listener = tokio::net::TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).await.expect("a free port");
        let address = listener.local_addr().expect("an address");
        let app = Router::new().route("/", axum::routing::get(|| async { "here" }));
        tokio::spawn(answer(listener, app));
        let mut client = TcpStream::connect(address).await.expect("a connection");
        client.write_all(bytes).await.expect("taken");
        let (begun, mut found) = (Instant::now(), String::new());
        client.read_to_string(&mut found).await.ok();
        (found, begun.elapsed())
    }

    #[tokio::test(start_paused = true)]
    async fn who_does_not_say_what_is_wanted_is_let_go() {
        let (found, after) = said(b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nX-Slow: ").await;
        assert!(!found.contains("here") && after >= HEAD_TIME, "{found} after {after:?}");
        let (found, _) = said(b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nConnection: close\r\n\r\n").await;
        assert!(found.starts_with("HTTP/1.1 200") && found.ends_with("here"), "{found}");
    }
}
