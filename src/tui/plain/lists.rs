//! The lists and what looking back found, a line each.

use chrono::{DateTime, FixedOffset};

use super::phrase::line;
use crate::operation::decimal;
use crate::prose::counted;
use crate::review::{Attribution, point_words, wording};
use crate::route::Route;
use crate::tui::app::{
    OpeningLine, OpeningScreen, Session, SessionView, ShopLineItem, ShopScreen, ShopView,
    TodayScreen,
};
use crate::tui::list_words::{
    matched_by, matched_groups, others_words, piece_name, piece_outcome, progress_words,
    ready_words, sizes, waiting_words, way,
};
use crate::tui::machine_view::standing;
use crate::tui::maker_words::{changes_until, maker_words};
use crate::tui::review_state::{AttributedPiece, ReviewScreen, ReviewState};
use crate::tui::review_words::{QUIET, check_title, check_words, row_heading, row_words};
use crate::tui::shop_words::{line_told, line_words};
use crate::work::{
    Matched, NextOperation, TodayLineKind, article_words, machine_lines, today_title, waiting_lines,
};

/// The batches under way and the routes, each with its number; what is out of the
/// way is one line until it is chosen.
pub(super) fn opening(opening: &OpeningScreen) -> Vec<String> {
    if let Some(sizes) = &opening.sizes {
        let numbered = (1..).zip(sizes.lines()).map(|(n, text)| line(&format!("{n}: {text}")));
        return numbered.chain(sizes.adapted.follows().iter().map(|said| line(said))).collect();
    }
    if let Some(held) = opening.today() {
        return today(held);
    }
    let mut lines = Vec::new();
    let mut before = None;
    for (n, at) in opening.lines().into_iter().enumerate() {
        let heading = match at {
            OpeningLine::Batch(_) => "Batches under way:",
            OpeningLine::Route(_) => "Routes, each of which begins a batch:",
            OpeningLine::Practice | OpeningLine::Invented(_) => "To practise:",
            OpeningLine::Archive | OpeningLine::Archived(_) => "Out of the way:",
            OpeningLine::Shop => "The shop of new batches:",
        };
        if before != Some(heading) {
            lines.push(heading.to_owned());
            before = Some(heading);
        }
        let words = match (opening.batch(at), opening.route(at)) {
            (Some(batch), _) => {
                let timed = batch.timed.as_ref();
                let timed = timed.map(|wait| format!(". {}", wait.sentence(opening.lists.now)));
                format!("{}, {}{}", batch.name, batch.progress, timed.unwrap_or_default())
            }
            (_, Some(route)) => match &route.fault {
                Some(fault) => format!("{}: {fault}", route.name),
                None => {
                    let articles = route.article.counted(route.sets);
                    format!("{}, {articles}. {}", route.name, route.about)
                }
            },
            (None, None) if at == OpeningLine::Practice => {
                let invented = opening.lists.batches.iter().filter(|row| row.is_invented).count();
                counted(invented, "invented batch")
            }
            (None, None) if at == OpeningLine::Shop => opening.lists.shop.words(),
            (None, None) => counted(opening.lists.archive.count(), "archived batch"),
        };
        lines.push(line(&format!("{}: {words}", n + 1)));
    }
    lines
}

/// The lines of one's own shop, each with its number and what is known.
pub(super) fn shop(screen: &ShopScreen) -> Vec<String> {
    let title = match screen.view() {
        ShopView::Machines { .. } => format!("your shop, {}", screen.listing.shop.name),
        ShopView::Machine { name, .. } => format!("the {name}"),
    };
    let lines = screen.lines();
    let each = lines.iter().enumerate().map(|(n, held)| {
        let (about, known) = line_words(&screen.listing, held);
        // Everything is said of what was found; the rest fits in a few words.
        let known = match held {
            ShopLineItem::Offset(_) => line_told(&screen.listing, held)[0].clone(),
            _ => known,
        };
        line(&format!("{}: {about}: {known}", n + 1))
    });
    std::iter::once(line(&title)).chain(each).collect()
}

/// What there is to do today, a fact a line.
fn today(held: &TodayScreen) -> Vec<String> {
    let mut lines = vec![line(&format!("today {}", today_title(&held.today)))];
    let listed = machine_lines(&held.today).into_iter().chain(waiting_lines(&held.today));
    lines.extend(listed.map(|said| match said.kind {
        TodayLineKind::Heading => format!("{}:", line(&said.text).trim_end_matches('.')),
        TodayLineKind::Work | TodayLineKind::Detail => line(&said.text),
    }));
    for batch in &held.today.batches {
        let articles = article_words(batch).into_iter();
        lines.extend(articles.map(|words| line(&format!("{}, {words}", batch.batch))));
    }
    let unread = held.read.unread.iter();
    lines.extend(unread.map(|held| line(&format!("{} can't be read: {}", held.batch, held.why))));
    lines
}

/// What the list in sight says; nothing at the machine.
pub(super) fn page(session: &Session) -> Vec<String> {
    let said = match session.view() {
        SessionView::Machine { .. } => Vec::new(),
        SessionView::Route { .. } => operations(session),
        SessionView::Ready { lines, .. } => starting(lines, session.context().now),
        SessionView::Pieces { .. } => pieces(session),
        SessionView::Makers { .. } => makers(session),
        SessionView::Matched { parts, .. } => together(session, parts),
        SessionView::Review(state) => match &state.page {
            ReviewScreen::Findings => findings(session, state),
            ReviewScreen::Series { .. } => readings(session, state),
            ReviewScreen::Attribution(held) => added(session, state, held),
        },
    };
    said.iter().map(|text| line(text)).collect()
}

fn operations(session: &Session) -> Vec<String> {
    let context = session.context();
    let each = session.operations().into_iter().map(|op| {
        let Some(step) = context.route.step(op) else {
            return format!("op {op} boards: {}", context.state.boards.progress());
        };
        let at = step.at.as_ref().map_or_else(String::new, |at| format!(", {at}"));
        format!("op {op} {} {}{at}: {}", step.kind, step.part, progress_words(session, step))
    });
    each.chain(sizes(session)).collect()
}

fn starting(lines: &[NextOperation], now: DateTime<FixedOffset>) -> Vec<String> {
    if lines.is_empty() {
        return vec!["Every operation is finished.".to_owned()];
    }
    let each = lines.iter().flat_map(|held| {
        let first = std::iter::once(ready_words(held));
        first.chain(others_words(held, now)).chain(waiting_words(held))
    });
    each.collect()
}

fn pieces(session: &Session) -> Vec<String> {
    let context = session.context();
    let each = context.state.pieces.iter().map(|piece| {
        let outcome = piece_outcome(session, piece);
        let steps = context.route.steps.iter().filter(|step| step.part == piece.label.part);
        let is_here = steps.clone().any(|step| step.op == context.op);
        let here = (is_here && piece.aside.is_none() && piece.whole).then(|| {
            format!("op {} {}", context.op, standing(context.state, context.op, piece).word())
        });
        let last = (!outcome.is_empty() && piece.aside.is_none() && piece.whole)
            .then(|| format!("last reading op {outcome}"));
        let gone = (!outcome.is_empty() && last.is_none()).then(|| outcome.clone());
        let said: Vec<String> = [gone, here, last].into_iter().flatten().collect();
        match said.is_empty() {
            true => format!("{}: nothing measured yet", piece_name(piece)),
            false => format!("{}: {}", piece_name(piece), said.join("; ")),
        }
    });
    each.collect()
}

fn makers(session: &Session) -> Vec<String> {
    let count = session.snapshot.state.article_count();
    let each = (1..=count).map(|article| maker_words(session, article));
    each.chain(changes_until(session)).collect()
}

fn together(session: &Session, parts: &[Matched]) -> Vec<String> {
    if parts.is_empty() {
        return vec!["Nothing to match yet: no part has been measured completely.".to_owned()];
    }
    let unit = session.context().route.unit;
    let each = parts.iter().flat_map(|held| {
        std::iter::once(matched_by(held, unit)).chain(matched_groups(session, held))
    });
    each.collect()
}

fn findings(session: &Session, state: &ReviewState) -> Vec<String> {
    let route = session.context().route;
    let mut lines = Vec::new();
    if state.findings.is_quiet() {
        lines.push(QUIET.to_owned());
    }
    let mut before = None;
    for (n, row) in state.rows.iter().enumerate() {
        let heading = row_heading(state, n);
        if before.as_ref() != Some(&heading) {
            lines.push(format!("{heading}:"));
            before = Some(heading);
        }
        lines.push(format!("{}: {}", n + 1, row_words(state, *row, route)));
    }
    lines
}

fn readings(session: &Session, state: &ReviewState) -> Vec<String> {
    let Some(check) = state.check() else { return Vec::new() };
    let unit = session.context().route.unit;
    let mut lines = vec![check_title(&check.series), wording::sentence(check, unit)];
    lines.extend(check_words(state, check, unit));
    let points = check.series.points.iter().enumerate();
    lines
        .extend(points.map(|(n, point)| format!("{}: {}", n + 1, point_words(check, point, unit))));
    lines
}

fn added(session: &Session, review: &ReviewState, held: &AttributedPiece) -> Vec<String> {
    let context = session.context();
    let (route, state) = (context.route, context.state);
    let piece = state.piece(&held.piece);
    let mut lines: Vec<String> = piece.map(|piece| way(session, piece)).unwrap_or_default();
    let ops =
        || held.attributions.iter().flat_map(|attribution| &attribution.stages).map(|stop| stop.op);
    let gauges = review.findings.gauges.iter();
    let moved = gauges.filter(|moved| ops().any(|op| moved.ops.contains(&op)));
    lines.extend(moved.map(|moved| wording::gauge_shift_sentence(moved, route.unit)));
    lines.extend(held.attributions.iter().flat_map(|attribution| attributed(route, attribution)));
    lines
}

fn attributed(route: &Route, attribution: &Attribution) -> Vec<String> {
    let unit = route.unit;
    let miss = wording::miss_text(attribution.miss, wording::feature_of(route, attribution), unit);
    let left = wording::where_it_left(attribution);
    let left = left.map_or_else(String::new, |left| format!(". {left}"));
    let mut lines = vec![format!("{}: {miss}{left}", attribution.feature)];
    lines.extend(attribution.added.iter().map(|added| {
        let what = wording::added_label(attribution, added);
        let what = if what.is_empty() { what } else { format!(": {what}") };
        format!(
            "{} added {}, plus or minus {}{what}",
            wording::op_label(route, &added.ops),
            wording::signed(added.amount, unit),
            decimal(added.uncertainty, unit)
        )
    }));
    lines.extend(wording::shared_ops(attribution));
    lines
}
