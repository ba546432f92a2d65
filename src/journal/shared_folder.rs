//! What the system can say of a folder that other computers write to as well: whether it
//! gives word of their changes, and whether their locks reach this one.

use std::path::Path;

/// Whether this computer hears of every change in a folder: what others write to a share
/// comes by without a word.
pub fn gives_word_of_changes(folder: &Path) -> bool {
    !is_shared(folder)
}

/// Whether a lock that another computer holds in a folder is one here too.
pub(super) fn locks_reach_others(folder: &Path) -> bool {
    !is_shared(folder) || locks_are_passed_on(folder)
}

/// Numbers by which Linux tells file systems (statfs(2) and the kernel's magic.h). Their
/// servers pass locks on: NFS, SMB in its three forms, Ceph, GFS2, OCFS2, Lustre.
#[cfg(target_os = "linux")]
const PASSING_LOCKS: [u64; 8] =
    [0x6969, 0x517b, 0xff53_4d42, 0xfe53_4d42, 0x00c3_6400, 0x0116_1970, 0x7461_636f, 0x0bd0_0bd0];

/// The same of others: FUSE, 9p, AFS in its two forms, Coda, and the folders that three
/// makers of virtual computers share with them.
#[cfg(target_os = "linux")]
const KEEPING_LOCKS: [u64; 8] = [
    0x6573_5546,
    0x0102_1997,
    0x5346_414f,
    0x6b41_4653,
    0x7375_7245,
    0x786f_4256,
    0xbacb_acbc,
    0x7c7c_6673,
];

#[cfg(target_os = "linux")]
fn is_among(folder: &Path, kinds: &[u64]) -> bool {
    // Its lower half is the number; how wide the type is differs from computer to computer.
    let kind = rustix::fs::statfs(folder).map(|known| known.f_type as u64 & 0xffff_ffff);
    kind.is_ok_and(|kind| kinds.contains(&kind))
}

#[cfg(target_os = "linux")]
fn is_shared(folder: &Path) -> bool {
    is_among(folder, &PASSING_LOCKS) || is_among(folder, &KEEPING_LOCKS)
}

#[cfg(target_os = "linux")]
fn locks_are_passed_on(folder: &Path) -> bool {
    is_among(folder, &PASSING_LOCKS)
}

/// Elsewhere the path tells: a share has a name of its own, or is mounted among volumes.
#[cfg(not(target_os = "linux"))]
fn is_shared(folder: &Path) -> bool {
    use std::path::{Component, Prefix};

    let whole = folder.canonicalize().unwrap_or_else(|_| folder.to_owned());
    let is_named = matches!(
        whole.components().next(),
        Some(Component::Prefix(held))
            if matches!(held.kind(), Prefix::UNC(..) | Prefix::VerbatimUNC(..))
    );
    is_named || whole.starts_with("/Volumes")
}

#[cfg(not(target_os = "linux"))]
fn locks_are_passed_on(_: &Path) -> bool {
    true
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_folder_of_this_computer_gives_word_and_its_locks_count() {
        let folder = tempfile::tempdir().expect("a folder for the test");
        assert!(gives_word_of_changes(folder.path()));
        assert!(locks_reach_others(folder.path()));
        // What is not there is no share.
        assert!(gives_word_of_changes(&folder.path().join("none")));
    }
}
