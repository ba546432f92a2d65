//! One's own shop on the screen: its machines, and one machine item by item. Enter on an
//! item asks about it, and the answer leads on to the next.

use crossterm::event::KeyEvent;
use tui_input::Input;

use super::entry::Prompt;
use super::shop_question::{Answered, ShopQuestion};
use crate::journal::ToolScale;
use crate::prose::Message;
use crate::tui::message::{Effect, ShopListing};
use crate::work::{ShopChange, known_scales};

/// The shop, and where in it somebody is.
#[derive(Debug)]
pub struct ShopScreen {
    /// The shop as its file and its journal have it.
    pub(in crate::tui) listing: ShopListing,
    pub(super) view: ShopView,
    pub(super) prompt: Option<Prompt<ShopQuestion>>,
    pub(super) refusal: Option<Message>,
    /// What was done.
    pub(super) said: Option<String>,
}

/// What is looked at.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(in crate::tui) enum ShopView {
    /// All machines.
    Machines {
        /// The chosen line.
        selected: usize,
    },
    /// One of them.
    Machine {
        /// Its name.
        name: String,
        /// The chosen line.
        selected: usize,
        /// The line of the machine among all.
        from: usize,
    },
}

/// A line that can be chosen.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(in crate::tui) enum ShopLineItem {
    /// A machine.
    Machine(String),
    /// Who stands in for the lead today.
    StandsIn,
    /// That the machine is in the shop.
    Here(String),
    /// The marks of a scale.
    Step {
        /// The machine.
        machine: String,
        /// The scale.
        scale: String,
    },
    /// The kerf of a tool that has one.
    Kerf {
        /// The machine.
        machine: String,
        /// The tool.
        tool: String,
    },
    /// How far off a scale is with a tool.
    Offset(ToolScale),
    /// A tool that was changed.
    NewTool {
        /// The machine.
        machine: String,
        /// The tool.
        tool: String,
    },
    /// Who is signed off.
    People(String),
}

impl ShopScreen {
    pub(super) fn new(listing: ShopListing) -> ShopScreen {
        let view = ShopView::Machines { selected: 0 };
        ShopScreen { listing, view, prompt: None, refusal: None, said: None }
    }

    /// What is looked at.
    pub(in crate::tui) fn view(&self) -> &ShopView {
        &self.view
    }

    /// The chosen line.
    pub(in crate::tui) fn selected(&self) -> usize {
        match &self.view {
            ShopView::Machines { selected } | ShopView::Machine { selected, .. } => *selected,
        }
    }

    /// What was done.
    pub(in crate::tui) fn said(&self) -> Option<&str> {
        self.said.as_deref()
    }

    /// What is to be done before the question is answered; nothing where none is asked.
    pub(in crate::tui) fn told(&self) -> Vec<String> {
        let shop = &self.listing.shop;
        self.prompt.as_ref().map_or_else(Vec::new, |prompt| prompt.question.told(shop))
    }

    /// The lines that can be chosen.
    pub(in crate::tui) fn lines(&self) -> Vec<ShopLineItem> {
        let shop = &self.listing.shop;
        let ShopView::Machine { name, .. } = &self.view else {
            let machines = shop.machines.keys().cloned().map(ShopLineItem::Machine);
            return machines.chain([ShopLineItem::StandsIn]).collect();
        };
        let Some(machine) = shop.machines.get(name) else { return Vec::new() };
        let of = |text: &String| (name.clone(), text.clone());
        let mut lines = vec![ShopLineItem::Here(name.clone())];
        lines.extend(machine.readouts.keys().map(|scale| {
            let (machine, scale) = of(scale);
            ShopLineItem::Step { machine, scale }
        }));
        let kerfs = machine.tools.iter().filter(|(_, tool)| tool.kerf.is_some());
        lines.extend(kerfs.map(|(tool, _)| {
            let (machine, tool) = of(tool);
            ShopLineItem::Kerf { machine, tool }
        }));
        let scales = known_scales(shop, &self.listing.record, name);
        lines.extend(scales.into_iter().map(|known| ShopLineItem::Offset(known.scale)));
        lines.extend(machine.tools.keys().map(|tool| {
            let (machine, tool) = of(tool);
            ShopLineItem::NewTool { machine, tool }
        }));
        lines.push(ShopLineItem::People(name.clone()));
        lines
    }

    pub(super) fn choose(&mut self, line: usize) {
        let last = self.lines().len().saturating_sub(1);
        let (ShopView::Machines { selected } | ShopView::Machine { selected, .. }) = &mut self.view;
        *selected = line.min(last);
        self.refusal = None;
    }

    /// The question that is asked, and what is typed there.
    pub(super) fn prompt_words(&self) -> Option<(String, Input)> {
        let prompt = self.prompt.as_ref()?;
        Some((prompt.question.words(), prompt.shown(self.asks_for_a_pin())))
    }

    pub(super) fn type_key(&mut self, key: KeyEvent) {
        if let Some(prompt) = &mut self.prompt {
            self.refusal = None;
            prompt.press(key);
        }
    }

    pub(super) fn insert(&mut self, letter: char) {
        if let Some(prompt) = &mut self.prompt {
            prompt.insert(letter);
        }
    }

    /// One step back; false where there is nothing to go back from.
    pub(super) fn back(&mut self) -> bool {
        (self.refusal, self.said) = (None, None);
        if self.prompt.as_mut().is_some_and(Prompt::clear) || self.prompt.take().is_some() {
            return true;
        }
        match self.view {
            ShopView::Machine { from, .. } => {
                self.view = ShopView::Machines { selected: from };
                true
            }
            ShopView::Machines { .. } => false,
        }
    }

    /// Answers what is asked, or asks about the chosen line.
    pub(super) fn enter(&mut self) -> Vec<Effect> {
        self.refusal = None;
        let Some(prompt) = &self.prompt else {
            self.said = None;
            self.ask_about_line();
            return Vec::new();
        };
        let (question, text) = (prompt.question.clone(), prompt.input.value().to_owned());
        self.answer(question, text.trim())
    }

    /// The same with a whole line: an empty one takes what is offered.
    pub(super) fn line(&mut self, text: &str) -> Vec<Effect> {
        self.refusal = None;
        let Some(prompt) = &self.prompt else { return Vec::new() };
        let question = prompt.question.clone();
        let offered = prompt.input.value().to_owned();
        let text = if text.trim().is_empty() { offered } else { text.to_owned() };
        self.answer(question, text.trim())
    }

    fn ask_about_line(&mut self) {
        let Some(line) = self.lines().into_iter().nth(self.selected()) else { return };
        let shop = &self.listing.shop;
        let (question, offered) = match line {
            ShopLineItem::Machine(name) => {
                let from = self.selected();
                self.view = ShopView::Machine { name, selected: 0, from };
                return;
            }
            ShopLineItem::StandsIn => (ShopQuestion::StandsIn, String::new()),
            ShopLineItem::Here(machine) => (ShopQuestion::TakeOut { machine }, String::new()),
            ShopLineItem::Step { machine, scale } => {
                let held = super::shop_question::readout(shop, &machine, &scale);
                let step = held.map(|held| {
                    let sign = if held.unit == shop.unit { "" } else { held.unit.sign() };
                    format!("{} {sign}", held.step.written(held.unit)).trim_end().to_owned()
                });
                (ShopQuestion::Step { machine, scale }, step.unwrap_or_default())
            }
            ShopLineItem::Kerf { machine, tool } => {
                let held = shop.machines.get(&machine).and_then(|held| held.tools.get(&tool));
                let kerf = held.and_then(|held| held.kerf);
                let kerf = kerf.map(|kerf| kerf.written(shop.unit)).unwrap_or_default();
                (ShopQuestion::Kerf { machine, tool }, kerf)
            }
            ShopLineItem::Offset(scale) => (ShopQuestion::Shown(scale), String::new()),
            ShopLineItem::NewTool { machine, tool } => {
                (ShopQuestion::NewTool { machine, tool }, String::new())
            }
            ShopLineItem::People(machine) => (ShopQuestion::Who { machine }, String::new()),
        };
        self.prompt = Some(Prompt::new(question, &offered));
    }

    fn answer(&mut self, question: ShopQuestion, text: &str) -> Vec<Effect> {
        match question.answered(text, &self.listing.shop, self.listing.now) {
            Ok(Answered::Next(next, offered)) => self.prompt = Some(Prompt::new(next, &offered)),
            Ok(Answered::Again(first, why)) => {
                self.prompt = Some(Prompt::new(first, ""));
                self.refusal = Some(why);
            }
            Ok(Answered::Dropped) => {
                self.prompt = None;
                self.choose(self.selected() + 1);
            }
            // It stays to be seen until the change is on the disk.
            Ok(Answered::Change { by, change }) => return vec![Effect::ChangeShop { by, change }],
            Ok(Answered::Prove { lead, pin, change }) => {
                let then = Box::new(Effect::ChangeShop { by: lead.clone(), change });
                return vec![Effect::Prove { lead, pin, then }];
            }
            Err(why) => self.refusal = Some(why),
        }
        Vec::new()
    }

    /// A change is on the disk: on to the next line.
    pub(super) fn changed(&mut self, listing: ShopListing, change: &ShopChange, said: String) {
        self.listing = listing;
        self.prompt = None;
        self.refusal = None;
        self.said = Some(said);
        match change {
            ShopChange::TakenOut { .. } => {
                if let ShopView::Machine { from, .. } = self.view {
                    self.view = ShopView::Machines { selected: from };
                }
                self.choose(self.selected());
            }
            _ => self.choose(self.selected() + 1),
        }
    }

    pub(super) fn ask_for_a_pin(&mut self, lead: String, then: Effect) {
        if let Effect::ChangeShop { change, .. } = then {
            self.prompt = Some(Prompt::new(ShopQuestion::Pin { lead, change }, ""));
        }
    }

    pub(super) fn asks_for_a_pin(&self) -> bool {
        let is_pin =
            |prompt: &Prompt<ShopQuestion>| matches!(prompt.question, ShopQuestion::Pin { .. });
        self.prompt.as_ref().is_some_and(is_pin)
    }

    /// A PIN that was refused is typed anew.
    pub(super) fn failed(&mut self, why: Message) {
        if self.asks_for_a_pin()
            && let Some(prompt) = &mut self.prompt
        {
            prompt.clear();
        }
        self.refusal = Some(why);
    }
}
