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
//! shrinkage stands in for them. Gray birch is left out because Table 4-3 has no
//! tangential shrinkage of it.

use super::species::{Species, quoted, read, remembered, wood};

const APART: &str = "its shrinkage and its coefficients were measured apart and don't agree";

const GROUP: &str =
    "the coefficients are of water, laurel and willow oak together, the shrinkage is its own";

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
        .both([read(3.0), read(4.1)], [remembered(0.00172), remembered(0.00238)])
        .imported()
        .note_of(APART),
    wood(&["African mahogany", "khaya"])
        .both([read(2.5), read(4.5)], [remembered(0.00141), remembered(0.00201)])
        .imported()
        .note_of(APART),
    wood(&["teak", "Tectona grandis"])
        .both([remembered(2.5), remembered(5.8)], [remembered(0.00101), quoted(0.00186)])
        .imported()
        .note_of(APART),
    wood(&["quaking aspen"]).both([read(3.5), read(6.7)], [read(0.00119), read(0.00234)]),
    wood(&["beech", "American beech"])
        .both([read(5.5), read(11.9)], [read(0.00190), read(0.00431)]),
    wood(&["paper birch"]).both([read(6.3), read(8.6)], [read(0.00219), read(0.00304)]),
    wood(&["butternut"]).both([read(3.4), read(6.4)], [read(0.00116), read(0.00223)]),
    wood(&["rock elm"]).both([read(4.8), read(8.1)], [read(0.00165), read(0.00285)]),
    wood(&["hackberry"]).both([read(4.8), read(8.9)], [read(0.00165), read(0.00315)]),
    wood(&["American holly", "holly"])
        .both([remembered(4.8), remembered(9.9)], [remembered(0.00165), remembered(0.00353)]),
    wood(&["honeylocust"]).both([remembered(4.2), remembered(6.6)], [read(0.00144), read(0.00230)]),
    wood(&["red maple"]).both([remembered(4.0), remembered(8.2)], [read(0.00137), read(0.00289)]),
    wood(&["sassafras"]).both([read(4.0), read(6.2)], [read(0.00137), read(0.00216)]),
    wood(&["sycamore", "American sycamore"])
        .both([read(5.0), read(8.4)], [read(0.00172), read(0.00296)]),
    wood(&["eastern redcedar", "eastern red cedar"])
        .both([read(3.1), read(4.7)], [remembered(0.00106), remembered(0.00162)]),
    wood(&["Port-Orford-cedar"])
        .both([read(4.6), read(6.9)], [remembered(0.00158), remembered(0.00241)]),
    wood(&["noble fir"]).both([read(4.3), read(8.3)], [remembered(0.00148), remembered(0.00293)]),
    wood(&["western larch", "larch"])
        .both([remembered(4.5), remembered(9.1)], [remembered(0.00155), remembered(0.00323)]),
    wood(&["sugar pine"])
        .both([remembered(2.9), remembered(5.6)], [remembered(0.00099), remembered(0.00194)]),
    wood(&["red spruce"])
        .both([remembered(3.8), remembered(7.8)], [remembered(0.00130), remembered(0.00274)]),
    wood(&["tamarack"])
        .both([remembered(3.7), remembered(7.4)], [remembered(0.00126), remembered(0.00259)]),
    wood(&["apple"]).moves([read(0.00205), read(0.00376)]),
    wood(&["pumpkin ash"]).both([read(3.7), read(6.3)], [read(0.00126), read(0.00219)]),
    wood(&["Alaska paper birch", "Alaska birch"]).shrinks([read(6.5), read(9.9)]),
    wood(&["river birch"]).both([read(4.7), read(9.2)], [read(0.00162), read(0.00327)]),
    wood(&["northern catalpa", "catalpa"]).moves([read(0.00085), read(0.00169)]),
    wood(&["balsam poplar"]).shrinks([read(3.0), read(7.1)]),
    wood(&["black cottonwood"]).both([read(3.6), read(8.6)], [read(0.00123), read(0.00304)]),
    wood(&["mockernut hickory"]).shrinks([read(7.7), read(11.0)]),
    wood(&["shellbark hickory"]).shrinks([remembered(7.6), remembered(12.6)]),
    wood(&["cucumbertree", "cucumber magnolia"])
        .both([remembered(5.2), remembered(8.8)], [read(0.00180), read(0.00312)]),
    wood(&["southern magnolia", "magnolia"])
        .both([remembered(5.4), remembered(6.6)], [read(0.00187), read(0.00230)]),
    wood(&["sweetbay", "sweetbay magnolia"])
        .both([remembered(4.7), remembered(8.3)], [read(0.00162), read(0.00293)]),
    wood(&["striped maple"]).shrinks([remembered(3.2), remembered(8.6)]),
    wood(&["California black oak", "California red oak"]).moves([read(0.00123), read(0.00230)]),
    wood(&["laurel oak"])
        .both([remembered(4.0), remembered(9.9)], [read(0.00151), read(0.00350)])
        .note_of(GROUP),
    wood(&["water oak"])
        .both([remembered(4.4), remembered(9.8)], [read(0.00151), read(0.00350)])
        .note_of(GROUP),
    wood(&["willow oak"])
        .both([remembered(5.0), remembered(9.6)], [read(0.00151), read(0.00350)])
        .note_of(GROUP),
    wood(&["pin oak"]).shrinks([remembered(4.3), remembered(9.5)]),
    wood(&["scarlet oak"]).shrinks([remembered(4.4), remembered(10.8)]),
    wood(&["southern red oak"]).shrinks([remembered(4.7), remembered(11.3)]),
    wood(&["bur oak"]).shrinks([remembered(4.4), remembered(8.8)]),
    wood(&["Oregon white oak"]).moves([read(0.00144), read(0.00327)]),
    wood(&["overcup oak"]).both([read(5.3), read(12.7)], [read(0.00183), read(0.00462)]),
    wood(&["swamp chestnut oak"]).shrinks([read(5.2), read(10.8)]),
    wood(&["common persimmon", "persimmon"])
        .both([read(7.9), read(11.2)], [read(0.00278), read(0.00403)]),
    wood(&["tanoak"]).both([read(4.9), read(11.7)], [read(0.00169), read(0.00423)]),
    wood(&["black tupelo", "black gum"])
        .both([read(5.1), read(8.7)], [read(0.00176), read(0.00308)]),
    wood(&["balsam fir"]).both([read(2.9), read(6.9)], [remembered(0.00099), remembered(0.00241)]),
    wood(&["grand fir"]).shrinks([read(3.4), read(7.5)]),
    wood(&["mountain hemlock"]).shrinks([quoted(4.4), quoted(7.1)]),
    wood(&["jack pine"])
        .both([remembered(3.7), remembered(6.6)], [remembered(0.00126), remembered(0.00230)]),
    wood(&["pitch pine"]).shrinks([remembered(4.0), remembered(7.1)]),
    wood(&["pond pine"]).shrinks([remembered(5.1), remembered(7.1)]),
    wood(&["Virginia pine"])
        .both([remembered(4.2), remembered(7.2)], [remembered(0.00144), remembered(0.00252)]),
    wood(&["black spruce"])
        .both([remembered(4.1), remembered(6.8)], [remembered(0.00141), remembered(0.00237)]),
    wood(&["afrormosia", "kokrodua"])
        .both([read(3.0), read(6.4)], [remembered(0.00148), remembered(0.00297)])
        .imported()
        .note_of(APART),
    wood(&["albarco"]).shrinks([read(2.8), read(5.4)]).imported(),
    wood(&["andiroba", "crabwood"])
        .both([read(3.1), read(7.6)], [remembered(0.00137), remembered(0.00274)])
        .imported()
        .note_of(APART),
    wood(&["angelin"]).shrinks([read(4.6), read(9.8)]).imported(),
    wood(&["angelique"])
        .both([read(5.2), read(8.8)], [remembered(0.00180), remembered(0.00312)])
        .imported(),
    wood(&["apitong", "keruing"])
        .both([read(5.2), read(10.9)], [remembered(0.00243), remembered(0.00527)])
        .imported()
        .note_of(APART),
    wood(&["avodire"])
        .both([read(4.6), read(6.7)], [remembered(0.00126), remembered(0.00226)])
        .imported()
        .note_of(APART),
    wood(&["azobe"]).shrinks([read(8.4), read(11.0)]).imported(),
    wood(&["balata"]).shrinks([read(6.3), read(9.4)]).imported(),
    wood(&["white lauan"]).shrinks([read(4.0), read(7.7)]).imported(),
    wood(&["limba"])
        .both([read(4.5), read(6.2)], [remembered(0.00151), remembered(0.00187)])
        .imported()
        .note_of(APART),
    wood(&["macawood"]).shrinks([read(2.7), read(3.5)]).imported(),
    wood(&["manbarklak"]).shrinks([read(5.8), read(10.3)]).imported(),
    wood(&["manni"]).shrinks([read(5.7), read(9.7)]).imported(),
    wood(&["marishballi"]).shrinks([read(7.5), read(11.7)]).imported(),
    wood(&["white meranti"]).shrinks([read(3.0), read(6.6)]).imported(),
    wood(&["balsa"]).moves([remembered(0.00102), remembered(0.00267)]).imported(),
    wood(&["banak"]).moves([remembered(0.00158), remembered(0.00312)]).imported(),
    wood(&["cativo"]).moves([remembered(0.00078), remembered(0.00183)]).imported(),
    wood(&["greenheart"]).moves([remembered(0.00390), remembered(0.00430)]).imported(),
    wood(&["iroko"]).moves([remembered(0.00153), remembered(0.00205)]).imported(),
    wood(&["dark red lauan"]).moves([remembered(0.00133), remembered(0.00267)]).imported(),
    wood(&["light red lauan"]).moves([remembered(0.00126), remembered(0.00241)]).imported(),
    wood(&["meranti"]).moves([remembered(0.00126), remembered(0.00289)]).imported(),
    wood(&["obeche"]).moves([remembered(0.00106), remembered(0.00183)]).imported(),
    wood(&["okoume"]).moves([remembered(0.00194), remembered(0.00212)]).imported(),
    wood(&["Parana pine"]).moves([remembered(0.00137), remembered(0.00278)]).imported(),
    wood(&["pau marfim"]).moves([remembered(0.00158), remembered(0.00312)]).imported(),
    wood(&["primavera"]).moves([remembered(0.00106), remembered(0.00180)]).imported(),
    wood(&["ramin"]).moves([remembered(0.00133), remembered(0.00308)]).imported(),
    wood(&["Santa Maria"]).moves([remembered(0.00187), remembered(0.00278)]).imported(),
    wood(&["Spanish-cedar", "cedro"]).moves([remembered(0.00141), remembered(0.00219)]).imported(),
];
