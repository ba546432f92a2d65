//! Runs one conversation with a server on the thread that asks, to its end or within its time.

use std::time::Duration;

use super::problem::MeetProblem;

/// Waits until the conversation ends.
///
/// # Errors
///
/// What it ends with, and where it takes longer.
pub(super) fn held<T>(
    within: Duration,
    conversation: impl Future<Output = Result<T, MeetProblem>>,
) -> Result<T, MeetProblem> {
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build();
    let runtime = runtime.map_err(MeetProblem::NoThread)?;
    let limited = async { tokio::time::timeout(within, conversation).await };
    tokio::task::LocalSet::new().block_on(&runtime, limited).map_err(|_| MeetProblem::Silent)?
}
