//! The words while a layout is put to the lead.

use super::boards::{finding_lines, how_to_leave_out};
use super::place::{names, strips};
use super::view::{Lit, MachineView, Order};
use crate::journal::{BoardId, KnotOffer, LaidBlank, LaidBoard, LaidMissing, LaidOut, LaidSection};
use crate::route::{Article, Role};
use crate::stock::{self, BlankNeed, Flaw, RackBoard, Ruling};
use crate::work::{WorkContext, next_name, ruling_options};

impl MachineView {
    pub(super) fn accept_layout(&mut self, context: &WorkContext<'_>) {
        let boards = &context.state.boards;
        let Some(proposed) = &boards.proposed else { return };
        let layout = &proposed.layout;
        let usable = boards.all.iter().filter(|bought| bought.is_usable()).count();
        let used = layout.boards.len();
        self.order = Order::new(
            "LEAD",
            "layout",
            "accept the layout",
            format!(
                "accept the layout: {used} of {usable} boards used, {:.1} board feet.",
                layout.board_feet
            ),
        );
        self.now.extend(missing_words(&layout.missing));
        self.lit = if layout.missing.is_empty() { Lit::Entry } else { Lit::Order };
        self.details.push(bound_words(layout));
        for (part, sets) in &layout.apart {
            let counted = context.route.article.counted(*sets);
            let line = format!("{part}: {counted} from more than one board, wanted from one.");
            self.details.push(line);
        }
        for bought in &boards.all {
            if let Some((by, why)) = &bought.aside {
                self.details.push(format!("Board {} is set aside, {by}: {why}.", bought.is.name));
            }
        }
        for (n, (board, flaw, ruling)) in ruling_options(boards).iter().enumerate() {
            let offer = proposed.offers.get(n);
            self.details.push(option(context, n + 1, board, flaw, *ruling, offer));
        }
        match proposed.untried {
            0 => {}
            1 => self.details.push("1 more option for a knot was not tried.".to_owned()),
            n => self.details.push(format!("{n} more options for knots were not tried.")),
        }
        self.details.extend(scant_boards(context, layout));
        for laid in &layout.boards {
            let Some(bought) = boards.board(&laid.board) else { continue };
            self.details.push(format!("Board {}: {}.", bought.is.name, laid_words(context, laid)));
        }
        let (next, leave_out) = (next_name(boards), how_to_leave_out(boards));
        self.details.push(format!("Another board: + for {next}, or + and its name.{leave_out}"));
        self.prompt = "lead's initials to accept".to_owned();
    }
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
    finding_lines(
        &boards,
        stock::too_thin(&boards, &needs, &layout.saw, unit, laid_for, is_missing),
    )
}

/// `No board is left for 4 leg + 2 spare + 1 setup, 2 rail spare.` What no
/// search proved is only not found.
fn missing_words(missing: &[LaidMissing]) -> Vec<String> {
    let said = |proved: bool, lead: &str| {
        let blanks = counted_blanks(missing.iter().filter(|held| held.proved == proved));
        (!blanks.is_empty()).then(|| format!("{lead} {blanks}."))
    };
    let proved = said(true, "No board is left for");
    proved.into_iter().chain(said(false, "Not found on these boards:")).collect()
}

/// `4 leg + 2 spare + 1 setup, 2 rail spare`.
fn counted_blanks<'l>(held: impl Iterator<Item = &'l LaidMissing>) -> String {
    let mut each: Vec<(&str, String)> = Vec::new();
    for missing in held {
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
    each.join(", ")
}

/// How good it is, in words. What is proved is said only of cuttings that
/// crosscut before they rip.
fn bound_words(layout: &LaidOut) -> String {
    let over = layout.board_feet - layout.bound;
    // Finer than this is only the noise of adding boards up.
    if over < 1e-6 {
        return "No other layout that crosscuts first takes less wood.".to_owned();
    }
    format!(
        "No layout that crosscuts first takes less than {:.1} board feet: at most {:.1} could be \
         saved.",
        (layout.bound * 10.0).floor() / 10.0,
        (over * 10.0).ceil() / 10.0
    )
}

/// `1 Board 2, knot at 31 to 33: hide it in: rib (2.1 board feet less)?`
fn option(
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
        Ruling::Around => "cut around it after all".to_owned(),
    };
    let article = &context.route.article;
    let brings = offer.map(|offer| gains(offer, article)).unwrap_or_default();
    let brings =
        if brings.is_empty() { String::new() } else { format!(" ({})", brings.join(", ")) };
    format!("{number} Board {name}, {flaw}: {what}{brings}? {number}, lead's initials, why.")
}

/// What an option gains.
fn gains(offer: &KnotOffer, article: &Article) -> Vec<String> {
    let mut gains = Vec::new();
    match offer.more {
        0 => {}
        1 => gains.push("1 more blank".to_owned()),
        more => gains.push(format!("{more} more blanks")),
    }
    if offer.saved > 0.0 {
        gains.push(format!("{:.1} board feet less", offer.saved));
    }
    match offer.together {
        0 => {}
        more => gains.push(format!("{more} more {} from one board", article.noun(more))),
    }
    gains
}

fn laid_words(context: &WorkContext<'_>, laid: &LaidBoard) -> String {
    let sections: Vec<String> =
        laid.sections.iter().map(|section| section_words(context, section)).collect();
    sections.join(" | ")
}

/// `leg 1-3 of stool 1 side by side`.
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::Length;

    /// Nobody is told that no board is left where no search proved it.
    #[test]
    fn what_is_not_proved_is_only_not_found() {
        let missing = |part: &str, role, blanks, proved| LaidMissing {
            part: part.to_owned(),
            role,
            blanks,
            proved,
        };
        let held = [
            missing("leg", Role::Set, 4, true),
            missing("leg", Role::Spare, 2, true),
            missing("rail", Role::Set, 3, false),
        ];
        assert_eq!(
            missing_words(&held),
            ["No board is left for 4 leg + 2 spare.", "Not found on these boards: 3 rail."]
        );
        assert!(missing_words(&[]).is_empty());
    }

    fn offer(more: u32, saved: f64, together: u32) -> KnotOffer {
        let place = stock::Stretch { from: Length::ZERO, to: Length::INCH };
        KnotOffer {
            board: BoardId("a-1".to_owned()),
            flaw: Flaw {
                kind: stock::FlawKind::Knot,
                along: place,
                across: None,
                ruling: Ruling::Around,
            },
            ruling: Ruling::Hidden,
            parts: vec!["rib".to_owned()],
            more,
            saved,
            together,
        }
    }

    /// Only what is more or less than now is said.
    #[test]
    fn an_option_says_what_it_gains() {
        let article = Article::new("stool", None);
        let said = |more, saved, together| gains(&offer(more, saved, together), &article);
        assert!(said(0, 0.0, 0).is_empty());
        assert!(said(0, -0.5, 0).is_empty());
        assert_eq!(
            said(1, 2.14, 1),
            ["1 more blank", "2.1 board feet less", "1 more stool from one board"]
        );
        assert_eq!(said(3, 0.0, 2), ["3 more blanks", "2 more stools from one board"]);
    }
}
