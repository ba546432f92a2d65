//! The tables are made once, whoever asks how often, and programs say what they can't use.

use benchway::meet;

use super::database::Database;

/// The numbered files in `src/meet/migrations`, counted by hand.
const CHANGES: usize = 3;

#[test]
#[ignore = "needs PostgreSQL"]
fn tables_are_made_once() {
    let database = Database::bare();
    assert_eq!(meet::set_up(&database.owner()).expect("made"), CHANGES);
    assert_eq!(meet::set_up(&database.owner()).expect("nothing to do"), 0);
    assert_eq!(database.ask("select n from benchway.version order by n"), ["1", "2", "3"]);
}

#[test]
#[ignore = "needs PostgreSQL"]
fn two_at_once_make_them_once() {
    let database = Database::bare();
    let server = database.owner();
    let made: Vec<usize> = std::thread::scope(|scope| {
        let each = || scope.spawn(|| meet::set_up(&server).expect("made"));
        let threads: Vec<_> = (0..4).map(|_| each()).collect();
        threads.into_iter().map(|thread| thread.join().expect("it ended")).collect()
    });
    assert_eq!(made.iter().sum::<usize>(), CHANGES, "{made:?}");
    assert_eq!(made.iter().filter(|made| **made > 0).count(), 1, "{made:?}");
    assert_eq!(database.ask("select count(*) from benchway.version"), ["3"]);
}

#[test]
#[ignore = "needs PostgreSQL"]
fn a_server_for_newer_programs_is_left_alone() {
    let database = Database::make();
    let said = || meet::batches(&database.owner()).map(drop).expect_err("refused").to_string();
    // One more change that programs of today can go on after.
    database.ask("insert into benchway.version (n, oldest) values (4, 1)");
    assert!(said().contains("no member"), "{}", said());
    assert_eq!(meet::set_up(&database.owner()).expect("nothing to do"), 0);
    // And one that they can't.
    database.ask("insert into benchway.version (n, oldest) values (5, 5)");
    let words = "the tables of the server are newer than this program; install the new one";
    assert_eq!(said(), words);
    assert_eq!(meet::set_up(&database.owner()).expect_err("refused").to_string(), words);
    assert_eq!(database.ask("select count(*) from benchway.version"), ["5"]);
}

#[test]
#[ignore = "needs PostgreSQL"]
fn an_older_server_names_the_command() {
    let database = Database::make();
    database.ask("delete from benchway.version where n = 3");
    let said = meet::batches(&database.owner()).expect_err("refused").to_string();
    assert_eq!(
        said,
        "the tables of the server are older than this program; its owner runs `benchway meet init`"
    );
    let bare = Database::bare();
    let said = meet::batches(&bare.owner()).expect_err("refused").to_string();
    assert!(said.contains("isn't set up") && said.contains("`benchway meet init`"), "{said}");
}
