//! What there is to do today: machine by machine, then what is waited for and where the
//! pieces of each article are, which a wide window has beside them.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::text::Line;

use super::beside::split;
use super::frame::framed;
use super::lists::{first_in_view, scrolled};
use crate::prose::{visible, wrap};
use crate::tui::app::{App, TodayScreen};
use crate::tui::message::Unread;
use crate::tui::theme::Theme;
use crate::work::{
    ArticleStanding, TodayLine, TodayLineKind, article_rows, machine_lines, today_title,
    waiting_lines,
};

/// From so many columns on there are two halves.
const COLUMNS_FOR_HALVES: u16 = 120;

/// Answers what of it has no room.
pub(super) fn draw(app: &App, held: &TodayScreen, frame: &mut Frame<'_>, area: Rect) -> Unread {
    let body = framed(app, frame, area, &format!("Today {}", today_title(&held.today)), "");
    let has_halves = body.width >= COLUMNS_FOR_HALVES;
    let (left, right) = if has_halves { split(body) } else { (body, Rect::default()) };
    let mut halves = vec![(machines(app.theme, held, left.width), left)];
    let rest = rest(app.theme, held, if has_halves { right.width } else { left.width });
    match has_halves {
        true => halves.push((rest, right)),
        false => halves[0].0.extend(rest),
    }
    let longest = halves.iter().map(|(lines, _)| lines.len()).max().unwrap_or(0);
    let first = first_in_view(longest, held.scrolled, body.height);
    for (lines, half) in halves {
        // A half that ends before the other stays where its last lines are.
        let shown = scrolled(lines, first, half.height, app.theme);
        super::lists::draw_lines(shown, half, frame.buffer_mut());
    }
    let in_view = usize::from(body.height);
    Unread { below: longest.saturating_sub(first + in_view), in_view, first: Some(first) }
}

fn machines(theme: Theme, held: &TodayScreen, columns: u16) -> Vec<Line<'static>> {
    let lines = machine_lines(&held.today);
    lines.iter().flat_map(|line| rows(theme, line, columns)).collect()
}

/// What is waited for, whose pieces are where, and what can't be read.
fn rest(theme: Theme, held: &TodayScreen, columns: u16) -> Vec<Line<'static>> {
    let waiting = waiting_lines(&held.today);
    let mut lines: Vec<Line<'static>> =
        waiting.iter().flat_map(|line| rows(theme, line, columns)).collect();
    if !held.today.batches.is_empty() {
        let signs =
            ArticleStanding::ALL.map(|stands| format!("{} {}", sign(theme, stands), stands.word()));
        let title = format!("Pieces of each article: {}", signs.join(", "));
        lines
            .extend(wrap(&title, columns).into_iter().map(|row| Line::styled(row, theme.strong())));
    }
    for batch in &held.today.batches {
        lines.push(Line::from(visible(&batch.batch)));
        let rows = article_rows(batch, columns.into(), |stands| sign(theme, stands));
        lines.extend(rows.into_iter().map(Line::from));
    }
    for unread in &held.read.unread {
        let text = visible(&format!("{} can't be read: {}", unread.batch, unread.why));
        lines.extend(wrap(&text, columns).into_iter().map(Line::from));
    }
    lines
}

fn rows(theme: Theme, line: &TodayLine, columns: u16) -> Vec<Line<'static>> {
    let style = match line.kind {
        TodayLineKind::Heading => theme.strong(),
        TodayLineKind::Work | TodayLineKind::Detail => theme.plain(),
    };
    line.rows(columns.into()).into_iter().map(|row| Line::styled(row, style)).collect()
}

fn sign(theme: Theme, standing: ArticleStanding) -> &'static str {
    match standing {
        ArticleStanding::Done => theme.glyphs().block,
        ArticleStanding::UnderWay => ">",
        ArticleStanding::Waiting => theme.glyphs().wood,
        ArticleStanding::Aside => "x",
    }
}
