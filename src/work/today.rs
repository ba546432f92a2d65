//! Today in the whole shop, over all batches under way: what can start at each machine
//! and how long it takes, who may and who is there, what is waited for, and where the
//! pieces of each article are.

use chrono::{DateTime, FixedOffset, NaiveTime, TimeDelta};

use super::context::WorkContext;
use super::gate::running_waits;
use super::ready::{NextOperation, next_operations};
use super::today_articles::{BatchToday, batch_today};
use super::today_people::{Presence, PresenceStanding, here, machine_of, presences};
use super::today_settings::{OneSetting, one_settings};
use super::today_times::{Estimate, estimate};
use crate::journal::{FreeStations, Snapshot};
use crate::operation::OperationKind;
use crate::plan::hours::BEFORE_THE_BELL;

/// Everything there is to do today.
#[derive(Clone, Debug, PartialEq)]
pub struct Today {
    /// The time it is told for.
    pub now: DateTime<FixedOffset>,
    /// When the bell rings next today.
    pub bell: Option<DateTime<FixedOffset>>,
    /// The machines with something to do or somebody at them, by name; what is done at
    /// none comes last.
    pub machines: Vec<MachineToday>,
    /// Who is there and at no machine.
    pub elsewhere: Vec<Presence>,
    /// Who was there today and left.
    pub left: Vec<Presence>,
    /// What is waited for, what ends first first.
    pub waits: Vec<WaitToday>,
    /// The batches that aren't finished, by name.
    pub batches: Vec<BatchToday>,
}

/// One machine.
#[derive(Clone, Debug, PartialEq)]
pub struct MachineToday {
    /// The machine; none for what needs none.
    pub at: Option<String>,
    /// Who works at it, and who went from it without leaving.
    pub people: Vec<Presence>,
    /// What is next at it: what is begun, then what can start with the longest waits ahead
    /// first, then what has to wait.
    pub work: Vec<WorkToday>,
    /// The settings that serve several of these.
    pub settings: Vec<OneSetting>,
}

/// The next operation of a part of a batch.
#[derive(Clone, Debug, PartialEq)]
pub struct WorkToday {
    /// The batch.
    pub batch: String,
    /// The number of the operation.
    pub op: u32,
    /// The kind of operation.
    pub kind: &'static OperationKind,
    /// The part.
    pub part: String,
    /// Whether it can be done now.
    pub standing: WorkStanding,
    /// How many pieces still go through it.
    pub to_go: usize,
    /// How long that takes.
    pub estimate: Estimate,
    /// Whether it ends in time before the bell to clean up; none where no bell rings.
    pub by_the_bell: Option<bool>,
    /// Who may do it; empty where anybody may.
    pub may: Vec<SignedOff>,
    /// Minutes of waiting ahead of this part.
    pub waiting: u64,
}

/// Whether an operation can be done now.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum WorkStanding {
    /// It is begun.
    Begun,
    /// It can start.
    Ready,
    /// It can't, and why.
    Waits(Vec<String>),
}

/// Somebody who may work at a machine.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SignedOff {
    /// The initials.
    pub who: String,
    /// Whether they are in the shop now.
    pub is_here: bool,
}

/// Something waited for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WaitToday {
    /// The batch.
    pub batch: String,
    /// The operation that is waited for.
    pub op: u32,
    /// What is waited for, in words.
    pub what: String,
    /// Until when.
    pub until: DateTime<FixedOffset>,
}

/// What is to be done in the batches under way, in a shop whose bell rings at these times
/// of day. Nobody has the free stations open.
pub fn today(
    batches: &[Snapshot],
    free: &FreeStations,
    bells: &[NaiveTime],
    now: DateTime<FixedOffset>,
) -> Today {
    let bell = next_bell(bells, now);
    let (left, people): (Vec<Presence>, Vec<Presence>) = presences(batches, free, now)
        .into_iter()
        .partition(|present| matches!(present.standing, PresenceStanding::Left(_)));
    let settings = one_settings(batches, now);
    let mut work: Vec<(Option<String>, WorkToday)> = Vec::new();
    for batch in batches {
        let context = batch.context(0, None, now);
        for next in next_operations(&context) {
            work.push((next.at.clone(), work_today(batches, batch, next, (bell, &people, now))));
        }
    }
    let at_work = people.iter().filter_map(|present| machine_of(batches, present));
    let mut names: Vec<Option<String>> = work.iter().map(|(at, _)| at.clone()).collect();
    names.extend(at_work.map(|at| Some(at.to_owned())));
    // What needs no machine comes last.
    names.sort_by(|a, b| a.is_none().cmp(&b.is_none()).then(a.cmp(b)));
    names.dedup();
    let machines = names.into_iter().map(|at| {
        let is_here =
            |present: &&Presence| at.is_some() && machine_of(batches, present) == at.as_deref();
        let own = work.iter().filter(|(held, _)| *held == at).map(|(_, work)| work.clone());
        let mut own: Vec<WorkToday> = own.collect();
        own.sort_by_key(|work| (work.standing.rank(), std::cmp::Reverse(work.waiting)));
        let shared = settings.iter().filter(|held| Some(&held.at) == at.as_ref());
        MachineToday {
            people: people.iter().filter(is_here).cloned().collect(),
            work: own,
            settings: shared.cloned().collect(),
            at,
        }
    });
    let machines = machines.collect();
    let elsewhere = people.iter().filter(|held| machine_of(batches, held).is_none());
    Today {
        now,
        bell,
        machines,
        elsewhere: elsewhere.cloned().collect(),
        left,
        waits: waits(batches, now),
        batches: batches.iter().filter_map(batch_today).collect(),
    }
}

impl WorkStanding {
    fn rank(&self) -> u8 {
        match self {
            WorkStanding::Begun => 0,
            WorkStanding::Ready => 1,
            WorkStanding::Waits(_) => 2,
        }
    }
}

/// The next bell of the day.
fn next_bell(bells: &[NaiveTime], now: DateTime<FixedOffset>) -> Option<DateTime<FixedOffset>> {
    let ahead = bells.iter().filter(|bell| **bell > now.time());
    now.with_time(*ahead.min()?).single()
}

fn work_today(
    batches: &[Snapshot],
    batch: &Snapshot,
    next: NextOperation,
    (bell, people, now): (Option<DateTime<FixedOffset>>, &[Presence], DateTime<FixedOffset>),
) -> WorkToday {
    let context = batch.context(next.op, None, now);
    let estimate = estimate(batches, &context, next.to_go);
    let may = may(&context, next.at.as_deref(), people);
    let mut reasons = next.reasons;
    if let Some(at) = next.at.filter(|_| may.is_empty() && !batch.shop.people.is_empty()) {
        reasons.push(format!("nobody is signed off on the {at}"));
    }
    let begun = context.setup().is_some_and(|setup| setup.begun.is_some());
    let standing = match (reasons.is_empty(), begun) {
        (false, _) => WorkStanding::Waits(reasons),
        (true, true) => WorkStanding::Begun,
        (true, false) => WorkStanding::Ready,
    };
    WorkToday {
        batch: batch.name.clone(),
        op: next.op,
        kind: next.kind,
        part: next.part,
        standing,
        to_go: next.to_go,
        by_the_bell: bell.map(|bell| ends_before(bell, now, estimate.minutes)),
        estimate,
        may,
        waiting: next.waiting,
    }
}

/// Whether so many minutes of work leave time to clean up before the bell.
fn ends_before(bell: DateTime<FixedOffset>, now: DateTime<FixedOffset>, minutes: u64) -> bool {
    let needed = BEFORE_THE_BELL.as_secs().saturating_add(minutes.saturating_mul(60));
    i64::try_from(needed).is_ok_and(|needed| bell - now >= TimeDelta::seconds(needed))
}

/// Who may work at a machine, those first who are here.
fn may(context: &WorkContext<'_>, at: Option<&str>, people: &[Presence]) -> Vec<SignedOff> {
    let Some(at) = at else { return Vec::new() };
    let named = context.shop.people.keys().filter(|who| context.is_signed_off(who, at));
    let signed = named.map(|who| SignedOff { who: who.clone(), is_here: here(people, who) });
    let mut signed: Vec<SignedOff> = signed.collect();
    signed.sort_by_key(|held| !held.is_here);
    signed
}

fn waits(batches: &[Snapshot], now: DateTime<FixedOffset>) -> Vec<WaitToday> {
    let of_batch = |batch: &Snapshot| -> Vec<WaitToday> {
        let context = batch.context(0, None, now);
        let wait = running_waits(&context).map(|wait| WaitToday {
            batch: batch.name.clone(),
            op: wait.op,
            what: wait.what.clone(),
            until: wait.until,
        });
        wait.collect()
    };
    let mut waits: Vec<WaitToday> = batches.iter().flat_map(of_batch).collect();
    waits.sort_by_key(|wait| wait.until);
    waits
}
