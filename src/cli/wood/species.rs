//! `wood species`: the woods whose movement is known, and how well.

use std::io::Write;

use clap::Args;
use serde::Serialize;

use super::{Format, TextPage, fine, json};
use crate::cli::Failure;
use crate::cli::page::TableRow;
use crate::wood::{self, Found, Grain, WOOD_HANDBOOK};

/// Woods whose movement is known
///
/// The coefficient of each wood in both directions (change of size per 1 % of
/// moisture content, as a share of the size, between 6 and 14 %) and how well it
/// is known.
///
/// The keys of --format json: source, species[] with name, names, note,
/// shrinks_from (percent), radial and tangential, each {coefficient, status,
/// shrinkage (percent), shrinkage_status, sources_disagree}.
#[derive(Debug, Args)]
#[command(verbatim_doc_comment)]
pub(super) struct SpeciesArguments {
    /// Only woods with these words in their names
    #[arg(value_name = "WORDS")]
    with: Vec<String>,

    /// Output for people (text) or for programs (json)
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

#[derive(Serialize)]
struct SpeciesAnswer {
    source: String,
    species: Vec<SpeciesRow>,
}

#[derive(Serialize)]
struct SpeciesRow {
    name: &'static str,
    names: &'static [&'static str],
    note: Option<&'static str>,
    shrinks_from: f64,
    radial: AcrossGrainRow,
    tangential: AcrossGrainRow,
}

#[derive(Serialize)]
struct AcrossGrainRow {
    coefficient: f64,
    status: String,
    shrinkage: f64,
    shrinkage_status: String,
    sources_disagree: bool,
}

fn across(wood: &wood::Species, grain: Grain) -> AcrossGrainRow {
    let (coefficient, shrinkage) = (wood.coefficient(grain), wood.shrinkage(grain));
    AcrossGrainRow {
        coefficient: fine(coefficient.amount),
        status: coefficient.status(),
        shrinkage: (shrinkage.amount * 100.0).round() / 100.0,
        shrinkage_status: shrinkage.status(),
        sources_disagree: wood.other_coefficient(grain).is_some(),
    }
}

impl SpeciesArguments {
    pub(super) fn run(&self, out: &mut dyn Write) -> Result<(), Failure> {
        let words = self.with.join(" ");
        let mut woods: Vec<&wood::Species> = wood::Species::all().collect();
        if !words.is_empty() {
            let with = wood::Species::with_words(&words);
            woods.retain(|wood| with.contains(&wood.name()));
            if woods.is_empty() {
                super::given::wood("species", &words)?;
            }
        }
        woods.sort_by_key(|wood| wood.name().to_lowercase());
        if self.format == Format::Json {
            let row = |wood: &&wood::Species| SpeciesRow {
                name: wood.name(),
                names: wood.names(),
                note: wood.note(),
                shrinks_from: wood.shrinks_from(),
                radial: across(wood, Grain::Quarter),
                tangential: across(wood, Grain::Flat),
            };
            let answer = SpeciesAnswer {
                source: format!("{WOOD_HANDBOOK}, tables 4-3, 4-4 and 13-5"),
                species: woods.iter().map(row).collect(),
            };
            return Ok(json(&answer, out)?);
        }
        let mut page = TextPage::new(out, 0);
        page.title("Movement per 1 % of moisture, as a share of the size, from 6 to 14 %")?;
        let row = |wood, flat: &str, quarter: &str, known: &str| {
            TableRow::new(2, wood).cell(30, flat).cell(40, quarter).cell(50, known)
        };
        page.row(row("wood", "flat", "quarter", "known"))?;
        for wood in woods {
            let (flat, quarter) = (wood.coefficient(Grain::Flat), wood.coefficient(Grain::Quarter));
            let marked = |found: Found, grain| {
                let mark = if wood.other_coefficient(grain).is_some() { "*" } else { "" };
                format!("{:.5}{mark}", found.amount)
            };
            // The less certain of the two.
            let known = if quarter.known > flat.known { quarter } else { flat };
            let (flat, quarter) = (marked(flat, Grain::Flat), marked(quarter, Grain::Quarter));
            page.row(row(wood.name(), &flat, &quarter, &known.status()))?;
        }
        page.title("* the published shrinkage gives another number")?;
        Ok(page.title(&format!("{WOOD_HANDBOOK}, tables 4-3, 4-4 and 13-5"))?)
    }
}
