//! The pieces of an operation in one row of signs, and the operations of a
//! route in another.

use ratatui::text::{Line, Span};

use super::prose::width;
use crate::route::Role;
use crate::tui::machine_view::{PieceMark, PieceRow, Standing};
use crate::tui::theme::Theme;

/// With more pieces than this the row is a bar, and the odd ones are named.
const MOST_CELLS: usize = 20;

/// From this width on a piece has its last reading beside its sign.
const WITH_READINGS: u16 = 120;

impl Standing {
    /// Its sign.
    pub(in crate::tui) fn sign(self, theme: Theme) -> &'static str {
        let glyphs = theme.glyphs();
        match self {
            Standing::Within => glyphs.block,
            Standing::Cut => glyphs.lower_half,
            Standing::Again => "+",
            Standing::Unsure => "?",
            Standing::Accepted => "a",
            Standing::Aside => "x",
            Standing::ToGo => glyphs.wood,
        }
    }

    /// Whether it asks for attention.
    fn is_odd(self) -> bool {
        !matches!(self, Standing::Within | Standing::Cut | Standing::ToGo)
    }
}

impl PieceRow {
    /// `4 of 9`, for a place beside the title: `4/9`.
    pub(in crate::tui) fn progress(&self) -> String {
        if self.marks.is_empty() {
            return String::new();
        }
        format!("{}/{}", self.through, self.marks.len())
    }
}

/// `setup █   leg 1 █  2 ▄ [3]  4 ░   spare 5 ░        4 of 9`.
pub(in crate::tui) fn piece_line(row: &PieceRow, room: u16, theme: Theme) -> Line<'static> {
    let count = format!("{} of {}", row.through, row.marks.len());
    let left = if row.marks.len() > MOST_CELLS {
        bar(row, room, theme)
    } else {
        let with = cells(row, room >= WITH_READINGS, theme);
        let fits = |text: &String| width(text) + 2 + width(&count) <= room;
        Some(with).filter(fits).unwrap_or_else(|| {
            let without = cells(row, false, theme);
            if fits(&without) { without } else { bar(row, room, theme) }
        })
    };
    let gap = usize::from(room.saturating_sub(width(&left) + width(&count)));
    Line::from(vec![
        Span::styled(left, theme.plain()),
        Span::raw(" ".repeat(gap)),
        Span::styled(count, theme.plain()),
    ])
}

fn cells(row: &PieceRow, with_readings: bool, theme: Theme) -> String {
    let mut text = String::new();
    let mut before: Option<Role> = None;
    let mut is_open = false;
    for (n, mark) in row.marks.iter().enumerate() {
        let next = row.marks.get(n + 1);
        let joins = |other: Option<&PieceMark>| {
            other.is_some_and(|other| other.in_hand && other.role == mark.role)
        };
        if before != Some(mark.role) {
            let word = match mark.role {
                Role::Setup => "setup",
                Role::Spare => "spare",
                Role::Set | Role::Blank => row.part.as_str(),
            };
            let gap = if text.is_empty() { "" } else { "  " };
            text += &format!("{gap}{word}");
            before = Some(mark.role);
        }
        let number = match mark.role {
            Role::Setup => String::new(),
            _ => mark.number.to_string(),
        };
        let sign = mark.standing.sign(theme);
        if mark.in_hand {
            text += if is_open { "  " } else { " [" };
            let sign = if mark.standing.is_odd() { sign } else { "" };
            let name = if number.is_empty() { "s" } else { &number };
            text += &format!("{name}{sign}");
            is_open = joins(next);
            if !is_open {
                text += "]";
            }
            continue;
        }
        let gap = if text.ends_with(']') { "" } else { " " };
        let named = if number.is_empty() { sign.to_owned() } else { format!("{number} {sign}") };
        text += &format!(" {gap}{named}");
        if with_readings && !mark.reading.is_empty() {
            text += &format!(" {}", mark.reading);
        }
    }
    text.replace("setup  ", "setup ")
        .replace("spare  ", "spare ")
        .replace(&format!("{}  ", row.part), &format!("{} ", row.part))
}

/// Twenty cells for all pieces, then the odd ones by number.
fn bar(row: &PieceRow, room: u16, theme: Theme) -> String {
    let all = row.marks.len().max(1);
    let full = row.through * MOST_CELLS / all;
    let glyphs = theme.glyphs();
    let mut text = format!(
        "{} {}{}",
        row.part,
        glyphs.block.repeat(full),
        glyphs.wood.repeat(MOST_CELLS - full)
    );
    let odd = row.marks.iter().filter(|mark| mark.in_hand || mark.standing.is_odd());
    let named = odd.map(|mark| {
        let role = if mark.role == Role::Setup { "s" } else { "" };
        let sign = if mark.standing.is_odd() { mark.standing.sign(theme) } else { "" };
        let (open, close) = if mark.in_hand { ("[", "]") } else { ("", "") };
        format!("{open}{role}{}{sign}{close}", mark.number)
    });
    for (n, name) in named.enumerate() {
        let gap = if n == 0 { "   " } else { " " };
        // The count at the end, and dots for what is left out.
        if width(&text) + width(gap) + width(&name) + 18 > room {
            text += " ...";
            break;
        }
        text += gap;
        text += &name;
    }
    text
}

/// The operations of one part.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(in crate::tui) struct RoutePart {
    pub part: String,
    /// Each operation: its number, and whether it is finished.
    pub ops: Vec<(u32, bool)>,
}

/// `leg █████[60]░░░  rail ░░░`: one cell an operation; where there are more
/// than cells, parts without the one in hand shrink to `rail 0/9`.
pub(in crate::tui) fn route_line(
    parts: &[RoutePart],
    here: u32,
    room: u16,
    theme: Theme,
) -> String {
    let gap = if room >= WITH_READINGS { "   " } else { "  " };
    let glyphs = theme.glyphs();
    let whole = |part: &RoutePart| {
        let cells: String = part
            .ops
            .iter()
            .map(|(op, done)| match (*op == here, done) {
                (true, _) => format!("[{op}]"),
                (false, true) => glyphs.block.to_owned(),
                (false, false) => glyphs.wood.to_owned(),
            })
            .collect();
        format!("{} {cells}", part.part)
    };
    let short = |part: &RoutePart| {
        let done = part.ops.iter().filter(|(_, done)| *done).count();
        format!("{} {done}/{}", part.part, part.ops.len())
    };
    let is_here = |part: &RoutePart| part.ops.iter().any(|(op, _)| *op == here);
    let mut texts: Vec<String> = parts.iter().map(whole).collect();
    let long = |texts: &[String]| {
        texts.iter().map(|text| width(text)).sum::<u16>() + width(gap) * texts.len() as u16
            > room + width(gap)
    };
    // The last parts are furthest away.
    for n in (0..parts.len()).rev() {
        if long(&texts) && !is_here(&parts[n]) {
            texts[n] = short(&parts[n]);
        }
    }
    let place = parts.iter().position(is_here).unwrap_or(0);
    let mut from = 0;
    while long(&texts[from..]) && texts.len() - from > 1 {
        if from + texts.len() - 1 > place && texts.len() - 1 > place {
            texts.pop();
        } else {
            from += 1;
        }
    }
    texts[from.min(texts.len())..].join(gap)
}

#[cfg(test)]
mod tests {
    use super::super::trial::{ASCII, BLOCKS};
    use super::*;

    fn mark(role: Role, number: u32, standing: Standing, in_hand: bool) -> PieceMark {
        PieceMark { number, role, standing, in_hand, reading: String::new() }
    }

    fn row() -> PieceRow {
        let marks = vec![
            mark(Role::Setup, 1, Standing::Within, false),
            mark(Role::Set, 1, Standing::Within, false),
            mark(Role::Set, 2, Standing::Cut, false),
            mark(Role::Set, 3, Standing::Again, true),
            mark(Role::Set, 4, Standing::ToGo, false),
            mark(Role::Spare, 5, Standing::Aside, false),
        ];
        PieceRow { part: "leg".to_owned(), marks, through: 4 }
    }

    #[test]
    fn each_piece_has_its_sign_and_the_one_in_hand_its_brackets() {
        let line = piece_line(&row(), 60, BLOCKS).to_string();
        assert_eq!(line, "setup █  leg 1 █  2 ▄ [3+] 4 ░  spare 5 x             4 of 6");
        let plain = piece_line(&row(), 60, ASCII).to_string();
        assert_eq!(plain, "setup #  leg 1 #  2 = [3+] 4 .  spare 5 x             4 of 6");
    }

    #[test]
    fn two_in_hand_share_their_brackets() {
        let mut row = row();
        row.marks[3].standing = Standing::ToGo;
        row.marks[4].in_hand = true;
        let line = piece_line(&row, 60, ASCII).to_string();
        assert!(line.contains("2 = [3  4]  spare 5 x"), "{line}");
    }

    /// By hand: 10 of 40 are a quarter, five cells of twenty.
    #[test]
    fn many_pieces_are_a_bar_and_the_odd_ones_are_named() {
        let mut marks: Vec<PieceMark> =
            (1..=40).map(|number| mark(Role::Set, number, Standing::ToGo, false)).collect();
        marks[16].standing = Standing::Again;
        marks[30].standing = Standing::Aside;
        let row = PieceRow { part: "leg".to_owned(), marks, through: 10 };
        let line = piece_line(&row, 60, ASCII).to_string();
        assert_eq!(line, "leg #####...............   17+ 31x                  10 of 40");
    }

    #[test]
    fn parts_further_away_shrink_first() {
        let part = |name: &str, from: u32, done: usize| RoutePart {
            part: name.to_owned(),
            ops: (0..9).map(|n| (from + 10 * n as u32, n < done)).collect(),
        };
        let parts = [part("leg", 10, 5), part("rail", 110, 0), part("stretcher", 210, 0)];
        let line = |room| route_line(&parts, 60, room, ASCII);
        assert_eq!(line(80), "leg #####[60]...  rail .........  stretcher .........");
        assert_eq!(line(52), "leg #####[60]...  rail .........  stretcher 0/9");
        assert_eq!(line(40), "leg #####[60]...  rail 0/9");
        assert_eq!(line(20), "leg #####[60]...");
    }

    /// `leg ` and twenty cells are 24, the first name after three blanks 30, and the count
    /// needs 18: 48 columns. One more name and its blank are 52.
    #[test]
    fn names_that_have_no_room_become_dots() {
        let mut marks: Vec<PieceMark> =
            (1..=40).map(|number| mark(Role::Set, number, Standing::ToGo, false)).collect();
        marks[16].standing = Standing::Again;
        marks[30].standing = Standing::Aside;
        marks[35].in_hand = true;
        let row = PieceRow { part: "leg".to_owned(), marks, through: 10 };
        let cells = "leg #####...............";
        assert_eq!(bar(&row, 47, ASCII), format!("{cells} ..."));
        assert_eq!(bar(&row, 48, ASCII), format!("{cells}   17+ ..."));
        assert_eq!(bar(&row, 51, ASCII), format!("{cells}   17+ ..."));
        assert_eq!(bar(&row, 52, ASCII), format!("{cells}   17+ 31x ..."));
        assert_eq!(bar(&row, 80, ASCII), format!("{cells}   17+ 31x [36]"));
    }

    /// By hand: 16, 14 and 19 columns with two blanks between them are 53; the last part
    /// short takes 6 fewer, the one before it too; 16, 2 and 8 are 26. In the last part 13, 14
    /// and 23 are 54, and what lies behind shrinks and goes.
    #[test]
    fn a_route_shrinks_column_by_column() {
        let part = |name: &str, from: u32, done: usize| RoutePart {
            part: name.to_owned(),
            ops: (0..9).map(|n| (from + 10 * n as u32, n < done)).collect(),
        };
        let parts = [part("leg", 10, 5), part("rail", 110, 0), part("stretcher", 210, 0)];
        let line = |here, room| route_line(&parts, here, room, ASCII);
        let leg = "leg #####[60]...";
        assert_eq!(line(60, 53), format!("{leg}  rail .........  stretcher ........."));
        assert_eq!(line(60, 47), format!("{leg}  rail .........  stretcher 0/9"));
        assert_eq!(line(60, 46), format!("{leg}  rail 0/9  stretcher 0/9"));
        assert_eq!(line(60, 41), format!("{leg}  rail 0/9  stretcher 0/9"));
        assert_eq!(line(60, 26), format!("{leg}  rail 0/9"));
        assert_eq!(line(60, 25), leg);
        let last = "stretcher [210]........";
        assert_eq!(line(210, 54), format!("leg #####....  rail .........  {last}"));
        assert_eq!(line(210, 53), format!("leg #####....  rail 0/9  {last}"));
        assert_eq!(line(210, 47), format!("leg 5/9  rail 0/9  {last}"));
        assert_eq!(line(210, 41), format!("rail 0/9  {last}"));
        assert_eq!(line(210, 32), last);
    }
}
