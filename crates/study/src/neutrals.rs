//! Poles of circuits of alternating current and the current of their neutrals.

use crate::Study;
use loads::Leg;
use quantity::{
    Count, Current, Fact, Figure, FigureName, Standing, Traced, Voltage, WhoKnows, iec, practice, units,
};
use wiring::{NeutralInStep, NeutralOfLoads, Supply};

/// A circuit with a neutral.
#[derive(Clone, Debug)]
pub struct Neutral {
    /// Position in the schedule.
    pub circuit: usize,
    /// Poles that its device opens.
    pub poles: Traced<Count>,
    /// Hot conductors.
    pub legs: u32,
    /// Most that the neutral carries: one leg alone at its operating current.
    pub at_most: Fact<Current>,
    /// With both legs in step; `None` with one leg.
    pub in_step: Option<Fact<Current>>,
}

/// Circuits of alternating current of this design, in the order of the schedule.
pub fn neutrals(study: &Study) -> Vec<Neutral> {
    let Ok(schedule) = &study.wiring else { return Vec::new() };
    let graph = &study.design.graph;
    let circuits = schedule.circuits.iter().enumerate().filter(|(k, _)| !study.is_existing(*k));
    circuits
        .filter_map(|(k, sized)| {
            let circuit = graph.circuits.get(sized.circuit.0)?;
            if circuit.demand.supply() != Supply::Ac {
                return None;
            }
            let legs = circuit.conductors.saturating_sub(1).max(1);
            let at_most = sized.currents.operating.clone();
            let in_step = (legs >= 2).then(|| NeutralInStep::of_facts(&at_most, &at_most));
            let poles = poles(study, circuit, legs);
            Some(Neutral { circuit: k, poles, legs, at_most, in_step })
        })
        .collect()
}

/// A pole for each hot conductor, of which the voltage of the panel at an end tells how many there are.
fn poles(study: &Study, circuit: &wiring::Circuit, legs: u32) -> Traced<Count> {
    let ends =
        [circuit.from, circuit.to].map(|end| study.design.graph.nodes.get(end.0).map(|node| &node.name));
    let panels = &study.design.system.panels;
    let panel = panels.iter().find(|panel| ends.contains(&Some(&panel.name)));
    let field =
        panel.map_or_else(|| "panel.volts".to_string(), |panel| format!("panel.{}.volts", panel.name));
    let hot = Traced::stated(Count(legs), field).term("hot conductors", &units::COUNT);
    if circuit.poles > legs {
        let clause = iec("IEC 60364-5-53", "2001", "537.1.2", Standing::Remembered);
        let neutral =
            Traced::stated(Count(circuit.poles - legs), "utility.earthing").term("neutral", &units::COUNT);
        let says = "the neutral is opened with the line conductors in a TT or an IT system";
        return Traced::series(Count(circuit.poles), says, clause, vec![hot, neutral]);
    }
    let clause = practice("a device opens every hot conductor of its circuit at once");
    Traced::series(Count(circuit.poles), "one pole for each hot conductor", clause, vec![hot])
}

/// Neutral current of the house with everything listed running at once, its legs half a cycle apart.
pub fn neutral_of_loads(study: &Study) -> Fact<Current> {
    let of = |leg: Leg| study.legs.iter().find(|study| study.leg == leg).map(|study| &study.all_running);
    let (Some(a), Some(b)) = (of(Leg::A), of(Leg::B)) else {
        return Fact::unknown("unit.leg", WhoKnows::Owner);
    };
    let volts = Fact::Known(Traced::stated(quantity::Measure::from_si(120.0), "inverter.volts".to_string()));
    NeutralOfLoads::of_facts(a, b, &(volts as Fact<Voltage>))
}

/// Figures by their names.
pub(crate) fn figures(study: &Study) -> Vec<Figure> {
    let (mut all, mut counts) = (Vec::new(), Vec::new());
    let Ok(schedule) = &study.wiring else { return all };
    let mut put = |name: &[&str], says: String, fact: &Fact<Current>| {
        if let Fact::Known(amps) = fact {
            all.push(Figure {
                name: FigureName::new(name),
                says,
                value: amps.into(),
                origin: amps.origin.clone(),
            });
        }
    };
    for neutral in neutrals(study) {
        let Some(sized) = schedule.circuits.get(neutral.circuit) else { continue };
        let poles = &neutral.poles;
        counts.push(Figure {
            name: FigureName::new(&["circuits", &sized.name, "poles"]),
            says: format!("{}: poles that its device opens", sized.name),
            value: poles.into(),
            origin: poles.origin.clone(),
        });
        let says = format!("{}: most that its neutral carries", sized.name);
        put(&["circuits", &sized.name, "neutral"], says, &neutral.at_most);
        if let Some(in_step) = &neutral.in_step {
            let says = format!("{}: its neutral with both legs in step", sized.name);
            put(&["circuits", &sized.name, "neutral-in-step"], says, in_step);
        }
    }
    put(
        &["legs", "neutral"],
        "neutral of the house with everything listed at once".into(),
        &neutral_of_loads(study),
    );
    all.append(&mut counts);
    all
}
