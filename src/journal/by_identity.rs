//! The batch under way that an identity names, whatever its folder is called here.

use super::home::Home;
use super::mirror::beginning_of;

/// The name here of the batch with this identity or, of a batch that an older program began,
/// with this name; none where it isn't here. What can't be read is left out.
pub fn batch_of_code(home: &Home, code: &str) -> Option<String> {
    let folders = home.batches().ok()?;
    let has_identity =
        |folder: &&_| beginning_of(folder).is_some_and(|found| found.id.to_string() == code);
    let found = folders.iter().find(has_identity);
    let found = found.or_else(|| folders.iter().find(|folder| folder.name() == code));
    found.map(|folder| folder.name().to_owned())
}
