//! The part so far on paper: its four long faces unrolled, lettered, each with what is
//! cut into it at its place along the piece.

use maud::{Markup, html};

use super::ink::{number, text_width};
use crate::measure::{Length, Unit};
use crate::operation::{CutShape, EndCut, LongFace, Skin, words};
use crate::plan::{FaceSoFar, PartSoFar};

/// Everything in millimetres of paper.
const LETTERS: f64 = 3.2;
const FACE: f64 = 8.0;
const NEXT_FACE: f64 = 10.5;
const FIRST_FACE: f64 = 6.0;
/// Nothing cut into a face is drawn shorter.
const LEAST_CUT: f64 = 0.8;

/// A face on the paper: from where to where the wood lies, and how long it really is.
struct FaceStrip {
    left: f64,
    right: f64,
    length: Length,
}

impl FaceStrip {
    fn at(&self, along: Length) -> f64 {
        let share = along.ratio(self.length).clamp(0.0, 1.0);
        self.left + (self.right - self.left) * share
    }

    /// From where to where, at least a hair.
    fn span(&self, from: Length, to: Length) -> (f64, f64) {
        let (from, to) = (self.at(from), self.at(to));
        (from, (to - from).max(LEAST_CUT))
    }
}

/// A piece by its name with its four faces, so wide in millimetres, and its cuts in
/// words below.
pub fn part_figure(part: &PartSoFar, name: &str, unit: Unit, wide: f64) -> Markup {
    let names = part.faces.iter().map(face_name);
    let labels = names.map(|name| text_width(&name, LETTERS)).fold(0.0, f64::max) + 2.0;
    let labels = labels.min(wide / 3.0);
    let strip = FaceStrip { left: labels + 1.0, right: wide - 1.5, length: part.length };
    let high = FIRST_FACE + 4.0 * NEXT_FACE + 6.5;
    let cuts: Vec<String> =
        part.faces.iter().filter_map(|face| cut_words(face, part, unit)).collect();
    html! {
        figure.part {
            svg xmlns="http://www.w3.org/2000/svg" role="img" width={ (number(wide)) "mm" }
                height={ (number(high)) "mm" } viewBox={ "0 0 " (number(wide)) " " (number(high)) } {
                title { "The four long faces, " (words(part.length, unit)) " long. " (cuts.join("; ")) }
                g font-size=(number(LETTERS)) stroke-width="0.2" {
                    text x=(number(strip.left)) y="4" { "top" }
                    text x=(number(strip.right)) y="4" text-anchor="end" { "far end" }
                    @for (n, face) in part.faces.iter().enumerate() {
                        (face_drawn(face, part, &strip, FIRST_FACE + NEXT_FACE * n as f64))
                    }
                    (length_line(&strip, FIRST_FACE + 4.0 * NEXT_FACE + 4.4, &words(part.length, unit)))
                }
            }
            figcaption {
                (name) ": as this card leaves it, its four faces unrolled; across the grain not to scale"
                @for cut in &cuts { br; (cut) }
            }
        }
    }
}

/// `A, face side, f`: the letter, where it looks, its pencil mark.
fn face_name(face: &FaceSoFar) -> String {
    let letter = face.face.letter();
    let looks = match (&face.looks, face.face) {
        (Some(looks), _) => looks.clone(),
        (None, LongFace::A) => "face side".to_owned(),
        (None, LongFace::B) => "face edge".to_owned(),
        (None, LongFace::C | LongFace::D) => return letter.to_owned(),
    };
    format!("{letter} {looks}")
}

/// `A face side: mortise 1 in to 3 in; hole 16 in to 16 3/8 in`, counted from the top.
fn cut_words(face: &FaceSoFar, part: &PartSoFar, unit: Unit) -> Option<String> {
    let cut = |(shape, from, to): &(CutShape, Length, Length)| {
        let what = match shape {
            CutShape::Mortise => "mortise",
            CutShape::Hole => "hole",
            CutShape::Groove => "groove",
        };
        if from.is_zero() && *to == part.length {
            return format!("{what} from end to end");
        }
        format!("{what} {} to {}", words(*from, unit), words(*to, unit))
    };
    let cuts: Vec<String> = face.cuts.iter().map(cut).collect();
    (!cuts.is_empty()).then(|| format!("{}, from the top: {}", face_name(face), cuts.join("; ")))
}

fn face_drawn(face: &FaceSoFar, part: &PartSoFar, strip: &FaceStrip, top: f64) -> Markup {
    let [first, last] = part.tenons;
    let shoulder = first.map_or(strip.left, |long| strip.at(long));
    let far = last.map_or(strip.right, |long| strip.at(part.length - long));
    let middle = top + FACE / 2.0;
    let tenon = |from: f64, to: f64| {
        html! {
            rect x=(number(from)) y=(number(top + FACE * 0.25)) width=(number(to - from))
                height=(number(FACE / 2.0)) fill="#fff" stroke="#000" {}
        }
    };
    html! {
        text x="0" y=(number(middle + LETTERS * 0.36)) font-weight="600" { (face_name(face)) }
        @if first.is_some() { (tenon(strip.left, shoulder)) }
        @if last.is_some() { (tenon(far, strip.right)) }
        path fill="#fff" stroke="#000" stroke-width="0.5" stroke-linejoin="round"
            d=(outline(part, (shoulder, far), top)) {}
        @if face.skin(Length::ZERO) == Skin::Sawn {
            path fill="none" stroke="#777" d=(grain(shoulder, far, top)) {}
        }
        @for (shape, from, to) in &face.cuts { (cut_drawn(*shape, strip.span(*from, *to), top)) }
        @if face.is_marked { (pencil_mark(face.face, (strip.left + strip.right) / 2.0, middle)) }
    }
}

/// The wood between its shoulders, its ends as they are cut.
fn outline(part: &PartSoFar, (left, right): (f64, f64), top: f64) -> String {
    let bottom = top + FACE;
    let slant = match part.ends {
        EndCut::Mitred => FACE * 0.6,
        EndCut::Rough | EndCut::Square => 0.0,
    };
    let corners = [(left, bottom), (left + slant, top), (right - slant, top), (right, bottom)];
    let corners = corners.map(|(x, y)| format!("{} {}", number(x), number(y)));
    format!("M{}Z", corners.join("L"))
}

/// Saw marks across a rough face.
fn grain(left: f64, right: f64, top: f64) -> String {
    let mut path = String::new();
    let mut x = left + 2.0;
    while x < right - 1.0 {
        path.push_str(&format!("M{} {}v{}", number(x), number(top + 1.0), number(FACE - 2.0)));
        x += 3.0;
    }
    path
}

fn cut_drawn(shape: CutShape, (from, wide): (f64, f64), top: f64) -> Markup {
    let (x, w) = (number(from), number(wide));
    match shape {
        CutShape::Mortise => html! {
            rect x=(x) y=(number(top + FACE * 0.3)) width=(w) height=(number(FACE * 0.4)) fill="#222"
                stroke="none" {}
        },
        CutShape::Hole => html! {
            ellipse cx=(number(from + wide / 2.0)) cy=(number(top + FACE / 2.0)) rx=(number(wide / 2.0))
                ry=(number((wide / 2.0).clamp(0.6, FACE * 0.3))) fill="#fff" stroke="#000"
                stroke-width="0.4" {}
        },
        CutShape::Groove => html! {
            rect x=(x) y=(number(top + FACE * 0.35)) width=(w) height=(number(FACE * 0.3)) fill="#bbb"
                stroke="#000" {}
        },
    }
}

/// The f of the face side and the v of the face edge, as a pencil draws them.
fn pencil_mark(face: LongFace, x: f64, middle: f64) -> Markup {
    let sign = match face {
        LongFace::A => "f",
        LongFace::B => "v",
        LongFace::C | LongFace::D => return html! {},
    };
    html! {
        text x=(number(x)) y=(number(middle + 1.4)) text-anchor="middle" font-style="italic"
            font-size="4.4" stroke="#fff" stroke-width="0.8" paint-order="stroke" { (sign) }
    }
}

/// The length below, on its line.
fn length_line(strip: &FaceStrip, y: f64, text: &str) -> Markup {
    let (left, right) = (strip.left, strip.right);
    let [l, r, at] = [left, right, y].map(number);
    let head = |tip: f64, by: f64| {
        format!(
            "M{} {at}L{} {}L{} {}Z",
            number(tip),
            number(tip + by),
            number(y - 0.4),
            number(tip + by),
            number(y + 0.4)
        )
    };
    html! {
        path fill="none" stroke="#000"
            d={ "M" (l) " " (number(y - 3.6)) "V" (number(y + 1.0)) "M" (r) " " (number(y - 3.6)) "V"
                (number(y + 1.0)) "M" (l) " " (at) "H" (r) } {}
        path fill="#000" stroke="none" d={ (head(left, 2.4)) (head(right, -2.4)) } {}
        text x=(number((left + right) / 2.0)) y=(number(y - 0.8)) text-anchor="middle" stroke="#fff"
            stroke-width="0.9" paint-order="stroke" { (text) }
    }
}
