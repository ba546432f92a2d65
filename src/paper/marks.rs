//! The boards of a layout for the rack: each on a sheet of its own, drawn to scale with its
//! marks from one end, and the marks once more in a list to tick off.

use maud::{Markup, html};

use super::board_drawing::BoardDrawing;
use super::page::scrolls;
use super::{Page, Paper};
use crate::measure::Unit;
use crate::operation::words;
use crate::shop::ROUGH_STOCK;
use crate::stock::{HOW_TO_SAW, MarkedBoard};

/// The styles for boards, and which way round the sheet is.
const ON_A4: &str = concat!(include_str!("marks.css"), "@page { size: A4 landscape; }");
const ON_LETTER: &str = concat!(include_str!("marks.css"), "@page { size: letter landscape; }");

/// What head and foot take of the height of a sheet, and each line of the list, in
/// millimetres.
const HEAD_AND_FOOT: f64 = 42.0;
const LIST_LINE: f64 = 11.5;

/// So many marks have room in one column; more stand in two.
const ONE_COLUMN: usize = 5;

/// The boards that are cut into.
#[derive(Clone, Debug)]
pub struct MarkedRack<'a> {
    /// The batch, or the route, and how many articles.
    pub about: &'a str,
    /// The boards, in the order they are marked.
    pub boards: &'a [MarkedBoard<'a>],
    /// What no board was found for, in words.
    pub missing: &'a [String],
}

/// A sheet for each board.
pub fn marks_page(rack: &MarkedRack<'_>, paper: Paper) -> Page {
    // The sheet lies on its longer side; its margins go off.
    let (high, breadth) = paper.sides();
    let [high, breadth] = [high, breadth].map(|side| side.in_unit(Unit::Millimetre) - 24.0);
    let style = match paper {
        Paper::A4 => ON_A4,
        Paper::Letter => ON_LETTER,
    };
    let count = rack.boards.len();
    let sheets = rack.boards.iter().enumerate();
    let body = html! {
        @for (at, marked) in sheets {
            @let drawing = BoardDrawing::new(marked, breadth, high - below(marked));
            section class="rack" {
                (head(rack.about, marked, (at + 1, count), drawing.one_to()))
                (scrolls(&format!("Drawing of {}", marked.board.name), &drawing.svg(at, breadth)))
                (list(marked))
                (foot(marked))
            }
        }
        @if !rack.missing.is_empty() {
            section class="rack" {
                h1 { "Not on these boards" }
                ul class="missing" { @for line in rack.missing { li { (line) } } }
            }
        }
        @if count == 0 && rack.missing.is_empty() {
            h1 { "No board is cut into" }
        }
    };
    Page { title: format!("{} marks", rack.about), style, body, refresh: None }
}

/// What a sheet has beside the drawing, in millimetres.
fn below(marked: &MarkedBoard<'_>) -> f64 {
    let lines = marked.lines().len();
    let flaws = if marked.board.flaws.is_empty() { 0.0 } else { 8.0 };
    let lines = if lines > ONE_COLUMN { lines.div_ceil(2) } else { lines };
    HEAD_AND_FOOT + flaws + lines as f64 * LIST_LINE
}

fn head(about: &str, marked: &MarkedBoard<'_>, place: (usize, usize), one_to: f64) -> Markup {
    html! {
        header {
            h1 { (marked.board.name) }
            p class="wood" { (kept_together(&marked.description())) }
            p class="about" {
                strong { "Board " (place.0) " of " (place.1) } br;
                (about) br;
                "Drawn 1 : " (format!("{one_to:.1}")) ", sizes in " (plural_of(marked.unit))
            }
        }
    }
}

/// Every flaw and every mark, in order from the marked end.
fn list(marked: &MarkedBoard<'_>) -> Markup {
    let lines = marked.lines();
    let class = if lines.len() > ONE_COLUMN { "marks two" } else { "marks" };
    html! {
        @if !marked.board.flaws.is_empty() {
            p class="flaws" {
                b { "Flaws: " }
                @for (n, flaw) in marked.board.flaws.iter().enumerate() {
                    @if n > 0 { "; " }
                    (flaw.written(marked.unit))
                }
            }
        }
        ol class=(class) {
            @for line in &lines {
                li {
                    @match line.at {
                        Some(at) => {
                            span class="tick" {}
                            span class="at" { (at.written(marked.unit)) }
                        },
                        None => {
                            span class="none" {}
                            span class="then" { "then" }
                        },
                    }
                    span class="what" { (kept_together(&line.what)) }
                }
            }
        }
    }
}

fn foot(marked: &MarkedBoard<'_>) -> Markup {
    html! {
        footer {
            p {
                (HOW_TO_SAW) " The crosscut saw takes "
                b { (words(marked.saw.crosscut, marked.unit)) }
                ", the rip saw "
                b { (words(marked.saw.rip, marked.unit)) }
                "; both are allowed for."
            }
            p { (ROUGH_STOCK) }
        }
    }
}

/// What several of a unit are called.
pub(super) fn plural_of(unit: Unit) -> &'static str {
    match unit {
        Unit::Inch => "inches",
        Unit::Millimetre => "millimetres",
    }
}

/// A text in which no line ends between a whole number and its fraction.
pub(super) fn kept_together(text: &str) -> String {
    let words: Vec<&str> = text.split(' ').collect();
    let is_whole = |word: &str| !word.is_empty() && word.chars().all(|c| c.is_ascii_digit());
    let is_fraction =
        |word: &str| word.starts_with(|c: char| c.is_ascii_digit()) && word.contains('/');
    let mut kept = String::new();
    for (n, word) in words.iter().enumerate() {
        if n > 0 {
            let is_one = is_whole(words[n - 1]) && is_fraction(word);
            kept.push(if is_one { '\u{a0}' } else { ' ' });
        }
        kept.push_str(word);
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fraction_stays_with_its_whole_number() {
        assert_eq!(kept_together("rip 1 25/64; 2 3/16 left"), "rip 1\u{a0}25/64; 2\u{a0}3/16 left");
        assert_eq!(kept_together("stools 4, 5 side by side"), "stools 4, 5 side by side");
        assert_eq!(kept_together("ash 6/4"), "ash 6/4");
    }
}
