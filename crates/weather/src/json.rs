//! Just enough JSON (RFC 8259) to read an answer of a weather service, each value with its line.
//!
//! Subjects take nothing from outside but mathematics, and no reader at hand says on which line a value stood.

use crate::read_error::ReadError;

/// Deepest nesting that is read: answers have five levels, and a hostile one may not exhaust the stack.
const DEEPEST: usize = 32;

/// A value and the line it began on.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Json {
    pub(crate) line: usize,
    pub(crate) value: Value,
}

#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Value {
    /// `null`, `true` or `false`, none of which an answer needs.
    Word(&'static str),
    Number(f64),
    Text(String),
    List(Vec<Json>),
    Object(Vec<(String, Json)>),
}

impl Json {
    /// The one value of a text.
    pub(crate) fn read(bytes: &[u8]) -> Result<Self, ReadError> {
        let text = std::str::from_utf8(bytes).map_err(|e| {
            ReadError::new(1, format!("byte {} is not UTF-8 text", e.valid_up_to() + 1), "JSON in UTF-8")
        })?;
        let mut reader = Reader { text, at: 0, line: 1 };
        let json = reader.value(0)?;
        reader.skip_space();
        if reader.at < text.len() {
            return Err(reader.wrong("something after the end", "one JSON value"));
        }
        Ok(json)
    }

    /// The value under a path of keys.
    pub(crate) fn under(&self, path: &[&str]) -> Option<&Self> {
        path.iter().try_fold(self, |json, key| match &json.value {
            Value::Object(members) => members.iter().find(|(name, _)| name == key).map(|(_, value)| value),
            _ => None,
        })
    }

    pub(crate) fn number(&self) -> Option<f64> {
        if let Value::Number(number) = self.value { Some(number) } else { None }
    }

    pub(crate) fn text(&self) -> Option<&str> {
        if let Value::Text(text) = &self.value { Some(text) } else { None }
    }

    pub(crate) fn list(&self) -> Option<&[Json]> {
        if let Value::List(list) = &self.value { Some(list) } else { None }
    }

    pub(crate) fn object(&self) -> Option<&[(String, Json)]> {
        if let Value::Object(members) = &self.value { Some(members) } else { None }
    }
}

struct Reader<'a> {
    text: &'a str,
    at: usize,
    line: usize,
}

impl Reader<'_> {
    fn wrong(&self, what: &str, allowed: &str) -> ReadError {
        ReadError::new(self.line, format!("the JSON is wrong or breaks off: {what}"), allowed)
    }

    fn peek(&self) -> Option<u8> {
        self.text.as_bytes().get(self.at).copied()
    }

    fn skip_space(&mut self) {
        while let Some(byte @ (b' ' | b'\t' | b'\r' | b'\n')) = self.peek() {
            self.line += usize::from(byte == b'\n');
            self.at += 1;
        }
    }

    /// Takes one sign after any space.
    fn take(&mut self, sign: u8) -> bool {
        self.skip_space();
        let there = self.peek() == Some(sign);
        self.at += usize::from(there);
        there
    }

    fn value(&mut self, depth: usize) -> Result<Json, ReadError> {
        self.skip_space();
        let line = self.line;
        if depth > DEEPEST {
            return Err(self.wrong("nested too deep", "at most 32 levels"));
        }
        let value = match self.peek() {
            Some(b'{') => Value::Object(self.members(depth)?),
            Some(b'[') => Value::List(self.items(depth)?),
            Some(b'"') => Value::Text(self.string()?),
            Some(b'-' | b'0'..=b'9') => Value::Number(self.digits()?),
            _ => Value::Word(self.word()?),
        };
        Ok(Json { line, value })
    }

    fn members(&mut self, depth: usize) -> Result<Vec<(String, Json)>, ReadError> {
        let mut members = Vec::new();
        self.take(b'{');
        if self.take(b'}') {
            return Ok(members);
        }
        loop {
            self.skip_space();
            let name = self.string()?;
            if !self.take(b':') {
                return Err(self.wrong("no colon after a name", "\"name\": value"));
            }
            members.push((name, self.value(depth + 1)?));
            if self.take(b'}') {
                return Ok(members);
            }
            if !self.take(b',') {
                return Err(self.wrong("an object does not go on", "a comma or }"));
            }
        }
    }

    fn items(&mut self, depth: usize) -> Result<Vec<Json>, ReadError> {
        let mut items = Vec::new();
        self.take(b'[');
        if self.take(b']') {
            return Ok(items);
        }
        loop {
            items.push(self.value(depth + 1)?);
            if self.take(b']') {
                return Ok(items);
            }
            if !self.take(b',') {
                return Err(self.wrong("a list does not go on", "a comma or ]"));
            }
        }
    }

    fn string(&mut self) -> Result<String, ReadError> {
        if !self.take(b'"') {
            return Err(self.wrong("no text", "a text in double quotes"));
        }
        let mut found = String::new();
        let mut signs = self.text[self.at..].char_indices();
        while let Some((offset, sign)) = signs.next() {
            match sign {
                '"' => {
                    self.at += offset + 1;
                    return Ok(found);
                }
                '\\' => {
                    found.push(match signs.next().map(|(_, sign)| sign) {
                        Some('n') => '\n',
                        Some('t') => '\t',
                        Some('r') => '\r',
                        Some('b' | 'f') => ' ',
                        Some('u') => {
                            let code: String = signs.by_ref().take(4).map(|(_, sign)| sign).collect();
                            // Halves of a pair name no letter by themselves; nothing here is known by such a letter.
                            u32::from_str_radix(&code, 16).ok().and_then(char::from_u32).unwrap_or('\u{fffd}')
                        }
                        Some(sign @ ('"' | '\\' | '/')) => sign,
                        _ => {
                            return Err(
                                self.wrong("an unknown escape in a text", "\\\" \\\\ \\/ \\n \\t \\u....")
                            );
                        }
                    })
                }
                sign if sign < ' ' => return Err(self.wrong("a control character in a text", "plain text")),
                sign => found.push(sign),
            }
        }
        Err(self.wrong("a text does not end", "a closing quote"))
    }

    fn digits(&mut self) -> Result<f64, ReadError> {
        let rest = &self.text[self.at..];
        let length =
            rest.find(|c: char| !matches!(c, '0'..='9' | '-' | '+' | '.' | 'e' | 'E')).unwrap_or(rest.len());
        let number = rest[..length].parse::<f64>().ok().filter(|number| number.is_finite());
        self.at += length;
        number.ok_or_else(|| self.wrong("not a number", "a finite number"))
    }

    fn word(&mut self) -> Result<&'static str, ReadError> {
        let rest = &self.text[self.at..];
        let word = ["null", "true", "false"].into_iter().find(|word| rest.starts_with(word));
        self.at += word.map_or(0, str::len);
        word.ok_or_else(|| self.wrong("no value where one should be", "a JSON value"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_are_read_with_their_lines() {
        let json = Json::read(b" {\"a\": [1, -2.5e1],\n \"b\": {\"c\": \"x\\\"\\u0041\"}, \"d\": null}\n")
            .expect("JSON");
        let numbers: Vec<f64> = json
            .under(&["a"])
            .and_then(Json::list)
            .expect("a list")
            .iter()
            .filter_map(Json::number)
            .collect();
        assert_eq!(numbers, [1.0, -25.0]);
        let text = json.under(&["b", "c"]).expect("a text");
        assert_eq!((text.text(), text.line), (Some("x\"A"), 2));
        assert_eq!(json.under(&["d"]).map(|d| &d.value), Some(&Value::Word("null")));
        assert!(json.under(&["b", "x"]).is_none() && json.under(&["a", "x"]).is_none());
    }

    #[test]
    fn what_is_not_json_is_refused_and_never_panics() {
        for text in [
            "",
            " ",
            "{",
            "}",
            "{\"a\"",
            "{\"a\":}",
            "{\"a\":1,}",
            "[1,]",
            "[1 2]",
            "nul",
            "1 2",
            "\"a",
            "\"\\",
            "\"\\q\"",
            "\"\\u12",
            "-",
            "1e999",
            "{a:1}",
            "\"a\nb\"",
            "é",
        ] {
            assert!(Json::read(text.as_bytes()).is_err(), "{text}");
        }
        assert!(Json::read(&[0xff, 0xfe]).is_err());
        assert!(Json::read("[".repeat(100_000).as_bytes()).is_err());
        assert_eq!(Json::read(b"{\n\n\"a\":\n}").expect_err("no value").line, 4);
    }
}
