//! Reads the operations of a route and their checks.

use super::check::Check;
use super::file::{COMMON_KEYS, CheckFile, FINAL_KEY, OperationFile};
use super::reader::RouteReader;
use super::{Part, Step};
use crate::document::Node;
use crate::measure::parse_limits;
use crate::operation::{FeatureName, KINDS, KeyReader, kind};
use crate::prose::{nearest, visible};

/// The longest bundled route has 120. With this many a plan is walked in a tenth of a
/// second.
const MOST_OPERATIONS: usize = 2000;

impl RouteReader {
    pub(super) fn operations(
        &mut self,
        root: Node<'_>,
        names: &[String],
        parts: &[Part],
    ) -> Vec<Step> {
        let Some(node) = root.child("operations") else {
            self.add(root.problem("`operations` is missing", None));
            return Vec::new();
        };
        let Some(items) = node.items() else {
            self.add(node.problem("`operations` is a list in square brackets", None));
            return Vec::new();
        };
        if items.len() > MOST_OPERATIONS {
            self.add(node.problem(format!("more than {MOST_OPERATIONS} operations"), None));
            return Vec::new();
        }
        let mut steps: Vec<Step> = Vec::new();
        let mut highest = 0;
        for (index, item) in items.into_iter().enumerate() {
            let Some(step) = self.operation(index, item, names, parts) else { continue };
            if step.op <= highest {
                let at = item.child("op").unwrap_or(item);
                self.add(at.problem(
                    format!(
                        "op {} comes after op {highest}: each number must be higher than the last",
                        step.op
                    ),
                    None,
                ));
            }
            highest = highest.max(step.op);
            steps.push(step);
        }
        self.known_makes(node, &steps);
        steps
    }

    /// A check `of` something needs an operation that makes it, of that part.
    fn known_makes(&mut self, operations: Node<'_>, steps: &[Step]) {
        let items = operations.items().unwrap_or_default();
        for step in steps {
            let earlier =
                || steps.iter().filter(|other| other.part == step.part && other.op <= step.op);
            let made: Vec<&str> = earlier().filter_map(|other| other.makes.as_deref()).collect();
            // What a route leaves unnamed goes by its kind's own name.
            let unnamed = |name: &str| {
                let sized = earlier().flat_map(|other| other.what.sizes());
                let mut rests = sized.map(|sized| {
                    sized.feature.strip_prefix(name).is_some_and(|rest| rest.starts_with(' '))
                });
                rests.any(|named| named)
            };
            let checks = items.get(step.index).and_then(|item| item.child("checks"));
            for node in checks.and_then(|checks| checks.items()).unwrap_or_default() {
                let Some(of) = node.child("of") else { continue };
                let Some(name) = of.as_str() else { continue };
                if !made.contains(&name) && !unnamed(name) {
                    let help = nearest(name, made.iter().copied())
                        .map(|near| format!("did you mean `{near}`?"));
                    let what = format!("nothing up to op {} makes a `{}`", step.op, visible(name));
                    self.add(of.problem(what, help));
                }
            }
        }
    }

    fn operation(
        &mut self,
        index: usize,
        node: Node<'_>,
        names: &[String],
        parts: &[Part],
    ) -> Option<Step> {
        let file = self.decode::<OperationFile>(node)?;
        let Some(kind) = kind(&file.what) else {
            let known: Vec<&str> = KINDS.iter().map(|kind| kind.name()).collect();
            let at = node.child("do").unwrap_or(node);
            let help = match nearest(&file.what, known.iter().copied()) {
                Some(near) => format!("did you mean `{near}`?"),
                None => format!("one of {}", known.join(", ")),
            };
            let what = format!("`{}` is not a kind of operation", visible(&file.what));
            self.add(at.problem(what, Some(help)));
            return None;
        };
        if !parts.iter().any(|part| part.name == file.part) {
            let at = node.child("part").unwrap_or(node);
            let help = nearest(&file.part, parts.iter().map(|part| part.name.as_str()))
                .map(|near| format!("did you mean `{near}`?"));
            self.add(at.problem(format!("no part is called `{}`", visible(&file.part)), help));
        }
        let mut common = COMMON_KEYS.to_vec();
        common.push(FINAL_KEY);
        let what = kind.read(&mut KeyReader::new(node, self.unit, &common, &mut self.problems));
        let aim = self.keyed(node, "aim", file.aim.as_ref(), names);
        let checks = self.checks(node, names);
        let what = what?;
        for keyed in what.formulas() {
            let at = node.child(keyed.key).unwrap_or(node);
            self.known(at, &keyed.formula, names);
        }
        Some(Step {
            index,
            op: file.op,
            part: file.part,
            kind,
            what,
            at: file.at,
            tool: file.tool,
            aim,
            makes: file.makes,
            checks,
            note: file.note,
            declared_final: file.cant_be_undone,
        })
    }

    fn checks(&mut self, node: Node<'_>, names: &[String]) -> Vec<Check> {
        let items = node.child("checks").and_then(|checks| checks.items()).unwrap_or_default();
        items.into_iter().filter_map(|item| self.check(item, names)).collect()
    }

    fn check(&mut self, node: Node<'_>, names: &[String]) -> Option<Check> {
        let file = self.decode::<CheckFile>(node)?;
        let tolerance = match parse_limits(&file.limits, self.unit) {
            Ok(tolerance) => Some(tolerance),
            Err(error) => {
                let at = node.child("limits").unwrap_or(node);
                let mut problem = at.problem(error.what, error.help);
                problem.place.at = Some(at.text_place(error.place));
                self.add(problem);
                None
            }
        };
        if let Some(becomes) = &file.becomes
            && !names.contains(&becomes.dim)
        {
            let at = node.child("becomes").and_then(|b| b.child("dim")).unwrap_or(node);
            let help = nearest(&becomes.dim, names.iter().map(String::as_str))
                .map(|near| format!("did you mean `{near}`?"));
            self.add(
                at.problem(format!("no dimension is called `{}`", visible(&becomes.dim)), help),
            );
        }
        let kind = match FeatureName::new(file.check.as_str()).kind().or(file.kind) {
            Some(kind) => kind,
            None => {
                self.add(node.child("check").unwrap_or(node).problem(
                    format!(
                        "`{}` needs a `kind`, so that it can be judged in words",
                        visible(&file.check)
                    ),
                    Some("\"kind\": one of length, width, thickness, depth, size, gap, squareness, flatness, angle".to_owned()),
                ));
                return None;
            }
        };
        let around = self.keyed(node, "around", file.around.as_ref(), names);
        Some(Check {
            of: match file.of {
                Some(of) => FeatureName::new(format!("{of} {}", file.check)),
                None => FeatureName::new(file.check),
            },
            kind,
            tolerance: tolerance?,
            with: file.with,
            pieces: file.pieces,
            place: file.place,
            around,
            becomes: file.becomes,
        })
    }
}
