//! Devices of the house network that were let in: each has a token of its own and can be sent away again.

use super::token::{digest, same, token};
use crate::memory::Memory;
use serde::{Deserialize, Serialize};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

/// How long a pairing code holds.
const CODE_HOLDS: Duration = Duration::from_secs(600);
/// Wrong codes after which the code of the moment is worth nothing any more.
const MOST_WRONG: u32 = 10;
/// More devices than a household has.
const MOST_DEVICES: usize = 12;
const KEPT_AS: &str = "devices.json";

/// A device that was let in.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) struct Device {
    /// What its owner calls it.
    pub(crate) name: String,
    /// Number by which it is sent away.
    pub(crate) number: u32,
    /// Digest of its token.
    token: String,
}

#[derive(Debug)]
struct Code {
    text: String,
    made: Instant,
    wrong: u32,
}

#[derive(Debug, Default)]
struct Kept {
    devices: Vec<Device>,
    code: Option<Code>,
}

/// All devices that were let in, and the code with which the next one may come.
#[derive(Debug, Default)]
pub(crate) struct Devices {
    kept: Mutex<Kept>,
    memory: Memory,
}

impl Devices {
    pub(crate) fn of(memory: Memory) -> Devices {
        let devices: Vec<Device> = memory.recall(KEPT_AS).unwrap_or_default();
        Devices { kept: Mutex::new(Kept { devices, code: None }), memory }
    }

    fn kept(&self) -> MutexGuard<'_, Kept> {
        self.kept.lock().unwrap_or_else(PoisonError::into_inner)
    }

    pub(crate) fn list(&self) -> Vec<Device> {
        self.kept().devices.clone()
    }

    /// The code of the moment; a fresh one where the last was used, is old or was guessed at.
    pub(crate) fn code(&self) -> Option<String> {
        let mut kept = self.kept();
        if let Some(code) = kept.code.as_ref().filter(|code| code.made.elapsed() < CODE_HOLDS) {
            return Some(code.text.clone());
        }
        let text = token().ok()?;
        kept.code = Some(Code { text: text.clone(), made: Instant::now(), wrong: 0 });
        Some(text)
    }

    /// Whether a code is the one of the moment; wrong ones are counted.
    pub(crate) fn is_code(&self, text: &str) -> bool {
        let mut kept = self.kept();
        let Some(code) = kept.code.as_mut().filter(|code| code.made.elapsed() < CODE_HOLDS) else {
            return false;
        };
        if same(&code.text, text) {
            return true;
        }
        code.wrong += 1;
        if code.wrong >= MOST_WRONG {
            kept.code = None;
        }
        false
    }

    /// Lets a device in once for the code of the moment and gives its token, which is told to it and kept nowhere.
    pub(crate) fn pair(&self, code: &str, name: &str) -> Option<String> {
        if !self.is_code(code) {
            return None;
        }
        let fresh = token().ok()?;
        let mut kept = self.kept();
        kept.code = None;
        let name: String = name.trim().chars().filter(|c| !c.is_control()).take(40).collect();
        let name = if name.is_empty() { "a phone".to_string() } else { name };
        let number = kept.devices.iter().map(|device| device.number).max().unwrap_or(0) + 1;
        kept.devices.push(Device { name, number, token: digest(&fresh) });
        if kept.devices.len() > MOST_DEVICES {
            kept.devices.remove(0);
        }
        self.memory.keep(KEPT_AS, &kept.devices);
        Some(fresh)
    }

    /// Whether a token is that of a device. Every device is compared, so the time tells nothing of which.
    pub(crate) fn knows(&self, token: &str) -> bool {
        let digest = digest(token);
        self.kept().devices.iter().fold(false, |known, device| known | same(&device.token, &digest))
    }

    /// Sends a device away; its token is worth nothing from then on.
    pub(crate) fn revoke(&self, number: u32) {
        let mut kept = self.kept();
        kept.devices.retain(|device| device.number != number);
        self.memory.keep(KEPT_AS, &kept.devices);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_lets_one_device_in_and_no_second() {
        let devices = Devices::default();
        assert!(!devices.is_code(""), "without a code nothing is one");
        let code = devices.code().expect("a code");
        assert_eq!(devices.code().as_ref(), Some(&code), "it stays until it is used");
        let token = devices.pair(&code, "  thumb\n phone ").expect("let in");
        assert!(devices.knows(&token) && !devices.knows(&code) && !devices.knows(""));
        assert!(devices.pair(&code, "second").is_none());
        assert_ne!(devices.code(), Some(code));
        assert_eq!(devices.list()[0].name, "thumb phone");
        devices.revoke(devices.list()[0].number);
        assert!(!devices.knows(&token) && devices.list().is_empty());
    }

    #[test]
    fn guessing_ends_the_code() {
        let devices = Devices::default();
        let code = devices.code().expect("a code");
        for _ in 0..MOST_WRONG {
            assert!(!devices.is_code("0"));
        }
        assert!(!devices.is_code(&code));
    }

    #[test]
    fn devices_outlive_the_program_as_digests_only() {
        let folder = std::env::temp_dir().join(format!("wattwright-devices-{}", std::process::id()));
        let devices = Devices::of(Memory::in_folder(folder.clone()));
        let token = devices.code().and_then(|code| devices.pair(&code, "phone")).expect("let in");
        let kept = std::fs::read_to_string(folder.join(KEPT_AS)).expect("it is kept");
        assert!(!kept.contains(&token));
        assert!(Devices::of(Memory::in_folder(folder.clone())).knows(&token));
        std::fs::remove_dir_all(folder).ok();
    }
}
