//! `wood sizes`: nominal and actual sizes of lumber.

use std::io::Write;

use clap::Args;
use serde::Serialize;

use super::{Format, TextPage, fine, json};
use crate::cli::Failure;
use crate::cli::page::TableRow;
use crate::measure::{Length, Unit};
use crate::wood::{HARDWOOD_SOURCE, SOFTWOOD_SOURCE, SoftwoodSide, hardwood, softwood};

/// Nominal and actual sizes of lumber
///
/// Hardwood by rough thickness and what remains when surfaced on two sides;
/// softwood by its nominal size and its dressed size, dry (19 % or less) and
/// green. Lumber as sold varies: measure yours.
///
/// The keys of --format json, lengths in inches: hardwood {source, sizes[]
/// {quarters or null, rough, surfaced}}, softwood {source, board_thickness[],
/// dimension_thickness[], width[]}, each {nominal, dry, green}.
#[derive(Debug, Args)]
#[command(verbatim_doc_comment)]
pub(super) struct SizesArguments {
    /// Output for people (text) or for programs (json)
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

#[derive(Serialize)]
struct SizesAnswer {
    hardwood: Hardwoods,
    softwood: Softwoods,
}

#[derive(Serialize)]
struct Hardwoods {
    source: &'static str,
    sizes: Vec<Thickness>,
}

#[derive(Serialize)]
struct Thickness {
    quarters: Option<String>,
    rough: f64,
    surfaced: f64,
}

#[derive(Serialize)]
struct Softwoods {
    source: &'static str,
    board_thickness: Vec<Dressed>,
    dimension_thickness: Vec<Dressed>,
    width: Vec<Dressed>,
}

#[derive(Serialize)]
struct Dressed {
    nominal: f64,
    dry: f64,
    green: f64,
}

impl SizesArguments {
    pub(super) fn run(&self, out: &mut dyn Write) -> Result<(), Failure> {
        let quarters = |n: u8| format!("{n}/4");
        if self.format == Format::Json {
            let inches = |length: Length| fine(length.in_unit(Unit::Inch));
            let dressed = |side| {
                softwood(side)
                    .map(|size| Dressed {
                        nominal: inches(size.nominal),
                        dry: inches(size.dry),
                        green: inches(size.green),
                    })
                    .collect()
            };
            let sizes = hardwood().map(|size| Thickness {
                quarters: size.quarters.map(quarters),
                rough: inches(size.rough),
                surfaced: inches(size.surfaced),
            });
            let answer = SizesAnswer {
                hardwood: Hardwoods { source: HARDWOOD_SOURCE, sizes: sizes.collect() },
                softwood: Softwoods {
                    source: SOFTWOOD_SOURCE,
                    board_thickness: dressed(SoftwoodSide::BoardThickness),
                    dimension_thickness: dressed(SoftwoodSide::DimensionThickness),
                    width: dressed(SoftwoodSide::Width),
                },
            };
            return Ok(json(&answer, out)?);
        }
        let mut page = TextPage::new(out, 0);
        let mut row = |cells: [&str; 3]| {
            page.row(TableRow::new(2, cells[0]).cell(14, cells[1]).cell(28, cells[2]))
        };
        row(["hardwood", "rough", "surfaced two sides, in"])?;
        for size in hardwood() {
            let name = size.quarters.map(quarters).unwrap_or_default();
            row([&name, &written(size.rough), &written(size.surfaced)])?;
        }
        for (side, name) in [
            (SoftwoodSide::BoardThickness, "boards"),
            (SoftwoodSide::DimensionThickness, "dimension"),
            (SoftwoodSide::Width, "widths"),
        ] {
            row([name, "dry", "green, in"])?;
            for size in softwood(side) {
                row([&written(size.nominal), &written(size.dry), &written(size.green)])?;
            }
        }
        page.title(&format!("Hardwood: {HARDWOOD_SOURCE}."))?;
        page.title(&format!("Softwood: {SOFTWOOD_SOURCE}."))?;
        Ok(page.title("Lumber as sold varies (4/4 is found at 15/16 and at 3/4): measure yours.")?)
    }
}

fn written(length: Length) -> String {
    length.written(Unit::Inch)
}
