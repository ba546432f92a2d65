//! What has been said already, so that nothing is said twice unasked.

use std::collections::HashSet;

use crate::work::Task;

/// What was said since somebody came to an operation.
#[derive(Debug, Default)]
pub(super) struct Said {
    /// The operation that was named.
    op: Option<u32>,
    /// What was asked last.
    task: Option<Task>,
    /// What stays true through the operation.
    lines: HashSet<String>,
    /// What belonged to the last task alone.
    passing: Vec<String>,
}

impl Said {
    /// Whether the operation has yet to be named. From here on what was said of
    /// another one counts no more.
    pub(super) fn comes_to(&mut self, op: u32) -> bool {
        let is_new = self.op != Some(op);
        if is_new {
            *self = Said { op: Some(op), ..Said::default() };
        }
        is_new
    }

    /// Whether the task has yet to be put.
    pub(super) fn puts(&mut self, task: &Task) -> bool {
        let is_new = self.task.as_ref() != Some(task);
        self.task = Some(task.clone());
        is_new
    }

    /// Whether this is what was asked when somebody last heard the question.
    pub(super) fn is_asked(&self, op: u32, task: &Task) -> bool {
        self.op == Some(op) && self.task.as_ref() == Some(task)
    }

    /// The lines that were not said at this operation yet.
    pub(super) fn fresh(&mut self, lines: Vec<String>) -> Vec<String> {
        lines.into_iter().filter(|line| self.lines.insert(line.clone())).collect()
    }

    /// The lines of a task that its forerunner did not have.
    pub(super) fn passing(&mut self, lines: Vec<String>) -> Vec<String> {
        let fresh = lines.iter().filter(|line| !self.passing.contains(line)).cloned().collect();
        self.passing = lines;
        fresh
    }

    /// Lines that are said again, whatever was said before.
    pub(super) fn forgets(&mut self, lines: &[String]) {
        self.lines.retain(|line| !lines.contains(line));
    }

    /// Takes a line as said, because the answer said it.
    pub(super) fn knows(&mut self, line: String) {
        self.lines.insert(line);
    }

    /// After something else filled the ear, what is asked is put again.
    pub(super) fn forget_task(&mut self) {
        self.task = None;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lines(words: &[&str]) -> Vec<String> {
        words.iter().map(|word| (*word).to_owned()).collect()
    }

    #[test]
    fn what_stays_true_is_said_once_an_operation() {
        let mut said = Said::default();
        assert!(said.comes_to(60));
        assert_eq!(said.fresh(lines(&["hold it down", "face A up"])).len(), 2);
        assert!(!said.comes_to(60));
        assert_eq!(said.fresh(lines(&["face A up", "face B up"])), ["face B up"]);
        assert!(said.comes_to(70));
        assert_eq!(said.fresh(lines(&["face A up"])), ["face A up"]);
    }

    /// Width, width, thickness, width: the limits are said whenever they change.
    #[test]
    fn what_belongs_to_a_task_is_said_when_it_changes() {
        let mut said = Said::default();
        let mut heard = |words| said.passing(lines(&[words])).len();
        assert_eq!([heard("2 in"), heard("2 in"), heard("1 in"), heard("2 in")], [1, 0, 1, 1]);
    }

    #[test]
    fn a_task_is_put_once_until_something_else_was_heard() {
        let mut said = Said::default();
        assert!(said.puts(&Task::Who));
        assert!(!said.puts(&Task::Who));
        said.forget_task();
        assert!(said.puts(&Task::Who));
    }
}
