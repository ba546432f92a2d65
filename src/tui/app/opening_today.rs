//! Today over the list of the opening screen.

use chrono::{DateTime, FixedOffset};

use super::opening::OpeningScreen;
use super::today::TodayScreen;
use super::{App, Stage};
use crate::tui::message::{Effect, TodayRead, Unread};
use crate::tui::screen::Screen;

impl OpeningScreen {
    /// What there is to do today, while that is shown.
    pub(in crate::tui) fn today(&self) -> Option<&TodayScreen> {
        self.today.as_deref()
    }

    /// Takes in what time it is.
    pub(super) fn arrived(&mut self, now: DateTime<FixedOffset>) {
        self.lists.now = now;
        if let Some(today) = &mut self.today {
            today.arrived(now);
        }
    }

    /// One line up or down.
    pub(super) fn step(&mut self, is_down: bool) {
        match &mut self.today {
            Some(today) => today.step(is_down, self.lists.now),
            None => {
                self.refusal = None;
                let line = self.chosen_line();
                self.choose(if is_down { line + 1 } else { line.saturating_sub(1) });
            }
        }
    }

    pub(super) fn screen(&self) -> Screen {
        match (&self.today, &self.sizes) {
            (Some(_), _) => Screen::Today,
            (None, Some(_)) => Screen::Sizes,
            (None, None) => Screen::Opening,
        }
    }
}

impl App {
    /// The batches were read for today.
    pub(super) fn today_read(&mut self, read: TodayRead) -> Vec<Effect> {
        if let Stage::Opening(opening) = &mut self.stage {
            opening.lists.now = read.now;
            let shown = TodayScreen::of(read);
            let shown = match opening.today.take() {
                Some(before) => shown.in_place_of(&before),
                None => shown,
            };
            opening.refusal = None;
            opening.today = Some(Box::new(shown));
        }
        Vec::new()
    }

    /// What the clock asks for.
    pub(super) fn woke(&mut self, now: DateTime<FixedOffset>) -> Vec<Effect> {
        match &mut self.stage {
            Stage::Opening(opening) => {
                opening.today.as_mut().map_or_else(Vec::new, |today| today.woke(now))
            }
            _ => Vec::new(),
        }
    }

    /// So much of today has no room.
    pub(super) fn today_drawn(&mut self, unread: Unread) {
        if let Stage::Opening(opening) = &mut self.stage
            && let Some(today) = &mut opening.today
        {
            today.drawn(unread);
        }
    }
}
