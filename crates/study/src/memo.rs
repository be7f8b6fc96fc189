//! Layers are kept by hand-written keys: hashes of their inputs in SI units. A layer is computed again only when what
//! it rests on changed.

use std::hash::{DefaultHasher, Hasher};
use std::sync::Arc;

/// A few results of one layer, newest last.
#[derive(Debug)]
pub struct Layer<T> {
    kept: Vec<(u64, Arc<T>)>,
    room: usize,
    /// How often it was computed, for the test of the layers.
    pub computed: usize,
}

impl<T> Clone for Layer<T> {
    fn clone(&self) -> Self {
        Layer { kept: self.kept.clone(), room: self.room, computed: self.computed }
    }
}

impl<T> Layer<T> {
    fn with_room(room: usize) -> Self {
        Layer { kept: Vec::new(), room, computed: 0 }
    }
}

impl<T> Layer<T> {
    /// The result of a key, made when it is not there.
    pub(crate) fn get(&mut self, key: u64, make: impl FnOnce() -> T) -> Arc<T> {
        if let Some(at) = self.kept.iter().position(|(k, _)| *k == key) {
            let found = self.kept.remove(at);
            let value = found.1.clone();
            self.kept.push(found);
            return value;
        }
        let value = Arc::new(make());
        self.computed += 1;
        if self.kept.len() >= self.room {
            self.kept.remove(0);
        }
        self.kept.push((key, value.clone()));
        value
    }
}

/// What is kept from one study to the next. Layers of whole years are large (twenty years of one plane are some 4 MB), so
/// they keep what a house of several planes needs in two states; balances are small and asked for most. A clone shares
/// what is kept.
#[derive(Clone, Debug)]
pub struct Memo {
    /// The sun of a place.
    pub sun: Layer<sun::YearSky>,
    /// What a climate needs before years are made of it, or why it cannot be used.
    pub generator: Layer<Result<weather::Generator, weather::BadNormals>>,
    /// Weather years of a place and seed.
    pub weather: Layer<crate::sky::Years>,
    /// Weather years reduced to what planes ask for.
    pub skies: Layer<crate::light::Skies>,
    /// Every plane of a place.
    pub finder: Layer<Result<crate::finder::PlanesOfPlace, String>>,
    /// Light on a plane in every year.
    pub light: Layer<crate::light::PlaneYears>,
    /// Operating points of a module on a plane in every year.
    pub modules: Layer<crate::light::ModuleYears>,
    /// What arrives at an input in every year.
    pub inputs: Layer<crate::year::InputYears>,
    /// What an interval meter has recorded, or why its file gives nothing.
    pub meter: Layer<Result<std::sync::Arc<loads::meter::MeterAccount>, String>>,
    /// What is wanted in every year.
    pub demand: Layer<crate::demand::DemandYears>,
    /// The balance of every year.
    pub balance: Layer<crate::year::Balances>,
}

impl Default for Memo {
    fn default() -> Self {
        Memo {
            sun: Layer::with_room(3),
            generator: Layer::with_room(3),
            weather: Layer::with_room(3),
            skies: Layer::with_room(3),
            finder: Layer::with_room(8),
            light: Layer::with_room(8),
            modules: Layer::with_room(8),
            inputs: Layer::with_room(12),
            meter: Layer::with_room(2),
            demand: Layer::with_room(4),
            balance: Layer::with_room(24),
        }
    }
}

impl Memo {
    /// With room for so many states of what changes from one system to the next when many are tried: what arrives at an
    /// input, some 3 MB for twenty years, and planes where their tilt changes.
    pub fn with_room(room: usize) -> Memo {
        Memo {
            inputs: Layer::with_room(room),
            light: Layer::with_room(room.min(16)),
            modules: Layer::with_room(room.min(16)),
            // Every balance of a search is asked for once.
            balance: Layer::with_room(2),
            ..Memo::default()
        }
    }
}

/// Hash of numbers and words.
#[derive(Default)]
pub(crate) struct Key(DefaultHasher);

impl Key {
    pub(crate) fn new(layer: &str) -> Self {
        Key::default().text(layer)
    }

    pub(crate) fn number(mut self, value: f64) -> Self {
        // Both zeros are the same input.
        self.0.write_u64(if value == 0.0 { 0 } else { value.to_bits() });
        self
    }

    pub(crate) fn numbers(self, values: &[f64]) -> Self {
        values.iter().fold(self.count(values.len() as u64), |key, value| key.number(*value))
    }

    pub(crate) fn count(mut self, value: u64) -> Self {
        self.0.write_u64(value);
        self
    }

    pub(crate) fn text(mut self, text: &str) -> Self {
        self.0.write(text.as_bytes());
        self.0.write_u8(0xff);
        self
    }

    pub(crate) fn bytes(mut self, bytes: &[u8]) -> Self {
        self.0.write_usize(bytes.len());
        self.0.write(bytes);
        self
    }

    pub(crate) fn done(self) -> u64 {
        self.0.finish()
    }
}
