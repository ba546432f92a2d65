//! The pictures of the README, drawn from the same cells as the screens, so
//! that they never show a screen that no longer exists.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use crate::look::{measure, set, too_wide};
use benchway::tui::theme::{Depth, Ground, Palette, Theme};
use ratatui::buffer::{Buffer, Cell};
use ratatui::style::{Color, Modifier};

/// A cell in pixels: twice as tall as wide, as in a terminal.
const WIDE: usize = 9;
const HIGH: usize = 18;

/// Ground around the screen.
const MARGIN: usize = 12;

/// How far below the top of a cell letters stand.
const BASELINE: usize = 14;

const GROUND: &str = "#14181c";
const LETTERS: &str = "#e6e6e6";

/// Letters that are light on dark ground, with the colours for it.
const DARK: Theme =
    Theme { palette: Palette::of(Ground::Dark, Depth::Full), ..Theme::new(true, false) };

/// Letter and ground of a cell.
fn colours(cell: &Cell) -> (String, &'static str) {
    let letter = match cell.fg {
        Color::Rgb(r, g, b) => format!("#{r:02x}{g:02x}{b:02x}"),
        _ => LETTERS.to_owned(),
    };
    if cell.modifier.contains(Modifier::REVERSED) {
        return (GROUND.to_owned(), LETTERS);
    }
    (letter, GROUND)
}

/// The parts of a cell that a sign fills or strokes, in eighteenths of a cell's
/// height and ninths of its width; a letter has none.
fn shape(sign: &str) -> Option<String> {
    let (middle, right, centre, bottom) = (4.5, 9.0, 9.0, 18.0);
    let line = |parts: &str| format!(r#"<path d="{parts}" fill="none" stroke-width="1.2""#);
    Some(match sign {
        "█" => r#"<path d="M0 0H9V18H0z""#.to_owned(),
        "▀" => r#"<path d="M0 0H9V9H0z""#.to_owned(),
        "▄" => r#"<path d="M0 9H9V18H0z""#.to_owned(),
        "░" => r#"<path d="M0 0H9V18H0z" opacity="0.28""#.to_owned(),
        "▓" => r#"<path d="M0 0H9V18H0z" opacity="0.75""#.to_owned(),
        "─" => line(&format!("M0 {centre}H{right}")),
        "│" => line(&format!("M{middle} 0V{bottom}")),
        "┌" => line(&format!("M{right} {centre}H{middle}V{bottom}")),
        "┐" => line(&format!("M0 {centre}H{middle}V{bottom}")),
        "└" => line(&format!("M{right} {centre}H{middle}V0")),
        "┘" => line(&format!("M0 {centre}H{middle}V0")),
        "├" => line(&format!("M{middle} 0V{bottom}M{middle} {centre}H{right}")),
        "┤" => line(&format!("M{middle} 0V{bottom}M{middle} {centre}H0")),
        "┼" => line(&format!("M{middle} 0V{bottom}M0 {centre}H{right}")),
        _ => return None,
    })
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}

/// One row: grounds, then shapes, then letters in runs that look alike.
fn row(svg: &mut String, cells: &[Cell], top: usize) {
    let x = |column: usize| MARGIN + column * WIDE;
    let mut column = 0;
    while column < cells.len() {
        let alike = |cell: &&Cell| {
            let is_lit = |cell: &Cell| cell.modifier.contains(Modifier::REVERSED);
            is_lit(cell) == is_lit(&cells[column])
        };
        let long = cells[column..].iter().take_while(alike).count();
        let (_, ground) = colours(&cells[column]);
        if ground != GROUND {
            let (x, wide) = (x(column), long * WIDE);
            let _ = writeln!(
                svg,
                r#"<rect x="{x}" y="{top}" width="{wide}" height="{HIGH}" fill="{ground}"/>"#
            );
        }
        column += long;
    }
    for (column, cell) in cells.iter().enumerate() {
        if let Some(shape) = shape(cell.symbol()) {
            let (letter, _) = colours(cell);
            let paint = if shape.contains("stroke-width") { "stroke" } else { "fill" };
            let x = x(column);
            let _ =
                writeln!(svg, r#"{shape} {paint}="{letter}" transform="translate({x} {top})"/>"#);
        }
    }
    let is_letter = |cell: &Cell| cell.symbol() != " " && shape(cell.symbol()).is_none();
    let mut column = 0;
    while column < cells.len() {
        if !is_letter(&cells[column]) {
            column += 1;
            continue;
        }
        // A single blank between words belongs to the run.
        let mut end = column + 1;
        let looks = |at: usize| (cells[at].fg, cells[at].modifier);
        while end < cells.len() && looks(end) == looks(column) {
            let is_between =
                cells[end].symbol() == " " && cells.get(end + 1).is_some_and(is_letter);
            let joins = is_between && looks(end + 1) == looks(column);
            if !(is_letter(&cells[end]) || joins) {
                break;
            }
            end += 1;
        }
        let text: String = cells[column..end].iter().map(Cell::symbol).collect();
        let (letter, _) = colours(&cells[column]);
        let is_bold = cells[column].modifier.contains(Modifier::BOLD);
        let weight = if is_bold { r#" font-weight="bold""# } else { "" };
        let (x, y, wide) = (x(column), top + BASELINE, (end - column) * WIDE);
        let text = escaped(&text);
        let _ = writeln!(
            svg,
            r#"<text x="{x}" y="{y}" textLength="{wide}" fill="{letter}"{weight}>{text}</text>"#
        );
        column = end;
    }
}

fn picture(buffer: &Buffer, title: &str) -> String {
    let (columns, rows) = (usize::from(buffer.area.width), usize::from(buffer.area.height));
    let (wide, high) = (columns * WIDE + 2 * MARGIN, rows * HIGH + 2 * MARGIN);
    let mut svg = String::new();
    // Without crisp edges a seam shows between two cells at most sizes.
    let _ = writeln!(
        svg,
        r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide} {high}" width="{wide}" height="{high}" font-family="'DejaVu Sans Mono', Menlo, Consolas, 'Liberation Mono', monospace" font-size="15" shape-rendering="crispEdges" xml:space="preserve">"#
    );
    let _ = writeln!(svg, "<title>{}</title>", escaped(title));
    let _ = writeln!(
        svg,
        r#"<rect width="{wide}" height="{high}" rx="8" fill="{GROUND}" shape-rendering="auto"/>"#
    );
    for (n, cells) in buffer.content().chunks(columns).enumerate() {
        row(&mut svg, cells, MARGIN + n * HIGH);
    }
    svg.push_str("</svg>\n");
    svg
}

fn file(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("snapshots").join(format!("picture-{name}.svg"))
}

/// The pictures are as the screens are drawn now. `INSTA_UPDATE=always` draws
/// them anew.
#[test]
fn the_pictures_show_what_is_drawn() {
    let pictures = [
        ("set", set(DARK), "A fence to be set: the number is lit"),
        ("measure", measure(DARK), "A first piece to be measured: the entry line is lit"),
        ("too-wide", too_wide(DARK), "A piece too wide: the order is lit"),
    ];
    let is_drawn_anew = std::env::var("INSTA_UPDATE").is_ok_and(|how| how == "always");
    for (name, desk, title) in pictures {
        let drawn = picture(&desk.drawn(80, 24), title);
        let file = file(name);
        if is_drawn_anew {
            std::fs::write(&file, &drawn).expect("the folder of snapshots");
        }
        let kept = std::fs::read_to_string(&file).unwrap_or_default();
        assert!(kept == drawn, "{} is not what is drawn now", file.display());
    }
}

/// Runs are as long as their cells, and every sign is a shape or a letter.
#[test]
fn a_picture_places_every_sign() {
    let mut buffer = Buffer::empty(ratatui::layout::Rect::new(0, 0, 12, 1));
    buffer.set_string(0, 0, "a < b ░█ 1.5", ratatui::style::Style::new());
    let svg = picture(&buffer, "signs & words");
    // Cells of 9 by 18, a margin of 12: five cells from the first, three from
    // the tenth on.
    assert!(
        svg.contains(r##"<text x="12" y="26" textLength="45" fill="#e6e6e6">a &lt; b</text>"##)
    );
    assert!(svg.contains(r##"<text x="93" y="26" textLength="27" fill="#e6e6e6">1.5</text>"##));
    assert!(svg.contains(r##"opacity="0.28" fill="#e6e6e6" transform="translate(66 12)"/>"##));
    assert!(svg.contains("<title>signs &amp; words</title>"));
    assert!(svg.contains(r##"viewBox="0 0 132 42""##));
}
