//! What is asked about a machine of one's own shop, and what an answer leads to: the next
//! question, or a change on a lead's word.

use chrono::{DateTime, FixedOffset, NaiveDate};

use super::work_question::pin_words;
use crate::journal::ToolScale;
use crate::learn::{Agreement, CUTS, FoundOffset, ThreeCuts};
use crate::measure::{Entry, Gauge, Length, Readout, Reads, Shows, Unit, parse_entry};
use crate::operation::decimal;
use crate::prose::{Message, nearest};
use crate::shop::Shop;
use crate::work::{ScaleMarks, ShopChange, initials, machine_spread};

/// A piece further off its scale than this was mistyped, or measured across another way.
const FARTHEST_OFF: Length = Length::from_nanometres(Length::INCH.nanometres() / 2);

/// What is asked.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum ShopQuestion {
    /// Whether a machine is taken out of the shop.
    TakeOut { machine: String },
    /// The smallest step of a scale.
    Step { machine: String, scale: String },
    /// How wide a tool cuts.
    Kerf { machine: String, tool: String },
    /// What the scale shows while three pieces are cut.
    Shown(ToolScale),
    /// What they are measured with.
    MeasuredWith { scale: ToolScale, shown: Length },
    /// What the next piece measures.
    Made { scale: ToolScale, shown: Length, gauge: String, made: Vec<Length> },
    /// How far the tool before had cut.
    NewTool { machine: String, tool: String },
    /// Who is signed off.
    Who { machine: String },
    /// Until when.
    Until { machine: String, who: String },
    /// Whether the lead saw a first piece.
    FirstPiece { machine: String, who: String, until: Option<NaiveDate> },
    /// Who stands in for the lead today.
    StandsIn,
    /// The lead's initials under a change.
    Word(ShopChange),
    /// The lead's PIN.
    Pin { lead: String, change: ShopChange },
}

/// What an answer leads to.
#[derive(Debug)]
pub(super) enum Answered {
    /// Another question, with what is offered.
    Next(ShopQuestion, String),
    /// The same from its start, and why.
    Again(ShopQuestion, Message),
    /// Nothing is to be done.
    Dropped,
    /// A change on this lead's word.
    Change { by: String, change: ShopChange },
    /// A PIN to be compared, and what it lets through.
    Prove { lead: String, pin: String, change: ShopChange },
}

fn refused<T>(what: impl Into<String>, help: &str) -> Result<T, Message> {
    Err(Message::error(what).help(help))
}

/// The scale as its machine has it.
pub(super) fn readout(shop: &Shop, machine: &str, scale: &str) -> Option<Readout> {
    shop.machines.get(machine)?.readout(scale, shop.unit)
}

impl ShopQuestion {
    /// What the entry line says.
    pub(super) fn words(&self) -> String {
        match self {
            ShopQuestion::TakeOut { machine } => format!("y takes out the {machine}"),
            ShopQuestion::Step { scale, .. } => format!("smallest step of the {scale} scale"),
            ShopQuestion::Kerf { tool, .. } => format!("kerf of the {tool}"),
            ShopQuestion::Shown(scale) => format!("the {} scale shows", scale.scale),
            ShopQuestion::MeasuredWith { .. } => "measured with".to_owned(),
            ShopQuestion::Made { made, .. } => format!("piece {} of {CUTS}", made.len() + 1),
            ShopQuestion::NewTool { .. } => "feet the one before had cut".to_owned(),
            ShopQuestion::Who { .. } => "signed off: initials".to_owned(),
            ShopQuestion::Until { .. } => "last day, or nothing".to_owned(),
            ShopQuestion::FirstPiece { .. } => "first piece seen: y or n".to_owned(),
            ShopQuestion::StandsIn => "leads today: initials".to_owned(),
            ShopQuestion::Word(_) => "the lead's initials".to_owned(),
            ShopQuestion::Pin { lead, .. } => pin_words(lead),
        }
    }

    /// What is to be done before it is answered.
    pub(super) fn told(&self, shop: &Shop) -> Vec<String> {
        match self {
            ShopQuestion::TakeOut { machine } => vec![
                format!("The {machine} goes out of your shop file, with its tools and sign-offs."),
                "Batches under way keep theirs.".to_owned(),
            ],
            ShopQuestion::Step { .. } => vec![
                "A digital scale: one count of its last figure. The plate or the manual says it, \
                 often 0.005 in or 0.1 mm."
                    .to_owned(),
                "A printed rule: one mark, such as 1/16, 1/32, 1/64 or 1 mm.".to_owned(),
            ],
            ShopQuestion::Kerf { .. } => vec![
                "Cut a groove in scrap and measure its width, or read it off the blade.".to_owned(),
            ],
            ShopQuestion::Shown(ToolScale { machine, tool, scale }) => vec![format!(
                "Three cuts: with the {tool} in the {machine}, set the {scale} to a round number, \
                 and cut {CUTS} pieces without touching it."
            )],
            ShopQuestion::MeasuredWith { .. } => {
                let known = shop.gauges.values().filter(|gauge| gauge.entry().is_some());
                let known: Vec<&str> = known.map(|gauge| gauge.name.as_str()).collect();
                vec![format!("Your gauges: {}.", known.join(", "))]
            }
            ShopQuestion::Made { scale, shown, made, .. } => {
                let unit = crate::work::unit_of(shop, scale);
                let set = format!("The scale showed {}.", decimal(*shown, unit));
                let made = made.iter().enumerate();
                let made =
                    made.map(|(n, size)| format!("Piece {}: {}.", n + 1, decimal(*size, unit)));
                std::iter::once(set).chain(made).collect()
            }
            ShopQuestion::NewTool { tool, .. } => vec![format!(
                "A new {tool}, or one that was sharpened. Its offset was found with the one \
                 before: three cuts find it anew. Nothing, where nobody counted the feet."
            )],
            ShopQuestion::Until { .. } => {
                vec!["A day such as 2026-12-18; nothing, where it holds for good.".to_owned()]
            }
            ShopQuestion::FirstPiece { machine, who, .. } => {
                vec![format!("Did you see {who} set the {machine} and make a first piece?")]
            }
            ShopQuestion::Word(change) => change_told(change, shop),
            ShopQuestion::Who { .. } | ShopQuestion::StandsIn | ShopQuestion::Pin { .. } => {
                Vec::new()
            }
        }
    }

    /// What an answer leads to, or why it is refused.
    pub(super) fn answered(
        self,
        text: &str,
        shop: &Shop,
        now: DateTime<FixedOffset>,
    ) -> Result<Answered, Message> {
        let word = |change| Ok(Answered::Next(ShopQuestion::Word(change), String::new()));
        match self {
            ShopQuestion::TakeOut { machine } if text.eq_ignore_ascii_case("y") => {
                word(ShopChange::TakenOut { machine })
            }
            ShopQuestion::TakeOut { .. } => Ok(Answered::Dropped),
            ShopQuestion::Step { machine, scale } => {
                let held = readout(shop, &machine, &scale);
                let marks = marks(text, held.map(|held| held.unit))?;
                let same = |held: Readout| (held.step, held.unit) == (marks.step, marks.unit);
                if held.is_some_and(same) {
                    return Ok(Answered::Dropped);
                }
                word(ShopChange::Marks { machine, scale, marks })
            }
            ShopQuestion::Kerf { machine, tool } => {
                let kerf = length(text, &Entry { bare: shop.unit, mark: None })?;
                let held = shop.machines.get(&machine).and_then(|held| held.tools.get(&tool));
                if held.is_some_and(|held| held.kerf == Some(kerf)) {
                    return Ok(Answered::Dropped);
                }
                word(ShopChange::Kerf { machine, tool, kerf })
            }
            ShopQuestion::Shown(scale) => shown(scale, text, shop),
            ShopQuestion::MeasuredWith { scale, shown } => {
                let gauge = gauge(shop, text, shown)?;
                let made = Vec::new();
                let next = ShopQuestion::Made { scale, shown, gauge, made };
                Ok(Answered::Next(next, String::new()))
            }
            ShopQuestion::Made { scale, shown, gauge, made } => {
                measured((scale, shown, gauge), made, text, shop)
            }
            ShopQuestion::NewTool { machine, tool } => {
                word(ShopChange::ToolChanged { machine, tool, feet: feet(text)? })
            }
            ShopQuestion::Who { machine } => {
                let who = initials(text)?;
                Ok(Answered::Next(ShopQuestion::Until { machine, who }, String::new()))
            }
            ShopQuestion::Until { machine, who } => {
                let until = day(text, now)?;
                let next = ShopQuestion::FirstPiece { machine, who, until };
                Ok(Answered::Next(next, String::new()))
            }
            ShopQuestion::FirstPiece { machine, who, until } => {
                let first_piece_seen = match text.to_ascii_lowercase().as_str() {
                    "y" => true,
                    "n" => false,
                    _ => return refused("Enter y or n.", "then Enter"),
                };
                word(ShopChange::SignedOff { who, machine, until, first_piece_seen })
            }
            ShopQuestion::StandsIn => {
                word(ShopChange::StandsIn { who: initials(text)?, on: now.date_naive() })
            }
            ShopQuestion::Word(change) => {
                let by = initials(text)?;
                if !shop.may_lead(&by, now.date_naive()) {
                    return refused(format!("{by} isn't a lead in this shop."), "see the lead");
                }
                Ok(Answered::Change { by, change })
            }
            ShopQuestion::Pin { lead, change } if !text.is_empty() => {
                Ok(Answered::Prove { lead, pin: text.to_owned(), change })
            }
            ShopQuestion::Pin { .. } => refused("The PIN is missing.", "the lead types it"),
        }
    }
}

/// What a change will do, for whoever puts initials under it.
fn change_told(change: &ShopChange, shop: &Shop) -> Vec<String> {
    match change {
        ShopChange::Offset { scale, offset, spread, uncertainty, .. } => {
            let unit = crate::work::unit_of(shop, scale);
            let found = crate::work::offset_words(*offset, unit);
            let tool = shop.machines.get(&scale.machine).and_then(|m| m.tools.get(&scale.tool));
            let known = tool.filter(|tool| tool.knows_offset(&scale.scale));
            let before = known.map(|tool| tool.scale_offset(&scale.scale, true).0);
            let before = match before {
                None => "Nobody knew before.".to_owned(),
                Some(before) if (before - *offset).abs() <= *uncertainty => {
                    format!("The file says {}, which agrees within that.", decimal(before, unit))
                }
                Some(before) => format!("The file says {}.", decimal(before, unit)),
            };
            vec![
                format!(
                    "It {found}, uncertainty {} (k = 2). The three came {} apart (one standard \
                     deviation).",
                    decimal(*uncertainty, unit),
                    decimal(*spread, unit)
                ),
                before,
            ]
        }
        ShopChange::SignedOff { who, machine, until, .. } => {
            let until = until.map_or_else(String::new, |day| format!(" until {day}"));
            vec![format!("{who} may work at the {machine} alone{until}.")]
        }
        ShopChange::StandsIn { who, on } => vec![format!("{who} may decide as a lead on {on}.")],
        ShopChange::ToolChanged { machine, tool, .. } => {
            vec![format!("The {tool} of the {machine} is another one from now on.")]
        }
        ShopChange::TakenOut { machine } => vec![format!("The {machine} goes out of the shop.")],
        ShopChange::Marks { scale, marks, .. } => {
            let (step, sign) = (marks.step.written(marks.unit), marks.unit.sign());
            vec![format!("The {scale} scale has steps of {step} {sign}.")]
        }
        ShopChange::Kerf { tool, kerf, .. } => {
            vec![format!("The {tool} cuts {} wide.", kerf.written(shop.unit))]
        }
    }
}

/// A length greater than nothing.
fn length(text: &str, entry: &Entry) -> Result<Length, Message> {
    let typed = parse_entry(text, entry).map_err(Message::anywhere)?;
    if typed.value <= Length::ZERO {
        return refused("It must be greater than zero.", "such as 1/32 or 0.005, then Enter");
    }
    Ok(typed.value)
}

/// `1/32`, `0.005`, `0.1 mm`.
fn marks(text: &str, unit: Option<Unit>) -> Result<ScaleMarks, Message> {
    let unit = match () {
        () if text.contains("mm") || text.contains("cm") => Unit::Millimetre,
        () if text.contains("in") || text.contains('"') => Unit::Inch,
        () => unit.unwrap_or(Unit::Inch),
    };
    let step = length(text, &Entry { bare: unit, mark: None })?;
    if step > Length::INCH {
        return refused("No scale has steps of more than an inch.", "mind the unit: 0.1 mm");
    }
    let is_fraction = text.contains('/') && unit == Unit::Inch;
    let shows = if is_fraction { Shows::Fraction } else { Shows::Decimal };
    Ok(ScaleMarks { step, shows, unit })
}

fn shown(scale: ToolScale, text: &str, shop: &Shop) -> Result<Answered, Message> {
    let Some(held) = readout(shop, &scale.machine, &scale.scale) else {
        return refused("The scale isn't in the shop file any more.", "Esc goes back");
    };
    let mark = (held.shows == Shows::Fraction).then_some(held.step);
    let shown = length(text, &Entry { bare: held.unit, mark })?;
    let offered = offered_gauge(shop, shown, held.unit).unwrap_or_default();
    Ok(Answered::Next(ShopQuestion::MeasuredWith { scale, shown }, offered))
}

/// The most certain gauge that reaches so far, one that counts as the scale does before
/// others.
fn offered_gauge(shop: &Shop, size: Length, unit: Unit) -> Option<String> {
    let reaching = shop.gauges.values().filter_map(|gauge| match gauge.reads {
        Reads::Number { unit: own, range: Some(range), uncertainty, .. } if range >= size => {
            Some((own != unit, uncertainty, gauge))
        }
        _ => None,
    });
    let best = reaching.min_by_key(|(is_other, uncertainty, _)| (*is_other, *uncertainty));
    best.map(|(_, _, gauge)| gauge.name.clone())
}

/// The gauge of that name, where it can measure such a size.
fn gauge(shop: &Shop, name: &str, size: Length) -> Result<String, Message> {
    let known = shop.gauges.iter().find(|(held, _)| held.eq_ignore_ascii_case(name));
    let Some((name, gauge)) = known else {
        let near = nearest(name, shop.gauges.keys().map(String::as_str));
        let help = near
            .map_or("its name in the shop file".to_owned(), |near| format!("did you mean {near}?"));
        return refused("No gauge of your shop is called so.", &help);
    };
    if gauge.entry().is_none() {
        return refused(format!("The {name} gives no number."), "name one that does");
    }
    if gauge.is_beyond(size) {
        return refused(format!("The {name} doesn't reach so far."), "name a longer one");
    }
    Ok(name.clone())
}

/// One more piece, and what all say once the last is measured.
fn measured(
    (scale, shown, name): (ToolScale, Length, String),
    mut made: Vec<Length>,
    text: &str,
    shop: &Shop,
) -> Result<Answered, Message> {
    let entry = shop.gauges.get(&name).and_then(Gauge::entry);
    let (Some(entry), Some(held)) = (entry, readout(shop, &scale.machine, &scale.scale)) else {
        return refused("The gauge isn't in the shop file any more.", "Esc goes back");
    };
    let size = length(text, &entry)?;
    if (size - shown).abs() > FARTHEST_OFF {
        let off = decimal((size - shown).abs(), held.unit);
        return refused(
            format!("That is {off} off the scale."),
            "type the size that this scale makes, or Esc",
        );
    }
    made.push(size);
    let Ok(all) = <[Length; CUTS]>::try_from(made.as_slice()) else {
        let next = ShopQuestion::Made { scale, shown, gauge: name, made };
        return Ok(Answered::Next(next, String::new()));
    };
    let gauge = shop.gauges.get(&name).and_then(Gauge::uncertainty).unwrap_or_default();
    let machine = machine_spread(shop, Some(&scale.machine));
    let cuts = ThreeCuts { shown, made: all, gauge, step: held.step, machine };
    let FoundOffset { offset, spread, uncertainty, agreement } = cuts.found();
    if let Agreement::TooFarApart { apart, most } = agreement {
        let (apart, most) = (decimal(apart, held.unit), decimal(most, held.unit));
        let why = Message::error(format!(
            "The three lie {apart} apart; such a machine and gauge leave {most} at most."
        ));
        let why = why.help("see that nothing is loose or between, and cut three anew");
        return Ok(Answered::Again(ShopQuestion::Shown(scale), why));
    }
    let cuts = CUTS as u32;
    let change = ShopChange::Offset { scale, offset, spread, cuts, uncertainty };
    Ok(Answered::Next(ShopQuestion::Word(change), String::new()))
}

/// Whole feet, or nothing where nobody counted.
fn feet(text: &str) -> Result<Option<u32>, Message> {
    match text {
        "" => Ok(None),
        text => match text.parse() {
            Ok(feet) => Ok(Some(feet)),
            Err(_) => refused("Enter whole feet.", "or nothing, then Enter"),
        },
    }
}

/// A day to come, or none.
fn day(text: &str, now: DateTime<FixedOffset>) -> Result<Option<NaiveDate>, Message> {
    if text.is_empty() {
        return Ok(None);
    }
    match text.parse::<NaiveDate>() {
        Ok(day) if day >= now.date_naive() => Ok(Some(day)),
        Ok(_) => refused("That day is over.", "a day to come, or nothing"),
        Err(_) => refused("A day is written so: 2026-12-18.", "or nothing, then Enter"),
    }
}
