//! What there is to do today as a page for a screen on the wall, which reads itself again.

use maud::{Markup, html};

use super::Page;
use crate::journal::UnreadBatch;
use crate::work::{
    ArticleStanding, BatchToday, Today, TodayLine, TodayLineKind, articles_alike, machine_lines,
    today_title, waiting_lines,
};

/// After so many seconds a browser reads the page again.
const READ_AGAIN: u32 = 15;

/// Today over all batches, and those that can't be read.
pub fn wall_page(today: &Today, unread: &[UnreadBatch]) -> Page {
    let title = today_title(today);
    // The time comes first, then the bell and the day.
    let (clock, rest) = title.split_once(", ").unwrap_or((&title, ""));
    let (machines, waiting) = (machine_lines(today), waiting_lines(today));
    let body = html! {
        header {
            h1 { (clock) }
            p { (rest) }
        }
        @for batch in unread {
            p class="unread" { b { (batch.batch) } " can't be read: " (batch.why) }
        }
        main {
            @for block in blocks(&machines).into_iter().chain(blocks(&waiting)) { (card(block)) }
        }
        @if !today.batches.is_empty() {
            section class="articles" {
                h2 { "Pieces of each article" }
                p class="legend" {
                    @for held in ArticleStanding::ALL { (sign(Some(held))) " " (held.word()) " " }
                    "; the number is the operation they have come to"
                }
                @for batch in &today.batches { (batch_table(batch)) }
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

/// A line of work: what can be done with it comes first, in a word.
fn work(text: &str) -> Markup {
    let (word, what) = text.split_once(' ').unwrap_or((text, ""));
    html! {
        p class="work" { b class=(if word == "START" { "start" } else { "later" }) { (word) } " " (what) }
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
