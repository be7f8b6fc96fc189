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
        let drawing = output::book::one_line_picture(&study, output::drawing::Form::Wide);
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

/// Boxes of the letters of a drawing, a little smaller than set, with their words.
fn boxes(drawing: &output::drawing::Drawing) -> Vec<(String, [f64; 4])> {
    use output::drawing::{Anchor, Shape, text_width};
    drawing
        .shapes
        .iter()
        .filter_map(|shape| match shape {
            Shape::Text { x, y, size, anchor, text, .. } => {
                // The measure is generous; real letters are some tenth narrower.
                let width = 0.85 * text_width(text, *size);
                let left = match anchor {
                    Anchor::Start => *x,
                    Anchor::Middle => x - width / 2.0,
                    Anchor::End => x - width,
                };
                Some((text.clone(), [left, y - 0.65 * size, left + width, *y]))
            }
            Shape::Path { .. } => None,
        })
        .collect()
}

#[test]
fn every_picture_of_the_sky_parses_and_no_words_lie_on_others() {
    use output::drawing::Form;
    for (name, study) in designs() {
        for form in [Form::Wide, Form::Phone] {
            let pictures = output::sky::pictures(&study, form);
            assert!(pictures.len() >= 5, "{name}: {} pictures", pictures.len());
            let ids: std::collections::BTreeSet<&str> =
                pictures.iter().flat_map(|p| [p.id.as_str(), p.table.id.as_str()]).collect();
            assert_eq!(ids.len(), 2 * pictures.len(), "{name}: an id stands twice");
            for picture in pictures {
                let svg = output::drawing::svg::print(&picture.drawing);
                assert!(!svg.contains("NaN") && !svg.contains("inf"), "{name}: {}", picture.id);
                // A reader for markup without entities: every opened element is closed in order.
                let mut open: Vec<&str> = Vec::new();
                for part in svg.split('<').skip(1) {
                    let tag = part.split('>').next().unwrap();
                    let word = tag.trim_start_matches('/').split([' ', '/']).next().unwrap();
                    if tag.starts_with('/') {
                        assert_eq!(open.pop(), Some(word), "{name}: {}", picture.id);
                    } else if !tag.ends_with('/') && !tag.starts_with(['?', '!']) {
                        open.push(word);
                    }
                }
                assert!(open.is_empty(), "{name}: {} leaves {open:?} open", picture.id);
                assert!(!picture.table.rows.is_empty(), "{name}: {} has no table", picture.id);
                let boxes = boxes(&picture.drawing);
                for (index, (words, a)) in boxes.iter().enumerate() {
                    assert!(
                        a[0] > -0.5
                            && a[2] < picture.drawing.width + 0.5
                            && a[3] < picture.drawing.height + 0.5,
                        "{name}: {} {form:?}: \"{words}\" runs off the sheet",
                        picture.id
                    );
                    for (other, b) in &boxes[index + 1..] {
                        let apart = a[2] <= b[0] || b[2] <= a[0] || a[3] <= b[1] || b[3] <= a[1];
                        assert!(apart, "{name}: {} {form:?}: \"{words}\" lies on \"{other}\"", picture.id);
                    }
                }
            }
        }
    }
}

#[test]
fn every_link_of_the_best_planes_names_a_figure() {
    for (name, study) in designs() {
        let Some(table) = output::sky::best_planes(&study) else { continue };
        for figure in table.rows.iter().flat_map(|r| &r.cells).filter_map(|cell| cell.figure.as_ref()) {
            assert!(study.figures.contains_key(figure), "{name}: {figure}");
        }
    }
}

/// By hand from the lines of the design: on A 150 + 150 + 1500 + 1500 + 1200 + 600 W and half of the pump's 1000 W; on B
/// 600 W and the other half; each unit gives 4500 W. The refrigerator has a label and no watts.
#[test]
fn what_each_leg_bears_adds_up_by_hand() {
    let (_, study) = designs().into_iter().find(|(name, _)| name == "wrong-turns").unwrap();
    let table = output::sheets::legs(&study);
    let cells: Vec<Vec<&str>> =
        table.rows.iter().map(|row| row.cells[..5].iter().map(|cell| cell.text.as_str()).collect()).collect();
    assert_eq!(cells[0], ["leg A", "everything listed, on at once", "5,600", "4,500", "W"]);
    assert_eq!(cells[1], ["leg B", "everything listed, on at once", "1,100", "4,500", "W"]);
    assert_eq!(table.rows[0].cells[2].tone, output::table::Tone::Danger);
    assert!(table.note.contains("not stated: refrigerator."), "{}", table.note);
    let figure = table.rows[0].cells[2].figure.as_ref().unwrap();
    assert!(study.figure(figure.as_str()).is_some(), "{figure} can be asked where it comes from");
}
