//! What a lead changes in the shop's own file, as a change of its text and as an event of
//! the shop journal. The text keeps its layout, because people edit it too.

use chrono::NaiveDate;

use super::refusal::refusal;
use crate::document::{Document, Edit, json_text};
use crate::journal::{ShopEvent, SignOff, ToolScale};
use crate::measure::{Length, Shows, Unit};
use crate::prose::Message;

/// A change of a shop.
#[derive(Clone, Debug, PartialEq)]
pub enum ShopChange {
    /// A machine isn't in this shop.
    TakenOut {
        /// The machine.
        machine: String,
    },
    /// A scale has other marks.
    Marks {
        /// The machine.
        machine: String,
        /// The scale.
        scale: String,
        /// What it shows.
        marks: ScaleMarks,
    },
    /// A tool cuts so wide.
    Kerf {
        /// The machine.
        machine: String,
        /// The tool.
        tool: String,
        /// The width of the cut.
        kerf: Length,
    },
    /// Cuts showed how far off a scale is.
    Offset {
        /// The scale.
        scale: ToolScale,
        /// Made size less what it showed.
        offset: Length,
        /// One standard deviation.
        spread: Length,
        /// How many pieces.
        cuts: u32,
        /// Expanded uncertainty of the offset, k = 2.
        uncertainty: Length,
    },
    /// Another tool is in a machine under the same name.
    ToolChanged {
        /// The machine.
        machine: String,
        /// The tool.
        tool: String,
        /// How many feet the one before had cut, where somebody knows.
        feet: Option<u32>,
    },
    /// Somebody may work at a machine alone.
    SignedOff {
        /// Their initials.
        who: String,
        /// The machine.
        machine: String,
        /// The last day on which it holds.
        until: Option<NaiveDate>,
        /// Whether the lead saw a first piece.
        first_piece_seen: bool,
    },
    /// Somebody stands in for the lead on a day.
    StandsIn {
        /// Their initials.
        who: String,
        /// The day.
        on: NaiveDate,
    },
}

/// The marks of a scale.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ScaleMarks {
    /// The smallest step.
    pub step: Length,
    /// Fractions or decimals.
    pub shows: Shows,
    /// The unit of its numbers.
    pub unit: Unit,
}

impl ShopChange {
    /// The shop file with the change made on this lead's word.
    pub fn made(&self, text: &str, by: &str) -> Result<String, Message> {
        let mut file = ShopText { text: text.to_owned() };
        match self {
            ShopChange::TakenOut { machine } => file.take_out(machine)?,
            ShopChange::Marks { machine, scale, marks } => {
                let keys = ["machines", machine, "readouts", scale];
                let shows = match marks.shows {
                    Shows::Fraction => "fraction",
                    Shows::Decimal => "decimal",
                };
                file.put(
                    &[&keys[..], &["step"]].concat(),
                    &json_text(&marks.step.written(marks.unit)),
                )?;
                file.put(&[&keys[..], &["shows"]].concat(), &json_text(shows))?;
                if file.unit_at(&keys) != marks.unit {
                    file.put(&[&keys[..], &["unit"]].concat(), &json_text(marks.unit.sign()))?;
                }
            }
            ShopChange::Kerf { machine, tool, kerf } => {
                let written = kerf.written(file.unit_at(&[]));
                file.put(&["machines", machine, "tools", tool, "kerf"], &json_text(&written))?;
            }
            ShopChange::Offset { scale, offset, .. } => file.put_offset(scale, *offset)?,
            ShopChange::ToolChanged { .. } => {}
            ShopChange::SignedOff { who, machine, until, .. } => {
                file.name_a_lead(by)?;
                file.sign_off(who, machine, *until)?;
            }
            ShopChange::StandsIn { who, on } => {
                file.name_a_lead(by)?;
                file.stand_in(who, *on)?;
            }
        }
        Ok(file.text)
    }

    /// What the shop journal keeps of it; nothing where the file says it all.
    pub fn event(&self, by: &str) -> Option<ShopEvent> {
        let by = by.to_owned();
        Some(match self.clone() {
            ShopChange::TakenOut { .. } | ShopChange::Marks { .. } | ShopChange::Kerf { .. } => {
                return None;
            }
            ShopChange::Offset { scale, offset, spread, cuts, uncertainty } => {
                ShopEvent::Calibrated { scale, offset, spread, cuts, uncertainty, by }
            }
            ShopChange::ToolChanged { machine, tool, feet } => {
                ShopEvent::ToolChanged { machine, tool, feet, by }
            }
            ShopChange::SignedOff { who, machine, until, first_piece_seen } => {
                ShopEvent::SignedOff(SignOff { who, machine, until, first_piece_seen, by })
            }
            ShopChange::StandsIn { who, on } => ShopEvent::StandsIn { who, on, by },
        })
    }
}

/// The text of a shop file while it is changed.
struct ShopText {
    text: String,
}

impl ShopText {
    fn document(&self) -> Result<Document, Message> {
        Document::read("shop.json", self.text.as_str())
            .map_err(|problem| refusal(problem.what, "mend the shop file first"))
    }

    fn change(&mut self, edit: impl Fn(&Document) -> Option<Edit>) -> Result<(), Message> {
        let document = self.document()?;
        let edit = edit(&document).ok_or_else(|| {
            refusal("The shop file has no place for this.", "look at it with benchway check")
        })?;
        // A mark at the start of a file is no part of the document's text.
        self.text = edit.made(document.text());
        Ok(())
    }

    fn put(&mut self, keys: &[&str], value: &str) -> Result<(), Message> {
        self.change(|document| document.with(keys, value))
    }

    /// The unit of a bare number under these keys.
    fn unit_at(&self, keys: &[&str]) -> Unit {
        let Ok(document) = self.document() else { return Unit::Inch };
        let mut node = document.root();
        let mut unit = Unit::Inch;
        for key in std::iter::once(None).chain(keys.iter().map(Some)) {
            if let Some(key) = key {
                let Some(child) = node.child(key) else { break };
                node = child;
            }
            unit = node.child("unit").and_then(|held| held.decode().ok()).unwrap_or(unit);
        }
        unit
    }

    /// Without a machine, and without it among what people are signed off on.
    fn take_out(&mut self, machine: &str) -> Result<(), Message> {
        self.change(|document| document.without(&["machines", machine]))?;
        for who in self.people() {
            let left = self.signed_off(&who);
            if left.iter().any(|held| held == machine) {
                let left: Vec<String> = left.into_iter().filter(|held| held != machine).collect();
                self.put_list(&["people", &who, SIGNED_OFF], &left)?;
            }
            let keys = ["people", &who, "signed_off_until", machine];
            if self.document()?.without(&keys).is_some() {
                self.change(|document| document.without(&keys))?;
            }
        }
        Ok(())
    }

    fn put_offset(&mut self, scale: &ToolScale, offset: Length) -> Result<(), Message> {
        let ToolScale { machine, tool, scale } = scale;
        let unit = self.unit_at(&[]);
        let places = match unit {
            Unit::Inch => 3,
            Unit::Millimetre => 2,
        };
        let value = json_text(&offset.decimal(unit, places));
        let document = self.document()?;
        let at = ["machines", machine.as_str()];
        let held = at.iter().try_fold(document.root(), |node, key| node.child(key));
        let scales = held.and_then(|held| held.child("readouts")).and_then(|all| all.fields());
        let tools = held.and_then(|held| held.child("tools")?.child(tool));
        // It had another name once.
        let old = tools.and_then(|tool| tool.child("cuts_fat")).is_some();
        let key = if old { "cuts_fat" } else { "scale_offset" };
        let is_one_number =
            tools.and_then(|tool| tool.child(key)).is_some_and(|held| held.as_str().is_some());
        let whole = ["machines", machine, "tools", tool, key];
        match is_one_number {
            true if scales.is_some_and(|scales| scales.len() == 1) => self.put(&whole, &value),
            true => Err(refusal(
                format!("The {tool} has one offset for all scales of the {machine}."),
                "give each scale its own in the shop file first",
            )),
            false => self.put(&[&whole[..], &[scale.as_str()]].concat(), &value),
        }
    }

    fn people(&self) -> Vec<String> {
        let Ok(document) = self.document() else { return Vec::new() };
        let people = document.root().child("people").and_then(|people| people.fields());
        people.into_iter().flatten().map(|field| field.name.to_owned()).collect()
    }

    /// These initials as the file spells them.
    fn spelled(&self, who: &str) -> String {
        let named = self.people().into_iter().find(|held| held.eq_ignore_ascii_case(who));
        named.unwrap_or_else(|| who.to_owned())
    }

    fn texts(&self, keys: &[&str]) -> Vec<String> {
        let Ok(document) = self.document() else { return Vec::new() };
        let node = keys.iter().try_fold(document.root(), |node, key| node.child(key));
        let items = node.and_then(|node| node.items()).unwrap_or_default();
        items.iter().filter_map(|item| item.as_str().map(str::to_owned)).collect()
    }

    /// The machines somebody is signed off on, under whichever name the list has.
    fn signed_off(&self, who: &str) -> Vec<String> {
        let now = self.texts(&["people", who, SIGNED_OFF]);
        if now.is_empty() { self.texts(&["people", who, "passed_on"]) } else { now }
    }

    fn put_list(&mut self, keys: &[&str], texts: &[String]) -> Result<(), Message> {
        if let [above @ .., last] = keys
            && *last == SIGNED_OFF
        {
            let old = [above, &["passed_on"]].concat();
            if self.document()?.without(&old).is_some() {
                self.change(|document| document.without(&old))?;
            }
        }
        let all: Vec<String> = texts.iter().map(|text| json_text(text)).collect();
        self.put(keys, &format!("[{}]", all.join(", ")))
    }

    /// Whoever signs first is the lead from then on, where the file names none: otherwise
    /// anybody could sign anybody off.
    fn name_a_lead(&mut self, by: &str) -> Result<(), Message> {
        let document = self.document()?;
        let leads = |who: &String| {
            let keys = ["people", who, "lead"];
            let held = keys.iter().try_fold(document.root(), |node, key| node.child(key));
            held.and_then(|held| held.as_bool()) == Some(true)
        };
        if self.people().iter().any(leads) {
            return Ok(());
        }
        let by = self.spelled(by);
        self.put(&["people", &by, "lead"], "true")
    }

    fn sign_off(
        &mut self,
        who: &str,
        machine: &str,
        until: Option<NaiveDate>,
    ) -> Result<(), Message> {
        let who = self.spelled(who);
        let mut all = self.signed_off(&who);
        if !all.iter().any(|held| held == machine) {
            all.push(machine.to_owned());
        }
        self.put_list(&["people", &who, SIGNED_OFF], &all)?;
        let keys = ["people", &who, "signed_off_until", machine];
        match until {
            Some(day) => self.put(&keys, &json_text(&day.to_string())),
            None if self.document()?.without(&keys).is_some() => {
                self.change(|document| document.without(&keys))
            }
            None => Ok(()),
        }
    }

    fn stand_in(&mut self, who: &str, on: NaiveDate) -> Result<(), Message> {
        let who = self.spelled(who);
        let mut days = self.texts(&["people", &who, "lead_on"]);
        let day = on.to_string();
        if !days.contains(&day) {
            days.push(day);
        }
        self.put_list(&["people", &who, "lead_on"], &days)
    }
}

/// The key of the machines somebody is signed off on.
const SIGNED_OFF: &str = "signed_off_on";

#[cfg(test)]
mod tests;
