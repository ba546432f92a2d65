//! The fits of a route or a batch on a page: each with its condition, what comes of it at the
//! worst and in all likelihood, how simulated articles lie, and what moves it most.

use maud::{Markup, html};

use super::bar::share_of_one;
use super::distribution::distribution;
use super::page::Page;
use crate::fits::fit_words::{as_it_stands, draw_lines, fit_name, share_words, way_lines};
use crate::fits::wording::{advice, between, percent, season_words, verdict, wider_limits};
use crate::fits::{FitAttribution, FitError, JudgedFit};
use crate::route::Route;

/// What the page is made from.
#[derive(Clone, Copy, Debug)]
pub struct FitsPageInput<'a> {
    /// The route.
    pub route: &'a Route,
    /// The name of the shop.
    pub shop: &'a str,
    /// What was made so far, a line each.
    pub made: &'a [String],
    /// Every fit.
    pub judged: &'a [JudgedFit],
    /// How the made dimensions of each moved it, where any is made.
    pub ways: &'a [Option<FitAttribution>],
    /// Fits that can't be evaluated.
    pub troubles: &'a [FitError],
}

/// A page with every fit.
pub fn fits_page(input: &FitsPageInput<'_>) -> Page {
    let title = format!("{}: will it go together?", input.route.name);
    let loose = wider_limits(input.judged, input.route.unit);
    let body = html! {
        h1 { (title) }
        p.facts { "Shop: " (input.shop) }
        @for made in input.made { p { (made) } }
        @if input.judged.is_empty() && input.troubles.is_empty() {
            p.lead { "The route names no fits." }
        }
        @for (n, (judged, way)) in input.judged.iter().zip(input.ways).enumerate() {
            (whole_fit(judged, way.as_ref(), input.route, n))
        }
        @for trouble in input.troubles {
            section { h2 { (trouble.fit) } p.lead { "can't be evaluated: " (trouble.error) } }
        }
        @if !loose.is_empty() {
            h2 { "Limits that can be relaxed" }
            ul { @for sentence in &loose { li { (sentence) } } }
        }
    };
    Page { title, body, style: include_str!("figures.css"), refresh: None }
}

/// One fit with all that is known of it.
fn whole_fit(judged: &JudgedFit, way: Option<&FitAttribution>, route: &Route, n: usize) -> Markup {
    let unit = route.unit;
    let (now, _) = as_it_stands(judged, unit);
    let from_plan = way.map(|way| way_lines(way, unit));
    html! {
        section {
            h2 { (fit_name(judged, &route.article)) }
            p { "= " (judged.is) }
            p.lead { (verdict(judged, unit)) }
            div.figures {
                @if let Some(drawing) = distribution(judged, unit, &format!("fit-{n}")) {
                    figure { (drawing) }
                }
                table {
                    tr { th { (now) } td { (judged.stands_words(unit)) } }
                    tr { th { "worst" } td { (between(judged.worst, unit)) } }
                    tr { th { "likely" } td { (between(judged.likely, unit)) } }
                    @if let Some(seasons) = &judged.seasons {
                        tr { th { "winter" } td { (season_words(&seasons.winter, unit)) } }
                        tr { th { "summer" } td { (season_words(&seasons.summer, unit)) } }
                    }
                    @if let Some(share) = &judged.share {
                        tr { th { "fits" } td { (share_words(share)) } }
                    }
                }
            }
            (contributions(judged, route))
            div.lines {
                @for sentence in advice(judged, unit) { p { (sentence) } }
                @if let Some((from, lines)) = from_plan {
                    div { p { "From plan " (from) } ul { @for line in lines { li { (line) } } } }
                }
                @if judged.share.is_some() {
                    @for line in draw_lines(judged, unit) { p { "Drawn: " (line) "." } }
                }
            }
        }
    }
}

/// What each dimension does to a fit, with a bar for its share.
fn contributions(judged: &JudgedFit, route: &Route) -> Markup {
    html! {
        @if !judged.contributions.is_empty() {
            table {
                @for one in &judged.contributions {
                    tr {
                        th { (one.dim) }
                        td { (one.made_at()) @if one.made { ", made" } }
                        td.number { (one.moves_words(route.unit)) }
                        td.bar { (share_of_one(one.share)) }
                        td.number { (percent(one.share)) }
                    }
                }
            }
        }
        @if !judged.as_drawn.is_empty() {
            p { "Taken as drawn: " (judged.as_drawn.join(", ")) }
        }
    }
}

/// One fit in short, for a sheet about more than fits.
pub(super) fn short_fit(judged: &JudgedFit, route: &Route, n: usize) -> Markup {
    let unit = route.unit;
    html! {
        article.box {
            h3 { (fit_name(judged, &route.article)) }
            @if let Some(drawing) = distribution(judged, unit, &format!("fit-{n}")) {
                figure { (drawing) }
            }
            p.lead { (verdict(judged, unit)) }
            @if let Some(share) = &judged.share { p { "Fits: " (share_words(share)) "." } }
            @for sentence in advice(judged, unit) { p { (sentence) } }
        }
    }
}
