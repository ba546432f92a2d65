//! Every dial of every plan is on a mark of its scale and predicts what that
//! mark makes, whatever the route, the scales and the sleds.

use benchway::measure::{Length, Shows};
use benchway::operation::{NamedSetting, Outcome};
use benchway::plan::{Known, walk};
use benchway::shop::{self, Shop};
use proptest::prelude::*;
use serde_json::{Value, json};

use crate::plans::{inches, outcome, route_of, setting, shop, stock, try_route_of};

/// By hand: a base of 12 mm and a dado 1/4 in deep are 12 + 6.35 = 18.35 mm, or
/// 0.7224 in, from the table. The nearest mark of 1/32 below is 23/32, 0.71875.
/// The dado is then 0.71875 - 0.47244 = 0.24631 deep.
#[test]
fn a_dado_on_a_sled_is_set_on_a_mark_and_predicts_its_depth() {
    let shop = shop(&[("/machines/saw and sled/sled_base", "12mm".into())]);
    let route = route_of(
        "",
        &stock("3/4", "6", "20"),
        r#"{ "op": 10, "part": "piece", "do": "groove", "cut": "dado", "at": "saw and sled",
             "panel": "1/8", "clearance": "0", "depth": "1/4", "from_edge": "4" }"#,
    );
    let plan = walk(&route, &shop, &Known::default());
    let height = setting(&plan, 10, "blade height");
    assert_eq!(height.dial_text(), "23/32");
    let made = inches("23/32") - inches("12mm");
    assert_eq!(height.setting.predicted, made);
    assert_eq!((made.nanometres() + 1270) / 2540, 2463); // ten-thousandths of an inch
}

/// One operation: its kind, its machine, its tool, and its keys from six
/// numbers below a thousand.
struct Sample {
    kind: &'static str,
    at: &'static str,
    tool: Option<&'static str>,
    keys: fn(&[i64; 6]) -> String,
}

/// Thousandths of an inch between two ends, as a formula of either unit.
fn between(draw: i64, least: i64, most: i64) -> String {
    let thousandths = least + draw * (most - least) / 1000;
    format!("\"{}.{:03}in\"", thousandths / 1000, thousandths % 1000)
}

const SAMPLES: &[Sample] = &[
    Sample {
        kind: "crosscut",
        at: "stop saw",
        tool: None,
        keys: |n| format!(r#""to": {}"#, between(n[0], 8000, 14000)),
    },
    Sample {
        kind: "crosscut",
        at: "saw and sled",
        tool: None,
        keys: |n| format!(r#""to": {}"#, between(n[0], 8000, 14000)),
    },
    Sample {
        kind: "mitre",
        at: "saw and sled",
        tool: None,
        keys: |n| {
            let by = if n[2] % 2 == 0 { "turned" } else { "tilted" };
            let (to, angle) = (between(n[0], 8000, 12000), 1 + n[1] * 44 / 1000);
            format!(r#""to": {to}, "angle": "{angle}", "ends": "mirrored", "by": "{by}""#)
        },
    },
    Sample {
        kind: "joint",
        at: "jointer",
        tool: None,
        keys: |n| format!(r#""sides": ["face", "edge"], "defect": {}"#, between(n[0], 10, 90)),
    },
    Sample {
        kind: "rip",
        at: "cabinet saw",
        tool: Some("rip blade"),
        keys: |n| format!(r#""to": {}"#, between(n[0], 2000, 3500)),
    },
    Sample {
        kind: "plane",
        at: "planer",
        tool: None,
        keys: |n| format!(r#""to": {}"#, between(n[0], 800, 1000)),
    },
    Sample {
        kind: "sand",
        at: "wide-belt sander",
        tool: None,
        keys: |n| format!(r#""to": {}"#, between(n[0], 930, 1000)),
    },
    Sample {
        kind: "half lap",
        at: "saw and sled",
        tool: None,
        keys: |n| {
            let (wide, deep) = (between(n[0], 500, 2000), between(n[1], 100, 600));
            if n[2] % 2 == 0 {
                return format!(r#""width": {wide}, "depth": {deep}"#);
            }
            let from = between(n[3], 300, 4000);
            format!(r#""width": {wide}, "depth": {deep}, "from_end": {from}"#)
        },
    },
    Sample {
        kind: "groove",
        at: "saw and sled",
        tool: None,
        keys: |n| {
            let (panel, deep) = (between(n[0], 130, 700), between(n[1], 60, 400));
            let from = between(n[2], 300, 5000);
            format!(r#""cut": "dado", "panel": {panel}, "depth": {deep}, "from_edge": {from}"#)
        },
    },
    Sample {
        kind: "groove",
        at: "cabinet saw",
        tool: Some("rip blade"),
        keys: |n| {
            let (panel, deep) = (between(n[0], 130, 700), between(n[1], 60, 400));
            format!(
                r#""panel": {panel}, "depth": {deep}, "from_edge": {}"#,
                between(n[2], 250, 900)
            )
        },
    },
    Sample {
        kind: "groove",
        at: "router table",
        tool: Some("1/4 straight bit"),
        keys: |n| {
            let (panel, deep) = (between(n[0], 240, 700), between(n[1], 60, 400));
            format!(
                r#""panel": {panel}, "depth": {deep}, "from_edge": {}"#,
                between(n[2], 250, 900)
            )
        },
    },
    Sample {
        kind: "groove",
        at: "router table",
        tool: Some("3/4 straight bit"),
        keys: |n| {
            let (panel, deep) = (between(n[0], 200, 700), between(n[1], 60, 400));
            format!(r#""cut": "rabbet", "panel": {panel}, "depth": {deep}"#)
        },
    },
    Sample {
        kind: "tenon",
        at: "tenon saw",
        tool: None,
        keys: |n| {
            let (wide, from) = (between(n[0], 230, 300), between(n[1], 300, 400));
            let (back, long) = (between(n[2], 0, 100), between(n[3], 500, 1200));
            format!(
                r#""mortise_width": {wide}, "mortise_from_face": {from}, "setback": {back}, "length": {long}"#
            )
        },
    },
    Sample {
        kind: "mortise",
        at: "mortiser",
        tool: Some("1/4 chisel"),
        keys: |n| {
            let (from, deep) = (between(n[0], 200, 500), between(n[1], 300, 900));
            let long = between(n[2], 800, 2000);
            format!(r#""from_face": {from}, "width": "1/4 in", "depth": {deep}, "length": {long}"#)
        },
    },
    Sample {
        kind: "bore",
        at: "drill press",
        tool: Some("3/8 bit"),
        keys: |n| {
            let (from, deep) = (between(n[0], 400, 1500), between(n[1], 200, 800));
            format!(r#""size": "3/8 in", "from_face": {from}, "depth": {deep}"#)
        },
    },
    Sample {
        kind: "rout",
        at: "router table",
        tool: Some("3/8 round-over bit"),
        keys: |n| format!(r#""depth": {}"#, between(n[0], 60, 500)),
    },
    Sample {
        kind: "taper",
        at: "saw and sled",
        tool: None,
        keys: |n| {
            let (start, foot) = (between(n[0], 2000, 5000), between(n[1], 400, 700));
            format!(r#""start": {start}, "foot": {foot}, "faces": "one""#)
        },
    },
];

/// Scales as shops have them.
const SCALES: [(&str, &str, &str); 9] = [
    ("1/8", "fraction", "in"),
    ("1/16", "fraction", "in"),
    ("1/32", "fraction", "in"),
    ("1/64", "fraction", "in"),
    ("1/128", "fraction", "in"),
    ("0.001", "decimal", "in"),
    ("0.005", "decimal", "in"),
    ("0.1", "decimal", "mm"),
    ("1", "decimal", "mm"),
];

/// A shop with other scales, offsets, sleds and stops than the bundled one.
#[derive(Clone, Debug)]
struct Drawn {
    scales: [usize; 5],
    /// In thousandths of an inch.
    offsets: [i64; 5],
    /// In hundredths of a millimetre.
    base: i64,
    block: bool,
    /// Whether stops count to the far tooth.
    far: bool,
}

impl Drawn {
    /// How far every tool of a machine is off one of its scales.
    fn offset(&self, at: &str, scale: &str) -> Length {
        Length::thousandths(self.offsets[(at.len() + scale.len()) % 5])
    }

    fn base(&self) -> Length {
        Length::MILLIMETRE / 100 * self.base
    }

    fn shop(&self) -> Shop {
        let mut file: Value = serde_json::from_str(shop::BUNDLED).expect("the bundled shop");
        for (at, machine) in file["machines"].as_object_mut().expect("machines") {
            let Some(readouts) = machine.get_mut("readouts").and_then(Value::as_object_mut) else {
                continue;
            };
            let mut offsets = serde_json::Map::new();
            for (name, readout) in readouts.iter_mut() {
                let (step, shows, unit) = SCALES[self.scales[(at.len() + name.len()) % 5]];
                *readout = json!({ "step": step, "shows": shows, "unit": unit });
                let nanometres = self.offset(at, name).nanometres();
                offsets.insert(name.clone(), json!(format!("{}mm", nanometres as f64 / 1e6)));
            }
            if machine["kind"] == "table-saw" && at != "cabinet saw" && at != "metric cabinet saw" {
                machine["sled_base"] = json!(format!("{}mm", self.base as f64 / 100.0));
                let stop = if self.block { "set-off-block" } else { "kept-side" };
                machine["length_stop"] = stop.into();
                machine["stop_zero"] = if self.far { "far" } else { "near" }.into();
            }
            for tool in
                machine["tools"].as_object_mut().into_iter().flat_map(|tools| tools.values_mut())
            {
                let tool = tool.as_object_mut().expect("a tool");
                tool.remove("scale_offset");
                tool.remove("scale_offset");
                tool.insert("scale_offset".to_owned(), Value::Object(offsets.clone()));
            }
        }
        let text = file.to_string();
        let document = benchway::document::Document::read("shop.json", text).expect("JSON");
        shop::read(&document).unwrap_or_else(|problems| panic!("{problems:?}"))
    }
}

fn a_shop() -> impl Strategy<Value = Drawn> {
    (
        prop::array::uniform5(0..SCALES.len()),
        prop::array::uniform5(-40_i64..=40),
        1_i64..3000,
        any::<bool>(),
        any::<bool>(),
    )
        .prop_map(|(scales, offsets, base, block, far)| Drawn {
            scales,
            offsets,
            base,
            block,
            far,
        })
}

/// Whether a value is a whole number of steps of a scale. A 128th of an inch is
/// no whole number of nanometres, so its marks are rounded one by one.
pub fn is_on_a_mark(value: Length, named: &benchway::measure::Readout) -> bool {
    let (value, inch) = (i128::from(value.nanometres()), i128::from(Length::INCH.nanometres()));
    if named.shows == Shows::Fraction && named.step == Length::inch_fraction(1, 128) {
        let count = (value as f64 * 128.0 / inch as f64).round() as i128;
        return (value * 128 - count * inch).abs() <= 64;
    }
    value % i128::from(named.step.nanometres()) == 0
}

/// What the size is counted from: how much more than it the scale shows.
fn beyond(
    sample: &Sample,
    drawn: &Drawn,
    out: &Outcome,
    named: &NamedSetting,
    keys: &str,
) -> Option<Length> {
    let kerf = inches("1/8");
    let offset = |scale: &str| drawn.offset(sample.at, scale);
    let sized = named.sizes.is_some();
    // Whether a stop counts to the tooth toward it: only these machines have
    // their stops drawn.
    let toward = !is_sawn_on_a_sled(sample.at) || drawn.far == drawn.block;
    let away_makes_it = if toward { -kerf } else { Length::ZERO };
    let toward_makes_it = if toward { Length::ZERO } else { kerf };
    Some(match (sample.kind, named.name.as_str()) {
        ("half lap", "stop, near shoulder") => toward_makes_it,
        // Counted from where the near shoulder really is.
        ("half lap", "stop, far shoulder") => {
            let near = out.settings.iter().find(|held| held.name == "stop, near shoulder")?;
            near.setting.dial.0 + offset("stop") - toward_makes_it + away_makes_it
        }
        ("half lap" | "tenon", "stop") => away_makes_it,
        ("half lap", "blade height") => drawn.base(),
        ("tenon", name) if name.starts_with("blade height, ") => drawn.base(),
        ("groove", "blade height") if sample.at == "saw and sled" => drawn.base(),
        // Beside the first cut: only the way between the two dials counts.
        ("groove", name) if name.contains("cut") || (sized && is_placing(name, keys)) => {
            let placed = out
                .settings
                .iter()
                .find(|held| is_placing(&held.name, keys) && held.sizes.is_none());
            let first = placed.map(|held| held.setting.dial);
            let first = first.or_else(|| out.passes.first().map(|pass| pass.dial))?;
            let cutter = if sample.at == "router table" { inches("1/4") } else { kerf };
            first.0 - cutter + offset(name.split(',').next()?)
        }
        ("groove", "stop") if keys.contains("dado") => toward_makes_it,
        ("crosscut", "stop") => toward_makes_it,
        ("mitre", "stop") if !toward => {
            let angle = keys.split("\"angle\": \"").nth(1)?.split('"').next()?;
            let cosine = angle.parse::<f64>().ok()?.to_radians().cos();
            Length::from_nanometres((kerf.nanometres() as f64 / cosine).round() as i64)
        }
        _ => Length::ZERO,
    })
}

/// The machines whose stops and sleds are drawn.
fn is_sawn_on_a_sled(at: &str) -> bool {
    matches!(at, "saw and sled" | "tenon saw")
}

fn is_placing(name: &str, keys: &str) -> bool {
    matches!(name, "fence" | "stop") && !keys.contains("rabbet")
}

proptest! {
    #[test]
    fn every_dial_is_on_a_mark_and_predicts_what_that_mark_makes(
        drawn in a_shop(),
        metric in any::<bool>(),
        picked in prop::collection::vec((0..SAMPLES.len(), prop::array::uniform6(0_i64..1000)), 1..4),
    ) {
        let shop = drawn.shop();
        let operations: Vec<String> = picked
            .iter()
            .enumerate()
            .map(|(n, (which, numbers))| {
                let Sample { kind, at, tool, keys } = &SAMPLES[*which];
                let tool = tool.map_or_else(String::new, |tool| format!(r#""tool": "{tool}", "#));
                let (op, keys) = (10 * (n + 1), keys(numbers));
                format!(r#"{{ "op": {op}, "part": "piece", "do": "{kind}", "at": "{at}", {tool}{keys} }}"#)
            })
            .collect();
        let unit = if metric { "mm" } else { "in" };
        let part = r#""stock": { "thickness": "1.060in", "width": "4in", "length": "30in" }"#;
        let route = try_route_of(unit, "", part, &operations.join(", "));
        let route = route.unwrap_or_else(|problems| panic!("{problems}"));
        let plan = walk(&route, &shop, &Known::default());
        let mut settings = 0;
        for (n, (which, numbers)) in picked.iter().enumerate() {
            let sample = &SAMPLES[*which];
            let keys = (sample.keys)(numbers);
            let out = outcome(&plan, 10 * (n as u32 + 1));
            for pass in &out.passes {
                prop_assert!(is_on_a_mark(pass.dial.0, &pass.readout), "{} {pass:?}", sample.kind);
            }
            for named in &out.settings {
                settings += 1;
                let of = format!("{} at the {}: {named:?}", sample.kind, sample.at);
                prop_assert!(is_on_a_mark(named.setting.dial.0, &named.readout), "{of}");
                let scale = named.name.split(',').next().unwrap_or_default();
                let more = beyond(sample, &drawn, out, named, &keys).expect("counted from somewhere");
                let made = named.setting.dial.0 + drawn.offset(sample.at, scale) - more;
                // An angle's kerf is no whole number of nanometres.
                let apart = (named.setting.predicted - made).abs();
                prop_assert!(apart <= Length::from_nanometres(1), "{made:?} is made. {of}");
                // What it is said to count beyond the size is that too, so that
                // target and dial are in one frame.
                let framed = named.setting.predicted + named.beyond;
                let shown = named.setting.dial.0 + drawn.offset(sample.at, scale);
                prop_assert!((framed - shown).abs() <= Length::from_nanometres(1), "{of}");
            }
        }
        // A jointer's scale may be too coarse for any cut it can take.
        let jointed = picked.iter().all(|(which, _)| SAMPLES[*which].kind == "joint");
        prop_assert!(settings > 0 || jointed, "nothing was set: {operations:?}");
    }
}
