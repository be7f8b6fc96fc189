//! Each kind of module as the curve through its data sheet, and how far curve and sheet are apart.

use crate::light::fitted;
use crate::uses::Unanswered;
use array::data_sheet_fit::Held;
use array::facts::Module;
use design::system::System;
use quantity::{Clause, Current, Measure, Number, PerKelvin, Ratio, Resistance, Standing, Term, Traced};
use std::sync::Arc;

/// One kind of module.
#[derive(Clone, Debug)]
pub struct ModuleStudy {
    /// Its name.
    pub name: Arc<str>,
    /// The curve; why there is none.
    pub curve: Result<CurveStudy, Unanswered>,
}

/// The five parameters and what they make of the sheet.
#[derive(Clone, Debug)]
pub struct CurveStudy {
    /// Light current.
    pub light: Traced<Current>,
    /// Resistance in series.
    pub series: Traced<Resistance>,
    /// Resistance across; `None` where the sheet asks for none.
    pub shunt: Option<Traced<Resistance>>,
    /// Ideality of one cell.
    pub ideality: Traced<Number>,
    /// The largest difference of the curve from the four values of the sheet at short circuit, open circuit and maximum power, as
    /// a share of the value.
    pub apart: Traced<Ratio>,
    /// Change of the open-circuit voltage by the curve, from 25 to 35 °C.
    pub voltage_change: Traced<PerKelvin>,
    /// What the sheet states.
    pub voltage_stated: PerKelvin,
    /// Change of the maximum power by the curve, from 25 to 50 °C.
    pub power_change: Traced<PerKelvin>,
    /// What the sheet states, where it does.
    pub power_stated: Option<PerKelvin>,
    /// What the sheet asks for and no cell has, in words.
    pub held: Option<&'static str>,
}

const CURVE: Clause = Clause {
    document: "De Soto, Klein & Beckman, Solar Energy 80",
    edition: "2006",
    clause: "78–88, five parameters",
    standing: Standing::Remembered,
};

pub(crate) fn modules(system: &System) -> Vec<ModuleStudy> {
    let used = |module: &&Module| system.strings.iter().any(|string| string.string.module == module.name);
    system
        .modules
        .iter()
        .filter(used)
        .map(|module| ModuleStudy { name: module.name.clone(), curve: curve(module) })
        .collect()
}

fn curve(module: &Module) -> Result<CurveStudy, Unanswered> {
    let (made, terms, _) = fitted(module)?;
    let (voc, isc) = (number(module.voc.si()), number(module.isc.si()));
    let (vmp, imp) = (number(module.vmp.si()), number(module.imp.si()));
    let away = &made.residuals;
    let shares = [away.voc_v / voc, away.isc_a / isc, away.vmp_v / vmp, away.imp_a / imp];
    let apart = shares.into_iter().map(f64::abs).fold(0.0, f64::max);
    let stated_beta = number(module.voc_change.si());
    let told = Told { terms };
    let shunt = made.module.shunt_siemens;
    Ok(CurveStudy {
        light: told.traced(made.module.light_current_a, "light current of the curve through the sheet"),
        series: told.traced(made.module.series_ohm, "resistance in series of the curve"),
        shunt: (shunt > 0.0).then(|| told.traced(1.0 / shunt, "resistance across the curve")),
        ideality: told.traced(made.ideality, "ideality of one cell of the curve"),
        apart: told.traced(apart, "largest difference of curve and sheet at their four common values"),
        voltage_change: told.traced(
            stated_beta + away.beta_voc_v_per_k / voc,
            "change of the open-circuit voltage by the curve, 25 to 35 °C",
        ),
        voltage_stated: PerKelvin::from_si(stated_beta),
        power_change: told
            .traced(made.implied_gamma_per_k, "change of the maximum power by the curve, 25 to 50 °C"),
        power_stated: module.power_change.si().map(PerKelvin::from_si),
        held: match made.held {
            Held::Nothing => None,
            Held::SeriesAtZero => Some("the sheet asks for less than no resistance in series"),
            Held::ShuntAtNone => Some("the sheet asks for a source across the cells"),
        },
    })
}

/// A value that the fit has taken already.
fn number(value: Option<f64>) -> f64 {
    value.unwrap_or(f64::NAN)
}

struct Told {
    terms: Vec<Term>,
}

impl Told {
    fn traced<T: Measure>(&self, si: f64, says: &str) -> Traced<T> {
        Traced::series(T::from_si(si), says, CURVE, self.terms.clone())
    }
}
