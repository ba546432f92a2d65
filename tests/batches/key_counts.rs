//! How many keys a day's work takes: a frozen stool walked by a hand that makes
//! no mistake, every key counted.

use std::fmt::Write as _;

use benchway::work::{NextNumber, Task};

use crate::bench::snapshot;
use crate::desk::Desk;
use crate::drawn::{PLAIN, text};
use crate::walker::{MANY, crew};

/// The stool as it was before its keys were counted for the first time, so that
/// a change of the route changes no count.
const FROZEN: &str = include_str!("../support/walker/frozen-stool.json");

/// What one operation took.
#[derive(Default)]
struct Count {
    op: u32,
    enters: usize,
    numbers: usize,
    figures: usize,
    others: usize,
}

fn op_of(desk: &Desk) -> u32 {
    let screen = text(&desk.drawn(80, 24));
    let number = screen.strip_prefix("op ").and_then(|rest| rest.split(' ').next());
    number.and_then(|number| number.parse().ok()).unwrap_or_else(|| panic!("{screen}"))
}

/// What a hand types for what is asked; Enter follows.
fn typed(desk: &Desk) -> String {
    match desk.walker.task() {
        Task::Who => "MB".to_owned(),
        Task::Finished => String::new(),
        // Whoever knows the next number types it when it is due.
        Task::Cut { then: Some(then), .. } | Task::Feed { then: Some(then), .. } => match then {
            NextNumber::Read { piece, check, .. } => {
                let context = desk.walker.context();
                crew::typed(&context, check, crew::good(&context, &piece, check))
            }
            // Rough heights need no answer of their own.
            NextNumber::Set(heights) => {
                let last = heights.last().expect("a height");
                last.readout.shown(last.dial.0)
            }
        },
        task => crew::well(&desk.walker.context(), &task)
            .unwrap_or_else(|| panic!("{task:?} at {}", desk.walker.op)),
    }
}

/// One stool of nine legs and eight rails, all good, every reading the same
/// whatever the program asks, operations 10 to 160.
#[test]
fn keys_of_legs_and_rails() {
    let mut desk = Desk::of(FROZEN, PLAIN);
    desk.walker.who = None;
    let mut counts: Vec<Count> = Vec::new();
    for _ in 0..MANY {
        desk.walker.op = op_of(&desk);
        if desk.walker.op > 160 {
            break;
        }
        if counts.last().is_none_or(|count| count.op != desk.walker.op) {
            counts.push(Count { op: desk.walker.op, ..Count::default() });
        }
        let count = counts.last_mut().expect("pushed");
        let text = typed(&desk);
        let figures = text.chars().filter(|letter| !letter.is_alphabetic()).count();
        count.enters += 1;
        count.numbers += usize::from(figures > 0);
        count.figures += figures;
        count.others += text.chars().count() - figures;
        desk.enter(&[&text]);
        // The next line is written by who is there now.
        desk.walker.who = Some("MB".to_owned());
    }
    let mut table = "  op  Enter  with a number  figures  letters\n".to_owned();
    let sum = |of: fn(&Count) -> usize| counts.iter().map(of).sum::<usize>();
    let all = Count {
        op: 0,
        enters: sum(|count| count.enters),
        numbers: sum(|count| count.numbers),
        figures: sum(|count| count.figures),
        others: sum(|count| count.others),
    };
    for Count { op, enters, numbers, figures, others } in counts.iter().chain([&all]) {
        let op = if *op == 0 { "all".to_owned() } else { op.to_string() };
        let _ = writeln!(table, "{op:>4}  {enters:>5}  {numbers:>13}  {figures:>7}  {others:>7}");
    }
    snapshot("key-counts", &table);
}
