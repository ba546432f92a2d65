//! Every kind of page the program makes, written once for all tests, on both sheets.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;
use std::time::{Duration, Instant};

use crate::bench::benchway_in;

/// The sheet of a page within its margins, in CSS pixels: 96 to the inch of 25.4 mm. All
/// margins together are 24 mm across and 22 mm along, as the stylesheet has them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SheetSize {
    pub wide: u32,
    pub high: u32,
}

/// One file for browser and printer.
#[derive(Clone, Debug)]
pub struct MadePage {
    /// The command, and the sheet where it has a choice.
    pub name: String,
    pub file: PathBuf,
    /// How long the program took to write it.
    pub made_in: Duration,
    sheet: &'static str,
}

impl MadePage {
    /// Sheets of labels have the size of the paper on a screen too: they are looked at before
    /// they are printed, and nobody reads them in the shop.
    pub fn is_as_large_as_paper(&self) -> bool {
        self.name.starts_with("labels")
    }

    /// The paper in millimetres, wide and high as it lies.
    fn paper(&self) -> (f64, f64) {
        let (wide, high) = match self.sheet {
            "a4" => (210.0, 297.0),
            _ => (215.9, 279.4),
        };
        if self.name.starts_with("marks") { (high, wide) } else { (wide, high) }
    }

    /// The paper in points of 1/72 in.
    pub fn paper_in_points(&self) -> (f64, f64) {
        let (wide, high) = self.paper();
        (wide * 72.0 / 25.4, high * 72.0 / 25.4)
    }

    pub fn sheet(&self) -> SheetSize {
        let (wide, high) = self.paper();
        let margins = if self.name.starts_with("labels") { (0.0, 0.0) } else { (24.0, 22.0) };
        // A sheet of labels is as wide as the paper, to a part of a pixel.
        let pixels = |millimetres: f64| (millimetres * 96.0 / 25.4 + 0.4).floor() as u32;
        SheetSize { wide: pixels(wide - margins.0), high: pixels(high - margins.1) }
    }
}

/// Each kind once, on one sheet: what is the same on a screen, whichever sheet it is for.
pub fn pages_once() -> impl Iterator<Item = &'static MadePage> {
    pages().iter().filter(|page| !page.name.ends_with(" a4"))
}

/// All of them.
pub fn pages() -> &'static [MadePage] {
    static PAGES: OnceLock<Vec<MadePage>> = OnceLock::new();
    PAGES.get_or_init(|| {
        let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("browser");
        let _ = fs::remove_dir_all(&folder);
        fs::create_dir_all(&folder).expect("the target folder can be written");
        let mut press = Press { folder, pages: Vec::new() };
        press.all();
        press.pages
    })
}

/// Makes pages in a folder with a home in it.
struct Press {
    folder: PathBuf,
    pages: Vec<MadePage>,
}

/// Makers with long names, one of them in one word.
const MAKERS: &str = "owner,height\nAB,18 7/8\nWilhelmina Fotheringhay,20 7/8\n\
                      Featherstonehaughmansion,18 7/8\n";
const ROUTES: [&str; 6] =
    ["boot-bench", "garden-bench", "hall-bench", "reading-stool", "till-chest", "wall-cupboard"];
/// A batch with a name in one word that no phone has room for.
const CLASS: &str = "stools-of-the-evening-class-that-meets-on-thursdays-until-easter";

impl Press {
    fn run(&self, arguments: &[&str]) -> String {
        let said = benchway_in(&self.folder, &self.folder.join("home"), arguments);
        // A route or chart with something to say ends with 1.
        assert!(said.code <= 1 && said.err.is_empty(), "{arguments:?}: {}", said.err);
        said.out
    }

    fn keep(&mut self, name: String, sheet: &'static str, arguments: &[&str]) {
        let begun = Instant::now();
        let page = self.run(arguments);
        let made_in = begun.elapsed();
        let file = self.folder.join(format!("{}.html", name.replace(' ', "-")));
        fs::write(&file, page).expect("the folder can be written");
        self.pages.push(MadePage { name, file, made_in, sheet });
    }

    /// On both sheets.
    fn print(&mut self, kind: &str, what: &[&str]) {
        for sheet in ["a4", "letter"] {
            let name = [&[kind], &what[..what.len().min(1)], &[sheet]].concat().join(" ");
            let to = ["--paper", sheet, "--output", "-"];
            self.keep(name, sheet, &[&["print", kind], what, &to].concat());
        }
    }

    fn all(&mut self) {
        fs::write(self.folder.join("class.csv"), MAKERS).expect("written");
        self.run(&["walk", "reading-stool", "--plain", "--name", CLASS, "--makers", "class.csv"]);
        let faults = ["--fault", "op 60 step 1/32 after piece 3", "--fault", "op 50 double jog"];
        let stools = ["simulate", "reading-stool", "--name", "stools", "--misses", "0.02"];
        self.run(&[&stools[..], &faults].concat());
        self.run(&["simulate", "boot-bench", "--name", "benches", "--seed", "3"]);
        self.run(&["simulate", "till-chest", "--name", "chests", "--until", "60"]);
        for route in ROUTES {
            self.print("card", &[route]);
        }
        for batch in ["invented-stools", "invented-benches"] {
            self.print("review", &[batch]);
        }
        self.print("marks", &["reading-stool", "--boards", "stool-boards"]);
        self.print("safety", &[]);
        self.print("today", &[]);
        self.print("cuts", &["boot-bench"]);
        self.print("shopping", &["boot-bench"]);
        for kind in ["card", "cuts", "shopping"] {
            self.print(kind, &[CLASS]);
        }
        for (grid, sheet) in [
            ("a4-3x8", "a4"),
            ("a4-3x7", "a4"),
            ("letter-3x10", "letter"),
            ("letter-2x5", "letter"),
        ] {
            let labels = ["print", "labels", CLASS, "--grid", grid, "--output", "-"];
            self.keep(format!("labels {grid}"), sheet, &labels);
        }
        let at = ["chart", "invented-stools", "--at", "stop saw", "--limits", "±1/64"];
        self.keep("chart".to_owned(), "letter", &[&at[..], &["--format", "html"]].concat());
        for of in ["boot-bench", "invented-stools"] {
            self.keep(format!("fits {of}"), "letter", &["fits", of, "--format", "html"]);
        }
    }
}
