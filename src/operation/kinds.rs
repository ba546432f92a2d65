//! The list of kinds. A new kind is one file and one line here.

use super::kind::OperationKind;
use super::{
    bore, crosscut, curve, dowel, drawer, dry_fit, finish, glue, groove, half_lap, hand, joint,
    layout, measuring, mitre, mortise, panel, plane, resaw, rest, rip, rout, rows, sand, taper,
    tenon,
};

/// Every kind of operation, in the order a piece usually meets them.
pub const KINDS: &[OperationKind] = &[
    crosscut::KIND,
    joint::KIND,
    rip::KIND,
    resaw::KIND,
    plane::KIND,
    sand::KIND,
    taper::KIND,
    mitre::KIND,
    curve::KIND,
    half_lap::KIND,
    mortise::KIND,
    tenon::KIND,
    bore::KIND,
    dowel::KIND,
    groove::KIND,
    rout::KIND,
    panel::KIND,
    rows::KIND,
    drawer::KIND,
    layout::KIND,
    dry_fit::KIND,
    glue::KIND,
    finish::KIND,
    rest::KIND,
    measuring::KIND,
    hand::KIND,
];

/// The kind of that name.
pub fn kind(name: &str) -> Option<&'static OperationKind> {
    KINDS.iter().find(|kind| kind.name() == name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_has_a_name_of_its_own() {
        for (n, held) in KINDS.iter().enumerate() {
            assert!(KINDS[..n].iter().all(|other| other.name() != held.name()), "{held}");
            assert_eq!(kind(held.name()).map(OperationKind::about), Some(held.about()));
        }
    }
}
