//! What the machine screen says at the rack, as words: what is asked of a
//! board, the layout put to the lead, the mark to draw. Knows nothing of cells.

use super::card::Card;
use crate::batch::{
    BoardId, Bought, Due, LaidBlank, LaidBoard, LaidOut, LaidSection, Mark, Offer, Question,
    RackDue, Stand, next_name, offers,
};
use crate::measure::{Length, Unit};
use crate::operation::drawing::{Drawing, Material, Point, Scale};
use crate::operation::words;
use crate::route::Role;
use crate::shop::ROUGH_STOCK;
use crate::stock::{RackBoard, Stretch, flaws_written};

/// What the machine screen says at the rack.
pub(super) fn card(stand: &Stand<'_>, due: &Due) -> Card {
    let rack = &stand.state.rack;
    let mut card = Card {
        title: "op 0  boards, from the rack".to_owned(),
        count: rack.stands(),
        caution: ROUGH_STOCK.to_owned(),
        ..Card::default()
    };
    match due {
        Due::Who => {
            card.who(stand);
            card.now = vec!["Who is at the rack?".to_owned()];
        }
        Due::Finished => card.finished(stand),
        Due::Rack(RackDue::Tell { board, asks }) => tell(&mut card, stand, board, *asks),
        Due::Rack(RackDue::More) => more(&mut card, stand),
        Due::Rack(RackDue::Accept) => accept(&mut card, stand),
        Due::Rack(RackDue::Mark { board, mark }) => draw_mark(&mut card, stand, board, *mark),
        _ => {}
    }
    card
}

/// A size on a tape: without its unit, for that is the route's.
fn figures(length: Length, unit: Unit) -> String {
    match unit {
        Unit::Inch => {
            let (text, rest) = length.fraction(64);
            if rest.is_zero() { text } else { length.decimal(unit, 3) }
        }
        Unit::Millimetre => {
            let text = length.decimal(unit, 1);
            text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
        }
    }
}

fn tell(card: &mut Card, stand: &Stand<'_>, board: &BoardId, asks: Question) {
    let (rack, unit) = (&stand.state.rack, stand.route.unit);
    let told = rack.board(board);
    let name = told.map(|bought| bought.is.name.clone()).filter(|name| !name.is_empty());
    let board = name.map_or_else(|| "the board".to_owned(), |name| format!("board {name}"));
    let (now, how, prompt) = match asks {
        Question::Name => (
            "A board from the rack: what is it called?".to_owned(),
            "Chalk its name on one end: every place is measured from there.",
            format!("its name (Enter: {})", next_name(rack)),
        ),
        Question::Species => {
            let wood = stand.terms().wood;
            let usual = wood.map_or_else(String::new, |wood| format!(" (Enter: {wood})"));
            (format!("Which wood is {board}?"), "", format!("wood{usual}"))
        }
        Question::ThicknessNear => (
            format!("How thick is {board} at its marked end?"),
            "Rough, as it is. A hand away from the end, clear of checks.",
            "thickness at the marked end".to_owned(),
        ),
        Question::ThicknessMiddle => {
            (format!("How thick is {board} in the middle?"), "", "thickness, middle".to_owned())
        }
        Question::ThicknessFar => {
            (format!("How thick is {board} at its far end?"), "", "thickness, far end".to_owned())
        }
        Question::Width => (
            format!("How wide is {board} where it is narrowest?"),
            "Without bark and wane.",
            "width, narrowest".to_owned(),
        ),
        Question::Length => {
            (format!("How long is {board}?"), "Between sound ends.", "length".to_owned())
        }
        Question::Cup => (
            format!("Is {board} cupped?"),
            "How hollow across, at the worst place, under a straightedge.",
            "cup (Enter: none)".to_owned(),
        ),
        Question::Bow => (
            format!("Is {board} bowed?"),
            "How hollow along its face, under a string from end to end.",
            "bow (Enter: none)".to_owned(),
        ),
        Question::Wind => (
            format!("Is {board} in wind?"),
            "How far one corner stands off when the other three lie.",
            "wind (Enter: none)".to_owned(),
        ),
        Question::Moisture => (
            format!("How moist is {board}?"),
            "In percent, by the meter.",
            "moisture (Enter: not measured)".to_owned(),
        ),
        Question::Flaws => (
            format!("Knots, splits, other flaws of {board}, one after the other."),
            "From the marked end; at: from the marked edge, where it doesn't go right across. \
             knot 31 to 33 at 0 to 2; split 0 to 6; other 90 to 96",
            "a flaw (Enter: no more)".to_owned(),
        ),
    };
    card.now.push(now);
    if !how.is_empty() {
        card.details.push(how.to_owned());
    }
    card.details
        .extend(told.map(|bought| told_words(bought, unit)).filter(|text| !text.is_empty()));
    let others = rack.boards.iter().filter(|bought| bought.is_told());
    card.details.extend(others.map(|bought| board_line(bought, unit)));
    card.prompt = prompt;
    card.unit = match asks {
        Question::Name | Question::Species | Question::Flaws => "",
        Question::Moisture => "%",
        _ => unit.sign(),
    };
}

/// What is told of a board so far.
fn told_words(bought: &Bought, unit: Unit) -> String {
    let is = &bought.is;
    let mut told: Vec<String> = Vec::new();
    if !is.species.is_empty() {
        told.push(is.species.clone());
    }
    let thick: Vec<String> = is
        .thickness
        .iter()
        .filter(|size| !size.is_zero())
        .map(|size| figures(*size, unit))
        .collect();
    if !thick.is_empty() {
        told.push(format!("{} thick", thick.join(", ")));
    }
    for (size, what) in [
        (is.width, "wide"),
        (is.length, "long"),
        (is.cup, "cup"),
        (is.bow, "bow"),
        (is.wind, "wind"),
    ] {
        if !size.is_zero() {
            told.push(format!("{} {what}", figures(size, unit)));
        }
    }
    told.extend(is.moisture.map(|percent| format!("{percent} %")));
    if !is.flaws.is_empty() {
        told.push(flaws_written(&is.flaws, unit));
    }
    if told.is_empty() { String::new() } else { format!("So far: {}.", told.join("; ")) }
}

/// `board 2: white oak, 1 13/16 x 8 1/4 x 96, 2 flaws`.
fn board_line(bought: &Bought, unit: Unit) -> String {
    let is = &bought.is;
    let sizes: Vec<String> =
        [is.thinnest(), is.width, is.length].iter().map(|size| figures(*size, unit)).collect();
    let flaws = match is.flaws.len() {
        0 => String::new(),
        1 => ", 1 flaw".to_owned(),
        n => format!(", {n} flaws"),
    };
    let aside = match &bought.aside {
        Some((by, why)) => format!("; SET ASIDE, {by}: {why}"),
        None => String::new(),
    };
    format!("Board {}: {}, {}{flaws}{aside}.", is.name, is.species, sizes.join(" x "))
}

fn more(card: &mut Card, stand: &Stand<'_>) {
    let rack = &stand.state.rack;
    let told = rack.boards.iter().filter(|bought| bought.is_usable()).count();
    let boards = if told == 1 { "1 board is".to_owned() } else { format!("{told} boards are") };
    card.now.push(if rack.accepted.is_some() {
        "Something came to light: what is not drawn yet is laid out anew.".to_owned()
    } else {
        format!("{boards} told. Another one, or lay them out?")
    });
    card.details.push(format!(
        "Another board: its name, or + for {}. aside 1 MB why: board 1 is left in the rack.",
        next_name(rack)
    ));
    let unit = stand.route.unit;
    card.details.extend(rack.boards.iter().map(|bought| match bought.is_told() {
        true => board_line(bought, unit),
        false => format!("Board {} is still being told at {}.", bought.is.name, bought.station),
    }));
    card.prompt = "Enter: lay out; or another board's name".to_owned();
}

fn accept(card: &mut Card, stand: &Stand<'_>) {
    let rack = &stand.state.rack;
    let Some(layout) = &rack.proposed else { return };
    let usable = rack.boards.iter().filter(|bought| bought.is_usable()).count();
    card.now.push(format!(
        "Laid out: {} of {usable} boards opened, {:.1} board feet.",
        layout.boards.len(),
        layout.board_feet
    ));
    card.now.extend(missing(layout));
    card.stop = !layout.missing.is_empty();
    card.details.push(bound_words(layout));
    for (part, sets) in &layout.apart {
        let sets = if *sets == 1 { "1 set".to_owned() } else { format!("{sets} sets") };
        card.details.push(format!("{part}: {sets} from more than one board, wanted from one."));
    }
    for (n, offer) in offers(stand).iter().enumerate() {
        card.details.push(offered(stand, n + 1, offer));
    }
    for laid in &layout.boards {
        let Some(bought) = rack.board(&laid.board) else { continue };
        card.details.push(format!("Board {}: {}.", bought.is.name, laid_words(stand, laid)));
    }
    card.details.push(
        "+: another board. aside 1 MB why: board 1 is left in the rack. Then laid out anew."
            .to_owned(),
    );
    card.prompt = "the lead's initials accept it".to_owned();
}

fn missing(layout: &LaidOut) -> Option<String> {
    let each = layout.missing.iter().map(|missing| {
        let role = match missing.role {
            Role::Spare => " spare",
            Role::Setup => " setup",
            Role::Set | Role::Blank => "",
        };
        format!("{} {}{role}", missing.blanks, missing.part)
    });
    let each: Vec<String> = each.collect();
    (!each.is_empty()).then(|| format!("No board is left for {}.", each.join(", ")))
}

/// How good it is, in words.
fn bound_words(layout: &LaidOut) -> String {
    let over = layout.board_feet - layout.bound;
    if over < 0.05 {
        return "No way of cutting as much from these boards takes less.".to_owned();
    }
    format!(
        "As much can't come from less than {:.1} board feet: at most {over:.1} could be saved.",
        layout.bound
    )
}

fn offered(stand: &Stand<'_>, number: usize, offer: &Offer) -> String {
    let name = stand.state.rack.board(&offer.board).map_or("", |bought| bought.is.name.as_str());
    let ways: Vec<&str> = offer.ways.iter().map(|way| way.word()).collect();
    let shown = ways.first().copied().unwrap_or_default();
    format!(
        "{number} Board {name}, {}: {}? Type {number} {shown} MB why.",
        offer.flaw.named(stand.route.unit),
        ways.join(" or ")
    )
}

fn laid_words(stand: &Stand<'_>, laid: &LaidBoard) -> String {
    let sections: Vec<String> =
        laid.sections.iter().map(|section| section_words(stand, section)).collect();
    sections.join(" | ")
}

/// `leg 1, leg 2 side by side`.
fn section_words(stand: &Stand<'_>, section: &LaidSection) -> String {
    let strips = strips(section);
    let along = strips.iter().map(|strip| strip.len()).max().unwrap_or(0);
    let names: Vec<String> =
        strips.iter().flatten().map(|blank| blank_words(stand, blank)).collect();
    let how = match (strips.len(), along) {
        (0, _) => return "nothing is kept".to_owned(),
        (1, 1) => "",
        (_, 1) => " side by side",
        (1, _) => " end to end",
        _ => ", ripped first",
    };
    format!("{}{how}", names.join(", "))
}

fn blank_words(stand: &Stand<'_>, blank: &LaidBlank) -> String {
    if blank.pieces.is_empty() {
        return blank.part.clone();
    }
    let names: Vec<String> = blank.pieces.iter().map(|piece| stand.state.name(piece)).collect();
    names.join(" with ")
}

/// The strips of a section from the marked edge on, each from its near end on.
fn strips(section: &LaidSection) -> Vec<Vec<&LaidBlank>> {
    let mut strips: Vec<Vec<&LaidBlank>> = Vec::new();
    let mut blanks: Vec<&LaidBlank> = section.blanks.iter().collect();
    blanks.sort_by_key(|blank| (blank.across.from, blank.along.from));
    for blank in blanks {
        match strips.last_mut() {
            Some(strip) if strip.iter().any(|held| held.across.from == blank.across.from) => {
                strip.push(blank);
            }
            _ => strips.push(vec![blank]),
        }
    }
    strips
}

fn draw_mark(card: &mut Card, stand: &Stand<'_>, board: &BoardId, mark: usize) {
    let (rack, unit) = (&stand.state.rack, stand.route.unit);
    let marks = rack.marks(board);
    let laid: Vec<(&Bought, &LaidBoard)> = rack.laid().collect();
    let place = laid.iter().position(|(bought, _)| bought.id == *board);
    let (Some(place), Some(here)) = (place, marks.get(mark)) else { return };
    let (bought, on) = laid[place];
    let name = &bought.is.name;
    card.title = format!("op 0  board {name}, the {} of {}", ordinal(place + 1), laid.len());
    card.count = format!("mark {} of {}", mark + 1, marks.len());
    card.label = format!("from the marked end of board {name}");
    card.big = figures(here.at, unit);
    card.under = unit.sign().to_owned();
    let section = |n: Option<usize>| n.and_then(|n| on.sections.get(n));
    card.now.push(match section(here.left) {
        Some(left) => format!("Left of it: {}; keep it.", section_words(stand, left)),
        None => "Left of it: waste.".to_owned(),
    });
    card.now.push(match section(here.right) {
        Some(right) => format!("Right of it: {}.", section_words(stand, right)),
        None => format!("Right of it: {}.", right_of(bought, on, &marks, mark, unit)),
    });
    if let Some(next) = marks.get(mark + 1) {
        card.details.push(format!("The next mark: {}.", words(next.at, unit)));
    }
    card.details.push(match here.left {
        Some(_) => "Saw right of the line, the line stays: the kerf is reckoned there.".to_owned(),
        None => "Saw left of the line, the line stays.".to_owned(),
    });
    for held in [here.left, here.right].into_iter().filter_map(section) {
        card.details.extend(ripped(stand, held, unit));
    }
    card.details.push(
        "A flaw you see now: knot 31 to 33. A bad board: aside, the lead's initials, why. Then \
         the rest is laid out anew."
            .to_owned(),
    );
    card.prompt = "Enter: the mark is drawn".to_owned();
}

/// What lies right of a mark where no section begins.
fn right_of(bought: &Bought, on: &LaidBoard, marks: &[Mark], mark: usize, unit: Unit) -> String {
    let at = marks[mark].at;
    let to = marks.get(mark + 1).map_or(bought.is.length, |next| next.at);
    let kept = on.left.iter().find(|left| left.from >= at && left.to <= to);
    match kept {
        Some(left) => {
            format!(
                "{} is left over; chalk its wood on it, keep it",
                words(left.to - left.from, unit)
            )
        }
        None => "waste".to_owned(),
    }
}

/// The widths strips are ripped to, and the cuts along them.
fn ripped(stand: &Stand<'_>, section: &LaidSection, unit: Unit) -> Option<String> {
    let strips = strips(section);
    let several = strips.len() > 1 || strips.iter().any(|strip| strip.len() > 1);
    let wide = |strip: &[&LaidBlank]| {
        let Stretch { from, to } = strip.first()?.across;
        let names: Vec<String> = strip.iter().map(|blank| blank_words(stand, blank)).collect();
        let cuts: Vec<String> = strip[..strip.len() - 1]
            .iter()
            .map(|blank| figures(blank.along.to - section.along.from, unit))
            .collect();
        let cuts = if cuts.is_empty() {
            String::new()
        } else {
            format!(", crosscut at {}", cuts.join(", "))
        };
        Some(format!("{} wide: {}{cuts}", figures(to - from, unit), names.join(", ")))
    };
    let each: Vec<String> = strips.iter().filter_map(|strip| wide(strip)).collect();
    several.then(|| format!("Ripped later, from the marked edge: {}.", each.join("; ")))
}

fn ordinal(n: usize) -> String {
    let ending = match (n % 100, n % 10) {
        (11..=13, _) => "th",
        (_, 1) => "st",
        (_, 2) => "nd",
        (_, 3) => "rd",
        _ => "th",
    };
    format!("{n}{ending}")
}

/// `board 2, from 20 1/4 to 39 3/8`: where a piece lies, for whoever cuts it.
pub(super) fn lies(stand: &Stand<'_>, piece: &crate::batch::PieceId) -> Option<String> {
    let from = stand.state.board_of(piece)?;
    let unit = stand.route.unit;
    let Stretch { from: near, to: far } = from.along;
    Some(format!(
        "board {}, from {} to {}",
        from.board.is.name,
        figures(near, unit),
        words(far, unit)
    ))
}

/// The board that is marked, and where this mark lies on it.
pub(super) fn drawing(stand: &Stand<'_>, due: &RackDue) -> Option<Drawing> {
    let RackDue::Mark { board, mark } = due else { return None };
    let rack = &stand.state.rack;
    let (bought, laid) = rack.laid().find(|(bought, _)| bought.id == *board)?;
    let at = rack.marks(board).get(*mark)?.at;
    let RackBoard { width, length, .. } = bought.is;
    let corner = Point::new(Length::ZERO, Length::ZERO);
    // The marked edge lies at the bottom, the marked end on the left.
    let mut drawing = Drawing::new("from above, marked end left", Scale::Stretched).block(
        Material::Waste,
        corner,
        Point::new(length, width),
    );
    for section in &laid.sections {
        for blank in &section.blanks {
            let (along, across) = (blank.along, blank.across);
            drawing = drawing.block(
                Material::Wood,
                Point::new(along.from, across.from),
                Point::new(along.to, across.to),
            );
        }
    }
    for section in &laid.sections {
        for blank in &section.blanks {
            let middle = Point::new(
                (blank.along.from + blank.along.to) / 2,
                (blank.across.from + blank.across.to) / 2,
            );
            drawing = drawing.label(middle, blank_words(stand, blank));
        }
    }
    for flaw in &bought.is.flaws {
        let across = flaw.across.unwrap_or(Stretch { from: Length::ZERO, to: width });
        drawing = drawing.block(
            Material::Cutter,
            Point::new(flaw.along.from, across.from),
            Point::new(flaw.along.to, across.to),
        );
    }
    Some(drawing.mark(Point::new(at, Length::ZERO), Point::new(at, width)).dimension(
        corner,
        Point::new(at, Length::ZERO),
        figures(at, stand.route.unit),
    ))
}
