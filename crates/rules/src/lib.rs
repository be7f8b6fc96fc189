//! Rules over a study: one file a rule. Rules compare facts and compute no physics.

mod ac;
mod dc;
mod energy;
mod finding;
mod grounding;
mod means;
mod money;
mod permits;
mod placement;
pub mod remedies;
mod rule;
mod storage;
#[cfg(test)]
mod trial;
mod uses;
mod wire;
mod words;

pub use finding::{Change, Finding, Place, Remedy, Severity};
pub use rule::{Findings, Rule};

use study::Study;

/// Every rule, by code.
#[rustfmt::skip]
pub static RULES: &[&Rule] = &[
    &dc::string_voltage_over_limit::RULE,
    &dc::cold_voltage_above_tracker::RULE,
    &dc::hot_string_under_tracker::RULE,
    &dc::cold_working_voltage_above_tracker::RULE,
    &dc::unequal_strings_on_one_input::RULE,
    &dc::input_current_over_limit::RULE,
    &dc::input_current_clipped::RULE,
    &dc::array_above_maker_limit::RULE,
    &dc::string_without_fuse::RULE,
    &dc::combiner_fuse_unfit::RULE,
    &dc::array_conductors_not_in_metal::RULE,
    &dc::rapid_shutdown_not_decided::RULE,
    &dc::array_ground_fault_not_watched::RULE,
    &dc::array_arcs_not_watched::RULE,
    &dc::array_without_surge_device::RULE,
    &dc::module_sheet_contradicts_itself::RULE,
    &wire::conductor_too_small::RULE,
    &wire::voltage_drop::RULE,
    &wire::no_conductor_suffices::RULE,
    &wire::insulation_not_allowed::RULE,
    &wire::route_missing::RULE,
    &wire::circuit_not_sized::RULE,
    &wire::device_unfit::RULE,
    &wire::fault_current_unknown::RULE,
    &wire::raceway_does_not_hold::RULE,
    &wire::buried_too_shallow::RULE,
    &wire::plastic_lengthens::RULE,
    &wire::circuits_mixed::RULE,
    &wire::terminal_unfit::RULE,
    &wire::hazardous_place::RULE,
    &wire::raceway_not_for_place::RULE,
    &wire::short_not_ended::RULE,
    &wire::too_many_bends::RULE,
    &wire::signal_cable_with_power::RULE,
    &wire::signal_cable_too_long::RULE,
    &wire::run_joins_nothing::RULE,
    &wire::method_of_other_rules::RULE,
    &wire::rules_not_built::RULE,
    &wire::rules_unknown::RULE,
    &ac::sources_can_meet::RULE,
    &ac::leg_overloaded::RULE,
    &ac::motor_start_over_surge::RULE,
    &ac::one_leg_with_two_leg_loads::RULE,
    &ac::busbar_too_small::RULE,
    &ac::sources_over_busbar::RULE,
    &ac::supply_side_over_service::RULE,
    &ac::dwelling_load_over_feed::RULE,
    &ac::source_below_largest_load::RULE,
    &ac::three_phases::RULE,
    &ac::voltages_apart::RULE,
    &ac::array_inverter_not_held::RULE,
    &ac::shared_neutral_on_one_leg::RULE,
    &ac::panel_spaces_too_few::RULE,
    &storage::charging_in_the_cold::RULE,
    &storage::discharge_below_asked::RULE,
    &storage::charge_above_limit::RULE,
    &storage::too_many_in_parallel::RULE,
    &storage::voltage_outside_inverter::RULE,
    &storage::days_of_autonomy::RULE,
    &storage::one_unit_out::RULE,
    &storage::too_much_counted_usable::RULE,
    &storage::inverters_not_filled::RULE,
    &storage::banks_on_one_bus::RULE,
    &storage::bank_heater::RULE,
    &grounding::neutral_bonds::RULE,
    &grounding::electrode_conductor_too_small::RULE,
    &grounding::electrodes_missing::RULE,
    &grounding::first_fault_not_signalled::RULE,
    &grounding::fault_not_parted::RULE,
    &grounding::residual_device_blind::RULE,
    &grounding::sockets_without_residual::RULE,
    &grounding::bond_in_fed_building::RULE,
    &grounding::array_electrode_in_addition::RULE,
    &means::pv_without_disconnect::RULE,
    &means::storage_without_disconnect::RULE,
    &means::service_without_emergency_disconnect::RULE,
    &means::disconnect_unfit::RULE,
    &means::storage_place::RULE,
    &means::storage_place_britain::RULE,
    &means::working_space::RULE,
    &means::dwelling_without_surge_device::RULE,
    &means::building_without_disconnect::RULE,
    &placement::bearing_away_from_noon::RULE,
    &placement::compass_without_declination::RULE,
    &placement::room_too_hot::RULE,
    &placement::bearings_disagree::RULE,
    &placement::declination_of_elsewhere::RULE,
    &placement::weather_cannot_be_true::RULE,
    &placement::zone_of_elsewhere::RULE,
    &energy::promise_not_kept::RULE,
    &energy::drill_dark::RULE,
    &energy::idle_draw::RULE,
    &energy::list_against_bills::RULE,
    &energy::year_not_answered::RULE,
    &energy::efficiencies_against_idle::RULE,
    &energy::worst_month::RULE,
    &uses::cannot_keep_up::RULE,
    &uses::meter_record::RULE,
    &money::over_budget::RULE,
    &money::prices_missing::RULE,
    &permits::answer_missing::RULE,
    &permits::answer_no::RULE,
    &permits::network_operator::RULE,
    &permits::no_listing_mark::RULE,
];

/// The rule of a code or name, capitals or not.
pub fn rule(code_or_name: &str) -> Option<&'static Rule> {
    RULES.iter().copied().find(|rule| {
        rule.code.eq_ignore_ascii_case(code_or_name) || rule.name.eq_ignore_ascii_case(code_or_name)
    })
}

/// All findings of a study, worst first, then in design order.
pub fn inspect(study: &Study) -> Vec<Finding> {
    let mut all = Vec::new();
    for rule in RULES {
        (rule.check)(study, &mut Findings { rule, all: &mut all });
    }
    if let Some(rules) = study::rule_set(&study.design.system) {
        for finding in &mut all {
            finding.clause = wiring::in_edition(rules, finding.clause);
        }
    }
    let place = |finding: &Finding| {
        let first = finding.at.first().and_then(|place| study.design.span_of(&place.field));
        first.map_or(usize::MAX, |span| span.start)
    };
    all.sort_by_key(|finding| (finding.severity, finding.undecided.is_some(), place(finding), finding.code));
    all
}

#[cfg(test)]
mod tests {
    use super::RULES;
    use std::collections::BTreeSet;

    #[test]
    fn codes_and_names_are_unique_and_of_one_form() {
        let codes: BTreeSet<&str> = RULES.iter().map(|rule| rule.code).collect();
        let names: BTreeSet<&str> = RULES.iter().map(|rule| rule.name).collect();
        assert_eq!((codes.len(), names.len()), (RULES.len(), RULES.len()));
        for rule in RULES {
            let code = rule.code.as_bytes();
            assert!(
                code.len() == 3 && code[0].is_ascii_uppercase() && code[1..].iter().all(u8::is_ascii_digit)
            );
            assert!(
                rule.name.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-'),
                "{}",
                rule.name
            );
            assert_eq!(super::rule(&rule.code.to_lowercase()).map(|found| found.name), Some(rule.name));
        }
    }

    #[test]
    fn every_rule_says_what_why_how_far_and_whence() {
        let parts = [
            "# ",
            "What it checks: ",
            "Why it matters: ",
            "Known limits: ",
            "Source: ",
            "Fails: ",
            "Passes: ",
        ];
        for rule in RULES {
            let about = rule.about();
            let mut from = 0;
            for part in parts {
                let at = about[from..].lines().any(|line| line.starts_with(part));
                assert!(at, "{} lacks \"{part}\" in its place", rule.code);
                from += about[from..].find(part).map_or(0, |at| at + part.len());
            }
            let code = format!("code: \"{}\"", rule.code);
            assert!(rule.text.contains(&code), "{} shows the text of another file", rule.code);
        }
    }

    /// The same wrong size, found under each rule set, cites the document and the edition the office has adopted.
    #[test]
    fn a_finding_cites_the_rules_the_design_names() {
        let cited = |rules: &str, size: &str| {
            let changes = [("place.rules", rules), ("run.bus.conductor", size)];
            let found = crate::trial::of("W01", &changes);
            (found[0].clause.document, found[0].clause.edition)
        };
        assert_eq!(cited("\"nec-2020\"", "\"8 AWG\""), ("NEC", "2020"));
        assert_eq!(cited("\"nec-2023\"", "\"8 AWG\""), ("NEC", "2023"));
        assert_eq!(cited("\"nec-2026\"", "\"8 AWG\""), ("NEC", "2026"));
        let metric = cited("\"iec-60364\"", "\"10 mm²\"");
        assert_eq!(metric, ("IEC 60364-5-52", "2009"));
    }

    /// No clause of the NEC stands with a finding where the design is wired by IEC, and for each rule the matter is found.
    #[test]
    fn every_rule_has_its_matter_in_the_metric_rules() {
        // Shutting conductors on a building down is asked for by the NEC alone, and W14 asks which rules hold at all.
        for rule in RULES.iter().filter(|rule| !["D12", "W14"].contains(&rule.code)) {
            let clause = wiring::in_edition(wiring::RuleSet::Iec60364, rule.clause);
            assert_ne!(clause.document, "NEC", "{}", rule.code);
            assert!(!clause.clause.starts_with("no clause"), "{}: {}", rule.code, rule.clause);
        }
    }

    /// No rule promises what only an authority can say. The words are looked for in everything a rule can print.
    #[test]
    fn no_rule_calls_a_design_safe_legal_or_approved() {
        for rule in RULES {
            let printed = rule.text.split("mod tests").next().unwrap_or_default();
            for word in printed.to_lowercase().split(|c: char| !c.is_alphanumeric()) {
                assert!(
                    !["safe", "legal", "approved", "safely", "legally"].contains(&word),
                    "{}: {word}",
                    rule.code
                );
            }
        }
    }
}
