//! What looking back on the open batch shows, and what is chosen in it: found
//! once, when someone looks. Knows nothing of keys or of how it is drawn.

use super::app::Screen;
use crate::journal::{PieceId, Snapshot};
use crate::measure::Verdict;
use crate::operation::FeatureName;
use crate::review::{
    Attribution, CheckDiagnosis, Findings, WoodUsed, attributions, findings, follow_up_questions,
    wood_used,
};
use crate::series::cause::Cause;

/// A line of what was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ReviewRow {
    /// One that went out.
    Out(usize),
    /// The first of several that went out alike at one check.
    Together(usize),
    Gauge(usize),
    /// A size read again on another day.
    Day(usize),
    Check(usize),
    /// Where one wood went.
    Wood(usize),
}

/// A piece with the way back of all that was measured on it.
#[derive(Clone, Debug)]
pub struct AttributedPiece {
    pub piece: PieceId,
    /// What was asked about comes first.
    pub ways: Vec<Attribution>,
    first: Option<(u32, FeatureName)>,
    /// The screen it was chosen on.
    pub from: Screen,
}

#[derive(Clone, Debug)]
pub struct ReviewState {
    pub findings: Findings,
    /// What is asked about each account's story.
    pub asked: Vec<Vec<String>>,
    /// Where the wood went.
    pub wood: Vec<WoodUsed>,
    pub rows: Vec<ReviewRow>,
    /// The chosen row.
    pub row: usize,
    /// The check that is open, and the reading chosen in it.
    pub account: usize,
    pub point: usize,
    pub piece: Option<AttributedPiece>,
}

impl ReviewState {
    /// Reads everything the journal says as it stands.
    pub fn back(snapshot: &Snapshot) -> ReviewState {
        let findings = findings(&snapshot.route, &snapshot.shop, &snapshot.state);
        let asked = findings.checks.iter().map(|held| questions(snapshot, held)).collect();
        let Snapshot { route, shop, plan, state, .. } = snapshot;
        let wood = wood_used(route, shop, plan, state);
        let mut rows = rows(&findings);
        rows.extend((0..wood.len()).map(ReviewRow::Wood));
        ReviewState { findings, asked, wood, rows, row: 0, account: 0, point: 0, piece: None }
    }

    /// The same after the journal changed: what was chosen stays chosen.
    pub fn again(self, snapshot: &Snapshot) -> ReviewState {
        let chosen = self.check().map(|held| (held.series.op, held.series.feature.clone()));
        let mut look = ReviewState::back(snapshot);
        look.row = self.row.min(look.rows.len().saturating_sub(1));
        if let Some((op, feature)) = chosen
            && look.open_check(op, &feature)
        {
            let last = look.check().map_or(0, |held| held.series.points.len().saturating_sub(1));
            look.point = self.point.min(last);
        }
        if let Some(held) = self.piece {
            look.open_piece(snapshot, held.piece, held.first, held.from);
        }
        look
    }

    /// The check that is open.
    pub fn check(&self) -> Option<&CheckDiagnosis> {
        self.findings.checks.get(self.account)
    }

    /// Opens a check at the reading its story is about.
    pub(super) fn open_check(&mut self, op: u32, feature: &str) -> bool {
        let found = self.findings.checks.iter();
        let mut found = found.map(|held| held.series.op == op && held.series.feature == feature);
        let Some(account) = found.position(|it| it) else { return false };
        self.account = account;
        self.point = self.telling_point();
        true
    }

    /// The reading to begin at: where it moved, what slipped, else the first
    /// that was out.
    fn telling_point(&self) -> usize {
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

    pub(super) fn open_piece(
        &mut self,
        snapshot: &Snapshot,
        piece: PieceId,
        first: Option<(u32, FeatureName)>,
        from: Screen,
    ) {
        let mut ways = attributions(&snapshot.route, &snapshot.state, &piece);
        if let Some((_, feature)) = &first {
            ways.sort_by_key(|way| way.feature != *feature);
        }
        self.piece = Some(AttributedPiece { piece, ways, first, from });
    }

    /// To the reading before or after the chosen one.
    pub(super) fn step(&mut self, on: bool) {
        let last = self.check().map_or(0, |held| held.series.points.len().saturating_sub(1));
        self.point = if on { self.point + 1 } else { self.point.saturating_sub(1) }.min(last);
    }

    /// The piece chosen in the open check, and what was measured there.
    pub(super) fn chosen(&self) -> Option<(PieceId, (u32, FeatureName))> {
        let held = self.check()?;
        let point = held.series.points.get(self.point)?;
        Some((point.piece.clone(), (held.series.op, held.series.feature.clone())))
    }
}

fn questions(snapshot: &Snapshot, account: &CheckDiagnosis) -> Vec<String> {
    let Some(point) = account.series.points.first() else { return Vec::new() };
    follow_up_questions(account, &snapshot.context(account.series.op, None, point.at))
}

/// What went out, then gauges, then the checks worth telling, then the others.
fn rows(findings: &Findings) -> Vec<ReviewRow> {
    let mut rows = Vec::new();
    for told in findings.grouped_out() {
        let first = told
            .first()
            .and_then(|first| findings.out.iter().position(|out| std::ptr::eq(out, *first)));
        rows.extend(
            first.map(|n| if told.len() > 1 { ReviewRow::Together(n) } else { ReviewRow::Out(n) }),
        );
    }
    rows.extend((0..findings.gauges.len()).map(ReviewRow::Gauge));
    rows.extend((0..findings.moved_repeats().count()).map(ReviewRow::Day));
    let told: Vec<usize> = findings
        .notable()
        .into_iter()
        .filter_map(|told| findings.checks.iter().position(|held| std::ptr::eq(held, told)))
        .collect();
    rows.extend(told.iter().copied().map(ReviewRow::Check));
    let others = (0..findings.checks.len()).filter(|n| !told.contains(n));
    rows.extend(others.map(ReviewRow::Check));
    rows
}
