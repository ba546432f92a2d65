//! Board lists: how they are read, what is refused and in which words, and
//! what is laid out from them.

use benchway::document::Problem;
use benchway::measure::{Length, Unit};
use benchway::stock::{self, Flaw, FlawKind, RackBoard, Ruling, Stretch, Terms};

fn inches(n: i64, d: i64) -> Length {
    Length::inch_fraction(n, d)
}

fn terms() -> Terms {
    Terms {
        unit: Unit::Inch,
        woods: vec!["white oak".to_owned()],
        wood: Some("white oak".to_owned()),
    }
}

fn read(text: &str) -> Result<Vec<RackBoard>, Vec<Problem>> {
    stock::boards(text, &terms())
}

fn snapshot(name: &str, text: &str) {
    let mut settings = insta::Settings::clone_current();
    settings.set_snapshot_path(concat!(env!("CARGO_MANIFEST_DIR"), "/snapshots"));
    settings.set_prepend_module_to_snapshot(false);
    settings.set_omit_expression(true);
    settings.bind(|| insta::assert_snapshot!(name, text));
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
        along: Stretch { from: inches(31, 1), to: inches(33, 1) },
        across: Some(Stretch { from: Length::ZERO, to: inches(2, 1) }),
        ruling: Ruling::Hidden,
    };
    let split = Flaw {
        kind: FlawKind::Split,
        along: Stretch { from: Length::ZERO, to: inches(6, 1) },
        across: None,
        ruling: Ruling::Around,
    };
    let expected = RackBoard {
        name: "B3".to_owned(),
        class: Some("5/4".to_owned()),
        thickness: [inches(5, 4), inches(19, 16), inches(5, 4)],
        cup: inches(1, 8),
        bow: inches(1, 2),
        wind: inches(1, 16),
        moisture: Some(7.5),
        flaws: vec![knot, split],
        ..plain("", Length::ZERO, inches(17, 2), inches(120, 1))
    };
    assert_eq!(read(text), Ok(vec![expected]));
}

#[test]
fn the_shortest_list_there_is() {
    let expected = vec![
        plain("1", inches(1, 1), inches(6, 1), inches(96, 1)),
        plain("2", inches(2, 1), inches(8, 1), inches(120, 1)),
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
    assert_eq!(boards[0].thickness, [inches(5, 4); 3]);
    assert_eq!(boards[0].width, inches(17, 2));
    assert_eq!(boards[0].moisture, Some(7.5));
    assert_eq!(
        stock::flaws_written(&boards[0].flaws, Unit::Inch),
        "knot 31 1/2 to 33; split 0 to 6"
    );
}

#[test]
fn an_inch_sign_is_no_quote() {
    let boards = read("thickness,width,length\n1\",8 1/2\",10'\n").expect("it is a list");
    assert_eq!(boards, [plain("1", inches(1, 1), inches(17, 2), inches(120, 1))]);
}

/// The problems of a list as one reads them: the sentence, then the help.
fn sentences(text: &str) -> Vec<String> {
    let problems = read(text).expect_err(text);
    problems.iter().map(said).collect()
}

/// Place, sentence and help of a problem, which is an error as all of them are.
fn said(problem: &Problem) -> String {
    let text = problem.to_string();
    text.strip_prefix("error: ").expect("an error").to_owned()
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
        ("B1,0,6,96,,,,", "line 2, column 4: a thickness of 0 in: every board has some"),
        ("B1,1,-6,96,,,,", "line 2, column 6: a width of -6 in: every board has some"),
        ("B1,1,6,0,,,,", "line 2, column 8: a length of 0 in: every board has some"),
        (
            "B1,1,6,3000,,,,",
            "line 2, column 8: a length of 3000 in: more than any board's (is its unit right? \
             `38 mm` and `1 1/2 in` always are)",
        ),
        (
            "B1,1,6,96,-1/8,,,",
            "line 2, column 11: a cup of -1/8 in (it is how far it stands off, whichever way: \
             never less than 0)",
        ),
        (
            "B1,1,6,96,,1 1/4,,",
            "line 2, column 12: a bow of 1 1/4 in, deeper than the board is thick (check the \
             number and its unit)",
        ),
        (
            "B1,1,6,96,,,,31",
            "line 2, column 14: 31 %: above 30 % wood is full of water, and this board is wet \
             (check the meter; a wet board waits)",
        ),
        (
            "B1,1,6,96,,,,-2",
            "line 2, column 14: no wood has less than 0 % of moisture (check the meter, or leave \
             the field empty)",
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
        &["line 2, column 1: thicknesses from 1/2 in to 1 1/4 in: more than half of it apart \
           (measure again: no board is sawn as a wedge)"],
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
            "line 2, column 26: the split at 32 to 40 lies on the knot at 31 to 33 (join them: \
             split 31 to 40)",
        ),
        ("knto 31 to 33", "line 2, column 11: `knto` is no kind of flaw (did you mean `knot`?)"),
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
        &["line 2, column 4: there is no wood `wite oak` (did you mean `white oak`?)"],
    );
    refused(
        "board,thickness,width,length\nB1,1,6,96\nB2,1,6,96\nb1,1,6,96\n",
        &["line 4, column 1: two boards are called `b1`: this one and the one in line 2 (chalk \
           another name on one of them)"],
    );
    // The number a board gets for a name is a name too.
    assert_eq!(sentences("board,thickness,width,length\n2,1,6,96\n,1,6,96\n").len(), 1);
    let several = Terms { wood: None, ..terms() };
    let error = stock::boards("thickness,width,length\n1,6,96\n1,6,96\n", &several).unwrap_err();
    let said: Vec<String> = error.iter().map(said).collect();
    assert_eq!(
        said,
        ["line 1, column 1: which wood it is stands nowhere (give the list a column `species`: \
          the route has several woods)"]
    );
}

#[test]
fn headings() {
    const FIRST: &str = "the first line names the columns, such as \
                         `board,thickness,width,length,flaws`";
    refused("", &[&format!("there is nothing in it ({FIRST})")]);
    refused("\u{feff}\r\n,,\r\n", &[&format!("there is nothing in it ({FIRST})")]);
    let no_headings = format!("line 1, column 1: the first line holds no headings ({FIRST})");
    refused("1,6,96\n", &[&no_headings]);
    refused(
        "thickness,width,length\n",
        &["there are headings but no board in it (one board a line)"],
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
            "line 1, column 63: two columns are headed `flaws` (leave one of them out)",
            "line 1, column 1: of `thickness_1`, `thickness_2` and `thickness_3` not all are there \
             (give one `thickness`, or three: at the marked end, in the middle, at the far end)",
            &format!("line 1, column 1: there is no column `width` ({FIRST})"),
            &format!("line 1, column 1: there is no column `length` ({FIRST})"),
        ],
    );
    refused(
        "thickness,thickness_1,width,length\n1,1,6,96\n",
        &["line 1, column 1: both `thickness` and `thickness_1`, `_2`, `_3` (`thickness` is one \
           number for all three: leave it or them out)"],
    );
}

#[test]
fn every_problem_at_once_and_where_it_stands() {
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
    assert_eq!(sentences(&format!("{head}{}", "B,white oak,1,6,96,\n".repeat(100_000))).len(), 1);
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
