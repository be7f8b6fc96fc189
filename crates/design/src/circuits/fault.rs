//! Current a short can draw on a circuit of alternating current.

use super::{Build, UTILITY};
use crate::system::{Panel, Unit};
use conversion::Generator;
use quantity::{Current, Fact, Gap, Measure, Voltage, WhoKnows, sum, units};
use std::sync::Arc;
use wiring::{AcFault, FaultSource};

impl Build<'_> {
    /// Sources of a short on the circuit between two things. What else feeds the panel it leads to reaches the short
    /// from there. No length of conductor is credited, so what is available is never lower than what is known.
    pub(super) fn fault(&self, source: &Arc<str>, to: &Arc<str>) -> AcFault {
        let mut sources = Vec::new();
        let mut passed = vec![to.clone()];
        match self.system.panel(to) {
            Some(panel) => self.on_panel(panel, &mut passed, &mut sources),
            None => self.behind(source, &mut Vec::new(), &mut sources),
        }
        let first = sources.iter().map(|source| (source.name.clone(), source.first.clone())).collect();
        AcFault { available: all_of(first), sources }
    }

    /// Sources behind a supply, each once. Of those behind a transfer device only one feeds at a time; their sum is on
    /// the side of caution.
    fn behind(&self, source: &Arc<str>, passed: &mut Vec<Arc<str>>, found: &mut Vec<FaultSource>) {
        let system = self.system;
        // A ring of panels adds nothing the second time.
        if passed.contains(source) {
            return;
        }
        passed.push(source.clone());
        if &**source == UTILITY {
            let current = system.utility.fault_current.clone();
            found.push(FaultSource {
                name: source.clone(),
                first: current.clone(),
                lasting: current,
                ends_itself: None,
                gone_within: None,
            });
        } else if let Some(unit) = system.unit(source) {
            if found.iter().any(|known| known.name == unit.name) {
                return;
            }
            found.push(self.of_unit(unit));
            // While it passes its input through, both feed the short.
            if !unit.ac_input.is_empty() {
                self.behind(&unit.ac_input, passed, found);
            }
        } else if let Some(panel) = system.panel(source) {
            self.on_panel(panel, passed, found);
        } else if let Some(device) = system.transfer(source) {
            device.transfer.from.iter().for_each(|from| self.behind(from, passed, found));
        } else {
            let part = system.engine(source).and_then(|engine| system.generator(&engine.generator));
            found.push(of_generator(source, part));
        }
    }

    /// What feeds a panel, and units that may feed it by their inputs.
    fn on_panel(&self, panel: &Panel, passed: &mut Vec<Arc<str>>, found: &mut Vec<FaultSource>) {
        panel.fed_by.iter().for_each(|from| self.behind(from, passed, found));
        for unit in self.system.units_in_place.iter().filter(|unit| unit.ac_input == panel.name) {
            let feeds = self
                .system
                .inverter_of(unit)
                .is_some_and(|inverter| inverter.interactive.value() != Some(&false));
            if feeds && !found.iter().any(|source| source.name == unit.name) {
                found.push(self.of_unit(unit));
            }
        }
    }

    fn of_unit(&self, unit: &Unit) -> FaultSource {
        let (current, ends, gone) = match self.system.inverter_of(unit) {
            Some(inverter) => (
                inverter.fault_current.clone(),
                inverter.ends_short.clone(),
                inverter.voltage_gone_within.clone(),
            ),
            None => {
                let path = format!("unit.{}", unit.name);
                (
                    Fact::unknown(path.clone(), WhoKnows::Maker),
                    Fact::unknown(path.clone(), WhoKnows::Maker),
                    Fact::unknown(path, WhoKnows::Maker),
                )
            }
        };
        FaultSource {
            name: unit.name.clone(),
            first: current.clone(),
            lasting: current,
            ends_itself: Some(ends),
            gone_within: Some(gone),
        }
    }
}

/// A generator feeds what its maker says, else what its subtransient reactance lets through; how much of it lasts its
/// excitation decides, which only the maker knows.
pub(super) fn of_generator(engine: &Arc<str>, part: Option<&Generator>) -> FaultSource {
    let Some(part) = part else {
        let missing = || Fact::unknown(format!("engine.{engine}"), WhoKnows::Maker);
        return FaultSource {
            name: engine.clone(),
            first: missing(),
            lasting: missing(),
            ends_itself: Some(Fact::unknown(format!("engine.{engine}"), WhoKnows::Maker)),
            gone_within: None,
        };
    };
    let volts = part.volts.and_then(|v| Fact::Known(v.with(Voltage::from_si(v.value.across()))));
    let first = match (&part.fault_current, part.subtransient.is_known()) {
        (Fact::Unknown(_), true) => {
            wiring::GeneratorFault::of_facts(&part.output_va, &volts, &part.subtransient)
        }
        (stated, _) => stated.clone(),
    };
    FaultSource {
        name: engine.clone(),
        first,
        lasting: part.lasting_fault.clone(),
        ends_itself: Some(part.ends_short.clone()),
        gone_within: None,
    }
}

/// The sum of currents, one alone as it is; everything missing where one is not known.
fn all_of(mut parts: Vec<(Arc<str>, Fact<Current>)>) -> Fact<Current> {
    if parts.len() == 1
        && let Some((_, alone)) = parts.pop()
    {
        return alone;
    }
    let mut known = Vec::new();
    let mut missing: Option<Gap> = None;
    for (name, part) in parts {
        match part {
            Fact::Known(current) => known.push((name, current)),
            Fact::Unknown(gap) => missing = Some(missing.map_or_else(|| gap.clone(), |all| all.and(&gap))),
        }
    }
    missing.map_or_else(|| Fact::Known(sum(known, &units::AMPERE)), Fact::Unknown)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use crate::Design;
    use quantity::Fact;

    /// Current into a short on a circuit of the farm with lines added to its utility and its inverter.
    fn fault(utility: &str, inverter: &str, circuit: &str) -> Fact<quantity::Current> {
        let text = include_str!("../../../../designs/hollow-farm/hollow-farm.toml")
            .replace("fault_current = \"10 kA\" ", &format!("{utility} "))
            .replace("fault_current = \"118 A\" ", &format!("{inverter} "));
        let design = Design::of_text(&text);
        assert!(design.problems.is_empty(), "{:#?}", design.problems);
        let found = design.graph.circuits.iter().find(|c| &*c.name == circuit).unwrap();
        found.demand.ac_fault().unwrap().available.clone()
    }

    const UTILITY: &str = "fault_current = \"10 kA\"";
    const INVERTER: &str = "fault_current = \"120 A\"";

    #[test]
    fn the_fault_current_of_the_utility_comes_down_its_feeders_unreduced() {
        let amps = |circuit| fault(UTILITY, INVERTER, circuit).si().unwrap();
        assert_eq!(amps("utility to service panel"), 10_000.0);
        assert_eq!(amps("service panel to house switch"), 10_000.0);
        // Two units of 120 A feed the panel of the workshop, and with the utility the house.
        assert_eq!(amps("inverter A to inverter panel"), 240.0);
        assert_eq!(amps("inverter panel to house switch"), 240.0);
        assert_eq!(amps("house switch to house panel"), 10_240.0);
    }

    /// 3200 VA at 120 V are 26.7 A; behind 14 % of subtransient reactance 190 A.
    #[test]
    fn a_generator_feeds_what_its_reactance_lets_through_unless_its_maker_says() {
        let set = |change: (&str, &str)| {
            let text = include_str!("../../../../designs/pine-cabin/pine-cabin.toml");
            let design = Design::of_text(&text.replace(change.0, change.1));
            assert!(design.problems.is_empty(), "{:#?}", design.problems);
            let graph = design.graph.clone();
            let of = |name: &str| graph.circuits.iter().find(|c| &*c.name == name).unwrap().clone();
            let own = of("yard set to inverter").demand.ac_fault().unwrap().clone();
            // What the inverter passes through adds to its own.
            let both = of("inverter to cabin panel").demand.ac_fault().unwrap().clone();
            (own, both)
        };
        let (own, both) = set(("", ""));
        assert!((own.available.si().unwrap() - 3200.0 / 120.0 / 0.14).abs() < 1e-9);
        assert!((both.available.si().unwrap() - 52.0 - 3200.0 / 120.0 / 0.14).abs() < 1e-9);
        let names: Vec<&str> = both.sources.iter().map(|source| &*source.name).collect();
        assert_eq!(names, ["inverter", "yard set"]);
        assert_eq!(both.sources[1].lasting.si(), Some(48.0));
        let stated = "fault_current = \"150 A\"\nlasting_fault";
        assert_eq!(set(("lasting_fault", stated)).0.available.si(), Some(150.0));
        let blank = set(("subtransient_reactance = \"14 %\"\n", "")).0;
        let missing = &blank.available.gap().unwrap().missing[0];
        assert_eq!(missing.field.as_str(), "generator.yard.fault_current");
    }

    #[test]
    fn what_is_missing_is_a_field_that_exists() {
        let missing = |utility, inverter, circuit| {
            let gap = fault(utility, inverter, circuit).gap().unwrap().clone();
            gap.missing.iter().map(|m| m.field.as_str().to_string()).collect::<Vec<_>>()
        };
        assert_eq!(missing("", INVERTER, "service panel to house switch"), ["utility.fault_current"]);
        assert_eq!(missing(UTILITY, "", "inverter panel to house switch"), ["inverter.wall.fault_current"]);
        assert_eq!(missing(UTILITY, "", "house switch to house panel"), ["inverter.wall.fault_current"]);
    }
}
