//! The loop: says what is new, asks, reads a line, has it answered.

use std::io::{self, Write};
use std::time::Duration;

use chrono::{DateTime, FixedOffset};

use super::due::Elapsed;
use super::echo::EchoOff;
use super::explained::explained;
use super::lines::{TypedLines, Waited};
use super::news::Before;
use super::phrase::line;
use super::question::question;
use super::said::Said;
use super::typed::TypedLine;
use super::{PlainEnd, PlainStreams, lists, machine};
use crate::prose::{counted, visible};
use crate::tui::app::{App, BOUNCE, MOVED_ON, Notice, Session, Stage};
use crate::tui::clock::now;
use crate::tui::keys::Command;
use crate::tui::launch::LaunchOptions;
use crate::tui::message::{AppMessage, Effect, Unread};
use crate::tui::perform::Performer;
use crate::tui::screen::Screen;
use crate::tui::sentence::refusal_words;
use crate::tui::shop_choice::shop_words;

pub(super) struct Conversation<'a> {
    app: App,
    performer: Performer,
    lines: TypedLines,
    out: &'a mut dyn Write,
    /// Whether a terminal shows what is typed, so that somebody types it.
    shows_typed: bool,
    said: Said,
    /// Up to when everything due was said.
    heard: DateTime<FixedOffset>,
    /// Whether the last line was taken.
    was_refused: bool,
    /// While a PIN is asked for.
    unseen: Option<EchoOff>,
    /// When the question after a line with something in it was put.
    asked_after: Option<DateTime<FixedOffset>>,
    /// Whether another station changed what is asked since the last line: the next one
    /// may have been begun before that was heard.
    moved_on: bool,
}

impl<'a> Conversation<'a> {
    pub(super) fn new(setting: LaunchOptions, streams: PlainStreams<'a>) -> Conversation<'a> {
        let app = App::new(setting.theme);
        let performer = Performer::new(setting);
        let PlainStreams { input, out, shows_typed } = streams;
        Conversation {
            app,
            performer,
            lines: TypedLines::listen(input),
            out,
            shows_typed,
            said: Said::default(),
            heard: now(),
            was_refused: false,
            unseen: None,
            asked_after: None,
            moved_on: false,
        }
    }

    pub(super) fn run(&mut self) -> io::Result<PlainEnd> {
        let first = self.performer.first();
        let is_named = self.performer.is_named();
        if self.perform(first)? {
            return Ok(PlainEnd::Left);
        }
        if is_named
            && self.app.session().is_none()
            && self.app.prompt().is_none()
            && let Some(refusal) = self.app.refusal()
        {
            return Ok(PlainEnd::NotOpened(refusal.what.clone()));
        }
        self.open()?;
        loop {
            self.ask()?;
            let Some(typed) = self.read_past_bounces()? else { return self.ends(is_named) };
            self.was_refused = false;
            if self.answer(&typed)? {
                self.farewell()?;
                return Ok(PlainEnd::Left);
            }
            self.drop_typed_ahead()?;
            self.asked_after = (!typed.is_empty()).then(now);
        }
    }

    /// The next line that somebody meant: at a terminal an empty one right after the
    /// question is a gauge sending Enter twice, and would say that all is done.
    fn read_past_bounces(&mut self) -> io::Result<Option<String>> {
        loop {
            let typed = self.read()?;
            let asked = self.asked_after.take().filter(|_| self.shows_typed);
            let is_bounce = asked.is_some_and(|asked| now() - asked < BOUNCE);
            if !is_bounce || typed.as_ref().is_none_or(|typed| !typed.is_empty()) {
                return Ok(typed);
            }
        }
    }

    /// What is said before the first question.
    fn open(&mut self) -> io::Result<()> {
        let lines = match self.app.stage() {
            Stage::Opening(_) if self.app.prompt().is_none() => self.opening_list(),
            _ => Vec::new(),
        };
        self.put_all(&lines)?;
        if let Some(refusal) = self.app.refusal().map(refusal_words) {
            self.put(&line(&refusal))?;
        }
        self.welcome()?;
        self.news_of_work()
    }

    /// Which batch it is, and what is wrong with it.
    fn welcome(&mut self) -> io::Result<()> {
        let Some(session) = self.app.session() else { return Ok(()) };
        let snapshot = &session.snapshot;
        let mut lines = vec![line(&format!(
            "batch {}, {}, {}",
            snapshot.name,
            snapshot.route.name,
            snapshot.route.article.counted(snapshot.route.sets)
        ))];
        if self.app.is_invented() {
            lines.push("This batch is invented.".to_owned());
        }
        lines.push(line(&format!("shop: {}", shop_words(&snapshot.shop.name))));
        lines.extend(snapshot.damage.iter().map(|text| line(text)));
        lines.push("? explains what is asked, and lists what can be typed.".to_owned());
        self.put_all(&lines)
    }

    /// Takes a line in and says what it led to; true when it is time to leave.
    fn answer(&mut self, typed: &str) -> io::Result<bool> {
        self.performer.refresh(&mut self.app);
        let rest = self.app.update(AppMessage::Woke(now()));
        if self.perform(rest)? {
            return Ok(true);
        }
        let due = self.due();
        self.put_all(&due)?;
        let meant = TypedLine::of(&self.app, typed);
        let moved_on = std::mem::take(&mut self.moved_on) && self.is_at_work();
        if matches!(meant, TypedLine::Answer(_)) && (moved_on || self.has_changed()) {
            self.was_refused = true;
            self.put("Something changed meanwhile. This is what is asked now.")?;
            self.news_of_work()?;
            return Ok(false);
        }
        let screen = self.app.screen();
        let page = self.page_name();
        let before = self.app.session().map(Before::of);
        let was_open = before.is_some();
        let had_prompt = self.app.prompt().is_some();
        let listed = self.opening_list();
        let goes_back = matches!(meant, TypedLine::Command(Command::Back, _));
        if let Some(end) = self.act(meant)? {
            return Ok(end);
        }
        if let Some(refusal) = self.app.refusal().map(refusal_words) {
            self.was_refused = true;
            self.put(&line(&refusal))?;
        }
        let notice = self.app.session().and_then(Session::notice);
        self.was_refused |= matches!(notice, Some(Notice::Wrong(_)));
        if !was_open {
            return self.after_opening(had_prompt, &listed).map(|()| false);
        }
        if let (Some(before), Some(session)) = (before, self.app.session()) {
            let lines = before.news(session, typed.trim());
            if before.is_set_since(session)
                && let Some(number) = machine::standing_number(session)
            {
                self.said.knows(number);
            }
            self.put_all(&lines)?;
        }
        if self.app.screen() != screen || self.page_name() != page {
            self.said.forget_task();
            // Whoever goes back has heard the list.
            if !goes_back {
                self.put_list()?;
            }
        }
        self.news_of_work()?;
        Ok(false)
    }

    /// What there is to choose from while no batch is open.
    fn opening_list(&self) -> Vec<String> {
        match self.app.stage() {
            Stage::Opening(opening) => lists::opening(opening),
            Stage::Shop(shop) => lists::shop(shop),
            Stage::Session(_) => Vec::new(),
        }
    }

    /// A batch was chosen, begun or opened, or a question about it asked.
    fn after_opening(&mut self, had_prompt: bool, listed: &[String]) -> io::Result<()> {
        if self.app.session().is_some() {
            self.welcome()?;
            return self.news_of_work();
        }
        let (said, told) = match self.app.stage() {
            Stage::Opening(opening) => (opening.said(), Vec::new()),
            Stage::Shop(shop) => (shop.said().unwrap_or_default(), shop.told()),
            Stage::Session(_) => ("", Vec::new()),
        };
        let said = std::iter::once(said).chain(told.iter().map(String::as_str));
        let said: Vec<String> = said.filter(|text| !text.is_empty()).map(line).collect();
        self.put_all(&said)?;
        // A question that was dropped leads back to the list.
        // So does a list that has changed.
        let has_changed = had_prompt || self.opening_list() != listed;
        if has_changed && self.app.prompt().is_none() {
            self.put_list()?;
        }
        Ok(())
    }

    /// Which page of looking back is open: they share a screen's name with others.
    fn page_name(&self) -> Option<usize> {
        self.app.review().map(|state| state.open)
    }

    /// Does what a line means; true when it is time to leave.
    fn act(&mut self, meant: TypedLine) -> io::Result<Option<bool>> {
        match meant {
            TypedLine::Explain => {
                let lines = explained(&self.app);
                self.put_all(&lines)?;
                return Ok(Some(false));
            }
            TypedLine::Unknown(help) => {
                self.was_refused = true;
                self.put(&line(&help))?;
                return Ok(Some(false));
            }
            TypedLine::Command(command, rest) => self.send(named(command, rest)),
            TypedLine::Answer(text) => self.send(AppMessage::Line(text, now())),
            TypedLine::Choose(chosen, command, rest) => {
                self.send(AppMessage::Chosen(chosen))?;
                self.send(named(command, rest))
            }
            TypedLine::GoTo(chosen) => {
                self.send(named(Command::Route, String::new()))?;
                self.send(AppMessage::Chosen(chosen))?;
                self.send(named(Command::Enter, String::new()))
            }
        }
        .map(|end| end.then_some(true))
    }

    /// Whether something is asked at the machine, and no question lies over it.
    fn is_at_work(&self) -> bool {
        self.app.screen() == Screen::Machine && self.app.prompt().is_none()
    }

    /// Whether what is asked at the machine isn't what was heard.
    fn has_changed(&self) -> bool {
        let asked = |session: &Session| self.said.is_asked(session.context().op, session.task());
        self.is_at_work() && self.app.session().is_some_and(|session| !asked(session))
    }

    /// What the list in sight says, where one is.
    fn put_list(&mut self) -> io::Result<()> {
        let lines = match self.app.stage() {
            Stage::Opening(opening) => lists::opening(opening),
            Stage::Shop(shop) => lists::shop(shop),
            Stage::Session(session) => lists::page(session),
        };
        self.put_all(&lines)
    }

    /// What has yet to be said at the machine; nothing while something else is asked.
    fn news_of_work(&mut self) -> io::Result<()> {
        let lines = self.fresh();
        self.put_all(&lines)
    }

    /// The same as lines, which count as said.
    fn fresh(&mut self) -> Vec<String> {
        let at_work = self.is_at_work();
        let Some(session) = self.app.session().filter(|_| at_work) else { return Vec::new() };
        let lines = machine::fresh(session, &mut self.said);
        // Everything was said, so nothing is out of view.
        self.app.update(AppMessage::Drawn(Unread::default()));
        lines
    }

    /// Nothing more will be typed: leaves as the word does, without a note.
    fn ends(&mut self, is_named: bool) -> io::Result<PlainEnd> {
        self.out("\n")?;
        if is_named && self.app.session().is_none() {
            return Ok(PlainEnd::NotOpened("no batch was begun before the input ended".to_owned()));
        }
        let mut left = self.send(named(Command::Leave, String::new()))?;
        if !left && self.app.prompt().is_some() {
            left = self.send(AppMessage::Line(String::new(), now()))?;
        }
        if !left && let Some(refusal) = self.app.refusal().map(refusal_words) {
            self.put(&line(&refusal))?;
        }
        self.farewell()?;
        Ok(PlainEnd::Left)
    }

    /// Where it stands, and how to go on.
    fn farewell(&mut self) -> io::Result<()> {
        if let Some(unsaid) = self.performer.unsaid() {
            self.put(&line(&unsaid))?;
        }
        let Some(session) = self.app.session() else { return self.put("No batch is open.") };
        let (context, snapshot) = (session.context(), &session.snapshot);
        let lines = match machine::left_at(&context) {
            None => vec!["Every operation of this route is finished.".to_owned()],
            Some(left) => {
                let station = match snapshot.station.as_str() {
                    "cart" => String::new(),
                    station => format!(" --station \"{}\"", visible(station)),
                };
                let name = visible(&snapshot.name);
                vec![left, format!("To go on: benchway walk --plain \"{name}\"{station}")]
            }
        };
        self.put_all(&lines)
    }

    fn send(&mut self, message: AppMessage) -> io::Result<bool> {
        let effects = self.app.update(message);
        self.perform(effects)
    }

    fn perform(&mut self, effects: Vec<Effect>) -> io::Result<bool> {
        let ended = self.performer.perform(&mut self.app, effects, &mut |_| Ok(()))?;
        // A list that is read aloud is read once, whole.
        if let Some(read) = self.performer.read_on(None) {
            self.app.update(read);
        }
        Ok(ended)
    }

    /// Drops what somebody typed ahead of a refusal: it was meant for what is asked
    /// after a line that was taken.
    fn drop_typed_ahead(&mut self) -> io::Result<()> {
        if !(self.was_refused && self.shows_typed) {
            return Ok(());
        }
        match self.lines.drop_typed_ahead() {
            0 => Ok(()),
            dropped => {
                self.put(&line(&format!("{} typed ahead not taken", counted(dropped, "line"))))
            }
        }
    }

    /// What the clock brought since something was last said.
    fn due(&mut self) -> Vec<String> {
        let to = now();
        let elapsed = Elapsed { from: std::mem::replace(&mut self.heard, to), to };
        let Some(session) = self.app.session() else { return Vec::new() };
        let context = session.context();
        let bell = context.bell.and_then(|bell| elapsed.bell(bell));
        bell.into_iter().chain(elapsed.waits(&context.state.waits)).collect()
    }

    /// Nobody typed, and something is due: says it, and asks again.
    fn woke(&mut self) -> io::Result<()> {
        let rest = self.app.update(AppMessage::Woke(now()));
        self.perform(rest)?;
        let due = self.due();
        self.interrupt(due)
    }

    /// Nobody typed, and something happened outside. A list whose numbers were read out
    /// stays as it was.
    fn news(&mut self) -> io::Result<()> {
        if self.performer.hear_exchange(&mut self.app) {
            let said = match self.app.exchange() {
                Some(says) => format!("Server: {}.", says.whole),
                None => "Server: everything is exchanged.".to_owned(),
            };
            self.interrupt(vec![line(&said)])?;
        }
        match self.app.stage() {
            Stage::Session(_) => {}
            Stage::Opening(opening) if opening.today().is_some() => {}
            Stage::Opening(_) | Stage::Shop(_) => return Ok(()),
        }
        let Some(rest) = self.performer.news(&mut self.app) else { return Ok(()) };
        self.perform(rest)?;
        let mut said = self.due();
        if self.has_changed() {
            self.moved_on = true;
            said.push(MOVED_ON.to_owned());
        }
        self.interrupt(said)
    }

    /// Says what comes between a question and its answer, then asks again.
    fn interrupt(&mut self, mut said: Vec<String>) -> io::Result<()> {
        said.extend(self.fresh());
        if said.is_empty() {
            return Ok(());
        }
        self.out("\n")?;
        self.put_all(&said)?;
        self.ask()
    }

    /// Puts the question. What answers one for a PIN isn't shown from then on: whoever
    /// types at once would be seen otherwise.
    fn ask(&mut self) -> io::Result<()> {
        let is_secret = self.shows_typed && self.app.asks_for_a_pin();
        self.unseen = is_secret.then(EchoOff::begin).flatten();
        self.put(&question(&self.app))?;
        self.out("> ")
    }

    /// The next line, without its end and without signs that do not show; none
    /// where nothing more comes. What is too long is cut. Whatever comes due
    /// meanwhile is said.
    fn read(&mut self) -> io::Result<Option<String>> {
        let bytes = loop {
            self.performer.keep_watch(&mut self.app, self.lines.waker());
            self.performer.keep_exchange(&mut self.app, self.lines.waker());
            let left = self.app.wake().map(|at| (at - now()).to_std().unwrap_or(Duration::ZERO));
            match self.lines.next(left)? {
                Waited::Line(bytes) => break bytes,
                Waited::Ended => return Ok(None),
                Waited::Due => self.woke()?,
                Waited::News => self.news()?,
            }
        };
        self.unseen = None;
        let text = String::from_utf8_lossy(&bytes).replace('\t', " ");
        let typed: String = text.chars().filter(|letter| !letter.is_control()).collect();
        if !self.shows_typed && self.app.asks_for_a_pin() {
            self.out("\n")?;
        } else if !self.shows_typed {
            self.out(&format!("{}\n", visible(&typed)))?;
        }
        Ok(Some(typed))
    }

    fn put_all(&mut self, lines: &[String]) -> io::Result<()> {
        lines.iter().try_for_each(|line| self.put(line))
    }

    fn put(&mut self, line: &str) -> io::Result<()> {
        if line.is_empty() { Ok(()) } else { self.out(&format!("{line}\n")) }
    }

    fn out(&mut self, text: &str) -> io::Result<()> {
        self.out.write_all(text.as_bytes())?;
        self.out.flush()
    }
}

fn named(command: Command, rest: String) -> AppMessage {
    AppMessage::Named(command, rest, now())
}
