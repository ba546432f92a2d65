//! A batch under way goes on in the shop as it is now.

use std::path::Path;

use benchway::journal::{Event, Home, OpenBatch};
use benchway::measure::Length;
use benchway::plan::Plan;
use benchway::work::ShopChange;

use crate::bench::{begin, benchway_at_home};
use crate::walker::{SHOP, STOOL};

fn now() -> chrono::DateTime<chrono::FixedOffset> {
    "2026-11-25T10:41:00+01:00".parse().expect("a time with its zone")
}

fn home(folder: &Path) -> Home {
    Home::locate(Some(folder.to_owned())).expect("a folder was named")
}

/// The stool, its legs through op 10, and a present shop in which one text is another.
fn begun(folder: &Path, from: &str, to: &str) -> OpenBatch {
    let mut open =
        begin(&home(folder), "stools", (STOOL, SHOP), "cart", now(), None).expect("a batch begins");
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
    open.append(Some("MB"), now(), vec![done]).expect("it takes a line");
    let own = SHOP.replacen("Lantern Lane teaching shop", "Mill Street", 1);
    assert!(own.contains(from), "{from}");
    std::fs::write(folder.join("shop.json"), own.replacen(from, to, 1)).expect("written");
    open
}

/// The rip blade makes 0.032 more than the fence shows now, where it made 0.012 more.
const RIP: (&str, &str) = ("\"fence\": \"0.012\"", "\"fence\": \"0.032\"");

/// What the fence must show at op 30, and what that makes.
fn fence(plan: &Plan) -> (Length, Length) {
    let rip = plan.operation(30).expect("the rip cut");
    let settings = &rip.groups[0].outcome.settings;
    let fence = settings.iter().find(|named| named.name == "fence").expect("its fence");
    (fence.setting.dial.0, fence.setting.predicted)
}

/// Ripped with 0.020 more beyond the scale, the fence shows 0.020 less and makes the same:
/// 0.020 is a whole number of its steps of 0.005. It is shown first, then adopted, and a
/// terminal at work takes it in; so does one that opens the batch later.
#[test]
fn the_present_shop_is_shown_and_then_adopted() {
    let folder = tempfile::tempdir().expect("a folder for the test");
    let mut open = begun(folder.path(), RIP.0, RIP.1);
    let (dial, makes) = fence(&open.snapshot().plan);
    let ask = |arguments: &[&str]| benchway_at_home(folder.path(), arguments);
    let shown = ask(&["adopt", "stools", "--shop"]);
    assert_eq!(shown.code, 0, "{}{}", shown.out, shown.err);
    assert!(shown.out.contains("The present shop: Mill Street"), "{}", shown.out);
    assert!(shown.out.contains("op 30 leg: fence "), "{}", shown.out);
    assert!(shown.out.contains("Nothing was written."), "{}", shown.out);

    let adopted = ask(&["adopt", "stools", "--shop", "--word", "MB new rip blade"]);
    assert_eq!(adopted.code, 0, "{}{}", adopted.out, adopted.err);
    assert!(open.refresh().expect("it reads"));
    let now_set = (dial - Length::thousandths(20), makes);
    assert_eq!(fence(&open.snapshot().plan), now_set);
    assert_eq!(open.snapshot().shop.name, "Mill Street");
    drop(open);
    let again = OpenBatch::resume(&home(folder.path()), "stools", "cart", "test").expect("opens");
    assert_eq!(fence(&again.snapshot().plan), now_set);
    assert_eq!(again.snapshot().shop.name, "Mill Street");
    let notes = ask(&["export", "stools", "--notes"]).out;
    assert!(notes.contains("MB adopted the present shop: new rip blade"), "{notes}");
    // The same shop changes nothing any more.
    let same = ask(&["adopt", "stools", "--shop"]).out;
    assert!(!same.contains("->"), "{same}");
}

/// The chop saw makes 1/16 more now, and op 10 is half done with it.
#[test]
fn what_is_half_done_is_finished_first() {
    let folder = tempfile::tempdir().expect("a folder for the test");
    drop(begun(folder.path(), "\"stop\": \"0\"", "\"stop\": \"1/16\""));
    let said =
        benchway_at_home(folder.path(), &["adopt", "stools", "--shop", "--word", "MB it is so"]);
    assert_eq!(said.code, 1, "{}{}", said.out, said.err);
    let why = "op 10 is half done and would go on by other numbers; finish it first";
    assert!(said.out.contains(why), "{}", said.out);
    assert!(said.out.contains("Nothing was written."), "{}", said.out);
}

/// A machine that is still needed can't be lost, nor a tool, nor a gauge.
#[test]
fn what_is_still_in_use_is_not_lost() {
    let folder = tempfile::tempdir().expect("a folder for the test");
    drop(begun(folder.path(), RIP.0, RIP.0));
    let path = folder.path().join("shop.json");
    let whole = std::fs::read_to_string(&path).expect("there");
    let taken = ShopChange::TakenOut { machine: "planer".to_owned() };
    let without = taken.made(&whole, "MB").expect("the planer is there");
    for (text, why) in [
        (without, "op 40 needs the planer, which this shop hasn't"),
        (
            whole.replacen("\"rip blade\"", "\"ripping blade\"", 1),
            "op 30 needs the rip blade of the cabinet saw, which this shop hasn't",
        ),
        (
            whole.replacen("\"calipers\"", "\"callipers\"", 1),
            "the calipers, which this shop hasn't",
        ),
    ] {
        std::fs::write(&path, text).expect("written");
        let said = benchway_at_home(folder.path(), &["adopt", "stools", "--shop"]);
        assert_eq!(said.code, 1, "{why}: {}{}", said.out, said.err);
        assert!(said.out.contains(why), "{why}: {}", said.out);
    }
    std::fs::write(&path, "{").expect("written");
    let said = benchway_at_home(folder.path(), &["adopt", "stools", "--shop"]);
    assert_eq!(said.code, 2, "{}", said.out);
}

/// Either a route or a shop.
#[test]
fn one_thing_is_adopted_at_a_time() {
    let folder = tempfile::tempdir().expect("a folder for the test");
    drop(begun(folder.path(), RIP.0, RIP.1));
    assert_eq!(benchway_at_home(folder.path(), &["adopt", "stools"]).code, 2);
    let both = ["adopt", "stools", "stool.json", "--shop", "bundled"];
    assert_eq!(benchway_at_home(folder.path(), &both).code, 2);
    let bundled = benchway_at_home(folder.path(), &["adopt", "stools", "--shop", "bundled"]);
    assert!(
        bundled.out.contains("The present shop: Lantern Lane teaching shop"),
        "{}",
        bundled.out
    );
}
