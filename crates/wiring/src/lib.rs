//! How the system is wired: the circuit graph, design currents, conductors, protection, grounding, drop, raceways.
//!
//! The caller gives a [`Graph`] of equipment and circuits and the owner's [`Run`]s; [`size_all`] answers with one
//! [`Sized`] per circuit and one [`SizedRaceway`] per segment. Nothing here knows a design file or a kind of system.

mod ampacity;
mod boxes;
mod colours;
mod conductor_test;
mod conduit;
mod cover;
mod demand;
mod design_current;
mod drop;
mod facts;
mod faults;
mod figures;
mod graph;
mod grounding;
mod hardware;
mod precharge;
mod protection;
mod raceway;
mod raceways;
mod schedule;
mod sizing;
mod terminals;
mod trade;
mod working_space;
mod year_loss;

mod disconnection;
mod edition;
mod electrodes;
mod iec;
mod iec_clauses;

mod bond_walk;
mod bonds;
mod interconnection;
mod legs;
mod lock_out;
mod network;
mod opened;
mod service_load;
mod sharing;
mod states;
mod surge;

pub use ampacity::{
    CorrectedAmpacity, NoFactors, RoofAmbient, SegmentFactors, TerminalAmpacity, corrected_ampacity,
    roof_ambient, segment_factors, terminal_ampacity, terminal_column,
};
pub use bonds::{Arrangement, BondState, BondVerdict, Moment, bond_table};
pub use boxes::{BoxSize, Joint, JointKind, StraightPull, TurnedPull, straight_pull, turned_pull};
pub use colours::{Colour, bending_space, colours, colours_clause, marked_at_ends};
pub use conductor_test::{DropTest, GuardTest, Test, Tests, WhichTest, test_size};
pub use conduit::{SpaceFilled, TrunkingArea, space_filled, trunking_area};
pub use cover::{Cover, cover};
pub use demand::{
    AcLoad, BatteryUnit, BatteryVolts, BesideUnits, BusToInverters, ControllerToBus, Demand, GeneratorSupply,
    InverterInput, InverterOutput, PvStrings, UtilitySupply,
};
pub use design_current::{
    DesignCurrents, InverterInputCurrent, InverterOutputCurrent, LoadContinuous, OneOut, OneOutShare,
    PvContinuous, PvMaximum, PvOperating, SourceContinuous, StorageContinuous, WholeDwelling,
    continuous_current, inverter_input_current, inverter_output_current, one_out, one_unit_out, pv_maximum,
    pv_operating, whole_dwelling,
};
pub use disconnection::{
    Disconnection, LASTING_TOUCH, PartedBy, Returns, SecondFault, TouchVoltage, disconnections,
    fuse_opens_at, longest_time, second_fault, touch_voltage,
};
pub use drop::{
    BalancedDrop, DropShare, LoopDrop, ResistanceAt, balanced_drop, change_per_kelvin, drop_share, loop_drop,
    resistance_at,
};
pub use edition::{in_edition, standard_rating, without_small_fraction};
pub use electrodes::{
    ElectrodeKind, GroundElectrode, ServiceConductors, electrode_conductors, iec_electrode_conductors,
};
pub use facts::{
    Curve, Device, DeviceKind, Raceway, Residual, ResidualType, Run, Segment, Suits, Supply, Surface, Where,
};
pub use faults::{
    AcFault, Ended, FarEnd, FarEndGroundFault, FaultSource, GeneratorFault, LegToNeutral, LoopImpedance,
    Trips, far_end_ground_fault, generator_fault, leg_to_neutral, loop_impedance, trips, trips_from,
};
pub use graph::{Circuit, CircuitId, Graph, GraphProblem, NeutralBond, Node, NodeId, NodeKind, RunId, Stack};
pub use grounding::{
    AreaOfSets, GroundBasis, ProportionalGround, area_of_sets, electrode_ground, equipment_ground,
    proportional_ground,
};
pub use hardware::{
    BendsBetween, CouplingCount, Hardware, QuarterBends, Stretch, SupportCount, bends_between,
    coupling_count, quarter_bends, support_count,
};
pub use iec::{
    IecCarries, IecFuseProtects, IecPvMaximum, IecResistanceAt, IecStringFuse, IecStringFuseMost,
    iec_carries, iec_fuse_protects, iec_pv_maximum, iec_resistance_at, iec_string_fuse, iec_string_fuse_most,
};
pub use interconnection::{
    Bus120, BusAnswer, BusEdition, BusPlainSum, BusSource, BusTest, Busbar, Holds, LargestMain,
    LargestSource, PowerControl, SourceOnBus, bus_120, bus_plain_sum, busbar, busbar_passes, feeder_clause,
    largest_main, largest_source, source_on_bus,
};
pub use legs::{
    LegProblem, NeutralInStep, NeutralOfLoads, Phase, between_legs, leg_problems, neutral_in_step,
    neutral_of_loads, shared_neutral,
};
pub use lock_out::{
    ConductorRow, EnclosurePage, Isolation, LockOutMap, Step, drawn_together, lock_out, never_dead,
    set_in_words, switch_in_words,
};
pub use opened::{Reached, reached};
pub use precharge::{
    FillingTime, FirstCurrent, StoredEnergy, filling_resistor, filling_time, first_current, stored_energy,
};
pub use protection::{
    BackFlow, BehindSharedDevice, BranchFault, DeviceRule, FarEndFault, Protection, back_flow,
    behind_shared_device, branch_fault, far_end_fault, protection,
};
pub use raceway::{
    Content, Expansion, Fill, FilledShare, NoRaceway, PlasticExpansion, SameSizeCount, SunlitChange,
    expansion, fill_of, filled_share, plastic_expansion, same_size_count, smallest_raceway, sunlit_change,
};
pub use raceways::SizedRaceway;
pub use schedule::{NotBuilt, Problem, RuleSet, Schedule, Sized, conductor_sizes, covers, size_all};
pub use service_load::{
    ApplianceCircuits, ApplianceKind, Climate, Dwelling, GeneralLighting, LoadRules, Nameplate,
    ServiceCurrent, ServiceLoad, Tiered, VehicleCharger, appliance_circuits, dryer, dwelling_load,
    existing_dwelling, fixed_appliances, general_lighting, heating_or_cooling, neutral_load, new_dwelling,
    one_range, service_current, standard_lighting, stands_alone, tiered, vehicle_charger,
};
pub use sharing::{Row, shares};
pub use sizing::{Basis, DropBasis, Guard, NoConductor, SIZES, Size, SizedConductor, check, find};

pub use surge::{
    BOTH_ENDS_BEYOND_M, LongestWithoutSurgeDevice, OF_DWELLINGS, OF_OTHER_BUILDINGS,
    longest_without_surge_device,
};
pub use terminals::{
    Landed, Metals, Refusal, Serves, Strands, Taken, TakesStrands, Terminal, serving, takes,
};

pub use states::{End, StateFacts, SwitchId, SwitchKind, SwitchPoint, TransferFact, switch_points};
pub use working_space::{Opposite, SAME_DEPTH_UP_TO, least_depth, least_height, least_width};
pub use year_loss::{
    Around, CONDUCTOR_TEMPERATURE, PartOfYear, WorthOfEnergy, YearLoss, at_celsius, conductor_temperature,
    parts_of_year, per_kelvin, worth_of_energy, year_loss,
};

/// Whether `a` is at least `b`, letting figures pass that differ only in the digits a change of units costs.
pub(crate) fn at_least(a: f64, b: f64) -> bool {
    a >= b - b.abs() * quantity::SAME
}

/// A fact that something is divided by: a value that is not above zero counts as not known, so that no figure
/// becomes infinite or not a number.
pub(crate) fn above_zero<T: quantity::Measure>(fact: &quantity::Fact<T>) -> quantity::Fact<T> {
    fact.and_then(|traced| {
        let si = traced.value.si();
        if si > 0.0 && si.is_finite() {
            return quantity::Fact::Known(traced.clone());
        }
        let field = traced.origin.fields().into_iter().next();
        let field = field.unwrap_or_else(|| quantity::FieldPath::new("a value above zero"));
        quantity::Fact::Unknown(quantity::Gap::one(field, quantity::WhoKnows::Owner))
    })
}
