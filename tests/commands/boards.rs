//! Board lists: how they are read, what is refused and in which words, and
//! what is laid out from them.

use std::fs;

use crate::bench::{self, Said, benchway, snapshot};
use benchway::document::Problem;
use benchway::measure::{Length, Unit};
use benchway::prose::Level;
use benchway::stock::{
    self, BlankNeed, Flaw, FlawKind, Offer, RackBoard, Ruling, Saw, Stretch, Terms,
};

fn terms() -> Terms {
    Terms {
        unit: Unit::Inch,
        woods: vec!["white oak".to_owned()],
        wood: Some("white oak".to_owned()),
        classes: vec!["5/4".to_owned()],
    }
}

fn read(text: &str) -> Result<Vec<RackBoard>, Vec<Problem>> {
    stock::read_board_list(text, &terms())
}

fn plain(name: &str, thickness: Length, width: Length, length: Length) -> RackBoard {
    RackBoard {
        name: name.to_owned(),
        species: "white oak".to_owned(),
        class: None,
        thickness: [thickness; 3],
        width,
        length,
        cup: Length::ZERO,
        bow: Length::ZERO,
        wind: Length::ZERO,
        moisture: None,
        flaws: Vec::new(),
    }
}

#[test]
fn every_column_of_a_list() {
    let text = "board,species,class,thickness_1,thickness_2,thickness_3,width,length,flaws,cup,bow,wind,moisture\n\
                B3,white oak,5/4,1 1/4,1-3/16,1.25,8 1/2,10ft,knot 31 to 33 at 0 to 2 hidden; split 0 to 6,1/8,1/2,1/16,7.5 %\n";
    let knot = Flaw {
        kind: FlawKind::Knot,
        along: Stretch { from: Length::inch_fraction(31, 1), to: Length::inch_fraction(33, 1) },
        across: Some(Stretch { from: Length::ZERO, to: Length::inch_fraction(2, 1) }),
        ruling: Ruling::Hidden,
    };
    let split = Flaw {
        kind: FlawKind::Split,
        along: Stretch { from: Length::ZERO, to: Length::inch_fraction(6, 1) },
        across: None,
        ruling: Ruling::Around,
    };
    let expected = RackBoard {
        name: "B3".to_owned(),
        class: Some("5/4".to_owned()),
        thickness: [
            Length::inch_fraction(5, 4),
            Length::inch_fraction(19, 16),
            Length::inch_fraction(5, 4),
        ],
        cup: Length::inch_fraction(1, 8),
        bow: Length::inch_fraction(1, 2),
        wind: Length::inch_fraction(1, 16),
        moisture: Some(7.5),
        flaws: vec![knot, split],
        ..plain("", Length::ZERO, Length::inch_fraction(17, 2), Length::inch_fraction(120, 1))
    };
    assert_eq!(read(text), Ok(vec![expected]));
}

#[test]
fn the_shortest_list_there_is() {
    let expected = vec![
        plain(
            "1",
            Length::inch_fraction(1, 1),
            Length::inch_fraction(6, 1),
            Length::inch_fraction(96, 1),
        ),
        plain(
            "2",
            Length::inch_fraction(2, 1),
            Length::inch_fraction(8, 1),
            Length::inch_fraction(120, 1),
        ),
    ];
    for text in [
        "thickness,width,length\n1,6,96\n2,8,120\n",
        // In another order, without a last line end.
        "length,thickness,width\n96,1,6\n120,2,8",
        // From a spreadsheet: its mark at the front, its line ends, its empty rows.
        "\u{feff}thickness,width,length\r\n1,6,96\r\n2,8,120\r\n,,\r\n\r\n",
        "Thickness;Width;Length\r\n1;6;8ft\r\n2;8;10ft\r\n",
        "thickness\twidth\tlength\n1\t6\t96\n2\t8\t120\n",
        "\n\nthickness,width,length\n\n1,6,96\n\n\n2,8,120\n",
    ] {
        assert_eq!(read(text), Ok(expected.clone()), "{text:?}");
    }
}

#[test]
fn semicolons_leave_the_comma_to_decimals() {
    let text = "board;thickness;width;length;flaws;moisture\n\
                B1;1,25;8,5;120;\"knot 31,5 to 33; split 0 to 6\";7,5\n";
    let boards = read(text).expect("it is a list");
    assert_eq!(boards[0].thickness, [Length::inch_fraction(5, 4); 3]);
    assert_eq!(boards[0].width, Length::inch_fraction(17, 2));
    assert_eq!(boards[0].moisture, Some(7.5));
    assert_eq!(
        stock::format_flaws(&boards[0].flaws, Unit::Inch),
        "knot 31 1/2 to 33; split 0 to 6"
    );
}

#[test]
fn an_inch_sign_is_no_quote() {
    let boards = read("thickness,width,length\n1\",8 1/2\",10'\n").expect("it is a list");
    assert_eq!(
        boards,
        [plain(
            "1",
            Length::inch_fraction(1, 1),
            Length::inch_fraction(17, 2),
            Length::inch_fraction(120, 1)
        )]
    );
}

/// The problems of a list as one reads them: the sentence, then the help.
fn sentences(text: &str) -> Vec<String> {
    let problems = read(text).expect_err(text);
    problems.iter().map(said).collect()
}

/// Place, sentence and help of a problem, which is an error as all of them are.
fn said(problem: &Problem) -> String {
    assert_eq!(problem.level, Level::Error);
    let place = problem.place.at.as_ref();
    let place = place.map(|at| format!("line {}, column {}: ", at.line, at.column));
    let help = problem.help.as_ref().map(|help| format!(" ({help})"));
    format!("{}{}{}", place.unwrap_or_default(), problem.what, help.unwrap_or_default())
}

#[track_caller]
fn refused(text: &str, words: &[&str]) {
    let said = sentences(text);
    assert_eq!(said, words, "{text}");
}

#[test]
fn sizes_no_board_has() {
    let list = |row: &str| format!("board,thickness,width,length,cup,bow,wind,moisture\n{row}\n");
    for (row, words) in [
        ("B1,0,6,96,,,,", "line 2, column 4: the thickness is 0 in: it must be greater than zero"),
        ("B1,1,-6,96,,,,", "line 2, column 6: the width is -6 in: it must be greater than zero"),
        ("B1,1,6,0,,,,", "line 2, column 8: the length is 0 in: it must be greater than zero"),
        (
            "B1,1,6,3000,,,,",
            "line 2, column 8: the length is 3000 in: no board has as much (check its unit: \
             `38 mm` and `1 1/2 in` are clear)",
        ),
        (
            "B1,1,6,96,-1/8,,,",
            "line 2, column 11: the cup is -1/8 in (enter how deep it is: never less than 0)",
        ),
        (
            "B1,1,6,96,,1 1/4,,",
            "line 2, column 12: the bow is 1 1/4 in, more than the board is thick (check the \
             number and its unit)",
        ),
        (
            "B1,1,6,96,,,,31",
            "line 2, column 14: 31 %: wood above 30 % is still green (check the meter; let a \
             green board dry first)",
        ),
        (
            "B1,1,6,96,,,,-2",
            "line 2, column 14: moisture is never below 0 % (check the meter, or leave the \
             field empty)",
        ),
        (
            "B1,,6,96,,,,",
            "line 2, column 4: there is no length here (write one such as 1 7/16, 1.4375 or 36.5 mm)",
        ),
    ] {
        refused(&list(row), &[words]);
    }
}

#[test]
fn three_thicknesses_are_of_one_board() {
    let list = |row: &str| format!("thickness_1,thickness_2,thickness_3,width,length\n{row}\n");
    // 1 1/4 to 1/2: 3/4 apart, and half of 1 1/4 is 5/8.
    refused(
        &list("1 1/4,1,1/2,6,96"),
        &[
            "line 2, column 1: the thickness runs from 1/2 in to 1 1/4 in, a difference of more than \
           half (measure again: no board is sawn that unevenly)",
        ],
    );
    // 1 to 1/2 is just half.
    assert!(read(&list("1,1,1/2,6,96")).is_ok());
}

#[test]
fn flaws_that_are_not_on_the_board_or_on_one_another() {
    let list = |flaws: &str| format!("board,thickness,width,length,flaws\nB1,1,6,96,{flaws}\n");
    for (flaws, words) in [
        (
            "knot 31 to 33; knot 90 to 98",
            "line 2, column 26: the knot at 90 to 98 ends at 98 in, off the board (the board is \
             96 in long)",
        ),
        (
            "knot 31 to 33 at 5 to 7",
            "line 2, column 11: the knot at 31 to 33, 5 to 7 across ends at 7 in, off the board \
             (the board is 6 in wide)",
        ),
        (
            "knot 33 to 31",
            "line 2, column 16: it runs backwards, from 33 in to 31 in (write 31 to 33)",
        ),
        (
            "knot 31 to 33; split 32 to 40",
            "line 2, column 26: the split at 32 to 40 overlaps the knot at 31 to 33 (enter them as \
             one: split 31 to 40)",
        ),
        ("knto 31 to 33", "line 2, column 11: `knto` is not a kind of flaw (did you mean `knot`?)"),
    ] {
        refused(&list(flaws), &[words]);
    }
    // Side by side, and one after the other, they may be.
    assert!(read(&list("knot 31 to 33 at 0 to 2; knot 31 to 33 at 3 to 5; knot 33 to 34")).is_ok());
}

#[test]
fn woods_and_names() {
    refused(
        "board,species,thickness,width,length\nB1,wite oak,1,6,96\nb1,white oak,1,6,96\n",
        &["line 2, column 4: no wood is called `wite oak` (did you mean `white oak`?)"],
    );
    refused(
        "board,thickness,width,length\nB1,1,6,96\nB2,1,6,96\nb1,1,6,96\n",
        &[
            "line 4, column 1: two boards are called `b1`: this one and the one in line 2 (give one of \
           them another name)",
        ],
    );
    // The number a board gets for a name is a name too.
    assert_eq!(sentences("board,thickness,width,length\n2,1,6,96\n,1,6,96\n").len(), 1);
    let several = Terms { wood: None, ..terms() };
    // It is said once, however many boards there are.
    for boards in 1..=3 {
        let list = format!("thickness,width,length\n{}", "1,6,96\n".repeat(boards));
        let error = stock::read_board_list(&list, &several).unwrap_err();
        let said: Vec<String> = error.iter().map(said).collect();
        assert_eq!(
            said,
            ["line 1, column 1: the list does not say which wood it is (add a column `species`: \
              the route uses several woods)"]
        );
    }
}

#[test]
fn headings() {
    const FIRST: &str = "the first line names the columns, such as \
                         `board,thickness,width,length,flaws`";
    refused("", &[&format!("the list is empty ({FIRST})")]);
    refused("\u{feff}\r\n,,\r\n", &[&format!("the list is empty ({FIRST})")]);
    let no_headings = format!("line 1, column 1: the first line has no headings ({FIRST})");
    refused("1,6,96\n", &[&no_headings]);
    refused(
        "thickness,width,length\n",
        &["the list has headings but no boards (write one board on each line)"],
    );
    // Everything that is wrong with them at once.
    refused(
        "thickness_1,thickness_2,widht,colour,colour of the mark,flaws,flaws\n1,1,6,96\n",
        &[
            "line 1, column 25: there is no column `widht` (did you mean `width`?)",
            "line 1, column 31: there is no column `colour` (the columns are board, species, class, \
             thickness, thickness_1, thickness_2, thickness_3, width, length, flaws, cup, bow, wind, \
             moisture)",
            "line 1, column 38: there is no column `colour of the mark` (the columns are board, \
             species, class, thickness, thickness_1, thickness_2, thickness_3, width, length, flaws, \
             cup, bow, wind, moisture)",
            "line 1, column 63: two columns are headed `flaws` (remove one of them)",
            "line 1, column 1: not all of `thickness_1`, `thickness_2` and `thickness_3` are there \
             (give one `thickness`, or three: at the marked end, in the middle, at the far end)",
            &format!("line 1, column 1: there is no column `width` ({FIRST})"),
            &format!("line 1, column 1: there is no column `length` ({FIRST})"),
        ],
    );
    refused(
        "thickness,thickness_1,width,length\n1,1,6,96\n",
        &["line 1, column 1: the list has both `thickness` and `thickness_1`, `_2`, `_3` \
           (keep `thickness`, one number for all three places, or keep the three)"],
    );
}

#[test]
fn every_problem_shows_at_once_and_at_its_place() {
    let text = "board,thickness,width,length,flaws\n\
                B1,1,6,96,knot 31-33\n\
                B2,1O,6,96\n\
                \n\
                B3,1,6 7,9 1/3,\"knot 5 to 4; other\"\n\
                B4,1,2,5,96,\n";
    let shown: String = read(text)
        .expect_err("four rows are wrong")
        .iter()
        .map(|problem| problem.render("rack.csv", text) + "\n")
        .collect();
    snapshot("boards_list_problems", &shown);
}

/// Always: A hostile board list is refused at once.
#[test]
fn hostile_lists_are_refused_at_once() {
    let begun = std::time::Instant::now();
    // Larger than may be read.
    assert_eq!(sentences(&"a".repeat(5 << 20)).len(), 1);
    let head = "board,species,thickness,width,length,flaws\n";
    for row in [
        // A quote that is never closed, a field of a megabyte, a million fields.
        format!("\"{}\n", "B1,".repeat(1 << 20)),
        format!("B1,{},1,6,96,\n", "oak ".repeat(1 << 18)),
        format!("{},white oak,1,6,96,\n", "B".repeat(1 << 20)),
        format!("B1,white oak,1,6,96,\"{}\"\n", "knot 1 to 2;".repeat(1 << 17)),
        format!("B1,white oak,{},6,96,\n", "1".repeat(1 << 20)),
        ",".repeat(1 << 20),
        "\"\"\"\"".repeat(1 << 18),
    ] {
        let said = sentences(&format!("{head}{row}"));
        assert!(said.len() <= 51, "{}", said.len());
    }
    // Headings that are none, rows without end, every row wrong.
    assert!(sentences(&"x,".repeat(1 << 20)).len() <= 51);
    let said = sentences(&format!("{head}{}", "B,white oak,1,6,96,\n".repeat(100_000)));
    assert!(said[0].contains("more than 300 boards: 3000 rows or more"), "{said:?}");
    assert_eq!(said.len(), 1);
    assert_eq!(sentences(&format!("{head}{}", "B,oak,x,x,x,x\n".repeat(300))).len(), 51);
    // A second for all of it is ten times what it takes here.
    assert!(begun.elapsed().as_secs() < 20, "{:?}", begun.elapsed());
}

proptest::proptest! {
    #[test]
    fn random_text_is_no_list_and_no_panic(text in proptest::prelude::any::<String>()) {
        let _ = read(&text);
        if let Err(problems) = read(&format!("board,thickness,width,length,flaws\n{text}")) {
            for problem in problems {
                let _ = problem.render("rack.csv", &text);
            }
        }
    }

    #[test]
    fn text_of_the_right_signs_never_panics(
        rows in "(B1|1|6|96|,|;|\"|\"\"|\n|\r\n|é|knot 1 to 2| |1 1/2|oak|-){0,40}",
    ) {
        for head in ["board,species,thickness,width,length,flaws\n", "board;thickness;width;length\n"] {
            let text = format!("{head}{rows}");
            if let Err(problems) = read(&text) {
                for problem in problems {
                    proptest::prop_assert!(!problem.render("rack.csv", &text).is_empty());
                }
            }
        }
    }
}

/// Small enough to lay out by hand: slats of 3 x 20 rough that may hold a knot
/// in their middle.
const ROUTE: &str = r#"{
  "route": "Quay stool", "unit": "in", "sets": 1, "operations": [],
  "parts": {
    "slat": {
      "per_set": 4, "species": "white oak",
      "stock": { "class": "4/4", "thickness": "1", "width": "3", "length": "20",
                 "knots": { "hidden": [["5", "15"]], "fill": "3/4" } }
    }
  }
}"#;

/// Runs the command on a route and a list of their own.
fn laid_out(route: &str, list: &str, options: &[&str]) -> Said {
    let place = tempfile::tempdir().expect("a folder for the test");
    let (route_file, list_file) = (place.path().join("quay.json"), place.path().join("rack.csv"));
    fs::write(&route_file, route).expect("the folder can be written");
    fs::write(&list_file, list).expect("the folder can be written");
    let files = [route_file, list_file].map(|path| path.display().to_string());
    let arguments: Vec<&str> =
        ["boards", &files[0], &files[1]].into_iter().chain(options.iter().copied()).collect();
    let mut said = benchway(&arguments);
    // The folder differs on every run.
    let folder = format!("{}/", place.path().display());
    said.err = said.err.replace(&folder, "");
    said
}

fn json(route: &str, list: &str, options: &[&str]) -> serde_json::Value {
    bench::json(&laid_out(route, list, &[options, &["--format", "json"]].concat())).1
}

/// By hand, with the bundled shop: 1 off each end, 1/4 off the edge, kerfs of
/// 1/8 both ways, marks in sixteenths.
///
/// Across 6 1/2: 1/4, then a slat to 3 1/4, a kerf to 3 3/8, a slat to 6 3/8.
/// Along 43: 1 off, slats to 21, a kerf to 21 1/8, slats to 41 1/8; 1 7/8 is
/// left. 1 x 6.5 x 43 / 144 = 1.940972 board feet.
#[test]
fn marks_worked_out_by_hand() {
    let list = "board,thickness,width,length\nB1,1,6 1/2,43\n";
    let answer = json(ROUTE, list, &[]);
    let board = &answer["boards"][0];
    let marks = serde_json::json!([
        { "at": 1.0, "before": "waste" },
        { "at": 21.0, "before": "section", "section": 1 },
        { "at": 41.125, "before": "section", "section": 2 },
    ]);
    assert_eq!(board["marks"], marks);
    let blanks = |section: usize| board["sections"][section]["blanks"].as_array().expect("a list");
    let places = |section: usize| -> Vec<[f64; 4]> {
        let number = |blank: &serde_json::Value, key: &str| blank[key].as_f64().expect("a number");
        blanks(section)
            .iter()
            .map(|blank| ["from", "to", "near", "far"].map(|key| number(blank, key)))
            .collect()
    };
    assert_eq!(places(0), [[1.0, 21.0, 0.25, 3.25], [1.0, 21.0, 3.375, 6.375]]);
    assert_eq!(places(1), [[21.125, 41.125, 0.25, 3.25], [21.125, 41.125, 3.375, 6.375]]);
    let pieces: Vec<&str> =
        (0..2).flat_map(blanks).map(|blank| blank["pieces"][0].as_str().expect("a name")).collect();
    assert_eq!(pieces, ["slat 1", "slat 2", "slat 3", "slat 4"]);
    assert_eq!(answer["board_feet"], 1.940972);
    // 6 1/2 x 43/12 / 12 = 1.94 square feet, so 2 by surface measure.
    assert_eq!(answer["list"]["board_feet"], 1.940972);
    assert_eq!(answer["list"]["by_surface_measure"], 2.0);
    assert_eq!(answer["missing"], serde_json::json!([]));
    let said = laid_out(ROUTE, list, &[]);
    for line in [
        "  1           cut off",
        "  21          slat 1, 2 of article 1, side by side: rip 3",
        "  41 1/8      slat 3, 4 of article 1, side by side: rip 3",
        "  then        1 7/8 in left over",
        "1.9 board feet in 1 board",
        "proved: no other layout that crosscuts these boards first and rips the lengths",
        "afterwards makes as much from less wood",
        "nothing is missing",
    ] {
        assert!(said.out.lines().any(|printed| printed == line), "{line}\n{}", said.out);
    }
    assert_eq!(said.code, 0);
}

/// By hand: 3 3/8 wide gives one slat across (1/4 + 3 = 3 1/4). Along 66 there
/// is room from 1 to 65. A knot at 30 to 32 leaves 1 to 30 (one slat, to 21)
/// and 32 to 65 (one slat, 32 to 52). So what lies from 21 to 32 is cut off.
#[test]
fn a_cut_goes_around_a_knot() {
    let route = ROUTE.replace("\"per_set\": 4", "\"per_set\": 2");
    let list = "board,thickness,width,length,flaws\nB1,1,3 3/8,66,knot 30 to 32\n";
    let marks = &json(&route, list, &[])["boards"][0]["marks"];
    let expected = serde_json::json!([
        { "at": 1.0, "before": "waste" },
        { "at": 21.0, "before": "section", "section": 1 },
        { "at": 32.0, "before": "waste" },
        { "at": 52.0, "before": "section", "section": 2 },
    ]);
    assert_eq!(marks, &expected);
}

fn slats(for_sets: u32) -> BlankNeed {
    let size = |n| Length::inch_fraction(n, 1);
    BlankNeed {
        part: "slat".to_owned(),
        species: Some("white oak".to_owned()),
        class: None,
        length: size(20),
        width: size(3),
        thickness: size(1),
        finished_length: size(19),
        finished_width: size(2),
        finished_thickness: Length::inch_fraction(3, 4),
        along: 1,
        across: 1,
        through: 1,
        abreast: None,
        clean_at: Length::inch_fraction(3, 4),
        for_sets,
        spare: 0,
        setup: 0,
        a_set: for_sets,
        one_board: false,
        hidden: vec![Stretch { from: size(5), to: size(15) }],
        fill: Some(Length::inch_fraction(1, 1)),
        pieces: None,
    }
}

fn saw() -> Saw {
    Saw {
        crosscut: Length::inch_fraction(1, 8),
        rip: Length::inch_fraction(1, 8),
        trim: Length::inch_fraction(1, 1),
        edge: Length::inch_fraction(1, 4),
        mark: Length::inch_fraction(1, 16),
        shortest_offcut: Length::inch_fraction(24, 1),
        clean_up: Length::ZERO,
    }
}

/// By hand: between its ends a board of 43 has 41, room for 20 + 1/8 + 20. A
/// knot at 30 to 31 leaves only the first: what follows it is 31 to 42. Hidden,
/// the second slat lies from 21 1/8, so that the knot is 8 7/8 to 9 7/8 in it:
/// between 5 and 15. It is 1 long and may be filled as well.
#[test]
fn a_knot_that_could_be_hidden_or_filled_is_offered() {
    let board = |name: &str, flaws: &str| RackBoard {
        flaws: stock::parse_flaws(flaws, Unit::Inch).expect("it is a flaw"),
        ..plain(
            name,
            Length::inch_fraction(1, 1),
            Length::inch_fraction(27, 8),
            Length::inch_fraction(43, 1),
        )
    };
    let offers_on_hand = |boards: &[RackBoard], needs: &[BlankNeed]| {
        let now = stock::lay_out(boards, needs, &saw());
        stock::offers(boards, needs, &saw(), &now).offers
    };
    let offer = |ruling, more, saved: f64| Offer {
        board: 0,
        flaw: 0,
        ruling,
        parts: vec!["slat".to_owned()],
        more,
        saved,
        together: 0,
    };
    let one = [board("B1", "knot 30 to 31")];
    assert_eq!(
        offers_on_hand(&one, &[slats(2)]),
        [offer(Ruling::Hidden, 1, 0.0), offer(Ruling::Fill, 1, 0.0)]
    );
    // With a second board nothing is missing, but that one must be opened:
    // 1 x 3.375 x 43 / 144 = 1.0078125 board feet.
    let two = [board("B1", "knot 30 to 31"), board("B2", "knot 30 to 31")];
    let saved: Vec<(Ruling, u32, f64)> = offers_on_hand(&two, &[slats(2)])
        .into_iter()
        .filter(|offer| offer.board == 0)
        .map(|offer| (offer.ruling, offer.more, (offer.saved * 1e6).round() / 1e6))
        .collect();
    assert_eq!(saved, [(Ruling::Hidden, 0, 1.007813), (Ruling::Fill, 0, 1.007813)]);
    // Longer than may be filled; a split; and one the lead has ruled on.
    let none = |flaws| offers_on_hand(&[board("B1", flaws)], &[slats(2)]);
    let long = none("knot 30 to 31 1/2");
    assert_eq!(long.iter().map(|offer| offer.ruling).collect::<Vec<_>>(), [Ruling::Hidden]);
    assert_eq!(none("split 30 to 31"), []);
    assert_eq!(none("knot 30 to 31 hidden"), []);
    // One slat is all that is asked for: nothing would be gained.
    assert_eq!(offers_on_hand(&one, &[slats(1)]), []);
}

#[test]
fn an_offer_says_how_to_take_it_and_taking_it_works() {
    let route = ROUTE.replace("\"per_set\": 4", "\"per_set\": 2");
    let list = "board,thickness,width,length,flaws\nB 1,1,3 3/8,43,knot 30 to 31\n";
    let said = laid_out(&route, list, &[]);
    assert_eq!(said.code, 1);
    let offer =
        "  B 1, knot at 30 to 31: hidden in a slat it makes 1 blank more (--hide \"B\n  1:30\")";
    assert!(said.out.contains(offer), "{}", said.out);
    assert!(!said.out.contains("more tr"), "both rulings were tried: {}", said.out);
    // By hand: 3 x 20 / 144 = 0.42 board feet of 4/4, at 55 % 0.76.
    let missing = "missing: 1 slat blank, 3 x 20 (1 for articles): buy about 0.8 board feet of\n\
                   white oak 4/4 (0.4 in the blanks, at a yield of 55 %)";
    assert!(said.out.contains(missing), "{}", said.out);
    let taken = laid_out(&route, list, &["--hide", "B 1:30"]);
    assert_eq!(taken.code, 0, "{}", taken.out);
    assert!(taken.out.contains("nothing is missing"), "{}", taken.out);
}

#[test]
fn what_a_lead_types_wrongly_is_answered() {
    let list = "board,thickness,width,length,flaws\n\
                B1,1,6 1/2,43,knot 30 to 31 at 0 to 1; knot 30 to 31 at 2 to 3; split 0 to 2\n\
                B2,1,6 1/2,43,knot 12 to 13\n";
    for (options, words) in [
        (
            ["--without", "B22"],
            "error: --without B22: there is no board `B22`\n  help: did you mean `B2`?\n",
        ),
        (
            ["--without", "zz"],
            "error: --without zz: there is no board `zz`\n  help: there are B1, B2\n",
        ),
        (
            ["--hide", "B2"],
            "error: --hide B2: a board and a place on it are expected\n  help: write the board \
             and a place within the knot: B3:31\n",
        ),
        (
            ["--fill", "B2:20"],
            "error: --fill B2:20: B2 has no flaw at 20 in\n  help: it has knot at 12 to 13\n",
        ),
        (
            ["--fill", "B1:1"],
            "error: --fill B1:1: the split at 0 to 2 can't be ruled on\n  help: a split can grow, \
             so every cut goes around it\n",
        ),
        (
            ["--hide", "B1:30 1/2"],
            "error: --hide B1:30 1/2: there are 2 flaws side by side\n  help: write the ruling in \
             the list: `knot 31 to 33 at 0 to 2 hidden`\n",
        ),
        (["--articles", "0"], "error: --articles 0: a batch is 1 to 1000 articles\n"),
    ] {
        let said = laid_out(ROUTE, list, &options);
        assert_eq!((said.code, said.err.as_str()), (2, words));
        assert_eq!(said.out, "");
    }
    let said = laid_out(ROUTE, "thickness,width\n1,6\n", &[]);
    assert_eq!(said.code, 2);
    assert!(said.err.ends_with("error: rack.csv can't be used: 1 error\n"), "{}", said.err);
}

#[test]
fn boards_of_no_use_and_unlike_the_others() {
    let board = |name: &str, thickness, width, length, moisture| RackBoard {
        moisture,
        ..plain(name, thickness, width, length)
    };
    let (one, wide) = (Length::inch_fraction(1, 1), Length::inch_fraction(6, 1));
    let long = Length::inch_fraction(60, 1);
    let boards = [
        board("B1", one, wide, long, Some(7.0)),
        board("B2", one, wide, long, Some(7.5)),
        board("B3", one, wide, long, Some(8.0)),
        // The others' median is 7.5, and 10 is 2.5 above it; theirs are 8, 8
        // and 7.5, none of them more than 1 away.
        board("B4", one, wide, long, Some(10.0)),
        board("B5", Length::inch_fraction(11, 16), wide, long, None),
        board("B6", one, wide, Length::inch_fraction(21, 1), None),
        board("B7", one, Length::inch_fraction(3, 1), long, None),
        RackBoard { species: "ash".to_owned(), ..board("B8", one, wide, long, None) },
    ];
    // Of two others the middle is between them: 4 is 3.5 below (7 + 8) / 2.
    let moist = [(4.0, "B1"), (7.0, "B2"), (8.0, "B3")];
    let three = moist.map(|(moisture, name)| board(name, one, wide, long, Some(moisture)));
    let found = stock::findings(&three, &[slats(4)], &saw(), Unit::Inch);
    assert!(found[0].to_string().contains("3.5 points drier"), "{found:?}");
    let found = stock::findings(&boards, &[slats(4)], &saw(), Unit::Inch);
    let said: Vec<(&str, String)> = found
        .iter()
        .map(|finding| (boards[finding.place].name.as_str(), finding.to_string()))
        .collect();
    assert_eq!(
        said,
        [
            (
                "B4",
                "its moisture is 10 %, 2.5 points wetter than the other boards; give it time in the \
                 shop, or leave it out"
            ),
            (
                "B5",
                "too thin for every part: 11/16 in where it is thinnest, and the thinnest part \
                 needs 3/4 in once both faces are clean"
            ),
            (
                "B6",
                "too short for every part: 19 in between the trimmed ends, and the shortest blank \
                 is 20 in"
            ),
            (
                "B7",
                "too narrow for every part: 2 3/4 in with one edge straight, and the narrowest \
                 blank is 3 in"
            ),
            ("B8", "no part is made of ash"),
        ]
        .map(|(board, words)| (board, words.to_owned()))
    );
    // Just 2 points are not more than 2.
    let near = [
        boards[0].clone(),
        boards[1].clone(),
        boards[2].clone(),
        board("B4", one, wide, long, Some(9.5)),
    ];
    assert_eq!(stock::findings(&near, &[slats(4)], &saw(), Unit::Inch), []);
}

#[test]
fn a_list_of_boards_comes_with_the_program() {
    let (name, text) = benchway::stock::BUNDLED;
    let said = benchway(&["bundled", name]);
    assert_eq!((said.code, said.out.as_str()), (0, text));
    assert!(benchway(&["bundled"]).out.lines().any(|line| line == name));
    let said = benchway(&["bundled", "stool-bords"]);
    assert_eq!((said.code, said.out.as_str()), (2, ""));
    assert!(said.err.contains("did you mean `stool-boards`?"), "{}", said.err);
}

#[test]
fn the_bundled_boards_on_eighty_columns() {
    let said = benchway(&["boards", "reading-stool", "stool-boards"]);
    assert_eq!((said.code, said.err.as_str()), (0, ""));
    for line in said.out.lines() {
        assert!(line.chars().count() <= 78, "{line}");
    }
    snapshot("boards_reading_stool", &said.out);
    let plain = benchway(&["boards", "reading-stool", "stool-boards", "--ascii", "--sets", "2"]);
    assert!(plain.out.is_ascii(), "{}", plain.out);
}

/// A rack in which not every way of cutting can be listed, and more is wanted
/// than was found: nobody is told to buy wood because of it. What no board may
/// serve at all, the walnut lid, is missing for sure.
#[test]
fn what_no_search_proved_is_not_found_and_not_missing() {
    let mut state: u64 = 1;
    // Knuth, The Art of Computer Programming 2, table 3.3.4-1, line 26.
    let mut between = |from: i64, to: i64| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        from + (state >> 33) as i64 % (to - from + 1)
    };
    let parts: String = (0..5)
        .map(|n| {
            let (long, wide) = (between(12 * 4, 44 * 4), between(12, 32));
            format!(
                r#""part {n}": {{ "per_set": 40, "species": "white oak", "stock": {{ "thickness": "1",
                "width": "{wide}/8", "length": "{long}/4" }} }},"#
            )
        })
        .collect();
    let route = format!(
        r#"{{ "route": "Quay shelves", "unit": "in", "sets": 1, "operations": [], "parts": {{ {parts}
        "lid": {{ "per_set": 1, "species": "walnut", "stock": {{ "thickness": "1", "width": "4", "length": "12" }} }} }} }}"#
    );
    let rows =
        (0..8).map(|_| format!("white oak,1 1/4,{}/8,{}/8\n", between(40, 80), between(600, 1100)));
    let list = format!("species,thickness,width,length\n{}", rows.collect::<String>());
    let said = laid_out(&route, &list, &[]);
    assert_eq!(said.code, 1);
    assert!(said.out.contains("missing: 1 lid blank, 4 x 12"), "{}", said.out);
    assert!(said.out.contains("\nnot found: "), "{}", said.out);
    assert_eq!(said.out.matches("\nmissing: ").count(), 1, "{}", said.out);
    // By area, without a kerf: what the bound says is missing is so at least.
    assert!(said.out.contains("\nwhatever the layout, "), "{}", said.out);
}

/// Every key the command's help names, and no other.
#[test]
fn the_keys_of_the_answer_for_machines() {
    let list = "board,species,class,thickness,width,length,flaws,moisture\n\
                B1,white oak,4/4,1,6 1/2,43,knot 30 to 31,7\n\
                B2,ash,,1,6,43,,7\n\
                B3,white oak,,1,6,43,,7\n\
                B4,white oak,,1,6,12,,11\n";
    let answer = json(ROUTE, list, &["--without", "B3"]);
    let keys = |value: &serde_json::Value| -> Vec<String> {
        value.as_object().expect("an object").keys().cloned().collect()
    };
    assert_eq!(
        keys(&answer),
        [
            "route",
            "unit",
            "sets",
            "boards",
            "untouched",
            "left_out",
            "missing",
            "apart",
            "board_feet",
            "bound",
            "least_missing",
            "could_be_saved",
            "list",
            "findings",
            "offers",
            "untried"
        ]
    );
    let board = &answer["boards"][0];
    assert_eq!(
        keys(board),
        [
            "board",
            "species",
            "class",
            "thickness",
            "width",
            "length",
            "board_feet",
            "flaws",
            "marks",
            "sections",
            "left"
        ]
    );
    assert_eq!(keys(&board["sections"][0]), ["from", "to", "blanks"]);
    assert_eq!(
        keys(&board["sections"][0]["blanks"][0]),
        ["part", "role", "set", "pieces", "from", "to", "near", "far"]
    );
    assert_eq!(
        keys(&answer["missing"][0]),
        ["part", "species", "class", "role", "blanks", "proved", "width", "length"]
    );
    assert_eq!(keys(&answer["findings"][0]), ["board", "what"]);
    assert_eq!(
        keys(&answer["offers"][0]),
        ["board", "flaw", "ruling", "parts", "blanks_more", "board_feet_saved", "sets_together"]
    );
    // The knot takes the second pair of slats: 31 to 42 is too short for 20.
    assert_eq!(answer["missing"][0]["blanks"], 2);
    assert_eq!(answer["missing"][0]["role"], "set");
    assert_eq!(answer["missing"][0]["proved"], true);
    assert_eq!(answer["untouched"], serde_json::json!(["B2", "B4"]));
    assert_eq!(answer["left_out"], serde_json::json!(["B3"]));
    assert_eq!(answer["offers"][0]["flaw"], "knot 30 to 31");
    assert_eq!(answer["offers"][0]["blanks_more"], 2);
    // Told in the help too.
    let help = benchway(&["boards", "--help"]).out;
    let told =
        ["could_be_saved", "sets_together", "untried", "left_out", "blanks_more", "near, far"];
    for key in told {
        assert!(help.contains(key), "{key}");
    }
}

/// By hand: the knot lies at 20 to 22 1/2. A slat from 1 ends at 21, in the
/// knot, so a stretch said to go on beyond the slat's end does not hide it. To
/// hold it whole a slat ends at 22 1/2 or beyond, and from 22 5/8 another one
/// goes to 42 5/8, where there is wood to 42 1/2: one slat, not two.
#[test]
fn a_knot_that_sticks_out_of_a_blank_is_not_hidden_in_it() {
    let route = ROUTE.replace("\"per_set\": 4", "\"per_set\": 2").replace("\"15\"", "\"99\"");
    let knot = "knot 20 to 22 1/2 hidden";
    let list = format!("board,thickness,width,length,flaws\nB1,1,3 3/8,43 1/2,{knot}\n");
    assert_eq!(json(&route, &list, &[])["missing"][0]["blanks"], 1);
    let longer = list.replace("43 1/2", "43 5/8");
    assert_eq!(json(&route, &longer, &[])["missing"], serde_json::json!([]));
}

/// A hundred parts from a hundred boards with two flaws each: nobody waits for
/// that, and nobody has to.
#[test]
fn too_much_at_once_is_refused() {
    let part = |n: usize| {
        format!(
            r#""part {n}": {{ "per_set": 2, "species": "white oak",
                "stock": {{ "thickness": "1", "width": "{}", "length": "{}" }} }}"#,
            2.0 + n as f64 / 100.0,
            10 + n
        )
    };
    let parts: Vec<String> = (0..100).map(part).collect();
    let route = format!(
        r#"{{ "route": "Everything", "unit": "in", "sets": 1, "operations": [],
             "parts": {{ {} }} }}"#,
        parts.join(", ")
    );
    let rows = (0..100).map(|n| format!("B{n},1,9,120,knot 31 to 33; knot 60 to 61\n"));
    let list = format!("board,thickness,width,length,flaws\n{}", rows.collect::<String>());
    let said = laid_out(&route, &list, &[]);
    assert_eq!((said.code, said.out.as_str()), (2, ""));
    let wanted = "error: 100 parts and 100 boards with their flaws are too many to lay out";
    assert!(said.err.starts_with(wanted), "{}", said.err);
    assert!(said.err.contains("--without"), "{}", said.err);
}

/// By hand: 1/4 + 2 + 1/8 + 2 = 4 3/8 of 5, and 10 + 1/8 + 10 = 20 1/8 of the
/// 20 1/2 between the trimmed ends: ripped first, one board gives all three.
/// Crosscut first a length of 15 leaves 5 3/8, so it takes two; and nothing may
/// be said that would deny the other way.
#[test]
fn what_is_proved_is_proved_of_crosscutting_first() {
    let part = |name: &str, count: u32, length: u32| {
        format!(
            r#""{name}": {{ "per_set": {count}, "species": "white oak",
                "stock": {{ "thickness": "1", "width": "2", "length": "{length}" }} }}"#
        )
    };
    let route = format!(
        r#"{{ "route": "Two lengths", "unit": "in", "sets": 1, "operations": [],
             "parts": {{ {}, {} }} }}"#,
        part("short", 2, 10),
        part("long", 1, 15)
    );
    let list = "board,thickness,width,length\nA,1,5,22 1/2\nB,1,5,22 1/2\n";
    let said = laid_out(&route, list, &[]);
    assert!(said.out.contains("board feet in 2 boards"), "{}", said.out);
    let told = said.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        told.contains("proved: no other layout that crosscuts these boards first and rips"),
        "{told}"
    );
    assert!(!told.contains("no other layout takes less"), "{told}");
}
