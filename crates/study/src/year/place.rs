//! Where a string's modules lie on its plane, as far as shade and snow ask.

use crate::house::assumption;
use crate::light::PlaneStudy;
use crate::uses::{Unanswered, Uses};
use array::reached::StringPlace;
use design::system::{StringIn, System};
use quantity::{FieldPath, units};

/// The place of a string: as stated, or side by side with the others of its plane from the left.
///
/// Snow and rows lie as wide as the plane, so that columns matter only where something stands before it.
///
/// # Errors
/// A row or a column that the plane has not.
pub(crate) fn place_of(
    system: &System,
    string: &StringIn,
    plane: &PlaneStudy,
    uses: &mut Uses,
) -> Result<StringPlace, Unanswered> {
    let name = &string.string.name;
    if plane.years.near.is_none() && plane.years.covered.is_empty() {
        return Ok(StringPlace { row: None, first_column: 0.0 });
    }
    let beyond = |key: &str, what: &str, at: f64, has: u32| {
        let because =
            format!("string \"{name}\" lies in {what} {at:.0} of plane \"{}\", which has {has}", plane.name);
        Unanswered::refused(because, Some(FieldPath::new(format!("string.{name}.{key}"))))
    };
    let row = match &string.row {
        Some(row) => {
            let row = uses.number(&format!("{name}: module row"), row, &units::COUNT);
            if row > f64::from(plane.lie.modules_up) {
                return Err(beyond("row", "module row", row, plane.lie.modules_up));
            }
            row.is_finite().then_some(row.max(1.0) as u32 - 1)
        }
        None => None,
    };
    if plane.around.as_ref().is_none_or(|around| around.named.is_empty()) {
        return Ok(StringPlace { row, first_column: 0.0 });
    }
    if let Some(first) = &string.first_column {
        let first = uses.number(&format!("{name}: first column"), first, &units::COUNT);
        if first > f64::from(plane.lie.modules_wide) {
            return Err(beyond("first_column", "column", first, plane.lie.modules_wide));
        }
        return Ok(StringPlace {
            row,
            first_column: if first.is_finite() { first.max(1.0) - 1.0 } else { 0.0 },
        });
    }
    let words = "strings side by side from the left, in the order of the design";
    let field = format!("string.{name}.first_column");
    uses.note(
        &format!("{name}: where it lies"),
        words,
        assumption(&field, words, "which string obstacles shade"),
    );
    Ok(StringPlace { row, first_column: after_others(system, string, plane) })
}

/// The column after all strings of the plane that the design names before this one, where they share a row.
fn after_others(system: &System, string: &StringIn, plane: &PlaneStudy) -> f64 {
    let up = plane.lie.modules_up.max(1) as usize;
    let mut ends = vec![0.0_f64; up];
    let rows_of = |of: &StringIn| match of.row.as_ref().and_then(quantity::Fact::si) {
        Some(row) => {
            let row = (row.max(1.0) as usize - 1).min(up - 1);
            row..row + 1
        }
        None => 0..up,
    };
    let on_plane = system.strings.iter().filter(|other| other.string.plane == string.string.plane);
    for other in on_plane.take_while(|other| other.string.name != string.string.name) {
        let rows = rows_of(other);
        let length = other.string.count.si().unwrap_or(0.0) / rows.len() as f64;
        let stated = other.first_column.as_ref().and_then(quantity::Fact::si).map(|first| first - 1.0);
        let begins = stated.unwrap_or_else(|| ends[rows.clone()].iter().fold(0.0, |a: f64, b| a.max(*b)));
        ends[rows].iter_mut().for_each(|end| *end = end.max(begins + length));
    }
    ends[rows_of(string)].iter().fold(0.0, |a: f64, b| a.max(*b))
}
