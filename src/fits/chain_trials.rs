//! Simulated pieces sent through the formula of a clearance, to count how many
//! fit.
//!
//! Whatever is the same for each trial is worked out before the first one.

use super::chain::{Chain, Link, aimed_program};
use super::histogram::TrialHistogram;
use super::origin::{Sizing, Steers};
use super::piece_draw::PieceDraw;
use super::piece_sizes::PieceSizes;
use super::stack::Range;
use super::trials::{Draws, Share};
use crate::formula::{DimensionKind, Program};
use crate::route::{HoldsFor, PieceChoice, Take};

/// A chain made ready for many trials.
struct Trials<'c> {
    links: Vec<TrialLink<'c>>,
    clearance: Program,
    limits: Range,
}

/// A program with the room it runs in.
struct Rehearsed {
    program: Program,
    room: Vec<f64>,
}

impl Rehearsed {
    fn new(program: Program) -> Rehearsed {
        Rehearsed { room: program.room(), program }
    }

    fn run(&mut self, inputs: &[f64]) -> Option<f64> {
        self.room[..inputs.len()].copy_from_slice(inputs);
        self.program.run(&mut self.room)
    }
}

/// How one dimension comes out in a trial.
struct TrialLink<'c> {
    nominal: f64,
    /// Its target, where that follows earlier readings.
    target: Option<Rehearsed>,
    /// For how many pieces its name stands.
    count: u32,
    pieces: TrialPieces<'c>,
    error: TrialError,
    /// The place of the first dimension that has the same error; its own where it is that.
    shares: usize,
}

/// How the pieces of a dimension differ.
enum TrialPieces<'c> {
    /// Not at all.
    Alike,
    /// As those made differ from the value made.
    Made { readings: &'c [f64], value: f64, steers_own: bool },
    /// As planned, and a reading of some of them is what later cuts are made to.
    Planned { sizes: PieceSizes, read: Option<TrialReading> },
}

/// Which reading of so many pieces later cuts are made to.
struct TrialReading {
    take: Take,
    /// What a reading may be.
    sizes: PieceSizes,
    read: u32,
    /// Whether every piece is measured.
    all: bool,
}

/// What moves a piece and no reading of it. One error of a trial moves every dimension
/// that shares it.
enum TrialError {
    /// Nothing.
    None,
    Scale {
        off: f64,
        step: f64,
    },
    /// Expanded with k = 2.
    Gauge(f64),
}

/// What a trial makes of each dimension.
struct TrialSizes {
    /// What later cuts are made to.
    taken: Vec<f64>,
    /// What the pieces are: the room that the clearance runs in, whose inputs come first.
    real: Vec<f64>,
    /// The errors drawn, each at the place of the first dimension that has it: in
    /// standard deviations of a gauge, in steps of a scale.
    errors: Vec<f64>,
}

impl Chain<'_> {
    /// How many of `trials` simulated pieces fit, through the formula itself, and how their
    /// clearances are distributed about the `likely` range. A clearance without a value is
    /// counted nowhere.
    pub(super) fn simulate(
        &self,
        trials: u32,
        seed: u64,
        likely: &Range,
    ) -> (Share, TrialHistogram) {
        let mut counted = TrialHistogram::over(&self.limits, likely);
        let mut draws = Draws::new(seed);
        let Some(mut ready) = self.trials() else { return (Share { fitted: 0, trials }, counted) };
        let none = || vec![0.0; self.links.len()];
        let mut sizes = TrialSizes { taken: none(), real: ready.clearance.room(), errors: none() };
        let mut fitted = 0;
        for _ in 0..trials {
            let Some(found) = ready.clearance(&mut draws, &mut sizes) else { continue };
            let fits = Range { low: found, high: found }.within(&ready.limits);
            fitted += u32::from(fits);
            counted.count(found, fits, &ready.limits);
        }
        (Share { fitted, trials }, counted)
    }

    /// The chain made ready; none where its formula has no value, whatever the sizes.
    fn trials(&self) -> Option<Trials<'_>> {
        let count = self.links.len();
        let input = |name: &str| self.links.iter().position(|link| link.name == name);
        let length = DimensionKind::Length;
        let clearance = Program::of_formula(self.formula, length, self.web, count, &input)?;
        let links = self.links.iter().enumerate().map(|(place, link)| TrialLink {
            nominal: link.nominal,
            target: (link.made.is_none() && link.follows)
                .then(|| aimed_program(self.web, &self.links, place).map(Rehearsed::new))
                .flatten(),
            count: link.pieces.max(1),
            pieces: self.pieces(link),
            error: match link.source.as_ref().map(|source| source.size) {
                Some(Sizing::Scale { off, step }) if link.made.is_none() => {
                    TrialError::Scale { off, step }
                }
                _ if link.uncertainty() > 0.0 => TrialError::Gauge(link.uncertainty()),
                _ => TrialError::None,
            },
            shares: link.error,
        });
        let links = links.collect();
        Some(Trials { links, clearance, limits: self.limits })
    }

    fn pieces<'c>(&self, link: &'c Link<'_>) -> TrialPieces<'c> {
        if let Some(made) = &link.made {
            if made.readings.is_empty() {
                return TrialPieces::Alike;
            }
            let steers_own = made.steers == Steers::OwnPiece;
            return TrialPieces::Made { readings: &made.readings, value: made.value, steers_own };
        }
        let drawn = PieceDraw::of(&self.input, link).sizes(link);
        let (Some(range), Some((sizes, readings))) = (link.range(), drawn) else {
            return TrialPieces::Alike;
        };
        let of_several = range.cut_by.filter(|(_, span)| *span != HoldsFor::Piece);
        let read = of_several.map(|(take, span)| {
            let (read, all) = self.read(link, span);
            TrialReading { take, sizes: readings, read, all }
        });
        TrialPieces::Planned { sizes, read }
    }

    /// How many pieces are measured for it, and whether every piece is.
    fn read(&self, link: &Link<'_>, span: HoldsFor) -> (u32, bool) {
        let Some(source) = &link.source else { return (1, true) };
        let route = self.input.route;
        let part = route.part(&source.step.part);
        let per_set = part.map_or(1, |part| part.per_set);
        let pieces = match span {
            HoldsFor::Batch => part.map_or(1, |part| part.per_set * route.sets + part.spares),
            HoldsFor::Set => per_set,
            HoldsFor::Piece => 1,
        };
        let choice = source.check.map_or(PieceChoice::All, |check| check.pieces);
        let wanted = (1..=pieces as usize).filter(|at| choice.wants(*at, pieces as usize)).count();
        (wanted.max(1) as u32, choice == PieceChoice::All)
    }
}

impl Trials<'_> {
    /// The clearance of the pieces of one trial.
    fn clearance(&mut self, draws: &mut Draws, sizes: &mut TrialSizes) -> Option<f64> {
        let TrialSizes { taken, real, errors } = sizes;
        for (place, link) in self.links.iter_mut().enumerate() {
            let target = link.target.as_mut().and_then(|target| target.run(taken));
            let base = target.unwrap_or(link.nominal);
            let (piece, read) = link.drawn(draws);
            if link.shares == place {
                errors[place] = link.error.drawn(draws);
            }
            let error = link.error.of(errors[link.shares]);
            taken[place] = base + read;
            real[place] = base + piece + error;
        }
        self.clearance.run(real)
    }
}

impl TrialError {
    /// Draws the error of a gauge in standard deviations, of a scale in steps.
    fn drawn(&self, draws: &mut Draws) -> f64 {
        match self {
            TrialError::None => 0.0,
            TrialError::Scale { .. } => draws.between(-0.5, 0.5),
            TrialError::Gauge(_) => draws.normal(),
        }
    }

    /// How far the error drawn moves a piece.
    fn of(&self, drawn: f64) -> f64 {
        match self {
            TrialError::None => 0.0,
            TrialError::Scale { off, step } => off + drawn * step,
            TrialError::Gauge(uncertainty) => drawn * uncertainty / 2.0,
        }
    }
}

impl TrialLink<'_> {
    /// Draws the deviations of the piece, and of the reading that later cuts are
    /// made to, from the target or from the size made.
    fn drawn(&self, draws: &mut Draws) -> (f64, f64) {
        let mean = |one: &mut dyn FnMut() -> f64| {
            (0..self.count).map(|_| one()).sum::<f64>() / f64::from(self.count)
        };
        match &self.pieces {
            TrialPieces::Alike => (0.0, 0.0),
            TrialPieces::Made { readings, value, steers_own } => {
                let piece = mean(&mut || readings[draws.one_of(readings.len())] - value);
                (piece, if *steers_own { piece } else { 0.0 })
            }
            // One piece is its own mean.
            TrialPieces::Planned { sizes, read: None } if self.count == 1 => {
                let piece = sizes.drawn(draws);
                (piece, piece)
            }
            TrialPieces::Planned { sizes, read } => {
                let mut least = f64::INFINITY;
                let mut most = f64::NEG_INFINITY;
                let piece = mean(&mut || {
                    let drawn = sizes.drawn(draws);
                    (least, most) = (least.min(drawn), most.max(drawn));
                    drawn
                });
                let own = OwnPieces { count: self.count, piece, least, most };
                let taken = read.as_ref().map(|read| read.taken(draws, own));
                (piece, taken.unwrap_or(piece))
            }
        }
    }
}

/// The pieces of one trial: their mean, the smallest and the largest.
struct OwnPieces {
    count: u32,
    piece: f64,
    least: f64,
    most: f64,
}

impl TrialReading {
    /// What is taken of all pieces read. Of the others only the one that counts is drawn.
    fn taken(&self, draws: &mut Draws, own: OwnPieces) -> f64 {
        let others = if self.all { self.read.saturating_sub(own.count) } else { self.read };
        match self.take {
            Take::Smallest => {
                let smallest = self.sizes.smallest_of(draws, others);
                if self.all || others == 0 { smallest.min(own.least) } else { smallest }
            }
            Take::Largest => {
                let largest = self.sizes.largest_of(draws, others);
                if self.all || others == 0 { largest.max(own.most) } else { largest }
            }
            Take::Mean => {
                let n = f64::from(others);
                let counted = if self.all { f64::from(own.count) } else { 0.0 };
                if n + counted == 0.0 {
                    return own.piece;
                }
                let mean = self.sizes.mean_of(draws, others);
                (mean * n + own.piece * counted) / (n + counted)
            }
        }
    }
}
