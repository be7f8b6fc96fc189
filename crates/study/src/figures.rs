//! The one name of every number.

use crate::Study;
use quantity::{Fact, Figure, FigureName, MONTH_KEYS as MONTHS, Measure, Traced, Value};
use std::collections::BTreeMap;

struct List(BTreeMap<FigureName, Figure>);

impl List {
    fn known<T: Measure>(&mut self, name: &[&str], says: &str, traced: &Traced<T>) {
        let name = FigureName::new(name);
        let figure = Figure {
            name: name.clone(),
            says: says.to_string(),
            value: Value::from(traced),
            origin: traced.origin.clone(),
        };
        self.0.insert(name, figure);
    }

    fn fact<T: Measure>(&mut self, name: &[&str], says: &str, fact: &Fact<T>) {
        if let Fact::Known(traced) = fact {
            self.known(name, says, traced);
        }
    }
}

/// Every figure of a study by its name; unknown ones have none.
pub(crate) fn figures(study: &Study) -> BTreeMap<FigureName, Figure> {
    let mut list = List(BTreeMap::new());
    strings(study, &mut list);
    modules(study, &mut list);
    fit(study, &mut list);
    demand(study, &mut list);
    savings(study, &mut list);
    light(study, &mut list);
    year(study, &mut list);
    wiring(study, &mut list);
    for figure in crate::states::figures(study).into_iter().chain(crate::service::figures(study)) {
        list.0.insert(figure.name.clone(), figure);
    }
    for figure in crate::terminals::figures(study).into_iter().chain(crate::precharge::figures(study)) {
        list.0.insert(figure.name.clone(), figure);
    }
    let wires = crate::conductor_loss::figures(study).into_iter().chain(crate::buildings::figures(study));
    for figure in wires.chain(crate::neutrals::figures(study)) {
        list.0.insert(figure.name.clone(), figure);
    }
    let protective = crate::watched::figures(study).into_iter().chain(crate::disconnection::figures(study));
    for figure in crate::places::figures(study).into_iter().chain(protective) {
        list.0.insert(figure.name.clone(), figure);
    }
    bill(study, &mut list);
    money(study, &mut list);
    list.0
}

fn strings(study: &Study, list: &mut List) {
    for s in &study.strings {
        let name = |what: &'static str| ["strings", &s.name, what].map(str::to_string);
        macro_rules! put {
            ($what:literal, $says:literal, $field:ident) => {
                let path = name($what);
                list.fact(&path.each_ref().map(String::as_str), &format!("{}: {}", s.name, $says), &s.$field);
            };
        }
        put!("cold-voc", "highest open-circuit voltage, coldest morning", cold_voc);
        put!("cold-voc-by-table", "the same by the table of factors", cold_voc_by_table);
        put!("cold-voc-each", "cold open-circuit voltage of one module", cold_voc_each);
        put!("label-vmp", "voltage at maximum power, label conditions", label_vmp);
        put!("hot-vmp", "voltage at maximum power, hottest afternoon", hot_vmp);
        put!("hot-vmp-each", "hot voltage at maximum power of one module", hot_vmp_each);
        put!("cold-vmp", "voltage at maximum power, coldest morning", cold_vmp);
        put!("limit", "lowest voltage limit", limit);
        put!("longest", "most modules in series", longest);
        put!("shortest", "fewest modules in series", shortest);
    }
}

fn modules(study: &Study, list: &mut List) {
    for module in &study.modules {
        let Ok(curve) = &module.curve else { continue };
        let says = |what: &str| format!("{}: {what}", module.name);
        let name = |what: &'static str| ["modules", &module.name, what];
        list.known(&name("apart"), &says("largest difference of curve and sheet"), &curve.apart);
        list.known(&name("light-current"), &says("light current"), &curve.light);
        list.known(&name("series-resistance"), &says("resistance in series"), &curve.series);
        if let Some(shunt) = &curve.shunt {
            list.known(&name("shunt-resistance"), &says("resistance across"), shunt);
        }
        list.known(&name("ideality"), &says("ideality of one cell"), &curve.ideality);
        list.known(&name("voltage-change"), &says("voltage by heat, by the curve"), &curve.voltage_change);
        list.known(&name("power-change"), &says("power by heat, by the curve"), &curve.power_change);
    }
}

fn fit(study: &Study, list: &mut List) {
    for input in &study.inputs {
        let number = format!("input {}", input.input);
        let says = |what: &str| format!("{} {number}: {what}", input.unit);
        list.fact(
            &["inputs", &input.unit, &number, "isc"],
            &says("short-circuit currents together"),
            &input.isc,
        );
        list.fact(&["inputs", &input.unit, &number, "maximum"], &says("maximum current"), &input.maximum);
        list.fact(
            &["inputs", &input.unit, &number, "imp"],
            &says("currents at maximum power together"),
            &input.imp,
        );
        list.fact(
            &["inputs", &input.unit, &number, "power"],
            &says("rated power of its modules"),
            &input.power,
        );
    }
    for bank in &study.banks {
        let says = |what: &str| format!("{}: {what}", bank.name);
        list.fact(&["banks", &bank.name, "capacity"], &says("energy when full"), &bank.capacity);
        list.fact(&["banks", &bank.name, "charge"], &says("ampere-hours"), &bank.charge);
        list.fact(&["banks", &bank.name, "usable"], &says("energy used from day to day"), &bank.usable);
        if let Some(share) = &bank.share {
            let what = says("greatest share of the current of its bus that it carries");
            list.fact(&["banks", &bank.name, "share"], &what, share);
        }
        list.fact(&["banks", &bank.name, "voltage"], &says("nominal voltage"), &bank.nominal);
        list.fact(
            &["banks", &bank.name, "charge-limit"],
            &says("charge current it takes"),
            &bank.charge_limit,
        );
        list.fact(
            &["banks", &bank.name, "charge-offered"],
            &says("charge current it may be sent"),
            &bank.charge_offered,
        );
        list.fact(
            &["banks", &bank.name, "discharge-limit"],
            &says("discharge current it gives"),
            &bank.discharge_limit,
        );
        list.fact(
            &["banks", &bank.name, "discharge-asked"],
            &says("current asked of it at lowest voltage"),
            &bank.discharge_asked,
        );
        list.fact(&["banks", &bank.name, "peak-limit"], &says("peak current it gives"), &bank.peak_limit);
        list.fact(
            &["banks", &bank.name, "lowest-voltage"],
            &says("lowest voltage at full output"),
            &bank.volts.lowest,
        );
        list.fact(
            &["banks", &bank.name, "autonomy"],
            &says("time it carries the mean day without sun"),
            &bank.autonomy,
        );
        list.fact(&["banks", &bank.name, "highest-voltage"], &says("highest voltage"), &bank.volts.highest);
        if let Some(held) = &bank.held_warm {
            let named = |what: &'static str| ["banks", &bank.name, what];
            list.fact(&named("heater-steady"), &says("heat that holds it in the coldest air"), &held.steady);
            list.fact(&named("heater-daily"), &says("energy of a day of that heat"), &held.daily);
            list.fact(&named("heater-warming"), &says("energy that warms it once"), &held.warming);
        }
    }
    for leg in &study.legs {
        let name = format!("leg {:?}", leg.leg);
        list.fact(
            &["legs", &name, "running"],
            &format!("{name}: everything listed running at once"),
            &leg.all_running,
        );
        list.fact(&["legs", &name, "limit"], &format!("{name}: continuous output of its units"), &leg.limit);
    }
    for start in &study.starts {
        let leg = format!("leg {:?}", start.leg).to_lowercase();
        list.fact(
            &["starts", &start.load, "together"],
            &format!("{} starting, with everything else on {leg}", start.load),
            &start.together,
        );
        list.fact(
            &["starts", &start.load, "limit"],
            &format!("{} starting: short overload on {leg}", start.load),
            &start.limit,
        );
    }
    list.fact(&["inverters", "output"], "continuous output of all inverters", &study.stack.output);
    list.fact(&["inverters", "surge"], "short overload of all inverters", &study.stack.surge);
    list.fact(&["inverters", "idle"], "idle draw of all inverters", &study.stack.idle);
    list.fact(&["inverters", "idle-yearly"], "energy of the idle draw in a year", &study.stack.idle_yearly);
    if let Some((name, start)) = &study.stack.largest_start {
        list.fact(&["loads", name, "largest-start"], &format!("{name}: largest start of a motor"), start);
    }
}

fn demand(study: &Study, list: &mut List) {
    for load in &study.demand.loads {
        list.fact(
            &["loads", &load.name, "daily"],
            &format!("{}: energy of a day of use", load.name),
            &load.daily,
        );
        list.fact(
            &["loads", &load.name, "yearly"],
            &format!("{}: energy of a year", load.name),
            &load.yearly,
        );
        if let Some(start) = &load.start {
            list.fact(
                &["loads", &load.name, "start"],
                &format!("{}: apparent power while starting", load.name),
                start,
            );
        }
    }
    list.fact(&["loads-total", "yearly"], "energy of all loads in a year", &study.demand.yearly);
    list.fact(&["loads-total", "daily"], "mean energy of all loads in a day", &study.demand.daily);
    for (month, name) in study.demand.months.iter().flatten().zip(MONTHS) {
        list.known(&["loads-total", name], &format!("energy of all loads in {name}"), month);
    }
    if let Some(difference) = &study.demand.difference {
        list.known(&["loads-total", "against-bills"], "bills less list over bills", difference);
    }
}

fn savings(study: &Study, list: &mut List) {
    for saving in &study.savings {
        let says = |what: &str| format!("{}: {what}", saving.name);
        list.fact(&["savings", &saving.name, "yearly"], &says("saved in a year"), &saving.yearly);
        list.fact(
            &["savings", &saving.name, "daily"],
            &says("saved on a day of the critical month"),
            &saving.daily,
        );
        list.fact(&["savings", &saving.name, "array"], &says("array spared"), &saving.array);
        list.fact(&["savings", &saving.name, "battery"], &says("battery spared"), &saving.battery);
        list.fact(&["savings", &saving.name, "spared"], &says("money spared"), &saving.spared);
    }
}

fn light(study: &Study, list: &mut List) {
    for found in study.finders.iter().flatten() {
        for best in &found.best {
            let key = best.purpose.key();
            let says = |what: &str| format!("{}: {}, {what}", found.plane, best.purpose.in_words());
            list.known(&["planes", &found.plane, key, "best-tilt"], &says("tilt"), &best.tilt);
            list.known(&["planes", &found.plane, key, "best-bearing"], &says("bearing"), &best.bearing);
            list.known(&["planes", &found.plane, key, "given-up"], &says("given up here"), &best.given_up);
        }
        for each in &found.seasonal {
            let says = format!("{}: gain of {}", found.plane, each.says);
            list.known(&["planes", &found.plane, &format!("gain of {}", each.says)], &says, &each.gain);
        }
    }
    for plane in study.planes.iter().flatten() {
        list.known(
            &["planes", &plane.name, "sun-hours"],
            &format!("{}: mean sun hours a day", plane.name),
            &plane.daily,
        );
        if let Some(shade) = &plane.shade {
            let says = format!("{}: light taken by horizon, obstacles and rows", plane.name);
            list.known(&["planes", &plane.name, "shade"], &says, shade);
        }
        if let Some(days) = &plane.snow_days {
            let says = format!("{}: days a year with snow on it at noon", plane.name);
            list.known(&["planes", &plane.name, "snow-days"], &says, days);
        }
        if let Some(rear) = &plane.rear {
            let says = format!("{}: light on the backs over light on the fronts", plane.name);
            list.known(&["planes", &plane.name, "rear"], &says, rear);
        }
    }
}

fn year(study: &Study, list: &mut List) {
    let Ok(year) = &study.year else { return };
    list.known(&["year", "load"], "wanted in the middling year", &year.load);
    list.known(&["year", "pv"], "offered by the modules", &year.pv);
    list.known(&["year", "own-share"], "share of the load from sun and battery", &year.own_share);
    list.known(&["year", "backup"], "energy from utility or generator", &year.backup);
    list.known(&["year", "backup-hours"], "hours on utility or generator", &year.backup_hours);
    list.known(&["year", "dark-hours"], "hours in which a must-load is missing", &year.dark_hours);
    list.known(&["year", "missing"], "load not served", &year.missing);
    list.known(&["year", "unused"], "offered and taken by nothing", &year.unused);
    list.known(&["year", "exported"], "fed to the utility", &year.exported);
    list.known(&["year", "idle"], "taken by the idle draw", &year.idle);
    list.known(&["year", "fuel"], "litres of fuel", &year.fuel_l);
    list.known(&["year", "full-cycles"], "equivalent full cycles of the battery", &year.full_cycles);
    list.known(&["year", "throughput"], "energy out of the cells", &year.throughput);
    list.known(&["year", "starts"], "how often utility or generator took over", &year.starts);
    list.known(&["year", "heater"], "taken by the heater of the battery", &year.heater);
    list.known(
        &["year", "unused-for-cold"],
        "unused because the battery was too cold",
        &year.unused_for_cold,
    );
    for (missing, tier) in year.missing_by_tier.iter().zip(["must", "want", "luxury"]) {
        list.known(&["year", &format!("missing-{tier}")], &format!("not served of {tier}"), missing);
    }
    if let Some(ratio) = &year.performance_ratio {
        list.known(
            &["year", "performance-ratio"],
            "AC energy from the sun over what the label promises",
            ratio,
        );
    }
    if let Some(life) = &year.life {
        list.known(&["year", "battery-life"], "years until the battery is worn", &life.years);
        list.known(&["year", "battery-lost-in-ten"], "capacity lost in ten years", &life.lost_in_ten);
    }
    for (rate, bought, sold) in &year.by_rate {
        list.known(&["year", "rates", rate, "bought"], &format!("bought at {rate}"), bought);
        list.known(&["year", "rates", rate, "sold"], &format!("sold at {rate}"), sold);
    }
    for input in &year.inputs {
        let number = format!("input {}", input.number);
        let says = |what: &str| format!("{} {number}: {what}", input.unit);
        list.known(
            &["inputs", &input.unit, &number, "hourly-voc"],
            &says("highest open-circuit voltage of any hour"),
            &input.highest,
        );
        for (cause, lost) in &input.lost {
            let says = says(&format!("lost to {cause}"));
            list.known(&["inputs", &input.unit, &number, "lost", cause], &says, lost);
        }
    }
    for load in &year.waited {
        let says = |what: &str| format!("{}: {what}", load.name);
        list.known(&["year", "waited", &load.name, "on-sun"], &says("moved onto spare sun"), &load.on_sun);
        list.known(
            &["year", "waited", &load.name, "without-sun"],
            &says("run at the end of its hours without sun"),
            &load.without_sun,
        );
    }
    for broken in &year.broken {
        let says = |what: &str| format!("without {}: {what}", broken.unit);
        list.known(&["year", "without", &broken.unit, "dark-hours"], &says("dark hours"), &broken.dark);
        list.known(
            &["year", "without", &broken.unit, "worst-dark-hours"],
            &says("dark hours, worst year"),
            &broken.worst_dark,
        );
        list.known(
            &["year", "without", &broken.unit, "backup-hours"],
            &says("hours on utility or generator"),
            &broken.backup,
        );
    }
    for (cause, loss) in &year.losses {
        list.known(&["year", "losses", cause], &format!("lost: {cause}"), loss);
    }
    for (month, name) in year.months.iter().zip(MONTHS) {
        let says = |what: &str| format!("{name}: {what}");
        list.known(&["year", name, "load"], &says("wanted"), &month.load);
        list.known(&["year", name, "pv"], &says("offered by the modules"), &month.pv);
        list.known(&["year", name, "from-sun"], &says("straight from the sun"), &month.from_sun);
        list.known(&["year", name, "from-battery"], &says("through the battery"), &month.from_battery);
        list.known(&["year", name, "backup"], &says("from utility or generator"), &month.backup);
        list.known(&["year", name, "missing"], &says("not served"), &month.missing);
        list.known(&["year", name, "unused"], &says("unused"), &month.unused);
        list.known(&["year", name, "exported"], &says("fed to the utility"), &month.exported);
        list.known(&["year", name, "lowest-charge"], &says("lowest state of charge"), &month.lowest);
    }
    if let Some(worst) = &year.worst_month {
        let name = MONTHS[worst.month];
        let says = |what: &str| format!("mean day of {name}, covered least: {what}");
        list.known(&["year", "worst-month", "sun"], &says("hours of full sun"), &worst.sun);
        list.known(
            &["year", "worst-month", "factor"],
            &says("share that reaches the outlets"),
            &worst.factor,
        );
        list.known(&["year", "worst-month", "own-draw"], &says("taken by the equipment"), &worst.own_draw);
        list.known(&["year", "worst-month", "need"], &says("needed"), &worst.need);
        list.known(&["year", "worst-month", "made"], &says("brought to the outlets"), &worst.made);
        list.known(&["year", "worst-month", "covered"], &says("brought over needed"), &worst.covered);
        if let Some(array) = &worst.array_needed {
            list.known(&["year", "worst-month", "array-needed"], &says("array that covers it"), array);
        }
        if let Some(hours) = &worst.generator_hours {
            list.known(
                &["year", "worst-month", "generator-hours"],
                &format!("{name}, covered least: hours of the generator"),
                hours,
            );
        }
    }
    if let Some(drill) = &year.drill {
        list.known(&["year", "drill", "dark-hours"], "dark hours of the drill, middling year", &drill.dark);
        list.known(
            &["year", "drill", "worst-dark-hours"],
            "dark hours of the drill, worst year",
            &drill.worst_dark,
        );
        list.known(
            &["year", "drill", "held-dark-hours"],
            "dark hours of the drill from the share held back, middling year",
            &drill.held_dark,
        );
        list.known(
            &["year", "drill", "held-worst-dark-hours"],
            "dark hours of the drill from the share held back, worst year",
            &drill.held_worst_dark,
        );
    }
}

fn wiring(study: &Study, list: &mut List) {
    let Ok(schedule) = &study.wiring else { return };
    for sized in &schedule.circuits {
        for figure in sized.figures() {
            list.0.insert(figure.name.clone(), figure);
        }
        let run = sized.run.and_then(|run| study.design.system.runs.get(run.0));
        if let Some(device) = run.and_then(|run| run.device.as_ref()) {
            let says = format!("{}: current its device is rated to interrupt", sized.name);
            list.fact(&["circuits", &sized.name, "interrupting"], &says, &device.interrupting);
        }
    }
    for cable in &study.design.system.cables {
        let says = |what: &str| format!("{}: {what}", cable.name);
        list.fact(&["cables", &cable.name, "length"], &says("length"), &cable.length);
        list.fact(&["cables", &cable.name, "longest"], &says("longest it may be"), &cable.longest);
    }
    for joint in &schedule.joints {
        if let Some(run) = study.design.system.runs.get(joint.run.0) {
            for figure in joint.figures(run) {
                list.0.insert(figure.name.clone(), figure);
            }
        }
    }
    for stretch in &schedule.stretches {
        if let Some(run) = study.design.system.runs.get(stretch.run.0) {
            for figure in stretch.figures(run) {
                list.0.insert(figure.name.clone(), figure);
            }
        }
    }
    for row in &schedule.raceways {
        if let Some(run) = study.design.system.runs.get(row.run.0) {
            for figure in row.figures(run) {
                list.0.insert(figure.name.clone(), figure);
            }
        }
    }
}

fn bill(study: &Study, list: &mut List) {
    for line in &study.bill.lines {
        let says = |what: &str| format!("{}: {what}", line.item);
        let group = line.group.in_words();
        if let Some(pieces) = &line.pieces {
            list.fact(&["bill", group, &line.item, "pieces"], &says("pieces"), pieces);
        }
        if let Some(length) = &line.length {
            list.fact(&["bill", group, &line.item, "length"], &says("length to buy"), length);
        }
        list.fact(&["bill", group, &line.item, "total"], &says("sum"), &line.total);
    }
    list.known(&["bill", "total"], "sum of everything with a price", &study.bill.total);
}

fn money(study: &Study, list: &mut List) {
    let Some(money) = &study.money else { return };
    for (bills, key, says) in [
        (&money.bills, "bills", "bills of the utility"),
        (&money.bills_without, "all-bought", "bills of the utility if all were bought"),
    ] {
        let Some(Ok(bills)) = bills else { continue };
        list.known(&["money", key, "a-year"], &format!("{says}, a mean weather year"), &bills.a_year);
        for (bill, month) in bills.months.iter().zip(MONTHS) {
            list.known(&["money", key, month], &format!("{says}, {month}"), bill);
        }
        for (rate, bought) in &bills.bought {
            list.known(&["money", key, "bought", rate], &format!("{says}: bought, {rate}"), bought);
        }
        list.known(&["money", key, "fed-in"], &format!("{says}: fed in"), &bills.fed);
    }
    if let Some(fuel) = &money.fuel {
        list.fact(&["money", "fuel"], "fuel of a mean weather year", fuel);
    }
    list.fact(&["money", "upkeep"], "upkeep of a year", &money.upkeep);
    list.fact(&["money", "purchase"], "purchase with what is set aside", &money.purchase);
    if let Ok(a_year) = &money.a_year {
        list.known(&["money", "a-year"], "bills, fuel and upkeep of a mean weather year", a_year);
    }
    let Ok(life) = &money.life else { return };
    list.known(&["money", "over-the-years"], "all costs of the years in today's money", &life.total);
    for (what, worth) in &life.parts {
        list.known(&["money", "over-the-years", what], &format!("{what}, worth today"), worth);
    }
    if let Some(each) = &life.per_kwh {
        list.known(&["money", "per-kwh"], "cost of a kWh served over the years", each);
    }
    for (what, lasts, price) in &life.again {
        list.known(&["money", "again", what, "years"], &format!("{what}: whole years it lasts"), lasts);
        list.known(&["money", "again", what, "price"], &format!("{what}: price of today"), price);
    }
    for other in life.against.iter().flatten() {
        let says = |what: &str| format!("{}: {what}", other.name);
        list.known(
            &["money", "beside", other.name, "total"],
            &says("all costs in today's money"),
            &other.total,
        );
        list.known(
            &["money", "beside", other.name, "more"],
            &says("costs more than the system"),
            &other.gain,
        );
        if let Some(years) = &other.payback {
            list.known(&["money", "beside", other.name, "payback"], &says("simple payback, years"), years);
        }
        if let Some(years) = &other.payback_discounted {
            let says = says("payback in today's money, years");
            list.known(&["money", "beside", other.name, "payback-discounted"], &says, years);
        }
    }
}
