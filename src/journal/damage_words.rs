//! What is wrong with the files of a batch, in one sentence or two for each file and each
//! kind of damage: what it is, whether it counts, and what to do.

use std::mem::discriminant;

use super::damage::{Damage, FileDamage};
use crate::prose::visible;

/// Everything that is wrong, the same kind in the same file told together.
pub fn damage_words(damage: &[FileDamage]) -> Vec<String> {
    let mut told: Vec<Vec<&FileDamage>> = Vec::new();
    for found in damage {
        let alike = |group: &&mut Vec<&FileDamage>| {
            group[0].station == found.station
                && discriminant(&group[0].damage) == discriminant(&found.damage)
        };
        match told.iter_mut().find(alike) {
            Some(group) => group.push(found),
            None => told.push(vec![found]),
        }
    }
    told.iter().map(|group| sentence(group)).collect()
}

fn sentence(group: &[&FileDamage]) -> String {
    let FileDamage { station, damage } = group[0];
    if let Damage::MissingSomewhere { lines } = damage {
        let (lines, are) =
            if *lines == 1 { ("a line", "is") } else { (&*format!("{lines} lines"), "are") };
        return format!(
            "At least {lines} of a station {are} missing, and no line says of which. \
             Bring each file from where it was written."
        );
    }
    let file = format!("{}.jsonl", visible(station));
    let lines = FileLines::of(group);
    match whole_file(damage) {
        Some(said) => format!("{file}: {said}"),
        None => format!("{file}: {}", some_lines(damage, group, &lines)),
    }
}

/// What is said of damage that concerns certain lines of a file.
fn some_lines(damage: &Damage, group: &[&FileDamage], lines: &FileLines) -> String {
    let (named, are, they) = (lines.named(), lines.are(), lines.they());
    match damage {
        Damage::TornTail { .. } => format!(
            "{named} has no end. The terminal stopped while it wrote, or it writes just now. \
             Nobody was told that it is recorded, and it isn't used."
        ),
        Damage::BadLine { why, .. } => format!(
            "{named} {are} not as {they} {} written ({why}). Somebody edited the file, or the disk \
             failed. Enter again what {they} held.",
            if lines.are_many() { "were" } else { "was" }
        ),
        Damage::Gap { .. } => {
            let numbers: Vec<String> = group.iter().map(|found| gap(&found.damage)).collect();
            format!(
                "{} missing before {named}. Look for a newer copy of this file.",
                numbers.join(" and ")
            )
        }
        Damage::OutOfOrder { .. } => format!(
            "{named} {are} out of order. Numbers decide the order, so {they} {}.",
            if lines.are_many() { "count" } else { "counts" }
        ),
        Damage::Repeated { .. } => format!(
            "{named} {} the number of an earlier line. Only the earlier one counts.",
            if lines.are_many() { "have" } else { "has" }
        ),
        Damage::ForeignStation { found, .. } => format!(
            "{found} wrote {named}. {} not used here, for {} in {found}.jsonl.",
            if lines.are_many() { "They are" } else { "It is" },
            if lines.are_many() { "they belong" } else { "it belongs" },
        ),
        Damage::UnknownEvent { why, .. } => format!(
            "{named} {are} sound, and this program can't make sense of {} ({why}). A newer \
             version may.",
            if lines.are_many() { "them" } else { "it" }
        ),
        Damage::PartOfAnswer { .. } => format!(
            "{named} {are} part of an answer whose other lines are missing. An answer counts \
             whole or not at all: enter it again if it isn't there.",
        ),
        Damage::NewerVersion { .. } => format!(
            "a newer version of this program wrote {named}. This version can't read {}, so it \
             records nothing in this batch. Bring this terminal up to date.",
            if lines.are_many() { "them" } else { "it" }
        ),
        _ => String::new(),
    }
}

/// What is said of damage that concerns a file as a whole; none for the other kinds.
fn whole_file(damage: &Damage) -> Option<String> {
    Some(match damage {
        Damage::ChangedEnds { .. } => "another program changed the ends of its lines. They count \
             all the same; open the file with that program no more."
            .to_owned(),
        Damage::Unreadable { why } => {
            format!("it can't be read ({why}). What it holds is missing here.")
        }
        Damage::Copied { of, differing: 0 } => format!(
            "it is a copy. {}.jsonl has every line of it, so move it out of the folder.",
            visible(of)
        ),
        Damage::Copied { of, differing } => format!(
            "it is a copy of {of}.jsonl with {} that {of}.jsonl hasn't. `benchway mend` takes {} in.",
            counted(*differing as u64),
            if *differing == 1 { "it" } else { "them" },
            of = visible(of),
        ),
        Damage::Missing { numbers } => format!(
            "{} not here yet, or lost: other stations had seen {}. Bring the file from \
             where it was written.",
            numbered(*numbers.start(), *numbers.end()),
            if numbers.start() == numbers.end() { "it" } else { "them" },
        ),
        Damage::OtherBatch { lines, begun } => format!(
            "{} to another batch, which began on {}. They don't count; put the file into the \
             folder of its batch.",
            if *lines == 1 { "1 line belongs".to_owned() } else { format!("{lines} lines belong") },
            begun.format("%e %b %Y at %H:%M").to_string().trim_start(),
        ),
        Damage::BeginningWorkedOut => "the first line can't be read. What it held follows from \
             the route and the shop file of the batch, and is used."
            .to_owned(),
        _ => return None,
    })
}

fn counted(lines: u64) -> String {
    if lines == 1 { "a line".to_owned() } else { format!("{lines} lines") }
}

/// `number 3 is` or `numbers 3 to 5 are`.
fn numbered(first: u64, last: u64) -> String {
    if first == last {
        format!("number {first} is")
    } else {
        format!("numbers {first} to {last} are")
    }
}

fn gap(damage: &Damage) -> String {
    match damage {
        Damage::Gap { expected, found, .. } => numbered(*expected, found.saturating_sub(1)),
        _ => String::new(),
    }
}

/// The lines of one file that have the same kind of damage.
struct FileLines(Vec<usize>);

impl FileLines {
    fn of(group: &[&FileDamage]) -> FileLines {
        FileLines(group.iter().filter_map(|found| found.damage.line()).collect())
    }

    fn are_many(&self) -> bool {
        self.0.len() > 1
    }

    fn are(&self) -> &'static str {
        if self.are_many() { "are" } else { "is" }
    }

    fn they(&self) -> &'static str {
        if self.are_many() { "they" } else { "it" }
    }

    /// `line 4` or `lines 4, 6 and 9 to 11`.
    fn named(&self) -> String {
        let mut runs: Vec<(usize, usize)> = Vec::new();
        for line in &self.0 {
            match runs.last_mut() {
                Some((_, last)) if *last + 1 == *line => *last = *line,
                _ => runs.push((*line, *line)),
            }
        }
        let word = |(first, last): &(usize, usize)| match last - first {
            0 => first.to_string(),
            _ => format!("{first} to {last}"),
        };
        let words: Vec<String> = runs.iter().map(word).collect();
        let listed = match words.split_last() {
            Some((last, [])) => last.clone(),
            Some((last, others)) => format!("{} and {last}", others.join(", ")),
            None => String::new(),
        };
        if self.are_many() { format!("lines {listed}") } else { format!("line {listed}") }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bad(station: &str, line: usize) -> FileDamage {
        let why = "its checksum differs".to_owned();
        FileDamage { station: station.to_owned(), damage: Damage::BadLine { line, why } }
    }

    /// A file of hundreds of damaged lines is told of in one sentence.
    #[test]
    fn one_kind_of_damage_in_a_file_is_told_once() {
        let damage: Vec<FileDamage> = [4, 9, 10, 11]
            .map(|line| bad("planer", line))
            .into_iter()
            .chain([bad("cart", 2)])
            .collect();
        let told = damage_words(&damage);
        assert_eq!(told.len(), 2);
        assert!(
            told[0].starts_with("planer.jsonl: lines 4 and 9 to 11 are not as they were written"),
            "{told:?}"
        );
        assert!(told[1].starts_with("cart.jsonl: line 2 is not as it was written"), "{told:?}");
    }

    #[test]
    fn a_name_from_a_file_never_steers_the_terminal() {
        let told = damage_words(&[bad("\u{1b}[2J", 1)]);
        assert!(!told[0].contains('\u{1b}'));
    }

    #[test]
    fn missing_lines_are_named_by_station_and_number() {
        let missing = |numbers| FileDamage {
            station: "cart".to_owned(),
            damage: Damage::Missing { numbers },
        };
        let told = damage_words(&[missing(13..=21)]);
        assert!(told[0].starts_with("cart.jsonl: numbers 13 to 21 are not here yet, or lost"));
        let told = damage_words(&[missing(13..=13)]);
        assert!(told[0].starts_with("cart.jsonl: number 13 is not here yet, or lost"));
    }
}
