//! `today`: what there is to do in the shop, over all batches under way.

mod json;

use std::io::Write;
use std::path::Path;

use clap::Args;

use super::named_batch::home_to_read;
use super::page::{TextPage, WIDE};
use super::walk::{self, TerminalArguments};
use super::{Ending, ExchangeChoice, Failure, Format, shop_source};
use crate::journal::{ReadBatches, UnderWay, UnreadBatch};
use crate::prose::visible;
use crate::work::{
    ArticleStanding, Today, article_rows, machine_lines, today, today_title, waiting_lines,
};

/// Show what can be done today, over all batches
///
/// For each machine: who is at it, which operations can start there, how long they
/// take, who is signed off, and which settings serve several operations whatever
/// their batch. Then what is waited for and when that ends, and for each batch
/// where the pieces of every article are.
///
/// A time comes from the machine's feed, or from pieces of the same kind of
/// operation that were timed at this machine; where nobody knows it is a guess and
/// says so. Times for setting a machine are not in it. The bell rings as the key
/// `bells` of the shop file says. Whoever said today who they are counts as here until
/// they leave the traveler. Where nobody has their station open any more though they
/// didn't leave, that is said: a lead may want to look. So is that the server has no
/// connection with a terminal. Invented batches are left out.
///
/// With --watch it fills the terminal and keeps itself up to date, with no key
/// pressed: for a screen on the wall.
///
/// In JSON the keys are now, bell (or null), machines (at: the machine or null,
/// people, work, settings), elsewhere (people at no machine), left (people who left
/// today), waits (batch, op, what, until), batches (batch, route, article, parts,
/// articles) and unread (batch, why). People have who, station, batch, op (or null),
/// since (at the operation, or else at the station), wrote, standing (here, vanished:
/// gone without leaving, out-of-reach: at a terminal that the server has no connection
/// with, or left) and left_at (or null).
/// Work has batch, op, do, part, standing (begun, ready or waits), why, to_go,
/// minutes, minutes_by (feed, this-batch, other-batches or guess), timed (pieces),
/// by_the_bell (or null), may (who, here; empty where anybody may) and waiting
/// (minutes ahead of the part). A setting has tool (or null), shows (scale, dial)
/// and uses (batch, op, do, part, pieces, pass or null, ready). A batch has parts
/// (part, ops) and articles (number, owner or null, stands: for each part the
/// standing at each of its operations: done, under way, waiting, aside or null).
///
/// Exits with 1 when a batch can't be read.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  benchway today
  benchway today --watch")]
pub(super) struct TodayArguments {
    /// Fill the terminal, and keep it up to date
    #[arg(long, conflicts_with = "format")]
    watch: bool,

    /// Output for people (text) or for programs (json)
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,

    #[command(flatten)]
    at: TerminalArguments,
}

impl TodayArguments {
    /// Whether it stays, and keeps itself up to date.
    #[cfg(feature = "meet")]
    pub(super) fn watches(&self) -> bool {
        self.watch
    }

    pub(super) fn run(
        &self,
        given: Option<&Path>,
        exchange: &ExchangeChoice,
        out: &mut dyn Write,
    ) -> Result<Ending, Failure> {
        if self.watch {
            return walk::watching(given, &self.at, exchange, out);
        }
        let home = home_to_read(given)?;
        let bells = shop_source::shop(None, given)?.bells;
        let ReadBatches { batches, unread, mut free } = UnderWay::default().read(&home)?;
        free.unconnected(exchange.unconnected());
        let now = chrono::Local::now().fixed_offset();
        let today = today(&batches, &free, &bells, now);
        match self.format {
            Format::Text => print(&today, &unread, out)?,
            Format::Json => json::print(&today, &unread, out)?,
        }
        Ok(Ending::found(!unread.is_empty()))
    }
}

fn print(today: &Today, unread: &[UnreadBatch], out: &mut dyn Write) -> std::io::Result<()> {
    let mut page = TextPage::new(out, 2);
    page.title(&format!("Today {}", today_title(today)))?;
    page.blank()?;
    for line in machine_lines(today).iter().chain(&waiting_lines(today)) {
        line.rows(WIDE).iter().try_for_each(|row| page.row(row))?;
    }
    if !today.batches.is_empty() {
        page.blank()?;
        let signs = ArticleStanding::ALL.map(|held| format!("{} {}", sign(held), held.word()));
        page.title(&format!("Pieces of each article: {}", signs.join(", ")))?;
    }
    for batch in &today.batches {
        page.row(visible(&batch.batch))?;
        article_rows(batch, WIDE, sign).iter().try_for_each(|row| page.row(row))?;
    }
    for UnreadBatch { batch, why } in unread {
        page.line(0, &format!("{batch} can't be read: {why}"))?;
    }
    Ok(())
}

/// The sign of a standing on paper and in a pipe.
fn sign(standing: ArticleStanding) -> &'static str {
    match standing {
        ArticleStanding::Done => "#",
        ArticleStanding::UnderWay => ">",
        ArticleStanding::Waiting => ".",
        ArticleStanding::Aside => "x",
    }
}
