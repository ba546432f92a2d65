//! The part so far: its four long faces one below the other, top at the left,
//! each as a row of what the last tool left, with what is cut into it to scale.
//!
//! Both ends of a cut fall on the nearest column, and every cut shows at least
//! one. Where few rows are free, faces that look alike share one.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::text::{Line, Span};
use ratatui::widgets::Widget;

use super::prose::{whole_or_dots, width};
use crate::measure::Length;
use crate::operation::{CutShape, EndCut, LongFace, Skin};
use crate::plan::{FaceSoFar, PartSoFar};
use crate::tui::theme::{Glyphs, Theme};

/// A heading and four faces.
const ROWS_IN_FULL: u16 = 5;
/// A row of wood shorter than this shows nothing.
const LEAST_COLUMNS: usize = 6;
/// How the tools leave a face.
const SKINS: [&str; 3] = ["~ sawn", "- planed", "= sanded"];

/// A piece as it is now.
#[derive(Clone, Copy, Debug)]
pub(crate) struct PartView<'a> {
    /// What it looks like.
    pub part: &'a PartSoFar,
    /// What it is called, the longest first.
    pub names: &'a [String],
    /// The signs and styles to draw with.
    pub theme: Theme,
}

/// A row of wood, and what stands before it.
struct FaceRow {
    label: String,
    mark: &'static str,
    wood: String,
}

impl PartView<'_> {
    /// Everything it shows, where so many columns and rows are free.
    pub(crate) fn lines(&self, columns: u16, rows: u16) -> Vec<Line<'static>> {
        let groups = self.groups(rows);
        let is_paired = rows < ROWS_IN_FULL;
        let label = |group: &Vec<&FaceSoFar>| match group[..] {
            [only] if !is_paired => named(only),
            _ => lettered(group),
        };
        let labels: Vec<String> = groups.iter().map(label).collect();
        let longest = labels.iter().map(|label| width(label)).max().unwrap_or(0);
        let labelled = longest.min(columns / 3);
        // Label, mark, both ends, and a gap before and after the mark.
        let wood = usize::from(columns.saturating_sub(labelled + 3)).saturating_sub(2);
        if wood < LEAST_COLUMNS {
            return Vec::new();
        }
        let shown: Vec<FaceRow> = groups
            .iter()
            .zip(labels)
            .map(|(group, label)| FaceRow {
                label: whole_or_dots(&label, labelled),
                mark: if is_paired { "" } else { mark(group[0]) },
                wood: self.wood(group[0], wood),
            })
            .collect();
        let room = usize::from(rows);
        let mut lines = Vec::new();
        if shown.len() < room {
            lines.push(self.heading(labelled, wood));
        }
        let is_cut_off = shown.len() > room;
        let kept = if is_cut_off { room.saturating_sub(1) } else { shown.len() };
        let hidden = shown.len() - kept;
        for FaceRow { label, mark, wood } in shown.into_iter().take(kept) {
            let pad = usize::from(labelled - width(&label));
            let before = format!("{label}{} {mark:1} ", " ".repeat(pad));
            lines.push(Line::from(vec![
                Span::styled(before, self.theme.plain()),
                Span::styled(wood, self.theme.wood()),
            ]));
        }
        if is_cut_off {
            lines.push(Line::styled(format!("{hidden} more faces: ?"), self.theme.plain()));
        }
        if rows > ROWS_IN_FULL {
            lines.push(Line::styled(self.legend(columns), self.theme.plain()));
        }
        lines.truncate(room);
        lines
    }

    /// Every face alone, or those that look alike together.
    fn groups(&self, rows: u16) -> Vec<Vec<&FaceSoFar>> {
        let mut groups: Vec<Vec<&FaceSoFar>> = Vec::new();
        for face in &self.part.faces {
            let alike = |group: &&mut Vec<&FaceSoFar>| group[0].looks_like(face);
            match groups.iter_mut().find(alike).filter(|_| rows < ROWS_IN_FULL) {
                Some(group) => group.push(face),
                None => groups.push(vec![face]),
            }
        }
        groups
    }

    fn heading(&self, labelled: u16, wood: usize) -> Line<'static> {
        let before = labelled + 3;
        let fits = |name: &&String| width(name) < before;
        let name = self.names.iter().find(fits).or(self.names.last());
        let name = whole_or_dots(name.map_or("", String::as_str), before - 1);
        let pad = usize::from(before - width(&name));
        let (top, end) = ("top", "far end");
        let between = (wood + 2).saturating_sub(top.len() + end.len());
        let ends =
            if between > 0 { format!("{top}{}{end}", " ".repeat(between)) } else { top.to_owned() };
        Line::styled(format!("{name}{}{ends}", " ".repeat(pad)), self.theme.plain())
    }

    /// What the signs on this piece mean, as far as there is room.
    fn legend(&self, columns: u16) -> String {
        let cut = |shape| self.part.faces.iter().any(|face| face.cuts.iter().any(|c| c.0 == shape));
        let glyphs = self.theme.glyphs();
        let mut signs = SKINS.map(str::to_owned).to_vec();
        if cut(CutShape::Mortise) {
            signs.push(format!("{} mortise", glyphs.block));
        }
        if self.part.tenons.iter().any(Option::is_some) {
            signs.push(format!("{}| tenon", glyphs.hollow));
        }
        if cut(CutShape::Groove) {
            signs.push(format!("{} groove", glyphs.hollow));
        }
        if cut(CutShape::Hole) {
            signs.push("o hole".to_owned());
        }
        let mut legend = String::new();
        for sign in signs {
            let gap = if legend.is_empty() { "" } else { "   " };
            if width(&legend) + width(gap) + width(&sign) <= columns {
                legend.push_str(gap);
                legend.push_str(&sign);
            }
        }
        legend
    }

    /// A face from end to end: so many columns, and one for each end.
    fn wood(&self, face: &FaceSoFar, columns: usize) -> String {
        let (part, glyphs) = (self.part, self.theme.glyphs());
        let place = Columns { count: columns, length: part.length };
        let mut row: Vec<&str> =
            (0..columns).map(|column| skin_sign(face.skin(place.middle(column)))).collect();
        for (shape, from, to) in &face.cuts {
            row[place.span(*from, *to)].fill(cut_sign(*shape, glyphs));
        }
        let (mut top, mut far) = match part.ends {
            EndCut::Rough => ("~", "~"),
            EndCut::Square => ("|", "|"),
            EndCut::Mitred => ("/", "\\"),
        };
        let [first, last] = part.tenons.map(|long| long.map(|long| place.tenon(long)));
        if let Some(long) = first {
            top = glyphs.hollow;
            row[..long].fill(glyphs.hollow);
            row[long] = "|";
        }
        if let Some(long) = last {
            far = glyphs.hollow;
            row[columns - long..].fill(glyphs.hollow);
            row[columns - long - 1] = "|";
        }
        format!("{top}{}{far}", row.concat())
    }
}

/// `A f, B v`: the letters of faces that look alike, with their marks.
fn lettered(group: &[&FaceSoFar]) -> String {
    if group.len() == LongFace::ALL.len() {
        return "all faces".to_owned();
    }
    let letter = |face: &&FaceSoFar| match mark(face) {
        "" => face.face.letter().to_owned(),
        mark => format!("{} {mark}", face.face.letter()),
    };
    group.iter().map(letter).collect::<Vec<_>>().join(", ")
}

/// A face alone, and where it looks.
fn named(face: &FaceSoFar) -> String {
    let letter = face.face.letter();
    match (&face.looks, face.face) {
        (Some(looks), _) => format!("{letter} {}", looks.replacen("toward ", "to ", 1)),
        (None, LongFace::A) => format!("{letter} face side"),
        (None, LongFace::B) => format!("{letter} face edge"),
        (None, LongFace::C | LongFace::D) => letter.to_owned(),
    }
}

fn mark(face: &FaceSoFar) -> &'static str {
    match (face.is_marked, face.face) {
        (true, LongFace::A) => "f",
        (true, LongFace::B) => "v",
        _ => "",
    }
}

const fn skin_sign(skin: Skin) -> &'static str {
    match skin {
        Skin::Sawn => "~",
        Skin::Planed => "-",
        Skin::Sanded => "=",
    }
}

const fn cut_sign(shape: CutShape, glyphs: &Glyphs) -> &'static str {
    match shape {
        CutShape::Mortise => glyphs.block,
        CutShape::Hole => "o",
        CutShape::Groove => glyphs.hollow,
    }
}

/// A length on a row of columns.
struct Columns {
    count: usize,
    length: Length,
}

impl Columns {
    fn nearest(&self, at: Length) -> usize {
        let share = at.ratio(self.length).clamp(0.0, 1.0);
        (share * self.count as f64).round() as usize
    }

    /// From where to where, at least one column.
    fn span(&self, from: Length, to: Length) -> std::ops::Range<usize> {
        let first = self.nearest(from).min(self.count - 1);
        first..self.nearest(to).max(first + 1)
    }

    /// The columns of a tenon: at least one, and room is left for the shoulder.
    fn tenon(&self, long: Length) -> usize {
        self.nearest(long).clamp(1, self.count / 2 - 1)
    }

    fn middle(&self, column: usize) -> Length {
        let (twice, count) = (2 * column as i64 + 1, 2 * self.count as i64);
        self.length * twice / count
    }
}

impl Widget for PartView<'_> {
    fn render(self, area: Rect, buffer: &mut Buffer) {
        let area = area.intersection(buffer.area);
        for (row, line) in area.rows().zip(self.lines(area.width, area.height)) {
            line.render(row, buffer);
        }
    }
}

#[cfg(test)]
mod tests;
