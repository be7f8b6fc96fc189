//! Houses side by side: many banks behind one array, one household and one fleet of converters, through one year at the same
//! time, with everything the reference models.
//!
//! In most hours of a year nothing acts but sun and bank: these are lived by all houses at once, with what the hour brings to
//! the bus and asks of it worked out once. A house whose hour is anything else, because utility or generator is called or
//! running, the bank gives out, loads are given up, or cells are cold or heated, lives that hour by the reference itself
//! ([`House::live`]). So there is no second model of any of it.

use super::Outside;
use super::row::{LANES, Lane, RowHour, row_hours, unused};
use crate::balance::DECEMBER;
use crate::cells::Cells;
use crate::hour::DARK_ABOVE_WH;
use crate::years::YearInShort;
use crate::{Chemistry, Given, HOURS, Hour, House, Inputs, State, Supply, System, YearInput};
use conversion::LossCurve;
use loads::MONTH_DAYS;
use storage::Wells;

/// States of charge nearer than this to a threshold may have reached it, and the reference decides.
const NEAR: f64 = 1e-8;
/// Cells may be so much colder than the coldest air by rounding, K.
const ROUNDING_K: f64 = 1e-6;

/// One array, one household and one fleet through one year, for houses that differ in their banks alone.
pub struct SideBySide<'a> {
    hours: Vec<RowHour>,
    year: &'a YearInput<'a>,
    pattern: Inputs,
    pv: LossCurve,
    /// Coldest air of the year, °C.
    coldest_c: f64,
}

/// A year of a house, and the state in which an hour of it begins.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Passed {
    /// The year.
    pub short: YearInShort,
    /// At the beginning of the hour asked for.
    pub at: Option<State>,
    /// Hours of December and the year that the reference lived for it.
    pub by_reference_h: u32,
}

impl<'a> SideBySide<'a> {
    /// Houses like this one, whatever the size of their banks.
    ///
    /// # Errors
    /// [`Outside`] for a house that is always joined to the utility, has modules that do not reach the bus through the units'
    /// own inputs, a room of its own temperature, or a bank of two wells; [`Outside::Problem`] of its inputs.
    pub fn of(inputs: &Inputs, year: &'a YearInput<'a>) -> Result<SideBySide<'a>, Outside> {
        let house = House::of(inputs).map_err(Outside::Problem)?;
        year.check(inputs).map_err(Outside::Problem)?;
        if matches!(inputs.system, System::Interactive { .. }) {
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
        if inputs.room.is_some() {
            return Err(Outside::Warmth);
        }
        if inputs.bank.chemistry != Chemistry::Linear {
            return Err(Outside::Kinetic);
        }
        let air = (0..HOURS).map(|hour| Given::at(year, hour).air_c);
        Ok(SideBySide {
            hours: row_hours(&house, inputs, year),
            pv: house.pv,
            coldest_c: air.fold(f64::INFINITY, f64::min),
            pattern: *inputs,
            year,
        })
    }

    /// The year of each house, begun [`crate::Start::AfterDecember`]; `at` asks for the state in which that hour begins.
    ///
    /// # Errors
    /// [`Outside::Other`] for a house that differs in more than its bank, and what [`SideBySide::of`] refuses.
    pub fn run(&self, houses: &[Inputs], at: Option<usize>) -> Result<Vec<Passed>, Outside> {
        for inputs in houses {
            inputs.check().map_err(Outside::Problem)?;
            if inputs.bank.chemistry != Chemistry::Linear {
                return Err(Outside::Kinetic);
            }
            if inputs.with_bank(self.pattern.bank) != self.pattern {
                return Err(Outside::Other);
            }
        }
        let mut all = Vec::with_capacity(houses.len());
        for chunk in houses.chunks(LANES) {
            // Lanes without a house of their own repeat the last one and are left out.
            let of = |lane: usize| House::of(&chunk[lane.min(chunk.len() - 1)]).map_err(Outside::Problem);
            let mut lived = Vec::with_capacity(LANES);
            for lane in 0..LANES {
                lived.push(of(lane)?);
            }
            let Ok(houses) = <[House; LANES]>::try_from(lived) else { continue };
            all.extend_from_slice(&self.pass(houses, at)[..chunk.len()]);
        }
        Ok(all)
    }

    fn pass(&self, houses: [House; LANES], at: Option<usize>) -> [Passed; LANES] {
        let mut lanes = Lanes::of(houses, self);
        for hour in DECEMBER..HOURS {
            lanes.live(self, hour);
        }
        (lanes.month, lanes.year) = (Sums::default(), Sums::default());
        lanes.fuel_l = [0.0; LANES];
        let mut states = [None; LANES];
        let mut hour = 0;
        // Months are added up as the reference adds them, so that not a bit of a sum differs for its order.
        for days in MONTH_DAYS {
            for _ in 0..days * 24 {
                if at == Some(hour) {
                    states = std::array::from_fn(|lane| Some(lanes.state(lane)));
                }
                lanes.live(self, hour);
                hour += 1;
            }
            lanes.year.add(&lanes.month);
            lanes.month = Sums::default();
        }
        std::array::from_fn(|lane| Passed {
            short: lanes.sums(lane),
            at: states[lane],
            by_reference_h: lanes.by_reference_h[lane],
        })
    }
}

/// Sums of all lanes, Wh and hours.
#[derive(Clone, Copy, Default)]
struct Sums {
    missing: [Lane; 3],
    dark: Lane,
    unused: Lane,
    backup_h: Lane,
    /// To loads, to the bank, to the idle draw.
    backup: [Lane; 3],
}

impl Sums {
    fn add(&mut self, other: &Sums) {
        let add = |sum: &mut Lane, part: &Lane| sum.iter_mut().zip(part).for_each(|(sum, part)| *sum += part);
        add(&mut self.dark, &other.dark);
        add(&mut self.unused, &other.unused);
        add(&mut self.backup_h, &other.backup_h);
        for way in 0..3 {
            add(&mut self.missing[way], &other.missing[way]);
            add(&mut self.backup[way], &other.backup[way]);
        }
    }
}

/// Houses side by side: one array for each quantity, so that a step is the same few operations on all of them.
struct Lanes {
    houses: [House; LANES],
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
    /// Stored energy from which a charge limit falls below [`Self::takes_most`] within the hour.
    tapers_from: Lane,
    fleet_charge_w: f64,
    /// State of charge at or below which an hour is not of sun and bank alone.
    above: Lane,
    /// Whether the temperature of the cells matters in any hour.
    warmth: bool,
    stored: Lane,
    cell_c: Lane,
    supply: [Supply; LANES],
    given_up: [[bool; 2]; LANES],
    month: Sums,
    year: Sums,
    fuel_l: Lane,
    by_reference_h: [u32; LANES],
}

// One index into many arrays of lanes: an iterator over one of them would hide that all take the same step.
#[allow(clippy::needless_range_loop)]
impl Lanes {
    fn of(houses: [House; LANES], row: &SideBySide<'_>) -> Lanes {
        let fleet = row.pattern.fleet;
        let banks = houses.map(|house| house.inputs.bank);
        let cells = houses.map(|house| house.cells);
        let windows = banks.map(|bank| storage::window(bank.capacity_wh, bank.usable_low, bank.usable_high));
        let nothing = Wells { at_hand: 0.0, bound: 0.0 };
        let charge_limit_w = fleet.charge_limit_w + fleet.controller_limit_w;
        let begun: [State; LANES] = houses.map(|house| {
            house.at_rest_in(house.inputs.bank.usable_high, Given::at(row.year, DECEMBER).air_c)
        });
        let shed = row.pattern.shed_below;
        let above = houses.map(|house| {
            let called = house.backup.map_or(f64::NEG_INFINITY, |backup| backup.start_below);
            let sheds = shed.want.max(shed.luxury);
            called.max(if sheds > 0.0 { sheds } else { f64::NEG_INFINITY }) + NEAR
        });
        let matters = |bank: &crate::Bank| {
            let heated = bank.thermal.filter(|thermal| thermal.heater_w > 0.0).map(|t| t.heater_holds_c);
            [bank.charge_above_c, bank.full_charge_from_c, heated]
                .into_iter()
                .flatten()
                .any(|limit| row.coldest_c <= limit + ROUNDING_K)
        };
        Lanes {
            capacity: banks.map(|bank| bank.capacity_wh),
            low: windows.map(|(low, _)| low),
            high: windows.map(|(_, high)| high),
            keeps: banks.map(|bank| bank.self_discharge_per_h),
            standby: banks.map(|bank| bank.standby_w),
            into: banks.map(|bank| bank.charge_efficiency),
            out_of: banks.map(|bank| bank.discharge_efficiency),
            link: banks.map(|bank| bank.link_loss_per_w),
            linked: banks.iter().any(|bank| bank.link_loss_per_w > 0.0),
            gives_most: cells.map(|cells| cells.discharge_limit_w),
            // Without a taper the limit is the same at any charge; one is followed where the cells are near it.
            takes_most: cells.map(|cells| {
                let below = Wells { at_hand: f64::MIN, ..nothing };
                cells.charge_limit_w(below, charge_limit_w, 1.0).min(fleet.charge_limit_w)
            }),
            tapers_from: banks.map(|bank| {
                let from = bank.taper_from * bank.capacity_wh;
                if bank.taper_from < bank.usable_high {
                    from - bank.charge_w * bank.charge_efficiency
                } else {
                    f64::INFINITY
                }
            }),
            fleet_charge_w: charge_limit_w,
            above,
            warmth: banks.iter().any(matters),
            stored: begun.map(|state| state.wells.at_hand),
            cell_c: begun.map(|state| state.cell_c),
            supply: [Supply::Own; LANES],
            given_up: [[false; 2]; LANES],
            month: Sums::default(),
            year: Sums::default(),
            fuel_l: [0.0; LANES],
            by_reference_h: [0; LANES],
            houses,
            cells,
        }
    }
    fn state(&self, lane: usize) -> State {
        State {
            wells: Wells { at_hand: self.stored[lane], bound: 0.0 },
            supply: self.supply[lane],
            given_up: self.given_up[lane],
            cell_c: self.cell_c[lane],
            // Follows the air of the hour, because the room is not computed.
            room_c: 0.0,
        }
    }

    fn sums(&self, lane: usize) -> YearInShort {
        let [to_load, to_bank, to_idle] = self.year.backup.map(|way| way[lane]);
        YearInShort {
            backup_h: self.year.backup_h[lane],
            backup_wh: to_load + to_bank + to_idle,
            dark_h: self.year.dark[lane],
            missing_wh: self.year.missing.map(|tier| tier[lane]),
            unused_wh: self.year.unused[lane],
            fuel_l: self.fuel_l[lane],
        }
    }

    /// One hour of all lanes.
    #[inline]
    fn live(&mut self, row: &SideBySide<'_>, hour_of_year: usize) {
        let hour = &row.hours[hour_of_year];
        let before = self.stored;
        let mut left = [0.0; LANES];
        let mut lost = [0.0; LANES];
        for lane in 0..LANES {
            let start = before[lane];
            let gone = start.max(0.0) * self.keeps[lane];
            let drawn = self.standby[lane].min(start - gone).max(0.0);
            left[lane] = start - gone - drawn;
            lost[lane] = gone + drawn;
        }
        let mut plain = [true; LANES];
        for lane in 0..LANES {
            // A house without a bank has a state of charge of nothing.
            let charge = if self.capacity[lane] > 0.0 { before[lane] / self.capacity[lane] } else { 0.0 };
            plain[lane] = charge > self.above[lane];
        }
        for lane in 0..LANES {
            plain[lane] &= self.supply[lane] == Supply::Own && self.given_up[lane] == [false; 2];
        }
        if self.warmth {
            let air_c = Given::at(row.year, hour_of_year).air_c;
            for lane in 0..LANES {
                plain[lane] &= self.is_warm(lane, air_c);
            }
        }
        let charging = hour.demand <= hour.pv_bus;
        let mut moved = [0.0; LANES];
        let mut heat = lost;
        let mut unused_now = [hour.unused_at_least; LANES];
        if charging {
            self.charge(row, hour, &left, &mut moved, &mut heat, &mut unused_now);
        } else {
            self.discharge(hour, &left, &mut moved, &mut heat, &mut plain);
        }
        if plain == [true; LANES] {
            for lane in 0..LANES {
                self.stored[lane] = left[lane] + moved[lane];
                self.month.unused[lane] += unused_now[lane];
            }
        } else {
            for lane in 0..LANES {
                if plain[lane] {
                    self.stored[lane] = left[lane] + moved[lane];
                    self.month.unused[lane] += unused_now[lane];
                }
            }
        }
        if hour.sheds {
            for lane in 0..LANES {
                let counts = f64::from(u8::from(plain[lane]));
                for (sum, shed) in self.month.missing.iter_mut().zip(hour.shed) {
                    sum[lane] += shed * counts;
                }
                self.month.dark[lane] += counts * f64::from(u8::from(hour.shed[0] > DARK_ABOVE_WH));
            }
        }
        if self.warmth {
            self.warm(row, hour_of_year, &heat, &plain);
        }
        if plain != [true; LANES] {
            let given = Given::at(row.year, hour_of_year);
            for lane in 0..LANES {
                if !plain[lane] {
                    self.by_reference(lane, before[lane], &given);
                }
            }
        }
    }

    /// Whether neither cold nor a heater acts on the cells of a lane in an hour with this air.
    fn is_warm(&self, lane: usize, air_c: f64) -> bool {
        let house = &self.houses[lane];
        let cell_c = if house.cabinet.is_some() { self.cell_c[lane] } else { air_c };
        let heated = match (&house.inputs.bank.thermal, &house.cabinet) {
            (Some(thermal), Some(cabinet)) if thermal.heater_w > 0.0 => {
                cabinet.heat_for(thermal.heater_holds_c, cell_c, air_c) > 0.0
            }
            _ => false,
        };
        !heated && self.cells[lane].share_when_cold(cell_c) >= 1.0
    }

    /// Cells after an hour of sun and bank alone.
    fn warm(&mut self, row: &SideBySide<'_>, hour_of_year: usize, heat: &Lane, plain: &[bool; LANES]) {
        let air_c = Given::at(row.year, hour_of_year).air_c;
        for lane in 0..LANES {
            if plain[lane] {
                self.cell_c[lane] = match &self.houses[lane].cabinet {
                    Some(cabinet) => cabinet.after(self.cell_c[lane], air_c, heat[lane]),
                    None => air_c,
                };
            }
        }
    }

    /// The sun covers the hour; what is left over charges.
    #[inline]
    fn charge(
        &mut self,
        row: &SideBySide<'_>,
        hour: &RowHour,
        left: &Lane,
        moved: &mut Lane,
        heat: &mut Lane,
        unused_now: &mut Lane,
    ) {
        let spare = hour.pv_bus - hour.demand;
        let mut takes = [0.0; LANES];
        for lane in 0..LANES {
            takes[lane] = (self.high[lane] - left[lane]).max(0.0) / self.into[lane];
        }
        if self.linked {
            for lane in 0..LANES {
                let r = self.link[lane];
                let carried = takes[lane].min(0.25 / r);
                let through = 2.0 * carried / (1.0 + (1.0 - 4.0 * r * carried).max(0.0).sqrt());
                takes[lane] = if r > 0.0 { through } else { takes[lane] };
            }
        }
        for lane in 0..LANES {
            takes[lane] = takes[lane].min(self.takes_most[lane]);
        }
        for lane in 0..LANES {
            if left[lane] > self.tapers_from[lane] {
                let wells = Wells { at_hand: left[lane], bound: 0.0 };
                takes[lane] =
                    takes[lane].min(self.cells[lane].charge_limit_w(wells, self.fleet_charge_w, 1.0));
            }
        }
        let mut least = spare;
        for lane in 0..LANES {
            let bus = spare.min(takes[lane]);
            let at_cells = bus - self.link[lane] * bus * bus;
            takes[lane] = bus;
            moved[lane] = at_cells * self.into[lane];
            heat[lane] += at_cells * (1.0 - self.into[lane]);
            least = least.min(bus);
        }
        if least < spare {
            for lane in 0..LANES {
                unused_now[lane] = unused(&row.pv, hour.demand + takes[lane], hour.pv_dc, hour.cable);
            }
        }
    }

    /// The bank gives what the sun does not; where it cannot, the hour is not plain.
    #[inline]
    fn discharge(
        &mut self,
        hour: &RowHour,
        left: &Lane,
        moved: &mut Lane,
        heat: &mut Lane,
        plain: &mut [bool; LANES],
    ) {
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
        for lane in 0..LANES {
            gives[lane] = gives[lane].min(self.gives_most[lane]);
            plain[lane] &= hour.demand <= hour.pv_bus + gives[lane];
            let out = need.min(gives[lane]);
            let removed = (out + self.link[lane] * out * out) / self.out_of[lane];
            moved[lane] = -removed;
            heat[lane] += removed * (1.0 - self.out_of[lane]);
        }
    }

    /// An hour of one lane as the reference lives it.
    fn by_reference(&mut self, lane: usize, stored: f64, given: &Given) {
        let mut state = State { wells: Wells { at_hand: stored, bound: 0.0 }, ..self.state(lane) };
        let mut hour = Hour::default();
        self.houses[lane].live(&mut state, given, &mut hour);
        self.stored[lane] = state.wells.at_hand;
        self.supply[lane] = state.supply;
        self.given_up[lane] = state.given_up;
        self.cell_c[lane] = state.cell_c;
        let flows = &hour.flows;
        let sums = &mut self.month;
        for (sum, missing) in sums.missing.iter_mut().zip(flows.missing_wh) {
            sum[lane] += missing;
        }
        let backup = [flows.backup_to_load_wh, flows.backup_to_bank_wh, flows.backup_to_idle_wh];
        for (sum, part) in sums.backup.iter_mut().zip(backup) {
            sum[lane] += part;
        }
        sums.dark[lane] += flows.dark_h;
        sums.unused[lane] += flows.unused_wh;
        sums.backup_h[lane] += flows.backup_h;
        self.fuel_l[lane] += hour.fuel_l;
        self.by_reference_h[lane] += 1;
    }
}
