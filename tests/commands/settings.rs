//! `benchway settings`, through the binary: what people and programs read.

use crate::bench::{self, Said, benchway};
use serde_json::Value;

fn settings(arguments: &[&str]) -> Said {
    benchway(&[&["settings"], arguments].concat())
}

fn json(arguments: &[&str]) -> (i32, Value) {
    bench::json(&settings(&[arguments, &["--format", "json"]].concat()))
}

fn operation(answer: &Value, op: u64) -> &Value {
    let mut all = answer["operations"].as_array().unwrap().iter();
    all.find(|operation| operation["op"] == op).unwrap_or_else(|| panic!("op {op}"))
}

/// By hand: 20 7/8 - 7/8 = 20 of leg; on a stop that makes 0.004 more than it shows, 19.996.
#[test]
fn a_setting_says_target_dial_and_what_the_wood_should_measure() {
    let (code, answer) = json(&["reading-stool"]);
    assert_eq!(code, 0);
    assert_eq!(answer["route"], "Lantern reading stool");
    assert_eq!(answer["unit"], "in");
    assert_eq!(answer["findings"], serde_json::json!([]));
    let cut = operation(&answer, 60);
    assert_eq!(
        (&cut["part"], &cut["do"], &cut["at"]),
        (&"leg".into(), &"crosscut".into(), &"stop saw".into())
    );
    // 12 articles of 4, 4 spares, 1 setup piece.
    assert_eq!(cut["pieces"], 53);
    let stop = &cut["settings"][0];
    assert_eq!(stop["setting"], "stop");
    assert_eq!((&stop["target"], &stop["dial"]), (&20.0.into(), &19.996.into()));
    assert_eq!((&stop["dial_text"], &stop["predicted"]), (&"19.996".into(), &20.0.into()));
    assert_eq!(stop["for"], serde_json::json!([]));
    assert!(stop["why"].as_str().unwrap().contains("leg_length 20 in, planned"));
    assert_eq!((&cut["before"]["length"], &cut["after"]["length"]), (&21.0.into(), &20.0.into()));
    let check = &cut["checks"][0];
    assert_eq!((&check["check"], &check["with"]), (&"length".into(), &"length bar".into()));
    assert_eq!(check["limits"], serde_json::json!({ "low": 19.984375, "high": 20.015625 }));
}

/// By hand, as in `worked_numbers`: 1.278, 1.266, 1.258, 1.250.
#[test]
fn passes_say_which_faces_are_fed_and_how_often() {
    let (_, answer) = json(&["reading-stool"]);
    let passes = operation(&answer, 50)["passes"].as_array().unwrap();
    let dials: Vec<f64> = passes.iter().map(|pass| pass["dial"].as_f64().unwrap()).collect();
    assert_eq!(dials, [1.278, 1.266, 1.258, 1.25]);
    assert_eq!(passes[0]["faces"], serde_json::json!(["A", "B"]));
    assert_eq!(passes[1]["faces"], serde_json::json!(["C", "D"]));
    assert!(passes.iter().all(|pass| pass["feeds"] == 2));
    assert_eq!((&passes[1]["pass"], &passes[1]["tool"]), (&2.into(), &"80 belt".into()));
    // A press of the jog button is 0.004: 0.012 is three and 0.008 is two.
    assert_eq!((&passes[1]["presses"], &passes[3]["presses"]), (&3.into(), &2.into()));
    let mut keys: Vec<&String> = passes[1].as_object().unwrap().keys().collect();
    keys.sort();
    let named =
        ["dial", "dial_text", "faces", "feeds", "kiss", "pass", "presses", "target", "tool"];
    assert!(named.iter().all(|name| keys.iter().any(|key| key == name)), "{keys:?}");
}

fn every_number<'v>(value: &'v Value, visit: &mut dyn FnMut(&'v serde_json::Number)) {
    match value {
        Value::Number(number) => visit(number),
        Value::Array(all) => all.iter().for_each(|value| every_number(value, visit)),
        Value::Object(all) => all.values().for_each(|value| every_number(value, visit)),
        _ => {}
    }
}

#[test]
fn numbers_carry_no_noise() {
    for with in [[].as_slice(), &["--with", "leg_square=31.3mm"]] {
        let (_, answer) = json(&[&["reading-stool"], with].concat());
        every_number(&answer, &mut |number| {
            let text = number.to_string();
            let places = text.split_once('.').map_or(0, |(_, places)| places.len());
            assert!(places <= 6, "{text}");
        });
    }
}

#[test]
fn every_operation_has_the_same_keys() {
    let (_, answer) = json(&["reading-stool"]);
    let operations = answer["operations"].as_array().unwrap();
    let keys = |value: &Value| value.as_object().unwrap().keys().cloned().collect::<Vec<_>>();
    let first = keys(&operations[0]);
    for wanted in [
        "op", "part", "do", "at", "pieces", "settings", "passes", "before", "after", "cautions",
        "findings",
    ] {
        assert!(first.iter().any(|key| key == wanted), "{wanted} in {first:?}");
    }
    assert!(operations.iter().all(|operation| keys(operation) == first));
}

/// By hand: base 13 1/2 less two legs of 1 7/32 is 11 1/16 between shoulders,
/// and two tenons of 5/8 make 12 5/16, 1/16 more than planned.
#[test]
fn a_dimension_given_as_made_moves_what_comes_after() {
    let with = ["reading-stool", "--with", "leg_square=1 7/32"];
    let (code, answer) = json(&with);
    assert_eq!(code, 0, "{}", answer["findings"]);
    assert_eq!(operation(&answer, 50)["settings"][1]["target"], 1.25, "still planned");
    assert_eq!(operation(&answer, 160)["settings"][0]["target"], 12.3125);
    let why = operation(&answer, 160)["settings"][0]["why"].as_str().unwrap();
    assert!(why.contains("leg_square 1 7/32 in: given on the command line"), "{why}");
    // A dimension nobody measures holds from the start.
    let (_, answer) = json(&["reading-stool", "--with", "rail_length=12"]);
    assert_eq!(operation(&answer, 110)["settings"][0]["target"], 13.0);
}

#[test]
fn the_route_may_be_named_by_its_file_its_stem_or_its_name() {
    let by_stem = settings(&["reading-stool"]).out;
    assert_eq!(settings(&["Lantern reading stool"]).out, by_stem);
    assert_eq!(settings(&["routes/reading-stool.json"]).out, by_stem);
}

/// Notes and scripts from before the option was renamed still work.
#[test]
fn the_former_name_of_articles_is_accepted_and_hidden() {
    let now = settings(&["reading-stool", "--articles", "2"]);
    assert_eq!(now.code, 0, "{}", now.err);
    assert!(now.out.contains(": 2 "), "{}", now.out);
    assert_eq!(now.out, settings(&["reading-stool", "--sets", "2"]).out);
    let help = settings(&["--help"]).out;
    assert!(help.contains("--articles <N>") && !help.contains("--sets"), "{help}");
}

/// A thousand stools are one batch, of 17,000 pieces and a few more; a thousand chests
/// would be more than twice as many.
#[test]
fn a_batch_is_as_large_as_it_may_be() {
    let large = settings(&["reading-stool", "--sets", "1000"]);
    assert_eq!((large.code, large.err.as_str()), (0, ""));
    let larger = settings(&["till-chest", "--sets", "1000"]);
    assert_eq!(larger.code, 2);
    assert!(larger.err.contains("more than 20000 pieces in one batch"), "{}", larger.err);
}

#[test]
fn what_is_given_wrongly_is_refused_with_what_to_do() {
    for (arguments, said) in [
        (["--with", "leg_sqare=1"], "did you mean `leg_square`?"),
        (["--with", "leg_square"], "--with leg_square=1.4375"),
        (["--with", "leg_square=wide"], "--with leg_square=wide: "),
        (["--with", "leg_square=1-7/16"], "write `1 7/16` or `1 - 7/16`"),
        (["--sets", "0"], "a batch is 1 to 1000 articles"),
        (["--shop", "no-such.json"], "no-such.json can't be read"),
        (["--shop", "routes/route.schema.json"], "`shop` is missing"),
    ] {
        let refused = settings(&[["reading-stool"].as_slice(), &arguments].concat());
        assert_eq!((refused.code, refused.out.as_str()), (2, ""), "{arguments:?}");
        assert!(refused.err.contains(said), "{arguments:?}: {}", refused.err);
    }
    let missing = settings(&["no-such-route"]);
    assert_eq!(missing.code, 2);
    assert!(missing.err.contains("bundled: reading-stool"), "{}", missing.err);
    let broken = settings(&["tests/routes/invalid/unknown-keys.json"]);
    assert_eq!(broken.code, 2);
    assert!(
        broken.err.contains("unknown key `too`") && broken.err.contains(":13:88"),
        "{}",
        broken.err
    );
}

/// By hand: 2 articles of 4 legs, 4 spares and 1 setup piece.
#[test]
fn another_number_of_sets() {
    let (_, answer) = json(&["reading-stool", "--articles", "2"]);
    assert_eq!((&answer["sets"], &operation(&answer, 10)["pieces"]), (&2.into(), &13.into()));
}

#[test]
fn findings_end_with_1_and_are_in_both_formats() {
    let route = "tests/routes/invalid/adds-wood.json";
    let (code, answer) = json(&[route]);
    assert_eq!(code, 1);
    let finding = &operation(&answer, 50)["findings"][0];
    assert_eq!(finding["level"], "error");
    assert!(finding["what"].as_str().unwrap().contains("wood can't be added"));
    assert!(finding["fix"].is_string());
    let text = settings(&[route]);
    assert_eq!(text.code, 1);
    assert!(text.out.contains("error: cut to 26 in length"), "{}", text.out);
}

#[test]
fn people_get_one_block_for_each_operation() {
    let said = settings(&["tests/routes/invalid/gauge-cannot-judge.json", "--with", "long=23 7/8"]);
    assert_eq!(said.code, 1);
    let widest = said.out.lines().map(|line| line.chars().count()).max();
    assert!(widest <= Some(80), "{widest:?}");
    let (first, rest) = said.out.split_at(said.out.find("op 40").unwrap());
    bench::snapshot("settings-up-to-the-planer", first);
    bench::snapshot("settings-from-the-planer", rest);
}

/// Always: No text from a file reaches the terminal as a command.
#[test]
fn no_escape_from_a_file_reaches_the_terminal() {
    let said = settings(&["tests/routes/invalid/control-characters.json"]);
    assert_eq!(said.code, 1);
    let control = |c: char| c.is_control() && c != '\n';
    assert!(!said.out.contains(control) && !said.err.contains(control), "{}", said.out);
}

/// Cuts of a groove and of a lap, each from its own zero.
const FRAMES: &str = r#"{ "route": "frames", "unit": "in", "sets": 1,
  "parts": { "rail": { "per_set": 1, "species": "ash",
    "stock": { "thickness": "3/4", "width": "6", "length": "20" } } },
  "operations": [
    { "op": 5, "part": "rail", "do": "joint", "at": "jointer", "sides": ["face", "edge"] },
    { "op": 10, "part": "rail", "do": "groove", "at": "cabinet saw", "tool": "rip blade",
      "panel": "0.310", "clearance": "0", "depth": "1/4", "from_edge": "3/8" },
    { "op": 20, "part": "rail", "do": "half lap", "at": "saw and sled", "width": "2",
      "depth": "1/4" } ] }"#;

/// Target, dial and predicted size are counted from one place, that of the
/// scale. By hand: the sled is 1/2 thick and the lap 1/4 deep, so the height is
/// 3/4 wanted and 3/4 shown, and 1/2 of it isn't the lap. At the fence, which
/// makes 0.012 more than it shows, every target is within a step of 0.005 and a
/// half of what is made. The last cut of the groove begins at 0.375 + 0.310 -
/// 0.125 = 0.560.
#[test]
fn target_and_dial_are_counted_from_one_place() {
    let home = tempfile::tempdir().unwrap();
    let route = home.path().join("frames.json");
    std::fs::write(&route, FRAMES).unwrap();
    let (_, answer) = json(&[route.to_str().unwrap()]);
    let settings = operation(&answer, 20)["settings"].as_array().unwrap();
    let height = settings.iter().find(|held| held["setting"] == "blade height").unwrap();
    assert_eq!((&height["target"], &height["dial"]), (&0.75.into(), &0.75.into()));
    assert_eq!((&height["predicted"], &height["beyond"]), (&0.75.into(), &0.5.into()));

    let groove = operation(&answer, 10);
    let number = |held: &Value, key: &str| held[key].as_f64().unwrap();
    let passes = groove["passes"].as_array().unwrap();
    assert!(passes.len() > 1, "{groove}");
    for pass in passes {
        let made = number(pass, "dial") + 0.012;
        assert!((made - number(pass, "target")).abs() <= 0.0051, "{pass}");
    }
    let last = passes.last().unwrap();
    assert!((number(last, "target") - 0.560).abs() < 0.0051, "{last}");
    let fence = groove["settings"].as_array().unwrap();
    let fence = fence.iter().find(|held| held["setting"] == "fence").unwrap();
    assert!((number(fence, "predicted") - number(fence, "dial") - 0.012).abs() < 1e-6, "{fence}");
}

/// Of operations that share a setup all but the first save one.
#[test]
fn setups_saved_are_all_but_the_first_of_each() {
    let said = settings(&["reading-stool"]).out;
    let (_, after) = said.split_once("setups saved by doing these operations together: ").unwrap();
    let mut lines = after.lines();
    let saved: usize = lines.next().unwrap().parse().unwrap();
    let setups: Vec<&str> = lines.take_while(|line| !line.is_empty()).collect();
    let all = setups.join(" ").matches(" op ").count();
    let of_each = setups.iter().filter(|line| line.contains(": op ")).count();
    assert!(saved > 0, "{said}");
    assert_eq!(saved, all - of_each, "{said}");
}
