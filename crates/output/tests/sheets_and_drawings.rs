//! What is laid out corresponds to what was studied, one to one.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use output::drawing::{flags_of, symbols_of};
use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;
use study::{Depth, Memo, Study};

fn designs() -> Vec<(String, Study)> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../designs");
    let mut found: Vec<(String, Study)> = std::fs::read_dir(folder)
        .unwrap()
        .filter_map(|entry| {
            let path = entry.unwrap().path();
            let name = path.file_name()?.to_string_lossy().to_string();
            let text = std::fs::read_to_string(path.join(format!("{name}.toml"))).ok()?;
            let design = Arc::new(design::Design::of_text(&text));
            Some((name, Study::of(design, None, Depth::Whole, &mut Memo::default())))
        })
        .collect();
    found.sort_by(|a, b| a.0.cmp(&b.0));
    assert!(found.len() >= 3);
    found
}

#[test]
fn each_symbol_and_flag_of_each_design_is_one_element_of_its_graph() {
    for (name, study) in designs() {
        let drawing = output::book::one_line_picture(&study);
        let graph = &study.design.graph;
        let nodes: BTreeMap<String, usize> = graph.nodes.iter().map(|n| (n.name.to_string(), 1)).collect();
        let circuits: BTreeMap<String, usize> =
            graph.circuits.iter().map(|c| (c.name.to_string(), 1)).collect();
        assert_eq!(symbols_of(&drawing), nodes, "{name}");
        assert_eq!(flags_of(&drawing), circuits, "{name}");
    }
}

#[test]
fn schedule_and_bill_name_every_new_circuit_once() {
    for (name, study) in designs() {
        let Ok(schedule) = &study.wiring else { continue };
        let table = output::sheets::circuits(&study).unwrap();
        assert_eq!(table.rows.len(), schedule.circuits.len(), "{name}");
        for (i, sized) in schedule.circuits.iter().enumerate() {
            let rows = table.rows.iter().filter(|row| row.cells[1].text == *sized.name).count();
            assert_eq!(rows, 1, "{name}: {}", sized.name);
            let lines = study
                .bill
                .lines
                .iter()
                .filter(|line| line.group == bill::Group::Wire && line.serves.contains(&sized.name))
                .count();
            assert_eq!(lines, usize::from(!study.is_existing(i)), "{name}: wire of {}", sized.name);
        }
    }
}

#[test]
fn every_link_of_every_table_names_a_figure() {
    for (name, study) in designs() {
        let findings = rules::inspect(&study);
        let mut tables = vec![
            output::sheets::strings(&study),
            output::sheets::loads(&study),
            output::sheets::bill(&study),
            output::sheets::questions(&study, &findings),
        ];
        tables.extend(output::sheets::circuits(&study));
        tables.extend(output::sheets::raceways(&study));
        if let Ok(year) = &study.year {
            tables.push(output::sheets::months(&study, year));
            tables.push(output::sheets::losses(&study, year));
        }
        for table in tables {
            for row in &table.rows {
                assert_eq!(row.cells.len(), table.columns.len(), "{name}: a row of {} has gaps", table.id);
                for figure in row.cells.iter().filter_map(|cell| cell.figure.as_ref()) {
                    assert!(
                        study.figures.contains_key(figure),
                        "{name}: {} links to nothing: {figure}",
                        table.id
                    );
                }
            }
        }
        for answer in output::answers::answers(&study, &findings) {
            for figure in answer.sentence.iter().filter_map(|span| span.figure.as_ref()) {
                assert!(
                    study.figures.contains_key(figure),
                    "{name}: answer {} links to nothing: {figure}",
                    answer.question
                );
            }
        }
    }
}

#[test]
fn an_answer_is_never_better_than_what_is_unknown_beneath_it() {
    let (_, study) = designs().into_iter().find(|(name, _)| name == "hollow-farm").unwrap();
    let text = study.design.text.replace("idle = \"42 W\"", "idle = \"unknown\"");
    assert_ne!(text, *study.design.text);
    let design = Arc::new(design::Design::of_text(&text));
    let study = Study::of(design, None, Depth::Whole, &mut Memo::default());
    let answer = &output::answers::answers(&study, &[])[4];
    assert!(answer.open);
    assert!(answer.text().starts_with("Cannot be said"), "{}", answer.text());
    assert!(answer.text().contains("inverter.wall.idle"), "{}", answer.text());
}
