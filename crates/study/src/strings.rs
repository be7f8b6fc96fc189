//! Strings cold and hot against what they go into.

use array::strings_design::{
    ColdOpenCircuit, ColdOpenCircuitByTable, LongestString, MaxPowerVoltage, ShortestString,
    cold_open_circuit, max_power_voltage,
};
use design::system::{Dwelling, StringIn, System};
use quantity::{
    Count, Fact, Interval, Measure, Standing, TableRow, Temperature, Traced, Voltage, WhoKnows, least, nec,
    units,
};
use std::sync::Arc;
use wiring::Graph;

/// One string at its voltage extremes.
#[derive(Clone, Debug)]
pub struct StringStudy {
    /// The string's name.
    pub name: Arc<str>,
    /// Name of the unit it goes into.
    pub unit: Arc<str>,
    /// Input of that unit, from 1.
    pub input: u32,
    /// Plane.
    pub plane: Arc<str>,
    /// Module.
    pub module: Arc<str>,
    /// Modules in series.
    pub count: Fact<Count>,
    /// Highest open-circuit voltage by the coefficient of the data sheet.
    pub cold_voc: Fact<Voltage>,
    /// The same by the table of factors, for comparison.
    pub cold_voc_by_table: Fact<Voltage>,
    /// Cold open-circuit voltage of one module.
    pub cold_voc_each: Fact<Voltage>,
    /// Voltage at maximum power at standard conditions.
    pub label_vmp: Fact<Voltage>,
    /// Lowest voltage at maximum power, on the hottest bright afternoon.
    pub hot_vmp: Fact<Voltage>,
    /// The same of one module.
    pub hot_vmp_each: Fact<Voltage>,
    /// Highest voltage at maximum power, on the coldest morning with cells as cold as the air.
    pub cold_vmp: Fact<Voltage>,
    /// Damage limit of the input.
    pub input_limit: Fact<Voltage>,
    /// Maximum system voltage of the module.
    pub module_limit: Fact<Voltage>,
    /// Limit of the place, where there is one.
    pub place_limit: Option<Fact<Voltage>>,
    /// Every limit on its way, in words: input, module, place, then each device and cable.
    pub limits: Vec<VoltageLimit>,
    /// The lowest of them; unknown as long as one is, for the unknown one may be the lowest.
    pub limit: Fact<Voltage>,
    /// Lowest tracking voltage of the input.
    pub track_low: Fact<Voltage>,
    /// Highest tracking voltage of the input.
    pub track_high: Fact<Voltage>,
    /// Most modules in series.
    pub longest: Fact<Count>,
    /// Fewest modules in series.
    pub shortest: Fact<Count>,
}

/// Volts of a string at one temperature of the air.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AtAir {
    /// Open circuit with cells as cool as the air, before the sun has warmed them.
    pub open: f64,
    /// At maximum power with cells as cool as the air.
    pub working_cool: f64,
    /// At maximum power in full sun, with cells their rise above the air.
    pub working_warm: f64,
}

impl StringStudy {
    /// Volts at a temperature of the air, °C; nothing while something of module or plane is not known.
    pub fn at_air(&self, system: &System, air_c: f64) -> Option<AtAir> {
        let module = system.module(&self.module)?;
        let rise = system.plane(&self.plane)?.hot_rise.si()?;
        let count = f64::from(self.count.value()?.0);
        let (vmp, change) = (module.vmp.si()?, module.vmp_change.si()?);
        let working = |rise: f64| max_power_voltage(count, vmp, change, air_c, rise);
        Some(AtAir {
            open: cold_open_circuit(count, module.voc.si()?, module.voc_change.si()?, air_c),
            working_cool: working(0.0),
            working_warm: working(rise),
        })
    }
}

/// A voltage that something on the way of a string must not see exceeded.
#[derive(Clone, Debug)]
pub struct VoltageLimit {
    /// What it is, in words.
    pub what: String,
    /// The voltage.
    pub volts: Fact<Voltage>,
}

pub(crate) fn strings(system: &System, graph: &Graph) -> Vec<StringStudy> {
    system.strings.iter().map(|string| string_of(system, graph, string)).collect()
}

/// Voltage of building wire and of the least class of PV wire, unless its print says more.
///
/// Source: NEC 2023, Table 310.4(1); UL 4703 (from memory).
fn cable_class() -> Fact<Voltage> {
    let clause = nec("2023", "Table 310.4(1); UL 4703", Standing::Remembered);
    let row = "600 V, unless the print on the cable says more".into();
    Fact::Known(Traced::tabled(
        Voltage::from_si(600.0),
        TableRow { clause, row, standing: Standing::Remembered },
    ))
}

/// Limits of combiner, devices, switches and cables between a string and its input.
fn on_the_way(system: &System, graph: &Graph, string: &StringIn) -> Vec<VoltageLimit> {
    let mut limits = Vec::new();
    let mut put = |what: String, volts: Fact<Voltage>| limits.push(VoltageLimit { what, volts });
    if let Some(combiner) = system.combiner(&string.through) {
        put(format!("combiner \"{}\"", combiner.name), combiner.volts.clone());
    }
    for circuit in graph.circuits.iter().filter(|circuit| circuit.demand.is_pv()) {
        let (Some(from), Some(to)) = (graph.node(circuit.from), graph.node(circuit.to)) else { continue };
        let joined = !string.through.is_empty() && from.name == string.through;
        if from.name != string.string.name && !joined {
            continue;
        }
        if let Some(run) = circuit.run.and_then(|run| system.runs.get(run.0)) {
            if let Some(device) = &run.device {
                put(format!("device of run \"{}\"", run.name), device.volts.clone());
            }
            // The classes of cables by IEC are printed on them and not held here.
            let metric = system.place.rules.value() == Some(&design::system::Rules::Iec60364);
            match &run.cable_volts {
                Some(stated) => put(format!("cable of run \"{}\"", run.name), stated.clone()),
                None if metric => {}
                None => {
                    put(format!("cable of run \"{}\", as far as its print is known", run.name), cable_class())
                }
            }
        }
        let ends = [&from.name, &to.name];
        for surge in system.surges.iter().filter(|surge| ends.contains(&&surge.at)) {
            // One that is known to be on alternating current lies at another voltage.
            if surge.on_modules.value() != Some(&false) {
                put(format!("surge protective device \"{}\"", surge.name), surge.volts.clone());
            }
        }
        for switch in &system.disconnects {
            if switch.between.len() == 2 && switch.between.iter().all(|end| ends.contains(&end)) {
                put(format!("disconnect \"{}\"", switch.name), switch.volts.clone());
            }
        }
    }
    limits
}

/// Volts that module circuits may reach on a one- or two-family dwelling, and on other buildings.
///
/// Source: NEC 2023, 690.7.
pub(crate) fn place_limit(system: &System) -> Option<Fact<Voltage>> {
    match system.place.rules.value() {
        Some(design::system::Rules::Iec60364) => None,
        _ => Some(system.place.dwelling.and_then(|dwelling| {
            let (volts, words) = match dwelling.value {
                Dwelling::OneFamily | Dwelling::TwoFamily => (600.0, "one- and two-family dwellings: 600 V"),
                Dwelling::Other => (1000.0, "other buildings: 1000 V"),
            };
            let row = TableRow {
                clause: nec("2023", "690.7", Standing::SecondHand),
                row: words.into(),
                standing: Standing::SecondHand,
            };
            Fact::Known(Traced::tabled(Voltage::from_si(volts), row))
        })),
    }
}

fn string_of(system: &System, graph: &Graph, string: &StringIn) -> StringStudy {
    let module = system.module(&string.string.module);
    let plane = system.plane(&string.string.plane);
    let unit = system.unit(&string.string.unit);
    let input = unit.and_then(|unit| system.pv_inputs(unit).get((string.string.input.max(1) - 1) as usize));
    let no_module = || format!("module.{}", string.string.module);
    let no_input = || format!("unit.{}.pv_input", string.string.unit);
    macro_rules! sheet {
        ($of:ident, $field:ident, $none:ident) => {
            $of.map_or_else(|| Fact::unknown($none(), WhoKnows::Owner), |part| part.$field.clone())
        };
    }
    let count = &string.string.count;
    let one: Fact<Count> =
        Fact::Known(Traced::stated(Count(1), format!("string.{}.module", string.string.name)));
    let coldest = &system.place.coldest;
    let voc = sheet!(module, voc, no_module);
    let voc_change = sheet!(module, voc_change, no_module);
    let vmp = sheet!(module, vmp, no_module);
    let vmp_change = sheet!(module, vmp_change, no_module);
    let factor = coldest.and_then(|t| match tables::voltage_factor(units::CELSIUS.of_si(t.si())) {
        Ok(factor) => Fact::Known(factor),
        Err(_) => Fact::unknown("place.coldest", WhoKnows::BuildingOffice),
    });
    let rise: Fact<Interval> = plane.map_or_else(
        || Fact::unknown(format!("plane.{}", string.string.plane), WhoKnows::Owner),
        |plane| plane.hot_rise.clone(),
    );
    // On the coldest morning the sun has not warmed the cells yet.
    let no_rise: Fact<Interval> = coldest.and_then(|t| Fact::Known(t.with(Interval::from_si(0.0))));
    let hottest: &Fact<Temperature> = &system.place.hottest;
    let cold_voc_each = ColdOpenCircuit::of_facts(&one, &voc, &voc_change, coldest);
    let hot_vmp_each = MaxPowerVoltage::of_facts(&one, &vmp, &vmp_change, hottest, &rise);
    let input_limit: Fact<Voltage> = sheet!(input, voltage_limit, no_input);
    let module_limit: Fact<Voltage> = sheet!(module, system_voltage, no_module);
    let place = place_limit(system);
    let mut limits = vec![
        VoltageLimit {
            what: format!("input {} of \"{}\"", string.string.input, string.string.unit),
            volts: input_limit.clone(),
        },
        VoltageLimit {
            what: format!("module \"{}\" with its connectors", string.string.module),
            volts: module_limit.clone(),
        },
    ];
    if let Some(place) = &place {
        let what = match system.place.dwelling.value() {
            Some(Dwelling::Other) => "module circuits on a building",
            _ => "module circuits on a one- or two-family dwelling",
        };
        limits.push(VoltageLimit { what: what.into(), volts: place.clone() });
    }
    limits.extend(on_the_way(system, graph, string));
    let limit = lowest_limit(&limits);
    let track_low = sheet!(input, track_low, no_input);
    let label_temperature: Fact<Temperature> = Fact::Known(Traced::stated(
        Temperature::from_si(298.15),
        format!("module.{}.vmp", string.string.module),
    ));
    StringStudy {
        name: string.string.name.clone(),
        unit: string.string.unit.clone(),
        input: string.string.input,
        plane: string.string.plane.clone(),
        module: string.string.module.clone(),
        count: count.clone(),
        cold_voc: ColdOpenCircuit::of_facts(count, &voc, &voc_change, coldest),
        cold_voc_by_table: ColdOpenCircuitByTable::of_facts(count, &voc, &factor),
        label_vmp: MaxPowerVoltage::of_facts(
            count,
            &vmp,
            &vmp_change,
            &label_temperature,
            &no_rise_at_label(&label_temperature),
        ),
        hot_vmp: MaxPowerVoltage::of_facts(count, &vmp, &vmp_change, hottest, &rise),
        cold_vmp: MaxPowerVoltage::of_facts(count, &vmp, &vmp_change, coldest, &no_rise),
        longest: LongestString::of_facts(&limit, &cold_voc_each),
        shortest: ShortestString::of_facts(&track_low, &hot_vmp_each),
        track_high: sheet!(input, track_high, no_input),
        place_limit: place,
        cold_voc_each,
        hot_vmp_each,
        input_limit,
        module_limit,
        limits,
        limit,
        track_low,
    }
}

fn no_rise_at_label(label: &Fact<Temperature>) -> Fact<Interval> {
    label.and_then(|t| Fact::Known(t.with(Interval::from_si(0.0))))
}

/// The lowest of all limits; unknown as long as one of them is, for the unknown one may be the lowest.
fn lowest_limit(limits: &[VoltageLimit]) -> Fact<Voltage> {
    let mut parts = Vec::new();
    for limit in limits {
        match &limit.volts {
            Fact::Known(volts) => parts.push((Arc::from(limit.what.as_str()), volts.clone())),
            Fact::Unknown(gap) => return Fact::Unknown(gap.clone()),
        }
    }
    least(parts, &units::VOLT).map_or_else(|| Fact::unknown("place.dwelling", WhoKnows::Owner), Fact::Known)
}
