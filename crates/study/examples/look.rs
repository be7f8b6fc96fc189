//! Prints what a study makes of a design, for the eye of a developer.
#![allow(clippy::print_stdout)]

use quantity::{Units, Value, print};

fn main() {
    for path in std::env::args().skip(1) {
        let bytes = std::fs::read(&path).unwrap_or_default();
        let t = std::time::Instant::now();
        let design = std::sync::Arc::new(design::Design::of_bytes(&bytes));
        println!("== {path}: read {:?}", t.elapsed());
        for p in &design.problems {
            println!(
                "PROBLEM {:?} {} | {} @ {:?}",
                p.what,
                p.says,
                p.help,
                p.labels.first().map(|l| &l.span)
            );
        }
        for p in design.graph.problems() {
            println!("GRAPH {p:?}");
        }
        let mut memo = study::Memo::default();
        let t = std::time::Instant::now();
        let s = study::Study::of(design.clone(), None, study::Depth::Whole, &mut memo);
        println!("first study {:?}", t.elapsed());
        let t = std::time::Instant::now();
        let _ = study::Study::of(design.clone(), None, study::Depth::Whole, &mut memo);
        println!("again {:?}", t.elapsed());
        if let Err(e) = &s.year {
            println!("YEAR {e:?}");
        }
        if let Ok(sky) = &s.sky {
            println!("{}", sky.says);
        }
        for f in s.figures.values() {
            let v = match &f.value {
                Value::Number { si, kind } => print(*si, *kind, Units::Us),
                other => format!("{other:?}"),
            };
            println!("{:60} {v}", f.name.as_str());
        }
    }
}
