//! One's own shop: its machines, or the lines of one; below the list what the chosen line
//! or the question says.

use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::text::Line;

use super::beside::draw_words;
use super::frame::framed;
use super::lists::{around, draw_lines, list_line};
use crate::prose::{visible, wrap};
use crate::tui::app::{App, ShopScreen, ShopView};
use crate::tui::shop_words::{line_told, line_words, title};
use crate::tui::widgets::{whole_or_dots, width};

/// The columns of what a line is about.
const ABOUT: u16 = 32;

/// In a narrow window they share the row.
const ABOUT_NARROW: u16 = 19;

pub(super) fn draw(app: &App, shop: &ShopScreen, frame: &mut Frame<'_>, area: Rect) {
    let enter = match shop.view() {
        ShopView::Machines { .. } => "look",
        ShopView::Machine { .. } => "ask",
    };
    let body = framed(app, frame, area, &visible(&title(shop)), enter);
    let told = told(shop);
    let rows: usize = told.iter().map(|text| wrap(text, body.width).len()).sum();
    let rows = (rows as u16).min(body.height.saturating_sub(2));
    let blank = u16::from(body.height > rows + 8);
    let [list, _, below] = body.layout(&Layout::vertical([
        Constraint::Fill(1),
        Constraint::Length(blank),
        Constraint::Length(rows),
    ]));
    let lines = shop.lines();
    let (shown, more) = around(lines.len(), shop.selected(), list.height);
    let room = list.width.saturating_sub(2);
    let about = if room < 70 { ABOUT_NARROW } else { ABOUT };
    let mut drawn: Vec<Line<'static>> = shown
        .map(|n| {
            let (name, known) = line_words(&shop.listing, &lines[n]);
            let name = whole_or_dots(&visible(&name), about);
            let gap = " ".repeat(usize::from(about.saturating_sub(width(&name)) + 1));
            let text = whole_or_dots(&format!("{name}{gap}{}", visible(&known)), room);
            list_line(app.theme, n == shop.selected(), text)
        })
        .collect();
    if more > 0 {
        drawn.push(Line::from(format!("  {more} more below")));
    }
    draw_lines(drawn, list, frame.buffer_mut());
    draw_words(&told, frame, below);
}

/// What is to be done, or what is known of the chosen line.
fn told(shop: &ShopScreen) -> Vec<String> {
    let asked = shop.told();
    if !asked.is_empty() {
        return asked.iter().map(|text| visible(text)).collect();
    }
    let line = shop.lines().into_iter().nth(shop.selected());
    let known = line.map_or_else(Vec::new, |line| line_told(&shop.listing, &line));
    let said = shop.said().map(str::to_owned);
    said.into_iter().chain(known).map(|text| visible(&text)).collect()
}
