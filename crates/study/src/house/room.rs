//! The room the equipment stands in, where its air is to be computed.

use super::assumption;
use crate::uses::Uses;
use design::system::System;
use energy::Room;
use quantity::units;
use storage::ThermalNode;

/// Heat stored in the inner layer of walls, Wh/(m²·K); from memory for timber and plasterboard, no source.
const STORES_WH_PER_M2_K: f64 = 10.0;

/// The room of the bank, else of the first unit; `None` where its walls are not stated.
pub(super) fn room(system: &System, uses: &mut Uses) -> Option<Room> {
    let of_bank = super::one_bus::main_bank(system).map(|bank| &bank.bank.room);
    let name = of_bank.or_else(|| system.units_in_place.first().map(|unit| &unit.room))?;
    let room = system.room(name)?;
    let walls = room.envelope.as_ref()?;
    let of = |what: &str| format!("{}: {what}", room.name);
    let surface = uses.number(&of("surface"), &walls.surface, &units::SQUARE_METER);
    let insulation = uses.number(&of("insulation"), &walls.insulation, &units::NUMBER);
    let words = "walls store 10 Wh for each square metre and kelvin";
    uses.note(&of("heat stored"), words, assumption("room", words, "how fast the room follows the weather"));
    let conditioned =
        uses.words(&of("heated or cooled"), &room.conditioned, |yes| if *yes { "yes" } else { "no" }.into());
    let held_c = (conditioned == Some(true)).then(|| {
        [
            uses.number(&of("coldest air"), &room.coldest, &units::CELSIUS),
            uses.number(&of("hottest air"), &room.hottest, &units::CELSIUS),
        ]
    });
    Some(Room {
        node: ThermalNode {
            capacity_wh_per_k: surface * STORES_WH_PER_M2_K,
            conductance_w_per_k: storage::holding_heat(surface, 1.0, insulation),
        },
        held_c,
    })
}
