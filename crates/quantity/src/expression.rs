//! Evaluates the printed text of a formula, so that what is shown and what is computed can be held against each
//! other. Understands `+ − · × / ^`, brackets, `√`, and `min max floor ceil exp ln abs cos sin` of comma lists.

use std::fmt;

/// Why a text cannot be evaluated.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ExpressionError {
    /// A symbol that no term names.
    UnknownSymbol(String),
    /// Something other than an expression at this byte.
    Syntax(usize),
}

impl fmt::Display for ExpressionError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            ExpressionError::UnknownSymbol(symbol) => write!(f, "no term is named {symbol}"),
            ExpressionError::Syntax(at) => write!(f, "not an expression at byte {at}"),
        }
    }
}

impl std::error::Error for ExpressionError {}

/// Value of `text` with symbols looked up by `symbol`.
///
/// # Errors
/// [`ExpressionError`] when the text is no expression or names an unknown symbol.
pub fn evaluate(text: &str, symbol: &dyn Fn(&str) -> Option<f64>) -> Result<f64, ExpressionError> {
    let mut reader = Reader { text, at: 0, symbol };
    let value = reader.sum()?;
    reader.skip_space();
    if reader.at == text.len() { Ok(value) } else { Err(ExpressionError::Syntax(reader.at)) }
}

struct Reader<'a> {
    text: &'a str,
    at: usize,
    symbol: &'a dyn Fn(&str) -> Option<f64>,
}

impl Reader<'_> {
    fn skip_space(&mut self) {
        while self.peek().is_some_and(char::is_whitespace) {
            self.bump();
        }
    }

    fn peek(&self) -> Option<char> {
        self.text[self.at..].chars().next()
    }

    fn bump(&mut self) {
        self.at += self.peek().map_or(0, char::len_utf8);
    }

    fn takes(&mut self, wanted: &[char]) -> bool {
        self.skip_space();
        let found = self.peek().is_some_and(|c| wanted.contains(&c));
        if found {
            self.bump();
        }
        found
    }

    fn sum(&mut self) -> Result<f64, ExpressionError> {
        let mut value = self.product()?;
        loop {
            if self.takes(&['+']) {
                value += self.product()?;
            } else if self.takes(&['−', '-']) {
                value -= self.product()?;
            } else {
                return Ok(value);
            }
        }
    }

    fn product(&mut self) -> Result<f64, ExpressionError> {
        let mut value = self.power()?;
        loop {
            if self.takes(&['·', '×', '*']) {
                value *= self.power()?;
            } else if self.takes(&['/', '÷', '∕']) {
                value /= self.power()?;
            } else {
                return Ok(value);
            }
        }
    }

    fn power(&mut self) -> Result<f64, ExpressionError> {
        if self.takes(&['−', '-']) {
            return Ok(-self.power()?);
        }
        let base = self.atom()?;
        if self.takes(&['²']) {
            return Ok(base * base);
        }
        if self.takes(&['^']) { Ok(base.powf(self.power()?)) } else { Ok(base) }
    }

    fn atom(&mut self) -> Result<f64, ExpressionError> {
        if self.takes(&['(']) {
            let value = self.sum()?;
            return self.close(value);
        }
        if self.takes(&['√']) {
            return Ok(self.atom()?.sqrt());
        }
        self.skip_space();
        let rest = &self.text[self.at..];
        let number_end = rest.find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(rest.len());
        if number_end > 0 {
            let value = rest[..number_end].parse().map_err(|_| ExpressionError::Syntax(self.at))?;
            self.at += number_end;
            return Ok(value);
        }
        let name_end = rest.find(|c: char| !(c.is_alphanumeric() || c == '_')).unwrap_or(rest.len());
        if name_end == 0 {
            return Err(ExpressionError::Syntax(self.at));
        }
        let name = &rest[..name_end];
        let start = self.at;
        self.at += name_end;
        if self.text[self.at..].starts_with('(') {
            self.bump();
            return self.call(name, start);
        }
        (self.symbol)(name).ok_or_else(|| ExpressionError::UnknownSymbol(name.to_string()))
    }

    fn close(&mut self, value: f64) -> Result<f64, ExpressionError> {
        if self.takes(&[')']) { Ok(value) } else { Err(ExpressionError::Syntax(self.at)) }
    }

    fn call(&mut self, name: &str, start: usize) -> Result<f64, ExpressionError> {
        let mut arguments = vec![self.sum()?];
        while self.takes(&[',']) {
            arguments.push(self.sum()?);
        }
        let first = arguments[0];
        let value = match name {
            "min" => arguments.iter().copied().fold(f64::INFINITY, f64::min),
            "max" => arguments.iter().copied().fold(f64::NEG_INFINITY, f64::max),
            "floor" => first.floor(),
            "ceil" => first.ceil(),
            "exp" => first.exp(),
            "ln" => first.ln(),
            "abs" => first.abs(),
            "sin" => first.to_radians().sin(),
            "cos" => first.to_radians().cos(),
            _ => return Err(ExpressionError::Syntax(start)),
        };
        self.close(value)
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn printed_formulas_evaluate_by_the_usual_precedence() {
        let look = |name: &str| match name {
            "n" => Some(10.0),
            "voc" => Some(49.5),
            "beta" => Some(-0.0027),
            "t" => Some(-28.0),
            _ => None,
        };
        let value = evaluate("n · voc · (1 + beta · (t − 25))", &look).unwrap();
        assert!((value - 565.834_5).abs() < 1e-4);
        assert_eq!(evaluate("2 + 3 × 2^2 / 4", &look).unwrap(), 5.0);
        assert_eq!(evaluate("max(1, 2, floor(3.7)) − −1", &look).unwrap(), 4.0);
        assert_eq!(evaluate("√(n·n)²", &look).unwrap(), 100.0);
    }

    #[test]
    fn broken_texts_are_errors_with_a_place() {
        let look = |_: &str| None;
        assert_eq!(evaluate("1 +", &look), Err(ExpressionError::Syntax(3)));
        assert_eq!(evaluate("(1", &look), Err(ExpressionError::Syntax(2)));
        assert_eq!(evaluate("x", &look), Err(ExpressionError::UnknownSymbol("x".into())));
        assert!(evaluate("", &look).is_err());
        assert!(evaluate("frob(1)", &look).is_err());
    }
}
