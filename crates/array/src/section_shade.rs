//! What partial shade and snow cost a string electrically: whole sections, not area.

use crate::bypass_sections::{SectionGroup, best_point_over, section_of};
use crate::module_year::ModuleYear;
use crate::near_shade::ShadedPlaneYear;
use crate::reached::Reached;
use crate::series::{SeriesError, in_range, same_length};
use crate::single_diode::ReferenceModule;

/// How much voltage a bypass diode takes while it carries the string's current, V: 0.4 to 0.6 for the Schottky diodes in
/// use. Common practice, no source.
pub const ASSUMED_BYPASS_V: f64 = 0.5;

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
/// `points` are the module's operating points in `light.cell_w_m2`, `cell_c` the cell temperature of every step, `reached`
/// the string's sections in the near shade, and `covered` the share of the slant under snow, from the lower edge (none: no
/// snow). A section counts as soon as any of it is shaded; sections under snow give nothing and are passed by, and are
/// taken to lie where the shade falls first. All sections are taken at one temperature.
///
/// # Errors
/// `SeriesError` for unequal lengths or shares outside 0..=1.
pub fn section_shade(
    module: &ReferenceModule,
    points: &ModuleYear,
    light: &ShadedPlaneYear,
    cell_c: &[f64],
    reached: &Reached,
    covered: Option<&[f64]>,
    bypass_v: f64,
) -> Result<SectionShade, SeriesError> {
    let steps = points.steps();
    same_length("sections in the shade", reached.steps(), steps)?;
    same_length("light outside the shade", light.cell_w_m2.len(), steps)?;
    same_length("light in the shade", light.shaded_cell_w_m2.len(), steps)?;
    same_length("cell temperature", cell_c.len(), steps)?;
    in_range("voltage of a bypass diode", 0, bypass_v, 0.0, 5.0)?;
    if let Some(covered) = covered {
        same_length("share under snow", covered.len(), steps)?;
        for (step, share) in covered.iter().enumerate() {
            in_range("share under snow", step, *share, 0.0, 1.0)?;
        }
    }
    let mut left = SectionShade { power_share: vec![1.0; steps], voltage_share: vec![1.0; steps] };
    for step in 0..steps {
        let bright = light.cell_w_m2[step];
        let dark = covered.map_or(0, |covered| reached.layout().reached_from_below(covered[step]));
        let parts = reached.in_step(step);
        if bright <= 0.0 || points.pmp_w(step) <= 0.0 || (dark == 0 && parts.is_empty()) {
            continue;
        }
        in_range("cell temperature", step, cell_c[step], -100.0, 200.0)?;
        in_range("light in the shade", step, light.shaded_cell_w_m2[step], 0.0, 3000.0)?;
        let of_string = OfString { module, points, reached, bypass_v, step, cell_c: cell_c[step], bright };
        // Snow lies all the step, near shade for parts of it.
        let without = of_string.share(0, dark, 0.0);
        let (mut power, mut volts, mut rest) = (0.0, 0.0, 1.0);
        for part in parts {
            let with = of_string.share(part.sections, dark, light.shaded_cell_w_m2[step]);
            power += part.share * with.0;
            volts += part.share * with.0 * with.1;
            rest -= part.share;
        }
        let rest = rest.max(0.0);
        power += rest * without.0;
        volts += rest * without.0 * without.1;
        left.power_share[step] = power.clamp(0.0, 1.0);
        left.voltage_share[step] = if power > 0.0 { (volts / power).clamp(0.01, 2.0) } else { 1.0 };
    }
    Ok(left)
}

/// One step of one string.
struct OfString<'a> {
    module: &'a ReferenceModule,
    points: &'a ModuleYear,
    reached: &'a Reached,
    bypass_v: f64,
    step: usize,
    cell_c: f64,
    bright: f64,
}

impl OfString<'_> {
    /// Shares of power and of voltage for so many sections reached by shade and by snow.
    fn share(&self, in_shade: u32, dark: u32, dim: f64) -> (f64, f64) {
        let layout = self.reached.layout();
        let all = layout.sections();
        let in_shade = in_shade.saturating_sub(dark);
        let bright = all - dark - in_shade;
        if in_shade + dark == 0 {
            return (1.0, 1.0);
        }
        let group = |count: u32, light: f64| {
            (count > 0 && light > 0.0).then(|| SectionGroup {
                count,
                section: section_of(&self.module.at(light, self.cell_c), layout.sections_of_module),
            })
        };
        let groups: Vec<SectionGroup> =
            [group(bright, self.bright), group(in_shade, dim)].into_iter().flatten().collect();
        let lit: u32 = groups.iter().map(|group| group.count).sum();
        if lit == 0 {
            return (0.0, 1.0);
        }
        // Power is stationary: a current right to 1e-5 gives it to 1e-9.
        let best = best_point_over(&groups, all - lit, self.bypass_v, 1e-5).point;
        let series = f64::from(layout.modules_in_series);
        let power_w = (best.voltage_v * best.current_a).max(0.0);
        (
            power_w / (series * self.points.pmp_w(self.step)),
            best.voltage_v / (series * self.points.vmp_v[self.step]),
        )
    }
}
