//! `benchway review`: where a batch went out, at which operation, and why.
//! Knows nothing of how it is found; `review` does.

mod wood;

use std::io::{self, Write};
use std::path::Path;

use clap::Args;
use serde::Serialize;

use self::wood::WoodRow;
use super::page::{counted, fine, json, number, pad, paragraph};
use super::{Ending, Failure, Format};
use crate::document::nearest;
use crate::journal::{BatchFolder, Event, Home, State, read_route, read_shop};
use crate::measure::{Length, Unit};
use crate::operation::decimal;
use crate::plan::walk;
use crate::review::{
    Attribution, CheckDiagnosis, Findings, Out, WoodUsed, attributions, findings,
    follow_up_questions, wood_used, wording,
};
use crate::route::Route;
use crate::series::cause::Diagnosis;
use crate::shop::Shop;
use crate::work::{Again, Stand, Why};

/// Where a batch went out, what each operation added, and why
///
/// Of a batch that began at the rack it also says where the wood went: parts,
/// spares, rejects, trim, edging, kerf and what is kept, which together are
/// what was bought.
///
/// Exit code 1 says that something went out or happened.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  benchway review \"reading-stool 2026-11-25\"
  benchway review \"reading-stool 2026-11-25\" --piece \"rail 3\"
  benchway review \"reading-stool 2026-11-25\" --format json

In JSON lengths are numbers in the route's unit; `added` sums to `miss`;
`read_again` has sizes read on two days with nothing cut in between, and `why`
they differ: same, wood, gauge, hand, can't tell; `wood` has one row for each
wood and class, in its own `unit`, that sums to `bought`.")]
pub struct Review {
    /// The batch
    batch: String,

    /// One piece: the way back of everything measured on it
    #[arg(long, value_name = "NAME")]
    piece: Option<String>,

    #[arg(long, value_enum, default_value = "text")]
    format: Format,
}

impl Review {
    pub fn run(&self, home: Option<&Path>, out: &mut dyn Write) -> Result<Ending, Failure> {
        let home = Home::locate(home.map(Path::to_owned))?;
        let folder = BatchFolder::open(&home, &self.batch)?;
        let spoiled = |_| Failure::Spoiled { batch: self.batch.clone() };
        let route = read_route(&folder.route_json()?).map_err(spoiled)?;
        let shop = read_shop(&folder.shop_json()?).map_err(spoiled)?;
        let everything = folder.read_all::<Event>()?;
        for damage in &everything.damage {
            eprintln!("warning: {damage}");
        }
        let state = State::fold(&everything.entries);
        if let Some(name) = &self.piece {
            let ways = ways_of(&route, &state, name)?;
            return self.piece(&route, &ways, out);
        }
        let findings = findings(&route, &shop, &state);
        let asked = questions(&route, &shop, &state, &findings);
        let wood = wood_used(&route, &shop, &walk(&route, &shop, &state.known()), &state);
        match self.format {
            Format::Json => {
                let report = Report::of(&self.batch, &route, &state, &findings, &asked, &wood);
                json(&report, out)?;
            }
            Format::Text => {
                let mut page = Page { out, route: &route };
                page.whole(&self.batch, &state, &findings, &asked)?;
                if !wood.is_empty() {
                    page.line(0, "")?;
                    page.line(0, "Where the wood went")?;
                }
                for used in &wood {
                    wood::table(page.out, used, route.unit)?;
                }
            }
        }
        Ok(Ending::found(!findings.is_quiet()))
    }

    fn piece(
        &self,
        route: &Route,
        ways: &[Attribution],
        out: &mut dyn Write,
    ) -> Result<Ending, Failure> {
        let is_out = ways.iter().any(|way| way.left_limits().is_some());
        match self.format {
            Format::Json => {
                let ways: Vec<Way<'_>> = ways.iter().map(|way| Way::of(way, route.unit)).collect();
                json(&ways, out)?;
            }
            Format::Text => {
                let mut page = Page { out, route };
                let name = self.piece.as_deref().unwrap_or_default();
                for way in ways {
                    page.way(name, way)?;
                }
            }
        }
        Ok(Ending::found(is_out))
    }
}

/// The way back of everything measured on a piece, as it was measured last.
fn ways_of(route: &Route, state: &State, name: &str) -> Result<Vec<Attribution>, Failure> {
    let named = state.pieces.iter().rev().find(|piece| piece.label.to_string() == name);
    let Some(piece) = named else {
        let names: Vec<String> = state.pieces.iter().map(|p| p.label.to_string()).collect();
        let near = nearest(name, names.iter().map(String::as_str));
        let help = near.map(|near| format!("did you mean `{near}`?"));
        return Err(Failure::NoSuchPiece { name: name.to_owned(), help });
    };
    Ok(attributions(route, state, &piece.id))
}

/// What is asked about each story, in the order of the accounts.
fn questions(route: &Route, shop: &Shop, state: &State, found: &Findings) -> Vec<Vec<String>> {
    let plan = walk(route, shop, &state.known());
    let ask = |account: &CheckDiagnosis| {
        let Some(point) = account.series.points.first() else { return Vec::new() };
        let stand = Stand {
            route,
            shop,
            plan: &plan,
            state,
            station: "",
            who: None,
            now: point.at,
            bell: None,
            op: account.series.op,
        };
        follow_up_questions(account, &stand)
    };
    found.checks.iter().map(ask).collect()
}

struct Page<'a> {
    out: &'a mut dyn Write,
    route: &'a Route,
}

impl Page<'_> {
    fn whole(
        &mut self,
        batch: &str,
        state: &State,
        found: &Findings,
        asked: &[Vec<String>],
    ) -> io::Result<()> {
        let (sets, readings, out) = (state.sets, found.readings, found.out.len());
        self.line(
            0,
            &format!(
                "{batch}: {}{}, {}, {out} out",
                if state.invented { "invented; " } else { "" },
                counted(sets as usize, "set"),
                counted(readings, "reading")
            ),
        )?;
        if found.is_quiet() {
            self.line(0, "")?;
            return self.line(0, "Nothing went out, and nothing happened that readings can show.");
        }
        if !found.out.is_empty() {
            self.line(0, "")?;
            self.line(0, "What went out, in the order it was found")?;
            for told in found.grouped_out() {
                match told.as_slice() {
                    [out] => self.went_out(out)?,
                    several => self.went_out_together(several)?,
                }
            }
        }
        for moved in &found.gauges {
            self.line(0, "")?;
            self.line(0, &wording::gauge_shift_sentence(moved, self.route.unit))?;
        }
        for again in found.moved_repeats() {
            self.line(0, "")?;
            self.line(0, &wording::repeat_sentence(again, self.route))?;
        }
        for account in found.notable() {
            let mut numbered = found.checks.iter().zip(asked);
            let own = numbered.find(|(held, _)| std::ptr::eq(*held, account));
            self.account(account, own.map_or(&[], |(_, asked)| asked))?;
        }
        // One way back is like another where many went out alike.
        let told = found.grouped_out();
        let still: Vec<(&Out, usize)> = told
            .iter()
            .filter_map(|told| {
                let mut still =
                    told.iter().filter(|out| out.is_still_out() && out.attribution.is_some());
                let first = still.next()?;
                Some((*first, still.count()))
            })
            .collect();
        if !still.is_empty() {
            self.line(0, "")?;
            self.line(0, "What each operation added to those still out")?;
        }
        for (out, others) in still {
            if let Some(way) = &out.attribution {
                self.way(&out.name, way)?;
            }
            if others > 0 {
                let others = counted(others, "other");
                self.line(4, &format!("And {others} out alike: --piece NAME shows each."))?;
            }
        }
        Ok(())
    }

    fn went_out(&mut self, out: &Out) -> io::Result<()> {
        let unit = self.route.unit;
        let read = wording::read_and_wanted(out, unit);
        self.line(0, &format!("  op {}  {}: {read}", out.op, out.name))?;
        self.line(10, &wording::limits_and_outcome(out, unit))
    }

    fn went_out_together(&mut self, outs: &[&Out]) -> io::Result<()> {
        let Some(first) = outs.first() else { return Ok(()) };
        let (head, names, became) = wording::grouped(outs, self.route.unit);
        self.line(0, &format!("  op {}  {}: {head}", first.op, first.feature))?;
        self.line(10, &names)?;
        self.line(10, &became)
    }

    fn account(&mut self, account: &CheckDiagnosis, asked: &[String]) -> io::Result<()> {
        let unit = self.route.unit;
        self.line(0, "")?;
        self.line(0, &wording::check_name(&account.series))?;
        self.line(2, &wording::sentence(account, unit))?;
        for question in asked {
            self.line(2, question)?;
        }
        if let Some(next) = wording::next_action(account) {
            self.line(2, next)?;
        }
        if let Some(sure) = wording::how_sure(account) {
            self.line(2, &format!("How sure: {sure}."))?;
        }
        self.line(2, &format!("Measured: {}.", wording::basis(&account.series, unit)))?;
        if let Some(close) = wording::too_close(account) {
            self.line(2, &close)?;
        }
        Ok(())
    }

    fn way(&mut self, name: &str, way: &Attribution) -> io::Result<()> {
        let unit = self.route.unit;
        let miss = wording::miss_text(way.miss, wording::feature_of(self.route, way), unit);
        self.line(0, "")?;
        self.line(2, &format!("{name}, {}: {miss}", way.feature))?;
        let most = way.longest_bar();
        for added in &way.added {
            let mut text = format!("    {}", wording::op_label(self.route, &added.ops));
            pad(&mut text, 24);
            text.push_str(&bar(added.amount, most));
            pad(&mut text, 38);
            text.push_str(&wording::signed(added.amount, unit));
            text.push_str(&format!(" +-{}", decimal(added.uncertainty, unit)));
            pad(&mut text, 54);
            text.push_str(&wording::added_label(way, added));
            writeln!(self.out, "{}", text.trim_end())?;
        }
        if let Some(left) = wording::where_it_left(way) {
            self.line(4, &left)?;
        }
        if let Some(shared) = wording::shared_ops(way) {
            self.line(4, &shared)?;
        }
        Ok(())
    }

    /// Words from a column on, further lines set in as far.
    fn line(&mut self, indent: usize, text: &str) -> io::Result<()> {
        if text.starts_with("  ") {
            return writeln!(self.out, "{text}");
        }
        paragraph(self.out, indent, 0, text)
    }
}

/// A bar to the left of the middle for less, to the right for more.
fn bar(amount: Length, most: Length) -> String {
    const HALF: i64 = 5;
    if most.is_zero() {
        return String::new();
    }
    let cells = (amount.abs().ratio(most) * HALF as f64).round() as usize;
    let half = HALF as usize;
    if amount.is_negative() {
        format!("{}{}|", " ".repeat(half - cells), "#".repeat(cells))
    } else {
        format!("{}|{}", " ".repeat(half), "#".repeat(cells))
    }
}

#[derive(Serialize)]
struct Report<'a> {
    batch: &'a str,
    route: &'a str,
    unit: Unit,
    sets: u32,
    readings: usize,
    out: Vec<OutRow<'a>>,
    checks: Vec<CheckRow<'a>>,
    gauges: Vec<GaugeRow<'a>>,
    read_again: Vec<AgainRow<'a>>,
    wood: Vec<WoodRow>,
}

#[derive(Serialize)]
struct OutRow<'a> {
    op: u32,
    piece: &'a str,
    feature: &'a str,
    value: f64,
    wanted: f64,
    verdict: &'static str,
    became: String,
    way: Option<Way<'a>>,
}

#[derive(Serialize)]
struct CheckRow<'a> {
    op: u32,
    part: &'a str,
    #[serde(rename = "do")]
    kind: &'static str,
    at: Option<&'a str>,
    feature: &'a str,
    pieces: usize,
    readings: Vec<PointRow<'a>>,
    out: usize,
    too_close: usize,
    story: Option<&'static str>,
    sentence: String,
    points_over_nothing: f64,
    runner_up: Option<RunnerRow>,
    explained_by_gauge: bool,
    asked: &'a [String],
    next: Option<&'static str>,
}

#[derive(Serialize)]
struct PointRow<'a> {
    piece: &'a str,
    value: f64,
    wanted: f64,
    uncertainty: f64,
    gauge: &'a str,
    at: String,
}

#[derive(Serialize)]
struct RunnerRow {
    story: &'static str,
    points_behind: f64,
}

#[derive(Serialize)]
struct GaugeRow<'a> {
    gauge: &'a str,
    by: f64,
    ops: &'a [u32],
    sentence: String,
}

#[derive(Serialize)]
struct AgainRow<'a> {
    op: u32,
    before_op: u32,
    part: &'a str,
    feature: &'a str,
    gauge: &'a str,
    pieces: usize,
    was: f64,
    by: f64,
    block: Option<f64>,
    uncertainty: f64,
    why: &'static str,
    points: Option<[f64; 2]>,
    sentence: String,
}

#[derive(Serialize)]
struct Way<'a> {
    feature: &'a str,
    miss: f64,
    measured: Vec<StopRow<'a>>,
    added: Vec<AddedRow<'a>>,
    good_at: Option<u32>,
    out_at: Option<u32>,
}

#[derive(Serialize)]
struct StopRow<'a> {
    op: u32,
    feature: &'a str,
    value: f64,
    wanted: f64,
    uncertainty: f64,
    verdict: &'static str,
}

#[derive(Serialize)]
struct AddedRow<'a> {
    ops: &'a [u32],
    feature: &'a str,
    times: i64,
    rest: bool,
    amount: f64,
    uncertainty: f64,
}

impl<'a> Way<'a> {
    fn of(way: &'a Attribution, unit: Unit) -> Way<'a> {
        let left = way.left_limits();
        Way {
            feature: &way.feature,
            miss: number(way.miss, unit),
            measured: way
                .stages
                .iter()
                .map(|stop| StopRow {
                    op: stop.op,
                    feature: &stop.feature,
                    value: number(stop.value, unit),
                    wanted: number(stop.wanted, unit),
                    uncertainty: number(stop.uncertainty, unit),
                    verdict: stop.verdict.plain(),
                })
                .collect(),
            added: way
                .added
                .iter()
                .map(|added| AddedRow {
                    ops: &added.ops,
                    feature: &added.feature,
                    times: added.times,
                    rest: added.remainder,
                    amount: number(added.amount, unit),
                    uncertainty: number(added.uncertainty, unit),
                })
                .collect(),
            good_at: left.and_then(|(good, _)| good).map(|stop| stop.op),
            out_at: left.map(|(_, out)| out.op),
        }
    }
}

impl<'a> Report<'a> {
    fn of(
        batch: &'a str,
        route: &'a Route,
        state: &State,
        found: &'a Findings,
        asked: &'a [Vec<String>],
        wood: &[WoodUsed],
    ) -> Report<'a> {
        let unit = route.unit;
        Report {
            batch,
            route: &route.name,
            unit,
            sets: state.sets,
            readings: found.readings,
            out: found
                .out
                .iter()
                .map(|out| OutRow {
                    op: out.op,
                    piece: &out.name,
                    feature: &out.feature,
                    value: number(out.value, unit),
                    wanted: number(out.wanted, unit),
                    verdict: out.verdict.plain(),
                    became: wording::outcome(out, unit),
                    way: out.attribution.as_ref().map(|way| Way::of(way, unit)),
                })
                .collect(),
            checks: found
                .checks
                .iter()
                .zip(asked)
                .map(|(account, asked)| check_row(account, asked, unit))
                .collect(),
            gauges: found
                .gauges
                .iter()
                .map(|moved| GaugeRow {
                    gauge: &moved.gauge,
                    by: number(moved.by, unit),
                    ops: &moved.ops,
                    sentence: wording::gauge_shift_sentence(moved, unit),
                })
                .collect(),
            wood: wood.iter().map(|used| WoodRow::of(used, unit)).collect(),
            read_again: found.repeats.iter().map(|again| again_row(again, route)).collect(),
        }
    }
}

fn again_row<'a>(again: &'a Again, route: &Route) -> AgainRow<'a> {
    let species = route.part(&again.part).and_then(|part| part.species.as_deref());
    let tells_of_wood = again.why == Why::Wood;
    let points = again.points(species).filter(|_| tells_of_wood);
    AgainRow {
        op: again.op,
        before_op: again.before_op,
        part: &again.part,
        feature: &again.feature,
        gauge: &again.gauge,
        pieces: again.pieces.len(),
        was: number(again.was, route.unit),
        by: number(again.by, route.unit),
        block: again.block.map(|block| number(block, route.unit)),
        uncertainty: number(again.uncertainty, route.unit),
        why: again.why.word(),
        points: points.map(|(least, most)| [fine(least), fine(most)]),
        sentence: wording::repeat_sentence(again, route),
    }
}

fn check_row<'a>(account: &'a CheckDiagnosis, asked: &'a [String], unit: Unit) -> CheckRow<'a> {
    let series = &account.series;
    let runner = match &account.diagnosis {
        Diagnosis::Found { runner_up, .. } => runner_up.as_ref(),
        Diagnosis::TooFew { .. } => None,
    };
    CheckRow {
        op: series.op,
        part: &series.part,
        kind: series.kind,
        at: series.at.as_deref(),
        feature: &series.feature,
        pieces: series.pieces,
        readings: series
            .points
            .iter()
            .map(|point| PointRow {
                piece: &point.name,
                value: number(point.value, unit),
                wanted: number(point.wanted, unit),
                uncertainty: number(point.uncertainty, unit),
                gauge: &point.gauge,
                at: point.at.to_rfc3339(),
            })
            .collect(),
        out: account.out,
        too_close: account.close,
        story: account.diagnosis.cause().map(wording::cause_name),
        sentence: wording::sentence(account, unit),
        points_over_nothing: tenth(account.strength()),
        runner_up: runner.map(|held| RunnerRow {
            story: wording::cause_name(&held.cause),
            points_behind: tenth(held.behind),
        }),
        explained_by_gauge: account.by_gauge,
        asked,
        next: wording::next_action(account),
    }
}

fn tenth(points: f64) -> f64 {
    (points * 10.0).round() / 10.0
}
