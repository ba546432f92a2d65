//! The shop file that a shop keeps beside its batches. It need not exist, and it is made
//! only where somebody asks for it.

use std::io::ErrorKind;
use std::path::PathBuf;

use super::folder::SHOP;
use super::home::Home;
use super::own_routes::text_of;
use super::replaced::replace_file;
use super::store_error::{StoreError, refused};

impl Home {
    /// Where the shop's own file is, or would be.
    pub fn shop_path(&self) -> PathBuf {
        self.path().join(SHOP)
    }

    /// The text of the shop's own file, or why it can't be read; none where there is none.
    pub fn own_shop(&self) -> Option<Result<String, String>> {
        let path = self.shop_path();
        path.symlink_metadata().is_ok().then(|| text_of(&path))
    }

    /// Writes the shop's own file where there is none yet.
    pub fn begin_shop(&self, text: &str) -> Result<(), StoreError> {
        let path = self.shop_path();
        self.disk().make_folder(self.path()).map_err(refused("make", self.path()))?;
        match self.disk().write_new(&path, text.as_bytes()) {
            Err(why) if why.kind() == ErrorKind::AlreadyExists => {
                return Err(StoreError::ShopExists { path });
            }
            written => written.map_err(refused("write", &path))?,
        }
        self.disk().sync_folder(self.path()).map_err(refused("write", self.path()))
    }

    /// Replaces the shop's own file, where it still holds `was`.
    pub fn replace_shop(&self, was: &str, becomes: &str) -> Result<(), StoreError> {
        replace_file(&self.shop_path(), was, becomes)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_shop_is_begun_once_and_never_written_over() {
        let place = tempfile::tempdir().expect("a folder");
        let home = Home::locate(Some(place.path().join("new"))).expect("a folder was named");
        assert_eq!(home.own_shop(), None);
        home.begin_shop("first").expect("there is none yet");
        let again = home.begin_shop("second").expect_err("there is one");
        assert!(matches!(again, StoreError::ShopExists { .. }), "{again}");
        assert_eq!(home.own_shop(), Some(Ok("first".to_owned())));
        home.replace_shop("first", "third").expect("nobody changed it");
        let changed = home.replace_shop("first", "fourth").expect_err("it holds another text");
        assert!(matches!(changed, StoreError::ChangedMeanwhile { .. }), "{changed}");
        assert_eq!(home.own_shop(), Some(Ok("third".to_owned())));
        assert!(home.batches().expect("listed").is_empty());
    }

    /// A shop file that can't be read is there all the same.
    #[test]
    fn what_cannot_be_read_is_said() {
        let place = tempfile::tempdir().expect("a folder");
        let home = Home::locate(Some(place.path().to_owned())).expect("a folder was named");
        std::fs::write(home.shop_path(), [0xff]).expect("written");
        let why = home.own_shop().expect("it is there").expect_err("it is no text");
        assert_eq!(why, "it is not text; save it as UTF-8");
    }
}
