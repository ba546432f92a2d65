//! Lessons and proposed changes as a page for people.

use std::io;
use std::path::Path;

use super::super::page::TextPage;
use super::{ChangedFile, LearnedFrom};
use crate::learn::{Lesson, LessonSubject};
use crate::prose::{counted, visible};

/// What was learned, on a page.
pub(super) struct LearnPage<'o> {
    pub(super) page: TextPage<'o>,
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
            let evidence = lesson.evidence.words("+-");
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
                    let why = lesson.evidence.words("+-");
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
