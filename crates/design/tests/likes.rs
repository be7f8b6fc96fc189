//! Loads that name an appliance of the published list, and names that stand on no shelf.
#![allow(clippy::unwrap_used)]

use design::Design;
use loads::{Load, Use};
use quantity::{Fact, Origin};

const FARM: &str = include_str!("farm.toml");

fn with(load: &str) -> Design {
    Design::of_text(&format!("{FARM}\n[[load]]\nname = \"bread\"\n{load}\n"))
}

fn bread(design: &Design) -> &Load {
    assert!(design.problems.is_empty(), "{:?}", design.problems);
    design.system.loads.iter().find(|load| &*load.name == "bread").unwrap()
}

fn power(load: &Load) -> (f64, &Origin) {
    match &load.usage {
        Use::Hours { power: Fact::Known(power), .. } => (power.si(), &power.origin),
        other => panic!("{other:?}"),
    }
}

/// The row of the list: toaster 800, 1150, 1400 W without hours; toaster oven 1051 to 1225 W and 0.1 h a day.
#[test]
fn an_appliance_stands_in_with_its_range_until_the_owner_says_more() {
    let design = with("like = \"Toaster\"\nhours = 0.1");
    let (watts, origin) = power(bread(&design));
    assert_eq!(watts, 1150.0);
    let Origin::Tabled(row) = origin else { panic!("{origin:?}") };
    assert!(row.row.contains("800 to 1400 W"), "{}", row.row);
    let oven = with("like = \"toaster oven\"");
    let Use::Hours { hours: Fact::Known(hours), .. } = &bread(&oven).usage else { panic!() };
    assert!(
        (hours.value.iter().sum::<f64>() - 0.1).abs() < 1e-12 && matches!(hours.origin, Origin::Shelf(_))
    );
    // What the owner knows goes before the list.
    let own = with("like = \"Toaster\"\nhours = 0.1\nwatts = 900");
    assert!(matches!(power(bread(&own)), (watts, Origin::Stated(_)) if watts == 900.0));
    let plate = with("like = \"Toaster\"\nhours = 0.1\nvolts = 120\namps = 8");
    assert_eq!(power(bread(&plate)).0, 960.0);
    // Hours that no list gives stay a question.
    let asked = with("like = \"Toaster\"");
    assert!(matches!(&bread(&asked).usage, Use::Hours { hours: Fact::Unknown(_), .. }));
}

/// What hums asks how it starts; the list's starting watts are no locked-rotor amperes.
#[test]
fn a_compressor_of_the_list_asks_for_its_start() {
    let design = with("like = \"Freezer, manual defrost\"\nhours = 8");
    assert!(matches!(bread(&design).locked_rotor, Some(Fact::Unknown(_))));
    assert!(bread(&with("like = \"Toaster\"\nhours = 0.1")).locked_rotor.is_none());
}

#[test]
fn a_name_on_no_shelf_is_told_with_the_nearest() {
    let design = with("like = \"Toastre\"\nhours = 0.1");
    let [problem] = design.problems.as_slice() else { panic!("{:?}", design.problems) };
    assert_eq!(problem.says, "like: there is no typical load named \"Toastre\"");
    assert_eq!(problem.labels[0].says, "did you mean \"Toaster\"?");
    let mended = {
        let mend = problem.mend.as_ref().unwrap();
        let mut text = design.text.to_string();
        text.replace_range(mend.span.clone(), &mend.with);
        Design::of_text(&text)
    };
    assert_eq!(power(bread(&mended)).0, 1150.0);
    // Words that stand in several rows offer those rows.
    let vague = with("like = \"freezer\"\nhours = 8");
    let help = &vague.problems[0].help;
    assert!(help.contains("\"Freezer, manual defrost\"") && !help.contains("Toaster"), "{help}");
    // Parts are held to their shelf too.
    let part = Design::of_text(&format!("{FARM}\n[battery.\"spare\"]\nlike = \"typical nothing\"\n"));
    assert!(part.problems[0].says.contains("no typical battery named"), "{:?}", part.problems);
}
