//! Help: what the screen one came from asks, why, and what its words and signs
//! mean; all that it says, with what had no room there; its keys, printed from
//! the table; and what can be typed.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::text::Line;
use ratatui::widgets::Paragraph;

use super::frame::framed;
use super::lists::{first_in_view, scrolled};
use crate::plan::PartSoFar;
use crate::prose::{visible, wrap};
use crate::shop::DEFER;
use crate::tui::app::{App, Session};
use crate::tui::explanation::{END_VIEW, Explanation, FACES, of_screen};
use crate::tui::keys::BINDINGS;
use crate::tui::machine_view::{Shown, SoFar, Standing};
use crate::tui::screen::Screen;
use crate::tui::theme::Theme;
use crate::tui::widgets::{PartView, width};
use crate::work::WorkContext;

const TYPED: &str = "A reading: 1 7/16, 1-7/16 or 1+7/16 (a keypad has no space), 1.4375, 1,4375, \
7/16, 36.5mm. After a fraction + is strong, - is shy. A gauge that types by itself works too.";

/// From so many columns on the faces are drawn beside their words.
const COLUMNS_FOR_FACES: u16 = 60;

/// Answers which line is the first in view.
pub(super) fn draw(app: &App, scrolled_past: usize, frame: &mut Frame<'_>, area: Rect) -> usize {
    let screen = app.beneath();
    let body = framed(app, frame, area, "this screen", "");
    let mut page = HelpPage { lines: Vec::new(), room: body.width, theme: app.theme };
    match app.session().filter(|_| screen == Screen::Machine) {
        Some(session) => page.machine(session),
        None => page.sentences(of_screen(screen).iter().map(|text| (*text).to_owned())),
    }
    if screen == Screen::Pieces {
        page.sentences([standing_signs(app.theme)]);
    }
    page.gap();
    page.keys(screen);
    if screen == Screen::Machine {
        page.gap();
        page.sentences([TYPED.to_owned()]);
    }
    page.sentences(app.looks_each_second().map(str::to_owned));
    let first = first_in_view(page.lines.len(), scrolled_past, body.height);
    let shown = scrolled(page.lines, first, body.height, app.theme);
    frame.render_widget(Paragraph::new(shown), body);
    first
}

/// The lines of help, as they come to stand.
struct HelpPage {
    lines: Vec<Line<'static>>,
    room: u16,
    theme: Theme,
}

impl HelpPage {
    fn gap(&mut self) {
        if !self.lines.is_empty() {
            self.lines.push(Line::default());
        }
    }

    fn strong(&mut self, text: &str) {
        let wrapped = wrap(text, self.room).into_iter();
        self.lines.extend(wrapped.map(|line| Line::styled(line, self.theme.strong())));
    }

    fn sentences(&mut self, texts: impl IntoIterator<Item = String>) {
        for text in texts {
            self.lines.extend(wrap(&visible(&text), self.room).into_iter().map(Line::from));
        }
    }

    /// The question, in full.
    fn machine(&mut self, session: &Session) {
        let (context, task) = (session.context(), session.task());
        let Shown { view, so_far, .. } = session.shown();
        let Explanation { asked, choices, notes, words, has_faces } =
            Explanation::of(&context, task, view);
        // First, so that no window is too small for it.
        self.strong(DEFER);
        self.gap();
        self.strong(&visible(&view.order.line()));
        self.sentences(asked);
        self.sentences(view.beside.iter().cloned());
        let said = view.now.iter().chain(&view.places).chain(&view.details).chain(&view.why);
        self.sentences(said.filter(|text| *text != DEFER).cloned());
        self.sentences(choices);
        if !view.cautions.is_empty() {
            self.gap();
            self.cautions(&view.cautions);
        }
        if !notes.is_empty() {
            self.gap();
            self.sentences(["Notes, the newest first:".to_owned()]);
            self.sentences(notes);
        }
        if let Some(SoFar { part, names }) = so_far {
            self.gap();
            let part = PartView { part, names, theme: self.theme };
            self.lines.extend(part.lines(self.room.min(MOST_FOR_A_PART), ROWS_FOR_A_PART));
            self.sentences(not_drawn(&context, part.part));
        }
        if has_faces {
            self.gap();
            self.faces();
        }
        if !words.is_empty() {
            self.gap();
            self.sentences(words);
            self.sentences([standing_signs(self.theme)]);
        }
        if has_faces && context.planned().is_some_and(|planned| !planned.checks.is_empty()) {
            self.sentences([limit_signs(self.theme)]);
        }
    }

    fn cautions(&mut self, cautions: &[String]) {
        for caution in cautions {
            let wrapped = wrap(caution, self.room.saturating_sub(2));
            for (n, line) in wrapped.into_iter().enumerate() {
                let mark = if n == 0 { "! " } else { "  " };
                self.lines.push(Line::from(format!("{mark}{line}")));
            }
        }
    }

    /// What the faces are called, beside the end of a piece.
    fn faces(&mut self) {
        if self.room < COLUMNS_FOR_FACES {
            return self.sentences([FACES.to_owned()]);
        }
        let beside = END_VIEW.iter().map(|row| width(row)).max().unwrap_or(0) + 3;
        let mut words = wrap(FACES, self.room - beside).into_iter();
        let mut drawn = END_VIEW.iter();
        loop {
            let (row, text) = (drawn.next(), words.next());
            if row.is_none() && text.is_none() {
                return;
            }
            let row = row.copied().unwrap_or_default();
            let pad = " ".repeat(usize::from(beside - width(row)));
            self.lines.push(Line::from(format!("{row}{pad}{}", text.unwrap_or_default())));
        }
    }

    fn keys(&mut self, screen: Screen) {
        for binding in BINDINGS.iter().filter(|binding| binding.works_on(screen)) {
            let also = binding.keys.iter().find_map(|code| match code {
                crossterm::event::KeyCode::F(n) => Some(format!("F{n}")),
                _ => None,
            });
            let mut name = match also {
                // On the opening screen letters are looked for.
                Some(own) if screen == Screen::Opening || own == binding.name => own,
                Some(also) => format!("{} {also}", binding.name),
                None => binding.name.to_owned(),
            };
            for does in wrap(binding.does, self.room.saturating_sub(14)) {
                self.lines.push(Line::from(format!("{name:<14}{does}")));
                name.clear();
            }
        }
    }
}

/// A heading, four faces and what the signs mean.
const ROWS_FOR_A_PART: u16 = 6;

/// A part wider than this tells no more.
const MOST_FOR_A_PART: u16 = 90;

/// The cuts that the part so far doesn't show.
fn not_drawn(context: &WorkContext<'_>, part: &PartSoFar) -> Option<String> {
    let named = part.unplaced.iter().map(|op| {
        let planned = context.plan.operation(*op);
        planned.map_or(format!("op {op}"), |planned| format!("op {op} {}", planned.kind))
    });
    let named: Vec<String> = named.collect();
    let which = named.join(", ");
    let why = "cut at marks, whose place along the piece the route doesn't give";
    (!which.is_empty()).then(|| format!("Not drawn: {which}, {why}."))
}

/// The signs of pieces.
fn standing_signs(theme: Theme) -> String {
    let sign = |standing: Standing| format!("{} {}", standing.sign(theme), standing.word());
    let signs = Standing::ALL.map(sign).join(", ");
    format!("Signs of a piece: {signs}. Brackets hold the piece in hand.")
}

/// The signs of readings against their limits.
fn limit_signs(theme: Theme) -> String {
    let glyphs = theme.glyphs();
    format!(
        "Signs of readings: x out of limits, ? the gauge can't tell, {} within limits, o a \
         reading. ^ is the newest, and ( ) is as wide as its uncertainty.",
        glyphs.horizontal
    )
}
