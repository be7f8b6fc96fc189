//! From a path to a design and its study.

use crate::show::Failure;
use design::Design;
use rules::Finding;
use std::io::Read as _;
use std::path::Path;
use std::sync::Arc;
use study::{Depth, Files, Memo, NamedFile, Study, Unanswered, WeatherFile};

/// A design as loaded: how it is called in messages, and what was understood.
pub(crate) struct Loaded {
    pub(crate) file: String,
    pub(crate) design: Arc<Design>,
    pub(crate) weather: Option<WeatherFile>,
    pub(crate) meter: Option<NamedFile>,
}

/// Reads a design from a file, or from standard input for `-`.
pub(crate) fn design(path: &Path) -> Result<Loaded, Failure> {
    let (file, bytes) = if path == Path::new("-") {
        let mut bytes = Vec::new();
        let most = design::read::LARGEST as u64 + 1;
        std::io::stdin().take(most).read_to_end(&mut bytes).map_err(|e| {
            Failure::new(format!("standard input: {e}"), "pipe a design in, or name its file")
        })?;
        ("standard input".to_string(), bytes)
    } else {
        let bytes = door::read_design(path)
            .map_err(|e| Failure::new(e.to_string(), "name a design file that can be read"))?;
        (path.display().to_string(), bytes)
    };
    let design = Design::of_bytes(&bytes);
    let folder = path.parent().map(Path::to_path_buf).unwrap_or_default();
    let weather = design.system.place.weather.file.as_ref().map(|file| beside(&file.value, &folder));
    let meter = design.system.bills.meter.as_ref().map(|meter| beside(&meter.name.value, &folder));
    Ok(Loaded { file, design: Arc::new(design), weather, meter })
}

/// A file the design names, read from beside it.
fn beside(name: &str, folder: &Path) -> NamedFile {
    let bytes = door::read_data(&folder.join(name)).map(Arc::from).map_err(|e| e.to_string());
    NamedFile { name: name.to_string(), bytes }
}

/// A study with its findings; fails where the hours it is asked to balance stand in a file that cannot be read.
pub(crate) fn study(loaded: &Loaded, depth: Depth) -> Result<(Study, Vec<Finding>), Failure> {
    let mut memo = Memo::default();
    let files = Files { weather: loaded.weather.as_ref(), meter: loaded.meter.as_ref() };
    let study = Study::of_files(loaded.design.clone(), files, depth, &mut memo);
    if let (Depth::Whole, Err(Unanswered::Refused { because, field: Some(field) })) = (depth, &study.sky)
        && field.as_str() == "place.weather.file"
    {
        let help = "name a weather file that can be read, or leave place.weather.file out for made years";
        return Err(Failure::new(because.clone(), help));
    }
    let findings = rules::inspect(&study);
    Ok((study, findings))
}
