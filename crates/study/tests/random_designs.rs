//! What must hold of the wiring of any design, over random ones written as text and read like any other.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use design::Design;
use quantity::Value;
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::sync::Arc;
use study::{Depth, Memo, Study};
use wiring::Sized;

/// A small generator of whole numbers, so that the houses are the same everywhere.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) % n as u64) as usize
    }

    /// A number between two, in hundredths of the way.
    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.below(101) as f64 / 100.0
    }

    fn of<T: Copy>(&mut self, all: &[T]) -> T {
        all[self.below(all.len())]
    }
}

/// What is drawn at random of a house. Lengths in feet, temperatures in °C, currents in ampere.
#[derive(Clone)]
struct House {
    rules: &'static str,
    modules: Vec<usize>,
    isc: f64,
    output_kw: f64,
    units: usize,
    room_hottest: f64,
    field_hottest: f64,
    feet: [f64; 4],
    field_raceway: &'static str,
    insulation: &'static str,
    metal: &'static str,
    /// Stated for every run, else found.
    conductor: Option<&'static str>,
    drop_target: f64,
    metric: bool,
    /// Turns the order of everything that stands side by side.
    turned: bool,
}

impl House {
    fn of(dice: &mut Dice) -> House {
        House {
            rules: dice.of(&["nec-2020", "nec-2023", "nec-2026"]),
            modules: (0..1 + dice.below(2)).map(|_| 4 + dice.below(5)).collect(),
            isc: dice.between(8.0, 15.0),
            output_kw: dice.between(2.0, 8.0),
            units: 1 + dice.below(4),
            room_hottest: dice.between(25.0, 38.0),
            field_hottest: dice.between(28.0, 44.0),
            feet: [
                dice.between(20.0, 300.0),
                dice.between(4.0, 40.0),
                dice.between(3.0, 12.0),
                dice.between(4.0, 80.0),
            ],
            field_raceway: dice.of(&["pvc-40", "pvc-80", "emt"]),
            insulation: dice.of(&["thwn-2", "xhhw-2", "rhw-2 use-2"]),
            metal: dice.of(&["copper", "copper", "aluminum"]),
            conductor: None,
            drop_target: dice.of(&[0.5, 2.0, 3.0]),
            metric: false,
            turned: false,
        }
    }

    fn length(&self, feet: f64) -> String {
        if self.metric { format!("\"{:.9} m\"", feet * 0.3048) } else { format!("\"{feet} ft\"") }
    }

    fn celsius(&self, celsius: f64) -> String {
        if self.metric {
            format!("\"{celsius} °C\"")
        } else {
            format!("\"{:.9} °F\"", celsius * 1.8 + 32.0)
        }
    }

    fn order(&self, mut blocks: Vec<String>) -> String {
        if self.turned {
            blocks.reverse();
        }
        blocks.concat()
    }

    fn run(&self, name: &str, ends: &str, route: &str, metal: &str) -> String {
        let fixed = self.conductor.map_or(String::new(), |size| format!("conductor = \"{size}\"\n"));
        format!(
            "[[run]]\nname = \"{name}\"\n{ends}\nterminals = \"75 °C\"\nmaterial = \"{metal}\"\ndrop_target = \"{} %\"\n\
             insulation = \"{}\"\n{fixed}route = [{route}]\n\n",
            self.drop_target, self.insulation
        )
    }

    fn text(&self) -> String {
        let mut text = format!(
            "wattwright = 1\ntitle = \"Any\"\nunits = \"{}\"\ncurrency = \"USD\"\n\n\
             [place]\nlatitude = 42.0\nlongitude = -118.0\nelevation = {}\nzone = \"America/Los_Angeles\"\nrules = \"{}\"\n\
             dwelling = \"one-family\"\ncoldest = {{ value = {}, basis = \"mean of yearly extremes\" }}\n\
             hottest = {{ value = {}, basis = \"hottest month\" }}\n\n",
            if self.metric { "metric" } else { "us" },
            self.length(4000.0),
            self.rules,
            self.celsius(-20.0),
            self.celsius(self.field_hottest),
        );
        let imp = self.isc * 0.94;
        let _ = write!(
            text,
            "[module.m]\npower = \"{} W\"\nvoc = \"49.5 V\"\nisc = \"{} A\"\nvmp = \"41.5 V\"\nimp = \"{imp} A\"\n\
             voc_per_kelvin = \"-0.27 %/K\"\nvmp_per_kelvin = \"-0.35 %/K\"\npmax_per_kelvin = \"-0.34 %/K\"\n\
             isc_per_kelvin = \"0.05 %/K\"\ncells = {{ in_series = 72, in_parallel = 2, bypass_diodes = 3 }}\n\
             series_fuse = \"40 A\"\nsystem_voltage = \"1000 V\"\n\n\
             [inverter.i]\noutput = \"{} kW\"\nvolts = \"120/240\"\nefficiency = {{ \"100 %\" = \"92 %\" }}\n\
             neutral_bond = \"none\"\ncharge = \"60 A\"\nfault_current = \"60 A\"\nbattery_range = [\"44 V\", \"60 V\"]\n\
             pv_input = [\n{}]\n\n\
             [battery.b]\nchemistry = \"lfp\"\nnominal = \"51.2 V\"\ncapacity = \"100 Ah\"\n\
             current = {{ charge = \"50 A\", discharge = \"100 A\", peak = \"150 A\" }}\ncut_off = \"46 V\"\n\
             charge_voltage = \"56.8 V\"\nshort_circuit = \"2 kA\"\nunits_in_parallel = 8\n\n\
             [[building]]\nname = \"shed\"\nkind = \"workshop\"\n\n\
             [[room]]\nname = \"corner\"\nbuilding = \"shed\"\nbetween = [{}, {}]\n\n\
             [[plane]]\nname = \"rack\"\nmount = \"ground rack\"\ntilt = \"45°\"\nbearing = \"180°\"\n\n",
            41.5 * imp,
            self.isc,
            self.output_kw,
            "  { voltage_limit = \"500 V\", tracks = [\"120 V\", \"460 V\"], current = \"20 A\", short_circuit = \"30 A\", back_feed = \"0 A\" },\n"
                .repeat(self.modules.len()),
            self.celsius(5.0),
            self.celsius(self.room_hottest),
        );
        let strings = self.modules.iter().enumerate().map(|(k, count)| {
            format!(
                "[[string]]\nname = \"row {k}\"\nplane = \"rack\"\nmodule = \"m\"\ncount = {count}\n\
                 into = {{ unit = \"inverter\", input = {} }}\n\n",
                k + 1
            )
        });
        text += &self.order(strings.collect());
        let _ = write!(
            text,
            "[[unit]]\nname = \"inverter\"\ninverter = \"i\"\nbank = \"bank\"\nroom = \"corner\"\n\n\
             [[bank]]\nname = \"bank\"\nbattery = \"b\"\nparallel = {}\nroom = \"corner\"\n\n\
             [[panel]]\nname = \"panel\"\nfed_by = [\"inverter\"]\nvolts = \"120/240\"\nbus = \"200 A\"\nbond = \"yes\"\nbuilding = \"shed\"\n\n",
            self.units
        );
        let [field, inside, bus, out] = self.feet.map(|feet| self.length(feet));
        let here = |length: &str, raceway: &str| {
            format!(
                "{{ length = {length}, where = \"indoors\", room = \"corner\", raceway = \"{raceway}\" }}"
            )
        };
        let mut carried: Vec<String> = (0..self.modules.len()).map(|k| format!("\"row {k}\"")).collect();
        if self.turned {
            carried.reverse();
        }
        let down = format!(
            "{{ length = {field}, where = \"outdoors\", raceway = \"{}\", hottest = {} }}, {}",
            self.field_raceway,
            self.celsius(self.field_hottest),
            here(&inside, "emt")
        );
        let runs = vec![
            self.run("down", &format!("carries = [{}]", carried.join(", ")), &down, "copper"),
            self.run("bus", "between = [\"bank\", \"inverter\"]", &here(&bus, "emt"), "copper"),
            self.run("out", "between = [\"inverter\", \"panel\"]", &here(&out, "emt"), self.metal),
            self.run("links", "between = [\"bank\", \"bank\"]", &here(&bus, "open"), "copper"),
        ];
        text + &self.order(runs)
    }

    fn study(&self) -> Study {
        let text = self.text();
        let design = Arc::new(Design::of_text(&text));
        assert!(design.problems.is_empty(), "{text}\n{:#?}", design.problems);
        Study::of(design, None, Depth::WithoutYear, &mut Memo::default())
    }
}

/// Each random house with its own study.
fn houses() -> impl Iterator<Item = (House, Study)> {
    let mut dice = Dice(7);
    (0..24).map(move |_| House::of(&mut dice)).map(|house| {
        let study = house.study();
        let sized = study.wiring.as_ref().unwrap();
        assert!(sized.circuits.len() >= 3 && sized.circuits.iter().any(|c| c.conductor.is_known()));
        (house, study)
    })
}

fn circuits(study: &Study) -> BTreeMap<&str, &Sized> {
    study.wiring.as_ref().unwrap().circuits.iter().map(|sized| (&*sized.name, sized)).collect()
}

/// Ampere that the conductors of one pole bear at the terminals' temperature, before factors: how large they are also
/// where two in parallel take the place of one. None where no size suffices.
fn size(sized: &Sized) -> Option<f64> {
    Some(sized.conductor.value()?.tests.terminal.offers.si())
}

/// No circuit of the second has smaller conductors than in the first, and none is found only in the second.
fn never_smaller(what: &str, house: &House, first: &Study, second: &Study) -> usize {
    let after = circuits(second);
    let mut larger = 0;
    for (name, before) in circuits(first) {
        match (size(before), size(after[name])) {
            (Some(before), Some(after)) => {
                assert!(after >= before, "{what}, {name}: {before} A and then {after} A\n{}", house.text());
                larger += usize::from(after > before);
            }
            (None, Some(_)) => panic!("{what}, {name}: a size is found only then\n{}", house.text()),
            (_, None) => {}
        }
    }
    larger
}

fn ampacities(study: &Study) -> BTreeMap<String, f64> {
    let of_segments =
        study.figures.values().filter(|figure| figure.name.to_string().contains("/ampacity-in-segment-"));
    of_segments
        .filter_map(|figure| match figure.value {
            Value::Number { si, .. } => Some((figure.name.to_string(), si)),
            _ => None,
        })
        .collect()
}

#[test]
fn a_longer_run_is_never_smaller_and_drops_more_at_the_same_size() {
    let mut larger = 0;
    for (house, study) in houses() {
        let long = House { feet: house.feet.map(|feet| feet * 1.7), ..house.clone() };
        larger += never_smaller("longer", &house, &study, &long.study());
        let fixed = |house: &House| House { conductor: Some("2/0 AWG"), ..house.clone() }.study();
        let (short, long) = (fixed(&house), fixed(&long));
        let after = circuits(&long);
        for (name, before) in circuits(&short) {
            let (Some(before), Some(after)) = (before.drop.si(), after[name].drop.si()) else {
                panic!("{name}: {:?}\n{}", before.drop, house.text())
            };
            assert!(after > before * 1.69 && after < before * 1.71, "{name}: {before} V and then {after} V");
        }
    }
    assert!(larger > 0, "no run was long enough to matter");
}

#[test]
fn more_current_never_takes_a_smaller_size() {
    let mut larger = 0;
    for (house, study) in houses() {
        let strong = House { isc: house.isc * 1.3, output_kw: house.output_kw * 1.4, ..house.clone() };
        larger += never_smaller("more current", &house, &study, &strong.study());
    }
    assert!(larger > 10, "only {larger} circuits grew");
}

#[test]
fn heat_never_raises_what_a_conductor_carries() {
    let mut less = 0;
    for (house, study) in houses() {
        let hot = House {
            room_hottest: house.room_hottest + 12.0,
            field_hottest: house.field_hottest + 12.0,
            ..house.clone()
        };
        never_smaller("hotter", &house, &study, &hot.study());
        let fixed = |house: &House| House { conductor: Some("2/0 AWG"), ..house.clone() }.study();
        let (cool, hot) = (ampacities(&fixed(&house)), ampacities(&fixed(&hot)));
        assert!(!cool.is_empty());
        for (name, before) in &cool {
            assert!(hot[name] <= *before, "{name}: {before} A and hotter {} A", hot[name]);
            less += usize::from(hot[name] < *before);
        }
    }
    assert!(less > 20, "only {less} segments carried less");
}

/// The same figures of the wiring by name: sizes and words alike, numbers to a billionth.
fn same_wiring(what: &str, one: &Study, other: &Study) {
    let of_wiring = |study: &Study| -> BTreeMap<String, Value> {
        let groups = ["circuits/", "raceways/", "lock-out/", "bonds/"];
        let mine = |name: &str| groups.iter().any(|group| name.starts_with(group));
        study
            .figures
            .values()
            .map(|f| (f.name.to_string(), f.value.clone()))
            .filter(|(name, _)| mine(name))
            .collect()
    };
    let (one, other) = (of_wiring(one), of_wiring(other));
    assert_eq!(one.keys().collect::<Vec<_>>(), other.keys().collect::<Vec<_>>(), "{what}");
    assert!(one.len() > 40, "{what}: only {} figures", one.len());
    for (name, a) in &one {
        let same = match (a, &other[name]) {
            // Feet as metres and °F as °C keep ten digits in the text.
            (Value::Number { si: a, .. }, Value::Number { si: b, .. }) => {
                (a - b).abs() <= 1e-9 * a.abs().max(b.abs())
            }
            (a, b) => a == b,
        };
        assert!(same, "{what}, {name}: {a:?} and {:?}", other[name]);
    }
}

#[test]
fn the_order_of_parallel_things_changes_nothing() {
    for (house, study) in houses() {
        let turned = House { turned: true, ..house.clone() };
        assert_ne!(turned.text(), house.text());
        same_wiring("turned", &study, &turned.study());
    }
}

#[test]
fn the_system_of_units_changes_nothing() {
    for (house, study) in houses() {
        let metric = House { metric: true, ..house };
        same_wiring("metric", &study, &metric.study());
    }
}
