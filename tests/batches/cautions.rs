//! Every machine has its own cautions, shown before anybody starts it.

use benchway::document::Document;
use benchway::plan::{Known, Plan, walk};
use benchway::prose::wrap;
use benchway::shop::{Act, MachineKind, cautions, lifting, protection};
use benchway::work::Task;
use benchway::{route, shop};

use crate::walker::Walker;

/// Words that the cautions of a machine must hold, and the source of each. Every
/// kind of machine is listed, and the compiler asks for a new one.
fn must_say(kind: MachineKind) -> &'static [&'static str] {
    match kind {
        // Guard, no freehand, not over or behind the blade: WAC 296-806-48012,
        // HSE WIS16; push stick over the last 300 mm: HSE WIS16.
        MachineKind::TableSaw => {
            &["Guard on", "Push stick for the last foot", "never cut freehand", "behind the blade"]
        }
        // 300 mm on either side of the blade: HSE, crosscut saws.
        MachineKind::CrosscutSaw => &["Hands a foot away", "never trapped", "has stopped"],
        // Held before the blade rises, one stroke for one press: WAC
        // 296-806-48024 and -48026, 29 CFR 1910.213(a)(4).
        MachineKind::StopSaw => &["hands out", "Clamp holds", "one stroke", "lock out"],
        // WAC 296-806-48056, 296-78-635; HSE WIS17.
        MachineKind::Jointer => &["guard on", "push blocks", "Nothing short", "no hand passes"],
        // WAC 296-78-620; two inches more than the rollers are apart: school rules.
        MachineKind::Planer => {
            &["stand to one side", "Never look or reach in", "roller gap and 2 in", "loose knots"]
        }
        // WAC 296-806-475; HSE, wood dust.
        MachineKind::ThicknessSander => &["Stand aside", "in-running belt", "extraction on"],
        // A quarter of an inch above the work: school rules; HSE WIS31.
        MachineKind::BandSaw => &["Guard down to 1/4 in", "push block", "stop the saw"],
        // Boring and mortising machines, 29 CFR 1910.213(l) and WAC
        // 296-806-48048, ask for a guard around bit and chuck; clamped work and
        // the gap between bit and chisel: school and club rules.
        MachineKind::Mortiser => &[
            "hold-down tight",
            "work clamped",
            "no hand under the chisel",
            "with the machine stopped",
        ],
        // Common practice, no source.
        MachineKind::RouterTable => &["Feed against the turn", "Never between bit and fence"],
        // Secured work, no gloves, hair tied back: a trade publisher's reading
        // of 29 CFR 1910.212 for drill presses.
        MachineKind::DrillPress => &["Work clamped", "chuck key out", "No gloves"],
        // Common practice, no source.
        MachineKind::ClampBench => &["Heavy clamps fall", "Two people lift"],
        // Flat or under water, and never in a heap: Harvard GSD, a note on rags
        // that cites NFPA; a closed metal container: Ohio BWC.
        MachineKind::FinishRoom => &[
            "Oily rags",
            "spread flat outdoors to dry",
            "under water in a closed metal can",
            "No flame, spark",
        ],
        // Common practice, no source.
        MachineKind::Bench => &["Work held fast"],
    }
}

/// Every kind of machine.
const KINDS: [MachineKind; 13] = [
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
];

/// Always: Every machine has its cautions.
#[test]
fn every_machine_has_its_cautions() {
    for kind in KINDS {
        let said = cautions(kind, Act::AlongFence);
        for words in must_say(kind) {
            assert!(said.iter().any(|line| line.contains(words)), "{kind:?}: {words}");
        }
        assert!(kind == MachineKind::Bench || said.len() >= 2, "{kind:?}: {said:?}");
    }
}

/// Gloves catch in what turns: OSHA's guide for protecting workers from
/// woodworking hazards. The same guide wants them against the chemicals of
/// finishing.
#[test]
fn gloves_are_off_at_cutters_and_on_at_glue_and_finish() {
    for kind in KINDS {
        let said = protection(kind);
        match kind {
            MachineKind::ClampBench | MachineKind::FinishRoom => {
                for words in ["Suitable gloves", "fresh air", "label", "safety data sheet"] {
                    assert!(said.contains(words), "{kind:?}: {words}: {said}");
                }
                let all = [said, &cautions(kind, Act::AlongFence).join(" ")].join(" ");
                assert!(!all.to_lowercase().contains("no gloves"), "{kind:?}: {all}");
            }
            MachineKind::Bench => assert!(!said.to_lowercase().contains("gloves"), "{said}"),
            _ => assert!(said.contains("no gloves"), "{kind:?}: {said}"),
        }
    }
}

/// On a sled the blade comes out where hands push (common practice, no source;
/// a block over the place: a woodworking magazine's plan of a sled). What is
/// said of ripping is not said there.
#[test]
fn a_sled_has_cautions_of_its_own() {
    let said = cautions(MachineKind::TableSaw, Act::OnSled).join(" ");
    for words in [
        "comes out at the back of sled or jig",
        "hands never behind it",
        "block",
        "Guard over the blade",
        "never cut freehand",
        "until the blade has stopped",
    ] {
        assert!(said.contains(words), "{words}: {said}");
    }
    for words in ["Push stick", "Straight edge to the fence"] {
        assert!(!said.contains(words), "{words}: {said}");
    }
    // Other machines have no sled.
    let planer = |act| cautions(MachineKind::Planer, act);
    assert_eq!(planer(Act::OnSled), planer(Act::AlongFence));
}

fn bundled(name: &str) -> Plan {
    let read = |name: &str, text: &str| Document::read(name, text).expect("JSON");
    let text = route::bundled(name).expect("a bundled route").text;
    let (route, _) = route::read(&read("route.json", text)).expect("a sound route");
    let shop = shop::read(&read("shop.json", shop::BUNDLED)).expect("a sound shop");
    walk(&route, &shop, &Known::default())
}

/// Always: Cautions of a bundled route belong to the machine and to the act.
#[test]
fn the_cautions_of_a_route_belong_to_the_act() {
    for name in ["reading-stool", "boot-bench", "till-chest", "garden-bench"] {
        for planned in &bundled(name).operations {
            let at = planned.at.as_deref().unwrap_or("nowhere");
            let said = planned.cautions.join(" ");
            let of = format!("{name} op {} at the {at}: {said}", planned.op);
            match at {
                "glue bench" | "finish room" => {
                    assert!(said.contains("Suitable gloves"), "{of}");
                    assert!(!said.to_lowercase().contains("no gloves"), "{of}");
                }
                "saw and sled" | "tenon saw" | "metric tenon saw" => {
                    assert!(said.contains("comes out at the back of sled or jig"), "{of}");
                    assert!(!said.contains("Push stick for the last foot"), "{of}");
                }
                "cabinet saw" | "metric cabinet saw" => {
                    assert!(said.contains("Push stick for the last foot"), "{of}");
                }
                _ => {}
            }
        }
    }
}

/// 16 kg and more take two people: HSE, manual handling (L23), from memory. By
/// hand: a top of 1 1/2 x 24 x 60 in is 2160 cubic inches or 0.0354 cubic metres,
/// which in heavy wood of 750 kg is 26.55 kg or 58.5 lb.
#[test]
fn a_heavy_piece_takes_two_people() {
    assert_eq!(lifting(15.9), None);
    let said = lifting(26.547).expect("a heavy piece");
    assert!(said.contains("about 59 lb (27 kg): two people lift"), "{said}");
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

/// Always: In a window of 40 columns a caution takes at most two lines, whole.
#[test]
fn every_caution_has_a_form_of_two_short_lines() {
    let mut all: Vec<String> = vec![shop::ROUGH_STOCK.to_owned()];
    all.extend(lifting(30.0));
    for kind in KINDS {
        all.push(protection(kind).to_owned());
        for act in [Act::AlongFence, Act::OnSled] {
            all.extend(cautions(kind, act).iter().map(|text| (*text).to_owned()));
        }
    }
    for bundled in route::BUNDLED {
        let route = crate::walker::read_route(bundled.text);
        let shop = crate::walker::read_shop(crate::walker::SHOP);
        let plan = walk(&route, &shop, &Known::default());
        all.extend(plan.operations.iter().flat_map(|planned| planned.cautions.clone()));
    }
    let short = |caution: &String| wrap(shop::short_caution(caution), 38_u16).len() <= 2;
    let long: Vec<&String> = all.iter().filter(|caution| !short(caution)).collect();
    assert!(long.is_empty(), "{long:#?}");
    assert!(all.iter().all(|caution| shop::short_caution(caution).ends_with('.')), "{all:#?}");
    // A short form is one, and not of a caution that no longer exists.
    let is_shortened = |caution: &&String| shop::short_caution(caution) != caution.as_str();
    let mut shortened: Vec<&String> = all.iter().filter(is_shortened).collect();
    shortened.sort();
    shortened.dedup();
    assert!(shortened.len() > 30, "{}", shortened.len());
    for caution in shortened {
        assert!(shop::short_caution(caution).len() < caution.len(), "{caution}");
    }
}
