//! The colours of what is drawn, for each ground and for what the terminal can
//! show. Words keep the terminal's own foreground.

use ratatui::style::Color;

/// What the terminal draws on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Ground {
    /// Nobody said: every colour must be readable on black and on white.
    #[default]
    Unknown,
    /// Light letters on a dark ground.
    Dark,
    /// Dark letters on a light ground.
    Light,
}

/// How many colours the terminal shows.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Depth {
    /// Sixteen, which the terminal's own palette decides.
    #[default]
    Sixteen,
    /// The 256 of a fixed table.
    Indexed,
    /// Any.
    Full,
}

/// The colour of each thing that is drawn; none is the terminal's foreground.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Palette {
    /// Wood: its outline and its fill.
    pub wood: Option<Color>,
    /// The cutter, the mark of a caution, a reading out of limits.
    pub cutter: Option<Color>,
    /// The measured place, a reading within limits, what is done.
    pub measured: Option<Color>,
    /// Fence, stop and table.
    pub fence: Option<Color>,
}

const fn rgb(hex: u32) -> Option<Color> {
    Some(Color::from_u32(hex))
}

impl Palette {
    /// The palette for a ground and a terminal.
    pub const fn of(ground: Ground, depth: Depth) -> Palette {
        match (depth, ground) {
            // The default palettes of terminals differ too much for more.
            (Depth::Sixteen, _) => Palette {
                wood: None,
                cutter: Some(Color::LightRed),
                measured: Some(Color::LightBlue),
                fence: None,
            },
            // Of the 256 only six can be read on black and on white; none is
            // the colour of wood.
            (Depth::Indexed, _) => Palette {
                wood: None,
                cutter: Some(Color::Indexed(131)),
                measured: Some(Color::Indexed(63)),
                fence: Some(Color::Indexed(243)),
            },
            (Depth::Full, Ground::Unknown) => Palette {
                wood: rgb(0x98_6E_20),
                cutter: rgb(0xD7_3E_0A),
                measured: rgb(0x0A_78_CF),
                fence: rgb(0x76_76_76),
            },
            (Depth::Full, Ground::Dark) => Palette {
                wood: rgb(0xEB_D3_A4),
                cutter: rgb(0xFF_7A_4D),
                measured: rgb(0x5F_B4_FF),
                fence: rgb(0xA0_A0_A0),
            },
            (Depth::Full, Ground::Light) => Palette {
                wood: rgb(0x7A_5A_1E),
                cutter: rgb(0x8E_1F_00),
                measured: rgb(0x00_56_A3),
                fence: rgb(0x5A_5A_5A),
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const BLACK: [u8; 3] = [0; 3];
    const WHITE: [u8; 3] = [255; 3];

    fn of(color: Option<Color>) -> [u8; 3] {
        match color {
            Some(Color::Rgb(r, g, b)) => [r, g, b],
            // The cube of xterm's 256 colours has the levels 0, 95, 135 … 255,
            // and its greys go from 8 in steps of 10.
            Some(Color::Indexed(n)) if n >= 232 => [8 + (n - 232) * 10; 3],
            Some(Color::Indexed(n)) => {
                let level = |step: u8| if step == 0 { 0 } else { 55 + step * 40 };
                let n = n - 16;
                [level(n / 36), level(n / 6 % 6), level(n % 6)]
            }
            other => panic!("{other:?} has no value of its own"),
        }
    }

    fn linear(rgb: [u8; 3]) -> [f64; 3] {
        rgb.map(|level| {
            let level = f64::from(level) / 255.0;
            if level <= 0.03928 { level / 12.92 } else { ((level + 0.055) / 1.055).powf(2.4) }
        })
    }

    /// The relative luminance of WCAG 2.1.
    fn luminance(rgb: [u8; 3]) -> f64 {
        let [r, g, b] = linear(rgb);
        0.2126 * r + 0.7152 * g + 0.0722 * b
    }

    /// The contrast ratio of WCAG 2.1.
    fn contrast(a: [u8; 3], b: [u8; 3]) -> f64 {
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    fn colours(palette: Palette) -> [Option<Color>; 4] {
        [palette.wood, palette.cutter, palette.measured, palette.fence]
    }

    /// WCAG 2.1, 1.4.3, asks 4.5:1 of ordinary text. On unknown ground a colour
    /// must reach it on black and on white, rounded to a tenth: grey has 4.54
    /// on each.
    #[test]
    fn on_unknown_ground_every_colour_is_readable_on_black_and_on_white() {
        for depth in [Depth::Full, Depth::Indexed] {
            for colour in colours(Palette::of(Ground::Unknown, depth)).into_iter().flatten() {
                let rgb = of(Some(colour));
                for ground in [BLACK, WHITE] {
                    let reached = contrast(rgb, ground);
                    assert!(reached >= 4.5, "{colour:?} on {ground:?}: {reached:.2}");
                }
            }
        }
    }

    /// Contrast of wood, cutter, measured and fence on the plainest ground and
    /// on a common softer one, by the same formula.
    #[test]
    fn on_a_known_ground_contrast_is_what_the_table_says() {
        let grounds = [
            (Ground::Dark, BLACK, [14.4, 8.1, 9.5, 8.0]),
            (Ground::Dark, [0x2B; 3], [9.7, 5.5, 6.4, 5.4]),
            (Ground::Light, WHITE, [6.4, 9.0, 7.3, 6.9]),
            (Ground::Light, [0xEE, 0xE8, 0xD5], [5.2, 7.3, 6.0, 5.6]),
        ];
        for (ground, on, wanted) in grounds {
            for (colour, wanted) in
                colours(Palette::of(ground, Depth::Full)).into_iter().zip(wanted)
            {
                let reached = contrast(of(colour), on);
                assert!((reached - wanted).abs() < 0.06, "{colour:?} on {on:?}: {reached:.2}");
            }
        }
    }

    /// How a colour looks without red or green cones: the matrices for full
    /// severity of Machado, Oliveira and Fernandes, IEEE TVCG 15 (2009), on
    /// linear values.
    fn seen_without(matrix: [[f64; 3]; 3], rgb: [u8; 3]) -> [f64; 3] {
        let from = linear(rgb);
        matrix.map(|row| {
            let sum: f64 = row.iter().zip(from).map(|(a, b)| a * b).sum();
            sum.clamp(0.0, 1.0)
        })
    }

    const NO_RED: [[f64; 3]; 3] = [
        [0.152286, 1.052583, -0.204868],
        [0.114503, 0.786281, 0.099216],
        [-0.003882, -0.048116, 1.051998],
    ];
    const NO_GREEN: [[f64; 3]; 3] = [
        [0.367322, 0.860646, -0.227968],
        [0.280085, 0.672501, 0.047413],
        [-0.011820, 0.042940, 0.968881],
    ];

    /// CIE 1976 L*a*b* of linear sRGB, for the white D65.
    fn lab([r, g, b]: [f64; 3]) -> [f64; 3] {
        let x = (0.4124 * r + 0.3576 * g + 0.1805 * b) / 0.9505;
        let y = 0.2126 * r + 0.7152 * g + 0.0722 * b;
        let z = (0.0193 * r + 0.1192 * g + 0.9505 * b) / 1.089;
        let f = |t: f64| if t > 0.008856 { t.cbrt() } else { 7.787 * t + 16.0 / 116.0 };
        [116.0 * f(y) - 16.0, 500.0 * (f(x) - f(y)), 200.0 * (f(y) - f(z))]
    }

    /// The distance of two colours, CIE 1976.
    fn apart(a: [f64; 3], b: [f64; 3]) -> f64 {
        let (a, b) = (lab(a), lab(b));
        a.iter().zip(b).map(|(a, b)| (a - b).powi(2)).sum::<f64>().sqrt()
    }

    /// Cutter and measured place never look alike, and neither looks like the
    /// fence. Wood and cutter may: that is why the cutter is solid and wood is
    /// not.
    #[test]
    fn hues_stay_apart_without_red_or_green() {
        let palette = Palette::of(Ground::Unknown, Depth::Full);
        for matrix in [NO_RED, NO_GREEN] {
            let seen = |colour| seen_without(matrix, of(colour));
            let (cutter, measured) = (seen(palette.cutter), seen(palette.measured));
            assert!(apart(cutter, measured) >= 90.0, "{}", apart(cutter, measured));
            for hue in [cutter, measured] {
                let from_grey = apart(hue, seen(palette.fence));
                assert!(from_grey >= 45.0, "{from_grey}");
            }
        }
    }

    /// WCAG 2.1, 1.4.11, asks 3:1 of signs that carry meaning. The values (from
    /// memory) are the defaults of xterm, of the VGA text mode and of the
    /// Windows console since 2017.
    #[test]
    fn of_sixteen_both_hues_can_be_seen_on_black_and_on_white() {
        let blue = [[0x5c, 0x5c, 0xff], [0x55, 0x55, 0xff], [0x3b, 0x78, 0xff]];
        let red = [[0xff, 0x00, 0x00], [0xff, 0x55, 0x55], [0xe7, 0x48, 0x56]];
        for hue in blue.into_iter().chain(red) {
            assert!(contrast(hue, BLACK) >= 3.0, "{hue:?} on black");
            assert!(contrast(hue, WHITE) >= 3.0, "{hue:?} on white");
        }
    }
}
