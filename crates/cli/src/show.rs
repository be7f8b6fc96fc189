//! The terminal: sentences first, tables second, findings in the form compilers made familiar.

use annotate_snippets::renderer::DecorStyle;
use annotate_snippets::{AnnotationKind, Group, Level, Patch, Renderer, Snippet};
use design::Design;
use design::problem::Problem;
use output::book::Span;
use output::say::{listed, missing};
use rules::{Finding, Severity};
use std::io::IsTerminal as _;
use study::Study;

/// Nothing is wider than this.
pub(crate) const WIDTH: usize = 100;

/// Why a command could not be done.
#[derive(Debug)]
pub(crate) struct Failure {
    says: String,
    help: String,
}

impl Failure {
    pub(crate) fn new(says: impl Into<String>, help: impl Into<String>) -> Self {
        Failure { says: says.into(), help: help.into() }
    }
}

/// Prints a line on standard output. A closed pipe ends the output quietly.
pub(crate) fn line(text: &str) {
    use std::io::Write as _;
    let mut out = anstream::stdout();
    let _ = writeln!(out, "{text}");
}

/// Prints a line on standard error.
pub(crate) fn aside(text: &str) {
    use std::io::Write as _;
    let mut out = anstream::stderr();
    let _ = writeln!(out, "{text}");
}

/// Prints why a command failed.
pub(crate) fn failure(failure: &Failure, json: bool) {
    if json {
        let value = serde_json::json!({
            "format": output::json::FORMAT, "what": "error", "message": failure.says, "help": failure.help,
        });
        line(&value.to_string());
    } else {
        aside(&format!("error: {}", failure.says));
        if !failure.help.is_empty() {
            aside(&format!("  help: {}", failure.help));
        }
    }
}

/// Machine output.
pub(crate) fn json(value: &serde_json::Value) {
    match serde_json::to_string_pretty(value) {
        Ok(text) => line(&text),
        Err(error) => aside(&format!("error: {error}")),
    }
}

/// A sentence, wrapped.
pub(crate) fn sentence(spans: &[Span]) {
    let text: String = spans.iter().map(|span| span.text.as_str()).collect();
    line(&wrap(&text, WIDTH, ""));
}

/// Text broken at spaces so that no line is wider than `width`; later lines begin with `indent`.
pub(crate) fn wrap(text: &str, width: usize, indent: &str) -> String {
    let mut lines = vec![String::new()];
    for word in text.split_whitespace() {
        let later = lines.len() > 1;
        let line = lines.last_mut().expect("there is always a line");
        let is_empty = line.is_empty() || (later && line.as_str() == indent);
        if !is_empty && line.chars().count() + 1 + word.chars().count() > width {
            lines.push(format!("{indent}{word}"));
        } else {
            if !is_empty {
                line.push(' ');
            }
            line.push_str(word);
        }
    }
    lines.join("\n")
}

fn renderer() -> Renderer {
    let colour = std::io::stderr().is_terminal() || std::io::stdout().is_terminal();
    // The streams strip colour again where it is not wanted (NO_COLOR, pipes).
    let renderer = if colour { Renderer::styled() } else { Renderer::plain() };
    renderer.decor_style(DecorStyle::Ascii).term_width(WIDTH)
}

/// Problems of a text, each at its place.
pub(crate) fn problems(design: &Design, file: &str) {
    for problem in &design.problems {
        line(&problem_text(problem, &design.text, file));
        line("");
    }
}

fn problem_text(problem: &Problem, text: &str, file: &str) -> String {
    let mut snippet = Snippet::source(text).path(file);
    for (i, label) in problem.labels.iter().enumerate() {
        let kind = if i == 0 { AnnotationKind::Primary } else { AnnotationKind::Context };
        snippet = snippet.annotation(kind.span(clamped(&label.span, text)).label(label.says.as_str()));
    }
    let mut group: Group<'_> =
        Level::ERROR.primary_title(problem.says.as_str()).id(problem.what.word()).element(snippet);
    if !problem.help.is_empty() {
        group = group.element(Level::HELP.message(problem.help.as_str()));
    }
    let mut report = vec![group];
    if let Some(mend) = &problem.mend {
        report.push(Level::HELP.secondary_title("this mends it").element(
            Snippet::source(text).path(file).patch(Patch::new(clamped(&mend.span, text), mend.with.as_str())),
        ));
    }
    renderer().render(&report)
}

/// A span that lies inside the text on character borders, whatever it was.
fn clamped(span: &std::ops::Range<usize>, text: &str) -> std::ops::Range<usize> {
    let border = |mut at: usize| {
        at = at.min(text.len());
        while !text.is_char_boundary(at) {
            at -= 1;
        }
        at
    };
    let start = border(span.start);
    start..border(span.end).max(start)
}

/// One finding with its excerpt.
pub(crate) fn finding(study: &Study, finding: &Finding, file: &str) {
    let text = &*study.design.text;
    let mut snippet = Snippet::source(text).path(file);
    let mut placed = false;
    for (i, place) in finding.at.iter().enumerate() {
        if let Some(span) = study.design.span_of(&place.field) {
            let kind = if i == 0 { AnnotationKind::Primary } else { AnnotationKind::Context };
            snippet = snippet.annotation(kind.span(clamped(&span, text)).label(place.says.as_str()));
            placed = true;
        }
    }
    let (level, word) = match finding.severity {
        Severity::Danger => (Level::ERROR, "danger"),
        Severity::Breach => (Level::ERROR, "breach"),
        Severity::Doubt => (Level::WARNING, "doubt"),
        Severity::Note => (Level::NOTE, "note"),
    };
    let word = if finding.undecided.is_some() { format!("{word}, undecided") } else { word.to_string() };
    let title = level.with_name(word).primary_title(finding.says.as_str()).id(finding.code);
    let mut group: Group<'_> = if placed { title.element(snippet) } else { Group::with_title(title) };
    for more in &finding.more {
        group = group.element(Level::NOTE.message(more.as_str()));
    }
    if let Some(gap) = &finding.undecided {
        group =
            group.element(Level::NOTE.message(format!("not decided until known: {}", listed(&missing(gap)))));
    }
    for remedy in &finding.remedies {
        group = group.element(Level::HELP.message(remedy.says.as_str()));
    }
    group = group.element(Level::NOTE.message(format!("{}", finding.clause)));
    if let Some(figure) = &finding.figure {
        group =
            group.element(Level::NOTE.message(format!("to see where the number comes from: why {figure}")));
    }
    line(&renderer().render(&[group]));
    line("");
}
