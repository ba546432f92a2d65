//! Which names may become files, and how a station is spelled as one.
//! Pure: it must not know the disk.

use crate::prose::visible;

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
    if let Some(bad) = name.chars().find(|c| r#"/\<>:"|?*"#.contains(*c)) {
        return Some(format!("it contains {bad}"));
    }
    if visible(name) != name {
        return Some("it contains a character that cannot be seen".to_owned());
    }
    if name.starts_with(['.', '-', ' ']) {
        return Some("it begins with a dot, a dash or a space".to_owned());
    }
    if name.ends_with(['.', ' ']) {
        return Some("it ends with a dot or a space".to_owned());
    }
    let stem = name.split('.').next().unwrap_or(name).trim_end().to_lowercase();
    let port = stem.strip_prefix("com").or_else(|| stem.strip_prefix("lpt"));
    let is_port = port.is_some_and(|rest| {
        rest.chars().count() == 1 && rest.contains(|c| "0123456789¹²³".contains(c))
    });
    if RESERVED.contains(&stem.as_str()) || is_port {
        return Some("some systems keep it for a device".to_owned());
    }
    None
}

/// Spells a station as its file is: lower case, dashes for spaces.
pub(super) fn spelled_as_file(station: &str) -> String {
    station.trim().to_lowercase().replace(' ', "-")
}

#[cfg(test)]
mod tests {
    use super::*;

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
