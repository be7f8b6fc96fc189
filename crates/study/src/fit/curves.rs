//! How well the loss curve of each inverter meets the efficiencies of its data sheet.

use conversion::LossCurve;
use design::system::System;
use quantity::{Clause, Measure, Power, Ratio, Standing, Term, Traced, units};
use std::sync::Arc;

/// The point of a data sheet that the curve of an inverter misses most.
#[derive(Clone, Debug)]
pub struct CurveMiss {
    /// The inverter part.
    pub inverter: Arc<str>,
    /// Share of the rated output at which it is stated.
    pub share: f64,
    /// Efficiency stated there.
    pub stated: Traced<Ratio>,
    /// Efficiency the year reckons with there.
    pub reckoned: Traced<Ratio>,
    /// Idle draw the curve begins with.
    pub idle: Traced<Power>,
    /// Whether the stated efficiency leaves less to be lost than the idle draw.
    pub loses_less_than_idle: bool,
}

const CURVE: Clause = Clause {
    document: "Schmidt & Sauer, Sonnenenergie 4/1996",
    edition: "",
    clause: "idle draw, a loss with power and one with its square, least squares of the efficiency, at no point better than stated",
    standing: Standing::Remembered,
};

/// One for each inverter part in place that states efficiencies at shares of its output, in the order of the design.
pub fn curve_misses(system: &System) -> Vec<CurveMiss> {
    let mut seen: Vec<&str> = Vec::new();
    let mut all = Vec::new();
    for part in system.units_in_place.iter().filter_map(|unit| system.inverter_of(unit)) {
        if seen.contains(&&*part.name) {
            continue;
        }
        seen.push(&part.name);
        let (Some(points), Some(output), Some(idle)) =
            (part.efficiency.known(), part.output.known(), part.idle.known())
        else {
            continue;
        };
        let Ok(fit) = LossCurve::fit(&points.value, output.si(), idle.si()) else { continue };
        let highest = part.peak_efficiency.as_ref().and_then(|peak| peak.known());
        let curve = highest.map_or(fit.curve, |peak| fit.curve.held_to(peak.si(), output.si()));
        let reckoned = |share: f64| curve.efficiency(share * output.si());
        let miss = |point: &&(f64, f64)| (reckoned(point.0) - point.1).abs();
        let Some(&(share, stated)) = points.value.iter().max_by(|a, b| miss(a).total_cmp(&miss(b))) else {
            continue;
        };
        let loses_less_than_idle = share * output.si() * (1.0 / stated - 1.0) < idle.si();
        let stated = points.with(Ratio::from_si(stated));
        let mut terms: Vec<Term> = vec![
            stated.term("stated there", &units::PERCENT),
            output.term("rated output", &units::WATT),
            idle.term("idle draw", &units::WATT),
        ];
        terms.extend(highest.map(|peak| peak.term("highest efficiency", &units::PERCENT)));
        let value = Ratio::from_si(reckoned(share));
        all.push(CurveMiss {
            inverter: part.name.clone(),
            share,
            stated,
            reckoned: Traced::series(value, "efficiency of the loss curve at this output", CURVE, terms),
            idle: idle.clone(),
            loses_less_than_idle,
        });
    }
    all
}
