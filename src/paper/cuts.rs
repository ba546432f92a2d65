//! The cut list: every part with its pieces, its finished and its rough sizes.

use maud::{Markup, html};

use super::Page;
use super::marks::plural_of;
use super::page::scrolls;
use crate::measure::{Length, Unit};
use crate::operation::decimal;
use crate::prose::counted;
use crate::route::Article;
use crate::stock::{AssembledPart, StockLine, piece_list};

/// Everything that is cut for a batch.
#[derive(Clone, Debug)]
pub struct CutList<'a> {
    /// The batch, or the route, and how many articles.
    pub about: &'a str,
    /// What the finished thing is called.
    pub article: &'a Article,
    /// The unit of the sizes.
    pub unit: Unit,
    /// What comes from the rack, part by part.
    pub lines: &'a [StockLine],
    /// What is put together from other parts.
    pub assembled: &'a [AssembledPart],
    /// What is left out, and why.
    pub findings: Vec<String>,
}

/// One page with a row for each part; several where articles differ or a part is of
/// several woods.
pub fn cuts_page(list: &CutList<'_>) -> Page {
    let pieces: u32 = list.lines.iter().map(all_pieces).sum();
    let blanks: u32 = list.lines.iter().map(|line| line.need.blanks()).sum();
    let parts = html! {
        table class="cuts" {
            thead {
                tr {
                    td {} th { "Part" } th class="count" { "Pieces" }
                    th { "Finished" } th { "Rough, from the rack" }
                }
            }
            tbody {
                @for line in list.lines { (row(list, line)) }
                @for part in list.assembled { (assembled_row(list.unit, part)) }
            }
            tfoot {
                tr {
                    td {} td { "From the rack" } td class="count" { (pieces) } td {}
                    td { (counted(blanks as usize, "blank")) }
                }
            }
        }
    };
    let body = html! {
        header class="list-head" {
            h1 { "Cut list" }
            p { (list.about) br; "Sizes in " (plural_of(list.unit)) ": thickness × width × length, "
                "the length along the grain" }
        }
        (scrolls("Parts", &parts))
        @for finding in &list.findings { p class="finding" { "Check this: " (finding) } }
    };
    let title = format!("{} cut list", list.about);
    Page { title, style: include_str!("lists.css"), body, refresh: None }
}

/// Pieces for articles, spares and setup pieces together.
fn all_pieces(line: &StockLine) -> u32 {
    line.pieces.sets + line.pieces.spares + line.pieces.setup
}

fn row(list: &CutList<'_>, line: &StockLine) -> Markup {
    let need = &line.need;
    let wood: Vec<&str> =
        [need.species.as_deref(), need.class.as_deref()].into_iter().flatten().collect();
    let wood = if wood.is_empty() { "wood not given".to_owned() } else { wood.join(", ") };
    let finished = [need.finished_thickness, need.finished_width, need.finished_length];
    let rough = [need.thickness, need.width, need.length];
    html! {
        tr {
            td { span class="tick" {} }
            td {
                b class="part" { (need.part) }
                div { (wood) }
                @if let Some(pieces) = &need.pieces {
                    div { (piece_list(pieces, list.article)) }
                }
            }
            td class="count" { b { (all_pieces(line)) } (shares(list, line)) }
            td class="size" { (sizes(finished, list.unit)) }
            td class="size" {
                (counted(need.blanks() as usize, "blank")) " of "
                (sizes(rough, list.unit))
                @for how in how_held(line) { div { (how) } }
            }
        }
    }
}

/// What the pieces of a row are for.
fn shares(list: &CutList<'_>, line: &StockLine) -> Markup {
    let of = |count: u32, what: &str| (count > 0).then(|| format!("{count} {what}"));
    let shares = [
        of(line.pieces.sets, &format!("for {}", list.article.many)),
        of(line.pieces.spares, "spare"),
        of(line.pieces.setup, "for setup"),
    ];
    html! { @for share in shares.iter().flatten() { div { (share) } } }
}

/// How pieces lie in a blank, and where blanks come from.
fn how_held(line: &StockLine) -> Vec<String> {
    let need = &line.need;
    let ways = [
        (need.along, "end to end"),
        (need.across, "side by side"),
        (need.through, "one under the other"),
    ];
    let held = ways.into_iter().filter(|(count, _)| *count > 1);
    let mut held: Vec<String> = held.map(|(count, way)| format!("{count} {way}")).collect();
    if need.one_board {
        held.push("each set from one board".to_owned());
    }
    held
}

fn assembled_row(unit: Unit, part: &AssembledPart) -> Markup {
    let whole = part.finished.iter().copied().collect::<Option<Vec<Length>>>();
    let sized: Option<[Length; 3]> = whole.and_then(|sizes| sizes.try_into().ok());
    html! {
        tr {
            td { span class="tick" {} }
            td { b class="part" { (part.part) } }
            td class="count" { b { (part.for_sets + part.spare) } }
            td class="size" { @if let Some(sized) = sized { (sizes(sized, unit)) } }
            td { "put together from " (part.from.join(", ")) }
        }
    }
}

/// `1 1/4 × 1 1/4 × 17 1/4`, on one line.
fn sizes(sizes: [Length; 3], unit: Unit) -> Markup {
    let written = sizes.map(|size| short(size, unit)).join(" × ");
    html! { div class="sizes" { (written) } }
}

/// A size as people read it: exact where that is short, else to a thousandth of an inch or
/// a hundredth of a millimetre.
fn short(size: Length, unit: Unit) -> String {
    let (exact, rounded) = (size.written(unit), decimal(size, unit));
    let is_short = exact.contains('/') || exact.len() <= rounded.len();
    if is_short { exact } else { rounded }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_are_as_exact_as_anybody_reads_them() {
        let inches = |n: i64| short(Length::from_nanometres(n), Unit::Inch);
        assert_eq!(inches(31_750_000), "1 1/4");
        // 0.81 in, and 3.940535 in.
        assert_eq!(inches(20_574_000), "0.81");
        assert_eq!(inches(100_089_589), "3.941");
        assert_eq!(short(Length::MILLIMETRE * 18, Unit::Millimetre), "18");
    }
}
