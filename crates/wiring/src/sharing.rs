//! How battery units in parallel share a current, from the resistances of their links.

/// Units in a row between a positive and a negative bar.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Resistance of each unit with its own leads, ohms, above zero; at least one.
    pub units: Vec<f64>,
    /// Resistance of the positive link from each unit to the next, ohms; one fewer than units.
    pub positive: Vec<f64>,
    /// Resistance of the negative link from each unit to the next, ohms; one fewer than units.
    pub negative: Vec<f64>,
    /// Unit at which the positive main conductor is connected, from 0.
    pub plus_at: usize,
    /// Unit at which the negative main conductor is connected, from 0.
    pub minus_at: usize,
}

/// Share of the total current that each unit carries while all stand at the same open-circuit voltage; the shares sum
/// to 1. `None` when the row is not one: lengths that do not fit, a resistance that is not a number, a unit without
/// any.
///
/// The currents follow from one sum and, for every pair of neighbours, the loop through both and their two links. A
/// row tapped at one end loads its first unit most; tapped at opposite ends it is symmetric; on heavy bars, with links
/// of no resistance, alike units share alike.
pub fn shares(row: &Row) -> Option<Vec<f64>> {
    let n = row.units.len();
    let fits = n > 0
        && row.positive.len() == n - 1
        && row.negative.len() == n - 1
        && row.plus_at < n
        && row.minus_at < n;
    let bears = |r: &f64| r.is_finite() && *r >= 0.0;
    if !fits
        || !row.units.iter().all(|r| r.is_finite() && *r > 0.0)
        || !row.positive.iter().chain(&row.negative).all(bears)
    {
        return None;
    }
    // Row k < n − 1: r_k·I_k − r_{k+1}·I_{k+1} + (P_k + N_k)·(I_0 + … + I_k) = P_k·[plus ≤ k] + N_k·[minus ≤ k].
    let mut system = vec![vec![0.0; n + 1]; n];
    for k in 0..n - 1 {
        let (p, m) = (row.positive[k], row.negative[k]);
        for cell in &mut system[k][..=k] {
            *cell = p + m;
        }
        system[k][k] += row.units[k];
        system[k][k + 1] -= row.units[k + 1];
        system[k][n] = if row.plus_at <= k { p } else { 0.0 } + if row.minus_at <= k { m } else { 0.0 };
    }
    system[n - 1] = vec![1.0; n + 1];
    solve(system)
}

/// Gauss with the largest pivot of each column.
fn solve(mut system: Vec<Vec<f64>>) -> Option<Vec<f64>> {
    let n = system.len();
    for column in 0..n {
        let pivot =
            (column..n).max_by(|a, b| system[*a][column].abs().total_cmp(&system[*b][column].abs()))?;
        system.swap(column, pivot);
        let lead = system[column].clone();
        if lead[column] == 0.0 {
            return None;
        }
        for line in system.iter_mut().skip(column + 1) {
            let factor = line[column] / lead[column];
            for (cell, above) in line.iter_mut().zip(&lead).skip(column) {
                *cell -= factor * above;
            }
        }
    }
    let mut found = vec![0.0; n];
    for k in (0..n).rev() {
        let known: f64 = (k + 1..n).map(|j| system[k][j] * found[j]).sum();
        found[k] = (system[k][n] - known) / system[k][k];
    }
    found.iter().all(|share| share.is_finite()).then_some(found)
}
