//! What is cut: the kinds of blank, and which flaws each may contain.

use crate::stock::board::{Flaw, FlawKind, Ruling, Stretch};
use crate::stock::need::BlankNeed;

/// Every need has two kinds of blank: good ones for sets and spares, and ones
/// to prove settings on, which may look as they like. In a list of kinds the
/// good kind of need `n` is at `2 * n`, the other behind it.
#[derive(Clone, Debug)]
pub(in crate::stock) struct BlankKind {
    /// Which of the needs.
    pub need: usize,
    /// Whether it is only for proving settings.
    pub proving: bool,
    /// In nanometres.
    pub length: i64,
    /// In nanometres.
    pub width: i64,
    /// How many of its need may lie side by side, where that is limited.
    pub abreast: Option<u32>,
    hidden: Vec<(i64, i64)>,
    fill: Option<i64>,
}

impl BlankKind {
    pub(crate) fn of(index: usize, need: &BlankNeed, proving: bool) -> BlankKind {
        BlankKind {
            need: index,
            proving,
            length: need.length.nanometres(),
            width: need.width.nanometres(),
            abreast: need.abreast,
            hidden: need.hidden.iter().map(|stretch| ends(*stretch)).collect(),
            fill: need.fill.map(|most| most.nanometres()),
        }
    }

    /// Whether it may contain this flaw when it begins at `at` on the board. A
    /// flaw that sticks out of the blank is not hidden in it.
    pub(super) fn may_contain(&self, flaw: &FlawBox, at: i64) -> bool {
        if flaw.kind == FlawKind::Split {
            return false;
        }
        if self.proving {
            return true;
        }
        let (from, to) = (flaw.along.0 - at, flaw.along.1 - at);
        match flaw.ruling {
            Ruling::Around => false,
            Ruling::Fill => self.fill.is_some_and(|most| to - from <= most),
            Ruling::Hidden => self.hidden.iter().any(|&(near, far)| {
                let inside = |from: i64, to: i64| near.max(0) <= from && to <= far.min(self.length);
                // The blank can be turned end for end.
                inside(from, to) || inside(self.length - to, self.length - from)
            }),
        }
    }
}

fn ends(stretch: Stretch) -> (i64, i64) {
    let (one, other) = (stretch.from.nanometres(), stretch.to.nanometres());
    (one.min(other), one.max(other))
}

/// A flaw in nanometres, its nearer ends first.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct FlawBox {
    kind: FlawKind,
    ruling: Ruling,
    pub along: (i64, i64),
    pub across: (i64, i64),
}

impl FlawBox {
    pub(super) fn of(flaw: &Flaw) -> FlawBox {
        FlawBox {
            kind: flaw.kind,
            ruling: flaw.ruling,
            along: ends(flaw.along),
            across: flaw.across.map_or((i64::MIN, i64::MAX), ends),
        }
    }
}

/// Whether two stretches share more than an end.
pub(super) fn overlap(one: (i64, i64), other: (i64, i64)) -> bool {
    one.0 < other.1 && other.0 < one.1
}
