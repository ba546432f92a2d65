//! The readings of a batch at one machine, whatever the part, each minus its own target.

use std::path::Path;

use super::table::ChartReadings;
use super::{Ending, Failure};
use crate::cli::named_batch::{NamedBatch, home_to_read};
use crate::measure::Unit;
use crate::prose::{Message, nearest};
use crate::review::{Series, SeriesPoint, series};

/// Every reading at a machine in the order taken, their unit, and whether the files of
/// the batch have to be looked at. Deviations from targets let parts of different sizes
/// share one chart.
pub(super) fn read(
    batch: &str,
    machine: &str,
    op: Option<u32>,
    home: Option<&Path>,
) -> Result<(ChartReadings, Unit, Ending), Failure> {
    let home = home_to_read(home)?;
    let NamedBatch { route, state, ending, .. } = NamedBatch::open(&home, batch)?;
    let all = series(&route, &state);
    let here =
        |held: &&Series| held.at.as_deref() == Some(machine) && op.is_none_or(|op| held.op == op);
    let mut points: Vec<&SeriesPoint> =
        all.iter().filter(here).flat_map(|held| &held.points).collect();
    if points.is_empty() {
        let machines = all.iter().filter_map(|held| held.at.as_deref());
        let near = nearest(machine, machines.clone()).map(|near| format!("did you mean `{near}`?"));
        let help = near.unwrap_or_else(|| {
            let mut known: Vec<&str> = machines.collect();
            known.sort_unstable();
            known.dedup();
            format!("it has readings from {}", known.join(", "))
        });
        let why = Message::error("this batch has no readings from there").help(help);
        return Err(Failure::Option { option: "--at", given: machine.to_owned(), why });
    }
    points.sort_by_key(|point| point.order);
    let values = points.iter().map(|point| point.miss().in_unit(route.unit)).collect();
    Ok((ChartReadings::of_batch(batch, machine, values), route.unit, ending))
}
