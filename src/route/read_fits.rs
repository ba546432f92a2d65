//! Reads the clearances between parts, and the wood that swells in them.

use super::file::{FitFile, MovesFile};
use super::reader::RouteReader;
use super::{Fit, Moves, Swells};
use crate::document::Node;
use crate::operation::Keyed;
use crate::prose::{nearest, visible};
use crate::wood::{Moisture, Species};

/// More than this is not a shop's route.
const MOST_FITS: usize = 1000;

impl RouteReader {
    pub(super) fn fits(&mut self, root: Node<'_>, names: &[String]) -> Vec<Fit> {
        let mut fits = Vec::new();
        for (name, node) in self.entries(root, "fits", MOST_FITS, false) {
            let Some(file) = self.decode::<FitFile>(node) else { continue };
            let is = self.keyed(node, "is", Some(&file.is), names);
            let limits = node.child("limits").and_then(|limits| limits.items()).unwrap_or_default();
            let mut bound = |index: usize| {
                let at = limits.get(index).copied().unwrap_or(node);
                let formula = self.formula(at, &file.limits[index].0)?;
                self.known(at, &formula, names);
                Some(Keyed { key: "limits", formula })
            };
            let (low, high) = (bound(0), bound(1));
            let counts = node.child("pieces").unwrap_or(node);
            for (dim, count) in &file.pieces {
                let at = counts.child(dim).unwrap_or(counts);
                if !names.contains(dim) {
                    let near = nearest(dim, names.iter().map(String::as_str));
                    let help = near.map(|near| format!("did you mean `{near}`?"));
                    self.add(
                        at.problem(format!("no dimension is called `{}`", visible(dim)), help),
                    );
                } else if !(1..=1000).contains(count) {
                    self.add(at.problem("a fit has 1 to 1000 pieces of a dimension", None));
                }
            }
            let moves = file
                .moves
                .as_ref()
                .and_then(|moves| self.moves(node.child("moves").unwrap_or(node), moves, names));
            if let (Some(is), Some(low), Some(high)) = (is, low, high) {
                let (name, pieces) = (name.to_owned(), file.pieces);
                fits.push(Fit { name, is, low, high, pieces, moves });
            }
        }
        fits
    }

    /// What swells in a clearance: a wood that is known, from dry to damp.
    fn moves(&mut self, node: Node<'_>, file: &MovesFile, names: &[String]) -> Option<Moves> {
        let across = self.keyed(node, "across", Some(&file.across), names);
        let wood = Species::named(&file.species);
        if wood.is_none() {
            let help = match Species::with_words(&file.species).as_slice() {
                [] => nearest(&file.species, Species::every_name())
                    .map(|near| format!("did you mean `{near}`?")),
                kinds => Some(format!("name one of these: {}", kinds.join(", "))),
            };
            let what = format!("the movement of `{}` is unknown", visible(&file.species));
            self.add(node.child("species").unwrap_or(node).problem(what, help));
        }
        let most = wood.map_or(Moisture::MOST, Species::shrinks_from);
        let mut moisture = |key: &str, percent: f64| {
            let found = Moisture::percent(percent).filter(|found| found.in_percent() <= most);
            if found.is_none() {
                let what =
                    format!("a moisture content is 0 to {most} %: wood doesn't swell above that");
                self.add(node.child(key).unwrap_or(node).problem(what, None));
            }
            found
        };
        let (driest, dampest) = (moisture("from", file.from), moisture("to", file.to));
        let made = file.made_at.map_or(driest, |made| moisture("made_at", made));
        if driest.zip(dampest).is_some_and(|(driest, dampest)| driest >= dampest) {
            let what = "`from` is the driest season and `to` the dampest".to_owned();
            let help = "make the moisture in `to` higher than in `from`".to_owned();
            self.add(node.child("to").unwrap_or(node).problem(what, Some(help)));
        }
        let swells = Swells {
            wood: wood?,
            grain: file.grain,
            driest: driest?,
            dampest: dampest?,
            made: made?,
        };
        Some(Moves { across: across?, swells })
    }
}
