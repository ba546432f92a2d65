//! Sets of places, compared with a look at each piece of an operation.

use std::collections::BTreeMap;

use chrono::{DateTime, Duration, FixedOffset};
use proptest::prelude::*;

use super::*;
use crate::document::Document;
use crate::journal::{Event, JournalLine, State, initial_pieces};
use crate::measure::Unit;
use crate::plan::{Known, Plan, walk};
use crate::route::{self, Role, Route};
use crate::shop::{self, Shop};
use crate::work::{choices, handle_input, next_op, open_gate, task, void};

/// Looks at every piece of an operation by itself.
fn is_what_each_piece_says(context: &WorkContext<'_>) -> usize {
    let Some(sequence) = Sequence::of(context) else { return 0 };
    let order = &sequence.order;
    let pieces = context.pieces();
    let places = |pieces: &[&Piece]| -> Vec<usize> { pieces.iter().map(|p| p.place).collect() };
    let counts = |piece: &&&Piece| piece.label.role != Role::Setup;
    let counted: Vec<&Piece> = pieces.iter().filter(counts).copied().collect();
    let in_work: Vec<&Piece> =
        pieces.iter().filter(|piece| piece.aside.is_none()).copied().collect();
    assert_eq!(places(&order.in_work().collect::<Vec<_>>()), places(&in_work));
    assert_eq!(order.count, counted.len());
    for (at, piece) in counted.iter().enumerate() {
        assert_eq!((order.at(piece), context.place(piece)), (Some(at + 1), at + 1));
    }
    let still: Vec<&Piece> = in_work.iter().filter(counts).copied().collect();
    let ends = [still.first(), still.last(), counted.first(), counted.last()];
    for every in [None, Some(1), Some(3), Some(5), Some(40)] {
        let regular = every.map(|every| counted.iter().step_by(every));
        let wanted = regular.into_iter().flatten().chain(ends.into_iter().flatten());
        let wanted: BitSet = wanted.map(|piece| piece.place).collect();
        assert_eq!(order.one_in(every), wanted, "1 in {every:?}");
    }
    let through = context.state.through(context.op);
    let not_through: Vec<&Piece> =
        in_work.iter().filter(|piece| !through.has(piece)).copied().collect();
    assert_eq!(places(&order.not_through(through).collect::<Vec<_>>()), places(&not_through));
    let at_a_glance = |piece: &&&Piece| {
        let is_apart = piece.label.role == Role::Setup || piece.joins.is_some();
        // The ends, and the next piece where it is watched, are never passed over.
        let is_named = ends.into_iter().flatten().chain(&sequence.watched);
        let is_named = is_named.into_iter().any(|held| held.place == piece.place);
        !is_apart && !is_named && sequence.has_nothing_open(piece)
    };
    for piece in in_work.iter().filter(at_a_glance) {
        assert!(sequence.measured().contains(piece.place), "{piece:?}");
    }
    let passed = in_work.iter().filter(|piece| sequence.passed_by().contains(piece.place));
    for piece in passed.clone() {
        assert!(through.has(piece) && sequence.has_nothing_open(piece), "{piece:?}");
        assert!(sequence.settled(piece) && sequence.reading_task(piece).is_none());
    }
    passed.count()
}

/// A batch that is walked for a test, with whoever walks it.
struct Walk<'a> {
    route: &'a Route,
    shop: &'a Shop,
    plan: Plan,
    lines: Vec<JournalLine>,
    state: State,
    now: DateTime<FixedOffset>,
}

impl Walk<'_> {
    fn context(&self, op: u32) -> WorkContext<'_> {
        WorkContext {
            route: self.route,
            shop: self.shop,
            plan: &self.plan,
            state: &self.state,
            station: "cart",
            who: Some("MB"),
            now: self.now,
            bell: None,
            on_paper: None,
            op,
        }
    }

    fn write(&mut self, events: Vec<Event>) {
        let tells = events.iter().any(|event| self.state.tells_the_plan(event));
        for event in events {
            let n = self.lines.len() as u64 + 1;
            self.lines.push(JournalLine {
                n,
                after: n,
                at: self.now,
                station: "cart".to_owned(),
                who: Some("MB".to_owned()),
                answer: None,
                seen: BTreeMap::new(),
                begun: None,
                event,
            });
            let order = self.lines.len() - 1;
            if !self.state.take_in(&self.lines[order], order) {
                self.state = State::fold(&self.lines);
            }
        }
        if tells {
            self.plan = walk(self.route, self.shop, &self.state.known());
        }
    }

    /// One answer: by chance a bad reading, a decision, or an answer undone.
    fn answer(&mut self, op: u32, luck: u8) {
        self.now += Duration::minutes(1);
        let context = self.context(op);
        let asked = task(&context);
        let undone = if luck % 16 == 15 { void(&context).ok() } else { None };
        let typed = match &asked {
            Task::Set(set) => set.readout.shown(set.dial.0),
            Task::Zero { .. } => "1".to_owned(),
            Task::Read { piece, check, .. } => {
                let target = context.limits(piece, *check).and_then(|held| held.target);
                let off = Length::thousandths(if luck < 60 { i64::from(luck) - 30 } else { 0 });
                let number = (target.unwrap_or_default() + off).abs().decimal(Unit::Inch, 4);
                let gauge = context
                    .planned()
                    .and_then(|planned| context.gauge(&planned.checks[*check])?.entry());
                if gauge.is_some() { number } else { "i".to_owned() }
            }
            Task::Decide { .. } => {
                let open = choices(&context, &asked);
                format!("{} mb so be it", open[usize::from(luck) % open.len()].key())
            }
            Task::Cut { .. } => "1".to_owned(),
            Task::Accept(proposal) if proposal.keeps.len() > 1 => "1 mb".to_owned(),
            Task::Accept(_) => "mb".to_owned(),
            _ => String::new(),
        };
        let events = match (undone, &asked) {
            (Some(undone), _) => vec![undone],
            (None, Task::Blocked { .. }) => {
                open_gate(&context, &asked, "mb go on").expect("the lead may open it")
            }
            // What isn't taken is accepted by the lead.
            (None, _) => handle_input(&context, &asked, &typed)
                .or_else(|_| handle_input(&context, &asked, "a mb so be it"))
                .unwrap_or_else(|why| panic!("{asked:?}: {typed}: {why:?}")),
        };
        self.write(events);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(8))]

    /// Always: What sets of places say of an operation is what each of its pieces says.
    ///
    /// In a bad shop people cut again, set aside and undo; spares step in.
    #[test]
    fn sets_of_places_say_what_each_piece_says(
        luck in prop::collection::vec(any::<u8>(), 300)
    ) {
        let document = |text| Document::read("file.json", text).expect("JSON");
        let route = document(route::bundled("reading-stool").expect("a bundled route").text);
        let mut route = route::read(&route).unwrap_or_else(|_| panic!("a sound route")).0;
        route.make_sets(9).expect("a batch of that size");
        let shop = shop::read(&document(shop::BUNDLED)).unwrap_or_else(|_| panic!("sound"));
        let now = "2026-11-25T08:00:00+01:00".parse().expect("a time");
        let (plan, lines) = (walk(&route, &shop, &Known::default()), Vec::new());
        let mut walked =
            Walk { route: &route, shop: &shop, plan, lines, state: State::default(), now };
        let pieces = initial_pieces(&route, &walked.plan, "cart");
        let (batch, name) = ("stools".to_owned(), route.name.clone());
        walked.write(vec![Event::Started { id: None, batch, route: name, sets: route.sets, pieces }]);
        let mut passed = 0;
        for luck in luck.into_iter().cycle().take(600) {
            let Some(op) = next_op(&route, &walked.state, "cart") else { break };
            walked.answer(op, luck);
            passed += is_what_each_piece_says(&walked.context(op));
        }
        for planned in &walked.plan.operations {
            is_what_each_piece_says(&walked.context(planned.op));
        }
        prop_assert!(passed > 100, "{}", passed);
    }
}
