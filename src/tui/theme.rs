//! What each role looks like, and every sign that is not ASCII, in one place.
//! It reads no environment.

use ratatui::style::{Color, Modifier, Style};

mod palette;

pub use self::palette::{Depth, Ground, Palette};

/// How the program looks in this terminal.
///
/// Words keep the terminal's own foreground; colour is on shapes and marks,
/// and each coloured thing has its own sign and place too, so the theme
/// without colour says the same.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Theme {
    /// Whether colours are used.
    pub colour: bool,
    /// Whether only ASCII signs are used.
    pub ascii: bool,
    /// The colours.
    pub palette: Palette,
}

impl Theme {
    /// A theme for an unknown ground and a terminal of sixteen colours.
    pub const fn new(colour: bool, ascii: bool) -> Theme {
        Theme { colour, ascii, palette: Palette::of(Ground::Unknown, Depth::Sixteen) }
    }

    /// Ordinary text.
    pub fn plain(self) -> Style {
        Style::new()
    }

    /// Text that comes first: the order, what is typed, what Enter takes.
    pub fn strong(self) -> Style {
        Style::new().add_modifier(Modifier::BOLD)
    }

    /// The one number to be read from six feet.
    pub fn number(self) -> Style {
        self.strong()
    }

    /// A shape or a mark in its colour.
    fn coloured(self, colour: Option<Color>) -> Style {
        match colour.filter(|_| self.colour) {
            Some(colour) => Style::new().fg(colour),
            None => Style::new(),
        }
    }

    /// Wood.
    pub fn wood(self) -> Style {
        self.coloured(self.palette.wood)
    }

    /// A cutter, the mark of a caution, what is out of limits.
    pub fn cutter(self) -> Style {
        self.coloured(self.palette.cutter)
    }

    /// The measured place, what is within limits.
    pub fn measured(self) -> Style {
        self.coloured(self.palette.measured)
    }

    /// Fence, stop, table.
    pub fn fence(self) -> Style {
        self.coloured(self.palette.fence)
    }

    /// The one area in reverse video: where hand or head goes next.
    pub fn lit(self) -> Style {
        Style::new().reversed()
    }

    /// The row or choice in hand.
    pub fn selected(self) -> Style {
        Style::new().reversed()
    }

    /// The signs to draw with.
    pub const fn glyphs(self) -> &'static Glyphs {
        if self.ascii { &Glyphs::ASCII } else { &Glyphs::BLOCKS }
    }
}

/// Every sign outside ASCII that a widget may use. Line and block signs are
/// two cells wide in some East Asian fonts; whoever has those chooses ASCII.
pub const NOT_ASCII: &str = "█▀▄░▓─│├┤┼┌┐└┘±";

/// The signs a drawing, a chart and the big number are made of.
#[derive(Debug, PartialEq, Eq)]
pub struct Glyphs {
    /// A dot of the big number, and a bar.
    pub block: &'static str,
    /// Cut, and not measured.
    pub lower_half: &'static str,
    /// Wood that a groove or a tenon's shoulder took away.
    pub hollow: &'static str,
    /// Wood inside its outline.
    pub wood: &'static str,
    /// Wood that is cut away.
    pub waste: &'static str,
    /// A blade, a bit or a cutter head.
    pub cutter: &'static str,
    /// A fence, a stop or a table.
    pub fence: &'static str,
    /// A knot or a split.
    pub flaw: &'static str,
    /// Where to put the gauge.
    pub measure: &'static str,
    /// A level line.
    pub horizontal: &'static str,
    /// An upright line.
    pub vertical: &'static str,
    /// The upper left corner of an outline.
    pub top_left: &'static str,
    /// The upper right corner of an outline.
    pub top_right: &'static str,
    /// The lower left corner of an outline.
    pub bottom_left: &'static str,
    /// The lower right corner of an outline.
    pub bottom_right: &'static str,
    /// The lower end of a scale.
    pub low_end: &'static str,
    /// The upper end of a scale.
    pub high_end: &'static str,
    /// A place on a scale.
    pub tick: &'static str,
    /// What stands before an uncertainty.
    pub plus_minus: &'static str,
}

impl Glyphs {
    /// Blocks and lines, for terminals that have them.
    pub const BLOCKS: Glyphs = Glyphs {
        block: "█",
        lower_half: "▄",
        hollow: "▄",
        wood: "░",
        waste: "/",
        cutter: "█",
        fence: "▓",
        flaw: "x",
        measure: "*",
        horizontal: "─",
        vertical: "│",
        top_left: "┌",
        top_right: "┐",
        bottom_left: "└",
        bottom_right: "┘",
        low_end: "├",
        high_end: "┤",
        tick: "┼",
        plus_minus: "±",
    };

    /// ASCII alone.
    pub const ASCII: Glyphs = Glyphs {
        block: "#",
        lower_half: "=",
        hollow: "_",
        wood: ".",
        waste: "/",
        cutter: "#",
        fence: "%",
        flaw: "x",
        measure: "*",
        horizontal: "-",
        vertical: "|",
        top_left: "+",
        top_right: "+",
        bottom_left: "+",
        bottom_right: "+",
        low_end: "|",
        high_end: "|",
        tick: "|",
        plus_minus: "+-",
    };

    #[cfg(test)]
    fn all(&self) -> [&'static str; 18] {
        [
            self.block,
            self.lower_half,
            self.wood,
            self.waste,
            self.cutter,
            self.fence,
            self.flaw,
            self.measure,
            self.horizontal,
            self.vertical,
            self.top_left,
            self.top_right,
            self.bottom_left,
            self.bottom_right,
            self.low_end,
            self.high_end,
            self.tick,
            self.plus_minus,
        ]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use unicode_width::UnicodeWidthStr;

    #[test]
    fn every_sign_is_one_cell_wide_and_listed() {
        assert_eq!(NOT_ASCII.width(), NOT_ASCII.chars().count());
        for sign in Glyphs::BLOCKS.all() {
            assert_eq!(sign.width(), 1, "{sign}");
            assert!(sign.is_ascii() || NOT_ASCII.contains(sign), "{sign}");
        }
        assert!(Glyphs::ASCII.all().iter().all(|sign| sign.is_ascii()));
    }

    #[test]
    fn without_colour_no_role_has_one() {
        let theme = Theme::new(false, false);
        let roles = [theme.plain(), theme.strong(), theme.number(), theme.lit()];
        let shapes = [theme.wood(), theme.cutter(), theme.measured(), theme.fence()];
        for style in roles.into_iter().chain(shapes) {
            assert_eq!((style.fg, style.bg), (None, None));
        }
    }

    /// A dusty screen shows nothing of it.
    #[test]
    fn nothing_is_dim() {
        let theme = Theme::new(true, false);
        let roles = [theme.plain(), theme.strong(), theme.number(), theme.selected()];
        assert!(roles.iter().all(|style| !style.add_modifier.contains(Modifier::DIM)));
    }
}
