//! What each stage of growth costs, as a picture.

use super::Sized;
use crate::drawing::{Drawing, Form, bars};
use quantity::Fact;

/// Title and description of the picture of the stages.
pub const BUDGET: (&str, &str) = (
    "What is bought at each stage",
    "For each stage in its order what is bought for it, and the ceiling where the design has one; red is above its ceiling. The table of the stages has the sums.",
);

/// What is bought at each stage; nothing where fewer than two stages have a sum.
pub fn budget(sized: &Sized<'_>, form: Form) -> Option<Drawing> {
    let mut items: Vec<(String, &'static str, f64)> = Vec::new();
    let mut summed = 0;
    for stage in &sized.study.growth.stages {
        let Ok(stands) = &stage.stands else { continue };
        let name = match stage.when {
            Some((year, month, _)) => format!("{}, {year:04}-{month:02}", stage.name),
            None => stage.name.to_string(),
        };
        let bar = if stands.over_budget.is_some() { "dark" } else { "plain" };
        items.push((name, bar, stands.bought.units()));
        summed += 1;
        let drawn = sized.design.system.stages.iter().find(|drawn| drawn.name == stage.name);
        if let Some(Fact::Known(most)) = drawn.and_then(|drawn| drawn.budget.as_ref()) {
            items.push((format!("{}: at most", stage.name), "soft", most.value.units()));
        }
    }
    (summed > 1).then(|| bars(&items, sized.design.system.currency.code(), form))
}
