//! Rooms, planes, strings, units, banks, supplies, panels.

use super::bearings::bearing;
use super::parts::output_volts;
use super::take::Take;
use super::{Items, means, money};
use crate::read::Given;
use crate::system::{
    BankIn, Building, BuildingKind, Combiner, Engine, Envelope, Panel, Place, PreChargePath, RapidShutdown,
    RateDays, RateIn, Room, ShedIn, StringIn, TransferIn, Unit, UnitPart, Utility, UtilityRole, Vehicles,
};
use array::facts::{Mount, Plane, StringOf};
use conversion::{Transfer, TransferKind};
use loads::Leg;
use quantity::{Fact, Ratio};
use std::collections::BTreeMap;
use storage::Bank;

pub(super) fn buildings(items: &Items<'_>) -> Vec<Building> {
    items
        .of("building")
        .map(|item| {
            let take = Take::new(item, None);
            Building {
                name: item.name.clone(),
                kind: take.choice("kind", |word| match word {
                    "dwelling" => Some(BuildingKind::Dwelling),
                    "workshop" => Some(BuildingKind::Workshop),
                    "barn" => Some(BuildingKind::Barn),
                    "garage" => Some(BuildingKind::Garage),
                    "other" => Some(BuildingKind::Other),
                    _ => None,
                }),
                open: take.yes_no("open"),
                only_equipment: take.yes_no("only_equipment"),
            }
        })
        .collect()
}

pub(super) fn rooms(items: &Items<'_>) -> Vec<Room> {
    items
        .of("room")
        .map(|item| {
            let take = Take::new(item, None);
            let (coldest, hottest) = take.range("between");
            Room {
                name: item.name.clone(),
                building: take.reference("building"),
                coldest,
                hottest,
                conditioned: take.yes_no("conditioned"),
                envelope: envelope(&take, "envelope"),
                kind: take.choice("kind", |word| {
                    storage::PlaceKind::ALL.into_iter().find(|kind| kind.in_words() == word)
                }),
                detector: take.yes_no("detector"),
            }
        })
        .collect()
}

fn envelope(take: &Take<'_>, key: &str) -> Option<Envelope> {
    take.is_written(key).then(|| {
        let walls = take.record(key);
        Envelope { surface: walls.quantity("surface"), insulation: walls.quantity("insulation") }
    })
}

pub(super) fn planes(items: &Items<'_>, place: &Place) -> Vec<Plane> {
    items
        .of("plane")
        .map(|item| {
            let take = Take::new(item, None);
            Plane {
                name: item.name.clone(),
                mount: take.choice("mount", |word| match word {
                    "ground rack" => Some(Mount::GroundRack),
                    "roof" => Some(Mount::Roof),
                    "pole" => Some(Mount::Pole),
                    _ => None,
                }),
                building: take.reference("building"),
                tilt: take.quantity("tilt"),
                bearing: bearing(&take, "bearing", place),
                hot_rise: take.quantity("hot_rise"),
                ground_reflectance: take.quantity("reflectance"),
                soiling: take.quantity("soiling"),
            }
        })
        .collect()
}

fn input_number(into: &Take<'_>) -> u32 {
    into.count("input").value().map_or(1, |n| n.0)
}

pub(super) fn strings(items: &Items<'_>) -> Vec<StringIn> {
    let combiners = combiners(items);
    let by_name: BTreeMap<&str, &Combiner> =
        combiners.iter().rev().map(|combiner| (&*combiner.name, combiner)).collect();
    items
        .of("string")
        .map(|item| {
            let take = Take::new(item, None);
            let through = take.reference("through");
            let into = take.record("into");
            let joined = by_name.get(&*through);
            let (unit, input) = match joined {
                Some(combiner) => (combiner.unit.clone(), combiner.input),
                None => (into.reference("unit"), input_number(&into)),
            };
            let string = StringOf {
                name: item.name.clone(),
                plane: take.reference("plane"),
                module: take.reference("module"),
                count: take.count("count"),
                unit,
                input,
                mismatch: take.quantity("mismatch"),
                age_years: take.quantity("age"),
            };
            StringIn {
                string,
                row: take.is_written("row").then(|| take.count("row")),
                first_column: take.is_written("first_column").then(|| take.count("first_column")),
                through,
                rapid_shutdown: take.choice("rapid_shutdown", |word| match word {
                    "module electronics" => Some(RapidShutdown::ModuleElectronics),
                    "device at the array" => Some(RapidShutdown::DeviceAtArray),
                    "none" => Some(RapidShutdown::None),
                    _ => None,
                }),
            }
        })
        .collect()
}

pub(super) fn combiners(items: &Items<'_>) -> Vec<Combiner> {
    items
        .of("combiner")
        .map(|item| {
            let take = Take::new(item, None);
            let into = take.record("into");
            Combiner {
                name: item.name.clone(),
                unit: into.reference("unit"),
                input: input_number(&into),
                building: take.reference("building"),
                fuse: take.optional("fuse"),
                volts: take.quantity("volts"),
                arc_fault_protection: take.yes_no("arc_fault_protection"),
                price: take.money("price"),
            }
        })
        .collect()
}

pub(super) fn units(items: &Items<'_>) -> Vec<Unit> {
    items
        .of("unit")
        .map(|item| {
            let take = Take::new(item, None);
            let inverter = take.reference("inverter");
            let controller = take.reference("controller");
            let part = match (inverter.is_empty(), controller.is_empty()) {
                (false, true) => UnitPart::Inverter(inverter),
                (true, false) => UnitPart::Controller(controller),
                _ => UnitPart::Unclear,
            };
            Unit {
                name: item.name.clone(),
                part,
                bank: take.reference("bank"),
                leg: take.choice("leg", |word| match word {
                    "A" => Some(Leg::A),
                    "B" => Some(Leg::B),
                    "both" => Some(Leg::Both),
                    _ => None,
                }),
                room: take.reference("room"),
                ac_input: take.reference("ac_input"),
                working_space: means::working_space(&take),
            }
        })
        .collect()
}

pub(super) fn banks(items: &Items<'_>) -> Vec<BankIn> {
    items
        .of("bank")
        .map(|item| {
            let take = Take::new(item, None);
            let bank = Bank {
                name: item.name.clone(),
                battery: take.reference("battery"),
                parallel: take.count("parallel"),
                series: take.count("series"),
                room: take.reference("room"),
            };
            let (shed, heater) = (take.record("shed"), take.record("heater"));
            BankIn {
                bank,
                beside: take.reference("beside"),
                reserve: take.quantity("reserve"),
                emergency_stop: means::control(&take, "emergency_stop"),
                working_space: means::working_space(&take),
                gap: take.quantity("gap"),
                from_openings: take.quantity("from_openings"),
                vehicles: take.choice("vehicles", |word| match word {
                    "cannot reach it" => Some(Vehicles::Away),
                    "guarded" => Some(Vehicles::Guarded),
                    "unguarded" => Some(Vehicles::Unguarded),
                    _ => None,
                }),
                pre_charge: take.is_written("pre_charge").then(|| {
                    let path = take.record("pre_charge");
                    PreChargePath { resistor: path.quantity("ohms"), bears: path.quantity("joules") }
                }),
                shed: ShedIn {
                    want: shed.optional("want_below"),
                    luxury: shed.optional("luxury_below"),
                    back_after: shed.quantity("back_after"),
                },
                cabinet: envelope(&take, "cabinet"),
                heater: take
                    .is_written("heater")
                    .then(|| (heater.quantity("power"), heater.quantity("holds"))),
            }
        })
        .collect()
}

pub(super) fn engines(items: &Items<'_>) -> Vec<Engine> {
    items
        .of("engine")
        .map(|item| {
            let take = Take::new(item, None);
            Engine {
                name: item.name.clone(),
                generator: take.reference("generator"),
                building: take.reference("building"),
                by_cord: take.choice("connected", |word| match word {
                    "cord and plug" => Some(true),
                    "fixed wiring" => Some(false),
                    _ => None,
                }),
                fuel_price: take.quantity("fuel_price"),
            }
        })
        .collect()
}

pub(super) fn utility(items: &Items<'_>) -> Utility {
    let take = items.one("utility");
    let stated = items.of("utility").next().is_some();
    let role = take.choice("role", |word| match word {
        "none" => Some(UtilityRole::None),
        "backup by transfer" => Some(UtilityRole::BackupByTransfer),
        "backup through inverter input" => Some(UtilityRole::BackupThroughInput),
        "interactive" => Some(UtilityRole::Interactive),
        _ => None,
    });
    let none = || {
        super::take::assumed(
            UtilityRole::None,
            take.path("role"),
            "the design names no utility",
            "what carries the house when the battery is empty",
        )
    };
    let share = |key, value: f64, because| {
        let fact: Fact<Ratio> = take.quantity(key);
        fact.or(|| {
            super::take::assumed(
                quantity::Measure::from_si(value),
                take.path(key),
                because,
                "hours on backup",
            )
        })
    };
    Utility {
        role: if stated { role } else { role.or(none) },
        service: take.quantity("service"),
        fault_current: take.quantity("fault_current"),
        emergency_disconnect: means::control(&take, "emergency_disconnect"),
        conductors: wiring::ServiceConductors {
            gauge: means::gauge(&take, "conductors", quantity::WhoKnows::Measurement),
            material: means::material(&take, "conductor_metal"),
        },
        joint_to_device: take.quantity("joint_to_device"),
        earthing: means::earthing(&take),
        insulation_monitor: take.yes_no("insulation_monitor"),
        export_limit: take.optional("export_limit"),
        prices: money::prices(&take),
        monthly: take.money("monthly"),
        least_bill: take.is_written("least_bill").then(|| take.money("least_bill")),
        netted: take.choice("fed_in", |word| Some(word == "netted")),
        pays_left_over: take.choice("left_over", |word| Some(word == "paid")),
        connection: take.is_written("connection").then(|| take.money("connection")),
        takes_over: share("charge_below", 0.15, "the utility takes over when the battery is nearly empty"),
        hands_back: share("charge_up_to", 0.40, "the battery takes over again when it has recovered"),
        charge_power: take.optional("charge_power"),
        rates: take.records("rates").iter().map(rate).collect(),
    }
}

fn rate(take: &Take<'_>) -> RateIn {
    RateIn {
        name: take.text("name"),
        months: match take.given("months") {
            Some((Given::MonthSet(months), _)) => *months,
            _ => [true; 12],
        },
        days: take.choice("days", |word| match word {
            "every day" => Some(RateDays::Every),
            "weekdays" => Some(RateDays::Weekdays),
            "weekend" => Some(RateDays::Weekend),
            _ => None,
        }),
        from: take.count("from"),
        to: take.count("to"),
        charges: take.yes_no("charges"),
        discharges: take.yes_no("discharges"),
        prices: money::prices(take),
    }
}

pub(super) fn transfers(items: &Items<'_>) -> Vec<TransferIn> {
    items
        .of("transfer")
        .map(|item| {
            let take = Take::new(item, None);
            let transfer = Transfer {
                name: item.name.clone(),
                kind: take.choice("kind", |word| match word {
                    "manual" => Some(TransferKind::Manual),
                    "automatic" => Some(TransferKind::Automatic),
                    _ => None,
                }),
                rating: take.quantity("rating"),
                switches_neutral: take.yes_no("switches_neutral"),
                acts_within: take.quantity("acts_within"),
                from: take.references("from"),
                price: take.money("price"),
            };
            TransferIn {
                transfer,
                building: take.reference("building"),
                off_position: take.yes_no("off_position"),
            }
        })
        .collect()
}

/// Three line conductors and a neutral.
const THREE_PHASE: &str = "230/400";

pub(super) fn panels(items: &Items<'_>) -> Vec<Panel> {
    items
        .of("panel")
        .map(|item| {
            let take = Take::new(item, None);
            Panel {
                name: item.name.clone(),
                fed_by: take.references("fed_by"),
                volts: take
                    .choice("volts", |word| output_volts(if word == THREE_PHASE { "230" } else { word })),
                three_phase: take.choice("volts", |word| Some(word == THREE_PHASE)).value() == Some(&true),
                bus: take.quantity("bus"),
                main: take.optional("main"),
                spaces: take.count("spaces"),
                bond: take.yes_no("bond"),
                sources_at: means::sources_at(&take),
                power_control: means::power_control(&take),
                load_breakers: take.quantity("load_breakers"),
                multiwire: take.yes_no("multiwire"),
                residual: super::runs::residual(&take),
                working_space: means::working_space(&take),
                building: take.reference("building"),
                existing: take.yes_no("existing"),
                price: take.money("price"),
            }
        })
        .collect()
}
