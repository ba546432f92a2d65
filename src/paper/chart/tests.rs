//! Where readings are drawn, and what a chart says in words.

use super::*;

fn reading(value: f64, shape: RowShape) -> RowReading {
    RowReading { value, text: format!("{value:.3}"), shape }
}

/// Legs with a step, one that is out on each side, and one struck out.
fn chart() -> RowChart {
    let all = [
        (20.001, RowShape::Within),
        (19.998, RowShape::Within),
        (20.030, RowShape::TooClose),
        (20.052, RowShape::Out),
        (19.940, RowShape::Out),
    ];
    let place = |(n, (value, shape)): (usize, (f64, RowShape))| RowPlace {
        name: format!("leg {}", n + 1),
        readings: vec![reading(value, shape)],
    };
    let mut places: Vec<RowPlace> = all.into_iter().enumerate().map(place).collect();
    places[1].readings.insert(0, reading(20.010, RowShape::Struck));
    let line = |at: f64, name: &str, kind| RowLine { at, words: format!("{name} {at:.3}"), kind };
    RowChart {
        title: "op 60 crosscut leg: length".to_owned(),
        unit: "in".to_owned(),
        is_signed: false,
        least_margin: 0.001,
        each: String::new(),
        places,
        lines: vec![
            line(20.031, "most", RowLineKind::Limit),
            line(20.0, "wanted", RowLineKind::Target),
            line(19.969, "least", RowLineKind::Limit),
        ],
        uncertainty: 0.003,
        moments: vec![RowMoment { after: 3, words: "it moved".to_owned() }],
        named: vec![2, 3],
    }
}

#[test]
fn a_chart_says_in_words_what_it_draws() {
    assert_eq!(
        chart().description(),
        "Readings in cut order: 5. Lines: most 20.031, wanted 20.000, least 19.969. \
         Out of limits: leg 4 20.052, leg 5 19.940. Too close to call: leg 3 20.030. \
         Struck out: leg 2 20.010. Before leg 4: it moved."
    );
    let svg = chart().svg().into_string();
    assert!(svg.contains("role=\"img\"") && svg.contains("<title>op 60 crosscut leg: length<"));
    for words in ["20.052</text>", "19.940</text>", "it moved</text>", "leg 3</text>"] {
        assert!(svg.contains(words), "{words} {svg}");
    }
    for class in ["within", "out", "close", "struck"] {
        assert!(svg.contains(&format!("class=\"{class}\"")), "{svg}");
    }
}

/// Of many that are too close a few are named; of those that are out, each.
#[test]
fn each_that_is_out_is_named() {
    let mut chart = chart();
    for shape in [RowShape::TooClose, RowShape::Out] {
        let place =
            |n| RowPlace { name: format!("n{n}"), readings: vec![reading(n as f64, shape)] };
        chart.places = (0..200).map(place).collect();
        let said = chart.description();
        assert_eq!(said.contains("n199 "), shape == RowShape::Out, "{said}");
        assert_eq!(said.contains("and 176 more"), shape == RowShape::TooClose, "{said}");
    }
}

/// By hand: 13 apart from 20 to 60, the middle two at 30 are pushed to 33 and on to 46; at
/// the lower end everything moves up.
#[test]
fn labels_are_moved_apart() {
    assert_eq!(moved_apart(&[20.0, 30.0, 30.0], 13.0, (20.0, 60.0)), [20.0, 33.0, 46.0]);
    assert_eq!(moved_apart(&[50.0, 58.0], 13.0, (20.0, 60.0)), [47.0, 60.0]);
    assert_eq!(moved_apart(&[5.0], 13.0, (20.0, 60.0)), [20.0]);
}

/// Always: Nothing of a chart is drawn outside it, whatever its numbers and names are.
#[test]
fn everything_is_inside_the_drawing() {
    let mut charts = vec![chart()];
    let mut empty = chart();
    empty.places.clear();
    charts.push(empty);
    let mut wide = chart();
    for (n, place) in (0..).zip(&mut wide.places) {
        place.name = "a name as long as nobody has ever given to any piece of furniture".repeat(2);
        place.readings[0].value *= 10f64.powi(20 * n);
        place.readings[0].text = "123456789012345678901234567890".to_owned();
        place.readings[0].shape = RowShape::Out;
    }
    wide.lines[0].words = "most 12345678901234567890123456789012345678901234567890".to_owned();
    wide.moments[0].words = wide.places[0].name.clone();
    charts.push(wide);
    let mut equal = chart();
    for reading in equal.places.iter_mut().flat_map(|place| &mut place.readings) {
        reading.value = 0.0;
    }
    equal.lines.clear();
    charts.push(equal);
    for chart in charts {
        let svg = chart.svg().into_string();
        let attribute = |element: &str, name: &str| -> Option<f64> {
            let (_, value) = element.split('>').next()?.split_once(&format!(" {name}=\""))?;
            value.split('"').next()?.parse().ok()
        };
        let high = attribute(&svg, "height").expect("a height");
        for text in svg.split("<text").skip(1) {
            let (x, y) = (attribute(text, "x").expect("x"), attribute(text, "y").expect("y"));
            let (tag, rest) = text.split_once('>').expect("a tag");
            let wide = text_width(rest.split('<').next().unwrap_or_default(), LETTERS);
            let (from, to) = match tag.contains("\"end\"") {
                true => (x - wide, x),
                false => (x, x + wide),
            };
            assert!(from >= -1.0 && to <= WIDE + 1.0, "{from} to {to}: <text{text}");
            assert!(y > 0.0 && y < high, "{y}: {text}");
        }
        for mark in svg.split("translate(").skip(1) {
            let (x, rest) = mark.split_once(' ').expect("two numbers");
            let y: f64 = rest.split(')').next().unwrap_or_default().parse().expect("a number");
            let x: f64 = x.parse().expect("a number");
            assert!((0.0..=WIDE).contains(&x) && (0.0..=high).contains(&y), "{mark}");
        }
    }
}
