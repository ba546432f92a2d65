//! One page for print and browser: its title, its content, and the one stylesheet they share.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use crate::measure::Unit;
use crate::prose::visible_lines;

/// The stylesheet of all pages.
const STYLE: &str = include_str!("style.css");

/// The sheet a page is printed on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Paper {
    /// 210 by 297 mm, ISO 216.
    A4,
    /// 8 1/2 by 11 in, ANSI/ASME Y14.1 size A.
    Letter,
}

impl Paper {
    /// The sheet that is usual where people measure in a unit.
    pub const fn usual(unit: Unit) -> Paper {
        match unit {
            Unit::Millimetre => Paper::A4,
            Unit::Inch => Paper::Letter,
        }
    }

    /// As CSS names it.
    const fn css(self) -> &'static str {
        match self {
            Paper::A4 => "A4",
            Paper::Letter => "letter",
        }
    }
}

/// A page, whichever sheet it is printed on.
#[derive(Clone, Debug)]
pub struct Page {
    /// What the browser's window and the printed file are called.
    pub title: String,
    /// What its own kind of page adds to the stylesheet of all.
    pub style: &'static str,
    /// Everything between head and foot.
    pub body: Markup,
    /// After how many seconds the page reads itself again, for a page on a wall.
    pub refresh: Option<u32>,
}

impl Page {
    /// The whole file in UTF-8. Whatever a file of the shop says stays text, and nothing
    /// in it is invisible or turns the writing round.
    pub fn html(&self, paper: Paper) -> String {
        let sheet = format!(
            "@page {{ size: {}; margin: 10mm 12mm 12mm; \
             @bottom-right {{ content: counter(page) \" / \" counter(pages); font: 8pt Arial, sans-serif; }} }}",
            paper.css()
        );
        let page = html! {
            (DOCTYPE)
            html lang="en" {
                head {
                    meta charset="utf-8";
                    meta name="viewport" content="width=device-width, initial-scale=1";
                    @if let Some(seconds) = self.refresh {
                        meta http-equiv="refresh" content=(seconds);
                    }
                    title { (self.title) }
                    style { (PreEscaped(&sheet)) (PreEscaped(STYLE)) (PreEscaped(self.style)) }
                }
                body { main { (self.body) } }
            }
        };
        visible_lines(&page.into_string())
    }
}

/// What is wider than a phone in a region of its own, which scrolls with keys and fingers.
/// `named` is what it is for whoever hears the page read.
pub(super) fn scrolls(named: &str, wide: &Markup) -> Markup {
    html! {
        div class="scrolls" role="region" tabindex="0" aria-label=(named) { (wide) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Always: A text from a file stays a text on paper, and shows whole.
    #[test]
    fn what_a_file_says_stays_text() {
        let title = "</title><script>alert(1)</script>\u{202e}\u{1b}[2J".to_owned();
        let body = html! { h1 { (title) } p title=(title) { "seen" } };
        let page = Page { title, style: "", body, refresh: None }.html(Paper::A4);
        assert!(!page.contains("<script"), "{page}");
        assert!(!page.contains(['\u{202e}', '\u{1b}']), "{page}");
        assert_eq!(page.matches("&lt;script&gt;").count(), 3, "{page}");
    }
}
