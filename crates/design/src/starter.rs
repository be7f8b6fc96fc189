//! The commented starter design.

/// What is asked for a starter.
#[derive(Clone, Debug, PartialEq)]
pub struct Wishes {
    /// What the house is called.
    pub title: String,
    /// Degrees, north positive.
    pub latitude: f64,
    /// Degrees, east positive.
    pub longitude: f64,
    /// Height above the sea with its unit, as an owner writes it.
    pub elevation: String,
    /// Time zone, as the IANA database names it.
    pub zone: String,
    /// Split phase of 120/240 V and US customary units, or 230 V and metric ones.
    pub american: bool,
}

/// The text of a starter design: it is understood without a problem, and its blanks are questions.
pub fn starter(wishes: &Wishes) -> String {
    let Wishes { title, latitude, longitude, elevation, zone, american } = wishes;
    // A guard lies at a tenth and more above the voltage of a conductor to ground for good.
    let (units, currency, rules, volts, inverter, load_volts, guard, pipe) = if *american {
        ("us", "USD", "nec-2023", "120/240", "typical 8 kW 120/240 V inverter", "120", "150 V", "emt")
    } else {
        let inverter = "typical 5 kW 230 V hybrid inverter";
        ("metric", "EUR", "iec-60364", "230", inverter, "230", "275 V", "plastic conduit")
    };
    let inverter = known_part("inverter", inverter);
    let module = known_part("module", "typical 400 W module");
    let battery = known_part("battery", "typical 51.2 V 100 Ah rack battery");
    // Nothing that was typed ends a text of the file or begins another line.
    let plain = |text: &str| text.replace(|c: char| c == '"' || c == '\\' || c.is_control(), "");
    let (title, zone, elevation) = (plain(title), plain(zone), plain(elevation));
    format!(
        r##"# {title}: a starter. Change what is not true; leave out what you do not know.
# A blank that a danger depends on stays unknown and becomes a question:  wattwright check FILE --questions

wattwright = 1                      # version of the file format
title = "{title}"
units = "{units}"                        # how answers are printed; any unit may be written below
currency = "{currency}"

[place]
latitude = {latitude}
longitude = {longitude}
elevation = "{elevation}"
zone = "{zone}"
rules = "{rules}"                 # the edition the local office has adopted: ask
dwelling = "one-family"
# coldest = {{ value = "-10 °C", basis = "mean of yearly extremes" }}   # ask the building office; never guessed
weather = {{ normals = "nearest", years = 20, seed = 1 }}

[promise]                           # what the house may never or seldom suffer
must_loads_dark = "0 h"
backup_hours_per_year = "100 h"

[permits]                           # unknown blocks the purchase, not the planning
owner_may_wire = "unknown"
building_permit = "unknown"
utility_agrees = "unknown"
insurer_agrees = "unknown"
storage_place_agreed = "unknown"

# ── what the house uses ─────────────────────────────────────────────────

[[load]]
name = "refrigerator"
yearly = "400 kWh"                  # from its label
volts = {load_volts}
tier = "must"

[[load]]
name = "lights"
watts = 100
volts = {load_volts}
hours = {{ morning = 1, evening = 4 }}
tier = "must"

[[load]]
name = "internet and standby"
watts = 60
volts = {load_volts}
hours = 24
tier = "want"

# ── parts: typical ones from the shelf, until you have data sheets ──────

[module.roof]
like = "{module}"

[inverter.wall]
like = "{inverter}"

[battery.rack]
like = "{battery}"

# ── the system ──────────────────────────────────────────────────────────

[[building]]
name = "house"

[[room]]
name = "utility room"
building = "house"
between = ["10 °C", "32 °C"]

[[plane]]
name = "roof"
mount = "roof"
building = "house"
tilt = "30°"
bearing = "{bearing}°"                    # clockwise from true north; a compass bearing is written {{ compass = "…" }}

[[string]]
name = "string 1"
plane = "roof"
module = "roof"
count = 8
into = {{ unit = "inverter", input = 1 }}

[[unit]]
name = "inverter"
inverter = "wall"
bank = "bank"
room = "utility room"

[[bank]]
name = "bank"
battery = "rack"
parallel = 4
room = "utility room"

[[panel]]
name = "house panel"
fed_by = ["inverter"]
volts = "{volts}"
building = "house"

[[surge]]
name = "panel guard"
at = "house panel"
protects = "alternating current"
type = "type 2"
volts = "{guard}"

# ── the wires: routes are given, circuits follow, sizes are found ───────

[[run]]
name = "roof to inverter"
carries = ["string 1"]
route = [
  {{ length = "8 m", where = "on a roof", raceway = "open" }},
  {{ length = "6 m", where = "indoors", room = "utility room", raceway = "{pipe}" }},
]

[[run]]
name = "battery links"
between = ["bank", "bank"]
route = [{{ length = "60 cm", where = "indoors", room = "utility room", raceway = "open" }}]

[[run]]
name = "battery to inverter"
between = ["bank", "inverter"]
route = [{{ length = "1.5 m", where = "indoors", room = "utility room", raceway = "{pipe}" }}]

[[run]]
name = "inverter to panel"
between = ["inverter", "house panel"]
route = [{{ length = "3 m", where = "indoors", room = "utility room", raceway = "{pipe}" }}]
"##,
        bearing = if *latitude >= 0.0 { 180 } else { 0 },
    )
}

/// A part of the shelf by its name, or the first of its table.
fn known_part(table: &str, wanted: &str) -> String {
    let items = crate::shelf::shelf();
    let of_table = || items.iter().filter(|item| item.table.key == table);
    of_table()
        .find(|item| item.name.eq_ignore_ascii_case(wanted))
        .or_else(|| {
            // The size words decide among names that were worded otherwise.
            let words: Vec<&str> = wanted.split(' ').collect();
            of_table().max_by_key(|item| words.iter().filter(|word| item.name.contains(**word)).count())
        })
        .map(|item| item.name.to_string())
        .unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_starter_is_understood_without_a_problem_on_both_hemispheres() {
        for (latitude, longitude, zone, american) in
            [(40.0, -105.0, "America/Denver", true), (-33.0, 151.0, "Australia/Sydney", false)]
        {
            let wishes = Wishes {
                title: "Test \"House\"\n\u{7f}x".into(),
                latitude,
                longitude,
                elevation: "1500 m".into(),
                zone: zone.into(),
                american,
            };
            let design = crate::Design::of_text(&starter(&wishes));
            assert!(design.problems.is_empty(), "{:#?}", design.problems);
            assert!(design.questions().iter().any(|q| q.field.as_str().starts_with("place.coldest")));
        }
    }
}
