//! Batches made of readings alone: pieces scatter, a gauge reads them, a fault is put in,
//! and people may act on what they read. Nothing of the traveler's own crew is in here.

use benchway::journal::{
    Event, GaugeSays, JournalEntry, JournalLine, NewPiece, PieceId, State, TakenReading,
    initial_pieces,
};
use benchway::measure::{Length, SafeSide};
use benchway::plan::{Known, walk};
use benchway::route::Route;
use benchway::shop::Shop;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};

/// The calipers' expanded uncertainty in the bundled shop; half of it is one standard
/// deviation of a reading.
pub const UNCERTAINTY: f64 = 0.003;

/// An operation with its machine's spread in the bundled shop (one standard deviation), what
/// is measured there, the size wanted and its limits either way.
#[derive(Clone, Copy)]
pub struct Measured {
    pub op: u32,
    pub spread: f64,
    pub feature: &'static str,
    pub wanted: f64,
    pub within: f64,
}

pub const MEASURED: [Measured; 4] = [
    Measured { op: 30, spread: 0.003, feature: "width", wanted: 2.0, within: 1.0 / 64.0 },
    Measured { op: 40, spread: 0.002, feature: "thickness", wanted: 0.79, within: 1.0 / 64.0 },
    Measured { op: 50, spread: 0.001, feature: "thickness", wanted: 0.75, within: 0.008 },
    Measured { op: 60, spread: 0.003, feature: "length", wanted: 20.0, within: 1.0 / 64.0 },
];

impl Measured {
    /// How readings scatter with nothing wrong: the machine's own scatter and the gauge's.
    pub fn told(&self) -> f64 {
        self.spread.hypot(UNCERTAINTY / 2.0)
    }
}

/// What happens to a batch, with its size in spreads.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Fault {
    None,
    Offset,
    Creep,
    Step,
    Slip,
    StopDust,
    GaugeZero,
    /// Fast at first, two thirds of it in a fifth of the row.
    WearIn,
    /// Up over six pieces, and back.
    UpAndBack,
    /// From half way on pieces scatter three times as much.
    Looser,
}

/// How readings scatter. All but the last three have the spread that the shop tells.
#[derive(Clone, Copy, PartialEq)]
pub enum Noise {
    Normal,
    Uniform,
    /// Two lots of wood, 1.6 spreads apart.
    TwoLots,
    /// Gamma of shape 2.
    Skewed,
    Student(u32),
    Laplace,
    /// One reading in twenty scatters four times as much.
    Wild,
    /// Each reading remembers so much of the one before.
    Remembered(f64),
    /// Wear: a random walk of a tenth of a spread a piece, over normal scatter.
    Walk,
    /// The true spread is so many times what the shop tells.
    SpreadTimes(f64),
    /// Settings are off by a normal error of so many spreads.
    SettingsOff(f64),
}

/// Draws of one batch.
pub struct Draws(ChaCha8Rng);

impl Draws {
    pub fn of(seed: u64) -> Draws {
        Draws(ChaCha8Rng::seed_from_u64(seed))
    }

    /// From 0 to 1.
    pub fn part(&mut self) -> f64 {
        (self.0.next_u64() >> 11) as f64 / 9_007_199_254_740_992.0
    }

    pub fn normal(&mut self) -> f64 {
        let (one, other) = (1.0 - self.part(), self.part());
        (-2.0 * one.ln()).sqrt() * (std::f64::consts::TAU * other).cos()
    }

    fn exponential(&mut self) -> f64 {
        -(1.0 - self.part()).ln()
    }

    /// A row of scatter whose spread is one.
    fn row(&mut self, noise: Noise, count: usize) -> Vec<f64> {
        let mut last = self.normal();
        let mut worn = 0.0;
        let off = if let Noise::SettingsOff(sd) = noise { sd * self.normal() } else { 0.0 };
        let mut row = Vec::with_capacity(count);
        for _ in 0..count {
            row.push(match noise {
                Noise::Normal | Noise::SpreadTimes(_) => self.normal(),
                Noise::Uniform => (self.part() - 0.5) * 12_f64.sqrt(),
                Noise::TwoLots => {
                    let lot = if self.part() < 0.5 { 0.8 } else { -0.8 };
                    lot + 0.6 * self.normal()
                }
                Noise::Skewed => (self.exponential() + self.exponential() - 2.0) / 2_f64.sqrt(),
                Noise::Student(free) => {
                    let squares: f64 = (0..free).map(|_| self.normal().powi(2)).sum();
                    let free = f64::from(free);
                    let student = self.normal() / (squares / free).sqrt();
                    student / (free / (free - 2.0)).sqrt()
                }
                Noise::Laplace => {
                    let side = if self.part() < 0.5 { 1.0 } else { -1.0 };
                    side * self.exponential() / 2_f64.sqrt()
                }
                Noise::Wild => {
                    let times = if self.part() < 0.05 { 4.0 } else { 1.0 };
                    times * self.normal()
                }
                Noise::Remembered(memory) => {
                    let now = last;
                    last = memory * last + (1.0 - memory * memory).sqrt() * self.normal();
                    now
                }
                Noise::Walk => {
                    worn += 0.1 * self.normal();
                    worn + self.normal()
                }
                Noise::SettingsOff(_) => off + self.normal(),
            });
        }
        row
    }
}

/// What a batch is made of.
#[derive(Clone, Copy)]
pub struct Made {
    pub noise: Noise,
    pub fault: Fault,
    /// The size of the fault, in the larger of the true spread and the shop's.
    pub times: f64,
    /// Whether people move a setting after a first piece that is out of limits.
    pub mended: bool,
    /// Which operation the fault is at.
    pub at: usize,
}

/// The rows of a batch: what was read of each piece at each operation, less what was
/// wanted, and what a second reading would say.
pub struct Rows {
    pub read: Vec<Vec<f64>>,
    pub again: Vec<Vec<f64>>,
    /// What was read on a first piece before its setting was moved.
    pub first: Vec<Option<f64>>,
}

pub fn rows(made: &Made, count: usize, draws: &mut Draws) -> Rows {
    let mut rows = Rows { read: Vec::new(), again: Vec::new(), first: Vec::new() };
    let side = if draws.part() < 0.5 { -1.0 } else { 1.0 };
    let place = 2 + (draws.part() * (count - 3) as f64) as usize;
    for (n, measured) in MEASURED.iter().enumerate() {
        let told = measured.told();
        let spread = told * if let Noise::SpreadTimes(times) = made.noise { times } else { 1.0 };
        let size = side * made.times * spread.max(told);
        let is_here = n == made.at;
        let mut scatter = draws.row(made.noise, count);
        if made.fault == Fault::Looser && is_here {
            scatter[count / 2..].iter_mut().for_each(|off| *off *= 3.0);
        }
        let fault = |piece: usize, draws: &mut Draws| match made.fault {
            Fault::Offset if is_here => size,
            Fault::Creep if is_here => size * piece as f64 / (count - 1) as f64,
            Fault::Step if is_here && piece >= place => size,
            Fault::Slip if is_here && piece + 1 == place => size,
            Fault::WearIn if is_here => size * (1.0 - (-5.0 * piece as f64 / count as f64).exp()),
            Fault::UpAndBack if is_here => size * ((piece + place) % 6) as f64 / 5.0,
            Fault::StopDust if is_here && draws.part() < 0.25 => -size.abs(),
            _ => 0.0,
        };
        let is_gauge = made.fault == Fault::GaugeZero && n >= made.at;
        // A zero is off by one length at all machines.
        let zero = if is_gauge { side * made.times * MEASURED[made.at].told() } else { 0.0 };
        let faults: Vec<f64> = (0..count).map(|piece| fault(piece, draws)).collect();
        let first = faults[0] + zero + spread * scatter[0];
        let is_out = first.abs() > measured.within - UNCERTAINTY;
        let moved = if made.mended && is_out { -first } else { 0.0 };
        rows.first.push((moved != 0.0).then_some(first));
        let level = zero + moved;
        rows.read.push((0..count).map(|n| level + faults[n] + spread * scatter[n]).collect());
        let again = faults.iter().map(|fault| level + fault + told * draws.normal());
        rows.again.push(again.collect());
    }
    rows
}

/// The journal of a batch, folded.
pub fn state(route: &Route, shop: &Shop, rows: &Rows) -> State {
    let plan = walk(route, shop, &Known::default());
    let pieces: Vec<NewPiece> = initial_pieces(route, &plan, "bench");
    let good = pieces.iter().filter(|piece| piece.label.role == benchway::route::Role::Set);
    let ids: Vec<PieceId> = good.map(|piece| piece.id.clone()).collect();
    let mut events = vec![Event::Started {
        batch: "trial".to_owned(),
        route: route.name.clone(),
        sets: 1,
        pieces: pieces.clone(),
        id: None,
    }];
    for ((measured, row), first) in MEASURED.iter().zip(&rows.read).zip(&rows.first) {
        if let Some(first) = first {
            events.push(reading(measured, &ids[0], *first));
            let (op, setting) = (measured.op, "setting".to_owned());
            let by = Length::from_inches(-first);
            events.push(Event::Moved { op, setting, by, why: String::new() });
        }
        let pieces = ids.iter().zip(row);
        events.extend(pieces.map(|(piece, miss)| reading(measured, piece, *miss)));
    }
    let lines: Vec<JournalLine> = events.into_iter().zip(1..).map(line).collect();
    State::fold(&lines)
}

fn reading(measured: &Measured, piece: &PieceId, miss: f64) -> Event {
    let wanted = Length::from_inches(measured.wanted);
    let within = Length::from_inches(measured.within);
    Event::Reading(TakenReading {
        op: measured.op,
        piece: piece.clone(),
        feature: measured.feature.into(),
        says: GaugeSays::Size(wanted + Length::from_inches(miss)),
        typed: String::new(),
        gauge: "calipers".to_owned(),
        uncertainty: Length::from_inches(UNCERTAINTY),
        target: Some(wanted),
        low: Some(wanted - within),
        high: Some(wanted + within),
        safe: SafeSide::Big,
        on_paper: None,
    })
}

fn line((event, n): (Event, u64)) -> JournalLine {
    JournalEntry {
        n,
        after: n,
        at: "2026-11-25T08:00:00+01:00".parse().expect("a time with its zone"),
        station: "bench".to_owned(),
        who: None,
        answer: None,
        seen: std::collections::BTreeMap::new(),
        begun: None,
        event,
    }
}
