//! Layouts of random racks against an exact solver that knows nothing of ours.
//! `racks.py` says how the racks and their best layouts in `racks.jsonl` were made.

use benchway::measure::Length;
use benchway::route::Role;
use benchway::stock::{BlankNeed, OnHand, RackBoard, lay_out};
use serde::Deserialize;

use crate::layout::{board, checked, need, saw};

/// A rack with the best layout the solver found in a minute.
#[derive(Deserialize)]
struct SolvedRack {
    rack: u32,
    /// Length and width in eighths of an inch.
    boards: Vec<[i64; 2]>,
    /// Length, width, blanks for sets, spares, setup pieces.
    needs: Vec<[i64; 5]>,
    missing: [u32; 3],
    opened: Vec<usize>,
    board_feet: f64,
    /// Whether the solver proved that nothing is better.
    proved: bool,
}

fn solved_racks() -> Vec<SolvedRack> {
    let lines = include_str!("racks.jsonl").lines();
    lines.map(|line| serde_json::from_str(line).expect("a rack")).collect()
}

impl SolvedRack {
    fn needs(&self) -> Vec<BlankNeed> {
        let of = |[long, wide, sets, spare, setup]: &[i64; 5]| {
            let [spare, setup] = [spare, setup].map(|count| *count as u32);
            BlankNeed { spare, setup, ..need("part", 2 * long, 2 * wide, *sets as u32) }
        };
        self.needs.iter().map(of).collect()
    }

    /// Lays out these boards; no blank may be missing that the solver makes, and no more wood
    /// may be cut into for as many. Where the solver proved its layout, a better one would be
    /// an error in one of the two.
    fn is_met_by(&self, boards: &[[i64; 2]]) {
        let rack = self.rack;
        let boards: Vec<RackBoard> =
            boards.iter().map(|[long, wide]| board("board", 2 * long, 2 * wide)).collect();
        let needs = self.needs();
        let found = lay_out(&boards, &needs, &saw());
        checked(&OnHand { boards: &boards, taken: &[] }, &needs, &saw(), &found).unwrap();
        let missing = [Role::Set, Role::Spare, Role::Setup].map(|role| {
            let own = found.missing.iter().filter(|missing| missing.role == role);
            own.map(|missing| missing.blanks).sum::<u32>()
        });
        let no_more_wood = found.board_feet <= self.board_feet + 1e-5;
        assert!(missing < self.missing || missing == self.missing && no_more_wood, "{rack}");
        let as_much_wood = found.board_feet >= self.board_feet - 1e-5;
        assert!(!self.proved || missing == self.missing && as_much_wood, "{rack}: better");
        assert!(found.bound <= self.board_feet + 1e-5, "{rack}: the bound is none");
        // A blank of 1 in has as many board feet as its face has square feet.
        let made_for_feet = needs
            .iter()
            .map(|need| need.width.ratio(Length::INCH) * need.length.ratio(Length::INCH) / 144.0);
        let most: f64 = made_for_feet.fold(0.0, f64::max) * f64::from(missing.iter().sum::<u32>());
        assert!(found.least_missing <= most + 1e-6, "{rack}: less is missing");
    }

    /// The same on the boards that the solver cut into alone: there nothing is to spare.
    fn is_met_by_its_own_boards(&self) {
        if self.missing == [0; 3] {
            let own: Vec<[i64; 2]> = self.opened.iter().map(|at| self.boards[*at]).collect();
            self.is_met_by(&own);
        }
    }
}

/// Racks of four to six parts for which a search that stops early takes a board too many, or
/// says that blanks are missing on the boards that hold them all.
#[test]
fn tight_racks_take_no_more_wood_than_they_need() {
    let racks = solved_racks();
    for rack in racks.iter().filter(|solved| [20, 48, 60, 61, 80, 98].contains(&solved.rack)) {
        rack.is_met_by(&rack.boards);
        rack.is_met_by_its_own_boards();
    }
}

/// All 200 racks. Without optimisation it takes minutes: the command that runs it is in
/// DEVELOPERS.md.
#[test]
#[ignore = "takes minutes without optimisation"]
fn no_rack_takes_more_wood_than_an_exact_solver_found() {
    let racks = solved_racks();
    assert_eq!(racks.len(), 200);
    for rack in &racks {
        rack.is_met_by(&rack.boards);
        rack.is_met_by_its_own_boards();
    }
}

/// Blanks are missing on these boards whatever is done, and no article has to come from two of
/// them: that more can't be made once stopped the search before it kept articles together.
#[test]
fn articles_are_kept_together_while_blanks_are_missing() {
    let boards: [[i64; 2]; 3] = [[783, 40], [915, 43], [581, 56]];
    let boards = boards.map(|[long, wide]| board("board", 2 * long, 2 * wide));
    let of = |long: i64, wide: i64, sets, a_set, one_board| {
        let plain = need("part", 2 * long, 2 * wide, sets);
        BlankNeed { a_set, one_board, ..plain }
    };
    let needs = [
        BlankNeed { spare: 1, ..of(209, 23, 8, 4, true) },
        BlankNeed { setup: 1, ..of(234, 33, 6, 2, true) },
        BlankNeed { setup: 1, ..of(314, 30, 4, 4, false) },
    ];
    let found = lay_out(&boards, &needs, &saw());
    checked(&OnHand { boards: &boards, taken: &[] }, &needs, &saw(), &found).unwrap();
    assert!(!found.missing.is_empty() && found.apart.is_empty(), "{:?}", found.apart);
}
