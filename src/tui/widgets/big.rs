//! The one number that is read from six feet.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::widgets::Widget;

use super::prose::{whole_or_dots, width};
use crate::tui::theme::Theme;

/// Blank columns of the pattern between two signs.
const GAP: u16 = 1;

/// A text in big digits: ten rows tall where there is room, five, three where
/// five don't fit, otherwise in plain bold. A number that can't be shown whole gives way to dots, for
/// half a number is a wrong one.
#[derive(Clone, Copy, Debug)]
pub(crate) struct BigNumber<'a> {
    /// The number as its scale shows it.
    pub text: &'a str,
    /// The signs and styles to draw with.
    pub theme: Theme,
}

/// The columns and rows a text takes when drawn ten, five, three or one row tall.
/// One row when the text has a sign that can't be drawn big.
pub(crate) fn size(text: &str, rows: u16) -> (u16, u16) {
    let plain = (width(text), 1);
    if rows < 3 || text.is_empty() {
        return plain;
    }
    let mut columns: u16 = 0;
    for character in text.chars() {
        let Some(pattern) = pattern(character) else { return plain };
        // A pattern is at most five wide.
        columns = columns.saturating_add(pattern[0].len() as u16 + GAP);
    }
    columns -= GAP;
    match rows {
        ..5 => (columns, 3),
        5..10 => (columns.saturating_mul(2), 5),
        10.. => (columns.saturating_mul(4), 10),
    }
}

impl BigNumber<'_> {
    /// How tall the text is drawn in this much room: ten, five, three or one.
    pub(crate) fn rows_within(&self, columns: u16, rows: u16) -> u16 {
        let fits = |tall: u16| {
            let (wide, high) = size(self.text, tall);
            high == tall && high <= rows && wide <= columns
        };
        let small_can_be_drawn =
            !self.theme.ascii || self.text.chars().all(|c| strokes(c).is_some());
        match () {
            () if fits(10) => 10,
            () if fits(5) => 5,
            () if fits(3) && small_can_be_drawn => 3,
            () => 1,
        }
    }

    /// Every dot `scale` rows tall and twice as many columns wide.
    fn draw_dots(&self, scale: u16, area: Rect, buf: &mut Buffer) {
        let block = self.theme.glyphs().block;
        let wide = scale * 2;
        let mut left = area.x;
        for pattern in self.text.chars().filter_map(pattern) {
            for (y, row) in (area.y..).step_by(scale.into()).zip(pattern) {
                for (x, dot) in (left..).step_by(wide.into()).zip(row.bytes()) {
                    if dot == b'#' {
                        for (dx, dy) in (0..wide).flat_map(|dx| (0..scale).map(move |dy| (dx, dy)))
                        {
                            buf[(x + dx, y + dy)].set_symbol(block).set_style(self.theme.number());
                        }
                    }
                }
            }
            left += wide * (pattern[0].len() as u16 + GAP);
        }
    }

    /// The same pattern, two of its rows to a cell.
    fn draw_half_blocks(&self, area: Rect, buf: &mut Buffer) {
        let mut left = area.x;
        for pattern in self.text.chars().filter_map(pattern) {
            for (y, pair) in (area.y..).zip(pattern.chunks(2)) {
                for (i, x) in (left..).take(pattern[0].len()).enumerate() {
                    let dot = |row: Option<&&str>| row.is_some_and(|row| row.as_bytes()[i] == b'#');
                    let symbol = match (dot(pair.first()), dot(pair.get(1))) {
                        (true, true) => "█",
                        (true, false) => "▀",
                        (false, true) => "▄",
                        (false, false) => continue,
                    };
                    buf[(x, y)].set_symbol(symbol).set_style(self.theme.number());
                }
            }
            left += pattern[0].len() as u16 + GAP;
        }
    }

    fn draw_strokes(&self, area: Rect, buf: &mut Buffer) {
        let mut left = area.x;
        for strokes in self.text.chars().filter_map(strokes) {
            for (y, row) in (area.y..).zip(strokes) {
                buf.set_string(left, y, row, self.theme.number());
            }
            left += strokes[0].len() as u16 + GAP;
        }
    }
}

impl Widget for BigNumber<'_> {
    fn render(self, area: Rect, buf: &mut Buffer) {
        let area = area.intersection(buf.area);
        if area.is_empty() {
            return;
        }
        match self.rows_within(area.width, area.height) {
            10 => self.draw_dots(2, area, buf),
            5 => self.draw_dots(1, area, buf),
            3 if self.theme.ascii => self.draw_strokes(area, buf),
            3 => self.draw_half_blocks(area, buf),
            _ if width(self.text) <= area.width => {
                buf.set_string(area.x, area.y, self.text, self.theme.number());
            }
            _ => buf.set_string(
                area.x,
                area.y,
                whole_or_dots("...", area.width),
                self.theme.number(),
            ),
        }
    }
}

/// The dots of a sign. One dot is two columns by one row, which is about
/// square, so that a stroke is as thick across as it is tall.
#[rustfmt::skip]
fn pattern(character: char) -> Option<&'static [&'static str; 5]> {
    Some(match character {
        '0' => &["###", "#.#", "#.#", "#.#", "###"],
        '1' => &[".#.", "##.", ".#.", ".#.", "###"],
        '2' => &["###", "..#", "###", "#..", "###"],
        '3' => &["###", "..#", ".##", "..#", "###"],
        '4' => &["#.#", "#.#", "###", "..#", "..#"],
        '5' => &["###", "#..", "###", "..#", "###"],
        '6' => &["###", "#..", "###", "#.#", "###"],
        '7' => &["###", "..#", "..#", "..#", "..#"],
        '8' => &["###", "#.#", "###", "#.#", "###"],
        '9' => &["###", "#.#", "###", "..#", "###"],
        '/' => &["...#", "..#.", "..#.", ".#..", "#..."],
        '.' => &[".", ".", ".", ".", "#"],
        ',' => &["..", "..", "..", ".#", "#."],
        '-' => &["...", "...", "###", "...", "..."],
        '+' => &["...", ".#.", "###", ".#.", "..."],
        ' ' => &["..", "..", "..", "..", ".."],
        '\'' => &["#", "#", ".", ".", "."],
        '"' => &["#.#", "#.#", "...", "...", "..."],
        '°' => &["###", "#.#", "###", "...", "..."],
        '?' => &["##.", "..#", ".#.", "...", ".#."],
        '!' => &["#", "#", "#", ".", "#"],
        ':' => &[".", "#", ".", "#", "."],
        'm' => &[".....", ".....", "#####", "#.#.#", "#.#.#"],
        'n' => &["...", "...", "###", "#.#", "#.#"],
        'i' => &["#", ".", "#", "#", "#"],
        'x' => &["...", "...", "#.#", ".#.", "#.#"],
        'A' => &[".#.", "#.#", "###", "#.#", "#.#"],
        'B' => &["##.", "#.#", "##.", "#.#", "##."],
        'C' => &[".##", "#..", "#..", "#..", ".##"],
        'D' => &["##.", "#.#", "#.#", "#.#", "##."],
        'E' => &["###", "#..", "##.", "#..", "###"],
        'F' => &["###", "#..", "##.", "#..", "#.."],
        'G' => &[".##", "#..", "#.#", "#.#", ".##"],
        'H' => &["#.#", "#.#", "###", "#.#", "#.#"],
        'I' => &["###", ".#.", ".#.", ".#.", "###"],
        'J' => &["..#", "..#", "..#", "#.#", ".#."],
        'K' => &["#.#", "#.#", "##.", "#.#", "#.#"],
        'L' => &["#..", "#..", "#..", "#..", "###"],
        'M' => &["#...#", "##.##", "#.#.#", "#...#", "#...#"],
        'N' => &["#..#", "##.#", "#.##", "#..#", "#..#"],
        'O' => &[".##.", "#..#", "#..#", "#..#", ".##."],
        'P' => &["##.", "#.#", "##.", "#..", "#.."],
        'Q' => &[".##.", "#..#", "#..#", "#.#.", ".#.#"],
        'R' => &["##.", "#.#", "##.", "#.#", "#.#"],
        'S' => &[".##", "#..", ".#.", "..#", "##."],
        'T' => &["###", ".#.", ".#.", ".#.", ".#."],
        'U' => &["#.#", "#.#", "#.#", "#.#", "###"],
        'V' => &["#.#", "#.#", "#.#", "#.#", ".#."],
        'W' => &["#...#", "#...#", "#.#.#", "##.##", "#...#"],
        'X' => &["#.#", "#.#", ".#.", "#.#", "#.#"],
        'Y' => &["#.#", "#.#", ".#.", ".#.", ".#."],
        'Z' => &["###", "..#", ".#.", "#..", "###"],
        _ => return None,
    })
}

/// A sign three rows tall where there are no half blocks: strokes on the same
/// width as its pattern. Letters are left out; they read better plain.
#[rustfmt::skip]
fn strokes(character: char) -> Option<&'static [&'static str; 3]> {
    Some(match character {
        '0' => &[" _ ", "| |", "|_|"],
        '1' => &["   ", " /|", "  |"],
        '2' => &[" _ ", " _|", "|_ "],
        '3' => &[" _ ", " _|", " _|"],
        '4' => &["   ", "|_|", "  |"],
        '5' => &[" _ ", "|_ ", " _|"],
        '6' => &[" _ ", "|_ ", "|_|"],
        '7' => &["__ ", "  |", "  |"],
        '8' => &[" _ ", "|_|", "|_|"],
        '9' => &[" _ ", "|_|", " _|"],
        '/' => &["   /", "  / ", " /  "],
        '.' => &[" ", " ", "."],
        ',' => &["  ", "  ", " ,"],
        '-' => &["   ", "---", "   "],
        '+' => &["   ", "-+-", "   "],
        ' ' => &["  ", "  ", "  "],
        '\'' => &["'", " ", " "],
        '"' => &[" \" ", "   ", "   "],
        'm' => &["     ", " _ _ ", "| | |"],
        'n' => &["   ", " _ ", "| |"],
        'i' => &[" ", ".", "|"],
        'x' => &["   ", "\\ /", "/ \\"],
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::super::trial::{ASCII, BLOCKS, drawn, draws_at_every_size};
    use super::*;

    #[test]
    fn every_pattern_is_a_rectangle_and_no_two_are_alike() {
        let drawable: Vec<char> =
            (' '..='~').chain(['°']).filter(|c| pattern(*c).is_some()).collect();
        for (i, a) in drawable.iter().enumerate() {
            let dots = pattern(*a).expect("it was just found");
            assert!(dots.iter().all(|row| row.len() == dots[0].len()), "{a}");
            assert!(drawable[..i].iter().all(|b| pattern(*b) != Some(dots)), "{a}");
            if let Some(strokes) = strokes(*a) {
                assert!(strokes.iter().all(|row| row.len() == dots[0].len()), "{a}");
            }
        }
    }

    #[test]
    fn the_slash_is_a_diagonal_and_the_whole_number_stands_apart() {
        // Three dots, two, three, four and three, and a gap between any two.
        let expected = [
            "  ##            ##          ##  ######",
            "####          ####        ##        ##",
            "  ##            ##        ##    ######",
            "  ##            ##      ##      ##",
            "######        ######  ##        ######",
        ];
        let number = BigNumber { text: "1 1/2", theme: ASCII };
        assert_eq!(drawn(number, 38, 5), expected.join("\n"));
        assert_eq!(size("1 1/2", 5), (38, 5));
    }

    #[test]
    fn three_rows_where_five_do_not_fit() {
        let number = |theme| BigNumber { text: "2.5", theme };
        assert_eq!(drawn(number(BLOCKS), 20, 3), "▀▀█   █▀▀\n█▀▀   ▀▀█\n▀▀▀ ▀ ▀▀▀");
        assert_eq!(drawn(number(ASCII), 20, 3), " _     _\n _|   |_\n|_  .  _|");
        assert_eq!(size("2.5", 3), (9, 3));
    }

    #[test]
    fn plain_text_last_and_never_half_a_number() {
        let number = BigNumber { text: "1 23/32", theme: ASCII };
        assert_eq!(drawn(number, 7, 5), "1 23/32\n\n\n\n");
        assert_eq!(drawn(number, 6, 1), "...");
        assert_eq!(drawn(number, 1, 1), ".");
        // A sign without a pattern.
        assert_eq!(drawn(BigNumber { text: "½", theme: BLOCKS }, 9, 1), "½");
    }

    /// Always: Every widget draws at every size.
    #[test]
    fn draws_anywhere() {
        for text in ["", "1 23/32", "13,328", "STOP?", "木", "\t"] {
            draws_at_every_size(|theme| BigNumber { text, theme });
        }
    }
}
