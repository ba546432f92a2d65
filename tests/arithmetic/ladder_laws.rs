//! Laws of heights, depths and walls, judged on the marks of random scales
//! through whole plans: a blank resawn, planed, sanded, grooved, routed, bored
//! and mortised in a shop drawn at random.

use std::collections::BTreeMap;

use benchway::measure::Length;
use benchway::operation::{NamedSetting, Outcome, Pass};
use benchway::plan::{Group, Known, Plan, walk};
use benchway::prose::Level;
use benchway::shop::Shop;
use proptest::prelude::*;
use serde_json::{Value, json};

use crate::dials::is_on_a_mark;
use crate::plans::{shop, try_route_of};

/// Nearer than this is the same: a 128th of an inch is no whole number of
/// nanometres.
const SAME: Length = Length::from_nanometres(12);

/// Scales as shops have them: step, marks or display, unit.
const SCALES: [(&str, &str, &str); 10] = [
    ("1/8", "fraction", "in"),
    ("1/16", "fraction", "in"),
    ("1/32", "fraction", "in"),
    ("1/64", "fraction", "in"),
    ("1/128", "fraction", "in"),
    ("0.001", "decimal", "in"),
    ("0.005", "decimal", "in"),
    ("0.05", "decimal", "mm"),
    ("0.1", "decimal", "mm"),
    ("1", "decimal", "mm"),
];

const RESAW: u32 = 10;
const PLANE: u32 = 20;
const SAND: u32 = 30;
const GROOVE: u32 = 40;
const SLOT: u32 = 50;
const ROUT: u32 = 60;
const BORE: u32 = 70;
const DOWEL: u32 = 80;
const MORTISE: u32 = 90;

/// A belt: the most it takes, what its scratches need, its offset, in tenths
/// of a thousandth of an inch.
type Belt = (i64, i64, i64);

/// A shop and a route. Lengths are tenths of a thousandth of an inch.
#[derive(Clone, Debug)]
struct Drawn {
    /// Scales of band saw, planer, sander, saw, router, drill press, mortiser.
    scales: [usize; 7],
    offsets: [i64; 7],
    planer: (i64, Option<i64>),
    belts: Vec<Belt>,
    jog: Option<i64>,
    kerf: i64,
    bit_most: i64,
    metric: bool,
    square: bool,
    resawn: bool,
    aim: i64,
    /// Thickness and width of the stock.
    stock: (i64, i64),
    /// What the planer and the sander take off, and the other sizes.
    sizes: [i64; 12],
}

fn tenths(amount: i64) -> Length {
    Length::thousandths(1) / 10 * amount
}

fn text(amount: i64) -> String {
    format!(
        "{}{}.{:04}in",
        if amount < 0 { "-" } else { "" },
        amount.abs() / 10_000,
        amount.abs() % 10_000
    )
}

impl Drawn {
    fn readout(&self, which: usize) -> Value {
        let (step, shows, unit) = SCALES[self.scales[which]];
        json!({ "step": step, "shows": shows, "unit": unit })
    }

    fn offset(&self, which: usize) -> String {
        text(self.offsets[which])
    }

    fn shop(&self) -> Shop {
        let (most, last) = self.planer;
        let mut cut = json!({ "hard": text(most), "soft": text(most) });
        if let Some(last) = last {
            cut["last"] = text(last).into();
        }
        let mut belts = json!({});
        for (n, (most, need, offset)) in self.belts.iter().enumerate() {
            belts[format!("belt {n}")] = json!({
                "grit": 80 + 40 * n, "most": text(*most), "need": text(*need),
                "scale_offset": text(*offset),
            });
        }
        let on = |which: usize, scale: &str| {
            let mut offsets = json!({});
            offsets[scale] = self.offset(which).into();
            offsets
        };
        let jog = self.jog.map_or(Value::Null, |jog| text(jog).into());
        let mut router = on(4, "height");
        router["fence"] = self.offset(3).into();
        let changes: Vec<(&str, Value)> = vec![
            ("/machines/band saw/readouts/fence", self.readout(0)),
            ("/machines/band saw/tools/half inch blade/scale_offset", on(0, "fence")),
            ("/machines/planer/readouts/table", self.readout(1)),
            ("/machines/planer/tools/knives/scale_offset", self.offset(1).into()),
            ("/machines/planer/most_cut", cut),
            ("/machines/wide-belt sander/readouts/table", self.readout(2)),
            ("/machines/wide-belt sander/tools", belts),
            ("/machines/wide-belt sander/jog", jog),
            ("/machines/wide-belt sander/kiss", self.metric.into()),
            ("/machines/cabinet saw/readouts/fence", self.readout(3)),
            ("/machines/cabinet saw/tools/rip blade/kerf", text(self.kerf).into()),
            ("/machines/cabinet saw/tools/rip blade/scale_offset", on(3, "fence")),
            ("/machines/router table/readouts/height", self.readout(4)),
            ("/machines/router table/readouts/fence", self.readout(3)),
            ("/machines/router table/tools/1~14 straight bit/most", text(self.bit_most).into()),
            ("/machines/router table/tools/1~14 straight bit/scale_offset", router),
            ("/machines/router table/tools/3~18 round-over bit/most", text(self.bit_most).into()),
            ("/machines/router table/tools/3~18 round-over bit/scale_offset", on(4, "height")),
            ("/machines/drill press/readouts/depth", self.readout(5)),
            ("/machines/drill press/readouts/fence", self.readout(6)),
            ("/machines/drill press/tools/3~18 bit/scale_offset", on(5, "depth")),
            ("/machines/mortiser/readouts/depth", self.readout(6)),
            ("/machines/mortiser/readouts/fence", self.readout(5)),
            ("/machines/mortiser/tools/1~14 chisel/scale_offset", on(6, "depth")),
        ];
        shop_without_nulls(changes)
    }

    fn plan(&self, shop: &Shop) -> Plan {
        let n = &self.sizes;
        let (thick, wide) = self.stock;
        let slice = thick / 3;
        let planed = if self.resawn { slice + n[0] % 300 } else { thick - n[0] };
        let sanded = planed - n[1];
        let square = if self.square { r#", "square": true"# } else { "" };
        let mut operations = Vec::new();
        if self.resawn {
            operations.push(format!(
                r#"{{ "op": {RESAW}, "part": "piece", "do": "resaw", "at": "band saw", "tool": "half inch blade",
                     "slice": "{}", "clean_up": "{}", "rejoint": "{}" }}"#,
                text(slice), text(700 + n[2] / 4), text(n[3] / 8)
            ));
        }
        let at = |op: u32, keys: String| format!(r#"{{ "op": {op}, "part": "piece", {keys} }}"#);
        operations.push(at(
            PLANE,
            format!(
                r#""do": "plane", "at": "planer", "to": "{}", "aim": "{}"{square}"#,
                text(planed),
                text(self.aim)
            ),
        ));
        operations.push(at(
            SAND,
            format!(
                r#""do": "sand", "at": "wide-belt sander", "to": "{}", "aim": "{}"{square}"#,
                text(sanded),
                text(self.aim)
            ),
        ));
        operations.push(at(GROOVE, format!(
            r#""do": "groove", "at": "cabinet saw", "tool": "rip blade", "makes": "slit", "panel": "{}", "depth": "0.1", "from_edge": "1/4", "aim": "{}""#,
            text(1000 + n[4] * 5), text(self.aim)
        )));
        operations.push(at(SLOT, format!(
            r#""do": "groove", "at": "router table", "tool": "1/4 straight bit", "panel": "{}", "depth": "{}", "from_edge": "1/4""#,
            text(2600 + n[5] * 3), text(300 + n[6] * 3)
        )));
        operations.push(at(ROUT, format!(
            r#""do": "rout", "at": "router table", "tool": "3/8 round-over bit", "depth": "{}", "last": "{}""#,
            text(400 + n[7] * 3), text(n[8] + 1)
        )));
        operations.push(at(BORE, format!(
            r#""do": "bore", "at": "drill press", "tool": "3/8 bit", "size": "3/8", "from_face": "{}", "depth": "{}""#,
            text(2200 + n[9] * 4), text(1000 + sanded.max(0) * n[10] / 1200)
        )));
        operations.push(at(DOWEL, format!(
            r#""do": "dowel", "at": "drill press", "tool": "3/8 bit", "makes": "dowel hole", "dowel": "3/8", "dowel_length": "{}",
               "from_face": "{}", "joint": "3", "from_end": "3/4", "count": 2, "into": "face""#,
            text(2000 + sanded.max(0) * n[11] / 600), text(2200 + n[9] * 4)
        )));
        operations.push(at(MORTISE, format!(
            r#""do": "mortise", "at": "mortiser", "tool": "1/4 chisel", "width": "1/4", "from_face": "{}", "depth": "{}",
               "length": "2", "faces": 2, "adjacent": true, "into": "face""#,
            text(500 + n[10] * 4), text(2000 + n[11] * 8)
        )));
        let stock = format!(
            r#""species": "ash", "stock": {{ "thickness": "{}", "width": "{}", "length": "30in" }}"#,
            text(thick),
            text(wide)
        );
        let unit = if self.metric { "mm" } else { "in" };
        // A bare fraction counts in the route's unit.
        let operations = in_inches(&operations.join(", "));
        let route = try_route_of(unit, "", &stock, &operations);
        walk(&route.unwrap_or_else(|problems| panic!("{problems}")), shop, &Known::default())
    }
}

/// Values of formulas without a unit, said in inches.
fn in_inches(operations: &str) -> String {
    let mut text = operations.to_owned();
    for bare in ["\"0.1\"", "\"1/4\"", "\"3/8\"", "\"3/4\"", "\"2\"", "\"3\""] {
        text = text.replace(bare, &format!("{}in\"", &bare[..bare.len() - 1]));
    }
    text
}

/// The bundled shop so changed; a key that is nothing is left out.
fn shop_without_nulls(changes: Vec<(&str, Value)>) -> Shop {
    let (none, some): (Vec<_>, Vec<_>) =
        changes.into_iter().partition(|(_, value)| value.is_null());
    let mut all = some;
    if !none.is_empty() {
        // The sander is written anew without a jog button.
        let file: Value = serde_json::from_str(benchway::shop::BUNDLED).unwrap();
        let mut sander = file["machines"]["wide-belt sander"].clone();
        sander.as_object_mut().unwrap().remove("jog");
        all.insert(0, ("/machines/wide-belt sander", sander));
    }
    shop(&all)
}

fn a_case() -> impl Strategy<Value = Drawn> {
    let machines = (
        prop::array::uniform7(0..SCALES.len()),
        prop::array::uniform7(prop_oneof![Just(0_i64), -400_i64..=400]),
        (80_i64..1250, prop::option::of(50_i64..400)),
        prop::collection::vec(
            (20_i64..300, 1_i64..150, prop_oneof![Just(0_i64), -30_i64..=30]),
            1..4,
        ),
        prop::option::of(prop_oneof![(1_i64..12).prop_map(|n| n * 10), 10_i64..120]),
        600_i64..1500,
        200_i64..2500,
    );
    let work = (
        any::<bool>(),
        any::<bool>(),
        any::<bool>(),
        prop_oneof![Just(0_i64), 0_i64..100],
        (6000_i64..24000, -2000_i64..2000, 0_i64..20000),
        prop::array::uniform12(0_i64..1000),
    );
    (machines, work).prop_map(|(machines, work)| {
        let (scales, offsets, planer, belts, jog, kerf, bit_most) = machines;
        let (metric, square, resawn, aim, (thick, off, wider), mut sizes) = work;
        let wide = if square { thick + off } else { 10_000 + wider };
        let resawn = resawn && !square && thick > 12_000;
        // Up to six tenths of an inch for the planer, a sixteenth for the sander.
        sizes[0] *= 3;
        sizes[1] = sizes[1] * 6 / 10;
        Drawn {
            scales,
            offsets,
            planer,
            belts,
            jog,
            kerf,
            bit_most,
            metric,
            square,
            resawn,
            aim,
            stock: (thick, wide),
            sizes,
        }
    })
}

/// One breach of a law: which law, and what was seen.
type Breach = (&'static str, String);

struct Seen<'p> {
    plan: &'p Plan,
    op: u32,
    group: &'p Group,
    out: &'p Outcome,
}

impl<'p> Seen<'p> {
    fn of(plan: &'p Plan, op: u32) -> Option<Seen<'p>> {
        let group = &plan.operation(op)?.groups[0];
        Some(Seen { plan, op, group, out: &group.outcome })
    }

    /// Whether it is refused or warned of something with all these words.
    fn says(&self, level: Level, words: &[&str]) -> bool {
        let findings = &self.plan.operation(self.op).unwrap().findings;
        findings.iter().any(|finding| {
            let text = format!("{} {}", finding.what, finding.help.as_deref().unwrap_or_default());
            finding.level <= level && words.iter().all(|word| text.contains(word))
        })
    }

    /// Whether anything is found at a key.
    fn finds(&self, key: &str) -> bool {
        let findings = &self.plan.operation(self.op).unwrap().findings;
        findings.iter().any(|finding| finding.place.key == Some(key))
    }

    fn setting(&self, name: &str) -> &'p NamedSetting {
        self.out.settings.iter().find(|held| held.name == name).unwrap()
    }
}

/// Heights of the passes that take wood, by the marks of the scale.
fn made(passes: &[Pass], offset: impl Fn(&Pass) -> Length) -> Vec<Length> {
    passes.iter().filter(|pass| !pass.kiss).map(|pass| pass.dial.0 + offset(pass)).collect()
}

fn planing(drawn: &Drawn, seen: &Seen<'_>, found: &mut Vec<Breach>) {
    let before = &seen.group.before;
    let mut from = before.biggest("thickness").unwrap();
    if drawn.square {
        from = from.max(before.biggest("width").unwrap());
    }
    let (most, last) = drawn.planer;
    let most = tenths(most);
    let table = seen.setting("table");
    let step = table.readout.step;
    let wanted = table.setting.target.0;
    if from <= wanted {
        return;
    }
    let refused = step > most + SAME;
    if refused {
        if !seen.out.passes.is_empty() || !seen.says(Level::Error, &["step"]) {
            found.push((
                "a scale too coarse for the machine is refused",
                format!("{step:?} {most:?}"),
            ));
        }
        return;
    }
    let heights = made(&seen.out.passes, |_| tenths(drawn.offsets[1]));
    bites("planer", from, &heights, most, found);
    if heights.last() != Some(&table.setting.predicted) {
        found.push(("heights end at the target's mark", format!("planer {heights:?} {table:?}")));
    }
    let light = last.map_or(Length::inch_fraction(1, 64), tenths).min(most).max(step);
    let tail: Vec<Length> = std::iter::once(from).chain(heights).rev().take(2).collect();
    if tail[1] - tail[0] > light + SAME {
        found.push(("the last bite is light, or one step", format!("planer {tail:?} {light:?}")));
    }
    let light = last.map_or(Length::inch_fraction(1, 64), tenths).min(most);
    if step > light + SAME && !seen.says(Level::Warning, &["light", "step"]) {
        found.push(("a step larger than the light pass is said", format!("{step:?} {light:?}")));
    }
}

fn bites(at: &str, from: Length, heights: &[Length], most: Length, found: &mut Vec<Breach>) {
    let mut above = from;
    for height in heights {
        if above - *height > most + SAME {
            found.push((
                "no bite over the most",
                format!("{at} {above:?} to {height:?}, most {most:?}"),
            ));
        }
        above = *height;
    }
    if heights.windows(2).any(|pair| pair[1] >= pair[0]) {
        found.push(("heights fall strictly", format!("{at} {heights:?}")));
    }
}

fn sanding(drawn: &Drawn, seen: &Seen<'_>, plane: &Seen<'_>, found: &mut Vec<Breach>) {
    let belt_of = |pass: &Pass| {
        let name = pass.tool.as_deref().unwrap();
        drawn.belts[name.strip_prefix("belt ").unwrap().parse::<usize>().unwrap()]
    };
    let cap = Length::inch_fraction(1, 64);
    let limit = |belt: Belt| tenths(belt.0).min(cap);
    let before = &seen.group.before;
    let (mut thick, mut wide) =
        (before.biggest("thickness").unwrap(), before.biggest("width").unwrap());
    // What the planer's last mark makes is what comes to the sander.
    if !plane.out.passes.is_empty() {
        let made = plane.setting("table").setting.predicted;
        let came = |feature| plane.group.before.biggest(feature).unwrap().min(made);
        thick = came("thickness");
        wide = if drawn.square { came("width") } else { wide };
    }
    let came_thick = thick;
    let table = seen.setting("table");
    let from = if drawn.square { thick.max(wide) } else { thick };
    if from <= table.setting.target.0 {
        return;
    }
    let step = table.readout.step;
    let grid = drawn.jog.map_or(step, |jog| step.max(tenths(jog)));
    let coarse = drawn.belts.iter().any(|belt| grid > limit(*belt) + SAME);
    if coarse && seen.out.passes.is_empty() {
        if !seen.says(Level::Error, &["step"]) && !seen.says(Level::Error, &["jog"]) {
            found.push(("a scale too coarse for the machine is refused", "sander".to_owned()));
        }
        return;
    }
    let passes: Vec<&Pass> = seen.out.passes.iter().filter(|pass| !pass.kiss).collect();
    let heights = made(&seen.out.passes, |pass| tenths(belt_of(pass).2));
    let mut above = from;
    // What each face lost to each belt in turn.
    let mut lost: Vec<(Belt, BTreeMap<&str, Length>)> = Vec::new();
    for (pass, height) in passes.iter().zip(&heights) {
        let belt = belt_of(pass);
        if above - *height > limit(belt) + SAME {
            found.push((
                "no bite over the most",
                format!("sander {above:?} to {height:?}, {belt:?}"),
            ));
        }
        if *height >= above && heights.len() > 1 {
            found.push(("heights fall strictly", format!("sander {above:?} {height:?}")));
        }
        above = *height;
        if lost.last().is_none_or(|(last, _)| *last != belt) {
            lost.push((belt, BTreeMap::new()));
        }
        let by = &mut lost.last_mut().unwrap().1;
        for face in &pass.faces {
            let size = if matches!(*face, "A" | "C") { &mut thick } else { &mut wide };
            *by.entry(face).or_default() += *size - *height;
            *size = *height;
        }
    }
    if heights.last() != Some(&table.setting.predicted) {
        found.push(("heights end at the target's mark", format!("sander {heights:?} {table:?}")));
    }
    for pair in lost.windows(2) {
        let need = tenths(pair[0].0.1);
        for face in pair[0].1.keys() {
            let got = pair[1].1.get(face).copied().unwrap_or_default();
            if got + SAME < need {
                found.push((
                    "each face gets what each grit needs",
                    format!("{face}: {got:?} of {need:?}"),
                ));
            }
        }
        if !(pair[0].1.contains_key("A") && pair[0].1.contains_key("C")) && from == came_thick {
            found.push(("a belt that is used touches both faces", format!("{:?}", pair[0])));
        }
    }
}

/// The cuts of a groove beside each other, passes or settings, in order.
fn grooving(drawn: &Drawn, seen: &Seen<'_>, kerf: Length, found: &mut Vec<Breach>) {
    if seen.says(Level::Error, &["cuts of"]) || seen.says(Level::Error, &["the cutter takes"]) {
        return;
    }
    let by_settings: Vec<Length> = seen
        .out
        .settings
        .iter()
        .filter(|held| held.name.starts_with("fence"))
        .map(|held| held.setting.dial.0)
        .collect();
    let by_passes: Vec<Length> = seen.out.passes.iter().map(|pass| pass.dial.0).collect();
    let cuts = if by_settings.len() > 1 || drawn_in_depth(seen) { by_settings } else { by_passes };
    for pair in cuts.windows(2) {
        let moved = pair[1] - pair[0];
        if moved >= kerf || moved < Length::ZERO {
            found.push((
                "the cuts of a groove overlap",
                format!("{moved:?} of {kerf:?} ({:?})", drawn.scales),
            ));
        }
    }
}

/// Whether the passes of a groove are its depths.
fn drawn_in_depth(seen: &Seen<'_>) -> bool {
    seen.out.settings.iter().any(|held| held.by_passes && held.name == "height")
}

fn routing(drawn: &Drawn, seen: &Seen<'_>, last: Option<i64>, found: &mut Vec<Breach>) {
    // A profile as deep as the piece is refused as such.
    if seen.says(Level::Error, &["leaves nothing"]) {
        return;
    }
    let most = tenths(drawn.bit_most);
    let height = seen.setting("height");
    let step = height.readout.step;
    if step > most + SAME {
        if height.by_passes && !seen.out.passes.is_empty() || !seen.says(Level::Error, &["step"]) {
            found.push((
                "a scale too coarse for the machine is refused",
                format!("router {step:?} {most:?}"),
            ));
        }
        return;
    }
    if seen.says(Level::Error, &["fifty passes"]) {
        return;
    }
    let made = height.setting.predicted;
    if !height.by_passes {
        if made > most + SAME {
            found
                .push(("no bite over the most", format!("router at once {made:?}, most {most:?}")));
        }
        return;
    }
    let depths: Vec<Length> = made_of_router(drawn, &seen.out.passes);
    let left: Vec<Length> = depths.iter().map(|depth| made - *depth).collect();
    bites("router", made, &left, most, found);
    if depths.last() != Some(&made) {
        found.push(("heights end at the target's mark", format!("router {depths:?} {made:?}")));
    }
    let Some(last) = last.filter(|last| *last > 0) else { return };
    let light = tenths(last).min(most).max(step);
    let tail: Vec<Length> = std::iter::once(made).chain(left).rev().take(2).collect();
    if tail[1] - tail[0] > light + SAME {
        found.push(("the last bite is light, or one step", format!("router {tail:?} {light:?}")));
    }
}

fn made_of_router(drawn: &Drawn, passes: &[Pass]) -> Vec<Length> {
    made(passes, |_| tenths(drawn.offsets[4]))
}

/// Depths and walls as the scale makes them. A wall thinner than wanted is
/// found at its key.
fn holes(seen: &Seen<'_>, key: &str, rounds_deep: bool, wanted: Length, found: &mut Vec<Breach>) {
    let depth = seen.setting("depth");
    let (target, made) = (depth.setting.target.0, depth.setting.predicted);
    if rounds_deep && made + SAME < target || !rounds_deep && made > target + SAME {
        found.push((
            "a depth rounds to its kind's side",
            format!("op {} {target:?} makes {made:?}", seen.op),
        ));
    }
    let wall = seen.group.before.least_of("thickness").unwrap() - made;
    let wanted =
        wanted.min(Length::MILLIMETRE * if wanted == Length::inch_fraction(1, 8) { 3 } else { 7 });
    if wall < wanted && !seen.finds(key) {
        found.push((
            "a wall as made is as thick as wanted",
            format!("op {}: {wall:?} of {wanted:?} left", seen.op),
        ));
    }
}

/// The wall between the reference face and the hole, as the fence makes it.
fn sides(seen: &Seen<'_>, half: Length, wide: Length, found: &mut Vec<Breach>) {
    let near = seen.setting("fence").setting.predicted - half;
    let far = seen.group.before.least_of("width").unwrap() - near - wide;
    let least = Length::inch_fraction(1, 16);
    if (near < least || far < least) && !seen.finds("from_face") {
        found.push((
            "a wall as made is as thick as wanted",
            format!("op {}: {near:?} {far:?} beside it", seen.op),
        ));
    }
}

fn mortising(seen: &Seen<'_>, found: &mut Vec<Breach>) {
    holes(seen, "depth", true, Length::inch_fraction(1, 4), found);
    let quarter = Length::inch_fraction(1, 4);
    sides(seen, Length::ZERO, quarter, found);
    let section = seen
        .group
        .before
        .least_of("thickness")
        .unwrap()
        .min(seen.group.before.least_of("width").unwrap());
    let near = seen.setting("fence").setting.predicted;
    let deep = seen.setting("depth").setting.predicted;
    let web = section - near - quarter - deep;
    if web < Length::MILLIMETRE * 3 && !seen.finds("depth") {
        found.push(("a wall between mortises is 1/8 in or more", format!("{web:?}")));
    }
}

/// The first height after a resaw takes one bite of the thickest slice there is.
fn slices(drawn: &Drawn, seen: &Seen<'_>, plane: &Seen<'_>, found: &mut Vec<Breach>) {
    let Some(blank) = seen.group.before.least_of("thickness") else { return };
    let fence = seen.setting("fence").setting.predicted;
    let kerf = Length::inch_fraction(1, 16);
    let pitch = fence + kerf + tenths(drawn.sizes[3] / 8);
    let mut slab = blank;
    while slab >= pitch + fence {
        slab -= pitch;
    }
    let sawn = seen.out.steps.iter().any(|step| step.contains("last slab too"));
    let thickest = if sawn { fence } else { slab.max(fence) };
    let Some(first) = plane.out.passes.first() else { return };
    let height = first.dial.0 + tenths(drawn.offsets[1]);
    if thickest - height > tenths(drawn.planer.0) + SAME {
        found.push((
            "no height takes more than a bite of the last slab",
            format!("{thickest:?} at {height:?}"),
        ));
    }
}

fn breaches(drawn: &Drawn) -> Vec<Breach> {
    let shop = drawn.shop();
    let plan = drawn.plan(&shop);
    let mut found = Vec::new();
    for operation in &plan.operations {
        let out = &operation.groups[0].outcome;
        let dials = out.settings.iter().map(|held| (held.setting.dial.0, held.readout));
        for (dial, readout) in
            dials.chain(out.passes.iter().map(|pass| (pass.dial.0, pass.readout)))
        {
            if !is_on_a_mark(dial, &readout) {
                found.push((
                    "a dial lies on a mark",
                    format!("op {} {dial:?} {readout:?}", operation.op),
                ));
            }
        }
    }
    let seen = |op| Seen::of(&plan, op).unwrap();
    let plane = seen(PLANE);
    if drawn.resawn {
        slices(drawn, &seen(RESAW), &plane, &mut found);
    }
    planing(drawn, &plane, &mut found);
    sanding(drawn, &seen(SAND), &plane, &mut found);
    grooving(drawn, &seen(GROOVE), tenths(drawn.kerf), &mut found);
    grooving(drawn, &seen(SLOT), Length::inch_fraction(1, 4), &mut found);
    routing(drawn, &seen(SLOT), None, &mut found);
    routing(drawn, &seen(ROUT), Some(drawn.sizes[8] + 1), &mut found);
    let (half, bit) = (Length::inch_fraction(3, 16), Length::inch_fraction(3, 8));
    holes(&seen(BORE), "depth", false, Length::inch_fraction(1, 8), &mut found);
    sides(&seen(BORE), half, bit, &mut found);
    holes(&seen(DOWEL), "dowel_length", true, Length::inch_fraction(1, 8), &mut found);
    sides(&seen(DOWEL), half, bit, &mut found);
    mortising(&seen(MORTISE), &mut found);
    found
}

proptest! {
    /// Always: No bite is over the machine's most, whatever the scale's marks.
    #[test]
    fn laws_hold_on_the_marks_of_every_scale(drawn in a_case()) {
        let found = breaches(&drawn);
        prop_assert!(found.is_empty(), "{found:#?}");
    }
}
