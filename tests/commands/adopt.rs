//! A batch under way is given a corrected route.

use benchway::journal::{Event, Home, OpenBatch};
use benchway::work::task;

use crate::bench::{begin, benchway_at_home};
use crate::walker::{SHOP, STOOL};

/// The stool, its legs through op 10.
fn begun(folder: &std::path::Path) -> OpenBatch {
    let home = Home::locate(Some(folder.to_owned())).expect("a folder was named");
    let now = "2026-11-25T10:41:00+01:00".parse().expect("a time with its zone");
    let mut open =
        begin(&home, "stools", (STOOL, SHOP), "cart", now, None).expect("a batch begins");
    let pieces = open.snapshot().state.pieces_into("leg", 10).map(|leg| leg.id.clone()).collect();
    let done = Event::Done {
        op: 10,
        pieces,
        pass: None,
        through: true,
        tool: None,
        settings: Vec::new(),
        by_reading: false,
    };
    open.append(Some("MB"), now, vec![done]).expect("it takes a line");
    open
}

/// Writes the stool with one text in place of another.
fn corrected(folder: &std::path::Path, from: &str, to: &str) -> String {
    assert!(STOOL.contains(from), "{from}");
    let path = folder.join("corrected.json");
    std::fs::write(&path, STOOL.replacen(from, to, 1)).expect("the folder takes a file");
    path.to_str().expect("a path of letters").to_owned()
}

const DEPTH: &str = "tenon_length + 1/32";

/// A mortise was drawn 5/8 + 1/32 = 21/32 deep and is to be 5/8 + 1/16 = 11/16. What would
/// change is shown and not written; on the lead's word it is, for a terminal at work too.
#[test]
fn a_corrected_route_is_shown_and_then_adopted() {
    let folder = tempfile::tempdir().expect("a folder for the test");
    let mut open = begun(folder.path());
    let route = corrected(folder.path(), DEPTH, "tenon_length + 1/16");
    let ask = |arguments: &[&str]| benchway_at_home(folder.path(), arguments);
    let shown = ask(&["adopt", "stools", &route]);
    assert_eq!(shown.code, 0, "{}", shown.out);
    assert!(shown.out.contains("op 80 leg: depth 21/32 -> 11/16"), "{}", shown.out);
    assert!(shown.out.contains("Nothing was written."), "{}", shown.out);

    let adopted = ask(&["adopt", "stools", &route, "--word", "MB too shallow for glue"]);
    assert_eq!(adopted.code, 0, "{}{}", adopted.out, adopted.err);
    let notes = ask(&["export", "stools", "--notes"]).out;
    assert!(notes.contains("MB adopted a corrected route: too shallow for glue"), "{notes}");
    // A terminal that has the batch open takes it in at its next key.
    assert!(open.refresh().expect("it reads"));
    let plan = &open.snapshot().plan;
    let mortise = plan.operation(80).expect("the mortise");
    let is_new = mortise.groups[0].outcome.settings.iter().any(|setting| {
        setting.name == "depth" && setting.readout.shown(setting.setting.dial.0) == "11/16"
    });
    assert!(is_new, "{:?}", mortise.groups[0].outcome.settings);
    // Begun again from the folder it is the same.
    drop(open);
    let home = Home::locate(Some(folder.path().to_owned())).expect("a folder was named");
    let again = OpenBatch::resume(&home, "stools", "cart", "test").expect("it opens");
    assert_eq!(&again.snapshot().plan, plan);
    let now = "2026-11-25T10:45:00+01:00".parse().expect("a time with its zone");
    let _ = task(&again.snapshot().context(80, Some("MB"), now));
}

/// The legs are cut to length. Whoever wants them cut to another rough length, or to have
/// more of them, is told why that can't be.
#[test]
fn what_is_begun_stays() {
    let folder = tempfile::tempdir().expect("a folder for the test");
    drop(begun(folder.path()));
    for (from, to, why) in [
        ("\"leg_length + rough\"", "\"leg_length + rough + 1\"", "op 10 is begun and would change"),
        ("\"op\": 10, \"part\"", "\"op\": 11, \"part\"", "op 10 is begun and can't go"),
        ("\"spares\": 4", "\"spares\": 5", "were counted when the batch began"),
    ] {
        let route = corrected(folder.path(), from, to);
        let said = benchway_at_home(
            folder.path(),
            &["adopt", "stools", &route, "--word", "MB it is better"],
        );
        assert_eq!(said.code, 1, "{from}: {}{}", said.out, said.err);
        assert!(said.out.contains(why), "{from}: {}", said.out);
    }
    let notes = benchway_at_home(folder.path(), &["export", "stools", "--notes"]).out;
    assert!(!notes.contains("adopted"), "{notes}");
}

/// Only a lead adopts, and says why.
#[test]
fn a_route_is_adopted_on_a_leads_word() {
    let folder = tempfile::tempdir().expect("a folder for the test");
    drop(begun(folder.path()));
    let route = corrected(folder.path(), DEPTH, "tenon_length + 1/16");
    let said = benchway_at_home(folder.path(), &["adopt", "stools", &route, "--word", "MB"]);
    assert_eq!(said.code, 2, "{}", said.out);
    assert!(said.err.contains("A reason is missing."), "{}", said.err);
}
