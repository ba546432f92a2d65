//! Where the wood of a batch went: parts, spares, rejects, trim, edging, kerf and
//! kept wood, which together are what was bought.

use std::collections::{BTreeMap, BTreeSet};

use crate::journal::{LaidBlank, LaidBoard, PieceId, State};
use crate::measure::{Length, Unit};
use crate::plan::Plan;
use crate::prose::counted;
use crate::route::{Role, Route};
use crate::shop::{Per, Shop};
use crate::stock::{
    Area, BlankAccount, BlankNeed, RackBoard, Saw, WoodQuantity, blank_account, board_account,
    needs,
};

/// Where wood went, as areas of board face. The sum is what was bought.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct WoodAccount {
    /// Finished faces of the pieces the articles are made of.
    pub parts: Area,
    /// The same of pieces that are not finished yet.
    pub in_work: Area,
    /// Finished faces of unused spares and of setup pieces.
    pub over: Area,
    /// Finished faces of lost pieces, and boards set aside whole.
    pub rejected: Area,
    /// Cut off the length, of pieces and of boards.
    pub trim: Area,
    /// Cut off the width, and flaws.
    pub edging: Area,
    /// Turned into sawdust.
    pub kerf: Area,
    /// Offcuts long enough to keep, and boards that were not cut into.
    pub kept: Area,
}

impl WoodAccount {
    /// Every entry with its name, in the order they are listed.
    pub fn entries(&self) -> [(&'static str, Area); 8] {
        let Self { parts, in_work, over, rejected, trim, edging, kerf, kept } = *self;
        [
            ("parts", parts),
            ("not finished yet", in_work),
            ("spares and setup pieces", over),
            ("rejected", rejected),
            ("trim", trim),
            ("edging and flaws", edging),
            ("kerf", kerf),
            ("kept", kept),
        ]
    }

    /// What was bought: the sum of all entries.
    pub fn bought(&self) -> Area {
        self.entries().into_iter().map(|(_, area)| area).sum()
    }

    /// What was used: bought less kept.
    pub fn used(&self) -> Area {
        self.bought() - self.kept
    }

    /// The share of the used wood that became parts, 0 to 1. `None` where nothing was
    /// used, and while pieces are not finished.
    pub fn yields(&self) -> Option<f64> {
        let used = self.used();
        (used > Area::ZERO && self.in_work == Area::ZERO && self.parts > Area::ZERO)
            .then(|| self.parts.square_feet() / used.square_feet())
    }

    /// Whether any of it was used.
    pub fn is_cut_into(&self) -> bool {
        self.used() > Area::ZERO
    }

    fn add(&mut self, other: &WoodAccount) {
        let Self { parts, in_work, over, rejected, trim, edging, kerf, kept } = *other;
        self.parts += parts;
        self.in_work += in_work;
        self.over += over;
        self.rejected += rejected;
        self.trim += trim;
        self.edging += edging;
        self.kerf += kerf;
        self.kept += kept;
    }
}

/// One wood in one class.
#[derive(Clone, Debug, PartialEq)]
pub struct WoodUsed {
    /// The species.
    pub species: String,
    /// The class it is sold in.
    pub class: Option<String>,
    /// The thickness that names the class, or that of the first board.
    pub thickness: Length,
    /// Every board by name, in the order they were entered.
    pub boards: Vec<(String, WoodAccount)>,
    /// All boards together.
    pub all: WoodAccount,
    /// How many pieces were made again. They are in no layout, so their wood counts
    /// as kept.
    pub made_again: usize,
}

/// An amount of wood in the unit it is counted in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WoodAmount {
    /// How much.
    pub figure: f64,
    /// The unit, in words.
    pub word: &'static str,
}

impl WoodAmount {
    /// Board feet in the thickness that names the class, where a shop works in
    /// inches; otherwise square metres, because cubic metres are too big a unit.
    pub fn of(area: Area, used: &WoodUsed, unit: Unit) -> WoodAmount {
        let wood = WoodQuantity { area: area.square_feet(), thickness: used.thickness };
        let per = match unit {
            Unit::Inch => Per::BoardFoot,
            Unit::Millimetre => Per::SquareMetre,
        };
        WoodAmount { figure: wood.counted(per), word: per.words() }
    }
}

impl WoodUsed {
    /// Its name: `white oak 5/4`.
    pub fn named(&self) -> String {
        match &self.class {
            Some(class) => format!("{} {class}", self.species),
            None => self.species.clone(),
        }
    }

    /// What was bought of it: `white oak 5/4: 3 boards, 21.4 board feet bought`.
    pub fn bought_words(&self, unit: Unit) -> String {
        let bought = WoodAmount::of(self.all.bought(), self, unit);
        let boards = counted(self.boards.len(), "board");
        format!("{}: {boards}, {:.1} {} bought", self.named(), bought.figure, bought.word)
    }

    /// The yield and what it does not count, one sentence each.
    pub fn sentences(&self) -> Vec<String> {
        let mut sentences = Vec::new();
        sentences.extend(self.all.yields().map(|share| {
            format!(
                "{:.0} % of the wood used became parts: plan with that yield next time.",
                share * 100.0
            )
        }));
        if self.all.in_work > Area::ZERO {
            sentences.push("Some pieces are not finished, so there is no yield yet.".to_owned());
        }
        match self.made_again {
            0 => {}
            1 => sentences.push("1 piece was made again; its wood counts as kept.".to_owned()),
            n => sentences.push(format!("{n} pieces were made again; their wood counts as kept.")),
        }
        sentences
    }

    /// The whole account in one sentence.
    pub fn sentence(&self, unit: Unit) -> String {
        let all = WoodAmount::of(self.all.bought(), self, unit);
        let share = |area: Area| 100.0 * area.square_feet() / self.all.bought().square_feet();
        let some = self.all.entries().into_iter().filter(|(_, area)| *area > Area::ZERO);
        let some: Vec<String> =
            some.map(|(name, area)| format!("{:.0} % {name}", share(area))).collect();
        format!("{}, {:.1} {}: {}.", self.named(), all.figure, all.word, some.join(", "))
    }
}

/// Where the wood of a batch went, by species and class; empty where no boards were
/// laid out.
pub fn wood_used(route: &Route, shop: &Shop, plan: &Plan, state: &State) -> Vec<WoodUsed> {
    let rack = &state.boards;
    let Some(accepted) = &rack.accepted else { return Vec::new() };
    let needs = needs(route, shop, plan);
    let fates = Fates::of(route, state);
    let mut used: BTreeMap<(String, Option<String>), WoodUsed> = BTreeMap::new();
    for bought in rack.all.iter().filter(|bought| bought.is_complete()) {
        let board = &bought.is;
        let whole = Area::of(board.length, board.width);
        let laid = accepted.layout.boards.iter().find(|laid| laid.board == bought.id);
        let account = match laid {
            _ if bought.aside.is_some() => WoodAccount { rejected: whole, ..Default::default() },
            None => WoodAccount { kept: whole, ..Default::default() },
            Some(laid) => {
                let found = cut_up(board, laid, &accepted.layout.saw, &needs, &fates);
                // Only a damaged journal has a layout without an account.
                let Some(found) = found else { continue };
                found
            }
        };
        let key = (board.species.clone(), board.class.clone());
        let own = used.entry(key).or_insert_with(|| WoodUsed {
            species: board.species.clone(),
            class: board.class.clone(),
            thickness: board.counted_thickness(),
            boards: Vec::new(),
            all: WoodAccount::default(),
            made_again: 0,
        });
        own.all.add(&account);
        own.boards.push((board.name.clone(), account));
    }
    let mut used: Vec<WoodUsed> = used.into_values().collect();
    for piece in state.pieces.iter().filter(|piece| piece.instead_of.is_some()) {
        let need = needs.iter().find(|need| need.part == piece.label.part);
        let own = need.and_then(|need| used.iter_mut().find(|own| own.class == need.class));
        if let Some(own) = own {
            own.made_again += 1;
        }
    }
    used
}

/// What became of a piece.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Fate {
    Part,
    InWork,
    Over,
    Rejected,
}

/// What became of every piece.
struct Fates<'a> {
    state: &'a State,
    /// As many good pieces as the articles need, those made for articles first.
    needed: BTreeSet<&'a PieceId>,
    /// The last operation of each part.
    last: BTreeMap<&'a str, u32>,
}

impl<'a> Fates<'a> {
    fn of(route: &'a Route, state: &'a State) -> Fates<'a> {
        let mut needed = BTreeSet::new();
        for part in &route.parts {
            let mut good: Vec<_> = state
                .pieces
                .iter()
                .filter(|piece| {
                    piece.whole
                        && piece.aside.is_none()
                        && piece.label.part == part.name
                        && piece.label.role != Role::Setup
                })
                .collect();
            good.sort_by_key(|piece| piece.label.role != Role::Set);
            let count = part.per_set.saturating_mul(state.sets) as usize;
            needed.extend(good.into_iter().take(count).map(|piece| &piece.id));
        }
        let last = route.steps.iter().map(|step| (step.part.as_str(), step.op)).collect();
        Fates { state, needed, last }
    }

    fn of_piece(&self, id: &PieceId) -> Fate {
        let Some(piece) = self.state.piece(id) else { return Fate::Over };
        let last = self.last.get(piece.label.part.as_str());
        let through = last.is_none_or(|op| self.state.is_done(*op, id));
        if piece.aside.is_some() {
            Fate::Rejected
        } else if !self.needed.contains(id) {
            Fate::Over
        } else if through {
            Fate::Part
        } else {
            Fate::InWork
        }
    }

    /// What became of everything a blank holds. What it was cut apart into counts.
    fn of_blank(&self, blank: &LaidBlank) -> Vec<Fate> {
        let of = |id: &PieceId| {
            let parted: Vec<Fate> = self
                .state
                .pieces
                .iter()
                .filter(|piece| piece.from.as_ref() == Some(id))
                .map(|piece| self.of_piece(&piece.id))
                .collect();
            if parted.is_empty() { vec![self.of_piece(id)] } else { parted }
        };
        blank.pieces.iter().flat_map(of).collect()
    }
}

fn cut_up(
    board: &RackBoard,
    laid: &LaidBoard,
    saw: &Saw,
    needs: &[BlankNeed],
    fates: &Fates<'_>,
) -> Option<WoodAccount> {
    let found = board_account(board.length, board.width, &laid.cut_plan(), saw)?;
    let mut account = WoodAccount {
        trim: found.waste.trim,
        edging: found.waste.edging,
        kerf: found.waste.kerf,
        kept: found.kept,
        ..Default::default()
    };
    let blanks = laid.sections.iter().flat_map(|section| &section.blanks);
    for (blank, area) in blanks.zip(found.blanks) {
        let need = needs
            .iter()
            .filter(|need| need.part == blank.part)
            .max_by_key(|need| need.species.as_deref() == Some(board.species.as_str()));
        let Some(need) = need else {
            account.over += area;
            continue;
        };
        let BlankAccount { piece, trim, edging } = blank_account(need, &blank.place());
        account.trim += trim;
        account.edging += edging;
        let fates = fates.of_blank(blank);
        for n in 0..need.holds() as usize {
            // Pieces not cut apart yet share one fate.
            let fate = fates.get(n).or(fates.last().filter(|_| fates.len() == 1));
            match fate.copied().unwrap_or(Fate::Over) {
                Fate::Part => account.parts += piece,
                Fate::InWork => account.in_work += piece,
                Fate::Over => account.over += piece,
                Fate::Rejected => account.rejected += piece,
            }
        }
    }
    Some(account)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Each entry is so many square feet.
    fn account() -> WoodAccount {
        let feet = |n: u32| Area::of(Length::INCH * 12, Length::INCH * 12) * n;
        WoodAccount {
            parts: feet(30),
            in_work: Area::ZERO,
            over: feet(4),
            rejected: feet(5),
            trim: feet(6),
            edging: feet(7),
            kerf: feet(8),
            kept: feet(9),
        }
    }

    /// By hand: 30 + 4 + 5 + 6 + 7 + 8 + 9 = 69 bought, 60 of them used, half of those in
    /// parts. Another like it with 3 unfinished doubles everything, and there is no yield yet.
    #[test]
    fn what_was_bought_used_and_became_parts() {
        let one = account();
        let feet = |area: Area| area.square_feet().round() as i64;
        assert_eq!((feet(one.bought()), feet(one.used())), (69, 60));
        assert_eq!(one.yields(), Some(0.5));
        let mut both = one;
        both.add(&WoodAccount { in_work: Area::of(Length::INCH * 12, Length::INCH * 36), ..one });
        let entries = both.entries().map(|(_, area)| feet(area));
        assert_eq!(entries, [60, 3, 8, 10, 12, 14, 16, 18]);
        assert_eq!(both.yields(), None);
        let kept = WoodAccount { kept: one.kept, ..WoodAccount::default() };
        assert!(!kept.is_cut_into() && one.is_cut_into());
        assert_eq!((kept.yields(), feet(kept.bought())), (None, 9));
    }
}
