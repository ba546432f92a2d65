//! Reads the parts of a route: how many, what they are made from, and how they
//! lie in their stock.

use std::collections::BTreeMap;

use super::file::{KnotsFile, PartFile, SparesFile, StockFile};
use super::reader::RouteReader;
use super::{InBlank, Part};
use crate::document::Node;
use crate::formula::Web;
use crate::measure::Length;
use crate::operation::{FeatureName, FormulaText, Keyed, LENGTH, THICKNESS, WIDTH};

/// More than this is not a shop's route.
const MOST_PARTS: usize = 200;
const MOST_IN_A_BLANK: u32 = 50;

impl RouteReader {
    pub(super) fn parts(&mut self, root: Node<'_>, names: &[String], dims: &Web) -> Vec<Part> {
        let mut parts = Vec::new();
        for (name, node) in self.entries(root, "parts", MOST_PARTS, true) {
            let Some(file) = self.decode::<PartFile>(node) else { continue };
            if name.trim().is_empty() || name.len() > 60 || name.chars().any(char::is_control) {
                self.add(node.problem("a part has a short plain name", None));
            }
            if file.per_set == 0 {
                self.add(node.problem("`per_set` is at least 1", None));
            }
            if !file.hands.is_empty() && file.hands.len() != file.per_set as usize {
                let at = node.child("hands").unwrap_or(node);
                self.add(at.problem(
                    format!("{} hands for {} pieces of an article", file.hands.len(), file.per_set),
                    Some("name one hand for each piece of one article".to_owned()),
                ));
            }
            let stock_node = node.child("stock").unwrap_or(node);
            let mut sizes = |node: Node<'_>, texts: [(&'static str, &Option<FormulaText>); 3]| {
                let mut sizes = BTreeMap::new();
                for (key, text) in texts {
                    if let Some(keyed) = self.keyed(node, key, text.as_ref(), names) {
                        sizes.insert(FeatureName::new(key), keyed);
                    }
                }
                sizes
            };
            let stock = sizes(
                stock_node,
                [
                    (THICKNESS, &file.stock.thickness),
                    (WIDTH, &file.stock.width),
                    (LENGTH, &file.stock.length),
                ],
            );
            let finish = sizes(
                node,
                [(THICKNESS, &file.thickness), (WIDTH, &file.width), (LENGTH, &file.length)],
            );
            let (spares, spare_percent) = self.spares(node, &file.spares);
            let blank = self.in_blank(stock_node, &file, names, dims);
            parts.push(Part {
                name: name.to_owned(),
                per_set: file.per_set,
                spares,
                spare_percent,
                setup_pieces: file.setup_pieces,
                hands: file.hands,
                assembled_from: file.assembled_from,
                species: file.species,
                about: file.about,
                stock_class: file.stock.class,
                stock,
                blank,
                finish,
            });
        }
        parts
    }

    /// How many spares, or which share of what is needed, in percent.
    fn spares(&mut self, node: Node<'_>, file: &SparesFile) -> (u32, Option<u32>) {
        let share = match file {
            SparesFile::Number(number) => return (*number, None),
            SparesFile::Share(share) => share,
        };
        let percent = share.trim().strip_suffix('%').and_then(|number| number.trim().parse().ok());
        if percent.is_none_or(|percent: u32| percent > 100) {
            let at = node.child("spares").unwrap_or(node);
            let help = "write a number, or a share such as \"10%\"".to_owned();
            self.add(at.problem("a share of spares is from 0% to 100%", Some(help)));
        }
        (0, percent)
    }

    /// How the pieces of a part lie in the stock they come from.
    fn in_blank(
        &mut self,
        node: Node<'_>,
        part: &PartFile,
        names: &[String],
        dims: &Web,
    ) -> InBlank {
        let StockFile { across, through, one_board, woods, knots, .. } = &part.stock;
        let mut beside = |key: &str, count: Option<u32>| {
            let count = count.unwrap_or(1);
            if !(1..=MOST_IN_A_BLANK).contains(&count) {
                let at = node.child(key).unwrap_or(node);
                let what = format!("a blank holds 1 to {MOST_IN_A_BLANK} pieces in each direction");
                self.add(at.problem(what, None));
            }
            count.clamp(1, MOST_IN_A_BLANK)
        };
        let (across, through) = (beside("across", *across), beside("through", *through));
        let counted: u32 = woods.values().fold(0, |sum, count| sum.saturating_add(*count));
        if !woods.is_empty() && (counted != part.per_set || woods.values().any(|n| *n == 0)) {
            let at = node.child("woods").unwrap_or(node);
            self.add(at.problem(
                format!(
                    "`woods` names the wood of {counted} pieces, but one article has {}",
                    part.per_set
                ),
                Some("name the wood of every piece in one article".to_owned()),
            ));
        }
        let (mut hidden, mut fill) = (Vec::new(), None);
        if let Some(KnotsFile { hidden: stretches, fill: longest }) = knots {
            let node = node.child("knots").unwrap_or(node);
            let items = node.child("hidden").and_then(|node| node.items()).unwrap_or_default();
            for (index, stretch) in stretches.iter().enumerate() {
                let at = items.get(index).copied().unwrap_or(node);
                hidden.extend(self.stretch(at, stretch, names, dims));
            }
            fill = self.keyed(node, "fill", longest.as_ref(), names);
            let at = node.child("fill").unwrap_or(node);
            let size = fill.as_ref().and_then(|fill| self.as_planned(at, fill, dims));
            if size.is_some_and(|size| size <= Length::ZERO) {
                let help = "leave `fill` out where none may be filled".to_owned();
                self.add(at.problem("a knot must be longer than zero", Some(help)));
            }
        }
        InBlank { across, through, one_board: *one_board, woods: woods.clone(), hidden, fill }
    }

    /// A stretch of a blank, the nearer end first.
    fn stretch(
        &mut self,
        node: Node<'_>,
        texts: &[FormulaText; 2],
        names: &[String],
        dims: &Web,
    ) -> Option<(Keyed, Keyed)> {
        let ends = node.items().unwrap_or_default();
        let mut end = |index: usize| {
            let at = ends.get(index).copied().unwrap_or(node);
            let formula = self.formula(at, &texts[index].0)?;
            self.known(at, &formula, names);
            Some(Keyed { key: "hidden", formula })
        };
        let (from, to) = (end(0)?, end(1)?);
        let mut length = |index: usize, end: &Keyed| {
            self.as_planned(ends.get(index).copied().unwrap_or(node), end, dims)
        };
        if let (Some(from), Some(to)) = (length(0, &from), length(1, &to))
            && (from.is_negative() || from >= to)
        {
            let what =
                "a stretch is [from, to] along the blank: from is at least zero, to is larger";
            self.add(node.problem(what, None));
        }
        Some((from, to))
    }
}
