//! The list of loads held against twelve bills.
//!
//! Bands: within 10 % good, 10 to 25 % find the missing load, above 25 % do not size yet (common practice, no source).

/// How well the list meets the bills.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Agreement {
    /// Within 10 %.
    Good,
    /// 10 to 25 %: find the missing load (water heating, well pump, heating, standby).
    FindTheRest,
    /// More than 25 %: do not size yet.
    DoNotSizeYet,
}

impl Agreement {
    /// The words shown for it.
    pub fn in_words(self) -> &'static str {
        match self {
            Agreement::Good => "good",
            Agreement::FindTheRest => "find the missing load",
            Agreement::DoNotSizeYet => "do not size yet",
        }
    }
}

/// One month, or the year, of list and bill.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reconciled {
    /// Energy of the list, Wh.
    pub list_wh: f64,
    /// Energy billed, Wh.
    pub bill_wh: f64,
    /// Bill less list: energy nobody has listed, or listed too much when negative, Wh.
    pub unexplained_wh: f64,
    /// That difference over the bill; `None` when nothing was billed.
    pub difference: Option<f64>,
    /// The band; `None` when nothing was billed, which compares with nothing.
    pub agreement: Option<Agreement>,
}

/// List and bills by month and over the year.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reconciliation {
    /// January first.
    pub months: [Reconciled; 12],
    /// All months with a bill together.
    pub year: Reconciled,
    /// Month that agrees least, 0 for January; the first of equals. `None` when nothing was billed.
    pub worst: Option<usize>,
}

/// Holds twelve months of the list against twelve bills, both in Wh and at least 0.
pub fn reconcile(list_wh: [f64; 12], bills_wh: [f64; 12]) -> Reconciliation {
    let months = std::array::from_fn(|month| compare(list_wh[month], bills_wh[month]));
    let mut worst: Option<(usize, f64)> = None;
    for (month, line) in months.iter().enumerate() {
        if let Some(off) = line.difference.map(f64::abs)
            && worst.is_none_or(|(_, most)| off > most)
        {
            worst = Some((month, off));
        }
    }
    // A month without a bill would count as nothing used.
    let billed = |of: [f64; 12]| (0..12).filter(|m| bills_wh[*m] > 0.0).map(|m| of[m]).sum();
    Reconciliation {
        months,
        year: compare(billed(list_wh), billed(bills_wh)),
        worst: worst.map(|(month, _)| month),
    }
}

fn compare(list_wh: f64, bill_wh: f64) -> Reconciled {
    let unexplained_wh = bill_wh - list_wh;
    let difference = (bill_wh > 0.0).then(|| unexplained_wh / bill_wh);
    Reconciled { list_wh, bill_wh, unexplained_wh, difference, agreement: difference.map(band) }
}

fn band(difference: f64) -> Agreement {
    // Bounds belong to the better band; a difference that is no number belongs to the worst.
    let off = difference.abs();
    if off <= 0.10 {
        Agreement::Good
    } else if off <= 0.25 {
        Agreement::FindTheRest
    } else {
        Agreement::DoNotSizeYet
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bands_change_just_above_ten_and_twenty_five_in_a_hundred() {
        let of = |list| compare(list, 400.0).agreement;
        assert_eq!(of(400.0), Some(Agreement::Good));
        assert_eq!(of(360.0), Some(Agreement::Good));
        assert_eq!(of(359.0), Some(Agreement::FindTheRest));
        assert_eq!(of(300.0), Some(Agreement::FindTheRest));
        assert_eq!(of(299.0), Some(Agreement::DoNotSizeYet));
        // Listing too much is no better than too little.
        assert_eq!(of(441.0), Some(Agreement::FindTheRest));
        assert_eq!(of(501.0), Some(Agreement::DoNotSizeYet));
    }

    #[test]
    fn months_and_year_are_compared_on_their_own() {
        let mut list = [300_000.0; 12];
        list[6] = 150_000.0;
        let done = reconcile(list, [320_000.0; 12]);
        assert_eq!(done.worst, Some(6));
        assert_eq!(done.months[6].agreement, Some(Agreement::DoNotSizeYet));
        assert!((done.months[6].unexplained_wh - 170_000.0).abs() < 1e-9);
        // 3 450 against 3 840 kWh: 10.16 %.
        assert_eq!(done.year.agreement, Some(Agreement::FindTheRest));
    }

    #[test]
    fn a_month_without_a_bill_compares_with_nothing() {
        let done = reconcile([100.0; 12], [0.0; 12]);
        assert_eq!((done.months[0].agreement, done.worst), (None, None));
        let mut bills = [0.0; 12];
        bills[3] = 100.0;
        assert_eq!(reconcile([100.0; 12], bills).year.agreement, Some(Agreement::Good));
    }
}
