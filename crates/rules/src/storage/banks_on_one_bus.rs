//! # Unlike banks on one pair of busbars
//!
//! What it checks: for every bank that stands beside another, that chemistry and nominal voltage are those of the bank whose
//! busbars it joins; whether the chargers suit the lower of their charging voltages; whether each bank alone bears what is
//! asked of both; and that makers of unlike batteries are asked.
//!
//! Why it matters: batteries of two chemistries or of two voltages push current into each other without end, and one is
//! overcharged while the other never fills. When full and empty ones are joined, hundreds of amperes flow for as long as it
//! takes. Electronics of two makers do not know of each other: one drops out and the other carries all.
//!
//! Known limits: of more than two banks on one bus, none is tried alone. A worn bank is told by its own data sheet: state what it
//! still holds and how much it gives back.
//!
//! Source: Kirchhoff's laws; common practice, no source.
//!
//! Fails: lead-acid beside iron phosphate; 48 V beside 51.2 V.
//! Passes: units of the same battery in two racks.

use crate::words::{above, both, say};
use crate::{Findings, Rule, Severity};
use design::system::BankIn;
use quantity::{Fact, practice, units};
use study::{BankStudy, Study};

pub(crate) static RULE: Rule = Rule {
    code: "B10",
    name: "banks-on-one-bus",
    severity: Severity::Danger,
    clause: practice("only batteries of one chemistry and voltage share busbars"),
    text: include_str!("banks_on_one_bus.rs"),
    check,
};

fn check(study: &Study, findings: &mut Findings<'_>) {
    let system = &study.design.system;
    for bank in system.banks.iter().filter(|bank| !bank.beside.is_empty()) {
        let bus = system.bus_of(&bank.bank.name);
        if bus == &*bank.bank.name {
            findings
                .fails(format!(
                    "bank \"{bus}\" stands beside \"{}\", which has no busbars either",
                    bank.beside
                ))
                .at(format!("bank.{bus}.beside"), "named here")
                .explains("Leave beside out for the bank whose busbars they are.");
            continue;
        }
        let Some(main) = system.bank(bus) else { continue };
        let of = |name: &str| study.banks.iter().find(|bank| &*bank.name == name);
        let (Some(own), Some(joined)) = (of(&bank.bank.name), of(bus)) else { continue };
        kinds(study, findings, bank, main);
        volts(study, findings, own, joined);
        if bank.bank.battery != main.bank.battery {
            makers(findings, bank, main);
        }
        if system.banks_on(bus).count() == 2 {
            alone(study, findings, own, joined);
            alone(study, findings, joined, own);
        }
    }
}

fn kinds(study: &Study, findings: &mut Findings<'_>, bank: &BankIn, main: &BankIn) {
    let system = &study.design.system;
    let parts = (system.battery(&bank.bank.battery), system.battery(&main.bank.battery));
    let (Some(own), Some(other)) = parts else { return };
    let (name, bus) = (&bank.bank.name, &main.bank.name);
    match both(&own.chemistry, &other.chemistry) {
        Ok((a, b)) if a.value != b.value => {
            findings
                .fails(format!("banks \"{name}\" and \"{bus}\" are of two chemistries on one pair of busbars"))
                .at(format!("bank.{name}.beside"), "joined here")
                .explains("They part in voltage as they fill and empty: one is overcharged, or never full. Give each inverters of its own, or keep one.");
        }
        Ok(_) => {}
        Err(gap) => {
            let thing = format!("banks \"{name}\" and \"{bus}\"");
            findings.undecided_for(&thing, "whether they are of one chemistry is not known", gap);
        }
    }
}

fn volts(study: &Study, findings: &mut Findings<'_>, own: &BankStudy, main: &BankStudy) {
    let pair = format!("banks \"{}\" and \"{}\"", own.name, main.name);
    let place = format!("bank.{}.beside", own.name);
    match both(&own.nominal, &main.nominal) {
        Ok((a, b)) if above(a.si(), b.si()) || above(b.si(), a.si()) => {
            findings
                .fails(format!("{pair}: {} and {} on one pair of busbars", say(study, a), say(study, b)))
                .at(place.clone(), "joined here")
                .because([a.term("of one", &units::VOLT), b.term("of the other", &units::VOLT)])
                .explains("Only as many cells one after the other share busbars: the bank of fewer is overcharged by the other.");
        }
        Ok(_) => {}
        Err(gap) => findings_unknown(findings, &pair, gap),
    }
    if let (Fact::Known(a), Fact::Known(b)) = (&own.volts.highest, &main.volts.highest)
        && (above(a.si(), b.si()) || above(b.si(), a.si()))
    {
        let lower = if a.si() < b.si() { a } else { b };
        findings
            .fails_as(
                Severity::Note,
                format!("{pair}: charged to {} and to {} by their data sheets", say(study, a), say(study, b)),
            )
            .at(place, "joined here")
            .because([a.term("of one", &units::VOLT), b.term("of the other", &units::VOLT)])
            .explains(format!("Set every charger on the busbars to no more than {}.", say(study, lower)));
    }
}

fn findings_unknown(findings: &mut Findings<'_>, pair: &str, gap: quantity::Gap) {
    findings.undecided_for(pair, "whether they are of one voltage is not known", gap);
}

fn makers(findings: &mut Findings<'_>, bank: &BankIn, main: &BankIn) {
    let (name, bus) = (&bank.bank.name, &main.bank.name);
    findings
        .fails_as(
            Severity::Doubt,
            format!(
                "banks \"{name}\" of battery \"{}\" and \"{bus}\" of battery \"{}\" share busbars: their electronics do not know of each other",
                bank.bank.battery, main.bank.battery
            ),
        )
        .at(format!("bank.{name}.beside"), "joined here")
        .explains(
            "Ask both makers in writing whether they allow it. Each unit keeps its own fuse or breaker; before they are joined both \
             are charged full and left to rest, and the voltage between them is measured: a difference of 1 V drives a hundred amperes \
             through ten milliohms.",
        );
}

/// Whether a bank bears what is asked of both while the other is out.
fn alone(study: &Study, findings: &mut Findings<'_>, bank: &BankStudy, other: &BankStudy) {
    let (Some(Fact::Known(share)), Fact::Known(asked), Fact::Known(limit)) =
        (&bank.share, &bank.discharge_asked, &bank.discharge_limit)
    else {
        return;
    };
    let whole = asked.si() / share.si();
    if share.si() > 0.0 && above(whole, limit.si()) {
        findings
            .fails_as(
                Severity::Note,
                format!(
                    "bank \"{}\" gives {}: less than is asked of the busbars while \"{}\" is out",
                    bank.name,
                    say(study, limit),
                    other.name
                ),
            )
            .at(format!("bank.{}", bank.name), "this one alone")
            .because([
                asked.term("its share of what is asked", &units::AMPERE),
                share.term("share", &units::RATIO),
                limit.term("given", &units::AMPERE),
            ])
            .explains("Write down which loads stay off while one of them is away.");
    }
}

#[cfg(test)]
mod tests {
    use crate::trial::{SOUND, of, verdict};

    const SECOND: &str =
        "[[bank]]\nname = \"second\"\nbattery = \"b\"\nparallel = 4\nbeside = \"bank\"\nroom = \"corner\"\n";

    /// A copy of the battery with one line changed, in a second bank.
    fn other(old: &str, new: &str) -> String {
        let from = SOUND.find("[battery.b]").expect("the battery is there");
        let to = from + SOUND[from..].find("\n\n").expect("it ends");
        let copy = SOUND[from..to].replacen("battery.b", "battery.other", 1);
        assert!(copy.contains(old), "{copy}");
        format!("{}\n\n{}", copy.replacen(old, new, 1), SECOND.replacen("\"b\"", "\"other\"", 1))
    }

    /// Four units of 50 A charge and 100 A of discharge beside four: alone each bears 142 A, so nothing is said.
    #[test]
    fn equal_batteries_in_two_racks_pass() {
        assert_eq!(verdict("B10", &[("+", SECOND)]), "passes");
        let single = SECOND.replacen("parallel = 4", "parallel = 1", 1);
        let found = of("B10", &[("+", &single)]);
        assert_eq!(found.len(), 1, "{found:#?}");
        assert!(found[0].severity == crate::Severity::Note && found[0].says.contains("\"second\" gives"));
    }

    #[test]
    fn another_chemistry_or_voltage_is_a_danger_and_unknown_is_none() {
        assert_eq!(verdict("B10", &[("+", &other("\"lfp\"", "\"lead-acid\""))]), "danger");
        assert_eq!(verdict("B10", &[("+", &other("nominal = \"51.2 V\"", "nominal = \"48 V\""))]), "danger");
        assert_eq!(verdict("B10", &[("+", &other("\"lfp\"", "\"unknown\""))]), "undecided danger");
        assert_eq!(
            verdict("B10", &[("+", &other("nominal = \"51.2 V\"", "nominal = \"unknown\""))]),
            "undecided danger"
        );
        // The same numbers under another name: the makers are asked.
        assert_eq!(verdict("B10", &[("+", &other("lfp", "lfp"))]), "doubt");
    }

    #[test]
    fn banks_that_only_name_each_other_have_no_busbars() {
        assert_eq!(verdict("B10", &[("+", SECOND), ("bank.bank.beside", "\"second\"")]), "danger");
    }
}
