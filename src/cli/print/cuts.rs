//! `print cuts`: every part with its pieces, finished and rough sizes.

use std::io::Write;
use std::path::Path;

use clap::Args;

use super::{PrintTo, RowsFormat};
use crate::cli::csv;
use crate::cli::planned::{PlannedArguments, PlannedBatch};
use crate::cli::{Ending, Failure};
use crate::measure::Length;
use crate::paper::{CutList, cuts_page};
use crate::stock::{AssembledPart, ListOptions, StockLine, assembled, list};

/// Print the cut list: every part with its sizes
///
/// For each part its wood, how many pieces for articles, spares and setup, their finished
/// sizes, and the rough blanks they come from. For a batch under way it uses the sizes
/// measured so far. As CSV it has the columns part, species, class, unit, for_articles,
/// spare, setup, thickness, width, length (finished), blanks, rough_thickness,
/// rough_width, rough_length, pieces_in_a_blank and assembled_from.
///
/// Exits with 1 when a part is left out because a size is not known.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  benchway print cuts boot-bench --articles 8
  benchway print cuts \"spring stools\" --format csv --output -")]
pub(super) struct CutsArguments {
    #[command(flatten)]
    pub(super) planned: PlannedArguments,

    /// A page (html) or rows for a spreadsheet (csv)
    #[arg(long, value_enum, default_value_t = RowsFormat::Html)]
    format: RowsFormat,

    #[command(flatten)]
    to: PrintTo,
}

impl CutsArguments {
    pub(super) fn run(&self, home: Option<&Path>, out: &mut dyn Write) -> Result<Ending, Failure> {
        let planned = self.planned.open(home)?;
        let PlannedBatch { route, shop, plan, ending, .. } = &planned;
        let list = list(route, shop, plan, &ListOptions::default());
        let assembled = assembled(route, shop, plan);
        let about = planned.about();
        let findings: Vec<String> =
            list.findings.iter().map(|finding| finding.what.clone()).collect();
        let found = Ending::found(!findings.is_empty()).and(*ending);
        let cuts = CutList {
            about: &about,
            article: &route.article,
            unit: route.unit,
            lines: &list.lines,
            assembled: &assembled,
            findings,
        };
        let page = cuts_page(&cuts);
        match self.format {
            RowsFormat::Html => self.to.write(&page, route.unit, out)?,
            RowsFormat::Csv => self.to.write_rows(&page.title, &rows(&cuts), out)?,
        }
        Ok(found)
    }
}

/// A row for each part, from the rack or put together.
fn rows(cuts: &CutList<'_>) -> String {
    let head = "part,species,class,unit,for_articles,spare,setup,thickness,width,length,blanks,\
                rough_thickness,rough_width,rough_length,pieces_in_a_blank,assembled_from\n";
    let written = |length: Length| length.written(cuts.unit);
    let from_rack = |line: &StockLine| {
        let need = &line.need;
        csv::row(&[
            need.part.clone(),
            need.species.clone().unwrap_or_default(),
            need.class.clone().unwrap_or_default(),
            cuts.unit.sign().to_owned(),
            line.pieces.sets.to_string(),
            line.pieces.spares.to_string(),
            line.pieces.setup.to_string(),
            written(need.finished_thickness),
            written(need.finished_width),
            written(need.finished_length),
            need.blanks().to_string(),
            written(need.thickness),
            written(need.width),
            written(need.length),
            need.holds().to_string(),
            String::new(),
        ])
    };
    let put_together = |part: &AssembledPart| {
        let [thickness, width, length] =
            part.finished.map(|size| size.map(written).unwrap_or_default());
        let none = String::new;
        csv::row(&[
            part.part.clone(),
            none(),
            none(),
            cuts.unit.sign().to_owned(),
            part.for_sets.to_string(),
            part.spare.to_string(),
            none(),
            thickness,
            width,
            length,
            none(),
            none(),
            none(),
            none(),
            none(),
            part.from.join("; "),
        ])
    };
    let rows = cuts.lines.iter().map(from_rack).chain(cuts.assembled.iter().map(put_together));
    let rows: Vec<String> = rows.map(|row| format!("{row}\n")).collect();
    format!("{head}{}", rows.concat())
}
