//! A walker at the rack, and a route that has few pieces and plain numbers.

use benchway::journal::BOARDS;

use super::{SHOP, Walker, read_route, read_shop};

/// Three rails, one of them a spare, each from a blank 19 x 4. The bundled
/// shop trims 1 off either end, loses 1/4 to a straight edge, and its kerf is
/// 1/8; marks fall on sixteenths.
pub const PEGS: &str = r#"{
  "route": "Coat pegs by the door", "unit": "in", "sets": 2,
  "dims": { "rail_length": "18" },
  "parts": {
    "rail": {
      "per_set": 1, "spares": 1, "setup_pieces": 0, "species": "ash",
      "stock": { "thickness": "1", "width": "4", "length": "rail_length + 1" },
      "length": "rail_length", "width": "3 3/4", "thickness": "3/4"
    }
  },
  "operations": [
    { "op": 10, "part": "rail", "do": "crosscut", "at": "chop saw", "rough": true,
      "to": "rail_length + 1" },
    { "op": 20, "part": "rail", "do": "plane", "at": "planer", "to": "3/4",
      "checks": [ { "check": "thickness", "limits": "±1/64", "with": "calipers", "pieces": "first" } ] }
  ]
}"#;

/// 72 long and 5 wide: everything but its name.
pub const LONG: [&str; 11] = ["", "1", "1 1/16", "1", "5", "72", "", "1/16", "", "7.5", ""];
/// The same, 48 long.
pub const SHORT: [&str; 11] = ["ash", "1", "1", "1", "5", "48", "", "", "", "", ""];

pub fn at_boards() -> Walker {
    at_the_rack_of(PEGS)
}

/// The bundled shop with one lead in it.
pub fn at_the_rack_of(route: &str) -> Walker {
    let shop = SHOP.replace(r#""people": {}"#, r#""people": { "MB": { "lead": true } }"#);
    assert_ne!(shop, SHOP);
    let route = read_route(route);
    let sets = route.sets;
    let mut walker = Walker::new(route, read_shop(&shop), sets);
    walker.op = BOARDS;
    walker
}

pub fn tell(walker: &mut Walker, name: &str, answers: &[&str]) {
    walker.enter(name);
    for answer in answers {
        walker.enter(answer);
    }
}
