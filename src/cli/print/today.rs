//! `print today`: what there is to do today, for a screen on the wall.

use std::io::Write;
use std::path::Path;
use std::time::Duration;

use chrono::{DateTime, FixedOffset, Local, Timelike};
use clap::Args;

use super::PrintTo;
use crate::cli::named_batch::home_to_read;
use crate::cli::shop_source;
use crate::cli::{Ending, Failure};
use crate::journal::{Home, ReadBatches, UnderWay, rewrite_file};
use crate::measure::Unit;
use crate::paper::{Page, wall_page};
use crate::prose::Message;
use crate::tui::HomeWatch;
use crate::work::today;

/// How often the batches are looked at though nothing was heard of a change.
const LOOK_EVERY: Duration = Duration::from_secs(15);

/// Print what can be done today, for the wall
///
/// What `benchway today` shows, over all batches, as a page that a browser reads again by
/// itself. With --watch the file is written anew whenever somebody enters something and
/// with every minute, until this is ended with Ctrl-C; so a browser on the wall keeps up
/// with the shop.
///
/// Exits with 1 when a batch can't be read.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  benchway print today
  benchway print today --watch --replace --output wall.html")]
pub(super) struct TodayPageArguments {
    /// Keep the file up to date until this is ended
    #[arg(long)]
    watch: bool,

    #[command(flatten)]
    to: PrintTo,
}

impl TodayPageArguments {
    /// As it is now.
    pub(super) fn once(to: PrintTo) -> TodayPageArguments {
        TodayPageArguments { watch: false, to }
    }

    pub(super) fn run(&self, given: Option<&Path>, out: &mut dyn Write) -> Result<Ending, Failure> {
        let home = home_to_read(given)?;
        let mut under_way = UnderWay::default();
        // Before the first reading, so that nothing is missed in between.
        let watch = self.watch.then(|| HomeWatch::begin(home.clone()));
        let (page, ending) = read(&home, given, &mut under_way)?;
        let paper = self.to.sheet(Unit::Millimetre);
        let Some(watch) = watch else {
            self.to.write_on(&page, paper, out)?;
            return Ok(ending);
        };
        if self.to.is_to_standard_output() {
            let why = Message::error("only a file can be kept up to date");
            return Err(Failure::Option { option: "--watch", given: String::new(), why });
        }
        let path = self.to.write_on(&page, paper, out)?.unwrap_or_default();
        writeln!(out, "it is kept up to date until you press Ctrl-C")?;
        out.flush()?;
        let mut written = page.html(paper);
        let mut said = String::new();
        loop {
            watch.wait(until_the_next_look(Local::now().fixed_offset()));
            // A share that is away for a while comes back; the page waits for it.
            let kept = read(&home, given, &mut under_way).and_then(|(page, _)| {
                let text = page.html(paper);
                if text != written {
                    rewrite_file(&path, &text)?;
                    written = text;
                }
                Ok(())
            });
            let trouble = kept.err().map_or_else(String::new, |why| why.shown());
            if trouble != said && !trouble.is_empty() {
                eprintln!("{trouble}");
            }
            said = trouble;
        }
    }
}

/// The page as it is now.
fn read(
    home: &Home,
    given: Option<&Path>,
    under_way: &mut UnderWay,
) -> Result<(Page, Ending), Failure> {
    let bells = shop_source::shop(None, given)?.bells;
    let ReadBatches { batches, unread, free } = under_way.read(home)?;
    let today = today(&batches, &free, &bells, Local::now().fixed_offset());
    Ok((wall_page(&today, &unread), Ending::found(!unread.is_empty())))
}

/// The next full minute, or sooner: the page shows what time it is.
fn until_the_next_look(now: DateTime<FixedOffset>) -> Duration {
    // A leap second counts as more than a thousand milliseconds.
    let past = u64::from(now.second()) * 1000 + u64::from(now.timestamp_subsec_millis());
    LOOK_EVERY.min(Duration::from_millis(60_000_u64.saturating_sub(past).max(1)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 10:42:50 has 10 s to go to the minute, less than the 15; 10:42:00.5 has 59.5.
    #[test]
    fn the_page_is_looked_at_by_the_full_minute() {
        let left = |at: &str| until_the_next_look(at.parse().expect("a time"));
        assert_eq!(left("2026-11-25T10:42:50+01:00"), Duration::from_secs(10));
        assert_eq!(left("2026-11-25T10:42:00.500+01:00"), LOOK_EVERY);
    }
}
