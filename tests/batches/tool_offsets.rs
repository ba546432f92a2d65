//! What is said of a scale's offset when another tool goes in, and where nobody knows it.

use benchway::journal::Event;
use benchway::shop::ScaleOffsets;
use benchway::tui::MachineView;

use crate::walker::Walker;

/// The stool's legs are about to be ripped, and the thin rip blade is in the saw.
fn with_the_other_blade() -> Walker {
    let mut walker = Walker::stool(1);
    for op in [10, 20] {
        walker.to_size(op);
    }
    walker.op = 30;
    let (machine, tool) = ("cabinet saw".to_owned(), "thin rip blade".to_owned());
    walker.push(vec![Event::Tool { op: 90, machine, tool }]);
    walker
}

fn said(walker: &mut Walker) -> String {
    let set = walker.to_set();
    assert_eq!(set.fit.and_then(|change| change.was).as_deref(), Some("thin rip blade"));
    let view = MachineView::of(&walker.context(), &walker.task());
    [view.now, view.details].concat().join(" ")
}

/// The bundled rip blade makes 0.012 more than the fence shows.
#[test]
fn a_tool_that_goes_in_has_its_own_offset() {
    let mut walker = with_the_other_blade();
    let text = said(&mut walker);
    let known = "With the rip blade the fence makes 0.012 more than it shows, as last found: the \
                 first piece tells.";
    assert!(text.contains(known), "{text}");
    assert!(!text.contains("Three cuts"), "the invented shop has no cuts to make: {text}");
    walker.shop.name = "Mill Street".to_owned();
    let text = said(&mut walker);
    assert!(text.contains("Three cuts find it: F2 on the opening screen."), "{text}");
}

/// Nobody found it with the rip blade, and somebody did with the thin one.
#[test]
fn an_offset_of_the_other_tool_says_nothing() {
    let mut walker = with_the_other_blade();
    let saw = walker.shop.machines.get_mut("cabinet saw").expect("it is there");
    saw.tools.get_mut("rip blade").expect("it is there").scale_offset = None;
    walker.settle();
    let text = said(&mut walker);
    let other = "The offset of the fence was found with the thin rip blade, not with the rip \
                 blade: the first piece tells.";
    assert!(text.contains(other), "{text}");
    let unknown =
        "Its offset with the rip blade is unknown: measure the first piece before the next.";
    assert!(text.contains(unknown), "{text}");
    // One number for the scale that sizes is known too.
    let saw = walker.shop.machines.get_mut("cabinet saw").expect("it is there");
    let blade = saw.tools.get_mut("rip blade").expect("it is there");
    blade.scale_offset = Some(ScaleOffsets::Sizing(benchway::measure::Length::thousandths(12)));
    walker.settle();
    assert!(!said(&mut walker).contains("unknown"));
}
