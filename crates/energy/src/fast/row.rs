//! Row form: what an hour brings to the bus and asks of it is the same for every bank, so it is worked out once.

use super::Outside;
use crate::balance::DECEMBER;
use crate::cells::Cells;
use crate::hour::DARK_ABOVE_WH;
use crate::supply::in_order;
use crate::{Bank, Chemistry, Given, HOURS, House, Inputs, System, YearInput};
use conversion::LossCurve;

/// Banks walked side by side.
pub const LANES: usize = 8;

/// What one hour is for every bank.
#[derive(Clone, Copy, Debug)]
pub(super) struct RowHour {
    /// At the bus from the modules, W.
    pub(super) pv_bus: f64,
    /// Asked of the bus, the idle draw included, W.
    pub(super) demand: f64,
    /// Asked at the outlets and within the inverters' power: must, want, luxury, W.
    allowed: [f64; 3],
    /// Wanted, W.
    load: [f64; 3],
    /// Offered at the inputs, W.
    pub(super) pv_dc: f64,
    /// Lost in array cables if all of it is taken, W.
    pub(super) cable: f64,
    /// What cold leaves of the charging power.
    cold: f64,
    /// Unused while the bank takes all that is left over: what the cables did not lose.
    pub(super) unused_at_least: f64,
    /// Load beyond the inverters' power, W.
    pub(super) shed: [f64; 3],
    /// Whether any of it is.
    pub(super) sheds: bool,
}

/// A year of one array, one household and one set of converters, on its own.
#[derive(Clone, Debug)]
pub struct Row {
    hours: Vec<RowHour>,
    pub(super) curve: LossCurve,
    pv: LossCurve,
    fleet_charge_w: f64,
    cold_limits: [Option<f64>; 2],
}

/// What a year brought with one bank. All Wh and hours of [`crate::YearResult`]'s meaning.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct RowSums {
    /// Load not served: must, want, luxury.
    pub missing_wh: [f64; 3],
    /// Hours in which a must-load is missing.
    pub dark_h: f64,
    /// Offered and taken by nothing.
    pub unused_wh: f64,
    /// Into the cells.
    pub stored_wh: f64,
    /// Out of the cells.
    pub removed_wh: f64,
    /// Hours at the end of which nothing usable is left.
    pub empty_h: u32,
    /// Lowest state of charge at the end of an hour.
    pub lowest_state_of_charge: f64,
    /// Stored at the end, Wh.
    pub end_wh: f64,
}

impl Row {
    /// The row of a house, whatever the size of its bank.
    ///
    /// # Errors
    /// [`Outside`] for a house with backup, modules that reach the house beside the units' inputs or without the bus,
    /// temperatures of its own, loads given up by state of charge, or two wells; [`Outside::Problem`] of its inputs.
    pub fn of(inputs: &Inputs, year: &YearInput) -> Result<Row, Outside> {
        let house = House::of(inputs).map_err(Outside::Problem)?;
        year.check(inputs).map_err(Outside::Problem)?;
        if inputs.system != (System::StandAlone { generator: None }) {
            return Err(Outside::Backup);
        }
        let beside = |slice: &[f64]| slice.iter().any(|watts| *watts > 0.0);
        if inputs.fleet.coupled.is_some()
            || beside(year.by_controller.dc_w)
            || beside(year.by_controller.bus_w)
        {
            return Err(Outside::Beside);
        }
        if inputs.fleet.direct.is_some() {
            return Err(Outside::Direct);
        }
        if inputs.room.is_some() || inputs.bank.thermal.is_some() {
            return Err(Outside::Warmth);
        }
        if inputs.shed_below.want > 0.0 || inputs.shed_below.luxury > 0.0 {
            return Err(Outside::Shed);
        }
        Ok(Row {
            hours: row_hours(&house, inputs, year),
            curve: inputs.fleet.discharge,
            pv: house.pv,
            fleet_charge_w: inputs.fleet.charge_limit_w,
            cold_limits: [inputs.bank.charge_above_c, inputs.bank.full_charge_from_c],
        })
    }

    /// Whether a bank is one of this row.
    fn admits(&self, bank: &Bank) -> Result<(), Outside> {
        bank.check().map_err(Outside::Problem)?;
        if bank.chemistry != Chemistry::Linear {
            return Err(Outside::Kinetic);
        }
        if bank.thermal.is_some() {
            return Err(Outside::Warmth);
        }
        if bank.taper_from < bank.usable_high {
            return Err(Outside::Taper);
        }
        if [bank.charge_above_c, bank.full_charge_from_c] != self.cold_limits {
            return Err(Outside::Cold);
        }
        Ok(())
    }

    /// The year with each of these banks, begun as [`crate::Start::AfterDecember`] begins it.
    ///
    /// # Errors
    /// [`Outside`] for a bank with two wells, a taper, a temperature of its own or other limits in the cold than the bank
    /// the row was made with.
    pub fn run(&self, banks: &[Bank]) -> Result<Vec<RowSums>, Outside> {
        banks.iter().try_for_each(|bank| self.admits(bank))?;
        let mut all = Vec::with_capacity(banks.len());
        for chunk in banks.chunks(LANES) {
            // Lanes without a bank of their own repeat the last one and are left out.
            let of = |lane: usize| chunk[lane.min(chunk.len() - 1)];
            let mut lanes = Lanes::of(std::array::from_fn(of), self.fleet_charge_w);
            for hour in &self.hours[DECEMBER..] {
                lanes.live(self, hour);
            }
            lanes.begin();
            for hour in &self.hours {
                lanes.live(self, hour);
                lanes.note();
            }
            all.extend((0..chunk.len()).map(|lane| lanes.sums(lane)));
        }
        Ok(all)
    }

    /// Net energy of each hour at the bus, Wh: a surplus above nothing, a need below; and the share cold leaves.
    pub(super) fn nets(&self) -> impl Iterator<Item = (f64, f64)> + '_ {
        self.hours.iter().map(|hour| (hour.pv_bus - hour.demand, hour.cold))
    }
}

/// What every hour of a checked year is for every bank, while nothing but sun and bank acts.
pub(super) fn row_hours(house: &House, inputs: &Inputs, year: &YearInput) -> Vec<RowHour> {
    let curve = inputs.fleet.discharge;
    let cells = Cells::of(inputs.bank);
    let state = house.at_rest(inputs.bank.usable_high);
    (0..HOURS)
        .map(|hour| {
            let given = Given::at(year, hour);
            let output_limit = house.output_limit_w(given.air_c);
            let (allowed, _) =
                house.allowed(&house.wanted(&state, &given, 1.0), &given, output_limit, 0.0, 1.0);
            let target = allowed[0] + allowed[1] + allowed[2];
            let pv_bus = house.pv.output_for_above_idle(given.pv_dc_w);
            let shed: [f64; 3] = std::array::from_fn(|tier| (given.load_w[tier] - allowed[tier]).max(0.0));
            RowHour {
                pv_bus,
                demand: curve.idle_w + curve.above_idle(target),
                unused_at_least: unused(&house.pv, pv_bus, given.pv_dc_w, given.pv_cable_loss_w),
                sheds: shed != [0.0; 3],
                shed,
                allowed,
                load: given.load_w,
                pv_dc: given.pv_dc_w,
                cable: given.pv_cable_loss_w,
                cold: cells.share_when_cold(given.air_c),
            }
        })
        .collect()
}

/// What is not used when so much of the sun is taken at the bus, losses of the cables included, W.
#[inline]
pub(super) fn unused(pv: &LossCurve, taken_bus: f64, pv_dc: f64, cable: f64) -> f64 {
    let taken = pv.above_idle(taken_bus).min(pv_dc);
    let share = if pv_dc > 0.0 { taken / pv_dc } else { 0.0 };
    (pv_dc - taken) + (cable - cable * share * share)
}

pub(super) type Lane = [f64; LANES];

/// Banks side by side: one array for each quantity, so that a step is the same few operations on all of them.
struct Lanes {
    cells: [Cells; LANES],
    capacity: Lane,
    low: Lane,
    high: Lane,
    keeps: Lane,
    standby: Lane,
    into: Lane,
    out_of: Lane,
    link: Lane,
    linked: bool,
    gives_most: Lane,
    takes_most: Lane,
    stored: Lane,
    fleet_charge_w: f64,
    missing: [Lane; 3],
    dark: Lane,
    unused: Lane,
    put_in: Lane,
    removed: Lane,
    lowest: Lane,
    empty: [u32; LANES],
}

// One index into many arrays of lanes: an iterator over one of them would hide that all take the same step.
#[allow(clippy::needless_range_loop)]
impl Lanes {
    fn of(banks: [Bank; LANES], fleet_charge_w: f64) -> Lanes {
        let cells = banks.map(Cells::of);
        let windows = banks.map(|bank| storage::window(bank.capacity_wh, bank.usable_low, bank.usable_high));
        let nothing = storage::Wells { at_hand: 0.0, bound: 0.0 };
        let capacity = banks.map(|bank| bank.capacity_wh);
        Lanes {
            capacity,
            low: windows.map(|(low, _)| low),
            high: windows.map(|(_, high)| high),
            keeps: banks.map(|bank| bank.self_discharge_per_h),
            standby: banks.map(|bank| bank.standby_w),
            into: banks.map(|bank| bank.charge_efficiency),
            out_of: banks.map(|bank| bank.discharge_efficiency),
            link: banks.map(|bank| bank.link_loss_per_w),
            linked: banks.iter().any(|bank| bank.link_loss_per_w > 0.0),
            gives_most: cells.map(|cells| cells.discharge_limit_w),
            takes_most: cells.map(|cells| cells.charge_limit_w(nothing, fleet_charge_w, 1.0)),
            stored: std::array::from_fn(|lane| banks[lane].usable_high.clamp(0.0, 1.0) * capacity[lane]),
            fleet_charge_w,
            missing: [[0.0; LANES]; 3],
            dark: [0.0; LANES],
            unused: [0.0; LANES],
            put_in: [0.0; LANES],
            removed: [0.0; LANES],
            lowest: [f64::INFINITY; LANES],
            empty: [0; LANES],
            cells,
        }
    }

    /// Sums begin anew; what is stored stays.
    fn begin(&mut self) {
        let none = [0.0; LANES];
        (self.missing, self.dark, self.unused, self.put_in, self.removed) =
            ([none; 3], none, none, none, none);
        (self.lowest, self.empty) = ([f64::INFINITY; LANES], [0; LANES]);
    }

    fn sums(&self, lane: usize) -> RowSums {
        RowSums {
            missing_wh: self.missing.map(|tier| tier[lane]),
            dark_h: self.dark[lane],
            unused_wh: self.unused[lane],
            stored_wh: self.put_in[lane],
            removed_wh: self.removed[lane],
            empty_h: self.empty[lane],
            lowest_state_of_charge: if self.capacity[lane] > 0.0 {
                self.lowest[lane] / self.capacity[lane]
            } else {
                0.0
            },
            end_wh: self.stored[lane],
        }
    }

    /// One hour of all lanes.
    #[inline]
    fn live(&mut self, row: &Row, hour: &RowHour) {
        let mut left = [0.0; LANES];
        for lane in 0..LANES {
            let start = self.stored[lane];
            let lost = start.max(0.0) * self.keeps[lane];
            let drawn = self.standby[lane].min(start - lost).max(0.0);
            left[lane] = start - lost - drawn;
        }
        if hour.demand <= hour.pv_bus {
            self.charge(row, hour, &left)
        } else {
            self.discharge(row, hour, &left)
        }
    }

    /// The sun covers the hour; what is left over charges.
    #[inline]
    fn charge(&mut self, row: &Row, hour: &RowHour, left: &Lane) {
        let spare = hour.pv_bus - hour.demand;
        let mut charge = [0.0; LANES];
        for lane in 0..LANES {
            charge[lane] = (self.high[lane] - left[lane]).max(0.0) / self.into[lane];
        }
        if self.linked {
            for lane in 0..LANES {
                let r = self.link[lane];
                let carried = charge[lane].min(0.25 / r);
                charge[lane] = 2.0 * carried / (1.0 + (1.0 - 4.0 * r * carried).max(0.0).sqrt());
            }
        }
        let mut most = self.takes_most;
        if hour.cold < 1.0 {
            for (lane, most) in most.iter_mut().enumerate() {
                let at = storage::Wells { at_hand: left[lane], bound: 0.0 };
                *most = self.cells[lane].charge_limit_w(at, self.fleet_charge_w, hour.cold);
            }
        }
        let mut least = spare;
        for lane in 0..LANES {
            let into = spare.min(charge[lane].min(most[lane]));
            let stored = (into - self.link[lane] * into * into) * self.into[lane];
            self.stored[lane] = left[lane] + stored;
            self.put_in[lane] += stored;
            charge[lane] = into;
            least = least.min(into);
        }
        if least < spare {
            for lane in 0..LANES {
                self.unused[lane] += unused(&row.pv, hour.demand + charge[lane], hour.pv_dc, hour.cable);
            }
        } else {
            self.unused.iter_mut().for_each(|sum| *sum += hour.unused_at_least);
        }
        if hour.sheds {
            for (lane, dark) in self.dark.iter_mut().enumerate() {
                for (sum, shed) in self.missing.iter_mut().zip(hour.shed) {
                    sum[lane] += shed;
                }
                *dark += f64::from(u8::from(hour.shed[0] > DARK_ABOVE_WH));
            }
        }
    }

    /// The bank gives what the sun does not, as long as it has it.
    #[inline]
    fn discharge(&mut self, row: &Row, hour: &RowHour, left: &Lane) {
        let need = hour.demand - hour.pv_bus;
        let mut gives = [0.0; LANES];
        for lane in 0..LANES {
            gives[lane] = (left[lane] - self.low[lane]).max(0.0) * self.out_of[lane];
        }
        if self.linked {
            for lane in 0..LANES {
                gives[lane] = 2.0 * gives[lane] / (1.0 + (1.0 + 4.0 * self.link[lane] * gives[lane]).sqrt());
            }
        }
        let mut scarcest = f64::INFINITY;
        for lane in 0..LANES {
            gives[lane] = gives[lane].min(self.gives_most[lane]);
            scarcest = scarcest.min(hour.pv_bus + gives[lane]);
        }
        if hour.demand > scarcest || hour.sheds {
            for lane in 0..LANES {
                self.short(row, hour, left[lane], gives[lane], lane);
            }
            return;
        }
        for lane in 0..LANES {
            let out = need.min(gives[lane]);
            let removed = (out + self.link[lane] * out * out) / self.out_of[lane];
            self.stored[lane] = left[lane] - removed;
            self.removed[lane] += removed;
            self.unused[lane] += hour.unused_at_least;
        }
    }

    /// An hour of one lane in which loads may go short.
    fn short(&mut self, row: &Row, hour: &RowHour, left: f64, gives: f64, lane: usize) {
        let available = hour.pv_bus + gives;
        let (out, drawn, served) = if hour.demand > available {
            let idle = row.curve.idle_w.min(available);
            let target = hour.allowed[0] + hour.allowed[1] + hour.allowed[2];
            let output = row.curve.output_for_above_idle(available - idle).min(target);
            let draw = idle + row.curve.above_idle(output);
            let drawn = hour.pv_bus.min(draw);
            ((draw - drawn).min(gives), drawn, in_order(hour.allowed, output))
        } else {
            ((hour.demand - hour.pv_bus).min(gives), hour.pv_bus, hour.allowed)
        };
        let removed = (out + self.link[lane] * out * out) / self.out_of[lane];
        // Rounding can leave a hair of sun over although the hour was short.
        let room = (self.high[lane] - left).max(0.0) / self.into[lane];
        let charge = (hour.pv_bus - drawn).min(room).min(self.takes_most[lane]) * hour.cold;
        self.stored[lane] = left - removed + charge * self.into[lane];
        self.put_in[lane] += charge * self.into[lane];
        self.removed[lane] += removed;
        self.unused[lane] += unused(&row.pv, drawn + charge, hour.pv_dc, hour.cable);
        let missing: [f64; 3] = std::array::from_fn(|tier| (hour.load[tier] - served[tier]).max(0.0));
        for (sum, missing) in self.missing.iter_mut().zip(missing) {
            sum[lane] += missing;
        }
        self.dark[lane] += f64::from(u8::from(missing[0] > DARK_ABOVE_WH));
    }

    /// What stands at the end of an hour.
    #[inline]
    fn note(&mut self) {
        for lane in 0..LANES {
            self.lowest[lane] = self.lowest[lane].min(self.stored[lane]);
            let empty =
                self.capacity[lane] > 0.0 && self.stored[lane] <= self.low[lane] + 1e-6 * self.capacity[lane];
            self.empty[lane] += u32::from(empty);
        }
    }
}
