//! What the program says of wood against what was published, through its door
//! and through the library.

use benchway::wood::{Air, Grain, Known, Species};

/// Every second cell of Table 4-2, Wood Handbook, FPL-GTR-190 (2010), p. 4-4:
/// degrees Fahrenheit, relative humidity and moisture in percent, the last to
/// a tenth. The printed tenth is sometimes the lower one, so 0.07 rather than
/// 0.05.
#[test]
fn every_cell_of_the_moisture_table() {
    let table = include_str!("published/moisture.csv");
    let mut cells = 0;
    for line in table.lines().skip(1) {
        let mut numbers = line.split(',').map(|cell| cell.parse::<f64>().expect("a number"));
        let mut next = || numbers.next().expect("three columns");
        let (fahrenheit, humidity, published) = (next(), next(), next());
        let air = Air::new((fahrenheit - 32.0) / 1.8, humidity).expect("air of the table");
        assert!(air.in_the_table(), "{line}");
        let off = air.moisture().in_percent() - published;
        assert!(off.abs() <= 0.07, "{line}: off by {off}");
        cells += 1;
    }
    assert_eq!(cells, 171);
}

/// Wood Handbook, FPL-GTR-190 (2010), Table 13-5: radial and tangential.
#[test]
fn coefficients_are_those_printed() {
    for (name, radial, tangential) in [
        ("red alder", 0.00151, 0.00256),
        ("white ash", 0.00169, 0.00274),
        ("basswood", 0.00230, 0.00330),
        ("yellow birch", 0.00256, 0.00338),
        ("black cherry", 0.00126, 0.00248),
        ("sugar maple", 0.00165, 0.00353),
        ("red oak", 0.00158, 0.00369),
        ("white oak", 0.00180, 0.00365),
        ("black walnut", 0.00190, 0.00274),
        ("sweetgum", 0.00183, 0.00365),
    ] {
        let wood = Species::named(name).expect(name);
        for (grain, printed) in [(Grain::Quarter, radial), (Grain::Flat, tangential)] {
            let found = wood.coefficient(grain);
            assert_eq!((found.amount, found.known), (printed, Known::Read), "{name}");
        }
    }
}
