//! Applying the mends that problems offer.

use super::EditError;
use crate::problem::Mend;

/// The text with one mend applied.
///
/// # Errors
/// [`EditError::Misplaced`] when the mend was made for another text.
pub fn apply_mend(text: &str, mend: &Mend) -> Result<String, EditError> {
    apply_mends(text, std::slice::from_ref(mend))
}

/// The text with several mends of the same reading applied together.
///
/// # Errors
/// [`EditError::Misplaced`] when one does not fit the text or two overlap; none is applied then.
pub fn apply_mends(text: &str, mends: &[Mend]) -> Result<String, EditError> {
    let mut ordered: Vec<&Mend> = mends.iter().collect();
    ordered.sort_by_key(|mend| (mend.span.start, mend.span.end));
    let overlap = ordered.windows(2).any(|pair| pair[0].span.end > pair[1].span.start);
    let outside = ordered.iter().any(|mend| text.get(mend.span.clone()).is_none());
    if overlap || outside {
        return Err(EditError::Misplaced);
    }
    let mut edited = text.to_string();
    for mend in ordered.into_iter().rev() {
        edited.replace_range(mend.span.clone(), &mend.with);
    }
    Ok(edited)
}
