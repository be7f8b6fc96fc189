//! Current a short can draw on a circuit of alternating current.

use super::{Build, UTILITY};
use quantity::{Current, Fact, Gap, WhoKnows, sum, units};
use std::sync::Arc;

impl Build<'_> {
    /// Current a short on the circuit between two things can draw. What else feeds the panel it leads to reaches the
    /// short from there. No length of conductor is credited, so it is never lower than what is known.
    pub(super) fn fault(&self, source: &Arc<str>, to: &Arc<str>) -> Fact<Current> {
        match self.system.panel(to) {
            Some(panel) => self.together(&panel.fed_by, &mut vec![to.clone()]),
            None => self.fault_behind(source, &mut Vec::new()),
        }
    }

    /// Current a supply and everything behind it can feed into a short.
    fn fault_behind(&self, source: &Arc<str>, passed: &mut Vec<Arc<str>>) -> Fact<Current> {
        let system = self.system;
        if &**source == UTILITY {
            return system.utility.fault_current.clone();
        }
        // A ring of panels adds nothing the second time.
        if passed.contains(source) {
            return Fact::Known(sum(Vec::new(), &units::AMPERE));
        }
        passed.push(source.clone());
        if let Some(unit) = system.unit(source) {
            let own = match system.inverter_of(unit) {
                Some(inverter) => inverter.fault_current.clone(),
                None => Fact::unknown(format!("unit.{source}"), WhoKnows::Maker),
            };
            if unit.ac_input.is_empty() {
                return own;
            }
            // While it passes its input through, both feed the short.
            let input = self.fault_behind(&unit.ac_input, passed);
            all_of(vec![(source.clone(), own), (unit.ac_input.clone(), input)])
        } else if let Some(panel) = system.panel(source) {
            self.together(&panel.fed_by, passed)
        } else if let Some(device) = system.transfer(source) {
            // Only one of them feeds at a time; the sum is on the side of caution.
            self.together(&device.transfer.from, passed)
        } else {
            Fact::unknown(format!("engine.{source}.fault_current"), WhoKnows::Maker)
        }
    }

    fn together(&self, sources: &[Arc<str>], passed: &mut Vec<Arc<str>>) -> Fact<Current> {
        all_of(sources.iter().map(|from| (from.clone(), self.fault_behind(from, passed))).collect())
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
            .replace("service = \"200 A\"\n", &format!("service = \"200 A\"\n{utility}\n"))
            .replace("stackable = \"split phase\"\n", &format!("stackable = \"split phase\"\n{inverter}\n"));
        let design = Design::of_text(&text);
        assert!(design.problems.is_empty(), "{:#?}", design.problems);
        let found = design.graph.circuits.iter().find(|c| &*c.name == circuit).unwrap();
        match &found.demand {
            wiring::Demand::UtilitySupply(utility) => utility.fault.clone(),
            wiring::Demand::InverterOutput(inverter) => inverter.fault.clone(),
            wiring::Demand::Ac(load) => load.fault.clone(),
            other => panic!("{other:?}"),
        }
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
