//! From what was read to a system.

mod bearings;
mod choices;
mod contradictions;
mod follows;
mod house;
mod joints;
mod likes;
mod limits;
mod means;
mod money;
mod parts;
mod place;
mod runs;
mod sites;
mod take;
mod terminals;
mod things;

use crate::problem::Problem;
use crate::read::Item;
use crate::system::System;
use take::Take;

pub(crate) use bearings::declination_of;
pub use contradictions::contradictions;

/// The items of a reading, grouped by their table.
pub(crate) struct Items<'a> {
    all: &'a [Item],
    shelf: &'a [Item],
}

impl<'a> Items<'a> {
    /// Items of a table, in file order.
    fn of(&self, key: &'static str) -> impl Iterator<Item = &'a Item> {
        self.all.iter().filter(move |item| item.table.key == key)
    }

    /// Fields of the single table of a key; blank when it is not there.
    fn one(&self, key: &'static str) -> Take<'a> {
        match self.of(key).next() {
            Some(item) => Take::new(item, None),
            None => {
                let fields =
                    crate::catalogue::TABLES.iter().find(|t| t.key == key).map_or(&[][..], |t| t.fields);
                Take::absent(key, fields)
            }
        }
    }

    /// The appliance of the published list that a load names with `like`.
    fn like(&self, item: &Item) -> Option<&'static tables::Appliance> {
        match &item.entry("like")?.value {
            crate::read::Given::Text(name) => tables::appliance(name),
            _ => None,
        }
    }

    /// Fields of a part, with the typical part it names with `like` standing in.
    fn part(&self, item: &'a Item) -> Take<'a> {
        let like = item.entry("like").and_then(|entry| match &entry.value {
            crate::read::Given::Text(name) => Some(name.clone()),
            _ => None,
        });
        let shelf = like.and_then(|name| {
            self.shelf
                .iter()
                .find(|part| part.table.key == item.table.key && part.name.eq_ignore_ascii_case(&name))
        });
        Take::new(item, shelf)
    }
}

/// The system that items describe.
pub fn resolve(items: &[Item], shelf: &[Item]) -> System {
    let items = Items { all: items, shelf };
    let header = place::header(&items);
    let place = place::place(&items);
    System {
        title: header.title,
        revision: header.revision,
        units: header.units,
        currency: header.currency,
        promise: place::promise(&items),
        choices: choices::choices(&items),
        stages: choices::stages(&items),
        permits: place::permits(&items),
        listings: listings(&items),
        hired_out: place::hired_out(&items),
        loads: house::loads(&items),
        savings: house::savings(&items),
        bills: house::bills(&items, place.utc_offset_h.value().map(|hours| hours.0)),
        modules: items.of("module").map(|item| parts::module(&item.name, &items.part(item))).collect(),
        inverters: items.of("inverter").map(|item| parts::inverter(&item.name, &items.part(item))).collect(),
        controllers: items
            .of("controller")
            .map(|item| parts::controller(&item.name, &items.part(item)))
            .collect(),
        batteries: items.of("battery").map(|item| parts::battery(&item.name, &items.part(item))).collect(),
        generators: items
            .of("generator")
            .map(|item| parts::generator(&item.name, &items.part(item)))
            .collect(),
        buildings: things::buildings(&items),
        rooms: things::rooms(&items),
        planes: things::planes(&items, &place),
        sites: sites::sites(&items, &place),
        bifacial: sites::bifacial(&items),
        strings: things::strings(&items),
        combiners: things::combiners(&items),
        units_in_place: things::units(&items),
        banks: things::banks(&items),
        engines: things::engines(&items),
        utility: things::utility(&items),
        money: money::money(&items),
        lives: money::lives(&items),
        transfers: things::transfers(&items),
        panels: things::panels(&items),
        runs: runs::runs(&items),
        disconnects: means::disconnects(&items),
        surges: means::surges(&items),
        bonds: means::bonds(&items),
        electrodes: means::electrodes(&items),
        terminals: terminals::terminals(&items),
        household: means::household(&items),
        appliances: means::appliances(&items),
        cables: means::cables(&items),
        stock: runs::stock(&items),
        pieces: runs::pieces(&items),
        compass: bearings::readings(items.all, &place),
        place,
    }
}

/// Listing marks of parts that stand in the system, and of transfer devices.
fn listings(items: &Items<'_>) -> Vec<crate::system::Listing> {
    let named = |table: &'static str, key: &'static str| -> std::collections::BTreeSet<&str> {
        let names = items.of(table).filter_map(|item| match item.entry(key).map(|e| &e.value) {
            Some(crate::read::Given::Reference(name)) => Some(&**name),
            _ => None,
        });
        names.collect()
    };
    let users = [
        ("module", "string", "module"),
        ("inverter", "unit", "inverter"),
        ("controller", "unit", "controller"),
        ("battery", "bank", "battery"),
        ("generator", "engine", "generator"),
    ];
    let mut all = Vec::new();
    for (table, user, key) in users {
        let in_use = named(user, key);
        for item in items.of(table).filter(|item| in_use.contains(&*item.name)) {
            all.push(crate::system::Listing {
                part: format!("{table} \"{}\"", item.name),
                path: quantity::FieldPath::new(item.path.clone()),
                mark: items.part(item).text("listed"),
            });
        }
    }
    for item in items.of("transfer") {
        all.push(crate::system::Listing {
            part: format!("transfer device \"{}\"", item.name),
            path: quantity::FieldPath::new(item.path.clone()),
            mark: Take::new(item, None).text("listed"),
        });
    }
    all
}

/// Problems of a list, in file order.
pub(crate) fn in_order(mut problems: Vec<Problem>) -> Vec<Problem> {
    problems.sort_by_key(|problem| problem.labels.first().map_or(0, |label| label.span.start));
    problems
}
