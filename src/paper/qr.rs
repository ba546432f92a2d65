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
