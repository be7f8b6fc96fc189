//! What a later payment is worth today.
//!
//! Source: Short, Packey and Holt, "A Manual for the Economic Evaluation of Energy Efficiency and Renewable Energy
//! Technologies", NREL/TP-462-5173, 1995 (definitions from memory); Duffie and Beckman, "Solar Engineering of Thermal
//! Processes", chapter 11 (present worth of an inflating series, from memory).

use quantity::{Clause, Count, Ratio, Standing, formula};

const MANUAL: &str = "NREL/TP-462-5173";

/// Share of a sum borrowed that is paid each year for `n` years, interest and repayment together.
///
/// - `d`: discount rate a year, above −1.
/// - `n`: years, above 0.
///
/// With `d` = 0 it is 1/n, the limit of the published quotient.
pub fn capital_recovery(d: f64, n: f64) -> f64 {
    if d.abs() < 1e-12 { 1.0 / n } else { d / (1.0 - libm::pow(1.0 + d, -n)) }
}

formula! {
    /// Explained twin of [`capital_recovery`] for a rate that is not 0.
    pub CapitalRecovery = capital_recovery(
        d: Ratio as RATIO = "discount rate a year",
        n: Count as COUNT = "years",
    ) -> Ratio as RATIO,
    text: "d / (1 − 1 / (1 + d)^n)",
    clause: Clause { document: MANUAL, edition: "1995", clause: "capital recovery factor", standing: Standing::Remembered },
}

/// Present worth of `n` yearly payments of which the first is 1 and falls at the end of year 1; each is `i` more than the last.
///
/// Both rates above −1. With `i` = `d` it is n/(1 + i), the limit of the published quotient.
pub fn present_worth(n: f64, i: f64, d: f64) -> f64 {
    if (d - i).abs() < 1e-12 { n / (1.0 + i) } else { (1.0 - libm::pow((1.0 + i) / (1.0 + d), n)) / (d - i) }
}

/// Rate above inflation, by Fisher's relation `(1 + nominal) / (1 + inflation) − 1`.
pub fn real_rate(nominal: f64, inflation: f64) -> f64 {
    (1.0 + nominal) / (1.0 + inflation) - 1.0
}

formula! {
    /// Explained twin of [`real_rate`].
    pub RealRate = real_rate(
        nominal: Ratio as RATIO = "rate as banks state it",
        inflation: Ratio as RATIO = "general rise of prices",
    ) -> Ratio as RATIO,
    text: "(1 + nominal) / (1 + inflation) − 1",
    clause: Clause { document: MANUAL, edition: "1995", clause: "real discount rate", standing: Standing::Remembered },
}

/// Yearly (or monthly) payment that repays `principal` in `n` payments at interest `i` per payment.
pub fn loan_payment(principal: f64, i: f64, n: f64) -> f64 {
    principal * capital_recovery(i, n)
}

/// What `amount` at the end of year `year` is worth at the end of year 0.
pub fn discounted(amount: f64, d: f64, year: u32) -> f64 {
    amount / libm::pow(1.0 + d, f64::from(year))
}
