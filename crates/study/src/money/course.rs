//! Costs over the years: each in today's money with its working, and the same as a table of years.

use money::{
    CapitalRecovery, IncentiveToday, LaterToday, LevelSeriesToday, Levelised, Life, LifeCost, Replacement,
    SeriesToday,
};
use quantity::{Count, Energy, Money, PricePerEnergy, Ratio, Traced, sum, units};
use std::sync::Arc;

/// What a cost of every year is for; the table has a column for each.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Yearly {
    Upkeep,
    Fuel,
    Utility,
}

/// The costs of one way to have electricity.
#[derive(Clone, Debug)]
pub(super) struct Course {
    years: Traced<Count>,
    discount: Traced<Ratio>,
    parts: Vec<(Arc<str>, Traced<Money>)>,
    life: Life,
}

impl Course {
    pub(super) fn new(years: &Traced<Count>, discount: &Traced<Ratio>) -> Course {
        let life = Life {
            years: years.value.0,
            discount: discount.si(),
            purchase: 0.0,
            incentive: None,
            maintenance: 0.0,
            fuel: 0.0,
            fuel_rises: 0.0,
            utility: 0.0,
            utility_rises: 0.0,
            replacements: Vec::new(),
            served: 0.0,
            served_changes: 0.0,
            otherwise: None,
        };
        Course { years: years.clone(), discount: discount.clone(), parts: Vec::new(), life }
    }

    /// Bought to begin with.
    pub(super) fn now(&mut self, what: impl Into<Arc<str>>, price: &Traced<Money>) {
        self.life.purchase += price.si();
        self.parts.push((what.into(), price.clone()));
    }

    /// A cost of every year that rises.
    pub(super) fn yearly(
        &mut self,
        column: Yearly,
        what: impl Into<Arc<str>>,
        first: &Traced<Money>,
        rises: &Traced<Ratio>,
    ) {
        let (sum, rate) = match column {
            Yearly::Upkeep => {
                self.life.maintenance += first.si();
                self.parts.push((what.into(), self.series(first, rises)));
                return;
            }
            Yearly::Fuel => (&mut self.life.fuel, &mut self.life.fuel_rises),
            Yearly::Utility => (&mut self.life.utility, &mut self.life.utility_rises),
        };
        *sum += first.si();
        *rate = rises.si();
        let worth = self.series(first, rises);
        self.parts.push((what.into(), worth));
    }

    fn series(&self, first: &Traced<Money>, rises: &Traced<Ratio>) -> Traced<Money> {
        // Rates this close make the published quotient lose all its digits.
        if (rises.si() - self.discount.si()).abs() < 1e-9 {
            LevelSeriesToday::of(first, &self.years, &self.discount)
        } else {
            SeriesToday::of(first, &self.years, rises, &self.discount)
        }
    }

    /// Bought at the end of year `first` and then every so many years.
    pub(super) fn again(
        &mut self,
        what: &str,
        price: &Traced<Money>,
        rises: &Traced<Ratio>,
        first: &Traced<Count>,
        every: Option<&Traced<Count>>,
    ) {
        let part = Replacement {
            what: what.to_string(),
            first: first.value.0,
            every: every.map(|every| every.value.0),
            price: price.si(),
            rises: rises.si(),
        };
        let mut times: Vec<(Arc<str>, Traced<Money>)> = Vec::new();
        for year in part.due(self.years.value.0).into_iter().map(Count) {
            // The year of a later renewal follows from the first and the interval; both lead to the same lines.
            let origin = if year == first.value { first.origin.clone() } else { due(first, every, year) };
            let worth = LaterToday::of(price, rises, &self.discount, &Traced { value: year, origin });
            times.push((format!("end of year {}", year.0).into(), worth));
        }
        let name = match times.len() {
            0 => None,
            1 => Some(format!("{what}, once more")),
            n => Some(format!("{what}, {n} times")),
        };
        if let Some(name) = name {
            self.parts.push((name.into(), sum(times, &units::COIN)));
        }
        self.life.replacements.push(part);
    }

    /// Given back at the end of a year.
    pub(super) fn given_back(&mut self, amount: &Traced<Money>, year: &Traced<Count>) {
        if year.value.0 <= self.years.value.0 {
            self.life.incentive = Some((year.value.0, amount.si()));
            self.parts.push(("given back".into(), IncentiveToday::of(amount, &self.discount, year)));
        }
    }

    /// All costs in today's money.
    pub(super) fn worth(&self) -> Traced<Money> {
        sum(self.parts.clone(), &units::COIN)
    }

    /// What they consist of, in today's money.
    pub(super) fn parts(&self) -> &[(Arc<str>, Traced<Money>)] {
        &self.parts
    }

    /// The table of years.
    pub(super) fn table(&self) -> LifeCost {
        self.life.cost()
    }

    /// Cost of a kWh when every year serves as much.
    pub(super) fn per_kwh(&self, served: &Traced<Energy>) -> Option<Traced<PricePerEnergy>> {
        if served.si() <= 0.0 {
            return None;
        }
        let recovery = if self.discount.si().abs() < 1e-9 {
            money::EvenShare::of(&self.years)
        } else {
            CapitalRecovery::of(&self.discount, &self.years)
        };
        Some(Levelised::of(&self.worth(), &recovery, served))
    }
}

/// The year of a later renewal.
fn due(first: &Traced<Count>, every: Option<&Traced<Count>>, year: Count) -> quantity::Origin {
    let mut terms = vec![first.term("first", &units::COUNT)];
    if let Some(every) = every {
        terms.push(every.term("every", &units::COUNT));
    }
    Traced::series(year, "first, then every so many years", super::CASH_FLOW, terms).origin
}
