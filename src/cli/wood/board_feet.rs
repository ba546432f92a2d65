//! `wood board-feet`: the volume of lumber in boards, as it is sold.

use std::io::Write;

use clap::Args;
use serde::Serialize;

use super::given::{self, fine_percent};
use super::{Format, TextPage, fine, json, number};
use crate::cli::Failure;
use crate::prose::counted;

use crate::measure::{Length, Unit};
use crate::operation::words;
use crate::wood::{BOARD_SOURCE, Board};

/// Board feet in boards
///
/// Gives two results, because lumber is counted in two ways. Board feet are
/// thickness x width x length without rounding. By surface measure, as hardwood
/// is sold, each board's width in inches x length in feet / 12 is rounded to the
/// nearest whole number (halves alternately up and down, the first up), then
/// multiplied by the thickness. Anything thinner than 1 in counts as 1 in; use
/// the rough thickness the board is sold by.
///
/// Thickness and width are inches unless they name their unit; the length must
/// name its unit.
///
/// The keys of --format json: board_feet (not rounded), surface_measure (square
/// feet, whole for each board), board_feet_by_surface_measure, all for `count`
/// boards; surface_measure_exact (one board), thickness, width (both in inches),
/// length (feet), thickness_counted, source, notes (sentences).
///
///   benchway wood board-feet 2 x "6 1/4" x 8ft
///   benchway wood board-feet "8/4 x 6 1/4 x 8'" --count 12
#[derive(Debug, Args)]
#[command(verbatim_doc_comment)]
pub(super) struct BoardFeetArguments {
    /// Thickness x width x length
    #[arg(required = true, value_name = "T x W x L", allow_negative_numbers = true)]
    board: Vec<String>,

    /// Number of boards of that size
    #[arg(long, value_name = "N", default_value_t = 1,
          value_parser = clap::value_parser!(u32).range(1..=100_000))]
    count: u32,

    /// Output for people (text) or for programs (json)
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

#[derive(Serialize)]
struct BoardFeetAnswer {
    board_feet: f64,
    surface_measure: i64,
    board_feet_by_surface_measure: f64,
    surface_measure_exact: f64,
    count: u32,
    thickness: f64,
    thickness_counted: f64,
    width: f64,
    length: f64,
    source: &'static str,
    notes: Vec<String>,
}

/// Names of the three sizes in error messages.
const NAMES: [&str; 3] = ["thickness", "width", "length"];

impl BoardFeetArguments {
    pub(super) fn run(&self, out: &mut dyn Write) -> Result<(), Failure> {
        let text = self.board.join(" ");
        let typed: Vec<&str> = text.split(['x', 'X', '×']).map(str::trim).collect();
        let [thickness, width, length] = typed.as_slice() else {
            return Err(given::of("board", &text)
                .because("a board is thickness x width x length", "2 x 6 1/4 x 8ft"));
        };
        let mut sizes = [Length::ZERO; 3];
        for ((size, text), name) in sizes.iter_mut().zip([thickness, width, length]).zip(NAMES) {
            *size = given::size(name, text)?.0;
        }
        if !given::names_its_unit(length) {
            let help = format!("{length}ft, or {length}in?");
            return Err(given::of("length", length).because("the length needs a unit", &help));
        }
        let [thick, wide, long] = sizes;
        let board = Board::new(thick, wide, long).ok_or_else(|| {
            given::of("board", &text).because("a size must be greater than zero", "")
        })?;
        let found = board.measured(self.count);
        let thickness_counted = thick.max(Length::INCH);
        let notes = self.notes(long, &found);
        if self.format == Format::Json {
            let answer = BoardFeetAnswer {
                board_feet: found.board_feet,
                surface_measure: found.surface_measure,
                board_feet_by_surface_measure: fine(found.by_surface_measure),
                surface_measure_exact: found.surface,
                count: self.count,
                thickness: fine(thick.in_unit(Unit::Inch)),
                thickness_counted: fine(thickness_counted.in_unit(Unit::Inch)),
                width: fine(wide.in_unit(Unit::Inch)),
                length: fine(long.in_unit(Unit::Inch) / 12.0),
                source: BOARD_SOURCE,
                notes,
            };
            return Ok(json(&answer, out)?);
        }
        let mut page = TextPage::new(out, 0);
        let inches = |size| words(size, Unit::Inch);
        let feet = fine_percent(long.in_unit(Unit::Inch) / 12.0);
        let boards = counted(self.count as usize, "board");
        page.title(&format!("{boards} of {} x {} x {feet} ft", inches(thick), inches(wide)))?;
        let exact = fine_percent(found.board_feet);
        number(&mut page, "board feet", &format!("{exact}, from the exact sizes"))?;
        let measure = match self.count {
            1 => format!("{} square feet, from {:.2}", found.surface_measure, found.surface),
            _ => format!(
                "{} square feet in all, each board from {:.2}",
                found.surface_measure, found.surface
            ),
        };
        number(&mut page, "surface measure", &measure)?;
        let by = fine_percent(found.by_surface_measure);
        number(&mut page, "as sold", &format!("{by} board feet, by surface measure"))?;
        number(&mut page, "source", BOARD_SOURCE)?;
        Ok(notes.iter().try_for_each(|note| page.title(note))?)
    }

    /// The counting rules that affected the result.
    fn notes(&self, long: Length, found: &crate::wood::BoardMeasure) -> Vec<String> {
        let mut notes = Vec::new();
        if found.thin {
            notes.push("Thinner than 1 in counts as 1 in.".to_owned());
        }
        if found.by_turns {
            notes.push(
                match self.count {
                    1 => "Halves are rounded alternately up and down; this one went up.",
                    _ => {
                        "Each board ends in a half: rounded alternately up and down, the first up."
                    }
                }
                .to_owned(),
            );
        }
        let foot = Length::INCH.nanometres() * 12;
        if long.nanometres() % foot != 0 {
            let whole = long.nanometres() / foot;
            notes.push(format!(
                "A yard that tallies bundles rounds lengths down to the whole foot, here {whole} ft."
            ));
        }
        notes
    }
}
