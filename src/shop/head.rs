//! What a shop file says of itself, for lists that show it before all of it is read.

use serde::Deserialize;

/// The key of it; all others are passed over.
#[derive(Deserialize)]
struct ShopHead {
    shop: String,
}

/// What the invented shop is called that comes with the program. A shop of that name is
/// invented: whoever copies the file gives the copy a name.
const INVENTED: &str = "Lantern Lane teaching shop";

/// Whether a shop of this name is the invented one.
pub fn is_invented(name: &str) -> bool {
    name == INVENTED
}

/// The name of a shop from its file; nothing where that can't be read. Whether the file is
/// sound this doesn't say.
pub fn shop_name(text: &str) -> Option<String> {
    serde_json::from_str(text).ok().map(|head: ShopHead| head.shop)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::Document;
    use crate::shop::{BUNDLED, read};

    #[test]
    fn the_name_is_what_the_whole_file_says() {
        let document = Document::read("shop.json", BUNDLED).expect("JSON");
        let shop = read(&document).unwrap_or_else(|_| panic!("the bundled shop"));
        assert_eq!(shop_name(BUNDLED), Some(shop.name));
        assert!(shop_name(BUNDLED).is_some_and(|name| is_invented(&name)));
        assert_eq!(shop_name("{}"), None);
        assert_eq!(shop_name(""), None);
    }
}
