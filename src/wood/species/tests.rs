//! The numbers of woods against one another and by hand.

use super::*;

/// Numbers read in both tables, Wood Handbook, FPL-GTR-190 (2010), 4-3 and
/// 13-5. White oak's two are of different woods: its own and the group's.
/// Numbers from memory are left out: that two memories agree proves nothing.
#[test]
fn coefficients_read_agree_with_shrinkage_read() {
    let mut agree = 0;
    for wood in Species::all() {
        let Tabulated::Both { shrinkage, coefficients } = wood.numbers else { continue };
        for grain in [Grain::Flat, Grain::Quarter] {
            let (s, c) = (shrinkage.along(grain), coefficients.along(grain));
            if s.known != Provenance::Read
                || c.known != Provenance::Read
                || wood.name() == "white oak"
            {
                continue;
            }
            let off = coefficient_of(s.amount, wood.shrinks_from) - c.amount;
            assert!(off.abs() <= ALIKE, "{} {grain:?}: {off}", wood.name());
            assert_eq!(wood.other_coefficient(grain), None);
            agree += 1;
        }
    }
    // 33 woods both ways, black willow and white fir quartersawn.
    assert_eq!(agree, 68);
}

/// From their own shrinkage, Wood Handbook Table 4-3, by hand:
/// green ash 7.1 / (3000 - 7.1 x 20) = 7.1 / 2858 = 0.002484;
/// sweet birch 9.0 / 2820 = 0.003191; cedar elm 10.2 / 2796 = 0.003648;
/// black oak 11.1 / 2778 = 0.003996 (its shrinkage from memory).
#[test]
fn misprinted_rows_are_not_used() {
    for (name, coefficient, known) in [
        ("green ash", 0.002_484, Provenance::Read),
        ("sweet birch", 0.003_191, Provenance::Read),
        ("cedar elm", 0.003_648, Provenance::Read),
        ("black oak", 0.003_996, Provenance::Remembered),
    ] {
        let found = Species::named(name).unwrap().coefficient(Grain::Flat);
        assert!((found.amount - coefficient).abs() < 5e-7, "{name}: {found:?}");
        assert_eq!((found.known, found.worked_out), (known, true), "{name}");
    }
}

/// Wood Handbook, FPL-GTR-190 (2010), tables 4-3 and 13-5, as printed; grand fir by hand,
/// 7.5 / (3000 - 150) = 0.002632; mountain hemlock as others quote table 4-3,
/// 7.1 / 2858 = 0.002484.
#[test]
fn woods_of_the_far_ends_of_the_tables() {
    for (name, coefficient, status) in [
        ("overcup oak", 0.004_62, "published"),
        ("black gum", 0.003_08, "published"),
        ("persimmon", 0.004_03, "published"),
        ("apple", 0.003_76, "published"),
        ("southern magnolia", 0.002_30, "published"),
        ("grand fir", 0.002_632, "worked out, published"),
        ("mountain hemlock", 0.002_484, "worked out, quoted by others"),
        ("black spruce", 0.002_37, "from memory"),
    ] {
        let found = Species::named(name).unwrap().coefficient(Grain::Flat);
        assert!((found.amount - coefficient).abs() < 5e-7, "{name}: {found:?}");
        assert_eq!(found.status(), status, "{name}");
    }
}

/// By hand: mahogany 4.1 / (3000 - 82) = 0.001405 against 0.00238 printed;
/// white oak 10.5 / (3000 - 210) = 0.003763 against 0.00365, the group's.
#[test]
fn numbers_that_disagree_are_both_kept() {
    for (name, one, other) in
        [("mahogany", 0.002_38, 0.001_405), ("white oak", 0.003_65, 0.003_763)]
    {
        let wood = Species::named(name).unwrap();
        assert_eq!(wood.coefficient(Grain::Flat).amount, one);
        let found = wood.other_coefficient(Grain::Flat).unwrap().amount;
        assert!((found - other).abs() < 1e-6, "{name}: {found}");
        assert!(wood.note().is_some());
    }
}

/// 22 % instead of 30 %: western redcedar 5.0 / (2200 - 5.0 x 12) = 0.002336,
/// and with 30 % it would be 5.0 / (3000 - 100) = 0.001724.
#[test]
fn a_few_woods_begin_to_shrink_at_22_percent() {
    let cedar = Species::named("western redcedar").unwrap();
    assert_eq!(cedar.shrinks_from(), 22.0);
    assert_eq!(cedar.other_coefficient(Grain::Flat), None);
}

/// By hand: 3000 x 0.00369 / (1 + 0.0738) = 11.07 / 1.0738 = 10.309.
#[test]
fn the_shrinkage_of_a_group_follows_from_its_coefficient() {
    let oak = Species::named("red oak").unwrap().shrinkage(Grain::Flat);
    assert!((oak.amount - 10.309).abs() < 1e-3, "{oak:?}");
    assert!(oak.worked_out && oak.table == HandbookTable::Coefficients);
}

/// Each number says where it is from: read in Table 13-5; calculated from the
/// shrinkage in Table 4-3, or the shrinkage from the coefficient.
#[test]
fn a_number_says_where_it_is_from() {
    let cherry = Species::named("cherry").unwrap().coefficient(Grain::Flat);
    assert_eq!(
        (cherry.status().as_str(), cherry.from().as_str()),
        ("published", "table 13-5 (published)")
    );
    let ash = Species::named("blue ash").unwrap().coefficient(Grain::Flat);
    assert_eq!(ash.status(), "worked out, published");
    assert_eq!(ash.from(), "worked out from its shrinkage in table 4-3 (published)");
    let hickory = Species::named("hickory").unwrap().shrinkage(Grain::Flat);
    assert!(hickory.worked_out);
    assert_eq!(
        hickory.from(),
        format!("worked back from its coefficient in table 13-5 ({})", hickory.known.words())
    );
}

/// Cherry was read and agrees; flat-sawn hickory is quoted, quartersawn from memory;
/// mahogany's two numbers, 0.001405 and 0.00238, are further apart than a tenth.
#[test]
fn what_a_number_is_not_sure_of() {
    let unsure = |name: &str, grain| Species::named(name).unwrap().unsure(grain);
    assert_eq!(unsure("cherry", Grain::Flat), None);
    assert_eq!(unsure("hickory", Grain::Flat), Some("as others quote it"));
    assert_eq!(unsure("hickory", Grain::Quarter), Some("from memory"));
    assert_eq!(unsure("mahogany", Grain::Flat), Some("sources disagree"));
}
