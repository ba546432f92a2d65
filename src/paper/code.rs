//! A text as a code that phones and scanners read: a QR code, ISO/IEC 18004.

use maud::{Markup, html};
use qrcode::{Color, EcLevel, QrCode};

/// The white around a code, in modules; the standard asks for four.
const QUIET: usize = 4;

/// The code of a text, so wide with the white around it in millimetres; nothing where
/// the text is too long for any. `named` is what it is for whoever hears the page read.
pub fn code(text: &str, wide: u32, named: &str) -> Option<Markup> {
    // Level M restores 15 % of it: dust and a torn corner.
    let code = QrCode::with_error_correction_level(text, EcLevel::M).ok()?;
    let modules = code.width();
    let side = modules + 2 * QUIET;
    let path = dark_runs(&code.to_colors(), modules);
    Some(html! {
        svg.code xmlns="http://www.w3.org/2000/svg" role="img" shape-rendering="crispEdges"
            width={ (wide) "mm" } height={ (wide) "mm" } viewBox={ "0 0 " (side) " " (side) } {
            title { (named) }
            rect width=(side) height=(side) fill="#fff" {}
            path fill="#000" d=(path) {}
        }
    })
}

/// Neighbours in a row as one box each.
fn dark_runs(colors: &[Color], modules: usize) -> String {
    let mut path = String::new();
    for (y, row) in colors.chunks(modules).enumerate() {
        let mut x = 0;
        for run in row.chunk_by(|one, other| one == other) {
            if run[0] == Color::Dark {
                let (left, top, wide) = (x + QUIET, y + QUIET, run.len());
                path.push_str(&format!("M{left} {top}h{wide}v1h-{wide}z"));
            }
            x += run.len();
        }
    }
    path
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Reads the path again as boxes of one row, drawn at eight dots a module.
    fn read_back(svg: &str) -> String {
        const DOTS: usize = 8;
        let side: usize =
            svg.split("viewBox=\"0 0 ").nth(1).unwrap().split(' ').next().unwrap().parse().unwrap();
        let path = svg.split("d=\"M").nth(1).unwrap().split('"').next().unwrap();
        let mut dark = vec![false; side * side];
        for run in path.split('M') {
            let (at, rest) = run.split_once('h').unwrap();
            let (x, y) = at.split_once(' ').unwrap();
            let wide: usize = rest.split('v').next().unwrap().parse().unwrap();
            let start = y.parse::<usize>().unwrap() * side + x.parse::<usize>().unwrap();
            dark[start..start + wide].fill(true);
        }
        let grey = |x: usize, y: usize| if dark[y / DOTS * side + x / DOTS] { 20 } else { 240 };
        let mut image = rqrr::PreparedImage::prepare_from_greyscale(side * DOTS, side * DOTS, grey);
        let grids = image.detect_grids();
        assert_eq!(grids.len(), 1, "one code is found");
        grids[0].decode().expect("it is read").1
    }

    /// Always: A code reads back as its text.
    #[test]
    fn a_code_reads_back_as_its_text() {
        let long = "benchway:".repeat(20);
        for text in
            ["#benchway:2f0c:30:", "#benchway:stool%20%26%20%3Cb%3E:120:bench-12", "ß日本", &long]
        {
            let svg = code(text, 20, "code").expect("short enough").into_string();
            assert_eq!(read_back(&svg), text);
        }
    }

    #[test]
    fn a_text_too_long_for_a_code_has_none() {
        assert!(code(&"x".repeat(5000), 20, "code").is_none());
    }
}
