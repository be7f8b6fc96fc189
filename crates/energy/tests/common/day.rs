//! A day as a table of 24 rows, each worked by hand, and the house that must live it so.

use energy::{ControllerHour, CoupledHour, Given, Hour, House, Inputs, State};

/// One hour of the table: what is offered, must/want/luxury, then the results: store at its end, share on the backup,
/// what utility or generator gave, export, missing must/want/luxury, unused.
pub(crate) struct Row {
    pv: f64,
    load: [f64; 3],
    store: f64,
    share: f64,
    backup: f64,
    export: f64,
    missing: [f64; 3],
    unused: f64,
    /// The part of the loads on the first of two legs, and the position of the rate that holds.
    first_leg: [f64; 3],
    rate: u8,
    /// Offered at charge controllers, which bring 0.8 of it to the bus, and at array inverters.
    controller: f64,
    coupled: f64,
    /// Air around bank and units, °C.
    air_c: f64,
}

pub(crate) const fn row(pv: f64, load: [f64; 3], store: f64) -> Row {
    Row {
        pv,
        load,
        store,
        share: 0.0,
        backup: 0.0,
        export: 0.0,
        missing: [0.0; 3],
        unused: 0.0,
        first_leg: [0.0; 3],
        rate: 0,
        controller: 0.0,
        coupled: 0.0,
        air_c: 20.0,
    }
}

impl Row {
    pub(crate) const fn backup(self, share: f64, backup: f64) -> Row {
        Row { share, backup, ..self }
    }
    pub(crate) const fn missing(self, missing: [f64; 3]) -> Row {
        Row { missing, ..self }
    }
    pub(crate) const fn unused(self, unused: f64) -> Row {
        Row { unused, ..self }
    }
    pub(crate) const fn export(self, export: f64) -> Row {
        Row { export, ..self }
    }
    pub(crate) const fn first_leg(self, first_leg: [f64; 3]) -> Row {
        Row { first_leg, ..self }
    }
    pub(crate) const fn rate(self, rate: u8) -> Row {
        Row { rate, ..self }
    }
    pub(crate) const fn controller(self, controller: f64) -> Row {
        Row { controller, ..self }
    }
    pub(crate) const fn air(self, air_c: f64) -> Row {
        Row { air_c, ..self }
    }
    pub(crate) const fn coupled(self, coupled: f64) -> Row {
        Row { coupled, ..self }
    }
}

pub(crate) const M400: [f64; 3] = [400.0, 0.0, 0.0];
pub(crate) const NONE: [f64; 3] = [0.0; 3];

pub(crate) fn live(inputs: &Inputs, start_wh: f64, rows: &[Row]) -> Vec<Hour> {
    assert_eq!(rows.len(), 24);
    let house = House::of(inputs).unwrap();
    let mut state: State = house.at_rest(start_wh / 10_000.0);
    let mut hours = Vec::new();
    for (hour, row) in rows.iter().enumerate() {
        let given = Given {
            pv_dc_w: row.pv,
            pv_cable_loss_w: 0.0,
            by_controller: ControllerHour {
                dc_w: row.controller,
                bus_w: 0.8 * row.controller,
                cable_loss_w: 0.0,
            },
            coupled: CoupledHour { dc_w: row.coupled, cable_loss_w: 0.0 },
            load_w: row.load,
            first_leg_w: row.first_leg,
            air_c: row.air_c,
            rate: row.rate,
        };
        let (lived, next) = house.hour(&state, &given);
        // Round numbers of up to 10 000 Wh: only rounding remains.
        let same = |what: &str, found: f64, expected: f64| {
            assert!((found - expected).abs() < 1e-8, "hour {hour}, {what}: {found} instead of {expected}");
        };
        same("store", next.wells.total(), row.store);
        same("share on backup", lived.flows.backup_h, row.share);
        same("backup", lived.flows.backup_wh(), row.backup);
        same("export", lived.flows.export_wh, row.export);
        for tier in 0..3 {
            same("missing", lived.flows.missing_wh[tier], row.missing[tier]);
        }
        same("unused", lived.flows.unused_wh, row.unused);
        let mode = if row.missing[0] > 0.0 { 2 } else { u8::from(row.share > 0.0) };
        assert_eq!(lived.mode, mode, "hour {hour}");
        state = next;
        hours.push(lived);
    }
    hours
}
