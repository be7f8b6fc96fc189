//! The running program: which design is open, who may look on, what is remembered.

use crate::guard::{Devices, token};
use crate::{Memory, WebError, Workbook};
use door::{Files, Watcher};
use std::fmt;
use std::net::SocketAddr;
use std::path::{Component, Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError, RwLock};
use std::time::Duration;

/// How often the file is looked at: often enough to feel live, too seldom to be felt.
const LOOK_EVERY: Duration = Duration::from_millis(150);

/// What a bench is set up with.
pub struct Setting {
    /// How files are reached.
    pub files: Arc<dyn Files>,
    /// The folder in which designs are begun, copied and compared; the folder of an open design takes its place.
    pub folder: PathBuf,
    /// What outlives the run.
    pub memory: Memory,
    /// Port of the pages on this computer.
    pub port: u16,
    /// Address on the house network, where the owner asked for it.
    pub share: Option<SocketAddr>,
    /// Whether the open design is watched for changes by others.
    pub watches: bool,
}

/// The running program behind all pages.
pub struct Bench {
    setting: Setting,
    token: String,
    devices: Devices,
    open: RwLock<Option<Arc<Workbook>>>,
    watcher: Mutex<Option<Watcher>>,
}

impl fmt::Debug for Bench {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Bench").field("folder", &self.setting.folder).finish_non_exhaustive()
    }
}

impl Bench {
    /// A bench with no design on it.
    ///
    /// # Errors
    /// When the system gives no random token.
    pub fn new(setting: Setting) -> Result<Bench, WebError> {
        let token = token().map_err(WebError::system("make a token"))?;
        let devices = Devices::of(setting.memory.clone());
        Ok(Bench { setting, token, devices, open: RwLock::new(None), watcher: Mutex::new(None) })
    }

    /// Opens a design in place of the one that is open.
    ///
    /// # Errors
    /// When the file cannot be read at all; the open one then stays. A design with problems opens and shows them.
    pub fn open(&self, path: PathBuf) -> Result<Arc<Workbook>, WebError> {
        let book = Workbook::open(path, self.setting.files.clone(), self.setting.memory.clone())?;
        let book = Arc::new(book);
        if self.setting.watches {
            let watched = book.clone();
            let watcher = door::watch(book.path(), LOOK_EVERY, move |_| watched.look_again())?;
            *self.watcher.lock().unwrap_or_else(PoisonError::into_inner) = Some(watcher);
            // What changed between the first reading and the first look is seen here.
            book.look_again();
            crate::workbook::idle(&book);
        }
        self.setting.memory.opened(book.path());
        *self.open.write().unwrap_or_else(PoisonError::into_inner) = Some(book.clone());
        Ok(book)
    }

    /// The design that is open.
    pub fn workbook(&self) -> Option<Arc<Workbook>> {
        self.open.read().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// The token that edits must carry; our own pages have it in their forms.
    pub fn token(&self) -> &str {
        &self.token
    }

    /// Names under which the pages may be asked for, on this computer or from the house network.
    pub(crate) fn hosts(&self, here: bool) -> Vec<String> {
        match self.setting.share {
            _ if here => ["127.0.0.1", "localhost", "[::1]"]
                .map(|host| format!("{host}:{}", self.setting.port))
                .to_vec(),
            Some(address) => vec![address.to_string()],
            None => Vec::new(),
        }
    }

    pub(crate) fn is_shared(&self) -> bool {
        self.setting.share.is_some()
    }

    /// The address that lets one more device in, with its code.
    pub fn pairing(&self) -> Option<String> {
        Some(format!("http://{}/pair/{}", self.setting.share?, self.devices.code()?))
    }

    pub(crate) fn devices(&self) -> &Devices {
        &self.devices
    }

    pub(crate) fn memory(&self) -> &Memory {
        &self.setting.memory
    }

    pub(crate) fn files(&self) -> &dyn Files {
        &*self.setting.files
    }

    /// The one folder in which this bench reads designs by name and writes new ones.
    pub(crate) fn folder(&self) -> PathBuf {
        let of_design = self.workbook().and_then(|book| book.path().parent().map(Path::to_path_buf));
        of_design.unwrap_or_else(|| self.setting.folder.clone())
    }

    /// A file of the folder by its bare name.
    ///
    /// # Errors
    /// In words, when the name leads elsewhere or is no name of a design.
    pub(crate) fn inside(&self, name: &str) -> Result<PathBuf, String> {
        let name = name.trim();
        let mut parts = Path::new(name).components();
        let plain = matches!((parts.next(), parts.next()), (Some(Component::Normal(_)), None));
        let awkward = |c: char| c.is_control() || "/\\:*?\"<>|".contains(c);
        if !plain || name.starts_with('.') || name.len() > 120 || name.contains(awkward) {
            return Err(format!("\"{}\" is no plain file name", name.chars().take(60).collect::<String>()));
        }
        if !name.to_lowercase().ends_with(".toml") {
            return Err("the name of a design ends in .toml".into());
        }
        let path = self.folder().join(name);
        // A link in the folder may lead out of it.
        if let (Ok(real), Ok(folder)) = (path.canonicalize(), self.folder().join(".").canonicalize())
            && !real.starts_with(&folder)
        {
            return Err(format!("\"{name}\" leads out of the folder"));
        }
        Ok(path)
    }

    /// Names of the designs in the folder, in order.
    pub(crate) fn neighbours(&self) -> Vec<String> {
        let own = self.workbook().map(|book| book.file_name());
        let folder = self.folder();
        let folder = if folder.as_os_str().is_empty() { PathBuf::from(".") } else { folder };
        let mut names: Vec<String> = std::fs::read_dir(folder)
            .map(|entries| {
                entries
                    .flatten()
                    .filter_map(|entry| entry.file_name().into_string().ok())
                    .filter(|name| {
                        Some(name) != own.as_ref() && self.inside(name).is_ok_and(|path| path.is_file())
                    })
                    .filter(|name| is_design(&self.folder().join(name)))
                    .take(60)
                    .collect()
            })
            .unwrap_or_default();
        names.sort();
        names
    }
}

/// Whether a file begins like a design, so that other programs' files of the same ending are not offered.
fn is_design(path: &Path) -> bool {
    door::read_design(path).is_ok_and(|bytes| {
        String::from_utf8_lossy(&bytes)
            .lines()
            .take(80)
            .any(|line| line.trim_start().starts_with("wattwright"))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use door::Disk;

    #[test]
    fn names_stay_in_the_folder() {
        let folder = std::env::temp_dir().join(format!("wattwright-inside-{}", std::process::id()));
        std::fs::create_dir_all(&folder).expect("a folder");
        let setting = Setting {
            files: Arc::new(Disk),
            folder: folder.clone(),
            memory: Memory::none(),
            port: 4000,
            share: None,
            watches: false,
        };
        let bench = Bench::new(setting).expect("random bits");
        assert_eq!(bench.inside(" house two.toml "), Ok(folder.join("house two.toml")));
        for name in [
            "",
            ".",
            "..",
            "../x.toml",
            "/etc/passwd",
            "a/b.toml",
            "a\\b.toml",
            ".x.toml",
            "x.txt",
            "x\n.toml",
            "C:x.toml",
        ] {
            assert!(bench.inside(name).is_err(), "{name:?}");
        }
        assert!(bench.inside(&format!("{}.toml", "x".repeat(200))).is_err());
        #[cfg(unix)]
        {
            std::os::unix::fs::symlink("/etc/hostname", folder.join("out.toml")).expect("a link");
            assert!(bench.inside("out.toml").is_err_and(|says| says.contains("leads out")));
        }
        std::fs::remove_dir_all(folder).ok();
    }
}
