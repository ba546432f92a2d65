//! `wood movement`: how far a width moves between two moisture contents.

use std::io::Write;

use clap::{Args, ValueEnum};
use serde::Serialize;

use super::given::{self, GivenMoisture, fine_percent};
use super::{Format, TextPage, fine, json, moisture, number};
use crate::cli::Failure;
use crate::fits::wording::signed;
use crate::measure::{Length, Unit};
use crate::wood::{Equation, Found, Grain, Moved, STRAIGHT, Species, WOOD_HANDBOOK, moved};

/// Movement of a width as its moisture changes
///
/// Across the grain only; along the grain wood hardly moves. Each end is a
/// moisture content (8, 8%) or the air that produces it (70F/30%). Between 6 and
/// 14 % the change is width x coefficient x change of moisture (Wood Handbook,
/// eq. 13-2, table 13-5). Outside that range, or for a wood without a usable
/// coefficient, its shrinkage from green to oven-dry is used (eq. 13-3, tables
/// 4-3 and 4-4). Where the two numbers of a wood disagree, both results are given.
///
/// The keys of --format json: species, grain, direction, unit, size, from and
/// to {moisture, air}, change, size_after, per_point, equation, status,
/// source, other {change, size_after, status, source} or null, notes
/// (sentences). Lengths are numbers in `unit`, "in" unless the size was typed
/// in metric; status is "published", "quoted by others" or "from memory",
/// after "worked out, " where it follows from another number of that wood.
///
///   benchway wood movement --species "white oak" --size "9 1/4" --from 8 --to 11
///   benchway wood movement --species walnut --size 300mm --from 70F/30% --to 75F/65%
#[derive(Debug, Args)]
#[command(
    verbatim_doc_comment,
    override_usage = "benchway wood movement [OPTIONS] --species <WOOD> --size <SIZE>\n           --from <MOISTURE> --to <MOISTURE>"
)]
pub(super) struct MovementArguments {
    /// Wood, by a name that `benchway wood species` lists
    #[arg(long, value_name = "WOOD")]
    species: String,

    /// Size across the grain; inches, or with its unit
    #[arg(long, value_name = "SIZE", allow_hyphen_values = true)]
    size: String,

    /// How it is sawn: flat (the width is tangential) or quarter (radial)
    #[arg(long, value_enum, default_value_t = Rings::Flat)]
    grain: Rings,

    /// Moisture content to begin with (8%), or the air that gives it (70F/30%)
    #[arg(long, value_name = "MOISTURE", allow_hyphen_values = true)]
    from: String,

    /// Moisture content to end with (11%), or the air that gives it (75F/60%)
    #[arg(long, value_name = "MOISTURE", allow_hyphen_values = true)]
    to: String,

    /// Output for people (text) or for programs (json)
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Rings {
    #[value(alias = "tangential")]
    Flat,
    #[value(alias = "radial")]
    Quarter,
}

impl Rings {
    fn grain(self) -> Grain {
        match self {
            Rings::Flat => Grain::Flat,
            Rings::Quarter => Grain::Quarter,
        }
    }
}

#[derive(Serialize)]
struct MovementAnswer<'a> {
    species: &'a str,
    grain: &'a str,
    direction: &'a str,
    unit: Unit,
    size: f64,
    from: MoistureEndAnswer,
    to: MoistureEndAnswer,
    change: f64,
    size_after: f64,
    per_point: f64,
    equation: &'a str,
    status: String,
    source: String,
    other: Option<OtherMovementAnswer>,
    notes: Vec<String>,
}

#[derive(Serialize)]
struct MoistureEndAnswer {
    moisture: f64,
    air: Option<AirGiven>,
}

#[derive(Serialize)]
struct AirGiven {
    celsius: f64,
    humidity: f64,
}

#[derive(Serialize)]
struct OtherMovementAnswer {
    change: f64,
    size_after: f64,
    status: String,
    source: String,
}

fn end(given: &GivenMoisture) -> MoistureEndAnswer {
    MoistureEndAnswer {
        moisture: fine(given.moisture.in_percent()),
        air: given
            .air
            .map(|air| AirGiven { celsius: fine(air.celsius()), humidity: fine(air.humidity()) }),
    }
}

fn source(equation: Equation, by: &Found) -> String {
    format!("{WOOD_HANDBOOK}, {}, {}", equation.words(), by.from())
}

impl MovementArguments {
    pub(super) fn run(&self, out: &mut dyn Write) -> Result<(), Failure> {
        let wood = given::wood("--species", &self.species)?;
        let (size, unit) = given::size("--size", &self.size)?;
        let from = given::moisture("--from", &self.from)?;
        let to = given::moisture("--to", &self.to)?;
        let grain = self.grain.grain();
        let found = moved(wood, grain, size, from.moisture, to.moisture).map_err(|start| {
            let wet = if from.moisture > to.moisture { &self.from } else { &self.to };
            let option = if from.moisture > to.moisture { "--from" } else { "--to" };
            let what = format!("above {} % moisture, {} swells no further", start.0, wood.name());
            given::of(option, wet).because(what, "use that moisture instead")
        })?;
        let calculation = Calculation { wood, grain, size, unit, from, to, found };
        match self.format {
            Format::Text => calculation.print(out),
            Format::Json => Ok(json(&calculation.answer(), out)?),
        }
    }
}

/// A movement worked out, for either format.
struct Calculation {
    wood: &'static Species,
    grain: Grain,
    size: Length,
    unit: Unit,
    from: GivenMoisture,
    to: GivenMoisture,
    found: Moved,
}

impl Calculation {
    fn notes(&self) -> Vec<String> {
        notes(self.wood, self.grain, &self.found, &[&self.from, &self.to])
    }

    fn answer(&self) -> MovementAnswer<'_> {
        let Calculation { wood, grain, size, unit, found, .. } = self;
        let number_of = |length: Length| fine(length.in_unit(*unit));
        let points = self.to.moisture.in_percent() - self.from.moisture.in_percent();
        let share = found.change.ratio(*size);
        MovementAnswer {
            species: wood.name(),
            grain: grain.words(),
            direction: grain.direction(),
            unit: *unit,
            size: number_of(*size),
            from: end(&self.from),
            to: end(&self.to),
            change: number_of(found.change),
            size_after: number_of(*size + found.change),
            per_point: match found.equation {
                Equation::Coefficient => found.by.amount,
                Equation::Shrinkage if points != 0.0 => fine(share / points),
                Equation::Shrinkage => fine(wood.coefficient(*grain).amount),
            },
            equation: found.equation.words(),
            status: found.by.status(),
            source: source(found.equation, &found.by),
            other: found.other.as_ref().map(|(change, by)| OtherMovementAnswer {
                change: number_of(*change),
                size_after: number_of(*size + *change),
                status: by.status(),
                source: source(found.equation, by),
            }),
            notes: self.notes(),
        }
    }

    fn print(&self, out: &mut dyn Write) -> Result<(), Failure> {
        let Calculation { wood, grain, size, unit, found, .. } = self;
        let mut page = TextPage::new(out, 0);
        page.title(&format!(
            "{}, {}, {} across the grain, from {} to {}",
            wood.name(),
            match grain {
                Grain::Flat => "flat-sawn",
                Grain::Quarter => "quartersawn",
            },
            sized(*size, *unit),
            in_words(&self.from),
            in_words(&self.to)
        ))?;
        number(&mut page, "change", &format!("{} {unit}", signed(found.change, *unit)))?;
        number(&mut page, "size after", &after(*size + found.change, *unit))?;
        let by = |by: &Found| match found.equation {
            Equation::Coefficient => format!("{:.5} for each 1 %, {}", by.amount, by.from()),
            Equation::Shrinkage => {
                format!("{:.1} % from green to oven-dry, {}", by.amount, by.from())
            }
        };
        number(&mut page, grain.direction(), &by(&found.by))?;
        if let Some((change, other)) = &found.other {
            let text = format!("{} {unit}, by {}", signed(*change, *unit), by(other));
            number(&mut page, "or", &text)?;
        }
        number(&mut page, "source", &format!("{WOOD_HANDBOOK}, {}", found.equation.words()))?;
        Ok(self.notes().iter().try_for_each(|note| page.title(note))?)
    }
}

/// A moisture content, with the air it was given as.
fn in_words(given: &GivenMoisture) -> String {
    let moisture = fine_percent((given.moisture.in_percent() * 10.0).round() / 10.0);
    let air = given.air.map(|air| {
        let (f, h) = (air.fahrenheit(), air.humidity());
        format!(" (air of {f:.0} F at {} %)", fine_percent(h))
    });
    format!("{moisture} %{}", air.unwrap_or_default())
}

/// A size as typed, with its unit.
fn sized(size: Length, unit: Unit) -> String {
    format!("{} {unit}", size.written(unit))
}

/// A size, and the nearest mark of a rule.
fn after(size: Length, unit: Unit) -> String {
    let (mark, _) = size.fraction(64);
    match unit {
        Unit::Inch => format!("{} in, about {mark}", size.decimal(unit, 3)),
        Unit::Millimetre => format!("{} mm", size.decimal(unit, 2)),
    }
}

/// What limits the result.
fn notes(wood: &Species, grain: Grain, found: &Moved, ends: &[&GivenMoisture]) -> Vec<String> {
    let mut notes = Vec::new();
    let straight = |end: &&GivenMoisture| STRAIGHT.contains(&end.moisture.in_percent());
    if !ends.iter().all(straight) {
        notes.push(
            "The coefficients hold from 6 to 14 %; outside that range this uses the shrinkage from \
             green to oven-dry, which is less accurate."
                .to_owned(),
        );
    }
    if let Some(note) = wood.note() {
        notes.push(format!("{}: {note}.", wood.name()));
    }
    if let Some((other, _)) = found.other {
        let (less, more) =
            (found.change.abs().min(other.abs()), found.change.abs().max(other.abs()));
        let apart = if less.is_zero() { 0.0 } else { (more.ratio(less) - 1.0) * 100.0 };
        notes.push(format!(
            "Its two numbers disagree by {apart:.0} %: use whichever is worse for the fit."
        ));
    }
    if let Some(unsure) = wood.unsure(grain).filter(|_| found.other.is_none()) {
        notes.push(format!("Its number is {unsure}: leave extra clearance."));
    }
    if ends.iter().any(|end| end.air.is_some()) {
        notes.push(format!("Moisture from air: {}.", moisture::source()));
        for limit in ends.iter().filter_map(|end| end.air).flat_map(moisture::limits) {
            if !notes.iter().any(|note| note == limit) {
                notes.push(limit.to_owned());
            }
        }
    }
    notes.push(
        "A guide for many boards. A single board differs, and no board is entirely flat-sawn or \
         entirely quartersawn, so its width usually moves less than this and its thickness more."
            .to_owned(),
    );
    notes
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 7.46 % is said as 7.5 %, and air as what it was: 21 C is 69.8, about 70 F.
    #[test]
    fn moisture_is_said_to_a_tenth() {
        let percent = |amount| GivenMoisture {
            moisture: crate::wood::Moisture::percent(amount).expect("a moisture"),
            air: None,
        };
        assert_eq!(in_words(&percent(7.46)), "7.5 %");
        assert_eq!(in_words(&percent(8.0)), "8 %");
        let air = crate::wood::Air::new(21.0, 45.0).expect("air of a room");
        let said = in_words(&GivenMoisture { air: Some(air), ..percent(8.5) });
        assert_eq!(said, "8.5 % (air of 70 F at 45 %)");
    }

    /// By hand: 0.040 and 0.050 are a quarter of the less apart, whichever comes first and
    /// whether it grows or shrinks. Where the two are one, nothing is said.
    #[test]
    fn two_numbers_disagree_by_a_share_of_the_less() {
        let wood = Species::named("white oak").expect("a species");
        let dry = GivenMoisture {
            moisture: crate::wood::Moisture::percent(8.0).expect("a moisture"),
            air: None,
        };
        let one = moved(wood, Grain::Flat, Length::INCH, dry.moisture, dry.moisture);
        let one = one.expect("dry wood moves");
        let said = |change: i64, other: i64| {
            let other = Some((Length::thousandths(other), one.by));
            let found = Moved { change: Length::thousandths(change), other, ..one };
            notes(wood, Grain::Flat, &found, &[&dry, &dry]).join("\n")
        };
        for (change, other) in [(40, 50), (50, 40), (-40, -50), (-50, -40)] {
            let said = said(change, other);
            assert!(said.contains("Its two numbers disagree by 25 %"), "{said}");
        }
        assert!(said(0, 50).contains("disagree by 0 %"));
        let agreed = notes(wood, Grain::Flat, &Moved { other: None, ..one }, &[&dry]).join(" ");
        assert!(!agreed.contains("disagree") && !agreed.contains("from 6 to 14 %"), "{agreed}");
    }
}
