//! What a route says of itself, for lists that show it before all of it is read and
//! checked.

use serde::Deserialize;

use super::article::Article;

/// What a route says of itself.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RouteHead {
    /// What it is called.
    pub name: String,
    /// A sentence about it; empty where there is none.
    pub about: String,
    /// How many articles it makes together.
    pub sets: u32,
    /// What they are called.
    pub article: Article,
}

/// The keys of it; all others are passed over.
#[derive(Deserialize)]
struct HeadFile {
    route: String,
    about: Option<String>,
    sets: u32,
    article: Option<String>,
    articles: Option<String>,
}

impl RouteHead {
    /// Reads the head alone; nothing where that can't be read. Whether the route is sound
    /// this doesn't say.
    pub fn of(text: &str) -> Option<RouteHead> {
        let HeadFile { route, about, sets, article, articles } = serde_json::from_str(text).ok()?;
        let article = article.as_deref().map(|one| Article::new(one, articles.as_deref()));
        let (about, article) = (about.unwrap_or_default(), article.unwrap_or_default());
        Some(RouteHead { name: route, about, sets, article })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::Document;
    use crate::route::BUNDLED;

    /// Always: The head of a route says what the whole route says.
    #[test]
    fn the_head_says_what_the_route_says() {
        for bundled in BUNDLED {
            let document = Document::read("route.json", bundled.text).expect("JSON");
            let (route, _) =
                crate::route::read(&document).unwrap_or_else(|_| panic!("{}", bundled.stem));
            let head = RouteHead::of(bundled.text).expect("a head");
            assert_eq!(head.name, route.name);
            assert_eq!(Some(head.about), route.about);
            assert_eq!((head.sets, head.article), (route.sets, route.article));
        }
    }

    #[test]
    fn a_head_that_cant_be_read_is_none() {
        for text in ["", "{}", r#"{"route": "a"}"#, r#"{"route": "a", "sets": "two"}"#] {
            assert_eq!(RouteHead::of(text), None, "{text}");
        }
        let head = RouteHead::of(r#"{"route": "a", "sets": 2, "parts": 7}"#).expect("a head");
        assert_eq!((head.article, head.about.as_str()), (Article::default(), ""));
    }
}
