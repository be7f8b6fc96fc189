//! What flowed, in watt-hours: of an hour, a day, a month or a year.
//!
//! Two sums hold in every one of them. At the outlets: load = from sun + from bank + backup to load + missing. Over
//! the house: offered + backup = load served + export + unused + losses + what the bank gained.

use std::ops::AddAssign;

/// Energy by way and cause, Wh.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Flows {
    /// Wanted at the outlets, all tiers, the heater of the bank included.
    pub load_wh: f64,
    /// Wanted by the heater of the bank (part of `load_wh`).
    pub heater_wh: f64,
    /// Offered by the modules, before array cables.
    pub pv_offered_wh: f64,
    /// Served at the outlets straight from the sun.
    pub from_sun_wh: f64,
    /// Served at the outlets from the bank.
    pub from_bank_wh: f64,
    /// Served at the outlets by utility or generator.
    pub backup_to_load_wh: f64,
    /// Taken from utility or generator to charge, charger loss included.
    pub backup_to_bank_wh: f64,
    /// Taken from utility or generator for the inverters' own idle draw.
    pub backup_to_idle_wh: f64,
    /// Given to the utility.
    pub export_wh: f64,
    /// Load not served: must, want, luxury.
    pub missing_wh: [f64; 3],
    /// What the sun offered and nothing took.
    pub unused_wh: f64,
    /// Unused because the cells were too cold to be charged (part of `unused_wh`).
    pub unused_for_cold_wh: f64,
    /// Into the cells, after charge losses.
    pub stored_wh: f64,
    /// Out of the cells, before discharge losses.
    pub removed_wh: f64,
    /// Losses by cause.
    pub losses: Losses,
    /// Hours on utility or generator; parts of hours count as parts. Interactive: hours in which the utility carries
    /// any load.
    pub backup_h: f64,
    /// Hours in which a must-load is missing.
    pub dark_h: f64,
}

/// Losses by cause, Wh, each by its own formula.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Losses {
    /// Array cables: with the square of what is taken.
    pub array_cable_wh: f64,
    /// From module input to bus.
    pub pv_conversion_wh: f64,
    /// In the inverters beyond idle: `a·P + b·P²`.
    pub inverter_wh: f64,
    /// Idle draw of the running inverters, `p0` once.
    pub idle_wh: f64,
    /// From AC to bus while charging.
    pub charger_wh: f64,
    /// Links between bank and bus.
    pub link_wh: f64,
    /// Into the cells.
    pub bank_in_wh: f64,
    /// Out of the cells.
    pub bank_out_wh: f64,
    /// Electronics of the bank.
    pub standby_wh: f64,
    /// Self-discharge.
    pub self_discharge_wh: f64,
}

impl Flows {
    /// Load not served, all tiers.
    pub fn missing_total_wh(&self) -> f64 {
        self.missing_wh[0] + self.missing_wh[1] + self.missing_wh[2]
    }

    /// Everything taken from utility or generator.
    pub fn backup_wh(&self) -> f64 {
        self.backup_to_load_wh + self.backup_to_bank_wh + self.backup_to_idle_wh
    }

    /// Load served by whatever source.
    pub fn served_wh(&self) -> f64 {
        self.from_sun_wh + self.from_bank_wh + self.backup_to_load_wh
    }

    /// What came in less what is accounted for, given what the bank gained: nothing but rounding.
    pub fn closing_error_wh(&self, bank_gained_wh: f64) -> f64 {
        let came = self.pv_offered_wh + self.backup_wh();
        let went = self.served_wh() + self.export_wh + self.unused_wh + self.losses.total_wh();
        came - went - bank_gained_wh
    }
}

impl Losses {
    /// All causes together.
    pub fn total_wh(&self) -> f64 {
        // In the order of `by_cause`, without its words: this is done in every hour.
        self.array_cable_wh
            + self.pv_conversion_wh
            + self.charger_wh
            + self.link_wh
            + self.bank_in_wh
            + self.self_discharge_wh
            + self.standby_wh
            + self.bank_out_wh
            + self.idle_wh
            + self.inverter_wh
    }

    /// Each cause in plain words, in the order of the path from sun to outlet.
    pub fn by_cause(&self) -> [(&'static str, f64); 10] {
        [
            ("array cables", self.array_cable_wh),
            ("modules to battery", self.pv_conversion_wh),
            ("charging from AC", self.charger_wh),
            ("links of the bank", self.link_wh),
            ("into the cells", self.bank_in_wh),
            ("at rest in the cells", self.self_discharge_wh),
            ("electronics of the bank", self.standby_wh),
            ("out of the cells", self.bank_out_wh),
            ("idle draw of the inverters", self.idle_wh),
            ("inverters under load", self.inverter_wh),
        ]
    }
}

impl AddAssign<&Flows> for Flows {
    fn add_assign(&mut self, other: &Flows) {
        self.load_wh += other.load_wh;
        self.heater_wh += other.heater_wh;
        self.pv_offered_wh += other.pv_offered_wh;
        self.from_sun_wh += other.from_sun_wh;
        self.from_bank_wh += other.from_bank_wh;
        self.backup_to_load_wh += other.backup_to_load_wh;
        self.backup_to_bank_wh += other.backup_to_bank_wh;
        self.backup_to_idle_wh += other.backup_to_idle_wh;
        self.export_wh += other.export_wh;
        for (sum, part) in self.missing_wh.iter_mut().zip(other.missing_wh) {
            *sum += part;
        }
        self.unused_wh += other.unused_wh;
        self.unused_for_cold_wh += other.unused_for_cold_wh;
        self.stored_wh += other.stored_wh;
        self.removed_wh += other.removed_wh;
        self.backup_h += other.backup_h;
        self.dark_h += other.dark_h;
        let (sum, part) = (&mut self.losses, &other.losses);
        sum.array_cable_wh += part.array_cable_wh;
        sum.pv_conversion_wh += part.pv_conversion_wh;
        sum.inverter_wh += part.inverter_wh;
        sum.idle_wh += part.idle_wh;
        sum.charger_wh += part.charger_wh;
        sum.link_wh += part.link_wh;
        sum.bank_in_wh += part.bank_in_wh;
        sum.bank_out_wh += part.bank_out_wh;
        sum.standby_wh += part.standby_wh;
        sum.self_discharge_wh += part.self_discharge_wh;
    }
}
