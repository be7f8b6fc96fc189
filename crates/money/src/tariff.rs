//! What the utility asks for a year of hours.
//!
//! A tariff is data: what each rate costs a kWh, in steps of the month where the utility counts steps, what stands on the bill
//! whatever is used, and what is credited for energy fed back. Which rate holds in which hour comes in as a series, so that
//! seasons, days of the week and clock changes stay where calendars are known.

/// One price step of a rate within a month.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Step {
    /// The step ends at this much of the month's energy under this rate, kWh; `None` for the last, which has no end.
    pub up_to_kwh: Option<f64>,
    /// Price of a kWh within it, currency units; it may be negative, as some utilities' are in windy hours.
    pub price: f64,
}

/// What energy costs in the hours that belong to one rate.
#[derive(Clone, Debug, PartialEq)]
pub struct Rate {
    /// The utility's or the owner's word for it.
    pub name: String,
    /// Steps in rising order; one step without an end is a flat price.
    pub steps: Vec<Step>,
}

/// What is given for energy fed into the utility.
#[derive(Clone, Debug, PartialEq)]
pub enum Credit {
    /// Nothing.
    None,
    /// So much a kWh, by rate in the order of the rates. A credit larger than the month's energy charge is carried on to later
    /// months of the year; what is left at its end is paid out as `paid_out` of its amount (0 when it lapses).
    PerKwh {
        /// Currency units a kWh for each rate.
        price: Vec<f64>,
        /// Share of what is left at the end of the year that is paid out, 0 to 1.
        paid_out: f64,
    },
    /// kWh against kWh under the same rate, surplus carried on as energy; what is left at the end of the year is paid
    /// `leftover` a kWh.
    Netted {
        /// Currency units a kWh left at the end of the year.
        leftover: f64,
    },
}

/// A tariff, checked.
#[derive(Clone, Debug, PartialEq)]
pub struct Tariff {
    rates: Vec<Rate>,
    fixed_per_month: f64,
    least_per_month: f64,
    credit: Credit,
}

/// What went over the meter in one month while one rate held, kWh.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Metered {
    /// Bought.
    pub bought_kwh: f64,
    /// Fed back.
    pub fed_kwh: f64,
}

/// Why a tariff cannot be used.
#[derive(Clone, Debug, PartialEq)]
pub enum TariffError {
    /// It has no rate.
    NoRate,
    /// A rate's steps do not rise, the last has an end, one but the last has none, or there is none.
    Steps {
        /// The rate.
        rate: String,
    },
    /// A number is not finite, or a charge that cannot be below zero is.
    Number {
        /// What it is.
        what: &'static str,
    },
    /// Prices for energy fed back are not as many as the rates.
    Credits {
        /// Rates of the tariff.
        rates: usize,
        /// Credits given.
        credits: usize,
    },
    /// The series of hours do not have the same length, or an hour names a month beyond December or a rate that is not there.
    Hours,
}

/// A month of the bill; money in currency units, rounded to hundredths.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct MonthBill {
    /// Bought, kWh.
    pub bought_kwh: f64,
    /// Fed back, kWh.
    pub fed_kwh: f64,
    /// Energy bought, before any credit.
    pub energy: f64,
    /// Credit used this month.
    pub credit: f64,
    /// Charges that stand whatever is used, with what the least bill adds.
    pub standing: f64,
    /// To pay: energy − credit + standing.
    pub to_pay: f64,
}

/// A year of bills.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct YearBill {
    /// January to December.
    pub months: [MonthBill; 12],
    /// Paid out at the end of the year for what was fed back and not used.
    pub paid_out: f64,
    /// The year's cost: what the months ask less what is paid out.
    pub total: f64,
}

impl Tariff {
    /// A tariff of `rates`; `fixed_per_month` stands on every bill and no bill is below `least_per_month`.
    ///
    /// # Errors
    /// [`TariffError`] names what cannot be.
    pub fn new(
        rates: Vec<Rate>,
        fixed_per_month: f64,
        least_per_month: f64,
        credit: Credit,
    ) -> Result<Tariff, TariffError> {
        if rates.is_empty() {
            return Err(TariffError::NoRate);
        }
        for rate in &rates {
            let ends: Vec<Option<f64>> = rate.steps.iter().map(|step| step.up_to_kwh).collect();
            let (last, before) =
                ends.split_last().ok_or_else(|| TariffError::Steps { rate: rate.name.clone() })?;
            let mut floor = 0.0;
            let rising = before.iter().all(|end| {
                let above = end.is_some_and(|end| end.is_finite() && end > floor);
                floor = end.unwrap_or(floor);
                above
            });
            if last.is_some() || !rising {
                return Err(TariffError::Steps { rate: rate.name.clone() });
            }
            if rate.steps.iter().any(|step| !step.price.is_finite()) {
                return Err(TariffError::Number { what: "price of a kWh" });
            }
        }
        let standing = |amount: f64| amount.is_finite() && amount >= 0.0;
        if !standing(fixed_per_month) || !standing(least_per_month) {
            return Err(TariffError::Number { what: "charge of a month" });
        }
        match &credit {
            Credit::PerKwh { price, .. } if price.len() != rates.len() => {
                return Err(TariffError::Credits { rates: rates.len(), credits: price.len() });
            }
            Credit::PerKwh { price, paid_out }
                if price.iter().any(|p| !p.is_finite()) || !(0.0..=1.0).contains(paid_out) =>
            {
                return Err(TariffError::Number { what: "credit for energy fed back" });
            }
            Credit::Netted { leftover } if !leftover.is_finite() => {
                return Err(TariffError::Number { what: "credit for energy fed back" });
            }
            _ => {}
        }
        Ok(Tariff { rates, fixed_per_month, least_per_month, credit })
    }

    /// One price at all hours, nothing standing and nothing for energy fed back.
    ///
    /// # Errors
    /// [`TariffError::Number`] when the price is not finite.
    pub fn flat(price: f64) -> Result<Tariff, TariffError> {
        let steps = vec![Step { up_to_kwh: None, price }];
        Tariff::new(vec![Rate { name: "all hours".into(), steps }], 0.0, 0.0, Credit::None)
    }

    /// Rates in order; the series of hours names them by their position.
    pub fn rates(&self) -> &[Rate] {
        &self.rates
    }

    /// Bills of one year of hours.
    ///
    /// - `bought_kwh`, `fed_kwh`: energy of each hour, not negative.
    /// - `rate_of_hour`: position of the rate that holds in it.
    /// - `month_of_hour`: 0 for January to 11.
    ///
    /// # Errors
    /// [`TariffError::Hours`] when lengths differ or an hour names a month or a rate that is not there,
    /// [`TariffError::Number`] when an energy is negative or not finite.
    pub fn year(
        &self,
        bought_kwh: &[f64],
        fed_kwh: &[f64],
        rate_of_hour: &[u8],
        month_of_hour: &[u8],
    ) -> Result<YearBill, TariffError> {
        let hours = bought_kwh.len();
        let named = rate_of_hour.iter().all(|r| usize::from(*r) < self.rates.len())
            && month_of_hour.iter().all(|m| *m < 12);
        if fed_kwh.len() != hours || rate_of_hour.len() != hours || month_of_hour.len() != hours || !named {
            return Err(TariffError::Hours);
        }
        if bought_kwh.iter().chain(fed_kwh).any(|kwh| !kwh.is_finite() || *kwh < 0.0) {
            return Err(TariffError::Number { what: "energy of an hour" });
        }
        let mut energy = vec![[Metered::default(); 12]; self.rates.len()];
        for hour in 0..hours {
            let cell = &mut energy[usize::from(rate_of_hour[hour])][usize::from(month_of_hour[hour])];
            cell.bought_kwh += bought_kwh[hour];
            cell.fed_kwh += fed_kwh[hour];
        }
        self.bills(&energy)
    }

    /// Bills of one year from what was metered at each rate in each month, January first.
    ///
    /// # Errors
    /// [`TariffError::Hours`] when there are not as many rates as in the tariff, [`TariffError::Number`] when an energy is
    /// negative or not finite.
    pub fn bills(&self, energy: &[[Metered; 12]]) -> Result<YearBill, TariffError> {
        if energy.len() != self.rates.len() {
            return Err(TariffError::Hours);
        }
        let sound = |kwh: f64| kwh.is_finite() && kwh >= 0.0;
        if energy.iter().flatten().any(|cell| !sound(cell.bought_kwh) || !sound(cell.fed_kwh)) {
            return Err(TariffError::Number { what: "energy of a month" });
        }
        let mut bill = YearBill::default();
        let mut money_carried = 0.0;
        let mut kwh_carried = vec![0.0; self.rates.len()];
        for (month, row) in bill.months.iter_mut().enumerate() {
            let mut earned = 0.0;
            for (index, rate) in self.rates.iter().enumerate() {
                let Metered { bought_kwh: bought, fed_kwh: fed } = energy[index][month];
                row.bought_kwh += bought;
                row.fed_kwh += fed;
                let charged = match &self.credit {
                    Credit::Netted { .. } => {
                        let net = bought - fed - kwh_carried[index];
                        kwh_carried[index] = (-net).max(0.0);
                        net.max(0.0)
                    }
                    Credit::PerKwh { price, .. } => {
                        earned += fed * price[index];
                        bought
                    }
                    Credit::None => bought,
                };
                row.energy += rate.cost(charged);
            }
            row.energy = hundredths(row.energy);
            money_carried += earned;
            row.credit = hundredths(money_carried.clamp(0.0, row.energy.max(0.0)));
            money_carried -= row.credit;
            let asked = row.energy - row.credit + self.fixed_per_month;
            row.standing = hundredths(self.fixed_per_month + (self.least_per_month - asked).max(0.0));
            row.to_pay = hundredths(row.energy - row.credit + row.standing);
        }
        bill.paid_out = hundredths(match &self.credit {
            Credit::None => 0.0,
            Credit::PerKwh { paid_out, .. } => money_carried.max(0.0) * paid_out,
            Credit::Netted { leftover } => kwh_carried.iter().sum::<f64>() * leftover,
        });
        bill.total = hundredths(bill.months.iter().map(|month| month.to_pay).sum::<f64>() - bill.paid_out);
        Ok(bill)
    }
}

impl Rate {
    /// Cost of `kwh` within one month, step after step.
    pub fn cost(&self, kwh: f64) -> f64 {
        let mut cost = 0.0;
        let mut floor = 0.0;
        for step in &self.steps {
            let ceiling = step.up_to_kwh.unwrap_or(f64::INFINITY);
            cost += (kwh.min(ceiling) - floor).max(0.0) * step.price;
            floor = ceiling;
        }
        cost
    }
}

/// A bill is rounded to hundredths.
fn hundredths(amount: f64) -> f64 {
    (amount * 100.0).round() / 100.0
}
