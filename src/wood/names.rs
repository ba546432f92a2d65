//! Woods by their names.

use super::species::Species;
use super::table::WOODS;

impl Species {
    /// A wood by any of its names; `None` for a name that no wood has. Capitals,
    /// hyphens and commas make no difference.
    pub fn named(name: &str) -> Option<&'static Species> {
        let wanted = plain(name);
        WOODS.iter().find(|wood| wood.names().iter().any(|name| plain(name) == wanted))
    }

    /// Every wood of the table.
    pub fn all() -> impl Iterator<Item = &'static Species> {
        WOODS.iter()
    }

    /// Every name of every wood.
    pub fn every_name() -> impl Iterator<Item = &'static str> {
        WOODS.iter().flat_map(|wood| wood.names()).copied()
    }

    /// The woods that have each of these words in one of their names: all the oaks
    /// for `oak`, none for `soft oak`.
    pub fn with_words(words: &str) -> Vec<&'static str> {
        let words = plain(words);
        let has = |wood: &&Species| {
            wood.names().iter().any(|name| {
                let name = plain(name);
                words.split(' ').all(|word| !word.is_empty() && name.split(' ').any(|w| w == word))
            })
        };
        WOODS.iter().filter(has).map(Species::name).collect()
    }
}

/// In lower case, with one space between words.
fn plain(name: &str) -> String {
    let lower = name.to_lowercase();
    let words: Vec<&str> = lower
        .split(|c: char| c.is_whitespace() || matches!(c, '-' | ',' | '_'))
        .filter(|word| !word.is_empty())
        .collect();
    words.join(" ")
}

#[cfg(test)]
mod tests {
    use super::super::species::Grain;
    use super::*;

    /// Always: Every name of a wood finds it, among the woods with these words too.
    #[test]
    fn every_name_finds_its_wood() {
        for wood in Species::all() {
            for name in wood.names() {
                assert_eq!(Species::named(name).map(Species::name), Some(wood.name()), "{name}");
                assert!(Species::with_words(name).contains(&wood.name()), "{name}");
            }
        }
    }

    #[test]
    fn an_unknown_wood_is_never_guessed() {
        for name in ["bubinga", "", "oak", "hard", "Douglas"] {
            assert_eq!(Species::named(name), None, "{name}");
        }
        assert_eq!(Species::with_words("soft oak"), Vec::<&str>::new());
        assert_eq!(Species::with_words(""), Vec::<&str>::new());
        let birches =
            ["sweet birch", "yellow birch", "paper birch", "Alaska paper birch", "river birch"];
        assert_eq!(Species::with_words("Birch"), birches);
    }

    #[test]
    fn capitals_hyphens_and_commas_make_no_difference() {
        for name in ["Hard maple", "  sugar MAPLE ", "maple"] {
            assert_eq!(Species::named(name).map(Species::name), Some("hard maple"), "{name}");
        }
        for name in ["douglas fir", "Douglas-fir, coast", "Douglas-Fir coast"] {
            assert_eq!(Species::named(name).map(Species::name), Some("Douglas-fir"), "{name}");
        }
    }

    #[test]
    fn every_name_is_unique_and_quartersawn_moves_less() {
        let mut names: Vec<String> = Species::every_name().map(plain).collect();
        let all = names.len();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), all);
        for wood in Species::all() {
            let per_point = |grain| wood.coefficient(grain).amount;
            assert!(per_point(Grain::Quarter) < per_point(Grain::Flat), "{}", wood.name());
        }
    }
}
