//! Curve: saw to a curved line at the band saw.
//!
//! A band saw blade turns no tighter than its width allows: 1/8 in turns
//! 3/16 in, 3/16 turns 5/16, 1/4 turns 5/8, 3/8 turns 1 7/16, 1/2 turns
//! 2 1/2 (common practice, from memory).

use super::drawing::{Drawing, DrawnShape, Material, Point, Scale};
use super::feature::{FeatureName, LENGTH, THICKNESS, WIDTH};
use super::keys::{self, keys};
use super::kind::OperationKind;
use super::outcome::{Fact, Finding, Outcome, Trouble};
use super::question::{Operation, Over, SizedFeature};
use super::reader::KeyReader;
use super::trace::{LongFace, Skin, Trace};
use super::words::scaled;
use super::work::Work;
use crate::measure::{Length, SafeSide};
use crate::shop::MachineKind;

pub(super) const KIND: OperationKind =
    OperationKind::of::<Curve>("curve", "Saw to a curved line.", read, EXAMPLES);

const EXAMPLES: &[&str] = &[
    r#"{ "do": "curve", "at": "band saw", "radius": "9", "sides": 2, "leave": "1/32", "narrowest": "1 1/4" }"#,
];

/// Width of a blade and the smallest radius it turns.
const TURNS: [(Length, Length); 5] = [
    (Length::inch_fraction(1, 8), Length::inch_fraction(3, 16)),
    (Length::inch_fraction(3, 16), Length::inch_fraction(5, 16)),
    (Length::inch_fraction(1, 4), Length::inch_fraction(5, 8)),
    (Length::inch_fraction(3, 8), Length::inch_fraction(23, 16)),
    (Length::inch_fraction(1, 2), Length::inch_fraction(5, 2)),
];

/// A piece has one curved side where a route says nothing.
const ONE_SIDE: i64 = 1;
/// Left outside the line where a route says nothing (common practice, no source).
const LEAVE: Length = Length::inch_fraction(1, 32);

/// The guard above the wood (common practice, no source).
const GUARD: Length = Length::inch_fraction(1, 4);

keys! {
    Curve: "curve", makes {
        /// The tightest radius of the line.
        radius: F,
        /// How many sides are curved, one or two.
        sides: Option<i64> = ONE_SIDE,
        /// How far outside the line to saw, to be faired away.
        leave: Option<F> = LEAVE,
        /// The finished width at the narrowest place.
        narrowest: Option<F>,
    }
}

fn read(reader: &mut KeyReader<'_, '_>) -> Option<Box<dyn Operation>> {
    keys::read_if::<Curve>(reader, |keys, reader| {
        let sound = (1..=2).contains(&keys.sides.unwrap_or(ONE_SIDE));
        if !sound {
            reader.problem("sides", "one or two sides are sawn to a curve", None);
        }
        sound
    })
}

impl Operation for Curve {
    fn sizes(&self) -> Vec<SizedFeature> {
        let sized = self.narrowest.iter();
        sized.map(|_| SizedFeature::new(self.feature(), SafeSide::Big)).collect()
    }

    fn cant_be_undone(&self) -> bool {
        true
    }

    fn machines(&self) -> &'static [MachineKind] {
        &[MachineKind::BandSaw]
    }

    fn compute(&self, work: &Work<'_>) -> Result<Outcome, Trouble> {
        let radius = work.size(&self.radius)?;
        let leave = work.optional(&self.leave)?.unwrap_or(LEAVE) + work.aim;
        let mut out = Outcome::untouched(work.blank, draw(work, radius));
        out.findings = work.machine_limits();
        self.blade(work, &mut out, radius);
        out.facts.push(Fact::size("tightest radius", radius));
        out.facts.push(Fact::size("saw outside the line by", leave));
        if let Some(thick) = work.blank.most(THICKNESS) {
            let guard = thick + GUARD;
            out.facts.push(Fact::size("guard above the table", guard));
        }
        if let Some(narrowest) = &self.narrowest {
            let left = work.size(narrowest)? + leave * self.sides();
            match work.blank.most(WIDTH) {
                Some(wide) if left > wide => out.findings.push(
                    Finding::error(format!(
                        "the curve leaves {}, but the piece is only {}: wood can't be added",
                        work.words(left),
                        work.words(wide)
                    ))
                    .help("choose a wider narrowest place, saw closer to the line, or use wider stock")
                    .key("narrowest"),
                ),
                _ => out.after.make(&self.feature(), left),
            }
        }
        let sawn = [LongFace::D, LongFace::B].into_iter();
        out.traces.push(Trace::skin(sawn.take(self.sides() as usize), Skin::Sawn));
        out.steps.push(format!("Saw {} outside the line, all the way.", work.words(leave)));
        out.steps.push("Short cuts before long ones; plan each way out first.".to_owned());
        if self.sides() == 2 {
            out.steps
                .push("Tape the first offcut back on, so that the piece rests flat.".to_owned());
        }
        out.cautions.push("Never twist the wood: feed it round, or back out.".to_owned());
        Ok(out)
    }

    fn cut_again(&self, work: &Work<'_>, over: Over) -> String {
        format!("Fair it to the line: {} to take off.", work.words(over.target))
    }
}

impl Curve {
    fn sides(&self) -> i64 {
        self.sides.unwrap_or(ONE_SIDE)
    }

    /// The width at the narrowest place.
    fn feature(&self) -> FeatureName {
        self.makes.prefix("narrowest width")
    }

    /// Whether this blade, or any other here, turns the curve.
    fn blade(&self, work: &Work<'_>, out: &mut Outcome, radius: Length) {
        let (Some(machine), Some(tool), Some(at)) = (work.machine, work.tool, work.at) else {
            return;
        };
        let Some(size) = tool.size else {
            out.findings.push(
                Finding::warning("the shop file doesn't say how wide the blade is")
                    .help("add `size` to the tool: its width decides what it turns")
                    .key("do"),
            );
            return;
        };
        let Some(turns) = turns(size) else {
            out.findings.push(
                Finding::error(format!(
                    "a blade of {} is for straight cuts: it is too wide to follow a curve",
                    work.words(size)
                ))
                .help(format!("use a blade of {} or narrower", work.either("1/2 in", "13 mm")))
                .key("radius"),
            );
            return;
        };
        out.facts.push(Fact::size("this blade turns down to", turns));
        if turns <= radius {
            return;
        }
        let of_any = machine.tools.iter().filter_map(|(name, tool)| Some((name, tool.size?)));
        let able =
            of_any.clone().filter(|(_, size)| self::turns(*size).is_some_and(|r| r <= radius));
        let what = format!(
            "a blade of {} turns {}, and the curve is {}",
            work.words(size),
            work.words(turns),
            work.words(radius)
        );
        // The widest blade that turns it wanders least.
        if let Some((name, _)) = able.max_by_key(|(_, size)| *size) {
            out.findings.push(
                Finding::warning(what)
                    .help(format!("\"tool\": \"{name}\", or relief cuts close together first"))
                    .key("radius"),
            );
            out.steps
                .push("Relief cuts first, square to the line and just short of it.".to_owned());
        } else {
            let narrow = of_any.map(|(_, size)| size).min().unwrap_or(size);
            let wanted = TURNS.iter().rev().find(|(_, turned)| *turned <= radius);
            out.findings.push(
                Finding::error(format!(
                    "no blade of the {at} turns {}: the narrowest is {}",
                    work.words(radius),
                    work.words(narrow)
                ))
                .help(match wanted {
                    Some((width, _)) => format!("a blade of {}", work.words(*width)),
                    None => "bore the tight place first, or saw it by hand".to_owned(),
                })
                .key("radius"),
            );
        }
    }
}

/// The smallest radius a blade of that width turns: what the next wider one
/// in the table does. `None` for blades that saw straight.
fn turns(width: Length) -> Option<Length> {
    TURNS.iter().find(|(listed, _)| width <= *listed).map(|(_, radius)| *radius)
}

/// A hollow of the tightest radius, or as much of it as the piece holds.
fn draw(work: &Work<'_>, radius: Length) -> Drawing {
    let wide = work.blank.most(WIDTH).unwrap_or(radius * 2);
    let long = work.blank.most(LENGTH).unwrap_or(wide * 4).min(wide * 4);
    let reach = radius.min(long / 3);
    let deep = radius.min(wide / 2);
    let p = Point::new;
    let zero = Length::ZERO;
    let middle = long / 2;
    let hollow: Vec<Point> = (0..=16)
        .map(|step| {
            let turn = f64::from(step) / 16.0 * std::f64::consts::PI;
            p(middle - scaled(reach, turn.cos()), wide - scaled(deep, turn.sin()))
        })
        .collect();
    let mut wood = vec![p(zero, wide), p(zero, zero), p(long, zero), p(long, wide)];
    wood.extend(hollow.iter().rev());
    let mut drawing = Drawing::new("from above", Scale::Even);
    drawing.shapes.push(DrawnShape::Polygon { of: Material::Wood, points: wood });
    drawing.shapes.push(DrawnShape::Polygon { of: Material::Waste, points: hollow });
    drawing
        .dimension(
            p(middle, wide + wide / 4),
            p(middle + reach, wide + wide / 4),
            format!("radius {}", work.words(radius)),
        )
        .label(p(middle, (wide - deep) / 2), "saw outside the line")
}
