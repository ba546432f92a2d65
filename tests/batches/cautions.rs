//! Every machine has its own cautions, shown before anybody starts it.

use benchway::shop::{MachineKind, cautions};
use benchway::work::Task;

use crate::walker::Walker;

/// Words that the cautions of a machine must hold: what common practice says
/// first about each machine. Every kind of machine is listed, and the compiler
/// asks for a new one.
fn must_say(kind: MachineKind) -> &'static [&'static str] {
    match kind {
        MachineKind::TableSaw => &["Guard on", "Push stick", "never cut freehand"],
        MachineKind::CrosscutSaw => &["Hands a foot away", "never trapped", "has stopped"],
        MachineKind::StopSaw => &["hands out", "Clamp holds", "lock out"],
        MachineKind::Jointer => &["guard on", "push blocks", "Nothing short"],
        MachineKind::Planer => &["stand to one side", "Never look or reach in"],
        MachineKind::ThicknessSander => &["Stand aside"],
        MachineKind::BandSaw => &["Guard down", "push block", "stop the saw"],
        MachineKind::Mortiser => &["hold-down tight", "work clamped", "with the machine stopped"],
        MachineKind::RouterTable => &["Feed against the turn", "Never between bit and fence"],
        MachineKind::DrillPress => &["Work clamped", "chuck key out", "No gloves"],
        MachineKind::ClampBench => &["Heavy clamps fall"],
        MachineKind::FinishRoom => &["Oily rags", "no flame or spark"],
        MachineKind::Bench => &["Work held fast"],
    }
}

/// Always: Every machine has its cautions.
#[test]
fn every_machine_has_its_cautions() {
    for kind in [
        MachineKind::TableSaw,
        MachineKind::CrosscutSaw,
        MachineKind::StopSaw,
        MachineKind::Jointer,
        MachineKind::Planer,
        MachineKind::ThicknessSander,
        MachineKind::BandSaw,
        MachineKind::Mortiser,
        MachineKind::RouterTable,
        MachineKind::DrillPress,
        MachineKind::ClampBench,
        MachineKind::FinishRoom,
        MachineKind::Bench,
    ] {
        let said = cautions(kind);
        for words in must_say(kind) {
            assert!(said.iter().any(|line| line.contains(words)), "{kind:?}: {words}");
        }
        assert!(kind == MachineKind::Bench || said.len() >= 2, "{kind:?}: {said:?}");
    }
}

/// Everyone who comes to a machine reads its cautions first.
#[test]
fn the_mortiser_begins_with_its_cautions() {
    let mut walker = Walker::stool(1);
    walker.op = 80;
    let open = benchway::journal::Event::GateOpened {
        op: 80,
        by: "MB".to_owned(),
        why: "a trial".to_owned(),
    };
    walker.push(vec![open]);
    let Task::Caution { machine, .. } = walker.task() else { panic!("{:?}", walker.task()) };
    assert_eq!(machine, "mortiser");
}
