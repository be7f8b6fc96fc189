//! Which line of its file an hour was read from.

use sun::HOURS;

use crate::file_year::Quantity;

/// The line of the file that each hour was read from, by quantity: forms of one line an hour have the same for all.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Lines(Vec<[u32; Quantity::ALL.len()]>);

impl Lines {
    pub(crate) fn empty() -> Self {
        Self(vec![[0; Quantity::ALL.len()]; HOURS])
    }

    /// Notes the line of an hour for every quantity.
    pub(crate) fn note(&mut self, hour: usize, line: usize) {
        self.0[hour] = [u32::try_from(line).unwrap_or(0); Quantity::ALL.len()];
    }

    /// Notes the line of an hour for the quantity at this place of [`Quantity::ALL`].
    pub(crate) fn note_one(&mut self, quantity: usize, hour: usize, line: usize) {
        self.0[hour][quantity] = u32::try_from(line).unwrap_or(0);
    }

    /// Line of an hour of the year (0 to 8759), from 1; `None` where the file left the hour out, has no such quantity, or
    /// holds everything in one line.
    pub fn of(&self, quantity: Quantity, hour: usize) -> Option<usize> {
        self.at(quantity, hour).filter(|_| self.has(quantity))
    }

    /// Whether hours of a quantity have lines of their own.
    pub fn has(&self, quantity: Quantity) -> bool {
        let first = (0..HOURS).find_map(|hour| self.at(quantity, hour));
        first != self.before(quantity, HOURS)
    }

    /// Line of the last hour before this one that has a line.
    pub fn before(&self, quantity: Quantity, hour: usize) -> Option<usize> {
        (0..hour).rev().find_map(|hour| self.at(quantity, hour))
    }

    fn at(&self, quantity: Quantity, hour: usize) -> Option<usize> {
        self.0.get(hour).map(|lines| lines[quantity as usize] as usize).filter(|line| *line > 0)
    }
}
