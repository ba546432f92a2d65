//! Today for programs: stable keys, times with their zone.

use std::io::{self, Write};

use serde::Serialize;

use crate::cli::page::json;
use crate::journal::UnreadBatch;
use crate::work::{
    ArticleStanding, ArticleToday, BatchToday, EstimateBasis, MachineToday, OneSetting, Presence,
    PresenceStanding, SettingUse, Today, WorkStanding, WorkToday,
};

pub(super) fn print(today: &Today, unread: &[UnreadBatch], out: &mut dyn Write) -> io::Result<()> {
    json(&TodayAnswer::of(today, unread), out)
}

#[derive(Serialize)]
struct TodayAnswer<'a> {
    now: String,
    bell: Option<String>,
    machines: Vec<MachineAnswer<'a>>,
    elsewhere: Vec<PresenceAnswer<'a>>,
    left: Vec<PresenceAnswer<'a>>,
    waits: Vec<WaitAnswer<'a>>,
    batches: Vec<BatchAnswer<'a>>,
    unread: Vec<UnreadAnswer<'a>>,
}

#[derive(Serialize)]
struct MachineAnswer<'a> {
    at: Option<&'a str>,
    people: Vec<PresenceAnswer<'a>>,
    work: Vec<WorkAnswer<'a>>,
    settings: Vec<OneSettingAnswer<'a>>,
}

#[derive(Serialize)]
struct PresenceAnswer<'a> {
    who: &'a str,
    station: &'a str,
    batch: &'a str,
    op: Option<u32>,
    since: String,
    wrote: String,
    standing: &'static str,
    left_at: Option<String>,
}

#[derive(Serialize)]
struct WorkAnswer<'a> {
    batch: &'a str,
    op: u32,
    #[serde(rename = "do")]
    kind: &'static str,
    part: &'a str,
    standing: &'static str,
    why: &'a [String],
    to_go: usize,
    minutes: u64,
    minutes_by: &'static str,
    timed: usize,
    by_the_bell: Option<bool>,
    may: Vec<MayAnswer<'a>>,
    waiting: u64,
}

#[derive(Serialize)]
struct MayAnswer<'a> {
    who: &'a str,
    here: bool,
}

#[derive(Serialize)]
struct OneSettingAnswer<'a> {
    tool: Option<&'a str>,
    shows: Vec<ShowsAnswer<'a>>,
    uses: Vec<UseAnswer<'a>>,
}

#[derive(Serialize)]
struct ShowsAnswer<'a> {
    scale: &'a str,
    dial: &'a str,
}

#[derive(Serialize)]
struct UseAnswer<'a> {
    batch: &'a str,
    op: u32,
    #[serde(rename = "do")]
    kind: &'static str,
    part: &'a str,
    pieces: usize,
    pass: Option<u32>,
    ready: bool,
}

#[derive(Serialize)]
struct WaitAnswer<'a> {
    batch: &'a str,
    op: u32,
    what: &'a str,
    until: String,
}

#[derive(Serialize)]
struct BatchAnswer<'a> {
    batch: &'a str,
    route: &'a str,
    article: &'a str,
    parts: Vec<PartTodayAnswer<'a>>,
    articles: Vec<ArticleAnswer<'a>>,
}

#[derive(Serialize)]
struct PartTodayAnswer<'a> {
    part: &'a str,
    ops: &'a [u32],
}

#[derive(Serialize)]
struct ArticleAnswer<'a> {
    number: u32,
    owner: Option<&'a str>,
    stands: Vec<Vec<Option<&'static str>>>,
}

#[derive(Serialize)]
struct UnreadAnswer<'a> {
    batch: &'a str,
    why: &'a str,
}

impl<'a> TodayAnswer<'a> {
    fn of(today: &'a Today, unread: &'a [UnreadBatch]) -> TodayAnswer<'a> {
        let waits = today.waits.iter().map(|wait| WaitAnswer {
            batch: &wait.batch,
            op: wait.op,
            what: &wait.what,
            until: wait.until.to_rfc3339(),
        });
        TodayAnswer {
            now: today.now.to_rfc3339(),
            bell: today.bell.map(|bell| bell.to_rfc3339()),
            machines: today.machines.iter().map(MachineAnswer::of).collect(),
            elsewhere: today.elsewhere.iter().map(PresenceAnswer::of).collect(),
            left: today.left.iter().map(PresenceAnswer::of).collect(),
            waits: waits.collect(),
            batches: today.batches.iter().map(BatchAnswer::of).collect(),
            unread: unread
                .iter()
                .map(|held| UnreadAnswer { batch: &held.batch, why: &held.why })
                .collect(),
        }
    }
}

impl<'a> MachineAnswer<'a> {
    fn of(machine: &'a MachineToday) -> MachineAnswer<'a> {
        MachineAnswer {
            at: machine.at.as_deref(),
            people: machine.people.iter().map(PresenceAnswer::of).collect(),
            work: machine.work.iter().map(WorkAnswer::of).collect(),
            settings: machine.settings.iter().map(OneSettingAnswer::of).collect(),
        }
    }
}

impl<'a> PresenceAnswer<'a> {
    fn of(present: &'a Presence) -> PresenceAnswer<'a> {
        let (standing, left_at) = match present.standing {
            PresenceStanding::Here => ("here", None),
            PresenceStanding::Vanished => ("vanished", None),
            PresenceStanding::OutOfReach => ("out-of-reach", None),
            PresenceStanding::Left(at) => ("left", Some(at.to_rfc3339())),
        };
        PresenceAnswer {
            who: &present.who,
            station: &present.station,
            batch: &present.batch,
            op: present.op,
            since: present.since.to_rfc3339(),
            wrote: present.wrote.to_rfc3339(),
            standing,
            left_at,
        }
    }
}

impl<'a> WorkAnswer<'a> {
    fn of(work: &'a WorkToday) -> WorkAnswer<'a> {
        let (standing, why): (_, &[String]) = match &work.standing {
            WorkStanding::Begun => ("begun", &[]),
            WorkStanding::Ready => ("ready", &[]),
            WorkStanding::Waits(why) => ("waits", why),
        };
        let (minutes_by, timed) = match work.estimate.by {
            EstimateBasis::Feed => ("feed", 0),
            EstimateBasis::ThisBatch(timed) => ("this-batch", timed),
            EstimateBasis::OtherBatches(timed) => ("other-batches", timed),
            EstimateBasis::Guess => ("guess", 0),
        };
        let may = work.may.iter().map(|held| MayAnswer { who: &held.who, here: held.is_here });
        WorkAnswer {
            batch: &work.batch,
            op: work.op,
            kind: work.kind.name(),
            part: &work.part,
            standing,
            why,
            to_go: work.to_go,
            minutes: work.estimate.minutes,
            minutes_by,
            timed,
            by_the_bell: work.by_the_bell,
            may: may.collect(),
            waiting: work.waiting,
        }
    }
}

impl<'a> OneSettingAnswer<'a> {
    fn of(setting: &'a OneSetting) -> OneSettingAnswer<'a> {
        let shows = setting.shows.iter().map(|(scale, dial)| ShowsAnswer { scale, dial });
        let used = |used: &'a SettingUse| UseAnswer {
            batch: &used.batch,
            op: used.op,
            kind: used.kind.name(),
            part: &used.part,
            pieces: used.pieces,
            pass: used.pass,
            ready: used.is_ready,
        };
        OneSettingAnswer {
            tool: setting.tool.as_deref(),
            shows: shows.collect(),
            uses: setting.uses.iter().map(used).collect(),
        }
    }
}

impl<'a> BatchAnswer<'a> {
    fn of(batch: &'a BatchToday) -> BatchAnswer<'a> {
        let parts =
            batch.parts.iter().map(|part| PartTodayAnswer { part: &part.part, ops: &part.ops });
        let article = |article: &'a ArticleToday| {
            let words = |stands: &Vec<_>| {
                stands.iter().map(|held: &Option<_>| held.map(ArticleStanding::word)).collect()
            };
            ArticleAnswer {
                number: article.number,
                owner: article.owner.as_deref(),
                stands: article.stands.iter().map(words).collect(),
            }
        };
        BatchAnswer {
            batch: &batch.batch,
            route: &batch.route,
            article: &batch.article,
            parts: parts.collect(),
            articles: batch.articles.iter().map(article).collect(),
        }
    }
}
