//! The sheet of a batch in review: what went out and why, what each operation added, the rows
//! that matter, fits, wood, and what to change next time. Its words are those of the command.

mod records;

use maud::{Markup, html};

use super::bar::{amount_either_way, share_of_one};
use super::check_chart::check_chart;
use super::fits::short_fit;
use super::page::Page;
use crate::fits::{FitError, JudgedFit};
use crate::learn::Lesson;
use crate::operation::decimal;
use crate::review::{
    Attribution, BatchReview, CheckDiagnosis, Out, WoodAmount, WoodUsed, check_lines, next_action,
    out_words, wording,
};
use crate::series::Diagnosis;

/// So many readings that are out are listed under their chart: a box must not be longer than
/// a sheet.
const MOST_OUT: usize = 24;

/// The sign for plus or minus, which a terminal may lack.
const PLUS_MINUS: &str = "±";

/// What the sheet is made from.
#[derive(Clone, Copy, Debug)]
pub struct ReviewSheetInput<'a> {
    /// The batch in review.
    pub review: &'a BatchReview<'a>,
    /// Every fit, as far as its pieces are made.
    pub fits: &'a [JudgedFit],
    /// Fits that can't be evaluated.
    pub troubles: &'a [FitError],
    /// What the batch teaches.
    pub lessons: &'a [Lesson],
}

/// The sheet, to hang up beside the machines.
pub fn review_sheet(input: &ReviewSheetInput<'_>) -> Page {
    let review = input.review;
    let found = &review.found;
    let body = html! {
        (heading(input))
        @if found.is_quiet() { p.lead.box { (review.quiet_words()) } }
        (went_out(review))
        (moved(review))
        (added(review))
        (rows(review))
        (fits(input))
        (wood(review))
        (next_time(input))
        (records::records(review))
    };
    let style = concat!(include_str!("figures.css"), include_str!("review.css"));
    Page { title: format!("Review of {}", review.batch), body, style, refresh: None }
}

/// The name of the batch, and the numbers to read from afar.
fn heading(input: &ReviewSheetInput<'_>) -> Markup {
    let review = input.review;
    let found = &review.found;
    let holding = input.fits.iter().filter(|fit| fit.can_be_counted_on()).count();
    let all = input.fits.len() + input.troubles.len();
    let days = days(review);
    html! {
        header {
            p.kind { "Review" @if review.state.invented { " of an invented batch" } }
            h1 { (review.batch) }
            p.facts {
                (review.route.name) " · " (review.shop.name)
                @if let Some(days) = days { " · " (days) }
            }
            p.facts { (review.amount_words()) }
            dl.tally {
                div { dt { "out of limits" } dd { (found.out.len()) } }
                div { dt { "readings" } dd { (found.readings) } }
                div { dt { "too close to call" } dd { (close(review)) } }
                @if all > 0 { div { dt { "fits to rely on" } dd { (holding) " of " (all) } } }
                @for used in &review.wood {
                    @if let Some(share) = used.all.yields() {
                        div {
                            dt { (used.named()) ", yield" }
                            dd { (format!("{:.0} %", share * 100.0)) }
                        }
                    }
                }
            }
        }
    }
}

/// From the first reading to the last: `3 Jan 2000 to 5 Jan 2000`.
fn days(review: &BatchReview<'_>) -> Option<String> {
    let counting = || review.state.readings.iter().filter(|reading| !reading.voided);
    let day = |at: chrono::DateTime<chrono::FixedOffset>| {
        at.format("%e %b %Y").to_string().trim_start().to_owned()
    };
    let first = day(counting().map(|reading| reading.at).min()?);
    let last = day(counting().map(|reading| reading.at).max()?);
    Some(if first == last { first } else { format!("{first} to {last}") })
}

fn close(review: &BatchReview<'_>) -> usize {
    review.found.checks.iter().map(|check| check.close).sum()
}

/// What went out, in the order found, each with its likely cause.
fn went_out(review: &BatchReview<'_>) -> Markup {
    let found = &review.found;
    html! {
        @if !found.out.is_empty() {
            h2 { "Out of tolerance, in the order found" }
            @for group in found.grouped_out() {
                @if let Some(first) = group.first() {
                    article.out {
                        p.op { "op " (first.op) }
                        div {
                            (went_out_words(&group, review))
                            (likely_cause(first, &group, review))
                        }
                    }
                }
            }
        }
    }
}

fn went_out_words(group: &[&Out], review: &BatchReview<'_>) -> Markup {
    let unit = review.route.unit;
    match group {
        [out] => html! {
            h3 { (out.name) ": " (wording::read_and_wanted(out, unit)) }
            p { (wording::limits_and_outcome(out, unit)) }
        },
        several => {
            let (head, names, became) = wording::grouped(several, unit);
            let feature = several.first().map(|out| out.feature.to_string());
            html! {
                h3 { (feature.unwrap_or_default()) ": " (head) }
                p { (names) }
                p { (became) }
            }
        }
    }
}

/// The likely cause at the check of pieces. Setup pieces are in no row, so no row tells of
/// them.
fn likely_cause(first: &Out, group: &[&Out], review: &BatchReview<'_>) -> Markup {
    let mut checks = review.found.checks.iter();
    let own =
        checks.find(|check| check.series.op == first.op && check.series.feature == first.feature);
    let told = |check: &&CheckDiagnosis| {
        let mut points = check.series.points.iter();
        let is_in_row = points.any(|point| group.iter().any(|out| out.piece == point.piece));
        is_in_row && !matches!(check.diagnosis, Diagnosis::TooFew { .. })
    };
    html! {
        @if let Some(check) = own.filter(told) {
            p { b { "Likely cause: " } (wording::sentence(check, review.route.unit)) }
            @if let Some(next) = next_action(check) { p { (next) } }
        }
    }
}

/// Gauges whose zero moved, and sizes that read differently on another day.
fn moved(review: &BatchReview<'_>) -> Markup {
    let found = &review.found;
    html! {
        @if !found.gauges.is_empty() {
            h2 { "Gauges" }
            @for moved in &found.gauges {
                p.box { (wording::gauge_shift_sentence(moved, review.route.unit)) }
            }
        }
        @if found.moved_repeats().next().is_some() {
            h2 { "Measured again on another day" }
            @for again in found.moved_repeats() {
                p.box { (wording::repeat_sentence(again, review.route)) }
            }
        }
    }
}

/// What each operation added to the pieces still out.
fn added(review: &BatchReview<'_>) -> Markup {
    let still = review.found.still_out();
    html! {
        @if !still.is_empty() {
            h2 { "What each operation added to the pieces still out" }
            div.figures {
                @for (out, others) in still {
                    @if let Some(way) = &out.attribution { (attributed(out, way, others, review)) }
                }
            }
        }
    }
}

fn attributed(out: &Out, way: &Attribution, others: usize, review: &BatchReview<'_>) -> Markup {
    let (route, unit) = (review.route, review.route.unit);
    let miss = wording::miss_text(way.miss, wording::feature_of(route, way), unit);
    let most = way.longest_bar().in_unit(unit);
    html! {
        article.added {
            h3 { (out.name) ", " (way.feature) ": " (miss) }
            table {
                @for added in &way.added {
                    tr {
                        th { (wording::op_label(route, &added.ops)) }
                        td.bar {
                            (amount_either_way(added.amount.in_unit(unit),
                                added.uncertainty.in_unit(unit), most))
                        }
                        td.number {
                            (wording::signed(added.amount, unit)) " " (PLUS_MINUS)
                            (decimal(added.uncertainty, unit))
                        }
                        td { (wording::added_label(way, added)) }
                    }
                }
            }
            @if let Some(left) = wording::where_it_left(way) { p { (left) } }
            @if let Some(shared) = wording::shared_ops(way) { p { (shared) } }
            @if others > 0 { p { (wording::alike(others)) "." } }
        }
    }
}

/// The checks worth a look with their charts, those with the strongest evidence first; then
/// the others in a line each.
fn rows(review: &BatchReview<'_>) -> Markup {
    let notable = review.found.notable();
    let is_quiet =
        |check: &&CheckDiagnosis| !notable.iter().any(|held| std::ptr::eq(*held, *check));
    let quiet: Vec<&CheckDiagnosis> = review.found.checks.iter().filter(is_quiet).collect();
    let unit = review.route.unit;
    html! {
        @if !notable.is_empty() {
            h2 { "Checks worth a look, in cut order" }
            @for check in &notable { (row(check, review)) }
        }
        @if !quiet.is_empty() {
            h2 { "Checks with nothing to report" }
            ul.quiet {
                @for check in quiet {
                    li { b { (wording::check_name(&check.series)) } ". " (wording::sentence(check, unit)) }
                }
            }
        }
    }
}

fn row(check: &CheckDiagnosis, review: &BatchReview<'_>) -> Markup {
    let unit = review.route.unit;
    let points = check.series.points.iter().filter(|point| point.verdict.is_out());
    let mut out: Vec<String> = points.map(|point| out_words(check, point, unit)).collect();
    if let Some(more @ 2..) = out.len().checked_sub(MOST_OUT) {
        out.truncate(MOST_OUT);
        out.push(format!("and {more} more"));
    }
    html! {
        article.box {
            h3 { (wording::check_name(&check.series)) }
            @if let Some(chart) = check_chart(check, review.state, unit) {
                figure.row { (chart.svg()) }
            }
            p.lead { (wording::sentence(check, unit)) }
            div.lines {
                @for line in check_lines(check, review.asked_of(check), &[], (unit, PLUS_MINUS)) {
                    p { (line) }
                }
            }
            @if !out.is_empty() { p.points { b { "Out: " } (out.join("; ")) "." } }
        }
    }
}

fn fits(input: &ReviewSheetInput<'_>) -> Markup {
    let any = !(input.fits.is_empty() && input.troubles.is_empty());
    html! {
        @if any {
            h2 { "Will it go together?" }
            div.figures {
                @for (n, judged) in input.fits.iter().enumerate() {
                    (short_fit(judged, input.review.route, n))
                }
                @for trouble in input.troubles {
                    article.box { h3 { (trouble.fit) } p { "can't be evaluated: " (trouble.error) } }
                }
            }
        }
    }
}

fn wood(review: &BatchReview<'_>) -> Markup {
    html! {
        @if !review.wood.is_empty() {
            h2 { "Where the wood went" }
            @for used in &review.wood { (wood_account(used, review)) }
        }
    }
}

/// One wood as a table that adds up to what was bought.
fn wood_account(used: &WoodUsed, review: &BatchReview<'_>) -> Markup {
    let unit = review.route.unit;
    let bought = WoodAmount::of(used.all.bought(), used, unit);
    let share = |figure: f64| if bought.figure > 0.0 { figure / bought.figure } else { 0.0 };
    html! {
        article.wood {
            h3 { (used.bought_words(unit)) }
            table {
                @for (name, area) in used.all.entries() {
                    @let figure = WoodAmount::of(area, used, unit).figure;
                    @if share(figure) > 0.0 || name == "parts" {
                        tr {
                            th { (name) }
                            td.number { (format!("{figure:.2}")) }
                            td.number { (format!("{:.1} %", share(figure) * 100.0)) }
                            td.bar { (share_of_one(share(figure))) }
                        }
                    }
                }
            }
            @for sentence in used.sentences() { p { (sentence) } }
        }
    }
}

/// What the batch teaches that files should say.
fn next_time(input: &ReviewSheetInput<'_>) -> Markup {
    let changes: Vec<(&Lesson, String)> =
        input.lessons.iter().filter_map(|lesson| Some((lesson, lesson.change_words()?))).collect();
    html! {
        h2 { "What to change next time" }
        @if changes.is_empty() { p { "No changes to the files are proposed." } }
        @for (lesson, change) in &changes {
            @let evidence = lesson.evidence.words(PLUS_MINUS);
            article.box {
                h3 { (lesson.about) }
                p { (lesson.says) }
                p.lead { (change) }
                @if !evidence.is_empty() { p { "From " (evidence) "." } }
            }
        }
        @if !changes.is_empty() && input.review.state.invented {
            p { "Invented for practice: nobody cut or measured anything." }
        }
    }
}
