//! TOML, kept shallow: text whose tree could exhaust the stack is refused.

use std::ops::Range;

use toml::de::{DeTable, DeValue};
use toml_parser::Source;
use toml_parser::lexer::TokenKind;

use super::error::{Origin, ReadFault};
use super::slips;
use crate::parts::words::echo;

/// Most brackets open at once. Together with the parser's own bound on the
/// length of dotted keys this bounds the tree's depth, and with it the stack
/// that dropping the tree needs.
const MAX_OPEN_BRACKETS: usize = 8;

/// Parses a TOML document.
///
/// # Errors
///
/// A fault at the place where the text stops being TOML, or nests too deep.
pub(super) fn document(text: &str) -> Result<DeTable<'_>, ReadFault> {
    if let Some(bracket) = too_deep(text) {
        return Err(ReadFault::new(
            Origin::Text(bracket),
            format!(
                "more than {MAX_OPEN_BRACKETS} brackets are open here: \
                 close those before, a rig file needs no such nesting"
            ),
        ));
    }
    match DeTable::parse(text) {
        Ok(table) => Ok(table.into_inner()),
        Err(error) => Err(fault(text, &error)),
    }
}

/// Where and why a text is no TOML, and what to do about it.
fn fault(text: &str, error: &toml::de::Error) -> ReadFault {
    let what = error.message();
    let span = error.span();
    if let Some((span, remedy)) = span.as_ref().and_then(|span| meant(text, what, span)) {
        let text = format!("this is not valid TOML: {remedy}");
        return ReadFault::new(Origin::Text(span), text);
    }
    let remedy = match what {
        m if m.starts_with("duplicate key") => "delete one of the two",
        m if m.starts_with("recursion limit") => "a rig file needs no such nesting",
        m if m.starts_with("string values must be quoted") => {
            "put text in double quotes, and write numbers with digits and a point"
        }
        m if m.starts_with("unexpected key or value") => {
            "give each key a line of its own, and write decimals with a point"
        }
        _ => "check the quotes, brackets and commas here",
    };
    let text = format!("this is not valid TOML ({}): {remedy}", echo(what));
    ReadFault::new(span.map_or(Origin::Whole, Origin::Text), text)
}

/// A common slip at the place of an error, and what to write instead.
fn meant(text: &str, what: &str, span: &Range<usize>) -> Option<(Range<usize>, String)> {
    if what.starts_with("duplicate key") {
        let (span, table) = slips::single_brackets(text, span.start)?;
        let remedy = format!("write [[{table}]], with two brackets, above each {table}'s keys");
        return Some((span, remedy));
    }
    if let Some(found) = slips::decimal_comma(text, span.start) {
        return Some(found);
    }
    let value = text
        .get(span.start..)?
        .split(['\n', '#', '}', ']'])
        .next()?;
    let remedy = slips::remedy(value)?;
    Some((span.clone(), remedy))
}

/// Parses one TOML value. What is none is taken as a string.
pub(super) fn value_or_string(text: &str) -> DeValue<'_> {
    let parsed = match too_deep(text) {
        None => DeValue::parse(text).ok(),
        Some(_) => None,
    };
    parsed.map_or_else(|| DeValue::String(text.into()), |value| value.into_inner())
}

/// The first bracket that opens one too many.
fn too_deep(text: &str) -> Option<Range<usize>> {
    let mut open = Vec::new();
    for token in Source::new(text).lex() {
        match token.kind() {
            kind @ (TokenKind::LeftSquareBracket | TokenKind::LeftCurlyBracket) => open.push(kind),
            TokenKind::RightSquareBracket => {
                open.pop_if(|kind| *kind == TokenKind::LeftSquareBracket);
            }
            TokenKind::RightCurlyBracket => {
                open.pop_if(|kind| *kind == TokenKind::LeftCurlyBracket);
            }
            _ => {}
        }
        if open.len() > MAX_OPEN_BRACKETS {
            return Some(token.span().start()..token.span().end());
        }
    }
    None
}
