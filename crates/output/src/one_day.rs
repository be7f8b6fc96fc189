//! One day of the middling year looked at hour by hour.

use crate::drawing::{Drawing, Form, Limit, Line, line_with_band};
use crate::say::{day, fixed, words};
use crate::table::{Align, Cell, Column, Row, Table, Tone};
use study::YearStudy;

/// An hour: mean powers in watts, charge at its end from 0 to 1.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Hour {
    asked: f64,
    offered: f64,
    into_battery: f64,
    out_of_battery: f64,
    backup: f64,
    missing: f64,
    charge: f64,
}

/// A day, from 0 for 1 January, with its hours in standard time.
#[derive(Clone, Debug, PartialEq)]
pub struct OneDay {
    /// Day of the year, from 0.
    pub day: usize,
    /// Charge at the day's begin, 0 to 1, where it is known.
    before: Option<f64>,
    hours: Vec<Hour>,
}

impl OneDay {
    /// A day of the middling year.
    ///
    /// # Errors
    /// Words for the person who asked: a day that the year does not have, or what the balance refuses.
    pub fn of(year: &YearStudy, day: usize) -> Result<OneDay, String> {
        let lived = year.trace(year.middling)?;
        let of_day = lived.get(day * 24..(day + 1) * 24).ok_or("the year has 365 days")?;
        let hours = of_day
            .iter()
            .map(|hour| Hour {
                asked: hour.flows.load_wh,
                offered: hour.flows.pv_offered_wh,
                into_battery: hour.charge_w,
                out_of_battery: hour.discharge_w,
                backup: hour.flows.backup_wh(),
                missing: hour.flows.missing_total_wh(),
                charge: hour.state_of_charge,
            })
            .collect();
        let before = (day * 24).checked_sub(1).and_then(|at| lived.get(at)).map(|hour| hour.state_of_charge);
        Ok(OneDay { day, before, hours })
    }

    /// What the day was, in a sentence.
    pub fn sentence(&self, backup_name: &str) -> String {
        let kwh = |of: &dyn Fn(&Hour) -> f64| self.hours.iter().map(of).sum::<f64>() / 1000.0;
        let charge = || self.hours.iter().map(|hour| hour.charge * 100.0);
        let (low, high) = (charge().fold(f64::INFINITY, f64::min), charge().fold(0.0, f64::max));
        let mut said = format!(
            "{}: {} kWh asked, {} kWh offered by the modules, charge between {} and {} %",
            day(self.day),
            fixed(kwh(&|hour| hour.asked), 1),
            fixed(kwh(&|hour| hour.offered), 1),
            fixed(low, 0),
            fixed(high, 0)
        );
        let helped = kwh(&|hour| hour.backup);
        if helped >= 0.05 {
            said.push_str(&format!(", {} kWh from {backup_name}", fixed(helped, 1)));
        }
        let missing = kwh(&|hour| hour.missing);
        if missing >= 0.05 {
            said.push_str(&format!(", {} kWh missing", fixed(missing, 1)));
        }
        said.push('.');
        said
    }

    /// Charge over the day, in percent, with the limits given.
    pub fn charge(&self, limits: &[Limit], form: Form) -> Drawing {
        let begin = self.before.map(|share| (0.0, share * 100.0));
        let ends = self.hours.iter().zip(1..).map(|(hour, at)| (f64::from(at), hour.charge * 100.0));
        let line = Line {
            name: "charge".into(),
            class: "curve-battery",
            points: begin.into_iter().chain(ends).collect(),
            marked: Vec::new(),
        };
        line_with_band(&[line], None, limits, "hour of the day", "charge, %", form)
    }

    /// What was asked, offered and drawn from the battery, as mean power of each hour.
    pub fn power(&self, form: Form) -> Drawing {
        let line = |name: &str, class, of: &dyn Fn(&Hour) -> f64| Line {
            name: name.into(),
            class,
            // A mean stands over its whole hour.
            points: self
                .hours
                .iter()
                .zip(0..)
                .flat_map(|(hour, at)| {
                    [(f64::from(at), of(hour) / 1000.0), (f64::from(at) + 1.0, of(hour) / 1000.0)]
                })
                .collect(),
            marked: Vec::new(),
        };
        let lines = [
            line("offered by the modules", "curve-sun", &|hour| hour.offered),
            line("out of the battery", "curve-battery", &|hour| hour.out_of_battery),
            line("asked", "curve", &|hour| hour.asked),
        ];
        line_with_band(&lines, None, &[], "hour of the day", "kW", form)
    }

    /// The same as numbers.
    pub fn table(&self) -> Table {
        let column =
            |head: &str, unit: &str| Column { head: head.into(), unit: unit.into(), align: Align::Right };
        let rows = self
            .hours
            .iter()
            .enumerate()
            .map(|(at, hour)| {
                let watts = |value: f64, tone| {
                    let text = fixed(value, 0);
                    let tone = if text == "0" { Tone::Plain } else { tone };
                    Cell { text, figure: None, tone }
                };
                let cells = vec![
                    words(format!("{at}–{}", at + 1)),
                    watts(hour.asked, Tone::Plain),
                    watts(hour.offered, Tone::Plain),
                    watts(hour.into_battery, Tone::Plain),
                    watts(hour.out_of_battery, Tone::Plain),
                    watts(hour.backup, Tone::Backup),
                    watts(hour.missing, Tone::Danger),
                    words(fixed(hour.charge * 100.0, 0)),
                ];
                Row { cells, total: false }
            })
            .collect();
        Table {
            columns: vec![
                Column { head: "hour".into(), unit: "h".into(), align: Align::Left },
                column("asked", "W"),
                column("offered", "W"),
                column("into battery", "W"),
                column("out of battery", "W"),
                column("backup", "W"),
                column("missing", "W"),
                column("charge", "%"),
            ],
            rows,
            note: "Mean power of each hour of standard time; the charge stands at its end.".into(),
            ..Table::default()
        }
    }
}
