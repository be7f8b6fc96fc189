//! Every hour of a weather year as columns of numbers, for people who lay it beside measurements.

use study::{Study, YearStudy};

/// Columns with their names, and one row for each of 8760 hours.
#[derive(Clone, Debug, PartialEq)]
pub struct Hours {
    /// Names of the columns, each with its unit at the end.
    pub columns: Vec<String>,
    /// Values, as many as there are columns.
    pub rows: Vec<Vec<f64>>,
}

/// Weather year `of`, from 0. Hours are those of standard time, beginning with the one that starts 1 January at midnight; powers
/// are means over the hour, charge and cells stand at its end. DC power is told twice, as the modules offer it, and as it is
/// taken at the inputs, which is less by what is unused and what the cables lose; AC power is the output of all inverters, loads and export together.
///
/// # Errors
/// Words for the person who asked.
pub fn hours(study: &Study, year: &YearStudy, of: usize) -> Result<Hours, String> {
    let lived = year.trace(of)?;
    let mut columns: Vec<String> = ["month", "day", "from_h"].map(str::to_string).to_vec();
    let mut planes = Vec::new();
    for plane in study.planes.iter().flatten() {
        let (Some(light), Some(cell_c)) = (plane.years.light.get(of), plane.years.cell_c.get(of)) else {
            continue;
        };
        let name = quantity::slug(&plane.name).replace('-', "_");
        columns.push(format!("light_{name}_w_m2"));
        columns.push(format!("modules_{name}_c"));
        planes.push((&light.plane_w_m2, cell_c));
    }
    columns.extend(
        [
            "dc_offered_w",
            "cables_w",
            "dc_taken_w",
            "ac_output_w",
            "asked_w",
            "from_sun_w",
            "from_battery_w",
            "backup_w",
            "exported_w",
            "missing_w",
            "unused_w",
            "into_battery_w",
            "out_of_battery_w",
            "charge_pct",
            "battery_cells_c",
        ]
        .map(str::to_string),
    );
    let mut rows = Vec::with_capacity(lived.len());
    let mut day = (0, 0);
    for (at, hour) in lived.iter().enumerate() {
        let mut row = vec![day.0 as f64 + 1.0, day.1 as f64 + 1.0, (at % 24) as f64];
        for (light, cell_c) in &planes {
            row.push(light.get(at).copied().unwrap_or(0.0));
            row.push(cell_c.get(at).copied().unwrap_or(0.0));
        }
        let flows = &hour.flows;
        row.extend([
            flows.pv_offered_wh,
            flows.losses.array_cable_wh,
            hour.taken_dc_w,
            hour.output_w,
            flows.load_wh,
            flows.from_sun_wh,
            flows.from_bank_wh,
            flows.backup_wh(),
            flows.export_wh,
            flows.missing_total_wh(),
            flows.unused_wh,
            hour.charge_w,
            hour.discharge_w,
            hour.state_of_charge * 100.0,
            hour.cell_c,
        ]);
        rows.push(row);
        if at % 24 == 23 {
            day.1 += 1;
            if day.1 == sun::MONTH_DAYS.get(day.0).copied().unwrap_or(31) {
                day = (day.0 + 1, 0);
            }
        }
    }
    Ok(Hours { columns, rows })
}
