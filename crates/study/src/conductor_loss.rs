//! What each circuit loses in a year at the temperature its conductors then have, and what the next size would cost and spare.

use crate::house::loop_ohm;
use crate::{Study, YearStudy};
use bill::Bill;
use design::Design;
use design::system::UtilityRole;
use energy::Hour;
use money::{LevelSeriesToday, SeriesToday};
use quantity::{
    Count, Energy, Fact, Figure, FigureName, Gap, Gauge, Measure, Money, Ratio, Temperature, Term, Traced,
    WhoKnows, practice, units,
};
use std::collections::BTreeMap;
use std::sync::Arc;
use wiring::{Circuit, CircuitId, Demand, NodeKind, RuleSet, Run, Schedule, Sized, Supply, YearLoss};

/// One circuit over the middling year.
#[derive(Clone, Debug)]
pub struct ConductorLoss {
    /// Position in the schedule.
    pub circuit: usize,
    /// Its name.
    pub name: Arc<str>,
    /// Lost in the year.
    pub lost: Traced<Energy>,
    /// Mean temperature of its conductors, weighted by what is lost.
    pub mean: Traced<Temperature>,
    /// Their temperature in the hottest hour.
    pub hottest: Traced<Temperature>,
    /// The next size; `None` where there is none, or the year cannot be said with it.
    pub next: Option<NextSize>,
}

/// All circuits of a run in the next size of its largest.
#[derive(Clone, Debug)]
pub struct NextSize {
    /// The size.
    pub gauge: Gauge,
    /// What the purchase list costs more, with ground, raceway and fittings that follow; the whole run.
    pub costs: Fact<Money>,
    /// What would have to have a price for that to be known.
    pub unpriced: Vec<Arc<str>>,
    /// Lost less in a year, in this circuit.
    pub spares: Traced<Energy>,
    /// Years looked at.
    pub years: Fact<Count>,
    /// What that is worth today over the years, at the price of energy bought; for all circuits of the run.
    pub worth: Fact<Money>,
}

/// What a year lost in conductors rests on.
const LAW: quantity::Clause = wiring::CONDUCTOR_TEMPERATURE;

/// Every circuit of which the year says what it carries; nothing without a year.
pub(crate) fn losses(study: &Study) -> Vec<ConductorLoss> {
    let (Ok(schedule), Ok(year), Ok(sky)) = (&study.wiring, &study.year, &study.sky) else {
        return Vec::new();
    };
    let Some(rules) = crate::rule_set(&study.design.system) else { return Vec::new() };
    let (Ok(hours), Some(weather)) = (year.trace(year.middling), sky.weather.years.get(year.middling)) else {
        return Vec::new();
    };
    let carried = Carried::new(study, year, &hours);
    let larger = next_sizes(&study.design, schedule, rules);
    let bigger = larger
        .as_ref()
        .and_then(|(_, runs)| Some((runs, wiring::size_all(&study.design.graph, runs, rules).ok()?)));
    let mut found: Vec<(ConductorLoss, Option<wiring::RunId>)> = Vec::new();
    for (k, sized) in schedule.circuits.iter().enumerate().filter(|(k, _)| !study.is_existing(*k)) {
        let Some(squares) = carried.squares(CircuitId(k)) else { continue };
        let system = &study.design.system;
        let of = |sized: &Sized, runs: &[Run]| -> Option<YearLoss> {
            let run = runs.get(sized.run?.0)?;
            let parts = wiring::parts_of_year(rules, run, sized, &weather.air_c)?;
            let a = wiring::per_kelvin(rules, sized.material.value().copied()?);
            Some(wiring::year_loss(loop_ohm(sized)?, a, &parts, &squares))
        };
        let Some(now) = of(sized, &system.runs) else { continue };
        let energy = |wh: f64| Energy::from_si(units::WATT_HOUR.to_si(wh));
        let mut terms = year.terms.clone();
        terms.extend(sized.drop.known().map(|drop| drop.term("drop at 75 °C", &units::VOLT)));
        terms.extend(sized.conductor.value().map(|c| c.gauge.size_term("conductor")));
        let series = |says: &str| (says.to_string(), terms.clone());
        let (says, with) =
            series("lost in its conductors in the middling year, at the temperature of every hour");
        let lost = Traced::series(energy(now.lost_wh), says, LAW, with);
        let (says, with) = series("mean temperature of its conductors, weighted by what is lost");
        let mean = Traced::series(wiring::at_celsius(now.mean_c), says, LAW, with);
        let (says, with) = series("temperature of its conductors in the hottest hour");
        let hottest = Traced::series(wiring::at_celsius(now.hottest_c), says, LAW, with);
        let next = bigger.as_ref().and_then(|(runs, schedule)| {
            let larger = schedule.circuits.get(k)?;
            let gauge = larger.gauge().value().copied()?;
            // A run that has no larger size is sized as before.
            (Some(gauge) != sized.gauge().value().copied()).then_some(())?;
            let then = of(larger, runs)?;
            let mut with = terms.clone();
            with.extend(larger.conductor.value().map(|c| c.gauge.size_term("next size")));
            let says = "lost less in a year with the next size";
            Some(NextSize {
                gauge,
                costs: Fact::unknown("stock", WhoKnows::SupplyHouse),
                unpriced: Vec::new(),
                spares: Traced::series(energy(now.lost_wh - then.lost_wh), says, LAW, with),
                years: system.money.years.clone(),
                worth: Fact::unknown("utility.price", WhoKnows::Owner),
            })
        });
        found.push((
            ConductorLoss { circuit: k, name: sized.name.clone(), lost, mean, hottest, next },
            sized.run,
        ));
    }
    if let Some((_, bigger)) = &bigger {
        price(study, schedule, bigger, &mut found);
    }
    found.into_iter().map(|(loss, _)| loss).collect()
}

/// Costs and worth are of a whole run: its circuits share raceway and ground.
fn price(
    study: &Study,
    schedule: &Schedule,
    bigger: &Schedule,
    found: &mut [(ConductorLoss, Option<wiring::RunId>)],
) {
    let mut runs: Vec<wiring::RunId> =
        found.iter().filter(|(loss, _)| loss.next.is_some()).filter_map(|(_, run)| *run).collect();
    runs.dedup();
    for run in runs {
        let mixed = with_run(schedule, bigger, run);
        let (costs, unpriced) = dearer(&study.bill, &crate::purchase(&study.design, Some(&mixed)));
        let of_run = || {
            found
                .iter()
                .filter(|(_, of)| *of == Some(run))
                .filter_map(|(loss, _)| Some((loss.name.clone(), loss.next.as_ref()?.spares.clone())))
        };
        let spared = quantity::sum(of_run().collect(), &units::KILOWATT_HOUR);
        let worth = worth(study, &spared);
        for (loss, _) in found.iter_mut().filter(|(_, of)| *of == Some(run)) {
            if let Some(next) = &mut loss.next {
                (next.costs, next.worth) = (costs.clone(), worth.clone());
                next.unpriced = unpriced.clone();
            }
        }
    }
}

/// Energy of every year at the price of energy bought, as worth today.
fn worth(study: &Study, spared: &Traced<Energy>) -> Fact<Money> {
    let system = &study.design.system;
    let price = match system.utility.role.value() {
        Some(UtilityRole::None) | None => Fact::unknown("utility.price", WhoKnows::Owner),
        Some(_) => system.utility.prices.price.clone(),
    };
    let first = wiring::WorthOfEnergy::of_facts(&Fact::Known(spared.clone()), &price);
    let (Fact::Known(first), Ok((years, discount))) = (&first, crate::money::horizon(system)) else {
        return match first {
            Fact::Unknown(gap) => Fact::Unknown(gap),
            Fact::Known(_) => Fact::unknown("money.years", WhoKnows::Owner),
        };
    };
    let rises: Traced<Ratio> = match &system.money.utility_rises {
        Fact::Known(rises) => rises.clone(),
        Fact::Unknown(gap) => return Fact::Unknown(gap.clone()),
    };
    Fact::Known(if (rises.si() - discount.si()).abs() < 1e-9 {
        LevelSeriesToday::of(first, &years, &discount)
    } else {
        SeriesToday::of(first, &years, &rises, &discount)
    })
}

/// The schedule with one run taken from another.
fn with_run(schedule: &Schedule, other: &Schedule, run: wiring::RunId) -> Schedule {
    let mut mixed = schedule.clone();
    for (here, there) in mixed.circuits.iter_mut().zip(&other.circuits).filter(|(c, _)| c.run == Some(run)) {
        *here = there.clone();
    }
    for (here, there) in mixed.raceways.iter_mut().zip(&other.raceways).filter(|(r, _)| r.run == run) {
        *here = there.clone();
    }
    for (here, there) in mixed.joints.iter_mut().zip(&other.joints).filter(|(j, _)| j.run == run) {
        *here = there.clone();
    }
    mixed
}

/// By how much one list is dearer than another; unknown while a line that differs has no price, with these lines.
fn dearer(now: &Bill, then: &Bill) -> (Fact<Money>, Vec<Arc<str>>) {
    type Amount<'b> = (f64, Option<&'b Fact<Money>>);
    let mut lines: BTreeMap<Arc<str>, [Amount<'_>; 2]> = BTreeMap::new();
    for (side, bill) in [now, then].into_iter().enumerate() {
        for line in &bill.lines {
            let amount =
                line.length.as_ref().and_then(Fact::si).or_else(|| {
                    line.pieces.as_ref().and_then(|pieces| pieces.value()).map(|n| f64::from(n.0))
                });
            lines.entry(line.item.clone()).or_default()[side] =
                (amount.unwrap_or(f64::NAN), Some(&line.total));
        }
    }
    let mut gap: Option<Gap> = None;
    let mut unpriced: Vec<Arc<str>> = Vec::new();
    let (mut more, mut terms): (f64, Vec<Term>) = (0.0, Vec::new());
    for (item, sides) in lines.iter().filter(|(_, [a, b])| a.0 != b.0) {
        for (sign, words, (_, total)) in [(-1.0, "without", &sides[0]), (1.0, "with", &sides[1])] {
            match total {
                Some(Fact::Known(total)) => {
                    more += sign * total.si();
                    terms.push(total.term(format!("{words} it: {item}"), &units::COIN));
                }
                Some(Fact::Unknown(missing)) => {
                    gap = Some(gap.map_or(missing.clone(), |gap| gap.and(missing)));
                    unpriced.push(item.clone());
                }
                None => {}
            }
        }
    }
    unpriced.dedup();
    let costs = match gap {
        Some(gap) => Fact::Unknown(gap),
        None => Fact::Known(Traced::series(
            Money::from_si(more),
            "the purchase list with the next size less that without it",
            practice("lines of the purchase list that differ"),
            terms,
        )),
    };
    (costs, unpriced)
}

/// Every run with the next size above its largest conductor; `None` where no run has one.
fn next_sizes(design: &Design, schedule: &Schedule, rules: RuleSet) -> Option<(usize, Vec<Run>)> {
    let mut runs = design.system.runs.clone();
    let mut changed = 0;
    for (k, run) in runs.iter_mut().enumerate() {
        let circuits = || schedule.circuits.iter().filter(|c| c.run == Some(wiring::RunId(k)));
        let largest =
            circuits().filter_map(|c| c.conductor.value()).max_by(|a, b| a.gauge.value.cmp(&b.gauge.value));
        let (Some(largest), Some(metal)) = (largest, run.material.value()) else { continue };
        let sizes = wiring::conductor_sizes(rules, *metal);
        let Some(next) = sizes.into_iter().find(|size| *size > largest.gauge.value) else { continue };
        run.conductor = Some(largest.gauge.with(next));
        run.sets = Some(largest.sets.clone());
        changed += 1;
    }
    (changed > 0).then_some((changed, runs))
}

/// What every hour of the middling year sends through the circuits.
struct Carried<'a> {
    study: &'a Study,
    year: &'a YearStudy,
    hours: &'a [Hour],
    /// Of what is offered to array cables, the share of the loss that is suffered; 0 to 1.
    suffered: Vec<f64>,
    supply_units: usize,
}

impl<'a> Carried<'a> {
    fn new(study: &'a Study, year: &'a YearStudy, hours: &'a [Hour]) -> Carried<'a> {
        let suffered = hours.iter().enumerate().map(|(h, hour)| {
            let offered: f64 = year.inputs.iter().filter_map(|input| input.cable_w.get(h)).sum();
            if offered > 0.0 { (hour.flows.losses.array_cable_wh / offered).clamp(0.0, 1.0) } else { 0.0 }
        });
        let supply_units = study.design.system.supply_units().count();
        Carried { study, year, hours, suffered: suffered.collect(), supply_units }
    }

    /// Squared current of every hour, A²; `None` where the year does not say it.
    fn squares(&self, id: CircuitId) -> Option<Vec<f64>> {
        let (graph, system) = (&self.study.design.graph, &self.study.design.system);
        let schedule = self.study.wiring.as_ref().ok()?;
        let (circuit, sized) = (graph.circuits.get(id.0)?, schedule.circuits.get(id.0)?);
        let from = &graph.node(circuit.from)?.name;
        let amps = |volts: Option<f64>, watts: &dyn Fn(usize, &Hour) -> f64| -> Option<Vec<f64>> {
            let volts = volts.filter(|v| *v > 0.0)?;
            let square = |(h, hour)| {
                let amps = watts(h, hour) / volts;
                amps * amps
            };
            Some(self.hours.iter().enumerate().map(square).collect())
        };
        match &circuit.demand {
            Demand::PvStrings(_) => self.of_strings(from),
            Demand::BatteryUnit(unit) => {
                let n = f64::from(unit.units_on_the_bus.value()?.0.max(1));
                amps(unit.volts.nominal.si(), &|_, hour| (hour.charge_w + hour.discharge_w) / n)
            }
            Demand::BusToInverters(bus) => {
                let n = self.alike(|d| matches!(d, Demand::BusToInverters(_)));
                amps(bus.volts.nominal.si(), &|h, hour| {
                    (hour.charge_w - hour.discharge_w - self.by_controllers(h)).abs() / n
                })
            }
            Demand::ControllerToBus(controller) => {
                let n = self.alike(|d| matches!(d, Demand::ControllerToBus(_)));
                amps(controller.volts.nominal.si(), &|h, _| self.by_controllers(h) / n)
            }
            Demand::InverterOutput(_) => {
                let unit = system.unit(from).filter(|unit| !system.is_array_inverter(unit))?;
                let n = self.supply_units.max(1) as f64;
                let through = !unit.ac_input.is_empty();
                amps(sized.currents.volts.si(), &|_, hour| {
                    (if through { hour.flows.served_wh() } else { hour.output_w }) / n
                })
            }
            Demand::Ac(_) | Demand::UtilitySupply(_) | Demand::GeneratorSupply(_) => {
                let (inverters, backup) = self.sources_behind(id, circuit);
                let share = inverters as f64 / self.supply_units.max(1) as f64;
                if inverters == 0 && !backup {
                    return None;
                }
                amps(sized.currents.volts.si(), &|_, hour| match (inverters > 0, backup) {
                    (true, true) => hour.flows.served_wh(),
                    (true, false) => hour.output_w * share,
                    (false, _) => hour.flows.backup_wh() + hour.flows.export_wh,
                })
            }
        }
    }

    /// Strings of an input share its current alike; a pair behind a combiner carries the sum of its strings.
    fn of_strings(&self, from: &str) -> Option<Vec<f64>> {
        let system = &self.study.design.system;
        let schedule = self.study.wiring.as_ref().ok()?;
        let here: Vec<_> = system
            .strings
            .iter()
            .filter(|s| &*s.string.name == from || (!s.through.is_empty() && &*s.through == from))
            .collect();
        let first = &here.first()?.string;
        let input = self.year.inputs.iter().find(|i| i.unit == first.unit && i.number == first.input)?;
        let of_input =
            system.strings.iter().filter(|s| s.string.unit == first.unit && s.string.input == first.input);
        let ohm: f64 = of_input
            .filter_map(|s| {
                let begins = format!("{} to ", s.string.name);
                loop_ohm(schedule.circuits.iter().find(|c| c.name.starts_with(&begins))?)
            })
            .sum();
        let together = (here.len() * here.len()) as f64;
        let square = |(watts, suffered): (&f64, &f64)| watts / ohm * suffered * together;
        (ohm > 0.0).then(|| input.cable_w.iter().zip(&self.suffered).map(square).collect())
    }

    /// What charge controllers bring to the bus in an hour, as far as it is taken, W.
    fn by_controllers(&self, h: usize) -> f64 {
        let brought = self.year.brought.years.get(self.year.middling);
        let offered = brought.and_then(|of| of.offered.controllers_bus_w.get(h)).copied().unwrap_or(0.0);
        offered * self.suffered.get(h).copied().unwrap_or(0.0).sqrt()
    }

    fn alike(&self, of_kind: impl Fn(&Demand) -> bool) -> f64 {
        let n = self.study.design.graph.circuits.iter().filter(|c| of_kind(&c.demand)).count();
        n.max(1) as f64
    }

    /// Inverters, and whether utility or generator, that reach the near end of a circuit without it.
    fn sources_behind(&self, id: CircuitId, circuit: &Circuit) -> (usize, bool) {
        let (graph, system) = (&self.study.design.graph, &self.study.design.system);
        let kind = |node| graph.node(node).map(|node| node.kind);
        let reached = graph.reach(
            circuit.from,
            |other, c| {
                other != id && c.demand.supply() == Supply::Ac && kind(c.to) != Some(NodeKind::Inverter)
            },
            |_, node| node.kind == NodeKind::Inverter,
        );
        let inverters = reached.iter().filter_map(|node| graph.node(*node)).filter(|node| {
            let unit = system.unit(&node.name);
            node.kind == NodeKind::Inverter && unit.is_some_and(|unit| !system.is_array_inverter(unit))
        });
        let backup =
            reached.iter().any(|n| matches!(kind(*n), Some(NodeKind::Utility | NodeKind::Generator)));
        (inverters.count(), backup)
    }
}

/// Figures by their names.
pub(crate) fn figures(study: &Study) -> Vec<Figure> {
    let mut all = Vec::new();
    for loss in &study.conductor_losses {
        let mut put = |what: &str, says: &str, value: quantity::Value, origin: &quantity::Origin| {
            all.push(Figure {
                name: FigureName::new(&["circuits", &loss.name, what]),
                says: format!("{}: {says}", loss.name),
                value,
                origin: origin.clone(),
            });
        };
        put("lost-in-a-year", "lost in a year", (&loss.lost).into(), &loss.lost.origin);
        put("mean-temperature", "mean temperature of its conductors", (&loss.mean).into(), &loss.mean.origin);
        put("hottest", "its conductors in the hottest hour", (&loss.hottest).into(), &loss.hottest.origin);
        let Some(next) = &loss.next else { continue };
        put(
            "next-size-spares",
            "lost less in a year with the next size",
            (&next.spares).into(),
            &next.spares.origin,
        );
        if let Fact::Known(costs) = &next.costs {
            put("next-size-costs", "what its run costs more in the next size", costs.into(), &costs.origin);
        }
        if let Fact::Known(worth) = &next.worth {
            put(
                "next-size-worth",
                "worth today of what the next size of its run spares",
                worth.into(),
                &worth.origin,
            );
        }
    }
    all
}
