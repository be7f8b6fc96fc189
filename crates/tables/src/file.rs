//! The data files themselves, so that a document can list what this project knows and how well.

/// One data file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TableFile {
    /// File name under the crate's `data` folder.
    pub name: &'static str,
    /// The whole file: header lines that start with `#`, column names, rows.
    pub text: &'static str,
}

impl TableFile {
    /// The header lines with this key, in order: `table`, `source`, `standing`, `checked`, `columns`, `note`.
    pub fn header(&self, key: &str) -> impl Iterator<Item = &'static str> {
        let key = format!("# {key}:");
        self.text
            .lines()
            .take_while(|line| line.starts_with('#'))
            .filter_map(move |line| line.strip_prefix(key.as_str()))
            .map(str::trim)
    }
}

macro_rules! data_files {
    ($($constant:ident = $name:literal;)*) => {
        $(pub(crate) const $constant: &str = include_str!(concat!("../data/", $name));)*
        static FILES: &[TableFile] = &[$(TableFile { name: $name, text: $constant }),*];
    };
}

data_files! {
    AMPACITY = "ampacity_310_16.csv";
    AMBIENT = "ambient_310_15_b1.csv";
    ROOFTOP = "rooftop_310_15_b2.csv";
    ADJUSTMENT = "adjustment_310_15_c1.csv";
    DWELLING = "dwelling_310_12.csv";
    SMALL_CONDUCTORS = "small_conductors_240_4_d.csv";
    STANDARD_RATINGS = "standard_ratings_240_6_a.csv";
    EQUIPMENT_GROUND = "equipment_ground_250_122.csv";
    ELECTRODE = "electrode_250_66.csv";
    ELECTRODE_LIMIT = "electrode_limit_250_66.csv";
    VOLTAGE = "voltage_690_7_a.csv";
    FILL = "fill_chapter_9_table_1.csv";
    RACEWAYS = "raceways_chapter_9_table_4.csv";
    INSULATED = "conductors_chapter_9_table_5.csv";
    PV_WIRE = "pv_wire_estimate.csv";
    PROPERTIES = "conductors_chapter_9_table_8.csv";
    REACTANCE = "conductors_chapter_9_table_9.csv";
    PVC_EXPANSION = "pvc_expansion_352_44.csv";
    BOX_VOLUMES = "box_volumes_314_16_b.csv";
    BOXES = "boxes_314_16_a.csv";
    SUPPORTS = "supports_chapter_3.csv";
    BENDING = "bending_312_6_a.csv";
    CONDUIT = "conduit_iec.csv";
    METRIC_CONDUCTORS = "conductors_iec.csv";
    SPACE_FACTORS = "space_factors.csv";
    IEC_AMPACITY = "ampacity_iec_60364_5_52.csv";
    IEC_AMPACITY_ALUMINUM = "ampacity_iec_60364_5_52_aluminum.csv";
    IEC_AMBIENT = "ambient_iec_60364_5_52.csv";
    IEC_GROUPING = "grouping_iec_60364_5_52.csv";
    IEC_SOIL = "soil_iec_60364_5_52.csv";
    IEC_RESISTANCE = "resistance_iec_60228.csv";
    IEC_RATINGS = "standard_ratings_iec.csv";
    IEC_PROTECTIVE = "protective_iec_60364_5_54.csv";
    CLIMATE = "climate_normals.csv";
    APPLIANCES = "appliances.csv";
    PLACES = "places.csv";
    HARDINESS = "hardiness_us48.csv";
}

/// Every data file of this crate.
pub fn files() -> &'static [TableFile] {
    FILES
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_file_names_its_table_source_standing_check_and_columns() {
        for file in files() {
            for key in ["table", "source", "standing", "checked", "columns"] {
                assert!(file.header(key).any(|text| text.len() > 5), "{} does not say its {key}", file.name);
            }
        }
    }

    #[test]
    fn every_file_of_the_data_folder_is_listed() {
        let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("data");
        let mut found: Vec<_> = std::fs::read_dir(folder)
            .expect("the crate has a data folder")
            .map(|entry| entry.expect("the folder lists").file_name().to_string_lossy().into_owned())
            .collect();
        let mut listed: Vec<_> = files().iter().map(|file| file.name.to_owned()).collect();
        found.sort();
        listed.sort();
        assert_eq!(found, listed);
    }

    #[test]
    fn no_header_names_a_web_page() {
        for file in files() {
            let header = file.text.lines().take_while(|line| line.starts_with('#'));
            for line in header {
                for sign in ["http", "www.", ".com", ".org", ".net"] {
                    assert!(!line.contains(sign), "{}: {line}", file.name);
                }
            }
        }
    }
}
