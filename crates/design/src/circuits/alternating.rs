//! Circuits of alternating current: from the utility, generators, inverters and panels to what they feed.

use super::{Build, UTILITY, leg_current};
use crate::system::{Panel, Rules};
use quantity::{Current, Fact, FieldPath, Measure, Power, Traced, Voltage, WhoKnows};
use std::sync::Arc;
use wiring::{AcFault, AcLoad, Demand, GeneratorSupply, InverterOutput, UtilitySupply};

impl Build<'_> {
    pub(super) fn alternating(&mut self) {
        let system = self.system;
        for panel in &system.panels {
            for source in &panel.fed_by {
                self.supply(source, &panel.name, panel.volts.value().copied(), panel.main.clone());
            }
        }
        for transfer in &system.transfers {
            let volts = self.volts_behind(&transfer.transfer.name);
            for source in &transfer.transfer.from {
                self.supply(source, &transfer.transfer.name, volts, Some(transfer.transfer.rating.clone()));
            }
        }
        for unit in &system.units_in_place {
            if unit.ac_input.is_empty() {
                continue;
            }
            if system.only_gives(unit) {
                self.supply(&unit.name, &unit.ac_input, None, None);
                continue;
            }
            let inverter = system.inverter_of(unit);
            let volts = inverter.and_then(|i| i.volts.value().copied());
            let through = inverter.map(|i| i.passes_through.clone());
            self.supply(&unit.ac_input, &unit.name, volts, through);
        }
    }

    /// Poles that open a circuit of one line conductor and neutral: in TT and IT systems the neutral is opened with it, for
    /// it may stand at a voltage to earth (IEC 60364-5-53 537.1.2 and 60364-4-43 431.2, from memory).
    fn poles_of_one_line(&self) -> u32 {
        let iec = self.system.place.rules.value() == Some(&Rules::Iec60364);
        match self.system.utility.earthing.value() {
            // Not known, it may be one of them.
            None | Some(wiring::Arrangement::Tt | wiring::Arrangement::It) if iec => 2,
            _ => 1,
        }
    }

    /// Whether a panel has three line conductors, or a transfer device one that has.
    fn has_three_lines(&self, at: &str) -> bool {
        let behind = |name: &Arc<str>| &**name == at && self.system.transfer(at).is_some();
        let is_it = |panel: &&Panel| &*panel.name == at || panel.fed_by.iter().any(behind);
        self.system.panels.iter().any(|panel| panel.three_phase && is_it(&panel))
    }

    /// Volts of the panel a transfer device feeds.
    fn volts_behind(&self, transfer: &str) -> Option<conversion::OutputVolts> {
        let fed = self.system.panels.iter().find(|p| p.fed_by.iter().any(|name| &**name == transfer));
        fed.and_then(|panel| panel.volts.value().copied())
    }

    /// The circuit from a source of alternating current, whatever it is, to something.
    fn supply(
        &mut self,
        source: &Arc<str>,
        to: &Arc<str>,
        volts: Option<conversion::OutputVolts>,
        main: Option<Fact<Current>>,
    ) {
        let system = self.system;
        let across = |v: Option<conversion::OutputVolts>| match v {
            Some(v) => Fact::Known(Traced::stated(Voltage::from_si(v.across()), format!("panel.{to}.volts"))),
            None => Fact::unknown(format!("panel.{to}.volts"), WhoKnows::Owner),
        };
        let unknown = |what: &str, ask| Fact::unknown(what.to_string(), ask);
        let fault = self.fault(source, to);
        let main = main.unwrap_or_else(|| unknown(&format!("panel.{to}.main"), WhoKnows::Electrician));
        let split = volts == Some(conversion::OutputVolts::Split240);
        // Two legs and neutral, of which the neutral carries only the difference; else two wires.
        let of_one_leg = (2, 2, self.poles_of_one_line());
        let three_phase = self.has_three_lines(to) && (&**source == UTILITY || self.has_three_lines(source));
        let (conductors, carrying, poles) = match (three_phase, split) {
            (true, _) => (4, 3, 2 + self.poles_of_one_line()),
            (false, true) => (3, 2, 2),
            (false, false) => of_one_leg,
        };
        if let Some(unit) = system.unit(source) {
            let Some(inverter) = system.inverter_of(unit) else { return };
            let demand = Demand::InverterOutput(InverterOutput {
                output: inverter.output.clone(),
                volts: inverter.volts.and_then(|v| Fact::Known(v.with(Voltage::from_si(v.value.across())))),
                passes_through: if unit.ac_input.is_empty() || system.only_gives(unit) {
                    Fact::Known(Traced::stated(Current::from_si(0.0), format!("unit.{source}.ac_input")))
                } else {
                    inverter.passes_through.clone()
                },
                fault,
            });
            let split = inverter.volts.value() == Some(&conversion::OutputVolts::Split240);
            let (conductors, carrying, poles) = if split { (3, 2, 2) } else { of_one_leg };
            self.join(source, to, demand, conductors, carrying, poles);
        } else if let Some(panel) = system.panel(source) {
            let demand = self.feeder_demand(panel, across(volts), main, fault);
            self.join(source, to, demand, conductors, carrying, poles);
        } else if system.transfer(source).is_some() {
            let rating = system
                .transfer(source)
                .map_or_else(|| unknown("transfer", WhoKnows::DataSheet), |t| t.transfer.rating.clone());
            let demand = Demand::UtilitySupply(UtilitySupply {
                main: rating,
                volts: across(volts),
                whole_dwelling: not_the_whole_dwelling(to),
                fault,
            });
            self.join(source, to, demand, conductors, carrying, poles);
        } else if system.engine(source).is_some() {
            let demand = self.generator_demand(source, fault);
            self.join(source, to, demand, conductors, carrying, poles);
        } else if &**source == UTILITY {
            let demand = Demand::UtilitySupply(UtilitySupply {
                main: main.or(|| system.utility.service.clone()),
                volts: across(volts),
                whole_dwelling: not_the_whole_dwelling(to),
                fault,
            });
            self.join(UTILITY, to, demand, conductors, carrying, poles);
        }
    }

    fn generator_demand(&self, engine: &str, fault: AcFault) -> Demand {
        let part = self.system.engine(engine).and_then(|e| self.system.generator(&e.generator));
        let (output, volts): (Fact<Power>, Fact<Voltage>) = match part {
            Some(part) => (
                part.output.clone(),
                part.volts.and_then(|v| Fact::Known(v.with(Voltage::from_si(v.value.across())))),
            ),
            None => (
                Fact::unknown(format!("engine.{engine}"), WhoKnows::DataSheet),
                Fact::unknown(format!("engine.{engine}"), WhoKnows::DataSheet),
            ),
        };
        Demand::GeneratorSupply(GeneratorSupply {
            rated: wiring::InverterOutputCurrent::of_facts(&output, &volts),
            volts,
            fault,
        })
    }

    /// A feeder from a panel: behind the utility its main device decides, behind inverters their rated outputs
    /// together, leg by leg (NEC 710.15(B)).
    fn feeder_demand(
        &self,
        panel: &Panel,
        volts: Fact<Voltage>,
        main: Fact<Current>,
        fault: AcFault,
    ) -> Demand {
        let inverters: Vec<Arc<str>> =
            panel.fed_by.iter().filter(|name| self.system.unit(name).is_some()).cloned().collect();
        if inverters.len() == panel.fed_by.len() && !inverters.is_empty() {
            // A feeder from one panel to the next or to a transfer device has no receptacles of its own.
            let receptacles = Fact::Known(Traced::stated(false, format!("panel.{}.fed_by", panel.name)));
            return Demand::Ac(AcLoad {
                continuous: leg_current(self.system, &inverters),
                volts,
                fault,
                receptacles,
            });
        }
        Demand::UtilitySupply(UtilitySupply {
            main,
            volts,
            whole_dwelling: not_the_whole_dwelling(&panel.name),
            fault,
        })
    }
}

/// The smaller sizes for conductors that carry a whole dwelling (NEC 310.12) are not taken unless someone says so: the
/// larger size is never wrong.
fn not_the_whole_dwelling(at: &str) -> Fact<bool> {
    Fact::assumed(
        false,
        quantity::Reason {
            field: FieldPath::new(format!("panel.{at}")),
            because: "the smaller sizes of NEC 310.12 are not taken; the larger size is never wrong".into(),
            moves: "size of the service conductors".into(),
            clause: quantity::practice("assumption"),
        },
    )
}
