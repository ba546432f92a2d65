//! The machine screen in words.

use super::piece_row::PieceRow;
use crate::work::Remedy;

/// The one line that says what to do, or what a reading says.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Order {
    /// A verb or a verdict in capitals: `SET`, `TOO LONG`.
    pub word: String,
    /// What it is done to, short enough for large letters: `leg 4`.
    pub subject: String,
    /// The same in a few words, for a narrow window: `leg 4 length`.
    pub brief: String,
    /// The rest of the line: `leg 4, back left: cut it, then its length.`
    pub rest: String,
}

impl Order {
    /// An order with a short form of its own.
    pub(super) fn new(
        word: impl Into<String>,
        subject: impl Into<String>,
        brief: impl Into<String>,
        rest: impl Into<String>,
    ) -> Order {
        let (word, subject) = (word.into(), subject.into());
        Order { word, subject, brief: brief.into(), rest: rest.into() }
    }

    /// An order that is short as it is.
    pub(super) fn short(word: &str, rest: impl Into<String>) -> Order {
        let rest = rest.into();
        Order { word: word.to_owned(), subject: String::new(), brief: rest.clone(), rest }
    }

    /// The whole line.
    pub fn line(&self) -> String {
        format!("{}   {}", self.word, self.rest)
    }
}

/// The one area in reverse video: where hand or head goes next.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Lit {
    /// None: hands are on the work.
    #[default]
    Nothing,
    /// The number is set.
    Number,
    /// The order stops the work.
    Order,
    /// Something is typed.
    Entry,
    /// The cautions are read.
    Cautions,
}

/// The machine screen in words: title, order, the one number, how, what to
/// type. It knows no cells and no colours.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct MachineView {
    /// `op 50 sand leg`.
    pub title: String,
    /// `wide-belt sander, 80 belt`; empty where there is none.
    pub machine: String,
    /// `21 done  1 aside  30 to go`.
    pub count: String,
    /// What to do, in one line.
    pub order: Order,
    /// What the number is: `fence to`, `fence stands at`.
    pub label: String,
    /// The one number, as its scale shows it.
    pub big: String,
    /// What it makes, and with which tool.
    pub under: String,
    /// Who is at the same operation from another station, before anything is begun here.
    pub beside: Vec<String>,
    /// How, the most needed first.
    pub now: Vec<String>,
    /// How the piece lies and where along it it is cut, where no scale says it: step
    /// after step.
    pub places: Vec<String>,
    /// Which area is lit.
    pub lit: Lit,
    /// Whether the verdict on the last reading belongs here.
    pub shows_last: bool,
    /// What stays true meanwhile: limits, steps.
    pub details: Vec<String>,
    /// Where the number comes from; the first to go where there is no room.
    pub why: Vec<String>,
    /// The cautions that stay in sight, the one that matters most first.
    pub cautions: Vec<String>,
    /// The pieces of this operation.
    pub pieces: PieceRow,
    /// What is to be typed.
    pub prompt: String,
    /// The unit of a bare number; empty where none is typed.
    pub unit: &'static str,
    /// What Enter does with nothing typed; empty where it does nothing.
    pub enter: String,
    /// What can be done with a piece, one letter each.
    pub choices: Vec<Remedy>,
}

impl MachineView {
    /// Takes the number off the screen, where nothing is set to it.
    pub(super) fn clear_number(&mut self) {
        self.big.clear();
        self.label.clear();
        self.under.clear();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_order_is_its_word_and_the_rest() {
        let order = Order::new("SET", "fence", "the fence", "the fence to 1 1/4");
        assert_eq!(order.line(), "SET   the fence to 1 1/4");
        let short = Order::short("WHO", "is here?");
        assert_eq!((short.line().as_str(), short.brief.as_str()), ("WHO   is here?", "is here?"));
        assert_eq!(short.subject, "");
    }
}
