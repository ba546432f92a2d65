//! Labels for pieces: which article, whose, which piece and hand, and a code for a camera.

use maud::{Markup, html};

use super::breadth::breadth;
use super::code::code;
use super::ink::rounded;
use super::label_grid::LabelGrid;
use super::{Page, Paper};
use crate::measure::{Length, Unit};
use crate::work::PaperCode;

/// The styles for labels, which take the sheet up to its edges.
const STYLE: &str = include_str!("labels.css");

/// What the label of one piece says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PieceTag {
    /// The piece: `leg 4`.
    pub piece: String,
    /// Which of the handed pieces it is: `front left`.
    pub hand: Option<String>,
    /// Which article it is for: `stool 3`; none for spares.
    pub article: Option<String>,
    /// Whose that is.
    pub owner: Option<String>,
    /// The batch or the route.
    pub batch: String,
    /// What a scanner reads; none where no batch has begun and no piece is made.
    pub code: Option<PaperCode>,
}

/// Sheets of labels. So many at the start of the first sheet are used already.
pub fn labels_page(about: &str, tags: &[PieceTag], grid: &LabelGrid, used: usize) -> Page {
    let places: Vec<(usize, &PieceTag)> = (used..).zip(tags).collect();
    let body = html! {
        h1 class="unseen" { (about) " labels" }
        @for sheet in places.chunk_by(|one, next| {
            one.0 / grid.per_sheet() == next.0 / grid.per_sheet()
        }) {
            div class=(if grid.paper == Paper::A4 { "labels a4" } else { "labels letter" }) {
                @for (at, tag) in sheet { (label(tag, grid, at % grid.per_sheet())) }
            }
        }
    };
    Page { title: format!("{about} labels"), style: STYLE, body, refresh: None }
}

fn label(tag: &PieceTag, grid: &LabelGrid, at: usize) -> Markup {
    let mm = |length: Length| length.in_unit(Unit::Millimetre);
    let (left, top) = grid.place(at);
    let (wide, high) = (mm(grid.width), mm(grid.height));
    // Two millimetres stay free along every edge: no printer feeds to less.
    let side = if tag.code.is_some() { (high - 4.0).min(wide * 0.42) } else { 0.0 };
    let room = wide - side - 6.0;
    // The finished article is a piece too: it isn't named twice.
    let article = tag.article.as_deref().filter(|article| *article != tag.piece);
    let whose: Vec<&str> = [article, tag.owner.as_deref()].into_iter().flatten().collect();
    let whose = whose.join(", ");
    let lines = [
        ("piece", tag.piece.as_str(), high * 0.22),
        ("hand", tag.hand.as_deref().unwrap_or_default(), high * 0.18),
        ("whose", whose.as_str(), high * 0.15),
        ("batch", tag.batch.as_str(), high * 0.11),
    ];
    let lines: Vec<(&str, &str, f64)> =
        lines.into_iter().filter(|(_, text, _)| !text.is_empty()).collect();
    let sizes = letter_sizes(&lines, (room, high - 4.0));
    html! {
        div class="label" style={
            "left:" (size_of(mm(left))) "mm;top:" (size_of(mm(top))) "mm;width:"
            (size_of(wide)) "mm;height:" (size_of(high)) "mm"
        } {
            div class="scan" style={ "width:" (size_of(side)) "mm" } {
                @if let Some(named) = &tag.code
                    && let Some(code) = code(&named.to_string(), side as u32, &tag.piece)
                {
                    (code)
                }
            }
            div class="said" {
                @for ((class, text, _), size) in lines.iter().zip(sizes) {
                    div class=(class) style={ "font-size:" (size_of(size)) "mm" } { (text) }
                }
            }
        }
    }
}

/// How much broader bold letters are.
const BOLD: f64 = 1.1;

/// The smallest letters; a longer text goes on below.
const SMALLEST: f64 = 2.5;

/// From one line to the next, in sizes of the letters, and what is between the texts.
const LINE: f64 = 1.1;
const BETWEEN: f64 = 1.5;

/// How large the letters of each text are: so that it goes on one line where it can, and
/// smaller where all together are too high for the label.
fn letter_sizes(lines: &[(&str, &str, f64)], (wide, high): (f64, f64)) -> Vec<f64> {
    let breadth = |text: &str| breadth(text) * BOLD;
    let at = |share: f64| -> Vec<f64> {
        let size = |(_, text, largest): &(&str, &str, f64)| {
            (wide / breadth(text).max(0.1)).min(largest * share).max(SMALLEST)
        };
        lines.iter().map(size).collect()
    };
    let taken = |sizes: &[f64]| -> f64 {
        let each = lines.iter().zip(sizes).map(|((_, text, _), size)| {
            let long = breadth(text) * size / wide;
            // Words that don't break leave room at the end of a line.
            let rows = if long < 1.001 { 1.0 } else { (long * 1.15).ceil() };
            rows * size * LINE
        });
        each.sum::<f64>() + BETWEEN
    };
    let mut smaller = (3..10).rev().map(|tenths| at(f64::from(tenths) / 10.0));
    let largest = at(1.0);
    if taken(&largest) <= high {
        return largest;
    }
    smaller.find(|sizes| taken(sizes) <= high).unwrap_or_else(|| at(0.0))
}

/// A size in millimetres for a style, to a ten-thousandth: sixteenths of an inch are exact.
fn size_of(number: f64) -> String {
    rounded(number, 4)
}
