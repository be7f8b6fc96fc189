//! The figures of the schedules by their names, for every place that shows or explains a number.

use crate::boxes::{BoxSize, Joint};
use crate::facts::Run;
use crate::hardware::Stretch;
use crate::raceways::SizedRaceway;
use crate::schedule::Sized;
use crate::sizing::SizedConductor;
use quantity::{Clause, Current, Fact, Figure, FigureName, Gauge, Measure, Standing, Traced, Value, units};

impl Sized {
    /// Every known figure of the circuit, named `circuits/<circuit>/<what>`.
    pub fn figures(&self) -> Vec<Figure> {
        let mut list = List { group: "circuits", owner: &self.name, place: None, figures: Vec::new() };
        let currents = &self.currents;
        list.number("operating-current", "operating current", &currents.operating);
        list.number("circuit-voltage", "voltage the drop is a share of", &currents.volts);
        list.number("maximum-current", "maximum current", &currents.maximum);
        list.number(
            "continuous-current",
            "continuous current for terminals and device",
            &currents.continuous,
        );
        list.number("highest-voltage", "highest voltage the circuit can reach", &currents.highest);
        list.number("device", "rating of the device", &self.protection.rating);
        list.number("least-device", "least rating of the device", &self.protection.least);
        if let Some(most) = &self.protection.most {
            list.number("largest-device", "largest rating the equipment allows", most);
        }
        if let Some(back) = &self.protection.back_flow {
            list.number("back-flow", "current that can flow back", back);
        }
        list.number("available-fault", "fault current the device must interrupt", &self.protection.available);
        list.gauge("conductor", "conductor", &self.gauge());
        if let Fact::Known(gauge) = self.gauge()
            && let Some(space) = crate::colours::bending_space(gauge.value)
        {
            let clause = Clause {
                document: "schedule",
                edition: "",
                clause: "read for the conductor in the schedule",
                standing: Standing::Computed,
            };
            let terms = vec![space.term("table", &units::INCH_UNIT), gauge.size_term("conductor")];
            let space = Traced::series(space.value, "least room to bend it at a terminal", clause, terms);
            list.traced("bending-space", "least room to bend it at a terminal", &space);
        }
        list.number("sets", "conductors in parallel per pole", &self.sets());
        list.gauge("ground", "equipment grounding conductor", &self.ground);
        list.number("length", "one-way length", &self.length);
        list.number("drop", "voltage drop at 75 °C", &self.drop);
        list.number("drop-share", "voltage drop at 75 °C as a share", &self.drop_share);
        if let Fact::Known(conductor) = &self.conductor {
            if let Some(required) = &conductor.value.required {
                list.gauge(
                    "required-conductor",
                    "smallest conductor that passes",
                    &Fact::Known(required.clone()),
                );
            }
            let tests = &conductor.value.tests;
            list.traced(
                "terminal-ampacity",
                "ampacity at the terminals",
                &of_size(&tests.terminal.offers, &conductor.value),
            );
            list.traced(
                "protected-ampacity",
                "ampacity the device protects",
                &of_size(&tests.guard.protected, &conductor.value),
            );
            for (k, segment) in tests.segments.iter().enumerate() {
                let what = format!("ampacity-in-segment-{}", k + 1);
                list.traced(&what, "ampacity in this segment", &of_size(&segment.offers, &conductor.value));
            }
        }
        if let Some(fault) = &self.smallest_fault {
            list.number("smallest-fault", "smallest bolted fault at the far end", fault);
        }
        if let Some(Fact::Known(one_out)) = &self.one_out {
            list.traced("one-out-share", "current of this unit with another one out", &one_out.value.share);
        }
        list.figures
    }
}

/// An ampacity rests on the size it is of.
fn of_size(ampacity: &Traced<Current>, conductor: &SizedConductor) -> Traced<Current> {
    let clause = Clause {
        document: "schedule",
        edition: "",
        clause: "ampacity of the conductor in the schedule",
        standing: Standing::Computed,
    };
    let terms = vec![ampacity.term("ampacity", &units::AMPERE), conductor.gauge.size_term("conductor")];
    Traced::series(ampacity.value, "ampacity of the conductor that stands in the schedule", clause, terms)
}

impl SizedRaceway {
    /// Every known figure of the segment, named `raceways/<run>/<segment>/<what>`, segments counted from 1.
    pub fn figures(&self, run: &Run) -> Vec<Figure> {
        let place = (self.segment + 1).to_string();
        let mut list = List { group: "raceways", owner: &run.name, place: Some(place), figures: Vec::new() };
        if let Some(Fact::Known(fill)) = &self.fill {
            list.traced("area", "area of all conductors", &fill.value.area);
            list.traced("fill", "share of the raceway that is filled", &fill.value.share);
            let trade = &fill.value.trade;
            let value = Value::Text(trade.value.to_string().into());
            list.push("trade-size", "trade size", value, trade.origin.clone());
        }
        if let Some(Fact::Known(expansion)) = &self.expansion {
            list.traced("expansion", "change of length over the year", &expansion.value.change);
        }
        if let Some(segment) = run.segments.get(self.segment) {
            list.number("length", "length", &segment.length);
        }
        if let Some(Fact::Known(cover)) = &self.cover {
            if let Some(least) = &cover.value.least {
                list.traced("least-cover", "least cover", least);
            }
            list.number("cover", "planned cover", &cover.value.planned);
        }
        let hardware = &self.hardware;
        if let Some(between) = &hardware.between {
            list.number("support-distance", "largest distance between supports", between);
        }
        let counts = [
            ("supports", "supports", &hardware.supports),
            ("couplings", "couplings", &hardware.couplings),
            ("quarter-bends", "bends of a quarter turn to buy", &hardware.quarter_bends),
            ("expansion-fittings", "expansion fittings", &hardware.expansion_fittings),
        ];
        for (what, says, count) in counts {
            if let Some(count) = count {
                list.number(what, says, count);
            }
        }
        if let Some(connectors) = &hardware.connectors {
            list.traced("connectors", "connectors at boxes and equipment", connectors);
        }
        if let Some(Fact::Known(size)) = &hardware.pull_box {
            list.box_size("pull-box", &size.value);
        }
        list.figures
    }
}

impl Joint {
    /// Every known figure of the box, named after the part before it as `raceways/<run>/<part>/<what>`.
    pub fn figures(&self, run: &Run) -> Vec<Figure> {
        let place = (self.after + 1).to_string();
        let mut list = List { group: "raceways", owner: &run.name, place: Some(place), figures: Vec::new() };
        if let Some(Fact::Known(size)) = &self.size {
            list.box_size("box", &size.value);
        }
        list.figures
    }
}

impl Stretch {
    /// Its bends, named after its first part as `raceways/<run>/<part>/bends`.
    pub fn figures(&self, run: &Run) -> Vec<Figure> {
        let place = (self.parts.0 + 1).to_string();
        let mut list = List { group: "raceways", owner: &run.name, place: Some(place), figures: Vec::new() };
        list.number("bends", "bends between two pull points", &self.bends);
        list.figures
    }
}

struct List<'a> {
    group: &'a str,
    owner: &'a str,
    place: Option<String>,
    figures: Vec<Figure>,
}

impl List<'_> {
    fn push(&mut self, what: &str, says: &str, value: Value, origin: quantity::Origin) {
        let name = match &self.place {
            Some(place) => FigureName::new(&[self.group, self.owner, place, what]),
            None => FigureName::new(&[self.group, self.owner, what]),
        };
        self.figures.push(Figure { name, says: says.to_string(), value, origin });
    }

    fn traced<T: Measure>(&mut self, what: &str, says: &str, traced: &Traced<T>) {
        self.push(what, says, traced.into(), traced.origin.clone());
    }

    fn number<T: Measure>(&mut self, what: &str, says: &str, fact: &Fact<T>) {
        if let Fact::Known(traced) = fact {
            self.traced(what, says, traced);
        }
    }

    fn box_size(&mut self, what: &str, size: &BoxSize) {
        match size {
            BoxSize::Volume { needs, .. } => self.traced(what, "space its conductors take in the box", needs),
            BoxSize::Pull { straight, turn } => {
                if let Some(straight) = straight {
                    self.traced(
                        &format!("{what}-straight"),
                        "least length of the box, straight through",
                        straight,
                    );
                }
                self.traced(what, "least distance to the opposite wall, at a turn or splice", turn);
            }
        }
    }

    fn gauge(&mut self, what: &str, says: &str, fact: &Fact<Gauge>) {
        if let Fact::Known(traced) = fact {
            self.push(what, says, Value::Gauge(traced.value), traced.origin.clone());
        }
    }
}
