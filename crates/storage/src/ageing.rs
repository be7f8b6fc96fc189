//! How an iron phosphate cell ages, by the calendar and by cycles.
//!
//! Sources: Naumann et al., Analysis and modeling of calendar aging of a commercial LiFePO4/graphite cell,
//! J. Energy Storage 17 (2018) 153–169; Naumann et al., J. Power Sources 451 (2020) 227666 (cycles; the square root,
//! the scale and the second resistance factor are from memory). Both were fitted to one 3 Ah cell, calendar 0–60 °C,
//! cycles at 25–40 °C and up to one capacity an hour: a large bank of other cells may age half or twice as fast.

/// Gas constant as used by the source, J/(mol·K).
const GAS: f64 = 8.3145;

fn hotter(activation: f64, cell_c: f64) -> f64 {
    libm::exp(-activation / GAS * (1.0 / (cell_c + 273.15) - 1.0 / 298.15))
}

/// Capacity lost by `seconds` of rest, as a share of the new capacity. `state` of charge 0 to 1.
pub fn calendar_loss(cell_c: f64, state: f64, seconds: f64) -> f64 {
    calendar_stress(cell_c, state) * seconds.max(0.0).sqrt()
}

/// Resistance gained by `seconds` of rest, as a share of the new resistance.
pub fn calendar_resistance(cell_c: f64, state: f64, seconds: f64) -> f64 {
    let off = state - 0.5;
    3.419e-10 * hotter(71_827.0, cell_c) * (3.3903 * off * off + 1.5604) * seconds
}

/// Capacity lost by `cycles` equivalent full cycles of `depth` (0 to 1) at `rate` capacities an hour, as a share.
pub fn cycle_loss(depth: f64, rate: f64, cycles: f64) -> f64 {
    cycle_stress(depth, rate) * cycles.max(0.0).sqrt()
}

/// Capacity lost after one more stretch of rest at other conditions: the past loss is first turned into the time it
/// would have taken at today's stress.
pub fn calendar_loss_onward(past_loss: f64, cell_c: f64, state: f64, seconds: f64) -> f64 {
    onward(past_loss, calendar_stress(cell_c, state), seconds)
}

/// Capacity lost after more cycles at other conditions, in the same way.
pub fn cycle_loss_onward(past_loss: f64, depth: f64, rate: f64, cycles: f64) -> f64 {
    onward(past_loss, cycle_stress(depth, rate), cycles)
}

/// Share of the new capacity left after both, never below 0.
pub fn capacity_left(calendar_loss: f64, cycle_loss: f64) -> f64 {
    (1.0 - calendar_loss - cycle_loss).max(0.0)
}

pub(crate) fn calendar_stress(cell_c: f64, state: f64) -> f64 {
    let off = state - 0.5;
    1.2571e-5 * hotter(17_126.0, cell_c) * (2.8575 * off * off * off + 0.60225)
}

pub(crate) fn cycle_stress(depth: f64, rate: f64) -> f64 {
    let off = depth - 0.6;
    (4.0253 * off * off * off + 1.0923) * (0.0971 + 0.063 * rate) / 100.0
}

/// `loss = stress · √amount`, continued from a past loss.
fn onward(past_loss: f64, stress: f64, amount: f64) -> f64 {
    if stress <= 0.0 {
        return past_loss;
    }
    let equivalent = (past_loss / stress) * (past_loss / stress);
    stress * (equivalent + amount.max(0.0)).sqrt()
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    const TABLE: &str = include_str!("../../../cases/solar/lfp_ageing_checks.csv");

    fn input(inputs: &str, name: &str) -> f64 {
        inputs
            .split(';')
            .find_map(|part| part.strip_prefix(name)?.strip_prefix('='))
            .unwrap()
            .parse()
            .unwrap()
    }

    #[test]
    fn losses_agree_with_the_table() {
        let mut seen = 0;
        for line in TABLE.lines().filter(|line| line.starts_with("naumann")) {
            let cells: Vec<_> = line.split(',').collect();
            let value: f64 = cells[2].parse().unwrap();
            let of = |name| input(cells[1], name);
            let got = match cells[0] {
                "naumann2018_calendar_capacity_loss_fraction" => {
                    calendar_loss(of("T_C"), of("SOC"), of("years365.25") * 365.25 * 86_400.0)
                }
                "naumann2018_calendar_resistance_increase_fraction" => {
                    calendar_resistance(of("T_C"), of("SOC"), of("years365.25") * 365.25 * 86_400.0)
                }
                _ => cycle_loss(of("DOD"), of("C_rate"), of("FEC")),
            };
            // Six printed decimals.
            assert!((got - value).abs() < 6e-7, "{line}: {got}");
            seen += 1;
        }
        assert_eq!(seen, 16);
    }

    #[test]
    fn two_halves_at_equal_conditions_make_the_whole() {
        let year = 365.25 * 86_400.0;
        let half = calendar_loss(25.0, 0.6, year / 2.0);
        let whole = calendar_loss_onward(half, 25.0, 0.6, year / 2.0);
        assert!((whole - calendar_loss(25.0, 0.6, year)).abs() < 1e-15);
        let cycled = cycle_loss_onward(cycle_loss(0.8, 0.3, 150.0), 0.8, 0.3, 150.0);
        assert!((cycled - cycle_loss(0.8, 0.3, 300.0)).abs() < 1e-15);
        assert_eq!(calendar_loss_onward(0.05, 25.0, 0.6, 0.0), 0.05);
    }
}
