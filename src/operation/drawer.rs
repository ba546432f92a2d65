//! Drawer: its parts cut to the opening as it was measured.
//!
//! Front `opening - 2 gap`, height `opening - (opening x movement + 1/64)`,
//! side `depth - front - 1/16`, back `front - 2 side + 2 dado`, bottom
//! `front - 2 side + 2 groove - 1/16` (common practice).

use schemars::JsonSchema;
use serde::Deserialize;

use super::crosscut;
use super::drawing::{Drawing, Material, Point, Scale};
use super::feature::{LENGTH, THICKNESS, WIDTH};
use super::keys::{self, keys};
use super::kind::OperationKind;
use super::outcome::{Fact, Finding, Outcome, Trouble};
use super::question::{Formulas, Operation, Over, SizedFeature};
use super::reader::{FormulaText, KeyReader, Keyed};
use super::rip;
use super::work::Work;
use crate::measure::{Length, Rounds};
use crate::shop::MachineKind;
use crate::wood::{Grain, movement};

pub(super) const KIND: OperationKind = OperationKind::of::<DrawerKeys>(
    "drawer",
    "Cut a part of a drawer to its opening as measured.",
    read,
    EXAMPLES,
);

const EXAMPLES: &[&str] = &[
    r#"{ "do": "drawer", "at": "cabinet saw", "piece": "front", "opening_width": "14", "gap": "1/32", "opening_height": "4", "points": "4", "grain": "flat" }"#,
    r#"{ "do": "drawer", "at": "cabinet saw", "piece": "side", "opening_depth": "16", "front_thickness": "3/4", "clear_behind": "1/16" }"#,
    r#"{ "do": "drawer", "at": "cabinet saw", "piece": "back", "front": "13 15/16", "side_thickness": "1/2", "dado": "1/4" }"#,
    r#"{ "do": "drawer", "at": "cabinet saw", "piece": "bottom", "front": "13 15/16", "side_thickness": "1/2", "groove_depth": "1/4", "sheet": true }"#,
];

/// Each side of the front (common practice: 1/64 to 1/32).
const GAP_BESIDE: Length = Length::inch_fraction(1, 32);
/// Over the tallest the front will swell to (common practice).
const HEADROOM: Length = Length::inch_fraction(1, 64);
/// Behind the sides and round the bottom (common practice).
const SIXTEENTH: Length = Length::inch_fraction(1, 16);

#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
enum DrawerPart {
    Front,
    Side,
    Back,
    Bottom,
}

keys! {
    DrawerKeys: "drawer" {
        /// Which part of the drawer is cut.
        piece: DrawerPart,
        /// Front: the opening where it is narrowest.
        opening_width: Option<F>,
        /// Front: what stays clear on each side.
        gap: Option<F> = GAP_BESIDE,
        /// Front, side, back: the opening where it is lowest.
        opening_height: Option<F>,
        /// With `opening_height`: points of moisture from now to the dampest season.
        points: Option<F> as points,
        /// How the growth rings lie.
        #[serde(default)]
        grain: Grain = "flat",
        /// Side: how deep the opening is.
        opening_depth: Option<F>,
        /// Side: how much of the front is in front of it, the front's thickness less any rabbet.
        front_thickness: Option<F>,
        /// Side: what stays clear behind it.
        clear_behind: Option<F> = SIXTEENTH,
        /// Back, bottom: length of the front as made.
        front: Option<F>,
        /// Back, bottom: thickness of the sides as made.
        side_thickness: Option<F>,
        /// Back: how deep it goes into each side.
        dado: Option<F>,
        /// Bottom: how deep it goes into each side.
        groove_depth: Option<F>,
        /// Bottom: whether it is cut from a sheet, such as plywood, which doesn't
        /// move with moisture.
        #[serde(default)]
        sheet: bool,
    }
}

/// How its length, or a bottom's width, comes about.
#[derive(Debug)]
enum Reckoning {
    Opening {
        width: Keyed,
        gap: Option<Keyed>,
    },
    Depth {
        depth: Keyed,
        front: Keyed,
        clear: Option<Keyed>,
    },
    /// Between the sides and so far into each.
    Sides {
        front: Keyed,
        side: Keyed,
        into: Keyed,
    },
}

/// What it must clear in the dampest season.
#[derive(Debug)]
struct DrawerHeight {
    opening: Keyed,
    points: Keyed,
    grain: Grain,
}

#[derive(Debug)]
struct Drawer {
    keys: DrawerKeys,
    from: Reckoning,
    height: Option<DrawerHeight>,
}

fn read(reader: &mut KeyReader<'_, '_>) -> Option<Box<dyn Operation>> {
    let keys = keys::keys_if::<DrawerKeys>(reader, |keys, reader| {
        refuse_foreign(reader, keys);
        complete(reader, keys)
    })?;
    let from = Reckoning::of(&keys)?;
    let height = keys.opening_height.clone().zip(keys.points.clone());
    let height =
        height.map(|(opening, points)| DrawerHeight { opening, points, grain: keys.grain });
    Some(Box::new(Drawer { keys, from, height }))
}

/// Whether every key this part needs is given; reports those that are not.
fn complete(reader: &mut KeyReader<'_, '_>, keys: &DrawerKeys<FormulaText>) -> bool {
    let mut needed = match keys.piece {
        DrawerPart::Front => vec![("opening_width", &keys.opening_width)],
        DrawerPart::Side => {
            vec![("opening_depth", &keys.opening_depth), ("front_thickness", &keys.front_thickness)]
        }
        DrawerPart::Back => vec![
            ("front", &keys.front),
            ("side_thickness", &keys.side_thickness),
            ("dado", &keys.dado),
        ],
        DrawerPart::Bottom => vec![
            ("front", &keys.front),
            ("side_thickness", &keys.side_thickness),
            ("groove_depth", &keys.groove_depth),
        ],
    };
    if keys.opening_height.is_some() {
        needed.push(("points", &keys.points));
    }
    let missing: Vec<&str> =
        needed.iter().filter(|(_, text)| text.is_none()).map(|(key, _)| *key).collect();
    for key in &missing {
        reader.problem(key, format!("`{key}` is missing for this part of a drawer"), None);
    }
    missing.is_empty()
}

impl Reckoning {
    /// How this part's size comes about; `None` where a key it needs is missing.
    fn of(keys: &DrawerKeys) -> Option<Reckoning> {
        Some(match keys.piece {
            DrawerPart::Front => {
                Reckoning::Opening { width: keys.opening_width.clone()?, gap: keys.gap.clone() }
            }
            DrawerPart::Side => Reckoning::Depth {
                depth: keys.opening_depth.clone()?,
                front: keys.front_thickness.clone()?,
                clear: keys.clear_behind.clone(),
            },
            DrawerPart::Back | DrawerPart::Bottom => Reckoning::Sides {
                front: keys.front.clone()?,
                side: keys.side_thickness.clone()?,
                into: match keys.piece {
                    DrawerPart::Back => keys.dado.clone()?,
                    _ => keys.groove_depth.clone()?,
                },
            },
        })
    }
}

/// Reports keys of another part, which would be read and never used.
fn refuse_foreign(reader: &mut KeyReader<'_, '_>, keys: &DrawerKeys<FormulaText>) {
    use DrawerPart::{Back, Bottom, Front, Side};
    let given: [(&str, bool, &[DrawerPart]); 12] = [
        ("opening_width", keys.opening_width.is_some(), &[Front]),
        ("gap", keys.gap.is_some(), &[Front]),
        ("opening_height", keys.opening_height.is_some(), &[Front, Side, Back]),
        ("points", keys.points.is_some(), &[Front, Side, Back]),
        ("opening_depth", keys.opening_depth.is_some(), &[Side]),
        ("front_thickness", keys.front_thickness.is_some(), &[Side]),
        ("clear_behind", keys.clear_behind.is_some(), &[Side]),
        ("front", keys.front.is_some(), &[Back, Bottom]),
        ("side_thickness", keys.side_thickness.is_some(), &[Back, Bottom]),
        ("dado", keys.dado.is_some(), &[Back]),
        ("groove_depth", keys.groove_depth.is_some(), &[Bottom]),
        ("sheet", keys.sheet, &[Bottom]),
    ];
    for (key, is_given, pieces) in given {
        if is_given && !pieces.contains(&keys.piece) {
            reader.problem(key, format!("`{key}` is not used for this part of a drawer"), None);
        }
    }
}

/// A size, and how it came about in words.
struct Wanted {
    size: Length,
    why: String,
}

impl Formulas for Drawer {
    fn formulas(&self) -> Vec<&Keyed> {
        self.keys.formulas()
    }
}

impl Operation for Drawer {
    fn sizes(&self) -> Vec<SizedFeature> {
        [LENGTH, WIDTH].map(SizedFeature::wood_left_on).to_vec()
    }

    fn cant_be_undone(&self) -> bool {
        true
    }

    fn machines(&self) -> &'static [MachineKind] {
        &[MachineKind::TableSaw, MachineKind::CrosscutSaw, MachineKind::StopSaw]
    }

    fn compute(&self, work: &Work<'_>) -> Result<Outcome, Trouble> {
        let mut out = Outcome::untouched(work.blank, Drawing::new("", Scale::Stretched));
        out.findings = work.machine_limits();
        let main = self.main(work)?;
        out.findings.extend(self.through_the_side(work)?);
        let height = match &self.height {
            Some(height) => self.height(work, height, &mut out)?,
            None => None,
        };
        let (length, width) = match self.keys.piece {
            DrawerPart::Bottom => (None, Some(main)),
            _ => (Some(main), height),
        };
        out.drawing = self.draw(work, length.as_ref(), width.as_ref());
        if [&length, &width].into_iter().flatten().any(|wanted| wanted.size <= Length::ZERO) {
            out.findings
                .push(Finding::error("the clearances take up the whole opening").key("piece"));
            return Ok(out);
        }
        if let Some(length) = length {
            self.crosscut(work, length, &mut out);
        }
        if let Some(width) = width {
            self.rip(work, width, &mut out);
        }
        out.steps = self.instruct();
        Ok(out)
    }

    fn cut_again(&self, work: &Work<'_>, over: Over) -> String {
        format!("Plane {} off where it binds; a drawer starts too big.", work.words(over.target))
    }
}

impl Drawer {
    /// A cut for a back or a bottom goes into the side and not through it.
    fn through_the_side(&self, work: &Work<'_>) -> Result<Option<Finding>, Trouble> {
        let Reckoning::Sides { side, into, .. } = &self.from else { return Ok(None) };
        let (thick, deep) = (work.size(side)?, work.size(into)?);
        Ok((deep >= thick).then(|| {
            Finding::error(format!(
                "{} deep goes through a side {} thick",
                work.words(deep),
                work.words(thick)
            ))
            .help("half the thickness of the side at most, or the drawer's back outgrows its front")
            .key(into.key)
        }))
    }

    fn main(&self, work: &Work<'_>) -> Result<Wanted, Trouble> {
        let usual = |keyed: &Option<Keyed>, usual| {
            keyed.as_ref().map_or(Ok(usual), |keyed| work.length(keyed))
        };
        Ok(match &self.from {
            Reckoning::Opening { width, gap } => {
                let gap = usual(gap, GAP_BESIDE)?;
                Wanted {
                    size: work.size(width)? - gap * 2,
                    why: format!("{}, less {} on each side", work.chain(width), work.words(gap)),
                }
            }
            Reckoning::Depth { depth, front, clear } => {
                let clear = usual(clear, SIXTEENTH)?;
                Wanted {
                    size: work.size(depth)? - work.size(front)? - clear,
                    why: format!(
                        "{}, less {} and {} behind",
                        work.chain(depth),
                        work.chain(front),
                        work.words(clear)
                    ),
                }
            }
            Reckoning::Sides { front, side, into } => {
                let clear =
                    if self.keys.piece == DrawerPart::Bottom { SIXTEENTH } else { Length::ZERO };
                let between = work.size(front)? - work.size(side)? * 2;
                Wanted {
                    size: between + work.size(into)? * 2 - clear,
                    why: format!(
                        "{} less two sides of {}, and {} into each",
                        work.chain(front),
                        work.chain(side),
                        work.chain(into)
                    ),
                }
            }
        })
    }

    /// Room to swell; `None` where it isn't known how much that takes.
    fn height(
        &self,
        work: &Work<'_>,
        height: &DrawerHeight,
        out: &mut Outcome,
    ) -> Result<Option<Wanted>, Trouble> {
        let opening = work.size(&height.opening)?;
        let points = work.number(&height.points)?;
        let wood = match work.species {
            Some(species) => work.wood(species),
            None => Err(Finding::warning("the part has no `species`, so how it moves isn't known")
                .help("say what wood it is: \"species\": \"hard maple\"")),
        };
        let wood = match wood {
            Ok(wood) => wood,
            Err(finding) => {
                // Cut without it, the drawer sticks in summer.
                out.findings.push(Finding { level: crate::prose::Level::Error, ..finding });
                return Ok(None);
            }
        };
        let swells = movement(opening, wood.coefficient(height.grain).amount, points);
        let what = match wood.unsure(height.grain) {
            None => "swells in height by".to_owned(),
            Some(unsure) => format!("swells in height, {unsure}, by"),
        };
        out.facts.push(Fact::size(what, swells));
        Ok(Some(Wanted {
            size: opening - swells - HEADROOM,
            why: format!(
                "{}, less {} it swells and {} over it",
                work.chain(&height.opening),
                work.words(swells),
                work.words(HEADROOM)
            ),
        }))
    }

    /// At a machine with a stop the length is cut; elsewhere it is good to know.
    fn crosscut(&self, work: &Work<'_>, length: Wanted, out: &mut Outcome) {
        if !has(work, "stop") {
            out.facts.push(Fact::size("its length", length.size));
            return;
        }
        out.findings.extend(crosscut::stop_findings(work));
        crosscut::set_stop(work, out, length.size, LENGTH, length.why, work.kerf());
        let base = work.sled();
        self.raise(work, base, out);
        out.cut(LENGTH, length.size, |length| work.words(length));
    }

    fn rip(&self, work: &Work<'_>, width: Wanted, out: &mut Outcome) {
        if !has(work, "fence") {
            out.facts.push(Fact::size("its width", width.size));
            return;
        }
        if self.keys.piece != DrawerPart::Bottom {
            // A sheet comes with straight edges.
            out.findings.extend(rip::straightness(work));
        }
        out.findings.extend(rip::too_narrow(work, width.size));
        out.settings.push(work.sizing_rounded("fence", width.size, WIDTH, width.why, Rounds::Up));
        self.raise(work, Length::ZERO, out);
        out.cut(WIDTH, width.size, |width| work.words(width));
        out.cautions.extend(rip::cautions(work, width.size));
    }

    fn raise(&self, work: &Work<'_>, base: Length, out: &mut Outcome) {
        if out.settings.iter().any(|setting| setting.name == "blade height") {
            return;
        }
        let (height, findings) = work.blade_height(base);
        out.settings.extend(height);
        out.findings.extend(findings);
    }

    fn instruct(&self) -> Vec<String> {
        let steps: &[&str] = match self.keys.piece {
            DrawerPart::Front => &[
                "Measure the opening at three heights and two depths: smallest.",
                "Mark which opening this front is for.",
                "Try it in the opening before anything else is cut from it.",
            ],
            DrawerPart::Side => {
                &["Mark left and right: inside face and bottom edge.", "Cut the pair at one stop."]
            }
            DrawerPart::Back => &["Use the front and sides as made, not as drawn."],
            DrawerPart::Bottom if self.keys.sheet => &[
                "Use the front, sides and grooves as made, not as drawn.",
                "A straight factory edge to the fence, the better face up.",
            ],
            DrawerPart::Bottom => &[
                "Use the front, sides and grooves as made, not as drawn.",
                "A solid bottom: grain from side to side, free to move behind.",
            ],
        };
        steps.iter().map(|text| (*text).to_owned()).collect()
    }

    fn draw(&self, work: &Work<'_>, length: Option<&Wanted>, width: Option<&Wanted>) -> Drawing {
        let p = Point::new;
        let zero = Length::ZERO;
        let least = Length::thousandths(100);
        let known = |wanted: Option<&Wanted>, feature: &str| {
            wanted
                .map(|wanted| wanted.size)
                .or_else(|| work.finish.get(feature).copied())
                .or_else(|| work.blank.most(feature))
        };
        let long = known(length, LENGTH).unwrap_or(Length::INCH * 12).max(least);
        let thick = work.blank.most(THICKNESS).unwrap_or(Length::inch_fraction(1, 2));
        let high = known(width, WIDTH).unwrap_or(thick * 8).max(least);
        let name = match self.keys.piece {
            DrawerPart::Front => "front",
            DrawerPart::Side => "side",
            DrawerPart::Back => "back",
            DrawerPart::Bottom => "bottom",
        };
        let seen = match self.keys.piece {
            DrawerPart::Front => "front in its opening",
            DrawerPart::Bottom => "bottom from above",
            _ => "inside face",
        };
        let (post, gap) = (long / 12, long / 40);
        let mut drawing = Drawing::new(seen, Scale::Stretched)
            .block(Material::Wood, p(zero, zero), p(long, high))
            .label(p(long / 2, high / 2), name);
        if self.keys.piece == DrawerPart::Front {
            drawing = drawing
                .block(Material::Fence, p(-gap - post, -high / 6), p(-gap, high + high / 4))
                .block(
                    Material::Fence,
                    p(long + gap, -high / 6),
                    p(long + gap + post, high + high / 4),
                );
        }
        if let Some(length) = length {
            drawing =
                drawing.dimension(p(zero, -high / 3), p(long, -high / 3), work.words(length.size));
        }
        if let Some(width) = width {
            let x = long + post * 2;
            drawing = drawing.dimension(p(x, zero), p(x, high), work.words(width.size));
        }
        drawing
    }
}

fn has(work: &Work<'_>, scale: &str) -> bool {
    work.machine.is_some_and(|machine| machine.readouts.contains_key(scale))
}
