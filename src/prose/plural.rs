//! Nouns in their regular plural, counts with their noun, and the beginning of a sentence.

/// The regular plural of a noun: a `y` after a consonant becomes `ies`; `es`
/// follows s, x, z, ch and sh; otherwise `s` follows.
pub fn plural(noun: &str) -> String {
    let is_vowel = |c: char| matches!(c.to_ascii_lowercase(), 'a' | 'e' | 'i' | 'o' | 'u');
    if let Some(stem) = noun.strip_suffix('y')
        && stem.chars().next_back().is_some_and(|before| !is_vowel(before))
    {
        return format!("{stem}ies");
    }
    let hisses = ["s", "x", "z", "ch", "sh"].iter().any(|end| noun.ends_with(end));
    format!("{noun}{}", if hisses { "es" } else { "s" })
}

/// A count with its noun: `1 reading`, `3 readings`.
pub fn counted(count: usize, noun: &str) -> String {
    if count == 1 { format!("1 {noun}") } else { format!("{count} {}", plural(noun)) }
}

/// The text with a capital first letter.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_count_chooses_the_number_of_its_noun() {
        assert_eq!(counted(1, "press"), "1 press");
        assert_eq!(counted(2, "press"), "2 presses");
        assert_eq!(counted(0, "reading"), "0 readings");
        assert_eq!(plural("assembly"), "assemblies");
        assert_eq!(plural("tray"), "trays");
    }
}
