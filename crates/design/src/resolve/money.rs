//! What the cost of the years rests on.

use super::Items;
use super::take::Take;
use crate::read::Item;
use crate::system::{Lasts, MoneyIn, PartLife, RatePrices, WorkIn};

/// Prices of one rate.
pub(super) fn prices(take: &Take<'_>) -> RatePrices {
    RatePrices {
        price: take.quantity("price"),
        export_price: take.quantity("export_price"),
        tiers: take
            .records("tiers")
            .iter()
            .map(|tier| (tier.quantity("up_to"), tier.quantity("price")))
            .collect(),
    }
}

pub(super) fn money(items: &Items<'_>) -> MoneyIn {
    let take = items.one("money");
    let incentive = take.record("incentive");
    let nominal = take.is_written("interest") || take.is_written("inflation");
    MoneyIn {
        years: take.count("years"),
        discount: take.quantity("discount"),
        nominal: nominal.then(|| (take.quantity("interest"), take.quantity("inflation"))),
        utility_rises: take.quantity("utility_rises"),
        fuel_rises: take.quantity("fuel_rises"),
        parts_rise: take.quantity("parts_rise"),
        upkeep: take.money("upkeep"),
        works: take.records("works").iter().map(work).collect(),
        set_aside: take.is_written("set_aside").then(|| take.money("set_aside")),
        by_all_years: take.choice("cheapest_by", |word| match word {
            "purchase" => Some(false),
            "all years" => Some(true),
            _ => None,
        }),
        incentive: take.is_written("incentive").then(|| (incentive.money("amount"), incentive.count("year"))),
    }
}

fn work(take: &Take<'_>) -> WorkIn {
    let every = take.is_written("every").then(|| take.count("every"));
    WorkIn {
        what: take.text("what").value().cloned().unwrap_or_else(|| "".into()),
        price: take.money("price"),
        first: take.count("first").or(|| every.clone().unwrap_or_else(|| take.count("first"))),
        every,
    }
}

pub(super) fn lives(items: &Items<'_>) -> Vec<PartLife> {
    let of = |table: &'static str, lasts: fn(&Take<'_>) -> Lasts| {
        let life =
            move |item: &Item| PartLife { table, name: item.name.clone(), lasts: lasts(&items.part(item)) };
        items.of(table).map(life).collect::<Vec<_>>()
    };
    let calendar = |take: &Take<'_>| Lasts::Years(Some(take.quantity("lasts")));
    let mut lives = of("inverter", calendar);
    lives.extend(of("controller", calendar));
    lives.extend(of("battery", |take| Lasts::Years(take.optional("lasts"))));
    lives.extend(of("generator", |take| Lasts::Running(take.quantity("runs_for"))));
    lives
}
