//! What stands around a plane: horizon, obstacles, rows, the ground behind a rack; as the kernels of light want it.

use crate::house::assumption;
use crate::uses::{Unanswered, Uses};
use array::bypass_sections::ModuleStand;
use array::facts::{Module, Mount, Plane};
use array::horizon::Horizon;
use array::obstacle::{ASSUMED_BARE_CROWN_PASSES, ASSUMED_LEAFY_CROWN_PASSES, Obstacle, Stand, Surroundings};
use array::rear::Rack;
use array::rows::Rows;
use design::system::{Near, Site, System};
use quantity::{FieldPath, Origin, Traced, units};

/// Share of the light on the back that posts, rails and junction boxes leave.
pub(crate) const LEFT_BY_STRUCTURE: f64 = 0.95;

/// Hours on either side of noon in which rows should not shade one another at the winter solstice; common practice.
const SOLSTICE_HOURS: f64 = 3.0;

/// How modules of a plane lie, for the sections that shade and snow reach.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lie {
    /// Modules above each other.
    pub modules_up: u32,
    /// Modules side by side.
    pub modules_wide: u32,
    /// Long side up the slope, or level.
    pub stand: ModuleStand,
}

/// What stands around a plane, in plain numbers.
#[derive(Clone, Debug)]
pub struct Around {
    /// The plane among its obstacles.
    pub stand: Stand,
    /// Horizon and obstacles.
    pub surroundings: Surroundings,
    /// Rows one behind the other.
    pub rows: Option<Rows>,
    /// Pitch at which rows facing the equator stay clear of each other within three hours of noon at the winter solstice;
    /// `None` without rows, and where the sun is down then.
    pub solstice_pitch_m: Option<f64>,
    /// Whether anything of it shades.
    pub shades: bool,
    /// The rack whose backs work, where a module's back does.
    pub rack: Option<Rack>,
    /// How modules lie.
    pub lie: Lie,
    /// Share lost to dirt by month.
    pub soiling: [f64; 12],
    /// Days after the last fall on which snow is cleared.
    pub cleared_after: Option<u32>,
    /// The obstacles as stated, with their names.
    pub named: Vec<(String, Obstacle)>,
    /// The horizon as stated, for pictures.
    pub horizon: Vec<(f64, f64)>,
    /// Every number of it, for the key of the layer.
    pub(crate) numbers: Vec<f64>,
}

/// Twelve shares of light the owner gave, remembered in `uses` as words.
pub(crate) fn monthly(says: &str, months: &Traced<[f64; 12]>, uses: &mut Uses) -> [f64; 12] {
    let shown: Vec<String> = months.value.iter().map(|m| format!("{:.0}", m * 100.0)).collect();
    uses.note(says, format!("{} % by month", shown.join(", ")), months.origin.clone());
    months.value
}

/// Reads the surroundings of a plane out of its facts; what is missing is remembered in `uses`.
///
/// # Errors
/// Statements that allow no such plane: rows that overlap, a horizon out of order.
pub(crate) fn around(
    system: &System,
    plane: &Plane,
    geometry: array::plane::Plane,
    uses: &mut Uses,
) -> Result<Option<Around>, Unanswered> {
    let of = |what: &str| format!("{}: {what}", plane.name);
    let refused = |key: &str, because: String| {
        Unanswered::refused(because, Some(FieldPath::new(format!("plane.{}.{key}", plane.name))))
    };
    let Some(site) = system.site(&plane.name) else { return Ok(None) };
    let soiling = match &site.soiling_by_month {
        Some(months) => monthly(&of("lost to dirt"), months, uses),
        None => [uses.number(&of("lost to dirt"), &plane.soiling, &units::RATIO); 12],
    };
    let module = module_on(system, &plane.name);
    let works_behind = plane.mount.value() != Some(&Mount::Roof)
        && system.bifacial.iter().any(|b| module.is_some_and(|m| m.name == b.module));
    let in_rows = site.ground_gap.is_some() || site.pitch.is_some();
    let sized = in_rows || works_behind || !site.obstacles.is_empty();
    let mut numbers = soiling.to_vec();
    // Only what needs the size of the plane asks for it.
    let up = uses.number(&of("modules above each other"), &site.modules_high, &units::COUNT);
    let lying = uses
        .words(&of("modules"), &site.lying, |lying| if *lying { "lying" } else { "upright" }.to_string())
        .unwrap_or(false);
    let (slant_m, lower_edge_m) = if sized {
        (
            up * slant_of(module, lying, plane, uses),
            uses.number(&of("lower edge above the ground"), &site.lower_edge, &units::METER),
        )
    } else {
        (1.0, 0.6)
    };
    let wide = if site.obstacles.is_empty() {
        Wide { modules: 1, metres: 1.0 }
    } else {
        wide_of(system, site, module, lying, up, uses)
    };
    let horizon = horizon(site, uses);
    let mut named = Vec::new();
    for near in &site.obstacles {
        named.push((near.name.to_string(), obstacle(near, plane, uses)));
    }
    if let Some(first) = site.obstacles.iter().find(|near| near.leafless.is_some()) {
        let words = format!(
            "a bare crown passes {:.0} %, a leafy one {:.0} % of the sun",
            ASSUMED_BARE_CROWN_PASSES * 100.0,
            ASSUMED_LEAFY_CROWN_PASSES * 100.0
        );
        let field = format!("plane.{}.obstacles", plane.name);
        uses.note(
            &format!("light through {}", first.name),
            words.clone(),
            assumption(&field, &words, "shade of trees"),
        );
    }
    let cleared_after = site
        .cleared_after
        .as_ref()
        .map(|days| uses.number(&of("snow is cleared after days"), days, &units::COUNT) as u32);
    let pitch_m = match (&site.pitch, &site.ground_gap) {
        (Some(pitch), _) => Some(uses.number(&of("pitch of the rows"), pitch, &units::METER)),
        (None, Some(gap)) => {
            Some(uses.number(&of("gap between rows"), gap, &units::METER) + slant_m * geometry.tilt_cosine())
        }
        (None, None) => None,
    };
    // What is missing is remembered; nothing can be built of it.
    let all = [slant_m, wide.metres, lower_edge_m, up, pitch_m.unwrap_or(0.0)];
    let near =
        named.iter().flat_map(|(_, o)| [o.bearing_deg, o.half_span_deg, o.distance_m, o.depth_m, o.height_m]);
    let far = horizon.iter().flat_map(|(bearing, up)| [*bearing, *up]);
    numbers.extend(all.into_iter().chain(near).chain(far));
    numbers.extend(named.iter().flat_map(|(_, o)| o.passes));
    numbers.push(f64::from(u8::from(lying)));
    numbers.push(cleared_after.map_or(-1.0, f64::from));
    numbers.push(f64::from(u8::from(works_behind)));
    numbers.push(f64::from(u8::from(in_rows)));
    if numbers.iter().any(|number| !number.is_finite()) {
        return Ok(None);
    }
    let rows = match pitch_m {
        Some(pitch) => Some(
            Rows::new(geometry.tilt_deg(), geometry.azimuth_deg(), slant_m, pitch)
                .map_err(|e| refused("rows", e.to_string()))?,
        ),
        None => None,
    };
    let far = match horizon.is_empty() {
        true => None,
        false => Some(Horizon::new(horizon.clone()).map_err(|e| refused("horizon", e.to_string()))?),
    };
    let obstacles: Vec<Obstacle> = named.iter().map(|(_, o)| *o).collect();
    let shades = far.is_some() || !obstacles.is_empty() || rows.is_some();
    let surroundings = Surroundings::new(far, obstacles).map_err(|e| refused("obstacles", e.to_string()))?;
    let rack = works_behind.then(|| {
        let words = "posts, rails and boxes leave 95 % of the light on the backs";
        let field = format!("plane.{}", plane.name);
        uses.note(&of("light left on the backs"), words, assumption(&field, words, "what the backs give"));
        Rack {
            tilt_deg: geometry.tilt_deg(),
            azimuth_deg: geometry.azimuth_deg(),
            slant_m,
            clearance_m: lower_edge_m,
            pitch_m,
        }
    });
    let latitude = system.place.latitude.si().map(|si| units::DEGREE_UNIT.of_si(si));
    let solstice_pitch_m = rows.as_ref().and_then(|rows| {
        array::rows::solstice_pitch_m(latitude?, rows.tilt_deg, rows.slant_m, SOLSTICE_HOURS)
    });
    Ok(Some(Around {
        solstice_pitch_m,
        stand: Stand { plane: geometry, lower_edge_m, slant_m, width_m: wide.metres },
        surroundings,
        rows,
        shades,
        rack,
        lie: Lie {
            modules_up: up as u32,
            modules_wide: wide.modules,
            stand: if lying { ModuleStand::Lying } else { ModuleStand::Upright },
        },
        soiling,
        cleared_after,
        named,
        horizon,
        numbers,
    }))
}

/// The module that lies on a plane: that of its first string.
pub(crate) fn module_on<'a>(system: &'a System, plane: &str) -> Option<&'a Module> {
    let string = system.strings.iter().find(|s| &*s.string.plane == plane)?;
    system.module(&string.string.module)
}

/// How many modules stand side by side, and how wide they are together.
struct Wide {
    modules: u32,
    metres: f64,
}

/// The width of a plane, asked for only where something stands before it.
fn wide_of(
    system: &System,
    site: &Site,
    module: Option<&Module>,
    lying: bool,
    up: f64,
    uses: &mut Uses,
) -> Wide {
    let of = |what: &str| format!("{}: {what}", site.plane);
    let modules = match &site.modules_wide {
        Some(wide) => uses.number(&of("modules side by side"), wide, &units::COUNT),
        None => {
            let on_plane = system.strings.iter().filter(|s| s.string.plane == site.plane);
            let count: f64 = on_plane.filter_map(|s| s.string.count.si()).sum();
            let racks = if site.pitch.is_some() || site.ground_gap.is_some() { 2.0 } else { 1.0 };
            let wide = (count / (up.max(1.0) * racks)).ceil().max(1.0);
            let words = if racks > 1.0 {
                format!("{wide:.0} modules side by side, on two racks")
            } else {
                format!("{wide:.0} modules side by side, in one block")
            };
            let field = format!("plane.{}.rows.modules_wide", site.plane);
            let because = "its strings were taken to fill it evenly";
            uses.note(
                &of("width"),
                words,
                assumption(&field, because, "which modules obstacles shade, and when"),
            );
            wide
        }
    };
    let says = of("module along the row");
    let metres = match (module, lying) {
        (Some(module), true) => uses.number(&says, &module.length, &units::METER),
        (Some(module), false) => uses.number(&says, &module.width, &units::METER),
        (None, _) => 0.0,
    };
    Wide { modules: modules.max(1.0) as u32, metres: modules * metres }
}

fn slant_of(module: Option<&Module>, lying: bool, plane: &Plane, uses: &mut Uses) -> f64 {
    let says = format!("{}: module up the slope", plane.name);
    match (module, lying) {
        (Some(module), true) => uses.number(&says, &module.width, &units::METER),
        (Some(module), false) => uses.number(&says, &module.length, &units::METER),
        (None, _) => 0.0,
    }
}

fn horizon(site: &Site, uses: &mut Uses) -> Vec<(f64, f64)> {
    let mut points = Vec::new();
    for (at, (bearing, up)) in site.horizon.iter().enumerate() {
        let says = |what: &str| format!("{}: horizon point {}, {what}", site.plane, at + 1);
        match (bearing.known(), up.known()) {
            (Some(b), Some(e)) if matches!(b.origin, Origin::Stated(_)) => {
                points.push((b.value.degrees(), units::DEGREE_UNIT.of_si(e.si())));
            }
            _ => points.push((
                uses.number(&says("bearing"), bearing, &units::TRUE_DEGREE),
                uses.number(&says("up"), up, &units::DEGREE_UNIT),
            )),
        }
    }
    if !points.is_empty() {
        let shown: Vec<String> = points.iter().map(|(b, e)| format!("{b:.0}° {e:.0}°")).collect();
        let origin = Origin::Stated(FieldPath::new(format!("plane.{}.horizon", site.plane)));
        uses.note(&format!("{}: horizon, bearing and elevation", site.plane), shown.join(", "), origin);
    }
    points
}

fn obstacle(near: &Near, plane: &Plane, uses: &mut Uses) -> Obstacle {
    let of = |what: &str| format!("{}: {}, {what}", plane.name, near.name);
    let from = uses.number(&of("from"), &near.from, &units::TRUE_DEGREE);
    let to = uses.number(&of("to"), &near.to, &units::TRUE_DEGREE);
    let distance = uses.number(&of("distance"), &near.distance, &units::METER);
    let height = uses.number(&of("height"), &near.height, &units::METER);
    let screen = Obstacle::building_between(from, to, distance, height);
    let depth = match (&near.depth, &near.leafless) {
        (Some(depth), _) => uses.number(&of("depth"), depth, &units::METER),
        // A crown is about as deep as it is wide.
        (None, Some(_)) => 2.0 * screen.half_width_m(),
        (None, None) => 0.0,
    };
    let screen = screen.reaching_back(depth);
    match &near.leafless {
        Some(months) => {
            let count = months.value.iter().filter(|without| **without).count();
            uses.note(&of("without leaves"), format!("{count} months"), months.origin.clone());
            screen.as_tree(&months.value, ASSUMED_BARE_CROWN_PASSES, ASSUMED_LEAFY_CROWN_PASSES)
        }
        None => screen,
    }
}
