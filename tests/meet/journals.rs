//! Journals that no traveler would write but every reader must read alike: three stations
//! that see each other's lines late, and void and restore whatever there is.

use benchway::journal::{JournalLine, encode, merge};
use chrono::{DateTime, FixedOffset};
use serde_json::{Value, json};

use super::database::Database;
use super::raw::{Raw, quoted};

pub const STATIONS: [&str; 3] = ["Planer", "saw", "z-bench"];

const WHO: [&str; 3] = ["MB", "TK", "JO"];

/// Random numbers of a test (a multiplicative congruential generator, constants of Knuth's
/// MMIX, from memory).
pub struct Draws(pub u64);

impl Draws {
    pub fn below(&mut self, limit: usize) -> usize {
        self.0 = self.0.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        ((self.0 >> 33) % limit as u64) as usize
    }

    fn one<'a, T>(&mut self, of: &'a [T]) -> &'a T {
        &of[self.below(of.len())]
    }
}

/// A journal that grows, line by line.
pub struct Journal {
    pub lines: Vec<JournalLine>,
    draws: Draws,
    /// The highest `after` that each station has seen.
    seen: [u64; 3],
    last: [u64; 3],
    /// Pieces each station knows.
    pieces: [Vec<String>; 3],
    made: u32,
    at: DateTime<FixedOffset>,
    /// Lines that can be named.
    written: Vec<(&'static str, u64)>,
}

impl Journal {
    /// A journal of so many answers.
    pub fn random(seed: u64, answers: usize, at: DateTime<FixedOffset>) -> Journal {
        let mut journal = Journal {
            lines: Vec::new(),
            draws: Draws(seed),
            seen: [0; 3],
            last: [0; 3],
            pieces: Default::default(),
            made: 0,
            at,
            written: Vec::new(),
        };
        let born: Vec<Value> = (0..9).map(|_| journal.born(0)).collect();
        journal.write(
            0,
            vec![json!({"started": {"batch": "trays", "route": "Tray", "sets": 2,
            "born": born}})],
        );
        for pieces in 1..3 {
            journal.pieces[pieces] = journal.pieces[0].clone();
        }
        journal.seen = [1; 3];
        for _ in 0..answers {
            let station = journal.draws.below(3);
            let count = *journal.draws.one(&[1, 1, 1, 2, 3]);
            let events = (0..count).map(|_| journal.event(station)).collect();
            journal.write(station, events);
        }
        journal.lines = merge(vec![std::mem::take(&mut journal.lines)]);
        journal
    }

    fn write(&mut self, station: usize, events: Vec<Value>) {
        self.at += chrono::Duration::milliseconds(1_500);
        let highest = self.lines.iter().map(|line| line.after).max().unwrap_or(0);
        if self.draws.below(2) == 0 {
            self.seen[station] = highest;
        }
        let first = self.last[station] + 1;
        let count = events.len();
        for event in events {
            self.last[station] += 1;
            self.seen[station] += 1;
            let mut line = json!({
                "n": self.last[station],
                "after": self.seen[station],
                "at": self.at.to_rfc3339(),
                "station": STATIONS[station],
                "who": WHO[station],
                "event": event,
            });
            if count > 1 {
                line["answer"] = json!({"first": first, "count": count});
            }
            let line: JournalLine = serde_json::from_value(line).expect("a line");
            self.written.push((STATIONS[station], line.n));
            self.lines.push(line);
        }
    }

    fn label(&mut self) -> Value {
        let role = *self.draws.one(&["set", "set", "set", "spare", "setup", "blank"]);
        let set = if role == "blank" { None } else { Some(1 + self.draws.below(3)) };
        let part = *self.draws.one(&["leg", "rail"]);
        let (number, make) = (1 + self.draws.below(9), 1 + self.draws.below(4));
        json!({"part": part, "number": number, "role": role, "set": set, "hand": null,
            "make": make})
    }

    fn born(&mut self, station: usize) -> Value {
        self.made += 1;
        let id = format!("{}-{}", STATIONS[station], self.made);
        self.pieces[station].push(id.clone());
        json!({"id": id, "label": self.label(), "gang": 1 + self.draws.below(2)})
    }

    fn reading(&mut self, op: usize, piece: &str) -> Value {
        // Sizes about the limits, of a gauge that leaves some too close to call.
        let size = 25_000_000 + 10_000 * self.draws.below(60) as i64 - 300_000;
        let says = match self.draws.below(8) {
            0 => json!("in"),
            1 => json!("too-big"),
            2 => json!("too-small"),
            _ => json!({"size": size}),
        };
        let low = [None, Some(24_900_000)][self.draws.below(2)];
        let high = [None, Some(25_100_000)][self.draws.below(2)];
        json!({"reading": {"op": op, "piece": piece, "feature": "thickness", "says": says,
            "typed": "25\u{2008}½ \\ \"", "gauge": "calipers", "uncertainty": 30_000,
            "target": null, "low": low, "high": high, "safe": "big"}})
    }

    fn event(&mut self, station: usize) -> Value {
        let op = 10 * (1 + self.draws.below(4));
        let piece = self.pieces[station][self.draws.below(self.pieces[station].len())].clone();
        let (named, n) = self.written[self.draws.below(self.written.len())];
        let named = json!({"station": named, "n": n});
        let flag = self.draws.below(2) == 0;
        let decisions = ["accept", "rework", "use-elsewhere", "remake", "set-aside"];
        let decision = *self.draws.one(&decisions);
        match self.draws.below(22) {
            0..=3 => self.reading(op, &piece),
            4..=6 => json!({"done": {"op": op, "pieces": [piece], "pass": null, "through": flag,
                "tool": null, "settings": [], "by_reading": self.draws.below(2) == 0}}),
            7 | 8 => json!({"decided": {"op": op, "piece": piece, "why": "a crack",
                "decision": decision}}),
            9 => json!({"setting": {"op": op, "stored": {"setting": "stop", "target": 254_000_000,
                "dial": 255_587_500}, "pieces": [], "tool": null, "shown": 255_000_000 + n,
                "typed": "10 1/16", "right": flag, "used": []}}),
            10 | 11 => json!({"taken-back": {"what": named}}),
            12 => json!({"restored": {"what": named}}),
            13 => json!({"split": {"op": op, "from": piece,
                "into": [self.born(station), self.born(station)]}}),
            14 => json!({"labelled": {"piece": piece, "label": self.label(), "joins": op}}),
            15 => json!({"remade": {"of": piece, "born": self.born(station)}}),
            16 => json!({"owner-left": {"article": 1 + self.draws.below(3), "by": "MB",
                "why": "moved away", "spares": flag}}),
            17 => json!({"joined": {"article": 3, "born": [self.born(station)]}}),
            18 => json!({"gate-opened": {"op": op, "by": "MB", "why": "the glue is dry"}}),
            19 => json!({"closed": {"op": op, "done": 1, "aside": 0, "by_answer": flag}}),
            20 => json!({"first-piece": {"op": op, "piece": piece}}),
            _ => json!({"chosen": {"article": 1, "wood": "ash", "born": [self.born(station)]}}),
        }
    }
}

/// Sends lines as their stations do; the batch is there.
pub fn send(database: &Database, (shop, batch): (&str, &str), lines: &[JournalLine]) {
    let mut stations: Vec<&str> = lines.iter().map(|line| line.station.as_str()).collect();
    stations.sort();
    stations.dedup();
    for station in stations {
        let raw = Raw::connect(database, &database.login(station)).expect("a member");
        let own = lines.iter().filter(|line| line.station == station);
        let value = |line: &JournalLine| {
            let text = quoted(encode(line).trim_end());
            format!("('{shop}', '{batch}', {}, {}, {text})", quoted(station), line.n)
        };
        let values: Vec<String> = own.map(value).collect();
        raw.done(&format!(
            "insert into benchway.line (shop, batch, station, n, line) values {}",
            values.join(", ")
        ));
    }
}

/// Has a member begin a batch.
pub fn begin(raw: &Raw, (shop, batch): (&str, &str), name: &str, by: &str, waits: bool) {
    raw.done(&format!(
        "insert into benchway.batch (shop, id, name, begun_by, route, shop_file, waits)
         values ('{shop}', '{batch}', {}, {}, '{{}}', '{{}}', {waits})",
        quoted(name),
        quoted(by)
    ));
}
