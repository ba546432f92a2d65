//! What a lesson rests on and what it would change, in words.

use super::change::{Figure, File, FileChange};
use super::{Evidence, Lesson, counted};
use crate::measure::Unit;
use crate::operation::decimal;

impl Evidence {
    /// For example `12 readings at 3 settings, 0.008 to 0.016, +-0.003`, with that sign for
    /// plus or minus.
    pub fn words(&self, plus_minus: &str) -> String {
        let unit = self.unit;
        let mut said = Vec::new();
        if self.count > 0 {
            let more = self.more.as_ref().map_or_else(String::new, |more| format!(" {more}"));
            let batches = match self.batches {
                0 | 1 => String::new(),
                several => format!(" in {several} batches"),
            };
            said.push(format!("{}{batches}{more}", counted(self.count, self.of)));
        }
        if self.count == 0 {
            said.extend(self.more.clone());
        }
        if let Some((least, _, most)) = self.range {
            said.push(format!("{} to {}", decimal(least, unit), decimal(most, unit)));
        }
        said.extend(self.uncertainty.map(|own| format!("{plus_minus}{}", decimal(own, unit))));
        said.join(", ")
    }
}

impl Lesson {
    /// The change it proposes: `Change the shop file, machines › planer › spread: 0.004.`
    pub fn change_words(&self) -> Option<String> {
        let FileChange { file, path, to } = self.change.as_ref()?;
        let file = match file {
            File::Shop => "shop",
            File::Route => "route",
        };
        let to = to.words(self.evidence.unit);
        Some(format!("Change the {file} file, {}: {to}.", path.join(" › ")))
    }
}

impl Figure {
    /// The new value as people read it.
    fn words(self, unit: Unit) -> String {
        match self {
            Figure::Count(count) => count.to_string(),
            Figure::Share(hundredths) => {
                format!("{}.{:02}", hundredths / 100, hundredths % 100)
            }
            Figure::Size { to, fine } => {
                let places = if unit == Unit::Inch { 3 } else { 2 };
                to.decimal(unit, places + usize::from(fine))
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::learn::Topic;
    use crate::measure::Length;

    fn evidence() -> Evidence {
        let th = Length::thousandths;
        Evidence {
            unit: Unit::Inch,
            count: 12,
            of: "reading",
            batches: 1,
            range: Some((th(8), th(12), th(16))),
            uncertainty: Some(th(3)),
            more: Some("at 3 settings".to_owned()),
        }
    }

    /// What a lesson rests on: how many of what, from least to most, and how sure.
    #[test]
    fn a_lesson_says_what_it_rests_on() {
        let held = evidence();
        assert_eq!(held.words("+-"), "12 readings at 3 settings, 0.008 to 0.016, +-0.003");
        let one = Evidence { count: 1, more: None, range: None, ..held.clone() };
        assert_eq!(one.words("±"), "1 reading, ±0.003");
        let several = Evidence { batches: 3, range: None, uncertainty: None, ..held.clone() };
        assert_eq!(several.words("+-"), "12 readings in 3 batches at 3 settings");
        let words = Evidence { count: 0, range: None, uncertainty: None, ..held };
        assert_eq!(words.words("+-"), "at 3 settings");
    }

    #[test]
    fn a_change_says_where_and_what() {
        let lesson = |change| Lesson {
            topic: Topic::Scale,
            subject: crate::learn::LessonSubject::Machine("mortiser".to_owned()),
            about: "mortiser".to_owned(),
            says: String::new(),
            evidence: evidence(),
            change,
        };
        let path = ["machines", "mortiser", "tools", "1/4 chisel", "scale_offset", "depth"];
        let change = FileChange::of(File::Shop, &path, Figure::size(Length::thousandths(12)));
        let said = "Change the shop file, \
                    machines › mortiser › tools › 1/4 chisel › scale_offset › depth: 0.012.";
        assert_eq!(lesson(Some(change)).change_words().as_deref(), Some(said));
        let spares = FileChange::of(File::Route, &["parts", "leg", "spares"], Figure::Count(2));
        let said = "Change the route file, parts › leg › spares: 2.";
        assert_eq!(lesson(Some(spares)).change_words().as_deref(), Some(said));
        assert_eq!(lesson(None).change_words(), None);
    }
}
