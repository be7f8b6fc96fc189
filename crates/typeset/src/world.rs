//! What the typesetter may see: one template, one data file, six faces and a fixed date. No files, network or clock.

use std::sync::LazyLock;
use typst::diag::{FileError, FileResult};
use typst::foundations::{Bytes, Datetime, Duration};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};

/// The faces, licences beside them. Text, figures, and one more for the rare sign that neither has.
static FONTS: LazyLock<Vec<Font>> = LazyLock::new(|| {
    let files: [&'static [u8]; 6] = [
        include_bytes!("../fonts/LibertinusSerif-Regular.otf"),
        include_bytes!("../fonts/LibertinusSerif-Italic.otf"),
        include_bytes!("../fonts/LibertinusSerif-Semibold.otf"),
        include_bytes!("../fonts/LinBiolinum_R.otf"),
        include_bytes!("../fonts/LinBiolinum_RB.otf"),
        include_bytes!("../fonts/DejaVuSansMono.ttf"),
    ];
    files.into_iter().flat_map(|file| Font::iter(Bytes::new(file))).collect()
});

pub(crate) struct Desk {
    library: LazyHash<Library>,
    faces: LazyHash<FontBook>,
    template: Source,
    data_id: FileId,
    data: Bytes,
}

impl Desk {
    /// A desk with the book's data (JSON) on it.
    pub(crate) fn new(data: Vec<u8>) -> Result<Desk, String> {
        let id = |path: &str| {
            let path = VirtualPath::new(path).map_err(|e| e.to_string())?;
            Ok::<FileId, String>(RootedPath::new(VirtualRoot::Project, path).intern())
        };
        Ok(Desk {
            library: LazyHash::new(Library::default()),
            faces: LazyHash::new(FontBook::from_fonts(FONTS.iter())),
            template: Source::new(id("/book.typ")?, include_str!("book.typ").into()),
            data_id: id("/book.json")?,
            data: Bytes::new(data),
        })
    }
}

impl World for Desk {
    fn library(&self) -> &LazyHash<Library> {
        &self.library
    }
    fn book(&self) -> &LazyHash<FontBook> {
        &self.faces
    }
    fn main(&self) -> FileId {
        self.template.id()
    }
    fn source(&self, id: FileId) -> FileResult<Source> {
        if id == self.template.id() { Ok(self.template.clone()) } else { Err(not_here(id)) }
    }
    fn file(&self, id: FileId) -> FileResult<Bytes> {
        if id == self.data_id { Ok(self.data.clone()) } else { Err(not_here(id)) }
    }
    fn font(&self, index: usize) -> Option<Font> {
        FONTS.get(index).cloned()
    }
    fn today(&self, _offset: Option<Duration>) -> Option<Datetime> {
        None
    }
}

fn not_here(id: FileId) -> FileError {
    FileError::NotFound(id.vpath().get_without_slash().into())
}
