//! Where everything of the machine screen stands, at each size.
//!
//! Every state fills the same rectangles, so that nothing moves between two
//! tasks: an area with nothing to say stays blank. Only in the smallest window
//! words push the number aside, for there nothing else can give way. Between two sizes the larger
//! one that fits both ways is taken; columns left over go to the drawing, rows
//! to the talk and to the drawing.

use ratatui::layout::Rect;

/// The sizes that are laid out, the smallest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(in crate::tui::screens) enum GridSize {
    /// 40 by 12: a small window, or a telephone.
    Small,
    /// 80 by 24: an ordinary terminal.
    Usual,
    /// 120 by 40: a whole screen.
    Large,
    /// 200 by 60: a screen on a wall.
    Wall,
}

impl GridSize {
    const ALL: [GridSize; 4] = [GridSize::Wall, GridSize::Large, GridSize::Usual, GridSize::Small];

    /// Its columns and rows.
    const fn cells(self) -> (u16, u16) {
        match self {
            GridSize::Small => (40, 12),
            GridSize::Usual => (80, 24),
            GridSize::Large => (120, 40),
            GridSize::Wall => (200, 60),
        }
    }

    /// The largest that fits a window both ways.
    pub(in crate::tui::screens) fn within(area: Rect) -> GridSize {
        let fits = |size: &GridSize| {
            let (columns, rows) = size.cells();
            columns <= area.width && rows <= area.height
        };
        GridSize::ALL.into_iter().find(fits).unwrap_or(GridSize::Small)
    }
}

/// The areas of the machine screen. One that a size has no room for is empty.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct MachineGrid {
    pub(super) size: GridSize,
    pub(super) title: Rect,
    pub(super) route: Rect,
    /// The whole order; it is lit as one.
    pub(super) order: Rect,
    /// The order in capitals, and in words.
    pub(super) capitals: Rect,
    pub(super) order_words: Rect,
    /// Label, digits and size; lit as one.
    pub(super) number: Rect,
    pub(super) label: Rect,
    pub(super) digits: Rect,
    /// What the number is for.
    pub(super) under: Rect,
    pub(super) talk: Rect,
    pub(super) drawing: Rect,
    pub(super) part: Rect,
    pub(super) readings: Rect,
    pub(super) pieces: Rect,
    pub(super) cautions: Rect,
    /// What is asked, what is typed, what the program answers.
    pub(super) entry: Rect,
    /// What is typed once more, large.
    pub(super) typed_large: Rect,
    pub(super) keys: Rect,
    /// Rules across the screen.
    pub(super) rules: Vec<Rect>,
    /// A page of its own, from below the order to the entry line.
    pub(super) page: Rect,
}

/// What the number may take from the drawing at 80 columns.
const MOST_FROM_DRAWING: u16 = 4;

impl MachineGrid {
    /// The grid of a window, for a number so many columns wide.
    pub(super) fn of(area: Rect, number: u16) -> MachineGrid {
        let size = GridSize::within(area);
        let (columns, rows) = size.cells();
        let plan = GridPlan {
            area,
            more_columns: area.width.saturating_sub(columns),
            more_rows: area.height.saturating_sub(rows),
        };
        match size {
            GridSize::Small => plan.small(),
            GridSize::Usual => plan.usual(number),
            GridSize::Large => plan.large(),
            GridSize::Wall => plan.wall(),
        }
    }

    /// The smallest grid where the words need more than it usually has for them: the
    /// order has its rows, the number a row in words or none, and the talk the rest.
    pub(super) fn of_words(area: Rect, order: u16, number: u16) -> MachineGrid {
        let (columns, rows) = GridSize::Small.cells();
        let plan = GridPlan {
            area,
            more_columns: area.width.saturating_sub(columns),
            more_rows: area.height.saturating_sub(rows),
        };
        let usual = plan.small();
        let order_words = plan.across(1, order);
        let number = plan.across(1 + order, number);
        let talk = number.bottom() - area.y;
        MachineGrid {
            order: order_words,
            order_words,
            number,
            label: Rect::default(),
            digits: Rect::default(),
            under: Rect::default(),
            talk: plan.across(talk, (7 + plan.more_rows).saturating_sub(talk)),
            ..usual
        }
    }

    /// The same where no number is ever set: what is said has its rows too.
    pub(super) fn without_number(self) -> MachineGrid {
        let talk = self.talk.union(Rect { width: self.talk.width, ..self.number });
        let none = Rect::default();
        MachineGrid { talk, number: none, label: none, digits: none, under: none, ..self }
    }

    /// Every area that is drawn in, with its name.
    #[cfg(test)]
    fn named(&self) -> Vec<(&'static str, Rect)> {
        let MachineGrid { title, route, label, digits, under, talk, drawing, part, .. } = *self;
        let MachineGrid { readings, pieces, cautions, entry, keys, capitals, order_words, .. } =
            *self;
        let mut all = vec![
            ("title", title),
            ("route", route),
            ("capitals", capitals),
            ("order", order_words),
            ("label", label),
            ("digits", digits),
            ("under", under),
            ("talk", talk),
            ("drawing", drawing),
            ("part", part),
            ("readings", readings),
            ("pieces", pieces),
            ("cautions", cautions),
            ("entry", entry),
            ("keys", keys),
        ];
        all.extend(self.rules.iter().map(|rule| ("rule", *rule)));
        all.retain(|(_, area)| !area.is_empty());
        all
    }
}

/// A window, and what it has beyond the size that is laid out.
#[derive(Clone, Copy)]
struct GridPlan {
    area: Rect,
    more_columns: u16,
    more_rows: u16,
}

impl GridPlan {
    fn at(self, x: u16, y: u16, width: u16, height: u16) -> Rect {
        let Rect { x: left, y: top, .. } = self.area;
        Rect::new(left + x, top + y, width, height).intersection(self.area)
    }

    /// So many rows of the whole width.
    fn across(self, y: u16, height: u16) -> Rect {
        self.at(0, y, self.area.width, height)
    }

    fn small(self) -> MachineGrid {
        let (wide, more) = (self.area.width, self.more_rows);
        let none = Rect::default();
        MachineGrid {
            size: GridSize::Small,
            title: self.across(0, 1),
            route: none,
            order: self.across(1, 1),
            capitals: none,
            order_words: self.across(1, 1),
            number: self.at(24, 2, wide - 24, 3),
            label: self.at(24, 2, wide - 24, 1),
            digits: self.at(1, 2, 23, 3),
            under: self.at(24, 3, wide - 24, 2),
            talk: self.across(5, 2 + more),
            drawing: none,
            part: none,
            readings: none,
            pieces: none,
            cautions: self.across(7 + more, 2),
            entry: self.across(9 + more, 2),
            typed_large: none,
            keys: self.across(11 + more, 1),
            rules: Vec::new(),
            page: self.across(2, 7 + more),
        }
    }

    fn usual(self, number: u16) -> MachineGrid {
        let more = self.more_rows;
        // A wide number gives up ground at its sides, and takes what is missing
        // from the drawing.
        let is_wide = (45..=46 + MOST_FROM_DRAWING).contains(&number);
        let (indent, left) = if is_wide { (1, 47 + MOST_FROM_DRAWING) } else { (2, 46) };
        let over = if is_wide { MOST_FROM_DRAWING } else { 0 };
        let right = (48 + over, 32 - over + self.more_columns);
        MachineGrid {
            size: GridSize::Usual,
            title: self.across(0, 1),
            route: self.across(1, 1),
            order: self.across(2, 1),
            capitals: Rect::default(),
            order_words: self.across(2, 1),
            number: self.at(0, 3, left, 7),
            label: self.at(0, 3, left, 1),
            digits: self.at(indent, 4, left - indent, 5),
            under: self.at(0, 9, left, 1),
            talk: self.at(0, 10, 46, 6 + more),
            drawing: self.at(right.0, 3, right.1, 9 + more),
            part: self.at(48, 13 + more, 32 + self.more_columns, 3),
            readings: self.at(48, 13 + more, 32 + self.more_columns, 3),
            pieces: self.across(16 + more, 1),
            cautions: self.across(17 + more, 2),
            entry: self.across(20 + more, 3),
            typed_large: Rect::default(),
            keys: self.across(23 + more, 1),
            rules: vec![self.across(19 + more, 1)],
            page: self.across(3, 16 + more),
        }
    }

    fn large(self) -> MachineGrid {
        let more = self.more_rows;
        let right = 54 + self.more_columns;
        MachineGrid {
            size: GridSize::Large,
            title: self.across(0, 1),
            route: self.across(1, 1),
            order: self.at(0, 2, 64, 5),
            capitals: self.at(1, 3, 62, 3),
            order_words: self.at(0, 6, 64, 1),
            number: self.at(0, 7, 64, 10),
            label: self.at(0, 7, 64, 1),
            digits: self.at(1, 8, 63, 8),
            under: self.at(0, 16, 64, 1),
            talk: self.at(0, 18, 64, 10 + more),
            drawing: self.at(66, 3, right, 10 + more),
            part: self.at(66, 13 + more, right, 5),
            readings: self.at(66, 18 + more, right, 10),
            pieces: self.across(28 + more, 1),
            cautions: self.across(30 + more, 3),
            entry: self.at(0, 34 + more, 64, 4),
            typed_large: self.at(66, 34 + more, right, 3),
            keys: self.across(39 + more, 1),
            rules: [29, 33, 38].map(|row| self.across(row + more, 1)).to_vec(),
            page: self.across(8, 20 + more),
        }
    }

    fn wall(self) -> MachineGrid {
        let more = self.more_rows;
        let right = 70 + self.more_columns;
        MachineGrid {
            size: GridSize::Wall,
            title: self.across(0, 1),
            route: self.across(2, 1),
            order: self.at(0, 3, 128, 7),
            capitals: self.at(1, 4, 126, 5),
            order_words: self.at(0, 9, 128, 1),
            number: self.at(0, 11, 128, 17),
            label: self.at(0, 11, 128, 1),
            digits: self.at(1, 12, 127, 15),
            under: self.at(0, 27, 128, 1),
            talk: self.at(0, 29, 128, 13 + more),
            drawing: self.at(130, 4, right, 18 + more),
            part: self.at(130, 23 + more, right, 6),
            readings: self.at(130, 30 + more, right, 12),
            pieces: self.across(43 + more, 1),
            cautions: self.across(45 + more, 3),
            entry: self.at(0, 51 + more, 128, 4),
            typed_large: self.at(130, 51 + more, right, 5),
            keys: self.across(59 + more, 1),
            rules: [42, 44, 49, 57].map(|row| self.across(row + more, 1)).to_vec(),
            page: self.across(11, 30 + more),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Always: No two areas of the machine screen overlap, at any size.
    #[test]
    fn no_two_areas_overlap() {
        for width in 40..=240 {
            for height in 12..=80 {
                let area = Rect::new(0, 0, width, height);
                for number in [0, 42, 44, 48, 50, 63, 126] {
                    let all = MachineGrid::of(area, number).named();
                    for (n, (name, one)) in all.iter().enumerate() {
                        assert_eq!(one.intersection(area), *one, "{name} {width}x{height}");
                        for (other, two) in &all[..n] {
                            let is_shared = [*name, *other] == ["readings", "part"];
                            let apart = one.intersection(*two).is_empty() || is_shared;
                            assert!(apart, "{name} and {other} at {width}x{height}");
                        }
                    }
                }
            }
        }
    }

    /// Always: No words are lost to the number in the smallest window: order, number and
    /// talk take every row between the title and the cautions, and none of them twice.
    #[test]
    fn words_take_the_rows_of_the_number() {
        for (width, height) in [(40, 12), (60, 16)] {
            let area = Rect::new(0, 0, width, height);
            for order in 1..=3 {
                for number in 0..=1 {
                    let grid = MachineGrid::of_words(area, order, number);
                    let usual = MachineGrid::of(area, 0);
                    assert_eq!((grid.order.y, grid.number.y), (1, 1 + order));
                    assert_eq!(grid.talk.y, 1 + order + number);
                    assert_eq!(grid.talk.bottom(), usual.cautions.y);
                    assert_eq!((grid.cautions, grid.entry), (usual.cautions, usual.entry));
                }
            }
        }
    }

    /// Room left over goes to drawing and talk; everything else keeps its size.
    #[test]
    fn between_two_sizes_drawing_and_talk_grow() {
        let at = |width, height| MachineGrid::of(Rect::new(0, 0, width, height), 42);
        let (usual, larger) = (at(80, 24), at(100, 30));
        assert_eq!(larger.drawing.width, usual.drawing.width + 20);
        assert_eq!(larger.talk.height, usual.talk.height + 6);
        assert_eq!(larger.digits, usual.digits);
        assert_eq!(at(119, 40).size, GridSize::Usual);
        assert_eq!(at(80, 23).size, GridSize::Small);
        assert_eq!(at(200, 60).size, GridSize::Wall);
    }

    /// `113.996` is 25 dots of two columns: it takes four from the drawing.
    #[test]
    fn a_wide_number_takes_columns_from_the_drawing() {
        let at = |number| MachineGrid::of(Rect::new(0, 0, 80, 24), number);
        assert_eq!((at(42).digits.width, at(42).drawing.x), (44, 48));
        assert_eq!((at(50).digits.x, at(50).digits.width), (1, 50));
        assert_eq!((at(50).drawing.x, at(50).drawing.width), (52, 28));
    }

    /// Ten columns and five rows more than a size that is laid out: what reaches the right
    /// side is ten wider, talk and drawing are five taller, what stands below them is five
    /// lower, and nothing else moves.
    #[test]
    fn every_area_keeps_its_place_or_gives_way() {
        for (columns, rows) in [(40, 12), (80, 24), (120, 40), (200, 60)] {
            let at = |more_columns: u16, more_rows: u16| {
                MachineGrid::of(Rect::new(0, 0, columns + more_columns, rows + more_rows), 42)
            };
            let (laid_out, grown) = (at(0, 0), at(10, 5));
            assert_eq!(laid_out.size, grown.size);
            let (talk, drawing) = (laid_out.talk, laid_out.drawing);
            let is_below = |area: Rect| {
                let beside = !drawing.is_empty() && area.x == drawing.x;
                area.y >= talk.bottom() || beside && area.y >= drawing.bottom()
            };
            let wanted = |(name, area): &(&'static str, Rect)| {
                let taller = matches!(*name, "talk" | "drawing");
                let more = |is: bool, by: u16| if is { by } else { 0 };
                let moved = Rect {
                    x: area.x,
                    y: area.y + more(is_below(*area), 5),
                    width: area.width + more(area.right() == columns, 10),
                    height: area.height + more(taller, 5),
                };
                (*name, moved)
            };
            let expected: Vec<(&str, Rect)> = laid_out.named().iter().map(wanted).collect();
            assert_eq!(grown.named(), expected, "{columns}x{rows}");
            assert_eq!(grown.page.height, laid_out.page.height + 5);
            assert_eq!(grown.page.width, columns + 10);
        }
    }

    /// At each size the words of the last area end on the last row, and the whole window
    /// is used: a page of its own and what lies around it fill it.
    #[test]
    fn a_page_lies_between_the_order_and_the_entry_line() {
        for (columns, rows, top, bottom) in
            [(40, 12, 2, 9), (80, 24, 3, 19), (120, 40, 8, 28), (200, 60, 11, 41)]
        {
            let grid = MachineGrid::of(Rect::new(0, 0, columns, rows), 42);
            assert_eq!((grid.page.top(), grid.page.bottom()), (top, bottom));
            assert_eq!((grid.page.x, grid.page.width), (0, columns));
            assert_eq!((grid.keys.bottom(), grid.title.top()), (rows, 0));
            assert!(grid.order_words.bottom() <= grid.page.top());
            assert!(grid.page.bottom() <= grid.entry.top());
        }
    }
}
