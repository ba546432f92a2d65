//! The known name that a mistyped one was probably meant to be, offered as
//! "did you mean".

/// The nearest of `names` when it is near enough to be worth offering; the
/// first of those equally near.
pub fn nearest<'a>(typo: &str, names: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let typo = typo.to_lowercase();
    let length = typo.chars().count();
    names
        .into_iter()
        .filter_map(|name| {
            let own_length = name.chars().count();
            let allowed = 1 + own_length / 4;
            // Lengths first: a hostile key can be a megabyte long.
            if length.abs_diff(own_length) > allowed {
                return None;
            }
            let distance = strsim::damerau_levenshtein(&typo, &name.to_lowercase());
            // Two names that share no letter are not near, however short.
            (distance <= allowed && distance < own_length.max(length)).then_some((distance, name))
        })
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, name)| name)
}

#[cfg(test)]
mod tests {
    use super::nearest;

    const KEYS: [&str; 6] = ["op", "part", "do", "at", "tool", "tolerance"];

    #[test]
    fn offers_the_name_that_was_meant() {
        for (typo, meant) in [
            ("tolerence", Some("tolerance")),
            ("tolerances", Some("tolerance")),
            ("Part", Some("part")),
            ("prat", Some("part")), // Two neighbours swapped are one slip.
            ("tol", Some("tool")),
            ("opp", Some("op")), // As long a slip as two letters allow.
            ("x", None),
            ("species", None),
            ("", None),
        ] {
            assert_eq!(nearest(typo, KEYS), meant, "for {typo:?}");
        }
    }

    #[test]
    fn one_letter_names_are_not_near_each_other() {
        assert_eq!(nearest("a", ["b"]), None);
    }

    #[test]
    fn a_megabyte_of_typo_costs_nothing() {
        assert_eq!(nearest(&"o".repeat(1 << 20), KEYS), None);
    }
}
