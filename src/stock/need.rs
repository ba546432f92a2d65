//! What a batch needs from the rack: how many blanks of each part, and their
//! sizes.

use std::sync::Arc;

use super::board::Stretch;
use super::class::nominal;
use crate::formula::{DimensionKind, Planned};
use crate::measure::{Length, Unit};
use crate::operation::{Blank, Keyed};
use crate::operation::{LENGTH, THICKNESS, WIDTH};
use crate::plan::{Known, Plan, PlanFinding, PlanSubject, PlannedOperation, lost_between, strips};
use crate::prose::{Level, visible};
use crate::route::{Part, PieceLabel, Route};
use crate::shop::Shop;

/// The blanks of one part, or of one wood where a part is made of several. A
/// blank is what is cut from a board; it can become several pieces, end to end,
/// side by side or resawn.
#[derive(Clone, Debug, PartialEq)]
pub struct BlankNeed {
    /// The part, as the route names it.
    pub part: String,
    /// The wood, where the route says which.
    pub species: Option<String>,
    /// The class of lumber, where the route says which.
    pub class: Option<String>,
    /// Rough length of one blank.
    pub length: Length,
    /// Rough width of one blank.
    pub width: Length,
    /// Rough thickness of one blank.
    pub thickness: Length,
    /// Finished length of one piece.
    pub finished_length: Length,
    /// Finished width of one piece.
    pub finished_width: Length,
    /// Finished thickness of one piece.
    pub finished_thickness: Length,
    /// Pieces end to end in one blank.
    pub along: u32,
    /// Pieces side by side in one blank.
    pub across: u32,
    /// Pieces that are resawn from one blank.
    pub through: u32,
    /// How many blanks may lie side by side on a board: as many as an operation
    /// of the part rips apart, one where none does. `None` where the part has no
    /// operation, so that nobody knows how it is cut.
    pub abreast: Option<u32>,
    /// How thick it must be once both faces are clean.
    pub clean_at: Length,
    /// Blanks for the sets.
    pub for_sets: u32,
    /// Blanks for spares.
    pub spare: u32,
    /// Blanks to prove settings on; cheap wood will do.
    pub setup: u32,
    /// How many blanks make one set.
    pub a_set: u32,
    /// Whether the blanks of a set should come from one board.
    pub one_board: bool,
    /// Where on the blank, from either end, a knot is hidden or cut away later.
    pub hidden: Vec<Stretch>,
    /// The longest knot that may be filled; `None` where none may.
    pub fill: Option<Length>,
    /// Its pieces in cut order, where articles differ; `None` where it has all pieces of
    /// its part or its wood.
    pub pieces: Option<Arc<[PieceLabel]>>,
}

impl BlankNeed {
    /// How many blanks there are in all.
    pub fn blanks(&self) -> u32 {
        self.for_sets + self.spare + self.setup
    }

    /// Whether an operation makes it thinner. Plywood is used as it comes.
    pub(super) fn is_cleaned_up(&self) -> bool {
        self.clean_at < self.thickness
    }

    /// The nominal thickness of its class, or its own thickness where it has no
    /// class; `None` for a sheet.
    pub fn nominal(&self, unit: Unit) -> Option<Length> {
        match self.class.as_deref() {
            Some(class) => nominal(class, unit),
            None => Some(self.thickness),
        }
    }

    /// The thickness its wood is counted as.
    pub fn counted_thickness(&self, unit: Unit) -> Length {
        self.nominal(unit).unwrap_or(self.thickness)
    }

    /// Board feet in one blank, at the thickness its wood is sold by where that is the
    /// same in every unit, else at its own.
    pub(super) fn board_feet_of_one(&self) -> f64 {
        let called = |unit| nominal(self.class.as_deref()?, unit);
        let inches = called(Unit::Inch).filter(|inches| called(Unit::Millimetre) == Some(*inches));
        let thick = inches.unwrap_or(self.thickness);
        thick.inches() * self.width.inches() * self.length.inches() / 144.0
    }

    /// How many pieces one blank becomes.
    pub fn holds(&self) -> u32 {
        self.along * self.across * self.through
    }
}

/// How many pieces of one need there are, by what they are made for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PieceCounts {
    /// For the sets.
    pub sets: u32,
    /// Spares.
    pub spares: u32,
    /// Setup pieces.
    pub setup: u32,
}

/// What a batch takes from the rack: the blanks of every part that is cut from
/// boards rather than assembled from other parts.
pub fn needs(route: &Route, shop: &Shop, plan: &Plan) -> Vec<BlankNeed> {
    needs_with_pieces(route, shop, plan).0.into_iter().map(|(need, _)| need).collect()
}

/// A warning for every part that [`needs`] leaves out because a size is not
/// known.
pub fn unknown_sizes(route: &Route, shop: &Shop, plan: &Plan) -> Vec<PlanFinding> {
    needs_with_pieces(route, shop, plan).1
}

/// Every need with the pieces it is for, and a warning for every part that is
/// left out.
pub(super) fn needs_with_pieces(
    route: &Route,
    shop: &Shop,
    plan: &Plan,
) -> (Vec<(BlankNeed, PieceCounts)>, Vec<PlanFinding>) {
    NeedFinder { route, shop, plan }.everything()
}

/// The share of a part's spares or setup pieces that one of its woods gets. Each
/// piece serves its own wood alone, so they are dealt out among the woods.
pub(super) fn dealt(all: u32, woods: usize, place: usize) -> u32 {
    let woods = woods.max(1) as u32;
    all / woods + u32::from((place as u32) < all % woods)
}

pub(super) struct NeedFinder<'a> {
    pub route: &'a Route,
    pub shop: &'a Shop,
    pub plan: &'a Plan,
}

impl NeedFinder<'_> {
    fn everything(&self) -> (Vec<(BlankNeed, PieceCounts)>, Vec<PlanFinding>) {
        let (mut needs, mut findings) = (Vec::new(), Vec::new());
        for part in self.route.parts.iter().filter(|part| part.assembled_from.is_empty()) {
            match self.part(part) {
                Ok(found) => needs.extend(found),
                Err(finding) => findings.push(*finding),
            }
        }
        (needs, findings)
    }

    fn part(&self, part: &Part) -> Result<Vec<(BlankNeed, PieceCounts)>, Box<PlanFinding>> {
        let rough = |feature: &str| {
            let size = self.rough(part, feature).filter(|size| *size > Length::ZERO);
            size.ok_or_else(|| Box::new(no_size(part, feature)))
        };
        let (length, width, thickness) = (rough(LENGTH)?, rough(WIDTH)?, rough(THICKNESS)?);
        let finished = |feature: &str, rough: Length| self.finished(part, feature).unwrap_or(rough);
        let along = self.gang(part);
        let (across, through) = (part.blank.across, part.blank.through);
        let whole = part.species.clone().map(|species| (Some(species), part.per_set));
        let mut woods: Vec<(Option<String>, u32)> =
            part.blank.woods.iter().map(|(wood, count)| (Some(wood.clone()), *count)).collect();
        if woods.is_empty() {
            woods.push(whole.unwrap_or((None, part.per_set)));
        }
        let one = BlankNeed {
            part: part.name.clone(),
            species: None,
            class: part.stock_class.clone(),
            length,
            width,
            thickness,
            finished_length: finished(LENGTH, length),
            finished_width: finished(WIDTH, width),
            finished_thickness: finished(THICKNESS, thickness),
            along,
            across,
            through,
            abreast: self.abreast(part),
            clean_at: self.clean_at(part).unwrap_or(thickness),
            for_sets: 0,
            spare: 0,
            setup: 0,
            a_set: 1,
            one_board: part.blank.one_board,
            hidden: part
                .blank
                .hidden
                .iter()
                .filter_map(|(from, to)| self.stretch(from, to))
                .collect(),
            fill: part.blank.fill.as_ref().and_then(|fill| self.length(fill)),
            pieces: None,
        };
        if self.are_apart(part) {
            return Ok(self.of_articles(part, &one));
        }
        let holds = one.holds().max(1);
        let of_woods = woods.iter().enumerate().map(|(place, (species, a_set))| {
            let pieces = PieceCounts {
                sets: a_set.saturating_mul(self.route.sets),
                spares: dealt(part.spares, woods.len(), place),
                setup: dealt(part.setup_pieces, woods.len(), place),
            };
            let good = pieces.sets.saturating_add(pieces.spares);
            // Room in the last blank serves spares, then setup pieces.
            let blanks = |pieces: u32| pieces.div_ceil(holds);
            let need = BlankNeed {
                species: species.clone(),
                for_sets: blanks(pieces.sets),
                spare: blanks(good) - blanks(pieces.sets),
                setup: blanks(good.saturating_add(pieces.setup)) - blanks(good),
                a_set: blanks(*a_set),
                ..one.clone()
            };
            (need, pieces)
        });
        Ok(of_woods.collect())
    }

    pub(super) fn operations(
        &self,
        part: &Part,
    ) -> impl DoubleEndedIterator<Item = &PlannedOperation> {
        let all = self.plan.operations.iter().map(Arc::as_ref);
        all.filter(move |operation| operation.part == part.name)
    }

    /// The size of the stock, given what is made so far; the route's own formula
    /// where the part has no operation.
    fn rough(&self, part: &Part, feature: &str) -> Option<Length> {
        let first = self.operations(part).next();
        first
            .and_then(|first| first.groups.iter().filter_map(|g| g.before.most(feature)).max())
            .or_else(|| self.length(part.stock.get(feature)?))
    }

    /// What a piece measures in the end, by the route or else by its last
    /// operation.
    pub(super) fn finished(&self, part: &Part, feature: &str) -> Option<Length> {
        part.finish
            .get(feature)
            .and_then(|keyed| self.length(keyed))
            .or_else(|| largest(self.operations(part).next_back()?, feature))
            .filter(|size| *size > Length::ZERO)
    }

    fn length(&self, keyed: &Keyed) -> Option<Length> {
        let planned = Planned(&self.route.dims);
        keyed.formula.evaluate_as(DimensionKind::Length, &planned).ok()?.length()
    }

    fn stretch(&self, from: &Keyed, to: &Keyed) -> Option<Stretch> {
        let stretch = Stretch { from: self.length(from)?, to: self.length(to)? };
        (stretch.from < stretch.to).then_some(stretch)
    }

    /// Pieces end to end: how many the rough crosscut leaves in one length.
    fn gang(&self, part: &Part) -> u32 {
        let groups = self.operations(part).flat_map(|operation| &operation.groups);
        groups.map(|group| group.outcome.after.gang).max().unwrap_or(1).max(1)
    }

    /// Blanks side by side that an operation of the part rips apart.
    fn abreast(&self, part: &Part) -> Option<u32> {
        self.operations(part).next()?;
        let ripped = self
            .operations(part)
            .find_map(|operation| strips(self.route, self.shop, &Known::default(), operation.op));
        Some((ripped.unwrap_or(1) / part.blank.across.max(1)).max(1))
    }

    /// How thick the blank must be with both faces clean: what the last cut of
    /// its thickness leaves for sanding, or all slices of a resawn blank and what
    /// is lost between them.
    pub(super) fn clean_at(&self, part: &Part) -> Option<Length> {
        let thickness = |blank: &Blank| blank.most(THICKNESS);
        // The jointer takes wood too, and leaves the other face as it was.
        let cuts = |operation: &&PlannedOperation| {
            !self.route.step(operation.op).is_some_and(|step| step.what.stage().cleans_up())
                && operation
                    .groups
                    .iter()
                    .any(|group| thickness(&group.before) != thickness(&group.outcome.after))
        };
        let through = part.blank.through;
        if through == 1 {
            return largest(self.operations(part).rfind(cuts)?, THICKNESS);
        }
        let apart = self.operations(part).find_map(|operation| {
            let lost = lost_between(self.route, self.shop, &Known::default(), operation.op)?;
            Some((largest(operation, THICKNESS)?, lost))
        });
        let (slice, lost) = match apart {
            Some(apart) => apart,
            None => {
                (largest(self.operations(part).find(cuts)?, THICKNESS)?, self.shop.lumber.rip_kerf)
            }
        };
        Some(slice * i64::from(through) + lost * i64::from(through - 1))
    }
}

/// The largest size that a feature has after an operation.
fn largest(operation: &PlannedOperation, feature: &str) -> Option<Length> {
    operation.groups.iter().filter_map(|group| group.outcome.after.most(feature)).max()
}

fn no_size(part: &Part, feature: &str) -> PlanFinding {
    let name = visible(&part.name);
    let (why, fix) = if part.stock.contains_key(feature) {
        (
            format!("the {feature} of its stock is zero or less, or can't be calculated"),
            format!("look at the `{feature}` of its `stock` and the dimensions in it"),
        )
    } else {
        (
            format!("its stock has no {feature}"),
            format!(
                "give `stock` a `{feature}`, or name in `assembled_from` the parts it is made from"
            ),
        )
    };
    PlanFinding {
        level: Level::Warning,
        what: format!("the wood for `{name}` is not known: {why}"),
        help: Some(fix),
        place: PlanSubject { part: Some(part.name.clone()), ..PlanSubject::default() },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::Document;
    use crate::plan::walk;
    use crate::route::{bundled, read};
    use crate::shop;
    use crate::stock::samples::th;

    fn shop() -> Shop {
        shop::read(&Document::read("shop.json", shop::BUNDLED).unwrap()).unwrap()
    }

    fn of(text: &str) -> (Vec<BlankNeed>, Vec<PlanFinding>) {
        let (route, _) = read(&Document::read("route.json", text).unwrap()).unwrap();
        let shop = shop();
        let plan = walk(&route, &shop, &Known::default());
        (needs(&route, &shop, &plan), unknown_sizes(&route, &shop, &plan))
    }

    fn all_of(stem: &str) -> Vec<BlankNeed> {
        let (needs, findings) = of(bundled(stem).unwrap().text);
        assert_eq!(findings, [], "{stem}");
        needs
    }

    fn find<'n>(needs: &'n [BlankNeed], part: &str) -> &'n BlankNeed {
        needs.iter().find(|need| need.part == part).unwrap()
    }

    fn counts(need: &BlankNeed) -> [u32; 4] {
        [need.for_sets, need.spare, need.setup, need.a_set]
    }

    /// By hand: five benches of four legs, two spares, one to prove settings
    /// on; 17 1/4 and 1 long; planed to 1 3/4 and 0.030 for the sander.
    #[test]
    fn a_leg_is_one_blank() {
        let needs = all_of("boot-bench");
        let leg = find(&needs, "leg");
        assert_eq!((counts(leg), leg.blanks(), leg.holds()), ([20, 2, 1, 4], 23, 1));
        assert_eq!((leg.length, leg.clean_at), (th(18_250), th(1_780)));
        assert_eq!((leg.thickness, leg.finished_thickness), (th(2_000), th(1_750)));
        assert!(leg.one_board && leg.hidden.is_empty() && leg.fill.is_none());
    }

    /// By hand: two cleats in each length, fifteen for the sets in seven blanks
    /// and half of an eighth; the other half of it is the spare. A set of three
    /// takes two blanks. The rib is 14 - 2 x (1/8 + 7/8) = 12 long and 1 1/4
    /// over: a knot does no harm from 2 1/4 to 13 1/4 - 2 1/4 = 11.
    #[test]
    fn pieces_end_to_end_fill_their_blanks() {
        let needs = all_of("boot-bench");
        assert_eq!(counts(find(&needs, "shelf cleat")), [8, 0, 0, 2]);
        let rib = find(&needs, "centre rib");
        let stretch = Stretch { from: th(2_250), to: th(11_000) };
        assert_eq!((rib.hidden.as_slice(), rib.fill), (&[stretch][..], Some(th(750))));
    }

    /// By hand, six chests. Of 48 strips 24 are walnut: 6 blanks of four; a
    /// spare makes 25, so a seventh blank, which has room for the setup piece
    /// of the maple. Of slices 12 in 4 blanks; 13 and 14 in a fifth. Three
    /// slices of 3/8 and 5/32 to clean up, two kerfs of 1/16 and 1/32 each to
    /// joint again: 3 x 17/32 + 2 x 3/32 = 1 25/32.
    #[test]
    fn a_chest_takes_boards_strips_and_slices_from_the_rack() {
        let needs = all_of("till-chest");
        let parts: Vec<(&str, &str)> = needs
            .iter()
            .map(|need| (need.part.as_str(), need.species.as_deref().unwrap_or_default()))
            .collect();
        let expected = [
            ("case board", "hard maple"),
            ("lid board", "hard maple"),
            ("case bottom", "birch"),
            ("lid strip", "hard maple"),
            ("lid strip", "walnut"),
            ("till slice", "hard maple"),
            ("till bottom", "birch"),
        ];
        assert_eq!(parts, expected);
        assert_eq!((counts(&needs[3]), needs[3].across), ([6, 1, 0, 1], 4));
        assert_eq!(counts(&needs[4]), [6, 1, 0, 1]);
        let slice = find(&needs, "till slice");
        assert_eq!((counts(slice), slice.through), ([4, 1, 0, 1], 3));
        assert_eq!(slice.clean_at, Length::inch_fraction(57, 32));
        // Nothing makes plywood thinner.
        assert_eq!(find(&needs, "case bottom").clean_at, th(472));
        assert_eq!(find(&needs, "case board").clean_at, th(810));
    }

    /// By hand: a saw that loses 1/8 and 1/32 between strips of 1 3/8 rips
    /// (8 + 5/32) / (1 3/8 + 5/32) = 5.3, five, from 8. Said outright, five come out
    /// of a blank that is meant for five, so that no second blank lies beside it.
    /// What no operation rips apart lies alone.
    #[test]
    fn as_many_lie_abreast_as_an_operation_rips_apart() {
        let abreast = |across: u32, crosscut: &str, rip: &str| {
            let text = format!(
                r#"{{ "route": "Slats", "unit": "in", "sets": 1, "parts": {{ "slat": {{ "per_set": 10,
                  "stock": {{ "thickness": "1", "width": "1 1/2", "length": "20", "across": {across} }} }} }},
                "operations": [
                  {{ "op": 10, "part": "slat", "do": "crosscut", "at": "chop saw", "to": "20", "rough": true{crosscut} }},
                  {{ "op": 20, "part": "slat", "do": "joint", "at": "jointer", "sides": ["face", "edge"] }}{rip} ] }}"#
            );
            of(&text).0[0].abreast
        };
        let rip = |keys: &str| {
            format!(
                r#", {{ "op": 30, "part": "slat", "do": "rip", "at": "cabinet saw", "tool": "rip blade", "to": "1 3/8"{keys} }}"#
            )
        };
        assert_eq!(abreast(1, "", ""), Some(1));
        assert_eq!(abreast(1, "", &rip("")), Some(1));
        assert_eq!(abreast(1, "", &rip(r#", "board": "8", "rejoint": "1/32""#)), Some(5));
        assert_eq!(abreast(5, r#", "beside": 5"#, &rip(r#", "strips": 5"#)), Some(1));
        let (needs, _) = of(r#"{ "route": "Shelf", "unit": "in", "sets": 1, "operations": [],
            "parts": { "board": { "per_set": 1,
              "stock": { "thickness": "1", "width": "8", "length": "30" } } } }"#);
        assert_eq!(needs[0].abreast, None);
    }

    /// Only jointed: nothing makes its other face clean, so there is nothing it
    /// must clean up to.
    #[test]
    fn a_part_that_no_planer_cuts_is_not_cleaned_up() {
        let (needs, _) =
            of(r#"{ "route": "Edging", "unit": "in", "sets": 1, "parts": { "edging": {
              "per_set": 1, "stock": { "thickness": "1", "width": "2", "length": "30" } } },
            "operations": [ { "op": 10, "part": "edging", "do": "joint", "at": "jointer",
              "sides": ["face", "edge"] } ] }"#);
        assert!(!needs[0].is_cleaned_up(), "{:?}", needs[0].clean_at);
    }

    #[test]
    fn a_part_without_a_size_is_reported_and_left_out() {
        let (needs, findings) = of(
            r#"{ "route": "Shelf", "unit": "in", "sets": 1, "operations": [],
            "parts": { "board": { "per_set": 1, "stock": { "thickness": "1", "width": "8" } } } }"#,
        );
        assert_eq!(needs, []);
        assert!(findings[0].what.contains("`board`"), "{}", findings[0].what);
        assert!(findings[0].what.contains("no length"), "{}", findings[0].what);
        let (needs, findings) =
            of(r#"{ "route": "Shelf", "unit": "in", "sets": 1, "operations": [],
            "dims": { "deep": "6 - 8" }, "parts": { "board": { "per_set": 1,
              "stock": { "thickness": "1", "width": "deep", "length": "30" } } } }"#);
        assert_eq!(needs, []);
        assert!(findings[0].what.contains("is zero or less"), "{}", findings[0].what);
    }
}
