//! What each role looks like, and every sign that is not ASCII, in one place.
//! It reads no environment.

use ratatui::style::{Color, Modifier, Style};

/// The hue of what is as it should be.
const BLUE: Color = Color::LightBlue;

/// The hue of what wants attention. Of the sixteen it is the nearest to orange
/// that can still be read on black and on white; yellow vanishes on white.
const ORANGE: Color = Color::LightRed;

/// How the program looks in this terminal.
///
/// Colours are the terminal's own, never a painted background; words and place
/// carry the meaning, so the theme without colour says the same.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Theme {
    /// Whether colours are used; without them bold, underline and reverse say
    /// the same.
    pub colour: bool,
    /// Whether only ASCII signs are used.
    pub ascii: bool,
}

impl Theme {
    /// Builds the theme from NO_COLOR and `--ascii`.
    pub const fn from_environment(no_color: bool, ascii: bool) -> Theme {
        Theme { colour: !no_color, ascii }
    }

    /// Ordinary text.
    pub fn plain(self) -> Style {
        Style::new()
    }

    /// Text that comes first.
    pub fn strong(self) -> Style {
        Style::new().add_modifier(Modifier::BOLD)
    }

    /// The one number to be read from six feet.
    pub fn number(self) -> Style {
        self.strong()
    }

    /// The words of a caution. They stay on the screen all day, so they keep
    /// the foreground; only their mark is coloured.
    pub fn caution(self) -> Style {
        self.strong()
    }

    /// Within limits, done, ready.
    pub fn good(self) -> Style {
        if self.colour { Style::new().fg(BLUE) } else { Style::new() }
    }

    /// Too close to call, or out in the direction that can be cut again.
    pub fn warn(self) -> Style {
        if self.colour { self.strong().fg(ORANGE) } else { self.strong().underlined() }
    }

    /// What can't be saved: it must stop the work.
    pub fn stop(self) -> Style {
        self.strong().reversed()
    }

    /// What may be overlooked. Not grey: grey on a dusty screen is nothing.
    pub fn quiet(self) -> Style {
        Style::new()
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
pub const NOT_ASCII: &str = "█▀▄░▓─│┌┐└┘±";

/// The signs a drawing, a chart and the big number are made of.
#[derive(Debug, PartialEq, Eq)]
pub struct Glyphs {
    /// A dot of the big number, and a bar.
    pub block: &'static str,
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
    /// What stands before an uncertainty.
    pub plus_minus: &'static str,
}

impl Glyphs {
    /// Blocks and lines, for terminals that have them.
    pub const BLOCKS: Glyphs = Glyphs {
        block: "█",
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
        plus_minus: "±",
    };

    /// ASCII alone.
    pub const ASCII: Glyphs = Glyphs {
        block: "#",
        wood: ".",
        waste: "/",
        cutter: "X",
        fence: "#",
        flaw: "x",
        measure: "*",
        horizontal: "-",
        vertical: "|",
        top_left: "+",
        top_right: "+",
        bottom_left: "+",
        bottom_right: "+",
        plus_minus: "+/-",
    };

    #[cfg(test)]
    fn all(&self) -> [&'static str; 14] {
        [
            self.block,
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

    /// The relative luminance of WCAG 2.1.
    fn luminance(rgb: [u8; 3]) -> f64 {
        let linear = rgb.map(|level| {
            let level = f64::from(level) / 255.0;
            if level <= 0.03928 { level / 12.92 } else { ((level + 0.055) / 1.055).powf(2.4) }
        });
        0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
    }

    fn contrast(a: [u8; 3], b: [u8; 3]) -> f64 {
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    /// WCAG 2.1 success criterion 1.4.3 asks 3:1 of large or bold text. The
    /// palettes (from memory) are the defaults of xterm, of the VGA text mode
    /// and of the Windows console since 2017.
    #[test]
    fn both_hues_can_be_read_on_black_and_on_white() {
        let blue = [[0x5c, 0x5c, 0xff], [0x55, 0x55, 0xff], [0x3b, 0x78, 0xff]];
        let orange = [[0xff, 0x00, 0x00], [0xff, 0x55, 0x55], [0xe7, 0x48, 0x56]];
        for hue in blue.into_iter().chain(orange) {
            assert!(contrast(hue, [0; 3]) >= 3.0, "{hue:?} on black");
            assert!(contrast(hue, [255; 3]) >= 3.0, "{hue:?} on white");
        }
        let yellow = [0xcd, 0xcd, 0x00];
        assert!(contrast(yellow, [255; 3]) < 2.0, "why yellow was not taken");
    }

    #[test]
    fn without_colour_no_role_has_one() {
        let theme = Theme::from_environment(true, false);
        let roles = [theme.plain(), theme.strong(), theme.number(), theme.caution(), theme.good()];
        let more = [theme.warn(), theme.stop(), theme.quiet(), theme.selected()];
        for style in roles.into_iter().chain(more) {
            assert_eq!((style.fg, style.bg), (None, None));
        }
    }
}
