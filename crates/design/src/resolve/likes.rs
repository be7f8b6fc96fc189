//! Names of typical parts and appliances: each stands on the shelf, or the nearest one is offered.

use crate::problem::{Label, Mend, Problem, What};
use crate::read::words::{brief, listed, nearest, quote, quoted};
use crate::read::{Given, Item};

pub(super) fn check(items: &[Item], problems: &mut Vec<Problem>) {
    for item in items.iter().filter(|item| item.table.shelf.is_some()) {
        let Some(entry) = item.entry("like") else { continue };
        let Given::Text(name) = &entry.value else { continue };
        let there: Vec<&str> = crate::shelf::shelf()
            .iter()
            .filter(|part| part.table.key == item.table.key)
            .map(|part| &*part.name)
            .collect();
        if there.iter().any(|known| known.eq_ignore_ascii_case(name.trim())) {
            continue;
        }
        // A long list is not read; what holds the words written comes first.
        let wanted = name.to_lowercase();
        let words: Vec<&str> = wanted.split_whitespace().filter(|word| word.len() > 2).collect();
        let holds = |known: &&&str| words.iter().any(|word| known.to_lowercase().contains(word));
        let near: Vec<&str> = there.iter().filter(holds).copied().collect();
        let close = nearest(name, there.iter().copied()).or(match near.as_slice() {
            [only] => Some(*only),
            _ => None,
        });
        let offered = if near.is_empty() { &there } else { &near };
        problems.push(Problem {
            what: What::Dangling,
            says: format!("like: there is no typical {} named {}", item.table.key, quote(&brief(name))),
            help: format!("There is {}.", listed(&quoted(offered), "and")),
            labels: vec![Label {
                span: entry.span.clone(),
                says: close.map_or("no such name".into(), |near| format!("did you mean {}?", quote(near))),
            }],
            mend: close.map(|near| Mend { span: entry.span.clone(), with: quote(near) }),
        });
    }
}
