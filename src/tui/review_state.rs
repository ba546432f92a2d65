//! What looking back on the open batch shows, and what is chosen in it: found
//! once, when someone looks.

use crate::journal::{PieceId, Snapshot};
use crate::measure::Verdict;
use crate::operation::FeatureName;
use crate::review::{
    Attribution, CheckDiagnosis, Findings, WoodUsed, attributions, findings, follow_up_questions,
    wood_used,
};
use crate::series::Cause;

/// A line of what was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ReviewRow {
    /// One that went out.
    Out(usize),
    /// The first of several that went out alike at one check.
    Together(usize),
    /// A gauge that reads differently from some time on.
    Gauge(usize),
    /// A size read again on another day.
    Day(usize),
    /// One check with its readings.
    Check(usize),
    /// Where one wood went.
    Wood(usize),
}

/// Which page of it is open.
#[derive(Clone, Debug)]
pub enum ReviewScreen {
    /// The list of what was found.
    Findings,
    /// The readings of the open check in cut order.
    Series {
        /// The lines of its text that are scrolled past.
        scrolled: usize,
    },
    /// What each operation added to one piece.
    Attribution(AttributedPiece),
}

/// The page a piece was chosen on, to go back to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ReviewOrigin {
    /// The pieces screen, at this line.
    Pieces {
        /// The line that was chosen.
        selected: usize,
    },
    /// The list of what was found.
    Findings,
    /// The readings of a check.
    Series,
}

/// A piece, with what each operation added to all that was measured on it.
#[derive(Clone, Debug)]
pub struct AttributedPiece {
    /// The piece.
    pub piece: PieceId,
    /// What was asked about comes first.
    pub attributions: Vec<Attribution>,
    /// The lines that are scrolled past.
    pub scrolled: usize,
    pub(super) from: ReviewOrigin,
    first: Option<CheckName>,
}

/// A check by its operation and the feature it measures.
type CheckName = (u32, FeatureName);

impl AttributedPiece {
    /// Reads the journal about a piece; `first` is the check it was chosen for.
    pub(super) fn of(
        snapshot: &Snapshot,
        piece: PieceId,
        first: Option<CheckName>,
        from: ReviewOrigin,
    ) -> AttributedPiece {
        let mut all = attributions(&snapshot.route, &snapshot.state, &piece);
        if let Some((_, feature)) = &first {
            all.sort_by_key(|attribution| attribution.feature != *feature);
        }
        AttributedPiece { piece, attributions: all, scrolled: 0, from, first }
    }
}

/// What looking back found, and what of it is open.
#[derive(Clone, Debug)]
pub struct ReviewState {
    /// What went out, and what the readings of each check say.
    pub findings: Findings,
    /// The questions about the likely cause at each check.
    pub asked: Vec<Vec<String>>,
    /// Where the wood went.
    pub wood: Vec<WoodUsed>,
    /// The lines of the list.
    pub rows: Vec<ReviewRow>,
    /// The chosen row.
    pub row: usize,
    /// The check that is open.
    pub open: usize,
    /// The reading chosen in it.
    pub point: usize,
    /// The page that is open.
    pub page: ReviewScreen,
}

impl ReviewState {
    /// Reads the whole journal.
    pub(super) fn of(snapshot: &Snapshot) -> ReviewState {
        let findings = findings(&snapshot.route, &snapshot.shop, &snapshot.state);
        let asked = findings.checks.iter().map(|held| questions(snapshot, held)).collect();
        let Snapshot { route, shop, plan, state, .. } = snapshot;
        let wood = wood_used(route, shop, plan, state);
        let mut rows = rows(&findings);
        rows.extend((0..wood.len()).map(ReviewRow::Wood));
        let page = ReviewScreen::Findings;
        ReviewState { findings, asked, wood, rows, row: 0, open: 0, point: 0, page }
    }

    /// Reads it anew after the journal changed: what was chosen stays chosen.
    pub(super) fn read_again(&mut self, snapshot: &Snapshot) {
        let open = self.check().map(check_name);
        let mut fresh = ReviewState::of(snapshot);
        fresh.row = self.row.min(fresh.rows.len().saturating_sub(1));
        if let Some(name) = open
            && fresh.select_check(&name)
        {
            let last = fresh.check().map_or(0, |held| held.series.points.len().saturating_sub(1));
            fresh.point = self.point.min(last);
        }
        fresh.page = match &self.page {
            ReviewScreen::Attribution(held) => {
                let (piece, first) = (held.piece.clone(), held.first.clone());
                let anew = AttributedPiece::of(snapshot, piece, first, held.from);
                ReviewScreen::Attribution(AttributedPiece { scrolled: held.scrolled, ..anew })
            }
            page => page.clone(),
        };
        *self = fresh;
    }

    /// The check that is open.
    pub(super) fn check(&self) -> Option<&CheckDiagnosis> {
        self.findings.checks.get(self.open)
    }

    /// Opens the chosen row: the readings of its check, or its piece.
    pub(super) fn open_row(&mut self, snapshot: &Snapshot) {
        let Some(row) = self.rows.get(self.row).copied() else { return };
        if let Some(name) = self.check_of(row)
            && self.select_check(&name)
        {
            self.page = ReviewScreen::Series { scrolled: 0 };
            return;
        }
        // A piece alone, or a setup piece, which is in no series.
        let (ReviewRow::Out(n) | ReviewRow::Together(n)) = row else { return };
        let Some(out) = self.findings.out.get(n) else { return };
        let (piece, first) = (out.piece.clone(), (out.op, out.feature.clone()));
        let held = AttributedPiece::of(snapshot, piece, Some(first), ReviewOrigin::Findings);
        self.page = ReviewScreen::Attribution(held);
    }

    /// The check a row is about.
    fn check_of(&self, row: ReviewRow) -> Option<CheckName> {
        let found = &self.findings;
        match row {
            ReviewRow::Out(_) | ReviewRow::Wood(_) => None,
            ReviewRow::Together(n) => found.out.get(n).map(|out| (out.op, out.feature.clone())),
            ReviewRow::Gauge(n) => {
                let op = found.gauges.get(n)?.ops.first()?;
                found.checks.iter().find(|held| held.series.op == *op).map(check_name)
            }
            ReviewRow::Day(n) => {
                found.moved_repeats().nth(n).map(|again| (again.op, again.feature.clone()))
            }
            ReviewRow::Check(n) => found.checks.get(n).map(check_name),
        }
    }

    /// Chooses a check, at the reading its likely cause is about.
    fn select_check(&mut self, (op, feature): &CheckName) -> bool {
        let mut checks = self.findings.checks.iter();
        let found =
            checks.position(|held| held.series.op == *op && held.series.feature == *feature);
        let Some(open) = found else { return false };
        self.open = open;
        self.point = self.point_of_cause();
        true
    }

    /// The reading to begin at: where it moved, what slipped, else the first
    /// that was out.
    fn point_of_cause(&self) -> usize {
        match self.check().and_then(|held| held.diagnosis.cause()) {
            Some(Cause::Moved { after, .. }) => *after,
            Some(Cause::Slip { at, .. }) => at - 1,
            _ => self.first_out(),
        }
    }

    fn first_out(&self) -> usize {
        let out = |verdict: &Verdict| !matches!(verdict, Verdict::In | Verdict::TooClose { .. });
        let points = self.check().map(|held| held.series.points.iter());
        points.and_then(|mut points| points.position(|p| out(&p.verdict))).unwrap_or(0)
    }

    /// Chooses a row of the list, or a reading of the open check.
    pub(super) fn choose(&mut self, line: usize) {
        match self.page {
            ReviewScreen::Findings => self.row = line.min(self.rows.len().saturating_sub(1)),
            ReviewScreen::Series { .. } => {
                let last = self.check().map_or(0, |held| held.series.points.len());
                self.point = line.min(last.saturating_sub(1));
            }
            ReviewScreen::Attribution(_) => {}
        }
    }

    /// To the reading before or after the chosen one.
    pub(super) fn step(&mut self, is_after: bool) {
        let last = self.check().map_or(0, |held| held.series.points.len().saturating_sub(1));
        let next = if is_after { self.point + 1 } else { self.point.saturating_sub(1) };
        self.point = next.min(last);
    }

    /// What each operation added to the piece chosen in the open check.
    pub(super) fn attribute_chosen(&mut self, snapshot: &Snapshot) {
        let Some(held) = self.check() else { return };
        let Some(point) = held.series.points.get(self.point) else { return };
        let (piece, first) = (point.piece.clone(), check_name(held));
        let held = AttributedPiece::of(snapshot, piece, Some(first), ReviewOrigin::Series);
        self.page = ReviewScreen::Attribution(held);
    }
}

fn check_name(check: &CheckDiagnosis) -> CheckName {
    (check.series.op, check.series.feature.clone())
}

fn questions(snapshot: &Snapshot, check: &CheckDiagnosis) -> Vec<String> {
    let Some(point) = check.series.points.first() else { return Vec::new() };
    follow_up_questions(check, &snapshot.context(check.series.op, None, point.at))
}

/// What went out, then gauges, then the checks worth a look, then the others.
fn rows(findings: &Findings) -> Vec<ReviewRow> {
    let mut rows = Vec::new();
    for group in findings.grouped_out() {
        let first = group
            .first()
            .and_then(|first| findings.out.iter().position(|out| std::ptr::eq(out, *first)));
        rows.extend(
            first.map(|n| if group.len() > 1 { ReviewRow::Together(n) } else { ReviewRow::Out(n) }),
        );
    }
    rows.extend((0..findings.gauges.len()).map(ReviewRow::Gauge));
    rows.extend((0..findings.moved_repeats().count()).map(ReviewRow::Day));
    let notable: Vec<usize> = findings
        .notable()
        .into_iter()
        .filter_map(|notable| findings.checks.iter().position(|held| std::ptr::eq(held, notable)))
        .collect();
    rows.extend(notable.iter().copied().map(ReviewRow::Check));
    let others = (0..findings.checks.len()).filter(|n| !notable.contains(n));
    rows.extend(others.map(ReviewRow::Check));
    rows
}
