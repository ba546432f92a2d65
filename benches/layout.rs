//! How near layouts come to their bound, and their relative times. It sees only
//! the answers of `stock`.
//!
//! `cargo bench --bench layout` prints the table of `benches/layout.md`; a
//! number after `--` is how many racks each row has.
//! Times are multiples of the first row's, because computers differ.

use std::time::Instant;

use benchway::measure::Length;
use benchway::stock::{BlankNeed, Flaw, FlawKind, RackBoard, Ruling, Saw, Stretch, lay_out};

/// Pseudorandom numbers, the same every time (Marsaglia's xorshift).
struct Chance(u64);

impl Chance {
    fn below(&mut self, most: u64) -> i64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        ((self.0 >> 11) % most) as i64
    }

    fn between(&mut self, from: i64, to: i64) -> i64 {
        from + self.below((to - from + 1) as u64)
    }
}

fn sixteenths(n: i64) -> Length {
    Length::inch_fraction(n, 16)
}

fn saw() -> Saw {
    Saw {
        crosscut: sixteenths(2),
        rip: sixteenths(2),
        trim: sixteenths(16),
        edge: sixteenths(4),
        mark: sixteenths(2),
        shortest_offcut: sixteenths(12 * 16),
        clean_up: Length::ZERO,
    }
}

/// Boards 6 to 12 ft long and 5 to 10 in wide, random to the eighth.
fn boards(chance: &mut Chance, count: usize, flaws: u64, class: &str) -> Vec<RackBoard> {
    (0..count)
        .map(|index| {
            let (length, width) = (chance.between(6 * 96, 12 * 96), chance.between(40, 80));
            let flaws = (0..chance.below(flaws + 1)).map(|_| {
                let (along, across) = (chance.below(length as u64), chance.below(width as u64));
                let (long, wide) = (chance.between(8, 48), chance.between(8, 32));
                let stretch = |from: i64, size: i64| Stretch {
                    from: sixteenths(2 * from),
                    to: sixteenths(2 * (from + size)),
                };
                Flaw {
                    kind: FlawKind::Knot,
                    along: stretch(along, long),
                    across: Some(stretch(across, wide)),
                    ruling: Ruling::Around,
                }
            });
            let flaws = flaws.collect();
            RackBoard {
                name: format!("{class} {index}"),
                species: "ash".into(),
                class: Some(class.into()),
                thickness: [Length::INCH * 2; 3],
                width: sixteenths(2 * width),
                length: sixteenths(2 * length),
                cup: Length::ZERO,
                bow: Length::ZERO,
                wind: Length::ZERO,
                moisture: None,
                flaws,
            }
        })
        .collect()
}

fn needs(
    chance: &mut Chance,
    parts: usize,
    blanks: u32,
    class: &str,
    together: bool,
) -> Vec<BlankNeed> {
    let each = (blanks as usize / parts).max(1) as i64;
    (0..parts)
        .map(|index| {
            let (length, width) = (chance.between(12 * 8, 50 * 8), chance.between(12, 36));
            let a_set = chance.between(1, 4) as u32;
            let sets = (chance.between(each / 2, each * 3 / 2) as u32).div_ceil(a_set);
            BlankNeed {
                part: format!("part {index}"),
                species: Some("ash".into()),
                class: Some(class.into()),
                length: sixteenths(2 * length),
                width: sixteenths(2 * width),
                thickness: Length::INCH,
                finished_length: sixteenths(2 * length - 16),
                finished_width: sixteenths(2 * width - 2),
                finished_thickness: sixteenths(12),
                along: 1,
                across: 1,
                through: 1,
                abreast: None,
                clean_at: sixteenths(12),
                for_sets: sets * a_set,
                spare: 1,
                setup: 1,
                a_set,
                one_board: together && index % 2 == 0,
                hidden: Vec::new(),
                fill: None,
                pieces: None,
            }
        })
        .collect()
}

struct Row {
    what: &'static str,
    boards: usize,
    flaws: u64,
    classes: &'static [&'static str],
    parts: usize,
    blanks: u32,
    together: bool,
}

const ROWS: [Row; 10] = [
    Row {
        what: "small",
        boards: 6,
        flaws: 0,
        classes: &["4/4"],
        parts: 3,
        blanks: 24,
        together: false,
    },
    Row {
        what: "four parts",
        boards: 8,
        flaws: 0,
        classes: &["4/4"],
        parts: 4,
        blanks: 36,
        together: false,
    },
    Row {
        what: "six parts, tight",
        boards: 8,
        flaws: 0,
        classes: &["4/4"],
        parts: 6,
        blanks: 48,
        together: false,
    },
    Row {
        what: "five parts, short",
        boards: 4,
        flaws: 0,
        classes: &["4/4"],
        parts: 5,
        blanks: 40,
        together: false,
    },
    Row {
        what: "two classes",
        boards: 15,
        flaws: 0,
        classes: &["4/4", "8/4"],
        parts: 4,
        blanks: 60,
        together: false,
    },
    Row {
        what: "one class",
        boards: 30,
        flaws: 0,
        classes: &["4/4"],
        parts: 8,
        blanks: 120,
        together: false,
    },
    Row {
        what: "one class, knots",
        boards: 30,
        flaws: 3,
        classes: &["4/4"],
        parts: 8,
        blanks: 120,
        together: false,
    },
    Row {
        what: "two classes, knots",
        boards: 15,
        flaws: 3,
        classes: &["4/4", "8/4"],
        parts: 4,
        blanks: 60,
        together: false,
    },
    Row {
        what: "one class, sets together",
        boards: 30,
        flaws: 0,
        classes: &["4/4"],
        parts: 8,
        blanks: 120,
        together: true,
    },
    Row {
        what: "too few boards",
        boards: 6,
        flaws: 1,
        classes: &["4/4"],
        parts: 8,
        blanks: 120,
        together: false,
    },
];

fn main() {
    let racks = std::env::args().skip(1).find_map(|text| text.parse().ok()).unwrap_or(8);
    println!("| rack | boards | blanks | missing | apart | gap % (mean, most) | proved | time |");
    println!("| --- | --- | --- | --- | --- | --- | --- | --- |");
    let mut first = None;
    for row in &ROWS {
        let (mut gaps, mut proved, mut time, mut opened) = (Vec::new(), 0, 0.0_f64, 0);
        let (mut missing, mut apart, mut blanks) = (0, 0, 0);
        for seed in 1..=racks {
            let mut chance = Chance(seed * 7919);
            let (mut rack, mut wanted) = (Vec::new(), Vec::new());
            for class in row.classes {
                rack.extend(boards(&mut chance, row.boards, row.flaws, class));
                wanted.extend(needs(&mut chance, row.parts, row.blanks, class, row.together));
            }
            blanks += wanted.iter().map(BlankNeed::blanks).sum::<u32>();
            let begun = Instant::now();
            let found = lay_out(&rack, &wanted, &saw());
            time += begun.elapsed().as_secs_f64();
            gaps.push(100.0 * (found.board_feet - found.bound) / found.board_feet.max(1e-9));
            proved += u32::from(found.bound >= found.board_feet);
            opened += found.boards.len();
            missing += found.missing.iter().map(|missing| missing.blanks).sum::<u32>();
            apart += found.apart.iter().map(|(_, sets)| sets).sum::<u32>();
        }
        let mean = gaps.iter().sum::<f64>() / gaps.len() as f64;
        let most = gaps.iter().copied().fold(0.0, f64::max);
        println!(
            "| {} | {:.1} of {} | {:.0} | {missing} | {apart} | {mean:.2}, {most:.2} | {proved} of {racks} | {:.0} |",
            row.what,
            opened as f64 / racks as f64,
            row.boards * row.classes.len(),
            f64::from(blanks) / racks as f64,
            time / *first.get_or_insert(time),
        );
        eprintln!("{}: {:.2} s a rack", row.what, time / racks as f64);
    }
}
