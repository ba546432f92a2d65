//! What the machine screen says at the rack, as words: what is asked of a
//! board, the layout put to the lead, the mark to draw. Knows nothing of cells.

use super::machine_view::MachineView;
use crate::journal::{
    BatchBoard, BatchBoards, BoardId, BoardQuestion, KnotOffer, LaidBlank, LaidBoard, LaidOut,
    LaidSection, PieceId, State,
};
use crate::measure::{Length, Unit};
use crate::operation::Drawing;
use crate::operation::drawing::Point;
use crate::prose::Message;
use crate::route::{PieceLabel, Role};
use crate::shop::ROUGH_STOCK;
use crate::stock::{
    self, BlankNeed, CutMark, Flaw, RackBoard, Ruling, Segment, Stretch, format_flaws, piece_list,
};
use crate::work::{BoardsTask, Task, WorkContext, next_name, ways};

/// What the machine screen says at the rack.
pub(super) fn card(context: &WorkContext<'_>, task: &Task) -> MachineView {
    let rack = &context.state.boards;
    let mut card = MachineView {
        title: "op 0  boards, from the rack".to_owned(),
        count: rack.stands(),
        caution: ROUGH_STOCK.to_owned(),
        ..MachineView::default()
    };
    match task {
        Task::Who => {
            card.who(context);
            card.now = vec!["Who is at the rack?".to_owned()];
        }
        Task::Finished => {
            card.finished(context);
            card.details.push(
                "A flaw that turns up later: flaw A knot 31 to 33. A bad board: aside A MB why."
                    .to_owned(),
            );
        }
        Task::Boards(BoardsTask::Tell { board, asks }) => tell(&mut card, context, board, *asks),
        Task::Boards(BoardsTask::More) => more(&mut card, context),
        Task::Boards(BoardsTask::Accept) => accept(&mut card, context),
        Task::Boards(BoardsTask::Mark { board, mark }) => {
            draw_mark(&mut card, context, board, *mark)
        }
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

fn tell(card: &mut MachineView, context: &WorkContext<'_>, board: &BoardId, asks: BoardQuestion) {
    let (rack, unit) = (&context.state.boards, context.route.unit);
    let told = rack.board(board);
    let name = told.map(|bought| bought.is.name.clone()).filter(|name| !name.is_empty());
    let board = name.map_or_else(|| "the board".to_owned(), |name| format!("board {name}"));
    let (now, how, prompt) = match asks {
        BoardQuestion::Name => (
            "A board from the rack: what is it called?".to_owned(),
            "Chalk its name on one end: every place is measured from there.",
            format!("its name (Enter: {})", next_name(rack)),
        ),
        BoardQuestion::Species => {
            let wood = context.terms().wood;
            let usual = wood.map_or_else(String::new, |wood| format!(" (Enter: {wood})"));
            (format!("Which wood is {board}?"), "", format!("wood{usual}"))
        }
        BoardQuestion::ThicknessNear => (
            format!("How thick is {board} at its marked end?"),
            "Rough, as it is. A hand away from the end, clear of checks.",
            "thickness, marked end".to_owned(),
        ),
        BoardQuestion::ThicknessMiddle => {
            (format!("How thick is {board} in the middle?"), "", "thickness, middle".to_owned())
        }
        BoardQuestion::ThicknessFar => {
            (format!("How thick is {board} at its far end?"), "", "thickness, far end".to_owned())
        }
        BoardQuestion::Width => (
            format!("How wide is {board} where it is narrowest?"),
            "Without bark and wane.",
            "width, narrowest".to_owned(),
        ),
        BoardQuestion::Length => {
            (format!("How long is {board}?"), "Between sound ends.", "length".to_owned())
        }
        BoardQuestion::Cup => (
            format!("Is {board} cupped?"),
            "How hollow across, at the worst place, under a straightedge.",
            "cup (Enter: none)".to_owned(),
        ),
        BoardQuestion::Bow => (
            format!("Is {board} bowed?"),
            "How hollow along its face, under a string from end to end.",
            "bow (Enter: none)".to_owned(),
        ),
        BoardQuestion::Wind => (
            format!("Is {board} in wind?"),
            "How far one corner stands off when the other three lie.",
            "wind (Enter: none)".to_owned(),
        ),
        BoardQuestion::Moisture => (
            format!("How moist is {board}?"),
            "In percent, by the meter.",
            "moisture (Enter: none)".to_owned(),
        ),
        BoardQuestion::Flaws => (
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
    let others = rack.all.iter().filter(|bought| bought.is_told());
    card.details.extend(others.map(|bought| board_line(bought, unit)));
    card.prompt = prompt;
    card.unit = match asks {
        BoardQuestion::Name | BoardQuestion::Species | BoardQuestion::Flaws => "",
        BoardQuestion::Moisture => "%",
        _ => unit.sign(),
    };
}

/// What is told of a board so far.
fn told_words(bought: &BatchBoard, unit: Unit) -> String {
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
        told.push(format_flaws(&is.flaws, unit));
    }
    if told.is_empty() { String::new() } else { format!("So far: {}.", told.join("; ")) }
}

/// `board 2: white oak, 1 13/16 x 8 1/4 x 96, 2 flaws`.
fn board_line(bought: &BatchBoard, unit: Unit) -> String {
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

fn more(card: &mut MachineView, context: &WorkContext<'_>) {
    let rack = &context.state.boards;
    let told = rack.all.iter().filter(|bought| bought.is_usable()).count();
    let boards = if told == 1 { "1 board is".to_owned() } else { format!("{told} boards are") };
    card.now.push(if rack.accepted.is_some() {
        "Something came to light: what is not drawn yet is laid out anew.".to_owned()
    } else {
        format!("{boards} told. Another one, or lay them out?")
    });
    card.details.push(format!(
        "Another board: its name, or + for {}.{}",
        next_name(rack),
        stays(rack)
    ));
    let unit = context.route.unit;
    card.details.extend(rack.all.iter().map(|bought| match bought.is_told() {
        true => board_line(bought, unit),
        false => format!("Board {} is still being told at {}.", bought.is.name, bought.station),
    }));
    card.details.extend(odd_boards(context));
    card.prompt = "Enter: lay out; or a name".to_owned();
}

/// Boards that are no use, or unlike the others.
fn odd_boards(context: &WorkContext<'_>) -> Vec<String> {
    let usable = context.state.boards.all.iter().filter(|bought| bought.is_usable());
    let boards: Vec<RackBoard> = usable.map(|bought| bought.is.clone()).collect();
    let needs = stock::needs(context.route, context.shop, context.plan);
    let saw = stock::Saw::of(context.shop);
    said(&boards, stock::findings(&boards, &needs, &saw, context.route.unit))
}

/// Boards that are too thin, or so only unless they are ripped first.
fn scant_boards(context: &WorkContext<'_>, layout: &LaidOut) -> Vec<String> {
    let usable = context.state.boards.all.iter().filter(|bought| bought.is_usable());
    let (ids, boards): (Vec<&BoardId>, Vec<RackBoard>) =
        usable.map(|bought| (&bought.id, bought.is.clone())).unzip();
    let needs = stock::needs(context.route, context.shop, context.plan);
    let laid_for = |board: usize, need: &BlankNeed| {
        let laid = layout.boards.iter().filter(|laid| Some(&&laid.board) == ids.get(board));
        let mut blanks = laid.flat_map(|laid| &laid.sections).flat_map(|section| &section.blanks);
        blanks.any(|blank| blank.part == need.part)
    };
    let is_missing =
        |need: &BlankNeed| layout.missing.iter().any(|missing| missing.part == need.part);
    let unit = context.route.unit;
    said(&boards, stock::too_thin(&boards, &needs, &layout.saw, unit, laid_for, is_missing))
}

fn said(boards: &[RackBoard], found: Vec<Message<usize>>) -> Vec<String> {
    let named = |index: usize| boards.get(index).map_or("", |board| board.name.as_str());
    found.into_iter().map(|found| format!("Board {}: {}.", named(found.place), found)).collect()
}

fn accept(card: &mut MachineView, context: &WorkContext<'_>) {
    let rack = &context.state.boards;
    let Some(proposed) = &rack.proposed else { return };
    let layout = &proposed.layout;
    let usable = rack.all.iter().filter(|bought| bought.is_usable()).count();
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
    for bought in &rack.all {
        if let Some((by, why)) = &bought.aside {
            card.details.push(format!("Board {} is set aside, {by}: {why}.", bought.is.name));
        }
    }
    for (n, (board, flaw, ruling)) in ways(rack).iter().enumerate() {
        let offer = proposed.offers.get(n);
        card.details.push(ruled(context, n + 1, board, flaw, *ruling, offer));
    }
    match proposed.untried {
        0 => {}
        1 => card.details.push("1 more ruling on a knot was not tried.".to_owned()),
        n => card.details.push(format!("{n} more rulings on knots were not tried.")),
    }
    card.details.extend(scant_boards(context, layout));
    for laid in &layout.boards {
        let Some(bought) = rack.board(&laid.board) else { continue };
        card.details.push(format!("Board {}: {}.", bought.is.name, laid_words(context, laid)));
    }
    card.details.push(format!(
        "Another board: + for {}, or + and its name.{}",
        next_name(rack),
        stays(rack)
    ));
    card.prompt = "lead's initials accept it".to_owned();
}

/// How a board is left in the rack, by the name of one that can be.
fn stays(rack: &BatchBoards) -> String {
    let last = rack.all.iter().rfind(|bought| bought.is_usable());
    last.map_or_else(String::new, |bought| {
        let name = &bought.is.name;
        format!(" aside {name} MB why: board {name} stays.")
    })
}

/// `No board is left for 4 leg + 2 spare + 1 setup, 2 rail spare.`
fn missing(layout: &LaidOut) -> Option<String> {
    let mut each: Vec<(&str, String)> = Vec::new();
    for missing in &layout.missing {
        let role = match missing.role {
            Role::Spare => " spare",
            Role::Setup => " setup",
            Role::Set | Role::Blank => "",
        };
        match each.iter_mut().find(|(part, _)| *part == missing.part) {
            Some((_, said)) => said.push_str(&format!(" + {}{role}", missing.blanks)),
            None => {
                let said = format!("{} {}{role}", missing.blanks, missing.part);
                each.push((&missing.part, said));
            }
        }
    }
    let each: Vec<String> = each.into_iter().map(|(_, said)| said).collect();
    (!each.is_empty()).then(|| format!("No board is left for {}.", each.join(", ")))
}

/// How good it is, in words.
fn bound_words(layout: &LaidOut) -> String {
    let over = layout.board_feet - layout.bound;
    // Finer than this is only the noise of adding boards up.
    if over < 1e-6 {
        return "No way that crosscuts first and rips then takes less.".to_owned();
    }
    format!(
        "Crosscut first, as much can't come from less than {:.1} board feet: at most {:.1} could \
         be saved.",
        (layout.bound * 10.0).floor() / 10.0,
        (over * 10.0).ceil() / 10.0
    )
}

/// `1 Board 2, knot at 31 to 33: hide it in the rib, saves 2.1 board feet.`
fn ruled(
    context: &WorkContext<'_>,
    number: usize,
    board: &BoardId,
    flaw: &Flaw,
    ruling: Ruling,
    offer: Option<&KnotOffer>,
) -> String {
    let name = context.state.boards.board(board).map_or("", |bought| bought.is.name.as_str());
    let flaw = flaw.named(context.route.unit);
    let parts = offer.map(|offer| offer.parts.join(", ")).unwrap_or_default();
    let what = match ruling {
        Ruling::Hidden => format!("hide it in: {parts}"),
        Ruling::Fill => format!("fill it, in: {parts}"),
        Ruling::Around => "go around it after all".to_owned(),
    };
    let mut brings = Vec::new();
    if let Some(offer) = offer {
        match offer.more {
            0 => {}
            1 => brings.push("1 blank more".to_owned()),
            more => brings.push(format!("{more} blanks more")),
        }
        if offer.saved > 0.0 {
            brings.push(format!("{:.1} board feet less", offer.saved));
        }
        match offer.together {
            0 => {}
            1 => brings.push("1 set more from one board".to_owned()),
            sets => brings.push(format!("{sets} sets more from one board")),
        }
    }
    let brings =
        if brings.is_empty() { String::new() } else { format!(" ({})", brings.join(", ")) };
    format!("{number} Board {name}, {flaw}: {what}{brings}? {number}, lead's initials, why.")
}

fn laid_words(context: &WorkContext<'_>, laid: &LaidBoard) -> String {
    let sections: Vec<String> =
        laid.sections.iter().map(|section| section_words(context, section)).collect();
    sections.join(" | ")
}

/// `leg 1-3 of set 1 side by side`.
fn section_words(context: &WorkContext<'_>, section: &LaidSection) -> String {
    let strips = strips(section);
    let along = strips.iter().map(Vec::len).max().unwrap_or(0);
    let how = match (strips.len(), along) {
        (0, _) => return "nothing to keep".to_owned(),
        (1, 1) => "",
        (_, 1) => " side by side",
        (1, _) => " end to end",
        _ => " side by side and end to end",
    };
    let blanks: Vec<&LaidBlank> = strips.into_iter().flatten().collect();
    format!("{}{how}", names(context, &blanks))
}

fn names(context: &WorkContext<'_>, blanks: &[&LaidBlank]) -> String {
    let pieces = blanks.iter().flat_map(|blank| &blank.pieces);
    let labels: Vec<PieceLabel> = pieces
        .filter_map(|piece| context.state.piece(piece))
        .map(|piece| piece.label.clone())
        .collect();
    // What the batch has no piece for is told by its part.
    let nameless = blanks.iter().filter(|blank| blank.pieces.is_empty());
    let named = (!labels.is_empty()).then(|| piece_list(&labels));
    let all: Vec<String> =
        named.into_iter().chain(nameless.map(|blank| blank.part.clone())).collect();
    all.join(", ")
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

fn draw_mark(card: &mut MachineView, context: &WorkContext<'_>, board: &BoardId, mark: usize) {
    let (rack, unit) = (&context.state.boards, context.route.unit);
    let marks = rack.marks(board);
    let laid: Vec<(&BatchBoard, &LaidBoard)> = rack.laid().collect();
    let place = laid.iter().position(|(bought, _)| bought.id == *board);
    let (Some(place), Some(here)) = (place, marks.get(mark)) else { return };
    let (bought, on) = laid[place];
    let name = &bought.is.name;
    card.title = format!("op 0  board {name}, {} of {}", place + 1, laid.len());
    card.count = format!("mark {} of {}", mark + 1, marks.len());
    card.label = format!("from the marked end of board {name}");
    card.big = figures(here.at, unit);
    card.under = match marks.get(mark + 1) {
        Some(next) => format!("{0}; the next at {1} {0}", unit.sign(), figures(next.at, unit)),
        None => format!("{}; the last of this board", unit.sign()),
    };
    // How they lie in it is told where they are ripped.
    let lies = |before: Segment, keep: &str| match before {
        Segment::Section(n) => {
            let blanks: Vec<&LaidBlank> =
                on.sections.get(n).into_iter().flat_map(strips).flatten().collect();
            match blanks.is_empty() {
                true => "nothing to keep".to_owned(),
                false => format!("{}{keep}", names(context, &blanks)),
            }
        }
        Segment::Offcut => "long enough to keep: chalk its wood on it".to_owned(),
        Segment::Waste => "waste".to_owned(),
    };
    let after = behind(bought, on, &marks, mark);
    card.now.push(format!("Left of it: {}.", lies(here.segment, "; keep it")));
    card.now.push(format!("Right of it: {}.", lies(after, "")));
    card.details.push(match here.segment {
        Segment::Section(_) => "Saw right of the line.".to_owned(),
        _ => "Saw left of the line.".to_owned(),
    });
    for before in [here.segment, after] {
        if let Segment::Section(n) = before
            && let Some(section) = on.sections.get(n)
        {
            card.details.extend(ripped(context, section, unit));
        }
    }
    card.details.push("A flaw seen now: knot 31 to 33. A bad board: aside MB why.".to_owned());
    card.prompt = "Enter: the mark is drawn".to_owned();
}

/// What lies right of a mark.
fn behind(bought: &BatchBoard, on: &LaidBoard, marks: &[CutMark], mark: usize) -> Segment {
    if let Some(next) = marks.get(mark + 1) {
        return next.segment;
    }
    let ends = on.sections.last().is_some_and(|last| last.along.to >= bought.is.length);
    if ends {
        return Segment::Section(on.sections.len() - 1);
    }
    let last = on.cut_plan().last(bought.is.length);
    last.map_or(Segment::Waste, |(_, before)| before)
}

/// The widths strips are ripped to, and the cuts along them.
fn ripped(context: &WorkContext<'_>, section: &LaidSection, unit: Unit) -> Option<String> {
    let strips = strips(section);
    let wide = |strip: &Vec<&LaidBlank>| {
        let Stretch { from, to } = strip.first()?.across;
        Some(figures(to - from, unit))
    };
    let widths: Vec<String> = strips.iter().filter_map(wide).collect();
    let first = widths.first()?;
    if strips.iter().all(|strip| strip.len() == 1) {
        return match widths.len() {
            1 => None,
            n if widths.iter().all(|width| width == first) => {
                Some(format!("Ripped later: {n} strips {first} wide."))
            }
            _ => {
                let each = strips.iter().zip(&widths);
                let each: Vec<String> = each
                    .map(|(strip, width)| format!("{width} {}", short_name(context, strip[0])))
                    .collect();
                Some(format!("Ripped later, from the marked edge: {}.", each.join(", ")))
            }
        };
    }
    let each = strips.iter().zip(&widths).map(|(strip, width)| {
        let cuts: Vec<String> =
            strip.iter().map(|blank| figures(blank.along.to - section.along.from, unit)).collect();
        let names: Vec<String> = strip.iter().map(|blank| short_name(context, blank)).collect();
        match strip.len() {
            1 => format!("{width} {}", names.join(", ")),
            _ => format!("{width} {}, cut at {}", names.join(", "), cuts.join(", ")),
        }
    });
    let each: Vec<String> = each.collect();
    Some(format!("Ripped later, from the marked edge: {}.", each.join("; ")))
}

/// `board 2, from 20 1/4 to 39 3/8`: where a piece lies, for whoever cuts it.
pub(super) fn lies(state: &State, unit: Unit, piece: &PieceId) -> Option<String> {
    let from = state.board_of(piece)?;
    let Stretch { from: near, to: far } = from.along;
    Some(format!(
        "board {}, from {} to {} {}",
        from.board.is.name,
        figures(near, unit),
        figures(far, unit),
        unit.sign()
    ))
}

/// The board that is marked, and where this mark lies on it.
pub(super) fn drawing(context: &WorkContext<'_>, task: &BoardsTask) -> Option<Drawing> {
    let BoardsTask::Mark { board, mark } = task else { return None };
    let rack = &context.state.boards;
    let (bought, laid) = rack.laid().find(|(bought, _)| bought.id == *board)?;
    let at = rack.marks(board).get(*mark)?.at;
    let RackBoard { width, .. } = bought.is;
    let named = |section: usize, blank: usize| {
        let section = laid.sections.get(section);
        let blank = section.and_then(|section| section.blanks.get(blank));
        blank.map(|blank| short_name(context, blank)).unwrap_or_default()
    };
    let near = Point::new(Length::ZERO, Length::ZERO);
    Some(
        stock::drawing(&bought.is, &laid.cut_plan(), named)
            .mark(Point::new(at, Length::ZERO), Point::new(at, width))
            .dimension(near, Point::new(at, Length::ZERO), figures(at, context.route.unit)),
    )
}

/// What a blank is called where it lies: `leg 3`.
fn short_name(context: &WorkContext<'_>, blank: &LaidBlank) -> String {
    let first = blank.pieces.first().and_then(|piece| context.state.piece(piece));
    match first.map(|piece| &piece.label) {
        Some(label) if label.role == Role::Set => format!("{} {}", label.part, label.number),
        Some(label) => label.to_string(),
        None => blank.part.clone(),
    }
}
