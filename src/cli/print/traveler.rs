//! Pages that somebody asks for in the traveler. They go to the folder `pages` beside the
//! batches, each to a file of its own.

use std::io::Write;
use std::path::{Path, PathBuf};

use super::PrintTo;
use super::card::CardArguments;
use super::review::ReviewSheetArguments;
use super::safety::SafetyArguments;
use super::today::TodayPageArguments;
use crate::cli::source::SourceText;
use crate::cli::{Ending, Failure, shop_source};
use crate::journal::{Home, PAGES};
use crate::paper::{CardInput, route_card};
use crate::plan::{Known, walk};
use crate::tui::Printing;

/// The pages of a folder of batches.
pub(in crate::cli) struct PagesOfHome {
    home: PathBuf,
}

impl PagesOfHome {
    /// Beside the batches of this folder.
    pub(in crate::cli) fn of(home: &Home) -> PagesOfHome {
        PagesOfHome { home: home.path().to_owned() }
    }

    fn to(&self) -> PrintTo {
        PrintTo { folder: Some(self.home.join(PAGES)), ..PrintTo::default() }
    }

    /// What a command says that writes a page, as a sentence.
    fn said(
        &self,
        write: impl FnOnce(&Path, &mut dyn Write) -> Result<Ending, Failure>,
    ) -> Result<String, String> {
        let mut said = Vec::new();
        write(&self.home, &mut said).map_err(|why| why.to_string())?;
        let said = String::from_utf8_lossy(&said);
        Ok(format!("{}.", said.trim_end()))
    }
}

impl Printing for PagesOfHome {
    fn card(&self, batch: &str, part: Option<&str>) -> Result<String, String> {
        let card = CardArguments::of(Path::new(batch), part, self.to());
        self.said(|home, out| card.run(Some(home), out))
    }

    fn review(&self, batch: &str) -> Result<String, String> {
        let sheet = ReviewSheetArguments::of(batch, self.to());
        self.said(|home, out| sheet.write(Some(home), out))
    }

    fn route_card(&self, stem: &str, text: &str) -> Result<String, String> {
        let source = SourceText { name: format!("{stem}.json"), text: text.to_owned() };
        self.said(|home, out| {
            let (route, shop) = (source.route()?, shop_source::shop(None, Some(home))?);
            let plan = walk(&route, &shop, &Known::default());
            let (batch, owners, part, owner) = (None, &[][..], None, None);
            let (route, shop, plan) = (&route, &shop, &plan);
            let card = CardInput { route, shop, plan, batch, owners, part, owner };
            self.to().write(&route_card(&card), route.unit, out)?;
            Ok(Ending::Fine)
        })
    }

    fn today(&self) -> Result<String, String> {
        let today = TodayPageArguments::once(self.to());
        self.said(|home, out| today.run(Some(home), out))
    }

    fn safety(&self) -> Result<String, String> {
        let sheets = SafetyArguments::of_the_shop(self.to());
        self.said(|home, out| sheets.run(Some(home), out))
    }
}
