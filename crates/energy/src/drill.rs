//! Drill: utility and generator are gone for some days, beginning in a given hour.

use crate::balance::first_state;
use crate::{Given, HOURS, House, Inputs, Problem, Start, State, YearInput};

/// How the house came through.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drill {
    /// First hour, of the year.
    pub from_hour: usize,
    /// Length, days.
    pub days: usize,
    /// State of charge at the beginning.
    pub start_state_of_charge: f64,
    /// State of charge at the end.
    pub end_state_of_charge: f64,
    /// Lowest state of charge at the end of an hour.
    pub lowest_state_of_charge: f64,
    /// Hours in which a must-load is missing.
    pub dark_h: f64,
    /// Hours after the beginning until the first of them; `None` when the must-loads are carried throughout.
    pub first_dark_after_h: Option<usize>,
    /// Load not served: must, want, luxury, Wh.
    pub missing_wh: [f64; 3],
    /// Load wanted, Wh.
    pub load_wh: f64,
}

/// The drill from the very state the year run (begun [`Start::AfterDecember`]) has at that hour. What was held back is
/// used; days beyond the end of the year go on in its January.
///
/// # Errors
/// [`Problem`] of inputs, year or hour.
pub fn drill(inputs: &Inputs, year: &YearInput, from_hour: usize, days: usize) -> Result<Drill, Problem> {
    let house = checked(inputs, year, from_hour)?;
    let first = first_state(&house, inputs, year, Start::AfterDecember);
    let state = (0..from_hour).fold(first, |state, hour| house.hour(&state, &Given::at(year, hour)).1);
    drill_from(inputs, year, state, from_hour, days)
}

/// The same with nothing in the bank but the share held back (or the lowest state of daily use, if higher).
///
/// # Errors
/// [`Problem`] of inputs, year or hour.
pub fn drill_from_held_back(
    inputs: &Inputs,
    year: &YearInput,
    from_hour: usize,
    days: usize,
) -> Result<Drill, Problem> {
    let house = checked(inputs, year, from_hour)?;
    let air_c = Given::at(year, from_hour).air_c;
    let state = house.at_rest_in(inputs.held_back.max(inputs.bank.usable_low), air_c);
    drill_from(inputs, year, state, from_hour, days)
}

/// The drill from a given state.
///
/// # Errors
/// [`Problem`] of inputs, year or hour.
pub fn drill_from(
    inputs: &Inputs,
    year: &YearInput,
    state: State,
    from_hour: usize,
    days: usize,
) -> Result<Drill, Problem> {
    let house = checked(&inputs.on_its_own(), year, from_hour)?;
    let mut state = state;
    let start = house.state_of_charge(&state);
    let mut drill = Drill {
        from_hour,
        days,
        start_state_of_charge: start,
        end_state_of_charge: start,
        lowest_state_of_charge: start,
        dark_h: 0.0,
        first_dark_after_h: None,
        missing_wh: [0.0; 3],
        load_wh: 0.0,
    };
    for after in 0..days * 24 {
        let (hour, next) = house.hour(&state, &Given::at(year, (from_hour + after) % HOURS));
        state = next;
        if hour.flows.dark_h > 0.0 && drill.first_dark_after_h.is_none() {
            drill.first_dark_after_h = Some(after);
        }
        drill.dark_h += hour.flows.dark_h;
        drill.load_wh += hour.flows.load_wh;
        for (sum, missing) in drill.missing_wh.iter_mut().zip(hour.flows.missing_wh) {
            *sum += missing;
        }
        drill.lowest_state_of_charge = drill.lowest_state_of_charge.min(hour.state_of_charge);
        drill.end_state_of_charge = hour.state_of_charge;
    }
    Ok(drill)
}

fn checked(inputs: &Inputs, year: &YearInput, from_hour: usize) -> Result<House, Problem> {
    let house = House::of(inputs)?;
    year.check(inputs)?;
    if from_hour < HOURS { Ok(house) } else { Err(Problem::NoSuchHour { hour: from_hour }) }
}
