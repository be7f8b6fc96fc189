//! The book as one page that stands alone: no script, nothing fetched, readable on a phone, in the dark and on paper.

use super::{Block, Book, Chapter, FindingBlock, Span, glued};
use crate::drawing::palette::{self, Faces, Scheme};
use crate::drawing::{Drawing, svg};
use crate::table::html::{anchor, linked, tone};
use maud::{DOCTYPE, Markup, PreEscaped, html as markup};
use quantity::FigureName;
use std::collections::HashSet;

/// The book as one HTML file; the same bytes from the same book.
///
/// The working of the figure `year/backup` has the id `fig-year/backup`, and the figure's text links to it.
pub fn html(book: &Book) -> String {
    let workings = workings(book);
    let target = |figure: &FigureName| workings.contains(figure).then(|| format!("#{}", anchor(figure)));
    let mut writer = Writer { link: &target, anchored: HashSet::new() };
    let chapters: Vec<Markup> = book.chapters.iter().map(|chapter| writer.chapter(chapter)).collect();
    let page = markup! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (book.title) }
                style { (PreEscaped(style())) }
            }
            body {
                a.skip href="#content" { "Skip to the chapters" }
                div.book {
                    nav aria-label="Chapters" {
                        p.name { a href="#top" { (book.title) } }
                        @if let Some((name, value)) = book.facts.first() { p.rev { (name) " " (value) } }
                        ol {
                            @for chapter in &book.chapters {
                                li { a href={ "#" (chapter.id) } { (chapter.title) } (tally(chapter)) }
                            }
                        }
                    }
                    main id="content" {
                        header id="top" {
                            h1 { (book.title) }
                            @if !book.subtitle.is_empty() { p.subtitle { (book.subtitle) } }
                            @if !book.facts.is_empty() {
                                dl.facts {
                                    @for (name, value) in &book.facts { div { dt { (name) } dd { (glued(value)) } } }
                                }
                            }
                        }
                        @for chapter in &chapters { (chapter) }
                    }
                }
            }
        }
    };
    page.into_string()
}

/// The style sheet of the book: inks and drawing classes from the palette, the rest from `style.css`.
pub fn style() -> String {
    let faces = Faces::default();
    format!(
        ":root{{{}--text:{};--fig:{};}}\n@media (prefers-color-scheme:dark){{:root{{{}}}}}\n@media print{{:root{{{}}}}}\n{}\n{}",
        palette::variables(Scheme::Light),
        faces.text,
        faces.figure,
        palette::variables(Scheme::Dark),
        palette::variables(Scheme::Print),
        include_str!("style.css"),
        palette::page_rules(&faces),
    )
}

/// Figures whose working stands somewhere in the book.
fn workings(book: &Book) -> HashSet<&FigureName> {
    let blocks = book.chapters.iter().flat_map(|chapter| &chapter.blocks);
    blocks
        .filter_map(|block| if let Block::Working { figure, .. } = block { Some(figure) } else { None })
        .collect()
}

/// What a chapter's findings add up to, for the list of chapters: "1 danger, 2 doubts".
fn tally(chapter: &Chapter) -> Markup {
    let mut counts: Vec<(&str, usize)> = Vec::new();
    let mut undecided = 0;
    for block in &chapter.blocks {
        let Block::Finding(finding) = block else { continue };
        if finding.undecided {
            undecided += 1;
            continue;
        }
        match counts.iter_mut().find(|(severity, _)| *severity == finding.severity) {
            Some((_, count)) => *count += 1,
            None => counts.push((&finding.severity, 1)),
        }
    }
    let danger = counts.iter().any(|(severity, _)| *severity == "danger");
    let mut words: Vec<String> =
        counts.iter().map(|(severity, count)| format!("{count} {}", plural(severity, *count))).collect();
    if undecided > 0 {
        words.push(format!("{undecided} undecided"));
    }
    markup! {
        @if !words.is_empty() { small.t-danger[danger] { (words.join(", ")) } }
    }
}

fn plural(severity: &str, count: usize) -> String {
    match (severity, count) {
        (_, 1) => severity.to_string(),
        ("breach", _) => "breaches".to_string(),
        _ => format!("{severity}s"),
    }
}

struct Writer<'a> {
    link: &'a dyn Fn(&FigureName) -> Option<String>,
    /// A working may be shown twice; only the first can be the target.
    anchored: HashSet<FigureName>,
}

impl Writer<'_> {
    fn chapter(&mut self, chapter: &Chapter) -> Markup {
        let title = format!("{}-title", chapter.id);
        let blocks: Vec<Markup> = chapter.blocks.iter().map(|block| self.block(block)).collect();
        markup! {
            section id=(chapter.id) aria-labelledby=(title) {
                h2 id=(title) { (chapter.title) }
                @for block in &blocks { (block) }
                p.up { a href="#top" { "to the chapters" } }
            }
        }
    }

    fn block(&mut self, block: &Block) -> Markup {
        match block {
            Block::Heading(text) => markup! { h3 { (text) } },
            Block::Answer(spans) => markup! { p.answer { (self.spans(spans)) } },
            Block::Text(spans) => markup! { p { (self.spans(spans)) } },
            Block::List(items) => markup! { ul { @for item in items { li { (self.spans(item)) } } } },
            Block::Table(table) => linked(table, self.link),
            Block::Picture { id, title, describes, drawing } => picture(id, title, describes, drawing),
            Block::Caution(text) => markup! { p.caution role="note" { strong { "Caution. " } (text) } },
            Block::Finding(finding) => found(finding),
            Block::Working { figure, lines } => {
                let first = self.anchored.insert(figure.clone());
                working(figure, lines, first)
            }
        }
    }

    fn spans(&self, spans: &[Span]) -> Markup {
        markup! {
            @for span in spans {
                @match (span.figure.as_ref().and_then(self.link), tone(span.tone)) {
                    (Some(target), "") => a.n href=(target) { (glued(&span.text)) },
                    (Some(target), meaning) => a class={ "n " (meaning) } href=(target) { (glued(&span.text)) },
                    (None, "") => (glued(&span.text)),
                    (None, meaning) => span class=(meaning) { (glued(&span.text)) },
                }
            }
        }
    }
}

fn picture(id: &str, title: &str, describes: &str, drawing: &Drawing) -> Markup {
    // Letters keep their size: below its natural width a drawing scrolls in its own container.
    let width = if drawing.width.is_finite() { drawing.width.max(0.0) } else { 0.0 };
    markup! {
        figure.picture id=(id) {
            figcaption { strong { (title) } @if !describes.is_empty() { " " span { (glued(describes)) } } }
            div.wide tabindex="0" role="region" aria-label=(title) {
                div.scale style=(format!("--natural:{width}mm")) {
                    (PreEscaped(svg::inline(drawing, &format!("{id}-drawing"), title, describes)))
                }
            }
        }
    }
}

fn found(finding: &FindingBlock) -> Markup {
    markup! {
        article class={ "finding s-" (quantity::slug(&finding.severity)) } {
            div.sev {
                strong { (finding.severity) }
                @if finding.undecided { span { "undecided" } }
                span.code { (finding.code) }
            }
            div.says {
                p.head { (glued(&finding.says)) }
                @for more in &finding.more { p { (glued(more)) } }
                @if !finding.remedies.is_empty() {
                    ul.remedies { @for remedy in &finding.remedies { li { (glued(remedy)) } } }
                }
                p.source {
                    (finding.clause)
                    @if !finding.clause.is_empty() && !finding.place.is_empty() { " · " }
                    (finding.place)
                }
            }
        }
    }
}

fn working(figure: &FigureName, lines: &[(u8, String)], first: bool) -> Markup {
    markup! {
        div.work id=[first.then(|| anchor(figure))] {
            p.name { (figure) }
            @for (depth, line) in lines { p style=(format!("--depth:{depth}")) { (glued(line)) } }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::palette::{Ink, colour};

    fn working(name: &str) -> Block {
        Block::Working {
            figure: FigureName::new(&[name]),
            lines: vec![(0, "a = b < c".into()), (1, "line 4".into())],
        }
    }

    fn book() -> Book {
        let spans = vec![
            Span::plain("The <house> asks "),
            Span::figure("5,343 kWh", FigureName::new(&["load"])),
            Span::figure("88 hours", FigureName::new(&["nowhere"])),
        ];
        let picture = Block::Picture {
            id: "bars".into(),
            title: "Bars & more".into(),
            describes: "What \"they\" show".into(),
            drawing: Drawing { width: 100.0, height: 50.0, shapes: vec![] },
        };
        let finding = FindingBlock {
            code: "XX-1".into(),
            severity: "breach".into(),
            undecided: true,
            says: "</style><script>".into(),
            more: vec![],
            remedies: vec![],
            clause: String::new(),
            place: String::new(),
        };
        let blocks = vec![
            Block::Answer(spans),
            picture,
            Block::Finding(finding),
            Block::Caution("Prove dead".into()),
            working("load"),
            working("load"),
        ];
        Book {
            title: "Quillback & Bench".into(),
            chapters: vec![Chapter { id: "year".into(), title: "The year".into(), blocks }],
            ..Book::default()
        }
    }

    /// Values of an attribute anywhere on the page.
    fn all<'a>(page: &'a str, attribute: &str) -> Vec<&'a str> {
        let start = format!(" {attribute}=\"");
        page.split(&start).skip(1).filter_map(|rest| rest.split('"').next()).collect()
    }

    #[test]
    fn the_page_stands_alone() {
        let page = html(&book()).replace("xmlns=\"http://www.w3.org/2000/svg\"", "");
        for outside in ["http", "<script", "<link", "src=", "@import", "url("] {
            assert!(!page.contains(outside), "{outside}");
        }
    }

    #[test]
    fn names_cannot_become_markup() {
        let page = html(&book());
        assert!(
            page.contains("The &lt;house&gt; asks") && page.contains("&lt;/style&gt;&lt;script&gt;"),
            "{page}"
        );
        assert!(page.contains("<title>Quillback &amp; Bench</title>"), "{page}");
    }

    #[test]
    fn every_link_has_its_target_and_every_target_is_one() {
        let page = html(&book());
        let mut ids = all(&page, "id");
        for target in all(&page, "href") {
            assert!(ids.contains(&target.trim_start_matches('#')), "{target} leads nowhere");
        }
        ids.sort_unstable();
        let before = ids.len();
        ids.dedup();
        assert_eq!(ids.len(), before, "an id stands twice");
        assert!(page.contains("href=\"#fig-load\""), "a figure links to its working");
    }

    #[test]
    fn the_same_book_gives_the_same_page() {
        assert_eq!(html(&book()), html(&book()));
    }

    #[test]
    fn an_undecided_finding_is_never_counted_as_decided() {
        let page = html(&book());
        assert!(page.contains("1 undecided") && !page.contains("1 breach"), "{page}");
    }

    #[test]
    fn words_can_be_read_on_both_papers() {
        // 4.5 to 1 is the least contrast for text of WCAG 2.2, success criterion 1.4.3.
        let own = |name: &str, nth: usize| {
            let value = include_str!("style.css").split(&format!("{name}:#")).nth(nth + 1);
            format!(
                "#{}",
                value.and_then(|rest| rest.get(..6)).expect("the style sheet sets it in each scheme")
            )
        };
        for (nth, scheme) in [Scheme::Light, Scheme::Dark].into_iter().enumerate() {
            let papers = [colour(Ink::Paper, scheme).to_string(), own("--page", nth)];
            let mut inks: Vec<String> = [Ink::Ink, Ink::Soft, Ink::Battery, Ink::Backup, Ink::Dark]
                .map(|ink| colour(ink, scheme).to_string())
                .into();
            inks.push(own("--sun-ink", nth));
            for paper in &papers {
                for ink in &inks {
                    let contrast = contrast(ink, paper);
                    assert!(contrast >= 4.5, "{ink} on {paper} in {scheme:?}: {contrast:.2}");
                }
            }
        }
    }

    /// WCAG 2.2, "contrast ratio" and "relative luminance".
    fn contrast(a: &str, b: &str) -> f64 {
        let luminance = |hex: &str| {
            let channel = |at: usize| {
                let byte =
                    u8::from_str_radix(hex.get(at..at + 2).unwrap_or(""), 16).expect("colours are #rrggbb");
                let c = f64::from(byte) / 255.0;
                if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
            };
            0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5)
        };
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }
}
