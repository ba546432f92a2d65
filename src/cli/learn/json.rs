//! Lessons and proposed changes for programs.

use serde::Serialize;

use super::super::page::number;
use super::{ChangedFile, LearnedFrom};
use crate::learn::{Evidence, Lesson};
use crate::measure::Unit;

#[derive(Serialize)]
pub(super) struct LearnAnswer<'a> {
    batches: &'a [&'a str],
    invented: bool,
    written: bool,
    lessons: Vec<LessonRow<'a>>,
}

#[derive(Serialize)]
pub(super) struct LessonRow<'a> {
    topic: &'static str,
    about: &'a str,
    says: &'a str,
    unit: Unit,
    count: usize,
    of: &'static str,
    from_batches: usize,
    rests_on: Option<&'a str>,
    least: Option<f64>,
    middle: Option<f64>,
    most: Option<f64>,
    doubt: Option<f64>,
    change: Option<ChangeRow<'a>>,
}

#[derive(Serialize)]
pub(super) struct ChangeRow<'a> {
    file: &'a str,
    path: &'a [String],
    diff: &'a [String],
}

/// The answer.
pub(super) fn answer<'a>(
    from: &'a LearnedFrom<'a>,
    lessons: &'a [Lesson],
    changed: &'a [ChangedFile<'a>],
    written: bool,
) -> LearnAnswer<'a> {
    let change = |at: usize, lesson: &'a Lesson| {
        let found = changed.iter().find_map(|file| {
            let (_, diff) = file.edits.iter().find(|(number, _)| *number == at)?;
            Some((file, diff))
        });
        let (file, diff) = found?;
        let path = &lesson.change.as_ref()?.path;
        Some(ChangeRow { file: &file.source.name, path, diff })
    };
    let rows = lessons.iter().enumerate();
    let rows = rows.map(|(at, lesson)| LessonRow::of(lesson, change(at, lesson)));
    let (batches, invented) = (&from.batches, from.invented);
    LearnAnswer { batches, invented, written, lessons: rows.collect() }
}

impl<'a> LessonRow<'a> {
    pub(super) fn of(lesson: &'a Lesson, change: Option<ChangeRow<'a>>) -> LessonRow<'a> {
        let Evidence { unit, count, of, batches, range, uncertainty, more } = &lesson.evidence;
        LessonRow {
            topic: lesson.topic.words(),
            about: &lesson.about,
            says: &lesson.says,
            unit: *unit,
            count: *count,
            of,
            from_batches: *batches,
            rests_on: more.as_deref(),
            least: range.map(|(least, ..)| number(least, *unit)),
            middle: range.map(|(_, middle, _)| number(middle, *unit)),
            most: range.map(|(.., most)| number(most, *unit)),
            doubt: uncertainty.map(|own| number(own, *unit)),
            change,
        }
    }
}
