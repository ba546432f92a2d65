//! Whole computations: a batch simulated, a fit tried, a batch reviewed.

use std::hint::black_box;
use std::time::Duration;

use benchway::fits::{FitsInput, fits};
use benchway::journal::{BatchFolder, Event, Home, JournalLine, OpenBatch, State};
use benchway::measure::Length;
use benchway::plan::{Known, Plan, walk};
use benchway::review::{findings, lead_words, read_twice, voided_out, wood_used};
use benchway::route::{self, Route};
use benchway::shop::Shop;
use benchway::simulate::{STATION, Settings, invent};
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};
use statrs::distribution::{ContinuousCDF, Normal};

use super::ratio::timed;
use super::{SHOP, read_route, the_shop};

const TRIALS: u32 = 1_000_000;
const SEED: u64 = 1;

/// The batch whose journal is a file.
const STOOLS: &str = "invented-stools";

/// What stands before the checksum of a line.
const CHECKSUM: &str = r#","crc":""#;

/// A post and a rail beside each other, in a gap of 14 1/2.
const BASE: &str = r#"{
  "route": "Base", "unit": "in", "sets": 1, "dims": { "post_width": "1 1/2", "rail_length": "13" },
  "parts": {
    "post": { "per_set": 1, "species": "ash", "width": "post_width",
      "stock": { "thickness": "2", "width": "2", "length": "20" } },
    "rail": { "per_set": 1, "species": "ash", "length": "rail_length",
      "stock": { "thickness": "1", "width": "3", "length": "16" } } },
  "operations": [
    { "op": 10, "part": "post", "do": "joint", "at": "jointer", "sides": ["face", "edge"] },
    { "op": 20, "part": "post", "do": "rip", "at": "cabinet saw", "tool": "rip blade", "to": "post_width",
      "checks": [ { "check": "width", "limits": "±0.016", "with": "calipers", "pieces": "all" } ] },
    { "op": 30, "part": "rail", "do": "crosscut", "at": "stop saw", "to": "rail_length",
      "checks": [ { "check": "length", "limits": "±0.016", "with": "calipers", "pieces": "all" } ] } ],
  "fits": { "over all": { "is": "post_width + rail_length", "limits": ["14.49", "14.51"] } } }"#;

fn stool(sets: u32) -> Route {
    let text = route::bundled("reading-stool").expect("a bundled route").text;
    let mut route = read_route(text);
    route.make_sets(sets).expect("a batch of that size");
    route
}

fn invented(sets: u32) -> (Route, Vec<JournalLine>) {
    let route = stool(sets);
    let lines = invent(&route, &the_shop(), &Settings::default()).expect("it can be walked");
    (route, lines)
}

/// A stool walked to its end by simulated people.
pub fn simulate(sets: u32) -> Duration {
    timed(|| drop(black_box(invented(sets))))
}

/// One fit tried with simulated pieces.
pub struct FitTrials {
    route: Route,
    shop: Shop,
    plan: Plan,
    known: Known,
}

impl FitTrials {
    pub fn new() -> FitTrials {
        let (route, shop, known) = (read_route(BASE), the_shop(), Known::default());
        let plan = walk(&route, &shop, &known);
        let trials = FitTrials { route, shop, plan, known };
        assert_eq!(trials.fitted(), trials.fitted_in_rust(), "both draw the same pieces");
        trials
    }

    fn fitted(&self) -> u32 {
        let FitTrials { route, shop, plan, known } = self;
        let (judged, _) =
            fits(&FitsInput { route, shop, plan, known, readings: None }, TRIALS, SEED);
        judged[0].share.expect("it was tried").fitted
    }

    /// The same draws and the same sum, written out.
    fn fitted_in_rust(&self) -> u32 {
        let gauge = self.shop.gauges["calipers"].uncertainty().expect("calipers have one");
        let uncertainty = nanometres(gauge);
        let by = thousandths(16) - uncertainty;
        // The fence is set in steps of 0.005 and the blade leaves 0.012 more: 1.490 makes 1.502.
        let posts = HeldNormal::of(&self.shop, "cabinet saw", thousandths(2), by);
        let rails = HeldNormal::of(&self.shop, "stop saw", 0.0, by);
        let mut key = [0; 32];
        key[..8].copy_from_slice(&SEED.to_le_bytes());
        let mut rng = ChaCha8Rng::from_seed(key);
        let mut part = || (rng.next_u64() >> 11) as f64 / 9_007_199_254_740_992.0;
        let mut fitted = 0;
        for _ in 0..TRIALS {
            let post = thousandths(1500) + posts.at(part());
            let (first, second) = (1.0 - part(), part());
            let normal = (-2.0 * first.ln()).sqrt() * (std::f64::consts::TAU * second).cos();
            let rail = thousandths(13_000) + rails.at(part());
            // One pair of calipers reads both.
            let error = normal * uncertainty / 2.0;
            let together = post + error + rail + error;
            let fits =
                together >= thousandths(14_490) - 10.0 && together <= thousandths(14_510) + 10.0;
            fitted += u32::from(fits);
        }
        fitted
    }

    pub fn by_the_program(&self) -> Duration {
        timed(|| _ = black_box(self.fitted()))
    }

    pub fn in_rust(&self) -> Duration {
        timed(|| _ = black_box(self.fitted_in_rust()))
    }
}

fn nanometres(length: Length) -> f64 {
    length.nanometres() as f64
}

fn thousandths(count: i64) -> f64 {
    nanometres(Length::thousandths(count))
}

/// A normal distribution by the spread of a machine, held within so far either way.
struct HeldNormal {
    about: f64,
    sd: f64,
    within: f64,
    /// The parts of the whole distribution below the ends.
    under: f64,
    upto: f64,
}

impl HeldNormal {
    fn of(shop: &Shop, machine: &str, about: f64, within: f64) -> HeldNormal {
        let sd = nanometres(shop.machines[machine].spread.expect("a known spread"));
        let under = |end: f64| Normal::standard().cdf((end - about) / sd);
        HeldNormal { about, sd, within, under: under(-within), upto: under(within) }
    }

    fn at(&self, part: f64) -> f64 {
        let part = self.under + (self.upto - self.under) * part;
        let off = self.about + self.sd * Normal::standard().inverse_cdf(part);
        off.clamp(-self.within, self.within)
    }
}

/// A journal of so many lines: a batch of stools whose readings recur, each time on
/// another day.
pub struct Journal {
    route: Route,
    shop: Shop,
    lines: Vec<JournalLine>,
}

impl Journal {
    pub fn of(count: u64) -> Journal {
        let (route, mut lines) = invented(16);
        let read: Vec<JournalLine> =
            lines.iter().filter(|line| matches!(line.event, Event::Reading(_))).cloned().collect();
        let mut again = read.iter().cycle().zip(0..);
        while (lines.len() as u64) < count
            && let Some((line, place)) = again.next()
        {
            let n = lines.len() as u64 + 1;
            let days = chrono::Duration::days(1 + place / read.len() as i64);
            lines.push(JournalLine {
                n,
                after: n,
                at: line.at + days,
                answer: None,
                ..line.clone()
            });
        }
        Journal { route, shop: the_shop(), lines }
    }

    pub fn review(&self) -> Duration {
        timed(|| review(&self.route, &self.shop, &self.lines))
    }
}

/// Everything that the review of a batch looks at.
fn review(route: &Route, shop: &Shop, lines: &[JournalLine]) {
    let state = State::fold(lines);
    let plan = walk(route, shop, &state.known());
    black_box(findings(route, shop, &state));
    black_box(wood_used(route, shop, &plan, &state));
    black_box((lead_words(lines, &state), voided_out(lines, &state)));
    black_box(read_twice(&state));
}

/// The same journal as a file.
pub struct JournalFile {
    _place: tempfile::TempDir,
    home: Home,
    route: Route,
    shop: Shop,
}

impl JournalFile {
    pub fn of(count: u64) -> JournalFile {
        let place = tempfile::tempdir().expect("a folder");
        let home = Home::locate(Some(place.path().to_owned())).expect("a folder was named");
        let Journal { route, shop, lines } = Journal::of(count);
        let text = route::bundled("reading-stool").expect("a bundled route").text;
        OpenBatch::invented(&home, STOOLS, (text, SHOP), "the bench", lines)
            .unwrap_or_else(|why| panic!("{why}"));
        JournalFile { _place: place, home, route, shop }
    }

    /// From the file to all that the review of a batch looks at.
    pub fn review(&self) -> Duration {
        timed(|| {
            let folder = BatchFolder::open(&self.home, STOOLS).expect("it was written");
            let entries = folder.journal().expect("readable").entries;
            review(&self.route, &self.shop, &entries);
        })
    }

    /// Every line read as a value, and its checksum worked out: the least that whoever
    /// reads it must do.
    pub fn plain_parse(&self) -> Duration {
        let path = self.home.path().join(STOOLS).join(format!("{STATION}.jsonl"));
        timed(|| {
            let text = std::fs::read_to_string(&path).expect("readable");
            for line in text.lines() {
                let end = line.rfind(CHECKSUM).expect("each line has a checksum");
                let checksum = format!("{:08x}", crc32fast::hash(&line.as_bytes()[..end]));
                assert!(line[end + CHECKSUM.len()..].starts_with(&checksum), "{line}");
                black_box(serde_json::from_str::<serde_json::Value>(line).expect("JSON"));
            }
        })
    }
}
