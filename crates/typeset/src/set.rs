//! Sets the book: data, template, pages, bytes.

use crate::world::Desk;
use crate::{Paper, Typeset, TypesetError, data};
use output::book::Book;
use typst::diag::SourceDiagnostic;
use typst::foundations::Smart;
use typst::layout::{Frame, FrameItem};
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards};

pub(crate) fn set(book: &Book, paper: Paper) -> Result<Typeset, TypesetError> {
    let data = serde_json::to_vec(&data::data(book, paper))
        .map_err(|e| TypesetError::NotSet(vec![e.to_string()]))?;
    let desk = Desk::new(data).map_err(|e| TypesetError::NotSet(vec![e]))?;
    let compiled = typst::compile::<PagedDocument>(&desk);
    let mut warnings: Vec<String> = compiled.warnings.iter().map(complaint).collect();
    let document = compiled.output.map_err(not_set)?;
    for page in document.pages() {
        missing_glyphs(&page.frame, &mut warnings);
    }
    let bytes = written(&document, &mut warnings)?;
    // The typesetter remembers what it laid out; a program that stays open must not keep every book it ever set.
    typst::comemo::evict(0);
    Ok(Typeset { bytes, warnings })
}

/// Written so that a screen reader can read it (PDF/UA-1) or, where the book does not allow that, as a plain PDF with a remark.
fn written(document: &PagedDocument, warnings: &mut Vec<String>) -> Result<Vec<u8>, TypesetError> {
    // No timestamp: the same book gives the same bytes on any day.
    let options = |standards: PdfStandards| PdfOptions {
        creator: Smart::Custom(Some("Wattwright".into())),
        standards,
        ..PdfOptions::default()
    };
    let accessible = PdfStandards::new(&[PdfStandard::Ua_1]);
    match accessible.map(|standards| typst_pdf::pdf(document, &options(standards))) {
        Ok(Ok(bytes)) => return Ok(bytes),
        Ok(Err(complaints)) => {
            warnings.extend(complaints.iter().map(|one| format!("not PDF/UA: {}", complaint(one))))
        }
        Err(complaint) => warnings.push(format!("not PDF/UA: {}", complaint.message())),
    }
    typst_pdf::pdf(document, &options(PdfStandards::default())).map_err(not_set)
}

fn not_set(all: impl IntoIterator<Item = SourceDiagnostic>) -> TypesetError {
    TypesetError::NotSet(all.into_iter().map(|one| complaint(&one)).collect())
}

fn complaint(one: &SourceDiagnostic) -> String {
    let hints = one.hints.iter().map(|hint| format!(" ({})", hint.v));
    std::iter::once(one.message.to_string()).chain(hints).collect()
}

/// A character without a glyph prints as an empty box; that must be known before someone reads it on a roof.
fn missing_glyphs(frame: &Frame, warnings: &mut Vec<String>) {
    for (_, item) in frame.items() {
        match item {
            FrameItem::Group(group) => missing_glyphs(&group.frame, warnings),
            FrameItem::Text(text) => {
                for glyph in text.glyphs.iter().filter(|glyph| glyph.id == 0) {
                    let warning =
                        format!("no face has a glyph for {:?}", text.text.get(glyph.range()).unwrap_or(""));
                    if !warnings.contains(&warning) {
                        warnings.push(warning);
                    }
                }
            }
            _ => {}
        }
    }
}
