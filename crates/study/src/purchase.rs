//! The purchase list that follows from a system and its schedules.

use bill::{Bill, Group, Line, to_buy};
use design::Design;
use design::system::{System, UnitPart};
use quantity::{
    Clause, Count, Fact, Gap, Gauge, Length, Money, Standing, Term, Traced, WhoKnows, product_of_count, sum,
    units,
};
use std::collections::BTreeMap;
use std::sync::Arc;
use wiring::{Raceway, Run, Schedule};

/// The bill of a design.
pub fn purchase(design: &Design, schedule: Option<&Schedule>) -> Bill {
    let system = &design.system;
    let mut lines = Vec::new();
    modules(system, &mut lines);
    structure(system, &mut lines);
    conversion(system, &mut lines);
    storage(system, &mut lines);
    backup(system, &mut lines);
    panels(system, &mut lines);
    crate::fittings::cables(design, &mut lines);
    if let Some(schedule) = schedule {
        protection(design, schedule, &mut lines);
        disconnects(system, &mut lines);
        surges(system, &mut lines);
        wire(design, schedule, &mut lines);
        raceway(design, schedule, &mut lines);
        crate::fittings::fittings(design, schedule, &mut lines);
    }
    Bill::of(lines)
}

fn counted(paths: Vec<String>) -> Fact<Count> {
    Fact::Known(sum(
        paths.into_iter().map(|path| (Arc::from("one"), Traced::stated(Count(1), path))).collect(),
        &units::COUNT,
    ))
}

/// An amount that stands on this line because a size was found: it rests on the size too.
fn of_this_size<T: quantity::Measure>(amount: Fact<T>, unit: &'static quantity::Unit, size: Term) -> Fact<T> {
    amount.and_then(|amount| {
        let clause = Clause {
            document: "bill",
            edition: "",
            clause: "bought in the size that was found",
            standing: Standing::Computed,
        };
        let terms = vec![amount.term("amount", unit), size];
        Fact::Known(Traced::series(amount.value, "amount on the line of this size", clause, terms))
    })
}

fn modules(system: &System, lines: &mut Vec<Line>) {
    for module in &system.modules {
        let of_it: Vec<_> = system.strings.iter().filter(|s| s.string.module == module.name).collect();
        if of_it.is_empty() {
            continue;
        }
        let mut parts = Vec::new();
        let mut gap: Option<Gap> = None;
        for string in &of_it {
            match &string.string.count {
                Fact::Known(count) => parts.push((string.string.name.clone(), count.clone())),
                Fact::Unknown(more) => gap = Some(more.clone()),
            }
        }
        let count = gap.map_or_else(|| Fact::Known(sum(parts, &units::COUNT)), Fact::Unknown);
        let serves = of_it.iter().map(|s| s.string.name.clone()).collect();
        lines.push(Line::by_piece(
            Group::Modules,
            format!("module \"{}\"", module.name),
            serves,
            count,
            module.price.clone(),
        ));
    }
}

/// Rack or rails of every plane with a price for them: one piece for each module.
fn structure(system: &System, lines: &mut Vec<Line>) {
    for site in &system.sites {
        let Some(price) = &site.structure_price else { continue };
        let on_it = system.strings.iter().filter(|s| s.string.plane == site.plane);
        let mut parts = Vec::new();
        let mut gap: Option<Gap> = None;
        for string in on_it {
            match &string.string.count {
                Fact::Known(count) => parts.push((string.string.name.clone(), count.clone())),
                Fact::Unknown(more) => gap = Some(more.clone()),
            }
        }
        if parts.is_empty() && gap.is_none() {
            continue;
        }
        let count = gap.map_or_else(|| Fact::Known(sum(parts, &units::COUNT)), Fact::Unknown);
        lines.push(Line::by_piece(
            Group::Structure,
            format!("rack or rails for one module on plane \"{}\"", site.plane),
            vec![site.plane.clone()],
            count,
            price.clone(),
        ));
    }
}

fn conversion(system: &System, lines: &mut Vec<Line>) {
    let mut push = |kind: &str, name: &Arc<str>, price: &Fact<Money>, used: Vec<Arc<str>>| {
        if !used.is_empty() {
            let count = counted(used.iter().map(|unit| format!("unit.{unit}")).collect());
            lines.push(Line::by_piece(
                Group::Conversion,
                format!("{kind} \"{name}\""),
                used,
                count,
                price.clone(),
            ));
        }
    };
    let of_part = |part: UnitPart| -> Vec<Arc<str>> {
        system.units_in_place.iter().filter(|unit| unit.part == part).map(|unit| unit.name.clone()).collect()
    };
    for part in &system.inverters {
        push("inverter", &part.name, &part.price, of_part(UnitPart::Inverter(part.name.clone())));
    }
    for part in &system.controllers {
        push("charge controller", &part.name, &part.price, of_part(UnitPart::Controller(part.name.clone())));
    }
}

fn storage(system: &System, lines: &mut Vec<Line>) {
    for bank in &system.banks {
        let Some(battery) = system.battery(&bank.bank.battery) else { continue };
        let units_each = bank.bank.parallel.and_then(|parallel| {
            bank.bank.series.and_then(|series| {
                Fact::Known(product_of_count(parallel, &series.with(series.value), &units::COUNT))
            })
        });
        let item = format!("battery \"{}\"", battery.name);
        lines.push(Line::by_piece(
            Group::Storage,
            item,
            vec![bank.bank.name.clone()],
            units_each,
            battery.price.clone(),
        ));
        // Units side by side meet on bars; no field holds their price, so the shop is asked.
        if bank.bank.parallel.value().is_some_and(|n| n.0 > 1) {
            lines.push(Line::by_piece(
                Group::Storage,
                "pair of battery busbars with cover",
                vec![bank.bank.name.clone()],
                counted(vec![format!("bank.{}", bank.bank.name)]),
                Fact::unknown("stock", WhoKnows::SupplyHouse),
            ));
        }
    }
}

fn backup(system: &System, lines: &mut Vec<Line>) {
    for engine in &system.engines {
        let Some(part) = system.generator(&engine.generator) else { continue };
        let count = counted(vec![format!("engine.{}", engine.name)]);
        lines.push(Line::by_piece(
            Group::Backup,
            format!("generator \"{}\"", part.name),
            vec![engine.name.clone()],
            count,
            part.price.clone(),
        ));
    }
    for transfer in &system.transfers {
        let transfer = &transfer.transfer;
        let count = counted(vec![format!("transfer.{}", transfer.name)]);
        lines.push(Line::by_piece(
            Group::Backup,
            "transfer device",
            vec![transfer.name.clone()],
            count,
            transfer.price.clone(),
        ));
    }
}

fn panels(system: &System, lines: &mut Vec<Line>) {
    for panel in system.panels.iter().filter(|panel| panel.existing.value() != Some(&true)) {
        let count = counted(vec![format!("panel.{}", panel.name)]);
        lines.push(Line::by_piece(
            Group::Panels,
            "panel",
            vec![panel.name.clone()],
            count,
            panel.price.clone(),
        ));
    }
    for combiner in &system.combiners {
        let count = counted(vec![format!("combiner.{}", combiner.name)]);
        lines.push(Line::by_piece(
            Group::Panels,
            "combiner box",
            vec![combiner.name.clone()],
            count,
            combiner.price.clone(),
        ));
    }
}

/// Whether a circuit leads from the utility to a panel that is there already.
pub(crate) fn is_existing(design: &Design, circuit: wiring::CircuitId) -> bool {
    design.graph.circuits.get(circuit.0).is_some_and(|circuit| {
        let from_utility =
            design.graph.node(circuit.from).is_some_and(|n| n.kind == wiring::NodeKind::Utility);
        let to = design.graph.node(circuit.to).and_then(|node| design.system.panel(&node.name));
        from_utility && to.is_some_and(|panel| panel.existing.value() == Some(&true))
    })
}

/// Circuits with the same device, what keeps it from being known, and what its rating rests on.
type Devices = (Vec<Arc<str>>, Option<Gap>, Vec<Term>);
/// Lengths on one line, each with what it is for.
type Lengths = Vec<(Arc<str>, Fact<Length>)>;

fn protection(design: &Design, schedule: &Schedule, lines: &mut Vec<Line>) {
    let mut alike: BTreeMap<String, Devices> = BTreeMap::new();
    for sized in &schedule.circuits {
        if sized.protection.needed.value() == Some(&false) || is_existing(design, sized.circuit) {
            continue;
        }
        let supply = match sized.protection.supply {
            wiring::Supply::Dc => "DC",
            wiring::Supply::Ac => "AC",
        };
        let (item, gap) = match (&sized.protection.rating, &sized.protection.needed) {
            (Fact::Known(rating), Fact::Known(_)) => {
                let amps = units::AMPERE.of_si(rating.si());
                (format!("{supply} overcurrent device {amps:.0} A, {} pole", sized.protection.poles), None)
            }
            (rating, needed) => {
                let gap = rating.gap().or(needed.gap()).cloned();
                (format!("{supply} overcurrent device, rating not known yet"), gap)
            }
        };
        let entry = alike.entry(item).or_default();
        entry.0.push(sized.name.clone());
        entry.1 = entry.1.take().or(gap);
        if let Some(rating) = sized.protection.rating.known() {
            entry.2.push(rating.term(format!("{}: rating", sized.name), &units::AMPERE));
        }
        if let Some(needed) = sized.protection.needed.known() {
            entry.2.push(Term::words(format!("{}: needed", sized.name), "yes", needed.origin.clone()));
        }
    }
    for (item, (serves, gap, ratings)) in alike {
        let count = match gap {
            Some(gap) => Fact::Unknown(gap),
            None => {
                let count = counted(serves.iter().map(|name| circuit_field(design, name)).collect());
                ratings.into_iter().fold(count, |count, rating| of_this_size(count, &units::COUNT, rating))
            }
        };
        let price = crate::fittings::price_of(design, &item);
        lines.push(Line::by_piece(Group::Protection, item, serves, count, price));
    }
}

fn disconnects(system: &System, lines: &mut Vec<Line>) {
    for disconnect in &system.disconnects {
        let count = counted(vec![format!("disconnect.{}", disconnect.name)]);
        let kind = disconnect.kind.value().map_or("switch", |kind| kind.in_words());
        lines.push(Line::by_piece(
            Group::Protection,
            format!("{kind} \"{}\"", disconnect.name),
            vec![disconnect.name.clone()],
            count,
            disconnect.price.clone(),
        ));
    }
}

fn surges(system: &System, lines: &mut Vec<Line>) {
    for surge in &system.surges {
        let count = counted(vec![format!("surge.{}", surge.name)]);
        let kind = surge.kind.value().map_or("", |kind| kind.in_words());
        let on = match surge.on_modules.value() {
            Some(true) => " for module circuits",
            Some(false) => " for alternating current",
            None => "",
        };
        lines.push(Line::by_piece(
            Group::Protection,
            format!("surge protective device{on} \"{}\" {kind}", surge.name).trim_end().to_string(),
            vec![surge.name.clone()],
            count,
            surge.price.clone(),
        ));
    }
}

/// The design field a circuit follows from: its run, or the thing it starts at.
fn circuit_field(design: &Design, name: &str) -> String {
    let circuit = design.graph.circuits.iter().find(|c| &*c.name == name);
    let run = circuit.and_then(|c| c.run).and_then(|run| design.system.runs.get(run.0));
    run.map_or_else(|| format!("circuit {name}"), |run| format!("run.{}", run.name))
}

fn wire(design: &Design, schedule: &Schedule, lines: &mut Vec<Line>) {
    let iec = crate::rule_set(&design.system) == Some(wiring::RuleSet::Iec60364);
    // One line per size, metal and insulation; grounds are lines of their own size.
    let mut sums: BTreeMap<(String, String), Lengths> = BTreeMap::new();
    let mut gauges: BTreeMap<String, Gauge> = BTreeMap::new();
    let mut grounded: Vec<wiring::RunId> = Vec::new();
    for sized in &schedule.circuits {
        let Some(circuit) = design.graph.circuits.get(sized.circuit.0) else { continue };
        if is_existing(design, sized.circuit) {
            continue;
        }
        let run = sized.run.and_then(|run| design.system.runs.get(run.0));
        let metal = sized.material.value().map_or("metal not known", |m| m.in_words());
        let conductors =
            Fact::Known(Traced::stated(Count(circuit.conductors), circuit_field(design, &sized.name)));
        let wires = conductors.and_then(|n| {
            sized
                .sets()
                .and_then(|sets| Fact::Known(product_of_count(n, &sets.with(sets.value), &units::COUNT)))
        });
        for (what, one_way) in sold_as(run, sized) {
            // Cable holds its conductors and its ground; single conductors are bought one by one.
            let pieces = if what.is_cable { sized.sets() } else { wires.clone() };
            let (kind, length) = match (sized.gauge(), pieces) {
                (Fact::Known(gauge), Fact::Known(pieces)) => {
                    if !what.is_cable {
                        gauges.insert(gauge.value.to_string(), gauge.value);
                    }
                    let length =
                        of_this_size(to_buy(&pieces, &one_way), &units::METER, gauge.size_term("size"));
                    (gauge.value.to_string(), length)
                }
                (Fact::Unknown(gap), _) | (_, Fact::Unknown(gap)) => {
                    ("size not known yet".to_string(), Fact::Unknown(gap))
                }
            };
            let ground = if iec { "protective conductor" } else { "ground" };
            let words = if what.is_cable {
                format!("{metal}, {} conductors and {ground}, {}", circuit.conductors, what.words)
            } else {
                format!("{metal} {}", what.words)
            };
            sums.entry((kind, words)).or_default().push((sized.name.clone(), length));
        }
        // One ground of the largest need lies in each run, however many circuits share it.
        let first_of_run = sized.run.is_none_or(|run| {
            let first = !grounded.contains(&run);
            grounded.push(run);
            first
        });
        if first_of_run && let Some(ground) = ground_of(schedule, sized) {
            let gauge = ground.value;
            gauges.insert(gauge.to_string(), gauge);
            let one = Traced::stated(Count(1), circuit_field(design, &sized.name));
            let Some(beside) = beside_cable(run, sized) else { continue };
            let length = of_this_size(to_buy(&one, &beside), &units::METER, ground.size_term("size"));
            let name = Arc::from(format!(
                "{} of {}",
                if iec { "protective conductor" } else { "ground" },
                sized.name
            ));
            let what = if iec { "copper protective conductor" } else { "copper equipment ground" };
            sums.entry((gauge.to_string(), what.to_string())).or_default().push((name, length));
        }
    }
    for ((size, what), parts) in sums {
        let serves = parts.iter().map(|(name, _)| name.clone()).collect();
        let length = crate::fit::sum_of(parts, &units::METER);
        let stocked = gauges
            .get(&size)
            .and_then(|gauge| design.system.stock.iter().find(|s| s.conductor == Some(*gauge)));
        let price = match stocked {
            Some(stock) => Fact::Known(stock.price.with(Money::from_units(stock.price.value))),
            None => Fact::unknown("stock", WhoKnows::SupplyHouse),
        };
        lines.push(Line::by_length(Group::Wire, format!("{size} {what}"), serves, length, price));
    }
}

/// What the conductors of some parts of a route are bought as.
#[derive(Clone, PartialEq)]
struct SoldAs {
    words: &'static str,
    is_cable: bool,
}

/// The parts of a route by what their conductors are bought as, each with its length one way.
fn sold_as(run: Option<&Run>, sized: &wiring::Sized) -> Vec<(SoldAs, Fact<Length>)> {
    let unknown = "insulation not known";
    let Some(run) = run else {
        return vec![(SoldAs { words: unknown, is_cable: false }, sized.length.clone())];
    };
    let of = |k: usize| match run.segments.get(k).and_then(|segment| segment.raceway.value()) {
        Some(cable) if cable.is_cable() => SoldAs { words: cable.in_words(), is_cable: true },
        _ => SoldAs {
            words: run.insulation_in(k).value().map_or(unknown, |kind| kind.in_words()),
            is_cable: false,
        },
    };
    let mut kinds: Vec<SoldAs> = Vec::new();
    for k in 0..run.segments.len().max(1) {
        if !kinds.contains(&of(k)) {
            kinds.push(of(k));
        }
    }
    // Bought all alike, the length is that of the circuit.
    if let [kind] = kinds.as_slice() {
        return vec![(kind.clone(), sized.length.clone())];
    }
    let parts = |kind: &SoldAs| length_of_parts(run, |k| of(k) == *kind);
    kinds.iter().map(|kind| (kind.clone(), parts(kind))).collect()
}

/// Length of the parts for which `counts` holds.
fn length_of_parts(run: &Run, counts: impl Fn(usize) -> bool) -> Fact<Length> {
    let parts = run.segments.iter().enumerate().filter(|(k, _)| counts(*k));
    let parts = parts.map(|(k, part)| (Arc::from(format!("part {}", k + 1)), part.length.clone()));
    crate::fit::sum_of(parts.collect(), &units::METER)
}

/// Length over which a ground lies beside the conductors; `None` where cable brings its own all the way.
fn beside_cable(run: Option<&Run>, sized: &wiring::Sized) -> Option<Fact<Length>> {
    let Some(run) = run else { return Some(sized.length.clone()) };
    let in_cable = |k: usize| {
        run.segments.get(k).is_some_and(|s| s.raceway.value().is_some_and(|raceway| raceway.is_cable()))
    };
    let parts = run.segments.len();
    match (0..parts).filter(|k| in_cable(*k)).count() {
        0 => Some(sized.length.clone()),
        all if all == parts => None,
        _ => Some(length_of_parts(run, |k| !in_cable(k))),
    }
}

/// The largest equipment ground of the circuits that share a run.
fn ground_of<'s>(schedule: &'s Schedule, sized: &wiring::Sized) -> Option<&'s Traced<Gauge>> {
    schedule
        .circuits
        .iter()
        .filter(|other| other.name == sized.name || (sized.run.is_some() && other.run == sized.run))
        .filter_map(|other| other.ground.known())
        .max_by(|a, b| a.value.cmp(&b.value))
}

fn raceway(design: &Design, schedule: &Schedule, lines: &mut Vec<Line>) {
    let mut sums: BTreeMap<String, Lengths> = BTreeMap::new();
    for row in &schedule.raceways {
        let Some(run) = design.system.runs.get(row.run.0) else { continue };
        let Some(segment) = run.segments.get(row.segment) else { continue };
        let kind = match &row.raceway {
            Fact::Known(Traced { value: Raceway::Kind(kind), .. }) => kind.in_words().to_string(),
            Fact::Known(_) => continue,
            Fact::Unknown(_) => "raceway".to_string(),
        };
        let trade = row.fill.as_ref().and_then(|fill| fill.value()).map(|fill| fill.trade.value.to_string());
        let item = match trade {
            Some(trade) => format!("{kind} {trade}"),
            None => format!("{kind}, size not known yet"),
        };
        let fill = row.fill.as_ref().and_then(|fill| fill.known());
        let each = match fill {
            Some(fill) => {
                let size = Term::words(
                    "trade size",
                    fill.value.trade.value.to_string(),
                    fill.value.trade.origin.clone(),
                );
                of_this_size(segment.length.clone(), &units::METER, size)
            }
            None => segment.length.clone(),
        };
        let length = (0..row.raceways.max(1))
            .map(|_| (Arc::from(format!("{} part {}", run.name, row.segment + 1)), each.clone()));
        sums.entry(item).or_default().extend(length);
    }
    for (item, parts) in sums {
        let mut serves: Vec<Arc<str>> = parts.iter().map(|(name, _)| name.clone()).collect();
        serves.dedup();
        let length = crate::fit::sum_of(parts, &units::METER);
        let named = item.to_lowercase();
        let stocked = design
            .system
            .stock
            .iter()
            .find(|s| s.raceway.as_ref().is_some_and(|r| r.to_lowercase() == named));
        let price = match stocked {
            Some(stock) => Fact::Known(stock.price.with(Money::from_units(stock.price.value))),
            None => Fact::unknown("stock", WhoKnows::SupplyHouse),
        };
        let mut line = Line::by_length(Group::Raceway, item, serves, length, price);
        if let Some(piece) = stocked.and_then(|s| s.sold_by.as_ref()).and_then(|p| p.si())
            && let Some(length) = line.length.as_ref().and_then(|l| l.si())
        {
            line.note = format!("{} pieces", bill::pieces(length, piece)).into();
        }
        lines.push(line);
    }
}
