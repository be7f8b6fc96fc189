//! What the page of the sky shows: all weather years are walked for it, so it is made once for each study.

use output::drawing::Form;
use output::sky::{self, SkyPicture};
use output::table::Table;
use study::Study;

/// Pictures and tables of the sky; they rest on the study alone.
#[derive(Debug)]
pub(crate) struct SkyShown {
    /// Pictures for a wide window.
    pub(crate) wide: Vec<SkyPicture>,
    /// The same for a phone, in the same order.
    pub(crate) phone: Vec<SkyPicture>,
    /// Tables.
    pub(crate) tables: Vec<Table>,
    /// What is to be known of the weather years, as the book says it.
    pub(crate) remarks: Vec<String>,
}

impl SkyShown {
    pub(super) fn of(study: &Study) -> SkyShown {
        let look = study::look_at_study(study).ok();
        let tables = [
            Some(sky::bearings(study)),
            sky::rows(study),
            sky::obstacles(study),
            sky::best_planes(study),
            look.as_ref().map(|look| sky::weather_table(look, study.design.system.units)),
            look.as_ref().and_then(|look| sky::filled_table(look)),
        ];
        SkyShown {
            wide: sky::pictures(study, Form::Wide),
            phone: sky::pictures(study, Form::Phone),
            tables: tables.into_iter().flatten().collect(),
            remarks: sky::weather_remarks(study),
        }
    }
}
