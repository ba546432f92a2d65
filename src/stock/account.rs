//! Where the wood of a board goes: pieces, what they were cut big by, kerf,
//! ends, edges, and what is kept. Knows nothing of how a layout is found.
//!
//! Kerf is counted where the cut runs: a cut that runs out of the board counts
//! as far as there is wood, and two cuts nearer to each other than two kerfs
//! are one. What is lost in length is trim (ends, rests too short to keep, what
//! a strip is shorter than its section); what is lost in width is edging (the
//! straight edge, what is left beside the strips, flaws that were cut around).
//! Sums are whole numbers and come to the whole face, nothing over.

use std::iter::Sum;
use std::ops::{Add, AddAssign, Sub};

use super::board::{RackBoard, Stretch};
use super::layout::{Laid, Placed, Saw, Section};
use super::need::Need;
use crate::measure::Length;
use crate::route::Role;

/// An area in square nanometres.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Area(i128);

impl Area {
    pub fn of(length: Length, width: Length) -> Area {
        Area(i128::from(length.nanometres()) * i128::from(width.nanometres()))
    }

    /// In square inches.
    pub fn square_inches(self) -> f64 {
        self.0 as f64 / Area::of(Length::INCH, Length::INCH).0 as f64
    }

    /// As board feet of lumber that counts as so thick; under an inch counts as
    /// an inch.
    pub fn board_feet(self, thickness: Length) -> f64 {
        self.square_inches() / 144.0 * thickness.max(Length::INCH).ratio(Length::INCH)
    }
}

impl Add for Area {
    type Output = Area;
    fn add(self, other: Area) -> Area {
        Area(self.0 + other.0)
    }
}

impl Sub for Area {
    type Output = Area;
    fn sub(self, other: Area) -> Area {
        Area(self.0 - other.0)
    }
}

impl AddAssign for Area {
    fn add_assign(&mut self, other: Area) {
        self.0 += other.0;
    }
}

impl Sum for Area {
    fn sum<I: Iterator<Item = Area>>(areas: I) -> Area {
        areas.fold(Area::default(), Add::add)
    }
}

/// What blanks are made of: the pieces as they will be, and what the blanks
/// were cut longer and wider.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Blanks<T> {
    pub pieces: T,
    pub longer: T,
    pub wider: T,
}

/// Where the wood of a board, or of many, goes.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Account<T> {
    /// The whole face.
    pub face: T,
    pub sets: Blanks<T>,
    pub spare: Blanks<T>,
    pub setup: Blanks<T>,
    pub trim: T,
    pub edging: T,
    pub crosscut: T,
    pub rip: T,
    /// Rests worth keeping.
    pub left: T,
}

impl<T: Copy + Sum + AddAssign> Blanks<T> {
    pub fn all(&self) -> T {
        [self.pieces, self.longer, self.wider].into_iter().sum()
    }

    fn each<U>(&self, of: impl Fn(T) -> U) -> Blanks<U> {
        Blanks { pieces: of(self.pieces), longer: of(self.longer), wider: of(self.wider) }
    }
}

impl<T: Copy + Sum + AddAssign> Account<T> {
    /// All the parts of the face: as much as the face.
    pub fn all(&self) -> T {
        let blanks = [self.sets, self.spare, self.setup].map(|blanks| blanks.all());
        let rest = [self.trim, self.edging, self.crosscut, self.rip, self.left];
        blanks.into_iter().chain(rest).sum()
    }

    fn each<U>(&self, of: impl Fn(T) -> U) -> Account<U> {
        Account {
            face: of(self.face),
            sets: self.sets.each(&of),
            spare: self.spare.each(&of),
            setup: self.setup.each(&of),
            trim: of(self.trim),
            edging: of(self.edging),
            crosscut: of(self.crosscut),
            rip: of(self.rip),
            left: of(self.left),
        }
    }

    fn parts(&mut self) -> [&mut T; 15] {
        let Account { face, sets, spare, setup, trim, edging, crosscut, rip, left } = self;
        [
            face,
            &mut sets.pieces,
            &mut sets.longer,
            &mut sets.wider,
            &mut spare.pieces,
            &mut spare.longer,
            &mut spare.wider,
            &mut setup.pieces,
            &mut setup.longer,
            &mut setup.wider,
            trim,
            edging,
            crosscut,
            rip,
            left,
        ]
    }
}

impl<T: Copy + Sum + AddAssign> AddAssign for Account<T> {
    fn add_assign(&mut self, mut other: Account<T>) {
        for (part, more) in self.parts().into_iter().zip(other.parts()) {
            *part += *more;
        }
    }
}

impl<T: Copy + Sum + AddAssign + Default> Sum for Account<T> {
    fn sum<I: Iterator<Item = Account<T>>>(accounts: I) -> Account<T> {
        accounts.fold(Account::default(), |mut sum, account| {
            sum += account;
            sum
        })
    }
}

impl Account<Area> {
    /// In board feet of lumber that counts as so thick.
    pub fn board_feet(&self, thickness: Length) -> Account<f64> {
        self.each(|area| area.board_feet(thickness))
    }
}

/// Where the wood of one board goes. The sections are all there are on it.
pub fn account(board: &RackBoard, laid: &Laid, needs: &[Need], saw: &Saw) -> Account<Area> {
    let face = Area::of(board.length, board.width);
    let mut account = Account { face, ..Account::default() };
    let whole = |length: Length| Area::of(length, board.width);
    let mut at = Length::ZERO;
    for (index, section) in laid.sections.iter().enumerate() {
        let room = section.along.from - at;
        let kerf = if index == 0 { one_cut(room, saw.crosscut) } else { cuts(room, saw.crosscut) };
        account.crosscut += whole(kerf);
        account.trim += whole(room - kerf);
        within(&mut account, board, section, needs, saw);
        at = section.along.to;
    }
    let room = board.length - at;
    let kerf = if laid.sections.is_empty() { Length::ZERO } else { one_cut(room, saw.crosscut) };
    account.crosscut += whole(kerf);
    account.trim += whole(room - kerf);
    for left in &laid.left {
        let left = whole(left.to - left.from);
        account.left += left;
        account.trim = account.trim - left;
    }
    account
}

/// The kerf of one cut at the edge of this room.
fn one_cut(room: Length, kerf: Length) -> Length {
    room.min(kerf).max(Length::ZERO)
}

/// The kerf of a cut at either edge of this room.
fn cuts(room: Length, kerf: Length) -> Length {
    if room >= kerf * 2 { kerf * 2 } else { one_cut(room, kerf) }
}

/// One section: strips across it, and blanks along each.
fn within(
    account: &mut Account<Area>,
    board: &RackBoard,
    section: &Section,
    needs: &[Need],
    saw: &Saw,
) {
    let long = section.along.to - section.along.from;
    let mut blanks: Vec<&Placed> = section.blanks.iter().collect();
    blanks.sort_by_key(|blank| (blank.across.from, blank.across.to, blank.along.from));
    if blanks.is_empty() {
        account.trim += Area::of(long, board.width);
        return;
    }
    let mut at = Length::ZERO;
    for (index, strip) in blanks.chunk_by(|one, next| one.across == next.across).enumerate() {
        let Stretch { from, to } = strip[0].across;
        let room = from - at;
        let kerf = match index {
            // The straight edge is no rip cut.
            0 => one_cut(room - saw.edge, saw.rip),
            _ => cuts(room, saw.rip),
        };
        account.rip += Area::of(long, kerf);
        account.edging += Area::of(long, room - kerf);
        along(account, section, strip, needs, saw);
        at = to;
    }
    let room = board.width - at;
    let kerf = one_cut(room, saw.rip);
    account.rip += Area::of(long, kerf);
    account.edging += Area::of(long, room - kerf);
}

/// One strip: blanks end to end.
fn along(
    account: &mut Account<Area>,
    section: &Section,
    strip: &[&Placed],
    needs: &[Need],
    saw: &Saw,
) {
    let wide = strip[0].across.to - strip[0].across.from;
    let mut at = section.along.from;
    for (index, blank) in strip.iter().enumerate() {
        let room = blank.along.from - at;
        let kerf = if index == 0 { one_cut(room, saw.crosscut) } else { cuts(room, saw.crosscut) };
        account.crosscut += Area::of(kerf, wide);
        account.trim += Area::of(room - kerf, wide);
        at = blank.along.to;
        let long = blank.along.to - blank.along.from;
        let (pieces_long, pieces_wide) = needs.get(blank.need).map_or((long, wide), |need| {
            let times = |size: Length, count: u32| size * i64::from(count);
            (times(need.finished_length, need.along), times(need.finished_width, need.across))
        });
        let of = match blank.role {
            Role::Spare => &mut account.spare,
            Role::Setup => &mut account.setup,
            Role::Set | Role::Blank => &mut account.sets,
        };
        of.pieces += Area::of(pieces_long, pieces_wide);
        of.longer += Area::of(long - pieces_long, wide);
        of.wider += Area::of(pieces_long, wide - pieces_wide);
    }
    let room = section.along.to - at;
    let kerf = one_cut(room, saw.crosscut);
    account.crosscut += Area::of(kerf, wide);
    account.trim += Area::of(room - kerf, wide);
}
