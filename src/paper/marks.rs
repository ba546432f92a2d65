//! The boards of a layout for the rack: each on a sheet of its own, drawn to scale with its
//! marks from one end, and the marks once more in a list to tick off.

use maud::{Markup, html};

use super::board_drawing::BoardDrawing;
use super::{Page, Paper};
use crate::operation::words;
use crate::shop::ROUGH_STOCK;
use crate::stock::{HOW_TO_SAW, MarkedBoard};

/// The styles for boards, and which way round the sheet is.
const ON_A4: &str = concat!(include_str!("marks.css"), "@page { size: A4 landscape; }");
const ON_LETTER: &str = concat!(include_str!("marks.css"), "@page { size: letter landscape; }");

/// The most paper a board takes across, in millimetres: below it its marks must have room.
const HIGHEST: f64 = 56.0;

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
    // The longer side, less the margins of the page.
    let (style, breadth) = match paper {
        Paper::A4 => (ON_A4, 297.0 - 24.0),
        Paper::Letter => (ON_LETTER, 279.4 - 24.0),
    };
    let count = rack.boards.len();
    let sheets = rack.boards.iter().enumerate();
    let body = html! {
        @for (at, marked) in sheets {
            @let drawing = BoardDrawing::new(marked, breadth, HIGHEST);
            section class="rack" {
                (head(rack.about, marked, (at + 1, count), drawing.one_to()))
                div class="drawn" { (drawing.svg(at)) }
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

fn head(about: &str, marked: &MarkedBoard<'_>, place: (usize, usize), one_to: f64) -> Markup {
    html! {
        header {
            h1 { (marked.board.name) }
            p class="wood" { (marked.description()) }
            p class="about" {
                strong { "Board " (place.0) " of " (place.1) } br;
                (about) br;
                "Drawn 1 : " (format!("{one_to:.1}")) ", sizes in " (marked.unit.sign())
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
                    span class="what" { (line.what) }
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
