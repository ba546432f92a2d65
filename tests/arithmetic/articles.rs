//! Articles that differ: each gets the settings it has alone, and the scale moves no
//! more often than there are different dials.

use std::collections::{BTreeMap, BTreeSet};

use benchway::journal::initial_pieces;
use benchway::measure::{Length, Unit};
use benchway::plan::{Group, Known, Plan, PlannedOperation, walk};
use benchway::route::{BUNDLED, Chosen, Role, Route, with_dimension};
use benchway::shop::Shop;
use proptest::prelude::*;

use crate::laws::of_256;
use crate::plans::{inches, try_route};

fn bundled_shop() -> Shop {
    crate::plans::shop(&[])
}

fn text_of(stem: &str) -> &'static str {
    BUNDLED.iter().find(|bundled| bundled.stem == stem).expect("bundled").text
}

fn route(text: &str) -> Route {
    try_route(text).unwrap_or_else(|problems| panic!("{problems}"))
}

fn chosen(sizes: &[(&str, Length)]) -> Chosen {
    Chosen {
        sizes: sizes.iter().map(|(dim, size)| ((*dim).to_owned(), *size)).collect(),
        wood: None,
    }
}

fn together(route: &Route, shop: &Shop, articles: &[Chosen]) -> Plan {
    walk(route, shop, &Known { articles: articles.into(), ..Known::default() })
}

/// What people set and measure, and what leaves the operation.
fn numbers(group: &Group, place: usize) -> impl PartialEq + std::fmt::Debug {
    let settings: Vec<_> =
        group.outcome.settings.iter().map(|named| (named.name.clone(), named.setting)).collect();
    let passes: Vec<_> = group.outcome.passes.iter().map(|pass| (pass.number, pass.dial)).collect();
    let after = group.after_of(place).sizes.clone();
    (settings, passes, group.limits.clone(), after)
}

/// The dimensions a lead might leave to the makers, which few settings share.
const STOOL: [(&str, i64, i64); 4] = [
    ("height", 18 * 16, 24 * 16),
    ("stretcher_top", 12 * 16, 14 * 16),
    ("leg_drawn", 18, 21),
    ("rail_width", 36, 44),
];

fn any_choice() -> impl Strategy<Value = Chosen> {
    let sizes = STOOL.map(|(dim, from, to)| {
        prop::option::of((from..=to).prop_map(move |n| (dim, Length::inch_fraction(n, 16))))
    });
    sizes.prop_map(|sizes| chosen(&sizes.into_iter().flatten().collect::<Vec<_>>()))
}

proptest! {
    #![proptest_config(of_256(32))]

    /// Always: An article planned together with others has the settings, limits and sizes
    /// that it has alone.
    #[test]
    fn together_each_has_what_it_has_alone(
        articles in prop::collection::vec(any_choice(), 1..6),
    ) {
        let shop = bundled_shop();
        let text = text_of("reading-stool");
        let mut all = route(text);
        all.make_sets(articles.len() as u32).expect("a batch");
        let plan = together(&all, &shop, &articles);
        for (article, chosen) in (1..).zip(&articles) {
            let alone = chosen.sizes.iter().try_fold(text.to_owned(), |text, (dim, size)| {
                with_dimension(&text, dim, &size.written(Unit::Inch))
            });
            // A size the route itself refuses is no article.
            let Ok(mut alone) = try_route(&alone.expect("a dimension")) else { continue };
            alone.make_sets(articles.len() as u32).expect("a batch");
            let alone = walk(&alone, &shop, &Known::default());
            for operation in &plan.operations {
                let other = alone.operation(operation.op).expect("the same operations");
                let own = operation.pieces.iter().enumerate();
                for (place, label) in own.filter(|(_, label)| label.set == Some(article)) {
                    prop_assert_eq!(&other.pieces[place], label);
                    let (group, held) = (operation.group_of(place), other.group_of(place));
                    let (group, held) = (group.expect("a group"), held.expect("a group"));
                    prop_assert_eq!(
                        format!("{:?}", numbers(group, place)),
                        format!("{:?}", numbers(held, place)),
                        "op {} {}", operation.op, label
                    );
                }
            }
        }
    }

    /// Always: A scale moves no more often than an operation has different dials, whatever
    /// the articles.
    #[test]
    fn no_more_settings_than_different_dials(
        articles in prop::collection::vec(any_choice(), 1..8),
    ) {
        let mut all = route(text_of("reading-stool"));
        all.make_sets(articles.len() as u32).expect("a batch");
        let plan = together(&all, &bundled_shop(), &articles);
        for operation in &plan.operations {
            let walked = dials(operation);
            let different: BTreeSet<_> = walked.iter().collect();
            let moves = 1 + walked.windows(2).filter(|pair| pair[0] != pair[1]).count();
            prop_assert_eq!(moves, different.len(), "op {}", operation.op);
        }
    }

    /// Always: A spare and a setup piece are at no operation smaller than any article of
    /// its wood needs.
    #[test]
    fn a_spare_serves_every_article(articles in prop::collection::vec(any_choice(), 1..6)) {
        let mut all = route(text_of("reading-stool"));
        all.make_sets(articles.len() as u32).expect("a batch");
        let plan = together(&all, &bundled_shop(), &articles);
        let cut = plan.operation(60).expect("the legs cut to length");
        let length = |place: usize| cut.group_of(place).map(|group| group.after_of(place).most("length"));
        let longest = (0..cut.pieces.len()).filter_map(length).max();
        for (place, label) in cut.pieces.iter().enumerate() {
            if label.role == Role::Spare {
                prop_assert_eq!(length(place), longest, "{}", label);
            }
        }
    }
}

/// The dials of each group of an operation, in turn.
fn dials(operation: &PlannedOperation) -> Vec<String> {
    let dials = |group: &Group| {
        let settings = group.outcome.settings.iter().map(|named| named.setting.dial);
        let passes = group.outcome.passes.iter().map(|pass| pass.dial);
        format!("{:?}", settings.chain(passes).collect::<Vec<_>>())
    };
    operation.groups.iter().map(dials).collect()
}

/// Sixteen stools of four heights: legs 17 1/8, 18 1/8, 19 1/8, 20 1/8 long (height less
/// 7/8 of seat), so four stops at op 60, the longest first; everything before it but the
/// rough cut is one setting for all.
#[test]
fn sixteen_stools_of_four_heights_take_four_stops() {
    let mut all = route(text_of("reading-stool"));
    all.make_sets(16).expect("a batch");
    let heights = ["18", "19", "20", "21"];
    let articles: Vec<Chosen> =
        (0..16).map(|n| chosen(&[("height", inches(heights[n % 4]))])).collect();
    let plan = together(&all, &bundled_shop(), &articles);
    let groups = |op: u32| &plan.operation(op).expect("planned").groups;
    let lengths: Vec<_> = groups(60).iter().map(|held| held.limits[0].target).collect();
    let wanted = ["20 1/8", "19 1/8", "18 1/8", "17 1/8"];
    assert_eq!(lengths, wanted.map(|text| Some(inches(text))));
    // Sixteen legs of each, the four spares and the setup piece with the longest.
    let counts: Vec<usize> = groups(60).iter().map(|held| held.pieces.len()).collect();
    assert_eq!(counts, [16 + 5, 16, 16, 16]);
    for op in [20, 30, 40, 50] {
        assert_eq!(groups(op).len(), 1, "op {op}");
        assert!(!groups(op)[0].varieties.is_empty(), "op {op}");
    }
    assert_eq!(groups(10).len(), 4);
}

/// Ten stools of ash and six of white oak: nobody's length of two stretchers is in two woods,
/// and the two spare stretchers are one of each.
#[test]
fn no_blank_is_of_two_woods() {
    let mut all = route(text_of("reading-stool"));
    all.make_sets(16).expect("a batch");
    let articles: Vec<Chosen> = (0..16)
        .map(|n| Chosen { wood: (n >= 10).then(|| "white oak".to_owned()), sizes: BTreeMap::new() })
        .collect();
    let known = Known { articles: articles.into(), ..Known::default() };
    let plan = walk(&all, &bundled_shop(), &known);
    let born = initial_pieces(&all, &plan, "cart");
    let blanks: Vec<_> = born.iter().filter(|born| born.label.role == Role::Blank).collect();
    // One for the two stretchers of each stool, and one for the spare of each wood.
    assert_eq!(blanks.len(), 18);
    assert!(blanks.iter().take(16).all(|blank| blank.label.set.is_some()));
    assert!(blanks.iter().skip(16).all(|blank| blank.label.set.is_none()));
    let part = all.part("leg").expect("a leg");
    let spares = all.pieces(part).into_iter().filter(|label| label.role == Role::Spare);
    let woods: Vec<_> =
        spares.map(|label| all.wood_of_piece(part, &label, &known).map(str::to_owned)).collect();
    // Four spares: one each, and of two 2 x 10/16 = 1.25 and 0.75: one each again.
    let (ash, oak) = (Some("ash".to_owned()), Some("white oak".to_owned()));
    assert_eq!(woods, [ash.clone(), ash, oak.clone(), oak]);
}

/// What a maker may choose is checked in words.
#[test]
fn choices_are_checked_in_words() {
    let text = text_of("reading-stool");
    let all = route(text);
    let said = |sizes: &[(&str, &str)]| {
        let sizes: Vec<_> = sizes.iter().map(|(dim, size)| (*dim, inches(size))).collect();
        chosen(&sizes).objection(&all).map(|message| message.to_string())
    };
    assert_eq!(said(&[("height", "18 3/8")]), None);
    let out = said(&[("height", "22")]).expect("out of range");
    assert!(out.contains("17 7/8 to 21 7/8") && out.contains("1/2"), "{out}");
    assert!(said(&[("height", "18 1/2")]).is_some());
    let other = said(&[("hight", "19")]).expect("no such choice");
    assert!(other.contains("did you mean `height`"), "{other}");
    let wood = Chosen { wood: Some("teak".to_owned()), sizes: BTreeMap::new() };
    assert!(wood.objection(&all).is_some());
    // What the route itself says can always be chosen.
    let lower = route(&text.replace(r#""to": "21 7/8""#, r#""to": "20""#));
    assert_eq!(chosen(&[("height", inches("20 7/8"))]).objection(&lower), None);
    assert!(chosen(&[("height", inches("21 3/8"))]).objection(&lower).is_some());
}
