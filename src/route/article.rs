//! What the finished thing is called, so that screens say *stool 3* and *how
//! many stools*.

use std::fmt;

use crate::document::{Node, Problem};
use crate::prose::plural;

/// The noun for one finished thing, and for several.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Article {
    /// One: `stool`.
    pub one: String,
    /// Several: `stools`.
    pub many: String,
}

/// Longer than any noun a screen has room for.
const LONGEST: usize = 24;

impl Default for Article {
    fn default() -> Article {
        Article::new("article", None)
    }
}

impl Article {
    /// The plural is the one given, or made from the singular: a `y` after a
    /// consonant becomes `ies`; `es` follows s, x, z, ch and sh; otherwise `s`
    /// follows.
    pub fn new(one: &str, many: Option<&str>) -> Article {
        let many = many.map_or_else(|| plural(one), str::to_owned);
        Article { one: one.to_owned(), many }
    }

    /// The noun for this many: `stool` for 1, `stools` otherwise.
    pub fn noun(&self, count: u32) -> &str {
        if count == 1 { &self.one } else { &self.many }
    }

    /// `1 stool`, `12 stools`.
    pub fn counted(&self, count: u32) -> String {
        format!("{count} {}", self.noun(count))
    }

    /// Reads the keys `article` and `articles` of a route.
    pub(super) fn read(root: Node<'_>, problems: &mut Vec<Problem>) -> Article {
        let mut noun = |key: &str| {
            let node = root.child(key)?;
            let noun: String = node.decode().map_err(|problem| problems.push(problem)).ok()?;
            let plain = !noun.is_empty()
                && noun.trim() == noun
                && noun.chars().count() <= LONGEST
                && noun.chars().all(|c| c.is_alphabetic() || matches!(c, ' ' | '-' | '\''));
            if !plain {
                let what = format!("`{key}` is a noun of 1 to {LONGEST} letters");
                problems.push(node.problem(what, Some("such as `stool`".to_owned())));
            }
            plain.then_some(noun)
        };
        let (one, many) = (noun("article"), noun("articles"));
        Article::new(one.as_deref().unwrap_or("article"), many.as_deref())
    }
}

impl fmt::Display for Article {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.one)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::Document;

    #[test]
    fn the_plural_follows_a_rule_unless_it_is_given() {
        for (one, many) in [
            ("stool", "stools"),
            ("bench", "benches"),
            ("box", "boxes"),
            ("tray", "trays"),
            ("settee", "settees"),
            ("vanity", "vanities"),
        ] {
            assert_eq!(Article::new(one, None).many, many);
        }
        assert_eq!(Article::new("shelf", Some("shelves")).counted(2), "2 shelves");
        assert_eq!(Article::new("shelf", Some("shelves")).counted(1), "1 shelf");
        assert_eq!(Article::default().counted(0), "0 articles");
    }

    #[test]
    fn a_route_names_its_article() {
        let read = |text: &str| {
            let document = Document::read("route.json", text).expect("JSON");
            let mut problems = Vec::new();
            let article = Article::read(document.root(), &mut problems);
            (article, problems)
        };
        assert_eq!(read("{}"), (Article::default(), vec![]));
        let (article, problems) = read(r#"{ "article": "bench" }"#);
        assert_eq!((article.many.as_str(), problems.len()), ("benches", 0));
        for bad in ["", " stool", "stool 3", "a\\u001b[2J", "abcdefghijklmnopqrstuvwxyz"] {
            let text = format!("{{ \"article\": \"{bad}\" }}");
            let (article, problems) = read(&text);
            assert_eq!((article.one.as_str(), problems.len()), ("article", 1), "{bad:?}");
        }
    }
}
