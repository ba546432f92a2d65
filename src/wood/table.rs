//! The woods, and what was published about each.
//!
//! Shrinkage, radial and tangential, in percent from green to oven-dry: USDA
//! Forest Products Laboratory, Wood Handbook, FPL-GTR-190 (2010), Table 4-3,
//! imported woods Table 4-4. Change of size for each 1 % of moisture between 6
//! and 14 %, radial and tangential: Table 13-5. `read` was read there, `quoted`
//! was read where others quote the table, `remembered` was compared with
//! neither.
//!
//! Four rows of Table 13-5 are left out because they have another wood's
//! numbers: green ash (white ash's), sweet birch (yellow birch's), cedar elm
//! (winged elm's) and black oak (California's). What follows from their own
//! shrinkage stands in for them.

use super::species::{Species, quoted, read, remembered, wood};

const APART: &str = "its shrinkage and its coefficients were measured apart and don't agree";

pub(super) const WOODS: &[Species] = &[
    wood(&["red alder", "alder"]).both([read(4.4), read(7.3)], [read(0.00151), read(0.00256)]),
    wood(&["black ash"]).both([read(5.0), read(7.8)], [read(0.00172), read(0.00274)]),
    wood(&["blue ash"]).shrinks([read(3.9), read(6.5)]),
    wood(&["green ash"]).shrinks([read(4.6), read(7.1)]).note_of(
        "the table prints white ash's coefficients for it; these follow from its own shrinkage",
    ),
    wood(&["Oregon ash"]).both([read(4.1), read(8.1)], [read(0.00141), read(0.00285)]),
    wood(&["white ash", "ash"]).both([read(4.9), read(7.8)], [read(0.00169), read(0.00274)]),
    wood(&["bigtooth aspen"]).shrinks([read(3.3), read(7.9)]),
    wood(&["American basswood", "basswood"])
        .both([read(6.6), read(9.3)], [read(0.00230), read(0.00330)]),
    wood(&["sweet birch"]).shrinks([read(6.5), read(9.0)]).note_of(
        "the table prints yellow birch's coefficients for it; these follow from its own shrinkage",
    ),
    wood(&["yellow birch", "birch"]).both([read(7.3), read(9.5)], [read(0.00256), read(0.00338)]),
    wood(&["yellow buckeye", "buckeye"])
        .both([read(3.6), read(8.1)], [read(0.00123), read(0.00285)]),
    wood(&["black cherry", "cherry"]).both([read(3.7), read(7.1)], [read(0.00126), read(0.00248)]),
    wood(&["American chestnut", "chestnut"])
        .both([read(3.4), read(6.7)], [read(0.00116), read(0.00234)]),
    wood(&["eastern cottonwood", "cottonwood"])
        .both([read(3.9), read(9.2)], [read(0.00133), read(0.00327)]),
    wood(&["American elm"]).both([read(4.2), read(9.5)], [read(0.00144), read(0.00338)]),
    wood(&["cedar elm"]).shrinks([read(4.7), read(10.2)]).note_of(
        "the table prints winged elm's coefficients for it; these follow from its own shrinkage",
    ),
    wood(&["slippery elm"]).both([read(4.9), read(8.9)], [read(0.00169), read(0.00315)]),
    wood(&["winged elm"]).both([read(5.3), read(11.6)], [read(0.00183), read(0.00419)]),
    wood(&["pecan", "pecan hickory"]).both([read(4.9), read(8.9)], [read(0.00169), read(0.00315)]),
    wood(&["pignut hickory"]).shrinks([read(7.2), read(11.5)]),
    wood(&["shagbark hickory"]).shrinks([remembered(7.0), remembered(10.5)]),
    wood(&["hickory", "true hickory"])
        .moves([remembered(0.00259), quoted(0.00411)])
        .note_of("all true hickories as they are sold"),
    wood(&["black locust", "locust"])
        .both([remembered(4.6), remembered(7.2)], [read(0.00158), read(0.00252)]),
    wood(&["Pacific madrone", "madrone"])
        .both([remembered(5.6), remembered(12.4)], [read(0.00194), read(0.00451)]),
    wood(&["bigleaf maple"])
        .both([remembered(3.7), remembered(7.1)], [read(0.00126), read(0.00248)]),
    wood(&["black maple"])
        .both([remembered(4.8), remembered(9.3)], [read(0.00165), read(0.00353)])
        .note_of("the coefficients printed for it are those of sugar maple"),
    wood(&["silver maple"])
        .both([remembered(3.0), remembered(7.2)], [read(0.00102), read(0.00252)]),
    wood(&["hard maple", "sugar maple", "maple"])
        .both([remembered(4.8), remembered(9.9)], [read(0.00165), read(0.00353)]),
    wood(&["northern red oak"])
        .shrinks([remembered(4.0), remembered(8.6)])
        .note_of("red oak as it is sold is mixed and moves a fifth more"),
    wood(&["black oak"]).shrinks([remembered(4.4), remembered(11.1)]).note_of(
        "the table's row of that name is a Californian oak's; these follow from its own shrinkage",
    ),
    wood(&["red oak", "commercial red oak"])
        .moves([read(0.00158), read(0.00369)])
        .note_of("all red oaks as they are sold; a single kind may move a fifth less"),
    wood(&["white oak"]).both([read(5.6), read(10.5)], [read(0.00180), read(0.00365)]).note_of(
        "the coefficients are of all white oaks as they are sold, the shrinkage is white oak's own",
    ),
    wood(&["chestnut oak"]).shrinks([read(5.3), read(10.8)]),
    wood(&["live oak"]).both([read(6.6), read(9.5)], [read(0.00230), read(0.00338)]),
    wood(&["post oak"]).shrinks([read(5.4), read(9.8)]),
    wood(&["sweetgum", "sweet gum"]).both([read(5.3), read(10.2)], [read(0.00183), read(0.00365)]),
    wood(&["water tupelo", "tupelo"]).both([read(4.2), read(7.6)], [read(0.00144), read(0.00267)]),
    wood(&["black walnut", "walnut"]).both([read(5.5), read(7.8)], [read(0.00190), read(0.00274)]),
    wood(&["black willow", "willow"])
        .both([read(3.3), read(8.7)], [read(0.00112), remembered(0.00308)]),
    wood(&["yellow-poplar", "poplar"])
        .both([read(4.6), read(8.2)], [remembered(0.00158), remembered(0.00289)]),
    wood(&["baldcypress", "bald cypress", "cypress"])
        .both([remembered(3.8), remembered(6.2)], [remembered(0.00130), remembered(0.00216)]),
    wood(&["yellow-cedar", "Alaska yellow-cedar"])
        .both([read(2.8), read(6.0)], [remembered(0.00095), remembered(0.00208)]),
    wood(&["Atlantic white-cedar"])
        .both([read(2.9), read(5.4)], [remembered(0.00099), remembered(0.00187)]),
    wood(&["incense-cedar"])
        .both([read(3.3), read(5.2)], [remembered(0.00112), remembered(0.00180)]),
    wood(&["northern white-cedar"])
        .both([read(2.2), read(4.9)], [remembered(0.00101), remembered(0.00229)])
        .shrinks_from_22(),
    wood(&["western redcedar", "western red cedar"])
        .both([read(2.4), read(5.0)], [remembered(0.00111), remembered(0.00234)])
        .shrinks_from_22(),
    wood(&["Douglas-fir", "Douglas-fir, coast", "coast Douglas-fir"])
        .both([read(4.8), read(7.6)], [remembered(0.00165), quoted(0.00267)]),
    wood(&["Douglas-fir, interior north"])
        .both([read(3.8), read(6.9)], [remembered(0.00130), remembered(0.00241)]),
    wood(&["Douglas-fir, interior west"])
        .both([read(4.8), read(7.5)], [remembered(0.00165), remembered(0.00263)]),
    wood(&["California red fir"])
        .both([read(4.5), read(7.9)], [remembered(0.00155), remembered(0.00278)]),
    wood(&["Pacific silver fir"])
        .both([read(4.4), read(9.2)], [remembered(0.00151), remembered(0.00327)]),
    wood(&["subalpine fir"])
        .both([read(2.6), read(7.4)], [remembered(0.00088), remembered(0.00259)]),
    wood(&["white fir"]).both([read(3.3), read(7.0)], [read(0.00112), remembered(0.00245)]),
    wood(&["eastern hemlock"])
        .both([remembered(3.0), remembered(6.8)], [remembered(0.00102), remembered(0.00237)]),
    wood(&["western hemlock"])
        .both([remembered(4.2), remembered(7.8)], [remembered(0.00144), remembered(0.00274)]),
    wood(&["eastern white pine", "white pine"])
        .both([remembered(2.1), remembered(6.1)], [remembered(0.00071), remembered(0.00212)]),
    wood(&["loblolly pine"])
        .both([remembered(4.8), remembered(7.4)], [remembered(0.00165), remembered(0.00259)]),
    wood(&["lodgepole pine"])
        .both([remembered(4.3), remembered(6.7)], [remembered(0.00148), remembered(0.00234)]),
    wood(&["longleaf pine"])
        .both([remembered(5.1), remembered(7.5)], [remembered(0.00176), remembered(0.00263)]),
    wood(&["ponderosa pine"])
        .both([remembered(3.9), remembered(6.2)], [remembered(0.00133), remembered(0.00216)]),
    wood(&["red pine"])
        .both([remembered(3.8), remembered(7.2)], [remembered(0.00130), remembered(0.00252)]),
    wood(&["shortleaf pine"])
        .both([remembered(4.6), remembered(7.7)], [remembered(0.00158), remembered(0.00271)]),
    wood(&["slash pine"])
        .both([remembered(5.4), remembered(7.6)], [remembered(0.00187), remembered(0.00267)]),
    wood(&["western white pine"])
        .both([remembered(4.1), remembered(7.4)], [remembered(0.00141), remembered(0.00259)]),
    wood(&["redwood, old-growth"])
        .both([remembered(2.6), remembered(4.4)], [remembered(0.00120), remembered(0.00205)])
        .shrinks_from_22(),
    wood(&["redwood, young-growth"])
        .both([remembered(2.2), remembered(4.9)], [remembered(0.00101), remembered(0.00229)])
        .shrinks_from_22(),
    wood(&["Engelmann spruce"])
        .both([remembered(3.8), remembered(7.1)], [remembered(0.00130), remembered(0.00248)]),
    wood(&["Sitka spruce"])
        .both([remembered(4.3), remembered(7.5)], [remembered(0.00148), remembered(0.00263)]),
    wood(&["mahogany", "true mahogany", "Swietenia macrophylla"])
        .both([remembered(3.0), remembered(4.1)], [remembered(0.00172), remembered(0.00238)])
        .imported()
        .note_of(APART),
    wood(&["African mahogany", "khaya"])
        .both([remembered(2.5), remembered(4.5)], [remembered(0.00141), remembered(0.00201)])
        .imported()
        .note_of(APART),
    wood(&["teak", "Tectona grandis"])
        .both([remembered(2.5), remembered(5.8)], [remembered(0.00101), quoted(0.00186)])
        .imported()
        .note_of(APART),
    wood(&["quaking aspen"])
        .both([remembered(3.5), remembered(6.7)], [remembered(0.00119), remembered(0.00234)]),
    wood(&["beech", "American beech"])
        .both([remembered(5.5), remembered(11.9)], [remembered(0.00190), quoted(0.00431)]),
    wood(&["paper birch"])
        .both([remembered(6.3), remembered(8.6)], [remembered(0.00219), remembered(0.00304)]),
    wood(&["butternut"])
        .both([remembered(3.4), remembered(6.4)], [remembered(0.00116), remembered(0.00223)]),
    wood(&["rock elm"])
        .both([remembered(4.8), remembered(8.1)], [remembered(0.00165), remembered(0.00285)]),
    wood(&["hackberry"])
        .both([remembered(4.8), remembered(8.9)], [remembered(0.00165), remembered(0.00315)]),
    wood(&["American holly", "holly"])
        .both([remembered(4.8), remembered(9.9)], [remembered(0.00165), remembered(0.00353)]),
    wood(&["honeylocust"])
        .both([remembered(4.2), remembered(6.6)], [remembered(0.00144), remembered(0.00230)]),
    wood(&["red maple"])
        .both([remembered(4.0), remembered(8.2)], [remembered(0.00137), remembered(0.00289)]),
    wood(&["sassafras"])
        .both([remembered(4.0), remembered(6.2)], [remembered(0.00137), remembered(0.00216)]),
    wood(&["sycamore", "American sycamore"])
        .both([remembered(5.0), remembered(8.4)], [remembered(0.00172), remembered(0.00296)]),
    wood(&["eastern redcedar", "eastern red cedar"])
        .both([remembered(3.1), remembered(4.7)], [remembered(0.00106), remembered(0.00162)]),
    wood(&["Port-Orford-cedar"])
        .both([remembered(4.6), remembered(6.9)], [remembered(0.00158), remembered(0.00241)]),
    wood(&["noble fir"])
        .both([remembered(4.3), remembered(8.3)], [remembered(0.00148), remembered(0.00293)]),
    wood(&["western larch", "larch"])
        .both([remembered(4.5), remembered(9.1)], [remembered(0.00155), remembered(0.00323)]),
    wood(&["sugar pine"])
        .both([remembered(2.9), remembered(5.6)], [remembered(0.00099), remembered(0.00194)]),
    wood(&["red spruce"])
        .both([remembered(3.8), remembered(7.8)], [remembered(0.00130), remembered(0.00274)]),
    wood(&["tamarack"])
        .both([remembered(3.7), remembered(7.4)], [remembered(0.00126), remembered(0.00259)]),
];
