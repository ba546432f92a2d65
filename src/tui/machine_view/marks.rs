//! The words while marks are drawn across boards, and the board as a drawing.

use super::place::{figures, names, short_name, strips};
use super::view::{Lit, MachineView, Order};
use crate::journal::{BatchBoard, BoardId, LaidBlank, LaidBoard, LaidSection};
use crate::measure::{Length, Unit};
use crate::operation::Drawing;
use crate::operation::drawing::Point;
use crate::stock::{self, CutMark, RackBoard, Segment, Stretch};
use crate::work::{BoardsTask, WorkContext};

impl MachineView {
    pub(super) fn draw_mark(&mut self, context: &WorkContext<'_>, board: &BoardId, mark: usize) {
        let (boards, unit) = (&context.state.boards, context.route.unit);
        let marks = boards.marks(board);
        let laid: Vec<(&BatchBoard, &LaidBoard)> = boards.laid().collect();
        let place = laid.iter().position(|(bought, _)| bought.id == *board);
        let (Some(place), Some(here)) = (place, marks.get(mark)) else { return };
        let (bought, on) = laid[place];
        let name = &bought.is.name;
        self.title = format!("op 0 board {name}, {} of {}", place + 1, laid.len());
        self.count = format!("mark {} of {}", mark + 1, marks.len());
        let at = figures(here.at, unit);
        self.order = Order::new(
            "MARK",
            format!("board {name}"),
            format!("board {name} at {at}"),
            format!("board {name} at {at}, mark {} of {}.", mark + 1, marks.len()),
        );
        self.lit = Lit::Number;
        self.enter = "drawn".to_owned();
        self.label = format!("from the marked end of board {name}");
        self.big = at;
        self.under = match marks.get(mark + 1) {
            Some(next) => format!("{0}; next mark at {1} {0}", unit.sign(), figures(next.at, unit)),
            None => format!("{}; last mark of this board", unit.sign()),
        };
        let after = behind(bought, on, &marks, mark);
        let left = segment_words(context, on, here.segment, "; keep it");
        self.now.push(format!("Left of it: {left}."));
        self.now.push(format!("Right of it: {}.", segment_words(context, on, after, "")));
        self.details.push(match here.segment {
            Segment::Section(_) => "Saw right of the line.".to_owned(),
            _ => "Saw left of the line.".to_owned(),
        });
        for segment in [here.segment, after] {
            if let Segment::Section(n) = segment
                && let Some(section) = on.sections.get(n)
            {
                self.details.extend(ripped(context, section, unit));
            }
        }
        let later = "Found a flaw? Type it: knot 31 to 33. Bad board? Type: aside MB why.";
        self.details.push(later.to_owned());
        self.prompt = "Enter: the mark is drawn".to_owned();
    }
}

/// What becomes of a segment. How strips share it is said where they are ripped.
fn segment_words(
    context: &WorkContext<'_>,
    on: &LaidBoard,
    segment: Segment,
    keep: &str,
) -> String {
    match segment {
        Segment::Section(n) => {
            let blanks: Vec<&LaidBlank> =
                on.sections.get(n).into_iter().flat_map(strips).flatten().collect();
            match blanks.is_empty() {
                true => "nothing to keep".to_owned(),
                false => format!("{}{keep}", names(context, &blanks)),
            }
        }
        Segment::Offcut => "an offcut to keep: chalk its wood on it".to_owned(),
        Segment::Waste => "waste".to_owned(),
    }
}

/// What is right of a mark.
fn behind(bought: &BatchBoard, on: &LaidBoard, marks: &[CutMark], mark: usize) -> Segment {
    if let Some(next) = marks.get(mark + 1) {
        return next.segment;
    }
    let ends = on.sections.last().is_some_and(|last| last.along.to >= bought.is.length);
    if ends {
        return Segment::Section(on.sections.len() - 1);
    }
    let last = on.cut_plan().last(bought.is.length);
    last.map_or(Segment::Waste, |(_, before)| before)
}

/// The widths strips are ripped to, and the cuts along them.
fn ripped(context: &WorkContext<'_>, section: &LaidSection, unit: Unit) -> Option<String> {
    let strips = strips(section);
    let wide = |strip: &Vec<&LaidBlank>| {
        let Stretch { from, to } = strip.first()?.across;
        Some(figures(to - from, unit))
    };
    let widths: Vec<String> = strips.iter().filter_map(wide).collect();
    let first = widths.first()?;
    if strips.iter().all(|strip| strip.len() == 1) {
        return match widths.len() {
            1 => None,
            n if widths.iter().all(|width| width == first) => {
                Some(format!("Ripped later: {n} strips {first} wide."))
            }
            _ => {
                let each = strips.iter().zip(&widths);
                let each: Vec<String> = each
                    .map(|(strip, width)| format!("{width} {}", short_name(context, strip[0])))
                    .collect();
                Some(format!("Ripped later, from the marked edge: {}.", each.join(", ")))
            }
        };
    }
    let each = strips.iter().zip(&widths).map(|(strip, width)| {
        let cuts: Vec<String> =
            strip.iter().map(|blank| figures(blank.along.to - section.along.from, unit)).collect();
        let names: Vec<String> = strip.iter().map(|blank| short_name(context, blank)).collect();
        match strip.len() {
            1 => format!("{width} {}", names.join(", ")),
            _ => format!("{width} {}, cut at {}", names.join(", "), cuts.join(", ")),
        }
    });
    let each: Vec<String> = each.collect();
    Some(format!("Ripped later, from the marked edge: {}.", each.join("; ")))
}

/// The board that is marked, and where this mark is on it.
pub(in crate::tui) fn board_drawing(
    context: &WorkContext<'_>,
    task: &BoardsTask,
) -> Option<Drawing> {
    let BoardsTask::Mark { board, mark } = task else { return None };
    let rack = &context.state.boards;
    let (bought, laid) = rack.laid().find(|(bought, _)| bought.id == *board)?;
    let at = rack.marks(board).get(*mark)?.at;
    let RackBoard { width, .. } = bought.is;
    let named = |section: usize, blank: usize| {
        let section = laid.sections.get(section);
        let blank = section.and_then(|section| section.blanks.get(blank));
        blank.map(|blank| short_name(context, blank)).unwrap_or_default()
    };
    let near = Point::new(Length::ZERO, Length::ZERO);
    Some(
        stock::drawing(&bought.is, &laid.cut_plan(), named)
            .mark(Point::new(at, Length::ZERO), Point::new(at, width))
            .dimension(near, Point::new(at, Length::ZERO), figures(at, context.route.unit)),
    )
}
