//! Everything that looking back on a batch shows, gathered once for whoever shows it: a
//! command, a page on paper.

use super::findings::{CheckDiagnosis, Findings, findings};
use super::follow_up_questions::follow_up_questions;
use super::lead_words::{LeadWord, VoidedReading, lead_words, voided_out};
use super::read_twice::{ReadTwice, read_twice};
use super::wood::{WoodUsed, wood_used};
use crate::journal::{BatchSeal, JournalLine, State, short_form};
use crate::plan::{Plan, walk};
use crate::prose::counted;
use crate::route::Route;
use crate::shop::Shop;
use crate::work::WorkContext;

/// A batch in review.
#[derive(Clone, Debug)]
pub struct BatchReview<'a> {
    /// Its name.
    pub batch: &'a str,
    /// Its route.
    pub route: &'a Route,
    /// The shop it is made in.
    pub shop: &'a Shop,
    /// What its journal folds to.
    pub state: &'a State,
    /// What went out, and why.
    pub found: Findings,
    /// Follow-up questions for each check, in the order of the checks.
    pub asked: Vec<Vec<String>>,
    /// Where the wood went.
    pub wood: Vec<WoodUsed>,
    /// What leads answered for.
    pub words: Vec<LeadWord<'a>>,
    /// Readings that were out of limits and count no more.
    pub voided: Vec<VoidedReading<'a>>,
    /// Pieces that two stations read at once.
    pub twice: Vec<ReadTwice<'a>>,
    /// Every seal.
    pub seals: Vec<CheckedSeal<'a>>,
}

/// A seal, and the stations whose sealed lines aren't as they were.
#[derive(Clone, Debug)]
pub struct CheckedSeal<'a> {
    /// The seal.
    pub seal: &'a BatchSeal,
    /// The stations.
    pub changed: Vec<String>,
}

impl<'a> BatchReview<'a> {
    /// Reads the whole journal. `changed` compares a seal with the files.
    pub fn of(
        batch: &'a str,
        (route, shop): (&'a Route, &'a Shop),
        state: &'a State,
        lines: &'a [JournalLine],
        changed: impl Fn(&BatchSeal) -> Vec<String>,
    ) -> BatchReview<'a> {
        let plan = walk(route, shop, &state.known());
        let found = findings(route, shop, state);
        let asked = found.checks.iter().map(|check| asked(check, (route, shop), &plan, state));
        let seals = state.seals.iter();
        BatchReview {
            batch,
            route,
            shop,
            state,
            asked: asked.collect(),
            wood: wood_used(route, shop, &plan, state),
            words: lead_words(lines, state),
            voided: voided_out(lines, state),
            twice: read_twice(state),
            seals: seals.map(|seal| CheckedSeal { seal, changed: changed(seal) }).collect(),
            found,
        }
    }

    /// The questions about the likely cause of one of its checks.
    pub fn asked_of(&self, check: &CheckDiagnosis) -> &[String] {
        let mut numbered = self.found.checks.iter().zip(&self.asked);
        let own = numbered.find(|(held, _)| std::ptr::eq(*held, check));
        own.map_or(&[], |(_, asked)| asked)
    }

    /// How much there is of it: `invented; 4 stools, 265 readings, 24 out`.
    pub fn amount_words(&self) -> String {
        format!(
            "{}{}, {}, {} out",
            if self.state.invented { "invented; " } else { "" },
            self.route.article.counted(self.state.sets),
            counted(self.found.readings, "reading"),
            self.found.out.len()
        )
    }

    /// Said where there is nothing the lead should look at.
    pub fn quiet_words(&self) -> String {
        if self.found.readings == 0 {
            return "Nothing has been measured yet.".to_owned();
        }
        let which = if self.voided.is_empty() { "" } else { " that count" };
        format!("All readings{which} are within limits, and they show no disturbance.")
    }

    /// Whether lines that were sealed have changed since.
    pub fn is_changed_since_a_seal(&self) -> bool {
        self.seals.iter().any(|seal| !seal.changed.is_empty())
    }
}

impl CheckedSeal<'_> {
    /// `MB, 25 Nov 2026 16:10, 3F2A 91C0 77B4 0E5D: nothing that was sealed has changed`.
    pub fn words(&self) -> String {
        let CheckedSeal { seal, changed } = self;
        let stands = if changed.is_empty() {
            "nothing that was sealed has changed".to_owned()
        } else {
            let files: Vec<String> =
                changed.iter().map(|station| format!("{station}.jsonl")).collect();
            format!("CHANGED SINCE: {}", files.join(", "))
        };
        let at = seal.at.format("%e %b %Y %H:%M").to_string();
        format!("{}, {}, {}: {stands}", seal.by, at.trim_start(), short_form(&seal.stations))
    }
}

fn asked(
    check: &CheckDiagnosis,
    (route, shop): (&Route, &Shop),
    plan: &Plan,
    state: &State,
) -> Vec<String> {
    let Some(point) = check.series.points.first() else { return Vec::new() };
    let context = WorkContext {
        route,
        shop,
        plan,
        state,
        station: "",
        who: None,
        now: point.at,
        bell: None,
        on_paper: None,
        op: check.series.op,
    };
    follow_up_questions(check, &context)
}
