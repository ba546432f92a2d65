//! A lead's PIN in a real terminal: it is never shown.

use benchway::journal::{Decision, Event};

use crate::terminal::Terminal;
use crate::traveler::{BENCHWAY, Hand, USUAL, empty_home, lines};

/// Whether what the program wrote holds a text anywhere, escapes left out or not.
fn is_written(terminal: &Terminal, text: &str) -> bool {
    let drawn = terminal.drawn();
    drawn.raw.windows(text.len()).any(|window| window == text.as_bytes())
}

#[test]
fn a_pin_is_asked_twice_and_then_for_the_leads_word() {
    let home = empty_home();
    for (second, code, words) in
        [("4712", 2, "the two are not the same"), ("4711", 0, "MB has a PIN now")]
    {
        let mut terminal = Terminal::start(BENCHWAY, &["pin", "MB"], home.path(), &[], USUAL);
        terminal.wait_for("PIN of MB:");
        terminal.send("47x\x7f11\r");
        terminal.wait_for("Again:");
        terminal.send(&format!("{second}\r"));
        assert_eq!(terminal.ended().exit_code(), code);
        assert!(terminal.text().contains(words), "{}", terminal.text());
        assert!(!is_written(&terminal, "4711") && !is_written(&terminal, "47x"));
    }
    let mut hand = Hand::at_a_stool(&home, &[]);
    hand.terminal.send("ST\r");
    hand.terminal.wait_until_gone("is at the machine?");
    // F4, so that the letter after it is no part of a word.
    hand.terminal.send("\x1bOS");
    hand.terminal.wait_for("in cut order");
    hand.terminal.send("s");
    hand.terminal.wait_for("aside: lead's initials");
    hand.terminal.send("MB split\r");
    hand.terminal.wait_for("PIN of MB");
    // Esc goes back to what was typed, which stays.
    hand.terminal.send("47");
    hand.terminal.wait_for("> **");
    hand.terminal.send("\x1b");
    hand.terminal.wait_until_gone("**");
    hand.terminal.send("\x1b");
    hand.terminal.wait_for("> MB split");
    hand.terminal.send("\r");
    hand.terminal.wait_for("PIN of MB");
    hand.terminal.send("4711");
    hand.terminal.wait_for("> ****");
    assert!(!is_written(&hand.terminal, "4711"));
    let before = lines(home.path()).len();
    hand.terminal.send("\r");
    hand.terminal.wait_until_gone("PIN of MB");
    let written = lines(home.path()).split_off(before);
    let aside = |event: &Event| matches!(event, Event::Decided { decision: Decision::SetAside, why, .. } if why == "MB: split");
    assert!(written.iter().any(|line| aside(&line.event)), "{written:?}");
    hand.terminal.send("\x03");
    hand.terminal.ended();
    hand.terminal.is_put_back();
}

/// Line by line the terminal itself shows what is typed, so it is told not to.
#[cfg(unix)]
#[test]
fn a_pin_typed_line_by_line_is_not_shown() {
    let home = empty_home();
    let mut terminal = Terminal::start(BENCHWAY, &["pin", "MB"], home.path(), &[], USUAL);
    for asked in ["PIN of MB:", "Again:"] {
        terminal.wait_for(asked);
        terminal.send("4711\r");
    }
    assert_eq!(terminal.ended().exit_code(), 0);
    let arguments = ["walk", "--plain", "reading-stool", "--articles", "1", "--name", "stool"];
    let mut at = Terminal::start(BENCHWAY, &arguments, home.path(), &[("TERM", "dumb")], USUAL);
    at.wait_for("Your initials:");
    at.send("st\r");
    at.wait_for("Enter: read, and trained on this machine:");
    at.send("p\r");
    at.wait_for("Piece to hear about");
    at.send("aside leg 4\r");
    at.wait_for("lead's initials, why:");
    at.send("MB split\r");
    at.wait_for("PIN of MB");
    at.send("4711\r");
    at.wait_for("Leg 5 spare takes its place");
    assert!(is_written(&at, "MB split") && !is_written(&at, "4711"), "{}", at.text());
    at.send("q\r");
    assert_eq!(at.ended().exit_code(), 0);
    at.is_put_back();
}
