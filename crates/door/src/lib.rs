//! The way out of the program: reading files and standard input, replacing files whole, watching a file.
//!
//! Everything else in the workspace works on bytes. The two ends (command line and web) reach files through [`Files`],
//! so that their tests can use [`InMemory`] instead of a disk. Nothing here prints, and nothing here knows what the
//! bytes mean.

mod error;

mod read;
pub use read::{DATA_LIMIT, DESIGN_LIMIT, read_data, read_design, read_limited};

mod replace;
pub use replace::{replace_if_unchanged, write_atomically, write_in_new_folder};

mod hash;
pub use hash::{FileHash, NotAHash};

mod watch;
pub use watch::{Change, Watcher, watch};

mod fetch;
pub use fetch::{ANSWER_LIMIT, Fetch, FetchError, Net};

mod files;
pub use error::DoorError;
pub use files::{Disk, Files, InMemory};
