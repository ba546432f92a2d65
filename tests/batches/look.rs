//! Nothing on the machine screen moves between two tasks, one area at most is
//! in reverse video, and colours and block signs carry no word of their own.

use crate::bench::snapshot;
use crate::desk::Desk;
use crate::drawn::{ASCII, COLOUR, PLAIN, SIZES, text};
use crate::walker::{Walker, crew};
use benchway::tui::theme::Theme;
use benchway::work::Task;
use ratatui::buffer::Buffer;
use ratatui::style::Modifier;

/// A rip of nine legs, from the initials on.
fn at_the_saw(theme: Theme) -> Desk {
    let mut walker = Walker::stool(1);
    for op in [10, 20] {
        walker.to_size(op);
    }
    let mut desk = Desk::on(walker, theme);
    desk.enter(&["mb"]);
    desk
}

/// Up to the first task of a kind, every answer right.
fn walked_to(theme: Theme, is_there: fn(&Task) -> bool) -> Desk {
    let mut desk = at_the_saw(theme);
    desk.walker.op = 30;
    desk.walker.who = Some("MB".to_owned());
    for _ in 0..60 {
        let task = desk.walker.task();
        if is_there(&task) {
            return desk;
        }
        let typed = crew::well(&desk.walker.context(), &task).expect("nothing goes wrong");
        desk.enter(&[&typed]);
    }
    panic!("never there: {:?}", desk.walker.task());
}

pub fn set(theme: Theme) -> Desk {
    walked_to(theme, |task| matches!(task, Task::Set(_)))
}

pub fn measure(theme: Theme) -> Desk {
    walked_to(theme, |task| matches!(task, Task::Read { .. }))
}

fn cut(theme: Theme) -> Desk {
    walked_to(theme, |task| matches!(task, Task::Cut { .. }))
}

pub fn too_wide(theme: Theme) -> Desk {
    let mut desk = measure(theme);
    desk.enter(&["1.398"]);
    assert!(matches!(desk.walker.task(), Task::Decide { .. }));
    desk
}

fn accept(theme: Theme) -> Desk {
    let mut walker = Walker::stool(1);
    for op in [10, 20, 30, 40] {
        walker.to_size(op);
    }
    walker.op = 50;
    for _ in 0..200 {
        match walker.on() {
            Task::Read { .. } => walker.enter("1.1875"),
            Task::Decide { .. } => walker.enter("a mb all shy alike"),
            Task::Accept(_) => break,
            other => panic!("{other:?}"),
        };
    }
    let mut desk = Desk::on(walker, theme);
    desk.enter(&["mb"]);
    desk
}

/// Walks to a state in a theme.
type MakesDesk = fn(Theme) -> Desk;

/// Every state of the machine screen.
const STATES: [(&str, MakesDesk); 6] = [
    ("cautions", at_the_saw),
    ("set", set),
    ("measure", measure),
    ("cut", cut),
    ("too-wide", too_wide),
    ("accept", accept),
];

fn reversed(buffer: &Buffer) -> Vec<(u16, u16)> {
    let cells = buffer.content().iter().enumerate();
    let lit = cells.filter(|(_, cell)| cell.modifier.contains(Modifier::REVERSED));
    lit.map(|(index, _)| buffer.pos_of(index)).collect()
}

/// Always: One area of the machine screen is in reverse video, and none while
/// hands are on the work.
#[test]
fn one_area_is_lit_and_none_while_pieces_are_cut() {
    for (name, state) in STATES {
        let desk = state(PLAIN);
        for (width, height) in SIZES {
            let lit = reversed(&desk.drawn(width, height));
            if name == "cut" {
                assert!(lit.is_empty(), "{name} {width}x{height}");
                continue;
            }
            let columns = lit.iter().map(|at| at.0);
            let rows = lit.iter().map(|at| at.1);
            let (left, right) = (columns.clone().min(), columns.max());
            let (top, bottom) = (rows.clone().min(), rows.max());
            let (Some(left), Some(right), Some(top), Some(bottom)) = (left, right, top, bottom)
            else {
                panic!("{name} {width}x{height}: nothing is lit");
            };
            // All of one box, so it is connected.
            let cells = usize::from(right - left + 1) * usize::from(bottom - top + 1);
            assert_eq!(lit.len(), cells, "{name} {width}x{height}");
        }
    }
}

/// Each kind of task lights its own place: the number is above the entry line,
/// the order above the number.
#[test]
fn what_is_lit_says_which_state_it_is() {
    let rows = |state: fn(Theme) -> Desk| {
        let lit = reversed(&state(PLAIN).drawn(80, 24));
        let rows = lit.iter().map(|at| at.1);
        (rows.clone().min().expect("something"), rows.max().expect("something"))
    };
    assert_eq!(rows(at_the_saw), (3, 18));
    assert_eq!(rows(set), (3, 9));
    assert_eq!(rows(measure), (21, 21));
    assert_eq!(rows(too_wide), (2, 2));
    assert_eq!(rows(accept), (21, 21));
}

/// The number and the rules stand in the same cells while it is set, while
/// pieces are cut and measured, and at a verdict. In the smallest window words may take
/// its rows.
#[test]
fn the_number_stays_where_it_is() {
    for (width, height) in SIZES.into_iter().filter(|size| *size != (40, 12)) {
        // Rows and columns of the digits, as they are laid out at each size.
        let (rows, columns) = match width {
            80 => (4..9, 0..46),
            120 => (8..16, 0..64),
            _ => (12..27, 0..128),
        };
        let digits = |state: fn(Theme) -> Desk| -> (Vec<String>, Vec<usize>) {
            let shown = text(&state(PLAIN).drawn(width, height));
            let lines: Vec<&str> = shown.lines().collect();
            let part = |line: &&str| line.chars().take(columns.end).collect::<String>();
            let number = lines[rows.clone()].iter().map(part);
            let number = number.map(|line| line.trim_end().to_owned()).collect();
            let is_rule = |line: &str| line.chars().all(|c| c == '─') && !line.is_empty();
            let rules = (0..lines.len()).filter(|row| is_rule(lines[*row])).collect();
            (number, rules)
        };
        let first = digits(set);
        assert!(first.0.iter().any(|line| line.contains('█')), "{width}x{height}: {first:?}");
        for (name, state) in [("cut", cut as fn(Theme) -> Desk), ("measure", measure)] {
            assert_eq!(digits(state), first, "{name} {width}x{height}");
        }
        assert_eq!(digits(too_wide), first, "too wide {width}x{height}");
    }
}

/// Without colour and in plain signs the same words stand in the same places.
#[test]
fn colour_and_signs_carry_no_word() {
    for (name, state) in STATES {
        let (plain, colour, ascii) = (state(PLAIN), state(COLOUR), state(ASCII));
        for (width, height) in SIZES {
            let with_colour = text(&colour.drawn(width, height));
            let without = plain.drawn(width, height);
            assert_eq!(text(&without), with_colour, "{name} {width}x{height}");
            let signs = ascii.drawn(width, height);
            assert!(text(&signs).is_ascii(), "{name} {width}x{height}\n{}", text(&signs));
            for (a, b) in without.content().iter().zip(signs.content()) {
                let is_letter = a.symbol().chars().all(|c| c.is_ascii_alphabetic());
                assert!(
                    !is_letter || a.symbol() == b.symbol(),
                    "{name} {width}x{height}: {a:?} {b:?}\n{}\n{}",
                    text(&without),
                    text(&signs)
                );
            }
        }
    }
}

/// Not more than four bold rows beside the digits: order, choice, what is typed
/// and its answer.
#[test]
fn little_is_bold() {
    for (name, state) in STATES {
        let buffer = state(PLAIN).drawn(80, 24);
        let rows = buffer.content().chunks(80).enumerate();
        let is_bold = |row: &[ratatui::buffer::Cell]| {
            row.iter().any(|cell| cell.modifier.contains(Modifier::BOLD))
        };
        let bold = rows.filter(|(n, row)| !(4..9).contains(n) && is_bold(row)).count();
        assert!(bold <= 4, "{name}: {bold} bold rows");
    }
}

#[test]
fn every_state_at_every_size() {
    for (name, state) in STATES {
        let desk = state(PLAIN);
        for (width, height) in SIZES {
            let shown = text(&desk.drawn(width, height));
            snapshot(&format!("state-{name}-{width}x{height}"), &shown);
        }
    }
}
