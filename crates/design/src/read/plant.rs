//! One statement through the TOML parser in its recovering mode, with its faults in plain words.

use super::problems::Problems;
use super::statements::line_end;
use super::tree::{Member, Node, Origin, Table, Value};
use super::words::{brief, quote};
use super::{Label, Mend, Span, What};
use crate::problem::Problem;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// Quotes that word processors put.
const TYPOGRAPHIC: [char; 5] = ['“', '”', '„', '‘', '’'];

/// A statement as it was understood.
pub(super) struct Planted {
    /// Its keys and values, spans counted in the whole text.
    pub(super) table: Table,
    /// Whether a part of it could not be read.
    pub(super) torn: bool,
}

/// Parses the statement at `span` and lists its faults, one a line.
pub(super) fn plant(text: &str, span: &Span, problems: &mut Problems) -> Planted {
    let piece = &text[span.clone()];
    let (parsed, errors) = DeTable::parse_recoverable(piece);
    let mut faults: Vec<Fault> = errors
        .iter()
        .map(|error| Fault {
            at: clamp(error.span().unwrap_or(0..0), piece),
            says: error.message().to_string(),
        })
        .collect();
    // In a line with another fault, a text without quotes is a consequence; only the first other fault is told.
    faults.sort_by_key(|fault| (fault.line(piece), fault.only_lacks_quotes(), fault.at.start));
    faults.dedup_by(|next, kept| next.line(piece) == kept.line(piece) && !kept.only_lacks_quotes());
    let bad_lines: Vec<Span> = faults
        .iter()
        .filter(|fault| !fault.only_lacks_quotes())
        .map(|fault| {
            let start = piece[..fault.at.start].rfind('\n').map_or(0, |at| at + 1);
            start..line_end(piece.as_bytes(), fault.at.end)
        })
        .collect();
    let faulty = !faults.is_empty();
    let builder = Builder { offset: span.start, statement: span.clone(), bad_lines: &bad_lines, faulty };
    let mut table = builder.table(parsed.into_inner(), Origin::Implied);
    for fault in &faults {
        problems.push(fault.problem(text, span));
    }
    if faulty
        && table.members.is_empty()
        && let Some(member) = leading_word(piece, span)
    {
        // The key is kept, so that it is not called missing as well. The table is empty: adding cannot fail.
        let _ = table.add(member);
    }
    let torn = table.members.is_empty() && faulty;
    Planted { table, torn }
}

fn clamp(span: Span, piece: &str) -> Span {
    let start = floor(piece, span.start);
    start..floor(piece, span.end).max(start)
}

fn floor(piece: &str, at: usize) -> usize {
    let mut at = at.min(piece.len());
    while !piece.is_char_boundary(at) {
        at -= 1;
    }
    at
}

fn leading_word(piece: &str, span: &Span) -> Option<Member> {
    let length = piece.bytes().take_while(|b| b.is_ascii_alphanumeric() || *b == b'_' || *b == b'-').count();
    let key_span = span.start..span.start + length;
    (length > 0).then(|| Member {
        key: piece[..length].to_string(),
        key_span: key_span.clone(),
        also: Vec::new(),
        statement: span.clone(),
        node: Node { span: key_span, value: Value::Broken },
    })
}

struct Builder<'a> {
    offset: usize,
    statement: Span,
    bad_lines: &'a [Span],
    faulty: bool,
}

impl Builder<'_> {
    fn moved(&self, span: Span) -> Span {
        span.start + self.offset..span.end + self.offset
    }

    fn table(&self, table: DeTable<'_>, origin: Origin) -> Table {
        let mut pairs: Vec<_> = table.into_iter().collect();
        pairs.sort_by_key(|(key, _)| key.span().start);
        let mut out = Table::of(origin);
        for (key, value) in pairs {
            // The parser puts an empty key where it found none.
            if self.faulty && key.get_ref().is_empty() {
                continue;
            }
            let key_span = key.span();
            // A table that is no header and stands where its key stands was implied by a dotted key.
            let dotted = value.span() == key_span;
            let node = self.node(value, dotted);
            let member = Member {
                key: key.into_inner().into_owned(),
                key_span: self.moved(key_span),
                also: Vec::new(),
                statement: self.statement.clone(),
                node,
            };
            // Keys of a parsed table are distinct.
            let _ = out.add(member);
        }
        out
    }

    fn node(&self, value: Spanned<DeValue<'_>>, dotted: bool) -> Node {
        let span = value.span();
        let bad = self.bad_lines.iter().any(|bad| span.start <= bad.end && span.end >= bad.start);
        let value = match value.into_inner() {
            DeValue::Table(table) => {
                let mut table = self.table(table, if dotted { Origin::Dotted } else { Origin::Inline });
                table.torn = bad;
                Value::Table(table)
            }
            DeValue::Array(list) => {
                // `[[x]]` comes as a list with one table; the header code looks only at the name.
                Value::List(list.into_iter().map(|value| self.node(value, false)).collect())
            }
            _ if bad => Value::Broken,
            // Typographic quotes are none to TOML; what stands between them is meant.
            DeValue::String(text) if self.faulty => Value::Text(text.trim_matches(TYPOGRAPHIC).to_string()),
            DeValue::String(text) => Value::Text(text.into_owned()),
            DeValue::Integer(n) => Value::Integer(i64::from_str_radix(n.as_str(), n.radix()).ok()),
            DeValue::Float(n) => n.as_str().parse().map_or(Value::Broken, Value::Float),
            DeValue::Boolean(yes) => Value::Bool(yes),
            DeValue::Datetime(date) => Value::Date(date),
        };
        Node { span: self.moved(span), value }
    }
}

struct Fault {
    at: Span,
    says: String,
}

impl Fault {
    fn line(&self, piece: &str) -> usize {
        piece[..self.at.start].bytes().filter(|b| *b == b'\n').count()
    }

    /// A bare text such as `38.9 V`: read as if it were quoted, and reported.
    fn only_lacks_quotes(&self) -> bool {
        self.says.starts_with("string values must be quoted") && !self.at.is_empty()
    }

    fn problem(&self, text: &str, statement: &Span) -> Problem {
        let piece = &text[statement.clone()];
        let start = if self.at.is_empty() { piece[..self.at.start].trim_end().len() } else { self.at.start };
        let end = if self.at.is_empty() { start } else { self.at.end };
        let span = start + statement.start..end + statement.start;
        let key = piece.split('=').next().unwrap_or_default().trim();
        let label = |says: &str| vec![Label { span: span.clone(), says: says.into() }];
        let mend = |with: String| Some(Mend { span: span.clone(), with });
        let (says, help, labels, mend) = if self.only_lacks_quotes() {
            let bare = piece[self.at.clone()].trim_matches(TYPOGRAPHIC).trim_matches(['"', '\'']);
            let with = quote(bare);
            let help = format!("Texts and quantities stand in straight quotes: {with}.");
            (format!("{} needs quotes", brief(&piece[self.at.clone()])), help, label("no quotes"), mend(with))
        } else if self.says.starts_with("string values must be quoted") {
            let help = "Write a value after the equals sign, or \"unknown\" where you do not know it yet.";
            (format!("{} has no value", brief(key)), help.into(), label("a value is missing here"), None)
        } else if self.says.starts_with("key with no value") {
            let help = "A line is a key, an equals sign and a value: latitude = 42.87";
            (format!("this line has no equals sign: {}", brief(piece)), help.into(), label("here"), None)
        } else if self.says.starts_with("unclosed array table") || self.says.starts_with("unclosed table") {
            let help = "Close the header as it was opened: [place], [[string]].";
            (
                "this header is not closed".into(),
                help.into(),
                label("a closing bracket is missing here"),
                None,
            )
        } else if self.says.starts_with("unclosed") {
            let help = "Close every bracket and brace that is opened. Lines after this value were read on their own.";
            (
                format!("{} is not closed", brief(key)),
                help.into(),
                label("the closing bracket is missing"),
                None,
            )
        } else if self.says.starts_with("invalid basic string")
            || self.says.starts_with("invalid literal string")
        {
            let help = "Begin and end a text with the same straight quote on the same line.";
            (
                format!("{} has a text that is not closed", brief(key)),
                help.into(),
                label("a quote is missing"),
                None,
            )
        } else {
            let help = "This line was left out; the rest of the file was read.";
            (format!("this is not TOML: {}", self.says), help.into(), label("here"), None)
        };
        Problem { what: What::Syntax, says, help, labels, mend }
    }
}
