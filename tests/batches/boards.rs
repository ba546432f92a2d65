//! Boards entered at the rack, laid out, and marked one line after the other,
//! in memory. Numbers are worked out by hand beside each test.

use std::collections::BTreeSet;

use crate::walker::boards::{LONG, PEGS, SHORT, at_boards, at_the_rack_of, tell};
use crate::walker::{Walker, lengths_in_thousandths, th};
use benchway::journal::{
    BOARDS, BoardEntry, BoardId, BoardQuestion, Event, JournalLine, LaidBlank, LaidBoard,
    LaidMissing, LaidOut, LaidSection, PieceId, State, encode, listed, scan,
};
use benchway::measure::Length;
use benchway::review::wood_used;
use benchway::route::Role;
use benchway::stock::{Area, Flaw, FlawKind, RackBoard, Ruling, Saw, Segment, Stretch};
use benchway::tui::{Lit, MachineView};
use benchway::work::{BoardsTask, Task, handle_input, last_answer};
use proptest::prelude::*;

/// One long board, laid out and accepted.
fn laid_out() -> Walker {
    let mut walker = at_boards();
    tell(&mut walker, "", &LONG);
    walker.enter("");
    walker.enter("MB");
    walker
}

/// Where the marks of the first board lie, in thousandths of an inch.
fn marks(walker: &Walker, board: usize) -> Vec<Length> {
    let rack = &walker.state.boards;
    rack.marks(&rack.all[board].id).iter().map(|mark| mark.at).collect()
}

fn names(walker: &Walker, pieces: &[PieceId]) -> Vec<String> {
    pieces.iter().map(|piece| walker.name(piece)).collect()
}

fn card(walker: &Walker) -> MachineView {
    MachineView::of(&walker.context(), &walker.task())
}

/// What no layout may break: sections follow one another with a kerf between,
/// on the board; blanks lie in their section and not on one another; no piece
/// lies in two places.
fn is_sound(state: &State) {
    let mut pieces = BTreeSet::new();
    let Some(saw) = state.boards.saw() else { return };
    for (bought, laid) in state.boards.laid() {
        let mut end = None;
        for section in &laid.sections {
            assert!(section.along.from >= end.unwrap_or(saw.trim), "{laid:?}");
            assert!(section.along.to <= bought.is.length - saw.trim, "{laid:?}");
            end = Some(section.along.to + saw.crosscut);
            for (n, blank) in section.blanks.iter().enumerate() {
                assert!(section.along.from <= blank.along.from, "{laid:?}");
                assert!(blank.along.to <= section.along.to, "{laid:?}");
                assert!(blank.across.from >= saw.edge, "{laid:?}");
                assert!(blank.across.to <= bought.is.width, "{laid:?}");
                for other in &section.blanks[..n] {
                    assert!(
                        !blank.along.overlaps(&other.along)
                            || !blank.across.overlaps(&other.across),
                        "{laid:?}"
                    );
                }
                for piece in &blank.pieces {
                    assert!(pieces.insert(piece.clone()), "{piece:?} twice");
                }
            }
        }
    }
}

#[test]
fn a_batch_without_boards_opens_at_its_first_operation() {
    let mut walker = at_boards();
    assert_eq!(walker.next_op(), Some(10));
    // The rack blocks no operation, even with a board half entered.
    walker.enter("A");
    assert_eq!(walker.next_op(), Some(BOARDS));
    walker.op = 10;
    assert!(!matches!(walker.task(), Task::Blocked { .. }));
    walker.to_size(10);
    assert_eq!(walker.next_op(), Some(20));
}

#[test]
fn each_answer_is_one_line_and_the_next_question_follows_from_it() {
    let mut walker = at_boards();
    let asked = |walker: &Walker| match walker.task() {
        Task::Boards(BoardsTask::Tell { asks, .. }) => Some(asks),
        _ => None,
    };
    assert_eq!(asked(&walker), Some(BoardQuestion::Name));
    let answers: Vec<&str> = std::iter::once("").chain(LONG).collect();
    for (question, answer) in BoardQuestion::ALL.into_iter().zip(&answers) {
        assert_eq!(asked(&walker), Some(question));
        assert_eq!(walker.enter(answer).len(), 1, "{question:?}");
    }
    assert_eq!(walker.task(), Task::Boards(BoardsTask::More));
    let board = &walker.state.boards.all[0];
    assert_eq!((board.is.name.as_str(), board.is.species.as_str()), ("1", "ash"));
    assert_eq!(board.is.thickness, [th(1000), Length::inch_fraction(17, 16), th(1000)]);
    assert_eq!((board.is.width, board.is.length), (th(5000), th(72_000)));
    assert_eq!((board.is.cup, board.is.bow), (Length::ZERO, Length::inch_fraction(1, 16)));
    assert_eq!(board.is.moisture, Some(7.5));

    // Backspace goes back through them, one at a time, to the very first.
    for question in BoardQuestion::ALL.into_iter().rev() {
        walker.void();
        assert_eq!(asked(&walker), Some(question));
    }
    assert!(!walker.state.boards.is_begun());
    // The name of a board that was undone is never used again.
    walker.enter("");
    assert_eq!(walker.state.boards.all[0].id.0, "bench-a-board-2");
}

/// Always: A board recorded by an older version remains complete.
///
/// As a version wrote it that didn't ask for moisture.
#[test]
fn a_board_stays_told_when_more_is_asked_later() {
    let mut walker = at_boards();
    tell(&mut walker, "", &LONG);
    walker.lines.retain(|line| {
        !matches!(&line.event, Event::BoardSaid { says: BoardEntry::Moisture(_), .. })
    });
    walker.settle();
    assert_eq!(walker.task(), Task::Boards(BoardsTask::More));
    assert_eq!(walker.state.boards.all[0].is.moisture, None);
}

#[test]
fn flaws_are_told_one_after_the_other() {
    let mut walker = at_boards();
    tell(&mut walker, "B", &LONG[..10]);
    walker.enter("knot 31 to 33 at 0 to 2");
    walker.enter("split 0 to 6");
    assert_eq!(walker.enter("").len(), 1);
    let flaws = &walker.state.boards.all[0].is.flaws;
    assert_eq!(flaws.len(), 2);
    assert_eq!((flaws[0].kind, flaws[1].kind), (FlawKind::Knot, FlawKind::Split));
    assert_eq!(flaws[0].across.map(|across| across.to), Some(th(2000)));
    walker.void();
    walker.void();
    assert_eq!(walker.state.boards.all[0].is.flaws.len(), 1);
}

#[test]
fn what_no_board_can_be_is_refused_and_nothing_is_written() {
    let mut walker = at_boards();
    tell(&mut walker, "1", &LONG);
    // For each question: what it refuses, and a word of why.
    let wrong: [(&str, &[(&str, &str)]); 12] = [
        ("x", &[("1", "already"), ("a,b", "can't be a board's name")]),
        ("", &[("asch", "no wood"), ("oak", "did you mean `white oak`?")]),
        (
            "1",
            &[
                ("", "size"),
                ("0", "greater than zero"),
                ("-1", "greater than zero"),
                ("30", "no board has as much"),
                ("thick", ""),
            ],
        ),
        ("1", &[("3", "more than half")]),
        ("1", &[("1/4", "more than half")]),
        ("5", &[("", "size"), ("500", "no board has as much")]),
        ("60", &[("0", "greater than zero"), ("9000", "no board has as much")]),
        ("", &[("-1/8", "never less than 0"), ("2", "more than the board is thick")]),
        ("", &[("2", "more than the board is thick")]),
        ("", &[("x", "")]),
        ("", &[("-1", "never below 0"), ("31", "green"), ("dry", "not a moisture")]),
        (
            "",
            &[
                ("knot 58 to 61", "off the board"),
                ("knot 8 to 6", ""),
                ("knoz 3 to 4", ""),
                ("knot 3 to 4 at 4 to 6", "off the board"),
                ("knot 3 to 4 hidden", "The lead rules on a flaw"),
                ("knot", ""),
            ],
        ),
    ];
    walker.enter("x");
    for (n, (right, refused)) in wrong.iter().enumerate().skip(1) {
        for (text, why) in *refused {
            let before = walker.lines.len();
            let refusal = walker.try_enter(text).expect_err(text);
            let said = format!("{} {}", refusal.what, refusal.help.unwrap_or_default());
            assert!(said.contains(why), "{n} {text:?}: {said}");
            assert_eq!(walker.lines.len(), before);
        }
        walker.enter(right);
    }
    assert_eq!(walker.task(), Task::Boards(BoardsTask::More));
    for (text, why) in wrong[0].1 {
        let refusal = walker.try_enter(text).expect_err(text);
        assert!(format!("{refusal:?}").contains(why), "{text:?}: {refusal:?}");
    }
    assert!(walker.try_enter("a name nobody could ever chalk there").is_err());
    // Two flaws on one another are one.
    walker.void();
    walker.enter("knot 20 to 22");
    let refusal = walker.try_enter("knot 21 to 23").expect_err("the same place");
    assert!(
        refusal.help.is_some_and(|help| help.contains("enter them as one")),
        "{}",
        refusal.what
    );
}

/// Trimmed at 1, 19 long: 1 to 20, and with 1/8 kerf 20 1/8 to 39 1/8 and
/// 39 1/4 to 58 1/4. Up to 71, where the far end is trimmed, 12 5/8 are left,
/// less than the 24 worth keeping. 1 x 5 x 72 / 144 = 2 1/2 board feet.
#[test]
fn a_board_is_walked_from_its_first_mark_to_its_last() {
    let mut walker = at_boards();
    tell(&mut walker, "", &LONG);
    walker.enter("");
    assert_eq!(walker.task(), Task::Boards(BoardsTask::Accept));
    let layout = walker.state.boards.proposed.clone().expect("a layout").layout;
    assert!((layout.board_feet - 2.5).abs() < 1e-9, "{}", layout.board_feet);
    assert!(layout.missing.is_empty() && layout.apart.is_empty());
    // Only a lead accepts.
    assert!(walker.try_enter("").is_err());
    assert!(walker.try_enter("ZZ").is_err());
    walker.enter("mb");
    assert_eq!(walker.state.boards.accepted.as_ref().map(|held| held.by.as_str()), Some("MB"));

    let expected = lengths_in_thousandths(&[1000, 20_000, 39_125, 58_250]);
    assert_eq!(marks(&walker, 0), expected);
    let sections: Vec<Vec<String>> = layout.boards[0]
        .sections
        .iter()
        .map(|section| section.blanks.iter().flat_map(|b| names(&walker, &b.pieces)).collect())
        .collect();
    assert_eq!(sections, [["rail 1"], ["rail 2"], ["rail 3 spare"]]);

    let shown: Vec<String> = (0..4)
        .map(|n| {
            let Task::Boards(BoardsTask::Mark { mark, .. }) = walker.task() else {
                panic!("{:?}", walker.task())
            };
            assert_eq!(mark, n);
            let card = card(&walker);
            walker.enter("");
            format!("{}: {} {}", card.big, card.now.join(" "), card.count)
        })
        .collect();
    assert_eq!(
        shown,
        [
            "1: Left of it: waste. Right of it: rail 1 of article 1. mark 1 of 4",
            "20: Left of it: rail 1 of article 1; keep it. Right of it: rail 2 of article 2. mark 2 of 4",
            "39 1/8: Left of it: rail 2 of article 2; keep it. Right of it: rail 3 spare. mark 3 of 4",
            "58 1/4: Left of it: rail 3 spare; keep it. Right of it: waste. mark 4 of 4",
        ]
    );
    assert_eq!(walker.task(), Task::Finished);
    assert!(walker.state.boards.is_finished());
    assert_eq!(walker.next_op(), Some(10));
    is_sound(&walker.state);

    // At the saw the screen says where each piece lies, and it stays known.
    walker.op = 10;
    walker.to_set();
    let task = walker.task();
    let Task::Set(set) = &task else { panic!("{task:?}") };
    walker.enter(&set.readout.shown(set.dial.0));
    let said = MachineView::of(&walker.context(), &walker.task()).details.join(" ");
    assert!(said.contains("board 1, from 1 to 20 in"), "{said}");
    walker.to_size(10);
    let second = walker.state.pieces[1].id.clone();
    let from = walker.state.board_of(&second).expect("its board");
    assert_eq!(from.board.is.name, "1");
    assert_eq!((from.along.from, from.along.to), (th(20_125), th(39_125)));
}

/// Marks at 1 and 20 are drawn. A knot from 25 to 27 leaves 20 1/8 to 25 too
/// short; from 27 on there are 27 to 46, and 46 1/8 to 65 1/8 under 71.
#[test]
fn a_flaw_found_half_way_leaves_what_is_drawn() {
    let mut walker = laid_out();
    walker.enter("");
    walker.enter("");
    let drawn = walker.state.boards.accepted.clone().expect("accepted").layout.boards[0].sections
        [0]
    .clone();
    // No ruling by whoever happens to stand there, and nothing that is none.
    assert!(walker.try_enter("knot 25 to 27 fill").is_err());
    let refusal = walker.try_enter("what now").expect_err("no flaw");
    assert!(refusal.help.is_some_and(|help| help.contains("knot 31 to 33")));

    let events = walker.enter("knot 25 to 27");
    assert!(matches!(events.as_slice(), [Event::FlawFound { .. }, Event::LaidOut { .. }]));
    assert_eq!(walker.task(), Task::Boards(BoardsTask::Accept));
    walker.enter("MB");
    assert_eq!(marks(&walker, 0), lengths_in_thousandths(&[1000, 20_000, 27_000, 46_000, 65_125]));
    let accepted = walker.state.boards.accepted.clone().expect("accepted");
    assert_eq!(accepted.layout.boards[0].sections[0], drawn);
    assert!((accepted.layout.board_feet - 2.5).abs() < 1e-9);
    let Task::Boards(BoardsTask::Mark { mark, .. }) = walker.task() else { panic!() };
    assert_eq!(mark, 2);
    is_sound(&walker.state);
    for _ in 2..5 {
        walker.enter("");
    }
    assert_eq!(walker.task(), Task::Finished);
    let placed: usize = accepted.layout.boards[0]
        .sections
        .iter()
        .flat_map(|section| &section.blanks)
        .map(|blank| blank.pieces.len())
        .sum();
    assert_eq!(placed, 3);
}

/// The knot is in rail 1, whose marks are drawn: that length is lost, and its
/// piece comes from further along: 20 1/8 to 39 1/8, 39 1/4 to 58 1/4, and
/// between 58 3/8 and 71 there is no room for a third.
#[test]
fn a_flaw_in_what_is_drawn_spoils_that_blank_alone() {
    let mut walker = laid_out();
    walker.enter("");
    walker.enter("");
    walker.enter("knot 10 to 11");
    let layout = walker.state.boards.proposed.clone().expect("laid out anew").layout;
    assert_eq!(layout.boards[0].sections[0].along.to, th(20_000));
    assert!(layout.boards[0].sections[0].blanks.is_empty());
    let missing: Vec<(&str, u32)> =
        layout.missing.iter().map(|missing| (missing.part.as_str(), missing.blanks)).collect();
    assert_eq!(missing, [("rail", 1)]);
    walker.enter("MB");
    let card = card(&walker);
    assert_eq!(card.big, "39 1/8");
    is_sound(&walker.state);
}

/// The long board goes after its first mark is drawn: all three come from the
/// short one instead, where only two have room: 1 to 20, 20 1/8 to 39 1/8, and
/// 47 is where its end is trimmed.
#[test]
fn a_bad_board_is_set_aside_whole() {
    let mut walker = at_boards();
    tell(&mut walker, "long", &LONG);
    tell(&mut walker, "short", &SHORT);
    walker.enter("");
    walker.enter("MB");
    let Task::Boards(BoardsTask::Mark { board, .. }) = walker.task() else { panic!() };
    let first = walker.state.boards.board(&board).expect("told").is.name.clone();
    assert_eq!(first, "long");
    walker.enter("");
    assert!(walker.try_enter("aside MB").is_err(), "a reason is asked for");
    assert!(walker.try_enter("aside ZZ split").is_err(), "no lead");
    walker.enter("aside MB split from end to end");
    let layout = walker.state.boards.proposed.clone().expect("laid out anew").layout;
    assert_eq!(layout.boards.len(), 1);
    assert_eq!(layout.missing.iter().map(|missing| missing.blanks).sum::<u32>(), 1);
    walker.enter("MB");
    assert_eq!(marks(&walker, 1), lengths_in_thousandths(&[1000, 20_000, 39_125]));
    assert!(marks(&walker, 0).is_empty());
    let laid: Vec<&str> =
        walker.state.boards.laid().map(|(bought, _)| bought.is.name.as_str()).collect();
    assert_eq!(laid, ["short"]);
    is_sound(&walker.state);
}

/// While a mark is asked for, `aside MB why` means the board on the saw; a
/// named board is meant even though anybody's initials would do here.
#[test]
fn a_board_that_is_named_goes_and_not_the_one_on_the_saw() {
    let mut walker = at_boards();
    walker.shop.people.clear();
    tell(&mut walker, "A", &LONG);
    tell(&mut walker, "C", &SHORT);
    walker.enter("");
    walker.enter("MB");
    let aside = |walker: &Walker| -> Vec<bool> {
        walker.state.boards.all.iter().map(|bought| bought.aside.is_some()).collect()
    };
    walker.enter("aside c MB split open");
    assert_eq!(aside(&walker), [false, true]);
    let said = card(&walker).details.join("\n");
    assert!(said.contains("Board C is set aside, MB: split open."), "{said}");
    walker.enter("MB");
    assert!(matches!(walker.task(), Task::Boards(BoardsTask::Mark { .. })));
    assert!(walker.try_enter("aside C MB once more").is_err());
    assert_eq!(aside(&walker), [false, true]);
    walker.enter("aside MB no good");
    assert_eq!(aside(&walker), [true, true]);
}

#[test]
fn before_it_is_accepted_boards_come_and_go() {
    let mut walker = at_boards();
    tell(&mut walker, "short", &SHORT);
    walker.enter("");
    // Two of three; the lead sends for another board.
    assert_eq!(card(&walker).lit, Lit::Order);
    walker.enter("+long");
    tell(&mut walker, "ash", &LONG[1..]);
    assert_eq!(walker.task(), Task::Boards(BoardsTask::More));
    walker.enter("");
    let layout = &walker.state.boards.proposed.as_ref().expect("a layout").layout;
    assert!(layout.missing.is_empty());
    walker.enter("aside short MB for the shelf");
    assert_eq!(walker.task(), Task::Boards(BoardsTask::Accept));
    let layout = &walker.state.boards.proposed.as_ref().expect("a layout").layout;
    assert_eq!(layout.boards.len(), 1);
    assert!(walker.try_enter("aside shore MB no such board").is_err());
    // With none left there is nothing to lay out, and another is entered.
    walker.enter("aside long MB for the shelf too");
    assert!(walker.try_enter("").is_err());
    walker.enter("+");
    assert_eq!(walker.state.boards.all[2].is.name, "3");
}

/// A layout that nobody accepted yet is taken back before the last answer about a board is.
#[test]
fn a_proposed_layout_is_undone_by_itself() {
    let mut walker = at_boards();
    tell(&mut walker, "", &LONG);
    let before = walker.state.boards.clone();
    walker.enter("");
    let undone = last_answer(&walker.context()).map(|(_, words)| words);
    assert_eq!(undone.as_deref(), Some("the layout"));
    walker.void();
    assert_eq!(walker.task(), Task::Boards(BoardsTask::More));
    assert_eq!(walker.state.boards.all, before.all);
    assert_eq!(walker.state.boards.proposed, None);
}

/// After the last mark a board can still be named; after the last piece nothing can.
#[test]
fn what_is_typed_where_nothing_is_left_is_refused_by_its_place() {
    let mut walker = laid_out();
    while walker.task() != Task::Finished {
        walker.enter("");
    }
    let refused = |walker: &mut Walker, typed: &str| walker.try_enter(typed).expect_err(typed).what;
    assert_eq!(refused(&mut walker, "knot 3 to 4"), "Every mark is drawn.");
    walker.to_size(10);
    assert_eq!(walker.task(), Task::Finished);
    assert_eq!(refused(&mut walker, "flaw 1 knot 3 to 4"), "Nothing is left to do here.");
}

/// How a board is measured is said where it isn't plain, and never as an empty line.
#[test]
fn a_question_says_how_to_measure_where_that_needs_saying() {
    let mut walker = at_boards();
    let answers: Vec<&str> = std::iter::once("").chain(LONG).collect();
    for (question, answer) in BoardQuestion::ALL.into_iter().zip(answers) {
        let details = card(&walker).details;
        assert!(details.iter().all(|text| !text.is_empty()), "{question:?}: {details:?}");
        let how = match question {
            BoardQuestion::Name => Some("Chalk the name on one end."),
            BoardQuestion::ThicknessNear => Some("Measure it rough,"),
            BoardQuestion::Width => Some("Without bark and wane."),
            BoardQuestion::Bow => Some("The gap along its face,"),
            BoardQuestion::Moisture => Some("In percent,"),
            _ => None,
        };
        if let Some(how) = how {
            assert!(details[0].starts_with(how), "{question:?}: {details:?}");
        }
        walker.enter(answer);
    }
}

#[test]
fn what_the_lead_accepted_is_not_taken_back() {
    let mut walker = laid_out();
    let before = walker.state.boards.clone();
    assert!(benchway::work::void(&walker.context()).is_err());
    walker.enter("");
    walker.enter("");
    assert_eq!(walker.state.boards.all[0].drawn.len(), 2);
    walker.void();
    walker.void();
    assert!(benchway::work::void(&walker.context()).is_err());
    assert_eq!(walker.state.boards.all, before.all);
    assert_eq!(walker.state.boards.accepted, before.accepted);
}

/// Every mark is drawn when rail 2 turns out to have a knot at 30; the long
/// board has 58 3/8 to 71 left, too short, and the short one takes it: 1 to 20.
#[test]
fn a_flaw_turns_up_when_all_is_marked() {
    let mut walker = laid_out();
    for _ in 0..4 {
        walker.enter("");
    }
    assert_eq!(walker.task(), Task::Finished);
    assert!(walker.try_enter("knot 30 to 31").is_err(), "on which board?");
    assert!(walker.try_enter("flaw 9 knot 30 to 31").is_err(), "there is none");
    walker.enter("flaw 1 knot 30 to 31");
    let layout = &walker.state.boards.proposed.as_ref().expect("laid out anew").layout;
    assert_eq!(layout.missing.iter().map(|missing| missing.blanks).sum::<u32>(), 1);
    walker.enter("+short");
    tell(&mut walker, "ash", &SHORT[1..]);
    walker.enter("");
    walker.enter("MB");
    assert_eq!(marks(&walker, 1), lengths_in_thousandths(&[1000, 20_000]));
    let second = walker.state.pieces[1].id.clone();
    let from = walker.state.board_of(&second).expect("a board");
    assert_eq!((walker.name(&second).as_str(), from.board.is.name.as_str()), ("rail 2", "short"));
    is_sound(&walker.state);
}

/// Three rails come from the long board, 2 1/2 board feet, and none from the
/// short one before it in the rack: it holds only two. A knot from 30 to 50
/// leaves the long one a single rail more, 50 to 69; the third comes from the
/// short one, but the lead stays at the long one until it is done.
#[test]
fn a_board_that_is_begun_is_marked_to_its_end() {
    let mut walker = at_boards();
    tell(&mut walker, "short", &SHORT);
    tell(&mut walker, "long", &LONG);
    walker.enter("");
    walker.enter("MB");
    walker.enter("");
    walker.enter("");
    walker.enter("knot 30 to 50");
    walker.enter("MB");
    let laid: Vec<&str> =
        walker.state.boards.laid().map(|(bought, _)| bought.is.name.as_str()).collect();
    assert_eq!(laid, ["short", "long"]);
    assert_eq!(marks(&walker, 0), lengths_in_thousandths(&[1000, 20_000]));
    assert_eq!(marks(&walker, 1), lengths_in_thousandths(&[1000, 20_000, 50_000, 69_000]));
    let mut drawn = Vec::new();
    while let Task::Boards(BoardsTask::Mark { board, .. }) = walker.task() {
        drawn.push(walker.state.boards.board(&board).map(|bought| bought.is.name.clone()));
        walker.enter("");
    }
    let name = |name: &str| Some(name.to_owned());
    assert_eq!(drawn, [name("long"), name("long"), name("short"), name("short")]);
    is_sound(&walker.state);
}

/// A board begun at another terminal stops nobody; once entered, it is laid out
/// too.
#[test]
fn marks_go_on_while_another_board_is_told() {
    let mut walker = laid_out();
    walker.enter("");
    walker.station = "bench-b".to_owned();
    assert!(matches!(walker.task(), Task::Boards(BoardsTask::Mark { .. })));
    let board = walker.state.boards.next_board("bench-b");
    let says = BoardEntry::Name("B".to_owned());
    walker.push(vec![Event::BoardSaid { board, says, typed: "B".to_owned() }]);
    walker.station = "bench-a".to_owned();
    assert!(matches!(walker.task(), Task::Boards(BoardsTask::Mark { mark: 1, .. })));
    walker.station = "bench-b".to_owned();
    for answer in SHORT {
        walker.enter(answer);
    }
    assert_eq!(walker.task(), Task::Boards(BoardsTask::More));
}

#[test]
fn boards_of_a_list_begin_a_batch_at_the_rack() {
    let mut walker = at_boards();
    let mut told = at_boards();
    tell(&mut told, "1", &LONG);
    let board: RackBoard = told.state.boards.all[0].is.clone();
    walker.push(listed("bench-a", std::slice::from_ref(&board)));
    assert_eq!(walker.next_op(), Some(BOARDS));
    assert_eq!(walker.task(), Task::Boards(BoardsTask::More));
    assert_eq!(walker.state.boards.all[0].is, board);
    // The next one entered has a number of its own.
    walker.enter("+");
    assert_eq!(walker.state.boards.all[1].id.0, "bench-a-board-2");
    walker.void();
    walker.enter("");
    walker.enter("MB");
    assert_eq!(marks(&walker, 0), lengths_in_thousandths(&[1000, 20_000, 39_125, 58_250]));
}

/// One station enters a board while another has one half entered.
#[test]
fn two_stations_tell_boards_side_by_side() {
    let mut walker = at_boards();
    walker.enter("A");
    walker.station = "bench-b".to_owned();
    tell(&mut walker, "B", &SHORT);
    assert_eq!(walker.task(), Task::Boards(BoardsTask::More));
    let said = card(&walker).details.join(" ");
    assert!(said.contains("Board A is still being entered at bench-a."), "{said}");
    walker.enter("");
    let layout = &walker.state.boards.proposed.as_ref().expect("a layout").layout;
    assert_eq!(layout.boards.len(), 1);
    walker.station = "bench-a".to_owned();
    let task = walker.task();
    assert!(
        matches!(task, Task::Boards(BoardsTask::Tell { asks: BoardQuestion::Species, .. })),
        "{task:?}"
    );
}

/// From 2 to 17 along a blank nobody sees a knot. The board is 48 long; around
/// one at 9 to 11 there is room for one rail, 11 to 30, for 30 1/8 to 49 1/8 runs
/// past 47; with it hidden 8 to 10 along the first blank there are two.
#[test]
fn the_lead_rules_on_a_knot() {
    let hides = PEGS.replace(
        r#""width": "4", "length""#,
        r#""width": "4", "knots": { "hidden": [["2", "17"]] }, "length""#,
    );
    let mut walker = at_the_rack_of(&hides);
    tell(&mut walker, "K", &SHORT[..10]);
    walker.enter("knot 9 to 11");
    walker.enter("");
    walker.enter("");
    let proposed = walker.state.boards.proposed.clone().expect("a layout");
    let [offer] = proposed.offers.as_slice() else { panic!("{proposed:?}") };
    assert_eq!((offer.ruling, offer.more), (Ruling::Hidden, 1));
    let said = card(&walker).details.join("\n");
    assert!(said.contains("1 Board K, knot at 9 to 11: hide it in: rail"), "{said}");
    assert!(walker.try_enter("1 hide it").is_err(), "nobody's initials");
    assert!(walker.try_enter("1 MB").is_err(), "no reason");
    assert!(walker.try_enter("2 MB why").is_err(), "there is one only");
    walker.enter("1 MB nobody sees the back");
    assert_eq!(walker.state.boards.all[0].is.flaws[0].ruling, Ruling::Hidden);
    let ruled = walker.lines.iter().find_map(|line| match &line.event {
        Event::FlawRuled { by, why, .. } => Some((by.as_str(), why.as_str())),
        _ => None,
    });
    assert_eq!(ruled, Some(("MB", "nobody sees the back")));
    let layout = &walker.state.boards.proposed.as_ref().expect("laid out again").layout;
    assert_eq!(layout.boards[0].sections.len(), 2);
    assert_eq!(layout.boards[0].sections[0].along.from, th(1000));
    // What was ruled can be ruled back, and then it is as it was.
    let said = card(&walker).details.join("\n");
    assert!(said.contains("1 Board K, knot at 9 to 11: cut around it after all"), "{said}");
    walker.enter("1 MB it shows");
    assert_eq!(
        walker.state.boards.proposed.as_ref().map(|held| &held.layout),
        Some(&proposed.layout)
    );
}

/// Board K has a knot in its only blank, which is good enough to prove a setting on; board L
/// is clear and has room for three of 19, which with two kerfs take 57 1/4. So the piece from K is
/// the setup piece, though K is laid out first.
#[test]
fn a_knot_goes_into_the_setup_piece() {
    let spare = r#""spares": 1, "setup_pieces": 0"#;
    let mut walker = at_the_rack_of(&PEGS.replace(spare, r#""spares": 1, "setup_pieces": 1"#));
    let sized = |long| ["ash", "1", "1", "1", "5", long, "", "", "", ""];
    tell(&mut walker, "K", &sized("21"));
    walker.enter("knot 9 to 11");
    walker.enter("");
    tell(&mut walker, "L", &sized("60"));
    walker.enter("");
    walker.enter("");
    let layout = &walker.state.boards.proposed.as_ref().expect("a layout").layout;
    let mut found = Vec::new();
    for board in &layout.boards {
        let blanks = board.sections.iter().flat_map(|section| &section.blanks);
        let pieces = blanks.flat_map(|blank| &blank.pieces);
        let role = |id: &PieceId| walker.state.piece(id).expect("a rail").label.role;
        found.push(pieces.map(role).collect::<Vec<Role>>());
    }
    assert_eq!(found, [vec![Role::Setup], vec![Role::Set, Role::Set, Role::Spare]]);
}

/// The first rail is marked from 1 to 20, and its blank is 19: whoever slices
/// its end for checks makes it too short. Without boards that is what to do.
#[test]
fn a_marked_length_is_not_sliced_again() {
    let at_the_cut = |mut walker: Walker| {
        walker.op = 10;
        while !matches!(walker.task(), Task::Cut { .. } | Task::Feed { .. }) {
            let shown = if matches!(walker.task(), Task::Set(_)) { "19" } else { "" };
            walker.enter(shown);
        }
        card(&walker).details.join("\n")
    };
    let mut marked = laid_out();
    for _ in 0..4 {
        marked.enter("");
    }
    let said = at_the_cut(marked);
    assert!(said.contains("board 1, from 1 to 20 in."), "{said}");
    assert!(!said.contains("slices"), "{said}");
    let said = at_the_cut(at_boards());
    assert!(said.contains("slices"), "{said}");
}

/// Eight rulings are tried, so two of ten knots are not. They lie in the edge
/// that is sawn off, so nothing comes of the others.
#[test]
fn knots_nobody_tried_are_counted() {
    let hides = PEGS.replace(
        r#""width": "4", "length""#,
        r#""width": "4", "knots": { "hidden": [["2", "17"]] }, "length""#,
    );
    let mut walker = at_the_rack_of(&hides);
    tell(&mut walker, "K", &LONG[..10]);
    for n in 1..=10 {
        walker.enter(&format!("knot {n} to {n} 1/2 at 0 to 1/8"));
    }
    walker.enter("");
    walker.enter("");
    assert!(walker.state.boards.proposed.as_ref().is_some_and(|held| held.offers.is_empty()));
    let said = card(&walker).details.join("\n");
    assert!(said.contains("2 more options for knots were not tried."), "{said}");
}

/// 1 in, less 1/16 off either face, is 7/8, and a rail is 3/4: 1/8 in hand. A
/// cup of 3/16 over 5 in is more; over the 4 in of a rail it is 16/25 of that,
/// 0.120, and less.
#[test]
fn a_board_to_be_ripped_first_is_told_where_the_lead_accepts() {
    let mut walker = at_boards();
    tell(&mut walker, "C", &["", "1", "1", "1", "5", "72", "3/16", "", "", "", ""]);
    walker.enter("");
    let said = card(&walker).details.join("\n");
    assert!(
        said.contains("Board C: rip it before you flatten it, or it will be too thin for: rail."),
        "{said}"
    );
    assert!(said.contains("To leave board C out: aside C MB why."), "{said}");
}

/// Always: The journal alone determines which mark comes next.
///
/// Written, killed, read again: the task after every line is the same.
#[test]
fn the_journal_alone_says_what_is_due() {
    let mut walker = at_boards();
    let mut dues = Vec::new();
    let answers: Vec<&str> = std::iter::once("A")
        .chain(LONG)
        .chain(["", "MB", "", "", "knot 25 to 27", "MB", "", "", ""])
        .collect();
    for answer in answers {
        walker.enter(answer);
        dues.push((walker.lines.len(), walker.task(), walker.state.clone()));
    }
    let text: Vec<u8> = walker.lines.iter().flat_map(|line| encode(line).into_bytes()).collect();
    let lines: Vec<JournalLine> = scan::<Event>(&text, "bench-a").entries;
    assert_eq!(lines, walker.lines);
    let mut again = at_boards();
    for (count, task, state) in dues {
        again.lines = lines[..count].to_vec();
        again.settle();
        assert_eq!(again.state, state);
        assert_eq!(again.task(), task);
    }
    assert_eq!(again.task(), Task::Finished);
}

/// A random word that means something at the rack, or any text at all.
fn typed() -> impl Strategy<Value = String> {
    prop_oneof![
        4 => Just(String::new()),
        2 => Just("MB".to_owned()),
        1 => Just("ash".to_owned()),
        3 => (1u32..90).prop_map(|n| n.to_string()),
        2 => (0u32..80, 1u32..9).prop_map(|(at, long)| format!("knot {at} to {}", at + long)),
        1 => (0u32..80, 0u32..5)
            .prop_map(|(at, near)| format!("split {at} to {} at {near} to 5", at + 3)),
        1 => Just("aside MB bad".to_owned()),
        1 => (1u32..4).prop_map(|n| format!("aside {n} MB bad")),
        1 => Just("+".to_owned()),
        1 => (1u32..4, 0u32..70).prop_map(|(n, at)| format!("flaw {n} knot {at} to {}", at + 2)),
        1 => (0u32..4).prop_map(|n| format!("{n} MB why not")),
        1 => Just("take back".to_owned()),
        1 => any::<String>(),
    ]
}

proptest! {
    #![proptest_config(crate::laws::of_256(48))]

    /// Always: Marks that are drawn stay drawn, and no layout uses wood that is not there.
    ///
    /// Whatever is typed at the rack, nothing panics, no layout is unsound,
    /// what is drawn stays drawn, and the journal alone gives the same state.
    #[test]
    fn whatever_is_typed_at_the_rack(
        texts in proptest::collection::vec(typed(), 1..60),
        boards in 0usize..3,
    ) {
        let mut walker = at_boards();
        for name in ["1", "2"].iter().take(boards) {
            tell(&mut walker, name, if *name == "1" { &LONG } else { &SHORT });
        }
        for text in texts {
            if text == "take back" {
                if let Ok(event) = benchway::work::void(&walker.context()) {
                    walker.push(vec![event]);
                }
                continue;
            }
            let drawn: Vec<_> = walker.state.boards.all.iter().map(|b| b.drawn.clone()).collect();
            let _ = walker.try_enter(&text);
            for (before, after) in drawn.iter().zip(&walker.state.boards.all) {
                prop_assert!(before.is_subset(&after.drawn));
            }
            let _ = card(&walker);
            is_sound(&walker.state);
        }
        let mut again = State::default();
        let taken_in = walker.lines.iter().enumerate().all(|(n, line)| again.take_in(line, n));
        if taken_in {
            prop_assert_eq!(&again, &walker.state);
        }
        prop_assert_eq!(&State::fold(&walker.lines), &walker.state);
    }
}

/// A length as a damaged or hand-made line may have it.
fn any_length() -> impl Strategy<Value = Length> {
    const MOST: i64 = Length::LONGEST.nanometres();
    prop_oneof![
        6 => (-20i64..90_000).prop_map(th),
        1 => proptest::sample::select(vec![0, 1, -1, MOST, -MOST])
            .prop_map(Length::from_nanometres),
    ]
}

fn any_stretch() -> impl Strategy<Value = Stretch> {
    (any_length(), any_length()).prop_map(|(from, to)| Stretch { from, to })
}

fn any_flaw() -> impl Strategy<Value = Flaw> {
    let kinds = proptest::sample::select(vec![FlawKind::Knot, FlawKind::Split, FlawKind::Other]);
    let rulings = proptest::sample::select(vec![Ruling::Around, Ruling::Hidden, Ruling::Fill]);
    (kinds, any_stretch(), proptest::option::of(any_stretch()), rulings)
        .prop_map(|(kind, along, across, ruling)| Flaw { kind, along, across, ruling })
}

fn any_id() -> impl Strategy<Value = BoardId> {
    (1u64..4).prop_map(|n| BoardId::new("bench-a", n))
}

fn any_told_board() -> impl Strategy<Value = RackBoard> {
    let sizes = proptest::array::uniform8(any_length());
    let flaws = proptest::collection::vec(any_flaw(), 0..3);
    (".{0,6}", sizes, flaws, proptest::option::of(-1e300..1e300f64)).prop_map(
        |(name, sizes, flaws, moisture)| {
            let [near, middle, far, width, length, cup, bow, wind] = sizes;
            RackBoard {
                name,
                species: "ash".to_owned(),
                class: None,
                thickness: [near, middle, far],
                width,
                length,
                cup,
                bow,
                wind,
                moisture,
                flaws,
            }
        },
    )
}

fn any_layout() -> impl Strategy<Value = LaidOut> {
    let blank = (any_stretch(), any_stretch(), 0u64..9).prop_map(|(along, across, n)| LaidBlank {
        part: if n == 8 { "no part".to_owned() } else { "rail".to_owned() },
        pieces: vec![PieceId::new("bench-a", n)],
        along,
        across,
    });
    let section = (any_stretch(), proptest::collection::vec(blank, 0..3))
        .prop_map(|(along, blanks)| LaidSection { along, blanks });
    let board = (
        any_id(),
        proptest::collection::vec(section, 0..3),
        proptest::collection::vec(any_stretch(), 0..3),
    )
        .prop_map(|(board, sections, left)| LaidBoard { board, sections, left });
    let saw = proptest::array::uniform7(any_length()).prop_map(|all| {
        let [crosscut, rip, trim, edge, mark, keep, clean_up] = all;
        Saw { crosscut, rip, trim, edge, mark, shortest_offcut: keep, clean_up }
    });
    let feet = (-1e300..1e300f64, -1e300..1e300f64);
    (proptest::collection::vec(board, 0..4), saw, feet, any::<u32>()).prop_map(
        |(boards, saw, (board_feet, bound), many)| LaidOut {
            boards,
            missing: vec![LaidMissing {
                part: "rail".to_owned(),
                role: Role::Set,
                blanks: many,
                proved: many.is_multiple_of(2),
            }],
            apart: vec![("rail".to_owned(), many)],
            board_feet,
            bound,
            saw,
        },
    )
}

/// A line about boards that this program would never write.
fn any_event() -> impl Strategy<Value = Event> {
    let (by, why) = ("MB".to_owned(), "so".to_owned());
    let aside = Event::BoardAside { board: BoardId::new("bench-a", 2), by: by.clone(), why };
    prop_oneof![
        3 => (any_id(), any_told_board())
            .prop_map(|(board, is)| Event::BoardListed { board, is }),
        1 => (any_id(), any_length()).prop_map(|(board, size)| Event::BoardSaid {
            board,
            says: BoardEntry::Width(size),
            typed: String::new(),
        }),
        1 => (any_id(), any_flaw())
            .prop_map(|(board, flaw)| Event::FlawFound { board, flaw, typed: String::new() }),
        1 => Just(aside),
        2 => any_layout().prop_map(|layout| Event::LaidOut { layout, offers: Vec::new(), untried: 0 }),
        3 => any_layout().prop_map(move |layout| Event::LayoutAccepted { layout, by: by.clone() }),
        2 => (any_id(), any_length()).prop_map(|(board, at)| Event::MarkDrawn { board, at }),
    ]
}

proptest! {
    #![proptest_config(crate::laws::of_256(96))]

    /// Whatever a journal says of boards, nothing panics: not the task, not the
    /// screen, not the account of the wood; and no more wood is reported than
    /// the boards hold.
    #[test]
    fn whatever_a_journal_says_of_boards(
        events in proptest::collection::vec(any_event(), 1..12),
    ) {
        let mut walker = at_boards();
        tell(&mut walker, "1", &LONG);
        for event in events {
            walker.push(vec![event]);
            let _ = card(&walker);
            let _ = walker.state.boards.progress();
            let used = wood_used(&walker.route, &walker.shop, &walker.plan, &walker.state);
            for own in &used {
                let all: Area = own.boards.iter().map(|(_, account)| account.bought()).sum();
                prop_assert_eq!(all, own.all.bought());
                let of = |told: &&benchway::journal::BatchBoard| told.is.species == own.species
                    && told.is.class == own.class;
                let most: Area = walker.state.boards.all.iter().filter(of)
                    .map(|told| Area::of(told.is.length, told.is.width))
                    .filter(|area| *area > Area::ZERO).sum();
                prop_assert!(own.all.bought() <= most, "{:?}", own);
                let _ = own.sentence(walker.route.unit);
            }
            for piece in &walker.state.pieces {
                let _ = walker.state.board_of(&piece.id);
            }
            let _ = handle_input(&walker.context(), &walker.task(), "");
            let _ = handle_input(&walker.context(), &walker.task(), "flaw 1 knot 3 to 4");
        }
    }
}

/// Drawn marks stay marks: of every section that is kept both ends are lines
/// or ends of the board.
#[test]
fn every_section_has_its_marks() {
    let mut walker = laid_out();
    walker.enter("");
    walker.enter("");
    walker.enter("knot 25 to 27");
    walker.enter("MB");
    let rack = &walker.state.boards;
    let marks = rack.marks(&rack.all[0].id);
    let ends: Vec<usize> = marks
        .iter()
        .filter_map(|mark| match mark.segment {
            Segment::Section(n) => Some(n),
            _ => None,
        })
        .collect();
    assert_eq!(ends, [0, 1, 2]);
    let said = walker
        .lines
        .iter()
        .filter(|line| matches!(&line.event, Event::BoardSaid { says: BoardEntry::Name(_), .. }));
    assert_eq!(said.count(), 1);
}

/// As the journal has them: what was written once must read for ever.
#[test]
fn the_events_of_the_rack_keep_their_form() {
    let kept = [
        r#"{"board-listed":{"board":"cart-board-1","is":{"name":"A","species":"ash","class":null,"thickness":[25400000,25400000,25400000],"width":127000000,"length":1828800000,"cup":0,"bow":0,"wind":0,"moisture":7.5,"flaws":[{"kind":"knot","along":{"from":635000000,"to":685800000},"across":{"from":0,"to":50800000},"ruling":"hidden"}]}}}"#,
        r#"{"board-said":{"board":"cart-board-1","says":{"thickness-near":25400000},"typed":"1"}}"#,
        r#"{"board-said":{"board":"cart-board-1","says":{"moisture":null},"typed":""}}"#,
        r#"{"board-said":{"board":"cart-board-1","says":"no-more-flaws","typed":""}}"#,
        r#"{"flaw-found":{"board":"cart-board-1","flaw":{"kind":"split","along":{"from":0,"to":152400000},"ruling":"around"},"typed":"split 0 to 6"}}"#,
        r#"{"flaw-ruled":{"board":"cart-board-1","flaw":{"kind":"knot","along":{"from":0,"to":152400000},"ruling":"around"},"ruling":"fill","by":"MB","why":"small"}}"#,
        r#"{"board-aside":{"board":"cart-board-1","by":"MB","why":"split"}}"#,
        r#"{"laid-out":{"layout":{"boards":[],"missing":[{"part":"rail","role":"set","blanks":3}],"apart":[["rail",1]],"board_feet":0.0,"bound":0.0,"saw":{"crosscut":3175000,"rip":3175000,"trim":25400000,"edge":6350000,"mark":1587500,"keep":609600000,"clean_up":0}},"offers":[{"board":"cart-board-1","flaw":{"kind":"knot","along":{"from":0,"to":152400000},"ruling":"around"},"ruling":"hidden","parts":["rail"],"more":1,"saved":0.0,"together":0}]}}"#,
        r#"{"laid-out":{"layout":{"boards":[],"missing":[],"apart":[],"board_feet":0.0,"bound":0.0,"saw":{"crosscut":3175000,"rip":3175000,"trim":25400000,"edge":6350000,"mark":1587500,"keep":609600000,"clean_up":0}},"offers":[],"untried":2}}"#,
        r#"{"layout-accepted":{"layout":{"boards":[{"board":"cart-board-1","sections":[{"along":{"from":25400000,"to":508000000},"blanks":[{"part":"rail","pieces":["cart-1"],"along":{"from":25400000,"to":508000000},"across":{"from":6350000,"to":107950000}}]}],"left":[{"from":511175000,"to":1803400000}]}],"missing":[],"apart":[],"board_feet":2.5,"bound":2.5,"saw":{"crosscut":3175000,"rip":3175000,"trim":25400000,"edge":6350000,"mark":1587500,"keep":609600000,"clean_up":0}},"by":"MB"}}"#,
        r#"{"mark-drawn":{"board":"cart-board-1","at":508000000}}"#,
    ];
    for text in kept {
        let event: Event = serde_json::from_str(text).unwrap_or_else(|e| panic!("{e}: {text}"));
        assert_eq!(serde_json::to_string(&event).expect("plain data"), text);
    }
}

/// Each question about a board has the unit of its answer beside it: none for words, the
/// route's for sizes, percent for moisture.
#[test]
fn each_answer_about_a_board_has_its_unit() {
    use benchway::journal::BoardQuestion;
    let mut walker = at_boards();
    let mut units = Vec::new();
    for _ in 0..20 {
        let Task::Boards(BoardsTask::Tell { asks, .. }) = walker.task() else { break };
        units.push((asks, card(&walker).unit));
        let answer = match asks {
            BoardQuestion::Name => "A",
            BoardQuestion::Moisture => "8",
            BoardQuestion::Species | BoardQuestion::Flaws => "",
            BoardQuestion::Length => "96",
            BoardQuestion::Width => "8",
            _ => "2",
        };
        walker.enter(answer);
    }
    assert!(units.len() > 5, "{units:?}");
    for (asks, unit) in units {
        let expected = match asks {
            BoardQuestion::Name | BoardQuestion::Species | BoardQuestion::Flaws => "",
            BoardQuestion::Moisture => "%",
            _ => "in",
        };
        assert_eq!(unit, expected, "{asks:?}");
    }
}
