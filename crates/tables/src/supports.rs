//! How far apart a raceway is supported, NEC articles 344 to 358.

use crate::{RacewayKind, TableError, TradeSize, file, sheet};
use quantity::{Clause, Length, Measure, Standing, TableRow, Traced, nec, units};
use std::sync::OnceLock;

/// Distances of supports.
#[derive(Clone, Debug, PartialEq)]
pub struct Supports {
    /// Largest distance between two of them.
    pub between: Traced<Length>,
    /// Largest distance from a box to the first.
    pub from_box: Traced<Length>,
}

/// Supports of a raceway of this trade size.
///
/// Source: NEC 2023, the section .30 of each raceway's article; 352.30(B) with its table for rigid plastic conduit.
///
/// # Errors
/// [`TableError::NoSuchTradeSize`].
pub fn raceway_supports(kind: RacewayKind, trade_size: TradeSize) -> Result<Supports, TableError> {
    let clause = clause_of(kind);
    let inside = |row: &&Row| row.kind == kind && (row.least..=row.most).contains(&trade_size);
    let Some(found) = table().iter().find(inside) else {
        return Err(TableError::NoSuchTradeSize { table: clause, kind, trade_size });
    };
    let named = |what: &str| TableRow {
        clause: *clause,
        row: format!("{kind} trade size {trade_size}, {what}").into(),
        standing: found.standing,
    };
    let of = |inches: f64, what: &str| {
        Traced::tabled(Length::from_si(units::INCH_UNIT.to_si(inches)), named(what))
    };
    Ok(Supports {
        between: of(found.between_in, "between supports"),
        from_box: of(found.from_box_in, "from a box"),
    })
}

fn clause_of(kind: RacewayKind) -> &'static Clause {
    const fn of(clause: &'static str) -> Clause {
        nec("2023", clause, Standing::Remembered)
    }
    static EMT: Clause = of("358.30");
    static FMC: Clause = of("348.30");
    static LFMC: Clause = of("350.30");
    static LFNC: Clause = of("356.30");
    static RMC: Clause = of("344.30");
    static PVC: Clause = of("352.30(B)");
    static METRIC: Clause = quantity::practice("distances of supports as the maker says");
    match kind {
        RacewayKind::Emt => &EMT,
        RacewayKind::Fmc => &FMC,
        RacewayKind::Lfmc => &LFMC,
        RacewayKind::LfncB => &LFNC,
        RacewayKind::Rmc => &RMC,
        RacewayKind::Pvc40 | RacewayKind::Pvc80 => &PVC,
        RacewayKind::SteelConduit
        | RacewayKind::PlasticConduit
        | RacewayKind::PliableConduit
        | RacewayKind::BuriedConduit
        | RacewayKind::Trunking
        | RacewayKind::CableTray => &METRIC,
    }
}

struct Row {
    kind: RacewayKind,
    least: TradeSize,
    most: TradeSize,
    between_in: f64,
    from_box_in: f64,
    standing: Standing,
}

fn table() -> &'static [Row] {
    static ROWS: OnceLock<Vec<Row>> = OnceLock::new();
    ROWS.get_or_init(|| {
        sheet::rows(file::SUPPORTS, |line| {
            Some(Row {
                kind: RacewayKind::read(line.text("raceway")?)?,
                least: line.value("least")?,
                most: line.value("most")?,
                between_in: line.value("between_in")?,
                from_box_in: line.value("from_box_in")?,
                standing: line.standing()?,
            })
        })
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::trade_sizes;

    #[test]
    fn every_listed_trade_size_has_one_row_and_plastic_is_held_more_widely_when_larger() {
        for kind in RacewayKind::ALL {
            let mut before = 0.0;
            for trade in trade_sizes(kind) {
                let rows = table().iter().filter(|r| r.kind == kind && (r.least..=r.most).contains(&trade));
                assert_eq!(rows.count(), 1, "{kind} {trade}");
                let between = raceway_supports(kind, trade).unwrap().between.si();
                assert!(between >= before, "{kind} {trade}");
                before = between;
            }
        }
        let quarter = TradeSize::read("1/4").unwrap();
        assert!(raceway_supports(RacewayKind::Emt, quarter).is_err());
    }
}
