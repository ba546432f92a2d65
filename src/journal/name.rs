//! Which names may become files, and how a station is spelled as one.
//! Pure: it must not know the disk.

use super::store_error::StoreError;
use crate::prose::hides_something;

/// Longest name in bytes: every disk takes it with our endings added.
const LONGEST: usize = 100;

/// Names that are devices on some systems, whatever ending they carry.
const RESERVED: [&str; 6] = ["con", "prn", "aux", "nul", "conin$", "conout$"];

/// Says why a name cannot be the name of a file or folder on every kind of disk, if it cannot.
pub fn objection(name: &str) -> Option<String> {
    if name.trim().is_empty() {
        return Some("it is empty".to_owned());
    }
    if name.len() > LONGEST {
        return Some(format!("it is longer than {LONGEST} bytes"));
    }
    if let Some(bad) = name.chars().find(|c| is_refused(*c)) {
        return Some(format!("it contains {bad}"));
    }
    if hides_something(name) {
        return Some("it contains a character that cannot be seen".to_owned());
    }
    if name.starts_with(['.', '-', ' ']) {
        return Some("it begins with a dot, a dash or a space".to_owned());
    }
    if name.ends_with(['.', ' ']) {
        return Some("it ends with a dot or a space".to_owned());
    }
    let stem = name.split('.').next().unwrap_or(name).trim_end();
    let is = |device: &&str| stem.eq_ignore_ascii_case(device);
    if RESERVED.iter().any(is) || is_port(stem) {
        return Some("some systems keep it for a device".to_owned());
    }
    None
}

/// Whether some disk refuses a character that shows.
fn is_refused(character: char) -> bool {
    matches!(character, '/' | '\\' | '<' | '>' | ':' | '"' | '|' | '?' | '*')
}

/// Whether a name is one of the numbered devices: `com1`, `LPT9`.
fn is_port(name: &str) -> bool {
    let Some((start, number)) = name.split_at_checked(3) else { return false };
    ["com", "lpt"].iter().any(|port| start.eq_ignore_ascii_case(port))
        && number.chars().count() == 1
        && number.contains(|c| "0123456789¹²³".contains(c))
}

/// What is left of any text, such as the name of a file, as the beginning of a
/// name: the day and a number still fit behind it. A word of our own where nothing
/// is left.
pub fn suitable(text: &str) -> String {
    const KEPT: usize = 70;
    let is_fit = |c: &char| !is_refused(*c) && !hides_something(&c.to_string());
    let spelled: String = text.chars().map(|c| if is_fit(&c) { c } else { '-' }).collect();
    let spelled = spelled.trim_matches(['.', '-', ' ']);
    let fits = |end: &usize| spelled.is_char_boundary(*end);
    let end = (0..=spelled.len().min(KEPT)).rev().find(fits).unwrap_or(0);
    let kept = spelled[..end].trim_end_matches(['.', ' ']).to_owned();
    if objection(&kept).is_some() { "batch".to_owned() } else { kept }
}

/// A station as its lines and its file spell it.
///
/// # Errors
///
/// Where no file can have that name.
pub fn station_spelled(station: &str) -> Result<String, StoreError> {
    let name = spelled_as_file(station);
    match objection(&name) {
        Some(why) => Err(StoreError::BadName { what: "station", name, why }),
        None => Ok(name),
    }
}

/// Spells a station as its file is: lower case, dashes for spaces.
pub(super) fn spelled_as_file(station: &str) -> String {
    station.trim().to_lowercase().replace(' ', "-")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::prose::visible;

    #[test]
    fn ordinary_names_pass() {
        for name in [
            "ferry bench",
            "Bank 3, oak",
            "Säge",
            "v1.2",
            "comb",
            "console",
            "com10",
            "lpt",
            "nullify",
        ] {
            assert_eq!(objection(name), None, "{name}");
        }
    }

    #[test]
    fn unsafe_names_are_refused() {
        let long = "x".repeat(101);
        for name in [
            "",
            " ",
            "\t",
            ".",
            "..",
            "../../x",
            "a/b",
            "a\\b",
            "/etc",
            "C:x",
            "a\0b",
            "a\nb",
            "a\u{1b}[31mb",
            "a\u{202e}b",
            "-rf",
            " a",
            "a ",
            "a.",
            ".hidden",
            "CON",
            "nul.txt",
            "Com1",
            "lpt9.json",
            "aux",
            "a*b",
            &long,
        ] {
            assert!(objection(name).is_some(), "{name:?} was let through");
        }
    }

    /// Always: What is left of any file name can be the name of a batch.
    #[test]
    fn any_file_name_leaves_a_suitable_name() {
        for (text, name) in [
            ("quay-bench", "quay-bench"),
            ("quay bench v1.2", "quay bench v1.2"),
            (".hidden", "hidden"),
            ("-x", "x"),
            ("oak? 3:1", "oak- 3-1"),
            ("a\u{202e}b\n", "a-b"),
            ("...", "batch"),
            ("con", "batch"),
            ("aux.old", "batch"),
            ("Säge ½", "Säge ½"),
        ] {
            assert_eq!(suitable(text), name, "{text:?}");
            assert_eq!(objection(&format!("{name} 2026-11-25 12")), None, "{name}");
        }
        // 35 letters of two bytes each.
        assert_eq!(suitable(&"ä".repeat(80)), "ä".repeat(35));
    }

    #[test]
    fn stations_are_spelled_as_their_files() {
        assert_eq!(spelled_as_file("Cabinet Saw"), "cabinet-saw");
        assert_eq!(spelled_as_file(" wide-belt sander "), "wide-belt-sander");
    }

    #[test]
    fn escape_sequences_cannot_reach_the_terminal() {
        assert_eq!(visible("oak \u{1b}[2J leg"), "oak \\u{1b}[2J leg");
        assert_eq!(visible("Säge ¼"), "Säge ¼");
    }
}
