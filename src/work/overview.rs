//! How far a batch has come, in one line, for lists of what is under way.

use super::progress::next_op;
use crate::journal::BatchFolder;
use crate::journal::Event;
use crate::journal::{PieceTally, State};
use crate::journal::{read_route, without_beginning};
use crate::route::Route;

/// A batch under way, as lists show it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BatchRow {
    /// The name of the batch.
    pub name: String,
    /// The name of its route; empty where that cannot be read.
    pub route: String,
    /// `op 50 sand leg: 21 done, 1 set aside, 30 to go`, or why that is unknown.
    pub progress: String,
}

impl BatchRow {
    /// Reads the batch in a folder. It never fails: the row says what is wrong.
    pub fn of(folder: &BatchFolder) -> BatchRow {
        let name = folder.name().to_owned();
        let unreadable =
            |why: String| BatchRow { name: name.clone(), route: String::new(), progress: why };
        let route = match folder.route_json() {
            Ok(text) => read_route(&text),
            Err(error) => return unreadable(error.to_string()),
        };
        let route = match route {
            Ok(route) => route,
            Err(error) => return unreadable(route_words(&error.to_string())),
        };
        match folder.read_all::<Event>() {
            Ok(everything) => {
                let state = State::fold(&everything.entries);
                if !state.is_started() {
                    return unreadable(without_beginning(&name));
                }
                let adopted = state.adopted_route.as_deref().and_then(|text| read_route(text).ok());
                let route = adopted.unwrap_or(route);
                let mut progress = progress(&route, &state);
                if state.invented {
                    progress = format!("invented; {progress}");
                }
                BatchRow { name, route: route.name.clone(), progress }
            }
            Err(error) => unreadable(error.to_string()),
        }
    }
}

/// Why a route can't be read, on one line: only the first problem fits there.
fn route_words(problems: &str) -> String {
    let first = problems.lines().next().unwrap_or_default();
    format!("its route can't be read: {}", first.strip_prefix("error: ").unwrap_or(first))
}

fn progress(route: &Route, state: &State) -> String {
    let Some(op) = next_op(route, state, "") else { return "finished".to_owned() };
    let Some(step) = route.step(op) else {
        return format!("op {op} boards: {}", state.boards.progress());
    };
    let PieceTally { done, aside, to_go } = state.tally(&step.part, op);
    format!("op {op} {} {}: {done} done, {aside} set aside, {to_go} to go", step.kind, step.part)
}
