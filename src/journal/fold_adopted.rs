//! The fold of what a lead adopted and on whose word somebody may do more, and of remarks.

use super::adopted::Adopted;
use super::event::{Event, JournalLine};
use super::identity::PieceId;
use super::record::Remark;
use super::shop_event::SignOff;
use super::state::State;

impl State {
    /// Takes in what a lead adopted, or on whose word somebody may do more.
    pub(super) fn fold_adopted(&mut self, line: &JournalLine) {
        match &line.event {
            Event::RouteAdopted { by, why, route } => {
                self.adopted_route = Some(route.as_str().into());
                self.remark(line, None, &format!("{by} adopted a corrected route: {why}"), false);
            }
            Event::ShopAdopted { by, why, shop } => {
                // The shop as it is now has every sign-off given until now.
                self.adopted = Adopted { shop: Some(shop.as_str().into()), ..Adopted::default() };
                self.remark(line, None, &format!("{by} adopted the present shop: {why}"), false);
            }
            Event::SignedOff(sign_off) => {
                let SignOff { who, machine, by, .. } = sign_off;
                let said = format!("{by} signed {who} off on the {machine}");
                let key = (who.to_uppercase(), machine.clone());
                self.adopted.sign_offs.insert(key, sign_off.clone());
                self.remark(line, None, &said, false);
            }
            Event::StandsIn { who, on, by } => {
                self.adopted.stand_ins.push((who.to_uppercase(), *on));
                self.remark(line, None, &format!("{who} leads on {on}, says {by}"), false);
            }
            _ => {}
        }
    }

    pub(super) fn remark(
        &mut self,
        line: &JournalLine,
        op: Option<u32>,
        text: &str,
        is_unasked: bool,
    ) {
        self.remark_about(line, (op, None), text, is_unasked);
    }

    pub(super) fn remark_about(
        &mut self,
        line: &JournalLine,
        (op, piece): (Option<u32>, Option<&PieceId>),
        text: &str,
        is_unasked: bool,
    ) {
        if !text.trim().is_empty() {
            let (at, who) = (line.at, line.who.clone());
            let (piece, text) = (piece.cloned(), text.to_owned());
            self.remarks.push(Remark { at, who, op, piece, text, is_unasked });
        }
    }
}
