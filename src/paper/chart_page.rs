//! A chart on a page of its own, with what it shows in words.

use maud::{Markup, html};

use super::chart::RowChart;
use super::page::Page;

/// A line of what is said about a chart; indented under the one before it, where that
/// introduces a list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SaidLine {
    /// How far it is indented; zero for a paragraph.
    pub indent: usize,
    /// What it says.
    pub text: String,
}

/// A page with a chart: what is charted, the drawing, then the other sections.
pub fn chart_page(chart: &RowChart, said: &[Vec<SaidLine>]) -> Page {
    let (first, others) = match said {
        [] => (&[][..], &[][..]),
        [first, others @ ..] => (first.as_slice(), others),
    };
    let title = first.first().map_or_else(|| chart.title.clone(), |line| line.text.clone());
    let body = html! {
        h1 { (title) }
        (lines(first.get(1..).unwrap_or_default()))
        figure.row { (chart.svg()) }
        @for section in others { section { (lines(section)) } }
    };
    Page { title, body, style: include_str!("figures.css"), refresh: None }
}

/// Paragraphs, and lists of the indented lines between them.
fn lines(said: &[SaidLine]) -> Markup {
    let together = said.chunk_by(|one, other| one.indent > 0 && other.indent > 0);
    html! {
        @for group in together {
            @match group {
                [line] if line.indent == 0 => p { (line.text) },
                list => ul { @for line in list { li { (line.text) } } },
            }
        }
    }
}
