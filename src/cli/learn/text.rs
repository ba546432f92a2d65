//! Lessons and proposed changes as a page for people.

use std::io;
use std::path::Path;

use super::super::page::Page;
use super::{ChangedFile, LearnedFrom};
use crate::learn::{Evidence, Lesson, LessonSubject};
use crate::operation::decimal;
use crate::prose::{counted, visible};

/// What was learned, on a page.
pub(super) struct LearnPage<'o> {
    pub(super) page: Page<'o>,
}

impl LearnPage<'_> {
    pub(super) fn whole(
        &mut self,
        from: &LearnedFrom<'_>,
        lessons: &[Lesson],
        changed: &[ChangedFile<'_>],
        written: &[&Path],
    ) -> io::Result<()> {
        let names: Vec<String> = from.batches.iter().map(|name| visible(name)).collect();
        let all = match from.shop {
            Some(shop) => format!("{} of {}", counted(names.len(), "batch"), visible(shop)),
            None => names.join(", "),
        };
        self.page.line(0, &format!("Lessons from {all}"))?;
        if from.left_out > 0 {
            let left_out = counted(from.left_out, "invented batch");
            self.page.line(0, &format!("{left_out} left out."))?;
        }
        if from.invented {
            self.page.line(0, "Invented for practice: nobody cut or measured anything.")?;
        }
        let mut topic = None;
        for lesson in lessons {
            if topic.replace(lesson.topic) != Some(lesson.topic) {
                self.page.blank()?;
                self.page.line(0, lesson.topic.words())?;
            }
            let of_route = match &lesson.subject {
                LessonSubject::Route(route) if from.has_routes => format!("{}, ", visible(route)),
                _ => String::new(),
            };
            let about = visible(&lesson.about);
            self.page.line(2, &format!("{of_route}{about}: {}", visible(&lesson.says)))?;
            let evidence = evidence(&lesson.evidence);
            if !evidence.is_empty() {
                self.page.line(4, &evidence)?;
            }
        }
        self.page.blank()?;
        if changed.iter().all(|file| file.edits.is_empty()) {
            return self.page.line(0, "No changes to the files are proposed.");
        }
        for file in changed.iter().filter(|file| !file.edits.is_empty()) {
            let name = visible(&file.source.name);
            let was = file.path.is_some_and(|path| written.contains(&path));
            let head = if was { "Written to" } else { "Proposed for" };
            self.page.line(0, &format!("{head} {name}"))?;
            for (number, lines) in &file.edits {
                if let Some(lesson) = lessons.get(*number) {
                    let why = evidence(&lesson.evidence);
                    self.page.line(2, &format!("{}: {why}", visible(&lesson.about)))?;
                }
                for line in lines {
                    self.page.row(visible(line))?;
                }
            }
        }
        if written.is_empty() {
            self.page.blank()?;
            self.page.line(
                0,
                "Review the changes; --apply writes them to the files named by --shop and --route.",
            )?;
        }
        Ok(())
    }
}

/// For example `12 readings at 3 settings, 0.008 to 0.016, +-0.003`.
pub(super) fn evidence(held: &Evidence) -> String {
    let unit = held.unit;
    let mut said = Vec::new();
    if held.count > 0 {
        let more = held.more.as_ref().map_or_else(String::new, |more| format!(" {more}"));
        let batches = match held.batches {
            0 | 1 => String::new(),
            several => format!(" in {several} batches"),
        };
        said.push(format!("{}{batches}{more}", counted(held.count, held.of)));
    }
    if held.count == 0 {
        said.extend(held.more.clone());
    }
    if let Some((least, _, most)) = held.range {
        said.push(format!("{} to {}", decimal(least, unit), decimal(most, unit)));
    }
    said.extend(held.uncertainty.map(|own| format!("+-{}", decimal(own, unit))));
    said.join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::{Length, Unit};

    /// What a lesson rests on: how many of what, from least to most, and how sure.
    #[test]
    fn a_lesson_says_what_it_rests_on() {
        let th = Length::thousandths;
        let held = Evidence {
            unit: Unit::Inch,
            count: 12,
            of: "reading",
            batches: 1,
            range: Some((th(8), th(12), th(16))),
            uncertainty: Some(th(3)),
            more: Some("at 3 settings".to_owned()),
        };
        assert_eq!(evidence(&held), "12 readings at 3 settings, 0.008 to 0.016, +-0.003");
        let one = Evidence { count: 1, more: None, range: None, ..held.clone() };
        assert_eq!(evidence(&one), "1 reading, +-0.003");
        let words = Evidence { count: 0, range: None, uncertainty: None, ..held };
        assert_eq!(evidence(&words), "at 3 settings");
    }
}
