//! What partial shade and snow cost a string electrically: whole sections, not area.

use crate::bypass_sections::{
    ModuleStand, SectionGroup, best_point_over, section_of, share_of_sections_reached,
};
use crate::module_year::ModuleYear;
use crate::near_shade::{NearShade, ShadedPlaneYear, refuse_bad_shade};
use crate::series::{SeriesError, in_range, same_length};
use crate::single_diode::ReferenceModule;

/// How much voltage a bypass diode takes while it carries the string's current, V: 0.4 to 0.6 for the Schottky diodes in
/// use. Common practice, no source.
pub const ASSUMED_BYPASS_V: f64 = 0.5;

/// Which of a plane's module rows a string runs through.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StringPlace {
    /// All of them alike: its modules lie evenly over the rows.
    Spread,
    /// One alone, counted from the lower edge, from 0.
    Row(u32),
}

/// How the sections of a string lie in the shade that climbs over its plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SectionLayout {
    /// Modules in series, at least 1.
    pub modules_in_series: u32,
    /// Bypass sections of a module, at least 1: one per bypass diode.
    pub sections_of_module: u32,
    /// Module rows one above the other on the plane, at least 1.
    pub modules_up: u32,
    /// Which way up the modules lie.
    pub stand: ModuleStand,
    /// Which module rows the string runs through.
    pub place: StringPlace,
    /// Voltage over a diode that carries the string's current, V.
    pub bypass_v: f64,
}

impl SectionLayout {
    /// Sections of the string that shade or snow over `share` of the slant reaches.
    #[must_use]
    pub fn sections_reached(&self, share: f64) -> u32 {
        let all = self.sections();
        let reached = match self.place {
            StringPlace::Spread => {
                share_of_sections_reached(share, self.modules_up, self.stand, self.sections_of_module)
            }
            StringPlace::Row(row) => {
                let of_row = (share * f64::from(self.modules_up) - f64::from(row)).clamp(0.0, 1.0);
                share_of_sections_reached(of_row, 1, self.stand, self.sections_of_module)
            }
        };
        // A string that does not divide evenly over the rows is taken with the larger part in the shade.
        (libm::ceil(reached * f64::from(all) - 1e-9).max(0.0) as u32).min(all)
    }

    fn sections(&self) -> u32 {
        self.modules_in_series.saturating_mul(self.sections_of_module)
    }
}

/// What shade on sections leaves of a string, one entry per step, as shares of the string outside the near shade.
#[derive(Debug, Clone, PartialEq)]
pub struct SectionShade {
    /// Power at the best point, 0..=1.
    pub power_share: Vec<f64>,
    /// Voltage at the best point, above 0; passed-by sections take their voltage with them.
    pub voltage_share: Vec<f64>,
}

/// The best point of a string in every step from the light inside and outside the shade.
///
/// `points` are the module's operating points in `light.cell_w_m2`, `cell_c` the cell temperature of every step, and
/// `covered` the share of the slant under snow, from the lower edge (none: no snow). A section counts as soon as any of it
/// is shaded; sections under snow give nothing and are passed by. All sections are taken at one temperature.
///
/// # Errors
/// `SeriesError` for unequal lengths, shares outside 0..=1 or a layout without modules or sections.
pub fn section_shade(
    module: &ReferenceModule,
    points: &ModuleYear,
    light: &ShadedPlaneYear,
    cell_c: &[f64],
    shade: &NearShade,
    covered: Option<&[f64]>,
    layout: &SectionLayout,
) -> Result<SectionShade, SeriesError> {
    let steps = points.steps();
    refuse_bad_shade(shade, steps)?;
    same_length("light outside the shade", light.cell_w_m2.len(), steps)?;
    same_length("light in the shade", light.shaded_cell_w_m2.len(), steps)?;
    same_length("cell temperature", cell_c.len(), steps)?;
    in_range("modules in series", 0, f64::from(layout.modules_in_series), 1.0, 1000.0)?;
    in_range("bypass sections of a module", 0, f64::from(layout.sections_of_module), 1.0, 100.0)?;
    in_range("module rows", 0, f64::from(layout.modules_up), 1.0, 1000.0)?;
    in_range("voltage of a bypass diode", 0, layout.bypass_v, 0.0, 5.0)?;
    if let Some(covered) = covered {
        same_length("share under snow", covered.len(), steps)?;
        for (step, share) in covered.iter().enumerate() {
            in_range("share under snow", step, *share, 0.0, 1.0)?;
        }
    }
    let mut left = SectionShade { power_share: vec![1.0; steps], voltage_share: vec![1.0; steps] };
    for step in 0..steps {
        let bright = light.cell_w_m2[step];
        let dark = covered.map_or(0, |covered| layout.sections_reached(covered[step]));
        let in_shade = if shade.during[step] > 0.0 { layout.sections_reached(shade.shaded[step]) } else { 0 };
        if bright <= 0.0 || points.pmp_w(step) <= 0.0 || dark + in_shade == 0 {
            continue;
        }
        in_range("cell temperature", step, cell_c[step], -100.0, 200.0)?;
        in_range("light in the shade", step, light.shaded_cell_w_m2[step], 0.0, 3000.0)?;
        let of_string = OfString { module, points, layout, step, cell_c: cell_c[step], bright };
        // Snow lies all the step, near shade for a part of it; both climb from the lower edge.
        let without = of_string.share(0, dark, 0.0);
        let during = shade.during[step];
        let (power, voltage) = if in_shade > 0 {
            let with = of_string.share(in_shade, dark, light.shaded_cell_w_m2[step]);
            let (a, b) = ((1.0 - during) * without.0, during * with.0);
            let sum = a + b;
            (sum, if sum > 0.0 { (a * without.1 + b * with.1) / sum } else { 1.0 })
        } else {
            without
        };
        left.power_share[step] = power.clamp(0.0, 1.0);
        left.voltage_share[step] = voltage.clamp(0.01, 2.0);
    }
    Ok(left)
}

/// One step of one string.
struct OfString<'a> {
    module: &'a ReferenceModule,
    points: &'a ModuleYear,
    layout: &'a SectionLayout,
    step: usize,
    cell_c: f64,
    bright: f64,
}

impl OfString<'_> {
    /// Shares of power and of voltage for so many sections reached by shade and by snow.
    fn share(&self, in_shade: u32, dark: u32, dim: f64) -> (f64, f64) {
        let all = self.layout.sections();
        let in_shade = in_shade.saturating_sub(dark);
        let bright = all - dark - in_shade;
        if in_shade + dark == 0 {
            return (1.0, 1.0);
        }
        let group = |count: u32, light: f64| {
            (count > 0 && light > 0.0).then(|| SectionGroup {
                count,
                section: section_of(&self.module.at(light, self.cell_c), self.layout.sections_of_module),
            })
        };
        let groups: Vec<SectionGroup> =
            [group(bright, self.bright), group(in_shade, dim)].into_iter().flatten().collect();
        let lit: u32 = groups.iter().map(|group| group.count).sum();
        if lit == 0 {
            return (0.0, 1.0);
        }
        // Power is stationary: a current right to 1e-5 gives it to 1e-9.
        let best = best_point_over(&groups, all - lit, self.layout.bypass_v, 1e-5).point;
        let series = f64::from(self.layout.modules_in_series);
        let power_w = (best.voltage_v * best.current_a).max(0.0);
        (
            power_w / (series * self.points.pmp_w(self.step)),
            best.voltage_v / (series * self.points.vmp_v[self.step]),
        )
    }
}
