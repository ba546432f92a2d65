//! `wood moisture`: the equilibrium moisture content of wood in air.

use std::io::Write;

use clap::Args;
use serde::Serialize;

use super::given::{self, fine_percent};
use super::{Format, TextPage, fine, json, number};
use crate::cli::Failure;
use crate::wood::{Air, WOOD_HANDBOOK};

/// Equilibrium moisture content of wood in air
///
/// Wood kept long enough in air of one temperature and humidity reaches one
/// moisture content, nearly the same for all woods: Wood Handbook, eq. 4-5, with
/// the coefficients for degrees Celsius.
///
/// The keys of --format json: moisture (percent of oven-dry weight),
/// temperature {celsius, fahrenheit}, humidity (percent), in_the_table
/// (whether the published table covers it), source, limits (sentences).
///
///   benchway wood moisture --temp 70F --rh 45%
///   benchway wood moisture --temp 21C --rh 30 --format json
#[derive(Debug, Args)]
#[command(verbatim_doc_comment)]
pub(super) struct MoistureArguments {
    /// Temperature, with its unit
    #[arg(long, value_name = "70F", allow_hyphen_values = true)]
    temp: String,

    /// Relative humidity
    #[arg(long, value_name = "45%", allow_hyphen_values = true)]
    rh: String,

    /// Output for people (text) or for programs (json)
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

#[derive(Serialize)]
struct MoistureAnswer {
    moisture: f64,
    temperature: TemperatureAnswer,
    humidity: f64,
    in_the_table: bool,
    source: String,
    limits: Vec<&'static str>,
}

#[derive(Serialize)]
struct TemperatureAnswer {
    celsius: f64,
    fahrenheit: f64,
}

/// Limits of what the result says.
pub(super) fn limits(air: Air) -> Vec<&'static str> {
    let mut limits = vec![
        "One number for all woods, for practical use: individual boards differ, and drying wood stays slightly wetter than wood that takes up moisture.",
        "This is the final moisture content, not the present one: thick wood takes weeks or months.",
    ];
    if !air.in_the_table() {
        limits.insert(
            0,
            "The published table covers 30 to 210 F (-1 to 99 C) and 5 to 95 %; results outside it \
             were not compared with anything.",
        );
    }
    limits
}

/// The equation and its source.
pub(super) fn source() -> String {
    format!(
        "{WOOD_HANDBOOK}, eq. 4-5, Celsius coefficients (from memory; the cells of table 4-2 \
         come out within 0.06)"
    )
}

impl MoistureArguments {
    pub(super) fn run(&self, out: &mut dyn Write) -> Result<(), Failure> {
        let air = given::air(("--temp", &self.temp), ("--rh", &self.rh))?;
        let moisture = air.moisture().in_percent();
        let limits = limits(air);
        if self.format == Format::Json {
            let answer = MoistureAnswer {
                moisture: fine(moisture),
                temperature: TemperatureAnswer {
                    celsius: fine(air.celsius()),
                    fahrenheit: fine(air.fahrenheit()),
                },
                humidity: fine(air.humidity()),
                in_the_table: air.in_the_table(),
                source: source(),
                limits,
            };
            return Ok(json(&answer, out)?);
        }
        let mut page = TextPage::new(out, 0);
        page.title(&format!(
            "Air of {} F ({} C) at {} % relative humidity",
            fine_percent((air.fahrenheit() * 10.0).round() / 10.0),
            fine_percent((air.celsius() * 10.0).round() / 10.0),
            fine_percent(air.humidity())
        ))?;
        number(&mut page, "moisture", &format!("{moisture:.1} %"))?;
        number(&mut page, "source", &source())?;
        Ok(limits.into_iter().try_for_each(|limit| page.title(limit))?)
    }
}
