//! Binding the workbook to the loopback interface, watching its file, opening the browser.

use crate::{Bench, Memory, Setting, WebError, app};
use door::Disk;
use std::io::ErrorKind;
use std::net::{Ipv4Addr, SocketAddr, TcpListener};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::Arc;

/// What to open and where.
#[derive(Clone, Debug)]
pub struct Options {
    /// The design file.
    pub design: PathBuf,
    /// Port on the loopback interface; 0 for any that is free.
    pub port: u16,
    /// Whether to open the page in the owner's browser.
    pub open_browser: bool,
    /// What outlives the run.
    pub memory: Memory,
}

/// A workbook bound to its address and not yet answering.
#[derive(Debug)]
pub struct Server {
    listener: TcpListener,
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
        let setting = Setting {
            files: Arc::new(Disk),
            folder: options.design.parent().unwrap_or(Path::new("")).to_path_buf(),
            memory: options.memory.clone(),
            port: address.port(),
            share: None,
            watches: true,
        };
        let bench = Arc::new(Bench::new(setting)?);
        bench.open(options.design.clone())?;
        Ok(Server { listener, address, bench, open_browser: options.open_browser })
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
            let app = app(self.bench).into_make_service_with_connect_info::<SocketAddr>();
            // Open event streams would hold up a graceful end for ever; nothing is lost by ending at once.
            tokio::select! {
                ended = axum::serve(listener, app) => ended.map_err(WebError::system("answer")),
                _ = tokio::signal::ctrl_c() => Ok(()),
            }
        })
    }
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
