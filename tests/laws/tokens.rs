//! A source's tokens in one row: comments and the insides of strings are not among them.

use std::str::FromStr;

use proc_macro2::{Delimiter, TokenStream, TokenTree};

use crate::sources::Source;

/// A word, a mark, a literal, or the opening or closing of a bracket.
pub(crate) struct Token {
    pub(crate) text: String,
    pub(crate) line: usize,
}

/// The tokens of a Rust source, in order, those inside macro calls included.
pub(crate) fn tokens(source: &Source) -> Vec<Token> {
    let stream = TokenStream::from_str(&source.text)
        .unwrap_or_else(|error| panic!("{} is not made of Rust's tokens: {error}", source.path));
    let mut row = Vec::new();
    append(stream, &mut row);
    row
}

fn append(stream: TokenStream, row: &mut Vec<Token>) {
    for tree in stream {
        match tree {
            TokenTree::Group(group) => {
                let (open, close) = match group.delimiter() {
                    Delimiter::Parenthesis => ("(", ")"),
                    Delimiter::Brace => ("{", "}"),
                    Delimiter::Bracket => ("[", "]"),
                    Delimiter::None => ("", ""),
                };
                row.push(Token { text: open.into(), line: group.span_open().start().line });
                append(group.stream(), row);
                row.push(Token { text: close.into(), line: group.span_close().start().line });
            }
            TokenTree::Ident(word) => {
                row.push(Token { text: word.to_string(), line: word.span().start().line });
            }
            TokenTree::Punct(mark) => {
                row.push(Token { text: mark.as_char().into(), line: mark.span().start().line });
            }
            TokenTree::Literal(literal) => {
                row.push(Token { text: literal.to_string(), line: literal.span().start().line });
            }
        }
    }
}

#[test]
fn comments_and_strings_hide_words_and_macros_do_not() {
    let sample = Source::sample("x.rs", "// one\n/// two\nfn f() { g!(three, \"four\"); /* five */ }");
    let words: Vec<String> = tokens(&sample).into_iter().map(|token| token.text).collect();
    assert!(words.contains(&"three".to_owned()));
    assert!(["one", "two", "four", "five"].iter().all(|hidden| !words.contains(&(*hidden).to_owned())));
}
