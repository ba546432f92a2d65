//! A text as a code that a camera reads: a QR code (ISO/IEC 18004), drawn as SVG.

use maud::{Markup, html};
use qrcode::{Color, EcLevel, QrCode};

/// Cells that stay white on every side, as the standard asks.
const QUIET: usize = 4;

/// The code, with its white border, as wide as whatever holds it; none where the text is
/// longer than a code can be. A quarter of it may be dusty or scratched.
pub(super) fn qr(text: &str) -> Option<Markup> {
    let code = QrCode::with_error_correction_level(text, EcLevel::Q).ok()?;
    let (cells, side) = (code.to_colors(), code.width());
    let all = side + 2 * QUIET;
    let mut path = String::new();
    for (row, line) in cells.chunks(side).enumerate() {
        let mut column = 0;
        while column < side {
            let run = line[column..].iter().take_while(|cell| **cell == Color::Dark).count();
            if run > 0 {
                let (x, y) = (column + QUIET, row + QUIET);
                path.push_str(&format!("M{x} {y}h{run}v1h-{run}z"));
            }
            column += run.max(1);
        }
    }
    Some(html! {
        svg class="code" viewBox={ "0 0 " (all) " " (all) } role="img" aria-label=(text)
            shape-rendering="crispEdges" {
            rect width=(all) height=(all) fill="#fff" {}
            path d=(path) fill="#000" {}
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The dark cells of a drawing, read back from its path: `Mx yhLENGTHv1...`.
    fn cells(svg: &str) -> (usize, Vec<(usize, usize)>) {
        let between = |from: &str, to: &str| {
            svg.split(from).nth(1).and_then(|rest| rest.split(to).next()).expect(from)
        };
        let side = between("viewBox=\"0 0 ", " ").parse().expect("a number of cells");
        let runs = between("path d=\"M", "\"").split('M').map(|run| {
            let numbers = run.split(|c: char| !c.is_ascii_digit()).filter(|n| !n.is_empty());
            let mut numbers = numbers.map(|n| n.parse::<usize>().expect("a number"));
            let mut next = || numbers.next().expect("x, y and a length");
            (next(), next(), next())
        });
        let dark = runs.flat_map(|(x, y, run)| (x..x + run).map(move |x| (x, y)));
        (side, dark.collect())
    }

    /// Always: A code on paper is read again as what it was made of.
    #[test]
    fn a_reader_of_another_make_reads_the_code() {
        for text in ["spring stools: leg 4", "a", &"north wall, table 12 ".repeat(8), "Ådal: ø 7"]
        {
            let (side, dark) = cells(&qr(text).expect("it fits a code").into_string());
            let scale = 4;
            let mut image =
                rqrr::PreparedImage::prepare_from_greyscale(side * scale, side * scale, |x, y| {
                    if dark.contains(&(x / scale, y / scale)) { 0 } else { 255 }
                });
            let grids = image.detect_grids();
            assert_eq!(grids.len(), 1, "{text}");
            let (_, read) = grids[0].decode().expect("it is read");
            assert_eq!(read, text);
            // The quiet zone is white.
            assert!(dark.iter().all(
                |(x, y)| (QUIET..side - QUIET).contains(x) && (QUIET..side - QUIET).contains(y)
            ));
        }
    }

    #[test]
    fn a_text_that_no_code_holds_has_none() {
        assert!(qr(&"x".repeat(5000)).is_none());
    }
}
