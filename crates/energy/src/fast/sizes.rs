//! All sizes of battery in one pass over the turning points of a year.
//!
//! Begun full, with net energy that does not depend on the battery, the energy a battery of usable size `E` cannot give is
//! `Σ max(d − E, 0)` over the nested ranges `d` of the curve of cumulated net energy: pairs of turning points between two
//! that reach at least as far on both sides are taken out (the four-point rule of cycle counting, as in ASTM E1049-85
//! (2017), 5.4.4, from memory), and the falls of what is left count too. A range that is taken out and fits into the battery
//! costs nothing; one that does not, overflows or empties it by what exceeds `E`, and leaves it full or empty as the range
//! around it does. So the curve falls, and is convex.

use super::{Outside, Row};
use crate::{Bank, HOURS, Inputs, Problem, YearInput};

/// Energy that a year leaves unserved, as a function of the usable size of the battery.
#[derive(Clone, Debug, PartialEq)]
pub struct SizeCurve {
    /// Ranges, largest first, Wh in the cells.
    ranges: Vec<f64>,
    /// Sums of the first so many ranges, Wh.
    sums: Vec<f64>,
    /// Wh at the outlets for each Wh the cells cannot give.
    outlets_per_cell: f64,
}

impl SizeCurve {
    /// The curve of a row with a bank of that kind, whatever its size, begun full on the first of January.
    ///
    /// # Errors
    /// [`Outside`] unless efficiencies are constant: no idle draw, no loss of the converters but one per watt, no links,
    /// no electronics, no self-discharge; no limit of charging, discharging or cold that binds in any hour; no load beyond
    /// the inverters' power.
    pub fn of(inputs: &Inputs, year: &YearInput, bank: &Bank) -> Result<SizeCurve, Outside> {
        let row = Row::of(inputs, year)?;
        // Admits the bank, and finds out about its problems.
        row.run(&[*bank])?;
        let lossy = bank.link_loss_per_w > 0.0 || bank.standby_w > 0.0 || bank.self_discharge_per_h > 0.0;
        if lossy || !row.curve.is_constant() {
            return Err(Outside::Losses);
        }
        let takes = bank.charge_w.min(inputs.fleet.charge_limit_w);
        for (net, cold) in row.nets() {
            if net > 0.0 && cold < 1.0 {
                return Err(Outside::Cold);
            }
            if net > takes || -net > bank.discharge_w {
                return Err(Outside::Limit);
            }
        }
        let asked = |hour: usize| year.load_w.iter().map(|tier| tier[hour]).sum::<f64>();
        if inputs.fleet.leg_limit_w.is_some()
            || inputs.fleet.derate.is_some()
            || (0..HOURS).any(|hour| asked(hour) > inputs.fleet.output_limit_w)
        {
            return Err(Outside::Limit);
        }
        let in_cells = row.nets().map(|(net, _)| {
            if net > 0.0 { net * bank.charge_efficiency } else { net / bank.discharge_efficiency }
        });
        Ok(SizeCurve::over(in_cells, bank.discharge_efficiency / (1.0 + row.curve.linear)))
    }

    /// The curve of a household with everything its modules are offered and a battery without any loss or limit, through
    /// converters without any: no system with these modules and a battery of that usable size, whatever its losses, leaves
    /// less to be missing or to come from utility and generator.
    ///
    /// # Errors
    /// [`Problem`] of the year's slices.
    pub fn ideal(inputs: &Inputs, year: &YearInput) -> Result<SizeCurve, Problem> {
        year.check(inputs)?;
        let nets = (0..HOURS).map(|hour| {
            let sun = [year.by_controller.dc_w, year.coupled.dc_w]
                .iter()
                .map(|beside| beside.get(hour).copied().unwrap_or(0.0))
                .sum::<f64>();
            year.pv_dc_w[hour] + sun - year.load_w.iter().map(|tier| tier[hour]).sum::<f64>()
        });
        Ok(SizeCurve::over(nets, 1.0))
    }

    pub(super) fn over(nets: impl Iterator<Item = f64>, outlets_per_cell: f64) -> SizeCurve {
        let mut ranges = Vec::new();
        // Begun full is begun at the top of an endless rise.
        let mut turns: Vec<f64> = vec![f64::NEG_INFINITY, 0.0];
        let mut at = 0.0;
        for net in nets.filter(|net| *net != 0.0) {
            at += net;
            let last = turns.len() - 1;
            let rising = turns[last] > turns[last - 1];
            if rising == (net > 0.0) {
                turns[last] = at;
            } else {
                turns.push(at);
            }
            // Between sign changes the end of the run moves; a pair is taken out once the next run reaches past it.
            while let [.., a, b, c, d] = turns.as_slice() {
                let (inner, before, after) = ((b - c).abs(), (a - b).abs(), (c - d).abs());
                if inner > before || inner > after {
                    break;
                }
                ranges.push(inner);
                let d = *d;
                turns.truncate(turns.len() - 3);
                turns.push(d);
            }
        }
        ranges.extend(turns.windows(2).skip(1).map(|pair| pair[0] - pair[1]).filter(|fall| *fall > 0.0));
        ranges.sort_by(|a, b| b.total_cmp(a));
        let mut sum = 0.0;
        let mut sums = Vec::with_capacity(ranges.len() + 1);
        sums.push(0.0);
        for range in &ranges {
            sum += range;
            sums.push(sum);
        }
        SizeCurve { ranges, sums, outlets_per_cell }
    }

    /// Energy left unserved at the outlets with a battery of this usable size, Wh in the cells; falls and is convex in it.
    pub fn unserved_wh(&self, usable_wh: f64) -> f64 {
        let usable = usable_wh.max(0.0);
        let larger = self.ranges.partition_point(|range| *range > usable);
        (self.sums[larger] - larger as f64 * usable).max(0.0) * self.outlets_per_cell
    }

    /// The usable size above which nothing is left unserved, Wh.
    pub fn enough_wh(&self) -> f64 {
        self.ranges.first().copied().unwrap_or(0.0)
    }
}
