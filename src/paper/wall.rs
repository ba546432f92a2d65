//! What there is to do today as a page for a screen on the wall, which reads itself again.

use maud::{Markup, html};

use super::Page;
use super::page::scrolls;
use crate::journal::UnreadBatch;
use crate::work::{
    ArticleStanding, BatchToday, Today, TodayLine, TodayLineKind, articles_alike, machine_lines,
    today_title, waiting_lines,
};

/// The word for what can't be done yet.
const WAITS: &str = "waits";

/// After so many seconds a browser reads the page again.
const READ_AGAIN: u32 = 15;

/// Today over all batches, and those that can't be read.
pub fn wall_page(today: &Today, unread: &[UnreadBatch]) -> Page {
    let title = today_title(today);
    // The time comes first, then the bell and the day.
    let (clock, rest) = title.split_once(", ").unwrap_or((&title, ""));
    let (machines, waiting) = (machine_lines(today), waiting_lines(today));
    // A wall can't be scrolled: what can be done now stands first.
    let mut cards = blocks(&machines);
    cards.sort_by_key(|lines| !lines.iter().any(can_be_done));
    cards.extend(blocks(&waiting));
    let body = html! {
        header {
            h1 { (clock) }
            p { (rest) }
        }
        @for batch in unread {
            p class="unread" { b { (batch.batch) } " can't be read: " (batch.why) }
        }
        div class="cards" {
            @for lines in cards { (card(lines)) }
        }
        @if !today.batches.is_empty() {
            section class="articles" {
                h2 { "Pieces of each article" }
                p class="legend" {
                    @for held in ArticleStanding::ALL { (sign(Some(held))) " " (held.word()) ", " }
                    "and the number of the operation they have come to"
                }
                @for batch in &today.batches { (scrolls(&batch.batch, &batch_table(batch))) }
            }
        }
    };
    let style = include_str!("wall.css");
    Page { title: "Today".to_owned(), style, body, refresh: Some(READ_AGAIN) }
}

/// The lines of a page, a heading with what is below it each time.
fn blocks(lines: &[TodayLine]) -> Vec<&[TodayLine]> {
    lines.chunk_by(|_, next| next.kind != TodayLineKind::Heading).collect()
}

fn card(lines: &[TodayLine]) -> Markup {
    html! {
        section class="card" {
            @for line in lines {
                @match line.kind {
                    TodayLineKind::Heading => h2 { (line.text) },
                    TodayLineKind::Work => (work(&line.text)),
                    TodayLineKind::Detail => p { (line.text) },
                }
            }
        }
    }
}

/// What can be done with some work comes first in its line, in a word.
fn standing_and_work(text: &str) -> (&str, &str) {
    text.split_once(' ').unwrap_or((text, ""))
}

fn can_be_done(line: &TodayLine) -> bool {
    line.kind == TodayLineKind::Work && standing_and_work(&line.text).0 != WAITS
}

fn work(text: &str) -> Markup {
    let (word, what) = standing_and_work(text);
    let class = if word == WAITS { "work later" } else { "work" };
    html! {
        p class=(class) { b { (word) } " " (what) }
    }
}

/// Articles by parts: a sign for each operation, and how far each part has come.
fn batch_table(batch: &BatchToday) -> Markup {
    html! {
        table {
            caption { (batch.batch) }
            thead {
                tr {
                    th { (batch.article) }
                    @for part in &batch.parts { th { (part.part) } }
                }
            }
            tbody {
                @for articles in articles_alike(batch) {
                    tr {
                        th { (articles.label) }
                        @for (stands, place) in &articles.parts {
                            td {
                                span class="signs" { @for held in stands { (sign(*held)) } }
                                " " b { (place) }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// The sign of a standing, told apart by its shape.
fn sign(standing: Option<ArticleStanding>) -> Markup {
    let class = match standing {
        Some(ArticleStanding::Done) => "done",
        Some(ArticleStanding::UnderWay) => "begun",
        Some(ArticleStanding::Waiting) => "waits",
        Some(ArticleStanding::Aside) => "aside",
        None => "none",
    };
    let word = standing.map_or("", ArticleStanding::word);
    html! { i class=(class) title=(word) {} }
}
