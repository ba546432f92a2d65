//! A reader of several shops compares their machines: every batch of every shop comes into a
//! folder of the shop, also the archived ones.

use std::fs;

use benchway::meet::MemberRole;
use serde_json::Value;

use super::database::Database;
use super::slats::{SLATS, STATION, batch_of_slats};
use super::station::Station;

/// Twelve slats a batch, each read once at the stop saw: north has two batches, south one.
#[test]
#[ignore = "needs PostgreSQL"]
fn a_reader_compares_the_machines_of_several_shops() {
    let database = Database::make();
    let place = tempfile::tempdir().expect("a folder for the test");
    let reader = database.add("reader", "north", None, MemberRole::Reader);
    database.add("reader", "south", None, MemberRole::Reader);
    for (shop, seeds) in [("north", &[1, 2][..]), ("south", &[3])] {
        let login = database.add(shop, shop, Some(STATION), MemberRole::Lead);
        let lead = Station::new(place.path(), shop, database.address(&login, database.port()), 0);
        for seed in seeds {
            batch_of_slats(&lead.home.join(format!("slats {seed}")), SLATS, *seed, &[]);
        }
        let (code, _, complaint) = lead.run(&["batches"]);
        assert_eq!((code, complaint.as_str()), (0, ""), "{shop}");
        if shop == "north" {
            let name = database.ask("select name from benchway.batch order by name limit 1");
            let (code, _, complaint) = lead.run(&["meet", "archive", &name[0]]);
            assert_eq!((code, complaint.as_str()), (0, ""));
        }
    }
    let reader =
        Station::new(place.path(), "reader", database.address(&reader, database.port()), 0);
    let words = ["learn", "--machine", "stop-saw", "--format", "json"];
    let (code, out, complaint) = reader.run(&words);
    assert_eq!((code, complaint.as_str()), (0, ""), "{out}");
    let answer: Value = serde_json::from_str(&out).expect("JSON");
    let used = |at: usize| -> (String, u64, u64) {
        let shop = &answer["shops"][at];
        let machines = shop["machines"].as_array().expect("a list");
        let saw = machines.iter().find(|machine| machine["machine"] == "stop saw").expect("a saw");
        let number = |of: &str| saw[of].as_u64().expect("a number");
        (shop["shop"].as_str().expect("a name").to_owned(), number("batches"), number("readings"))
    };
    assert_eq!(used(0), ("north".to_owned(), 2, 24));
    assert_eq!(used(1), ("south".to_owned(), 1, 12));
    // The folders are copies: no file of theirs says another thing than at its shop.
    let copied = reader.home.join("shops/south/slats 3").join(format!("{STATION}.jsonl"));
    let own = place.path().join("south/slats 3").join(format!("{STATION}.jsonl"));
    if copied.exists() {
        assert_eq!(fs::read(copied).expect("read"), fs::read(own).expect("read"));
    } else {
        let shops = fs::read_dir(reader.home.join("shops/south")).expect("a folder");
        let names: Vec<_> = shops.flatten().map(|item| item.file_name()).collect();
        panic!("the batch isn't there: {names:?}");
    }
}
