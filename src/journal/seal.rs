//! A seal over a batch: how far each station had written when a lead sealed it, and a hash
//! of what it had written. Pure: it must not know the disk.

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

/// What one station had written.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct StationSeal {
    /// The station.
    pub station: String,
    /// How many lines its file had.
    pub lines: u64,
    /// SHA-256 of these lines, each with one newline, as hexadecimal digits.
    pub sha256: String,
}

impl StationSeal {
    /// Over every whole line of a station's file.
    pub(super) fn of(station: &str, bytes: &[u8]) -> StationSeal {
        let lines = whole_lines(bytes).count();
        StationSeal {
            station: station.to_owned(),
            lines: lines as u64,
            sha256: hash(whole_lines(bytes)),
        }
    }

    /// Whether the file still begins with the lines it was put over.
    pub(super) fn holds(&self, bytes: &[u8]) -> bool {
        let lines = usize::try_from(self.lines).unwrap_or(usize::MAX);
        whole_lines(bytes).count() >= lines && hash(whole_lines(bytes).take(lines)) == self.sha256
    }
}

/// A seal in four groups of four signs, short enough to be written on paper: the beginning
/// of the SHA-256 of all its hashes.
pub fn short_form(stations: &[StationSeal]) -> String {
    let hashes = stations.iter().map(|seal| seal.sha256.as_bytes());
    let digits = hash(hashes).to_uppercase();
    let groups: Vec<&str> = (0..4).map(|group| &digits[4 * group..4 * group + 4]).collect();
    groups.join(" ")
}

/// The lines that end, without what ends them: programs may change that.
fn whole_lines(bytes: &[u8]) -> impl Iterator<Item = &[u8]> {
    let whole = bytes.iter().rposition(|byte| *byte == b'\n').map_or(0, |at| at + 1);
    bytes[..whole].split_inclusive(|byte| *byte == b'\n').map(|line| {
        let line = &line[..line.len() - 1];
        line.strip_suffix(b"\r").unwrap_or(line)
    })
}

fn hash<'a>(lines: impl Iterator<Item = &'a [u8]>) -> String {
    let mut hash = Sha256::new();
    for line in lines {
        hash.update(line);
        hash.update(b"\n");
    }
    hash.finalize().iter().map(|byte| format!("{byte:02x}")).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `printf 'abc\n' | sha256sum`, from the GNU core utilities.
    const ABC: &str = "edeaaff3f1774ad2888673770c6d64097e391bc362d7d6fb34982ddf0efd18cb";

    #[test]
    fn a_seal_is_the_sha256_of_the_lines() {
        let seal = StationSeal::of("cart", b"abc\ntorn");
        assert_eq!((seal.lines, seal.sha256.as_str()), (1, ABC));
    }

    /// Lines that were added later break no seal, and neither do changed ends of lines.
    #[test]
    fn a_seal_holds_until_a_sealed_line_changes() {
        let seal = StationSeal::of("cart", b"abc\ndef\n");
        for sound in [&b"abc\ndef\n"[..], b"abc\ndef\nmore\n", b"abc\r\ndef\r\n"] {
            assert!(seal.holds(sound));
        }
        for changed in [&b"abc\n"[..], b"abd\ndef\n", b"def\nabc\n", b"", b"abc\ndef"] {
            assert!(!seal.holds(changed));
        }
    }

    #[test]
    fn the_short_form_fits_on_paper() {
        let seals = [StationSeal::of("cart", b"abc\n")];
        let short = short_form(&seals);
        assert_eq!(short.len(), 19);
        assert!(short.chars().all(|sign| sign == ' ' || sign.is_ascii_hexdigit()));
        assert_ne!(short, short_form(&[StationSeal::of("cart", b"abd\n")]));
    }
}
