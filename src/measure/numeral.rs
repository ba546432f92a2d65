//! Numbers and parts of a whole in English words.

/// A whole number in words.
pub(super) fn number(n: u64) -> String {
    const ONES: [&str; 20] = [
        "zero",
        "one",
        "two",
        "three",
        "four",
        "five",
        "six",
        "seven",
        "eight",
        "nine",
        "ten",
        "eleven",
        "twelve",
        "thirteen",
        "fourteen",
        "fifteen",
        "sixteen",
        "seventeen",
        "eighteen",
        "nineteen",
    ];
    const TENS: [&str; 10] =
        ["", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"];
    let beyond = |size: u64, name: &str, joint: &str| match n % size {
        0 => format!("{} {name}", number(n / size)),
        left => format!("{} {name}{joint}{}", number(n / size), number(left)),
    };
    match n {
        0..20 => ONES[n as usize].into(),
        20..100 => match n % 10 {
            0 => TENS[n as usize / 10].into(),
            left => format!("{}-{}", TENS[n as usize / 10], ONES[left as usize]),
        },
        100..1_000 => beyond(100, "hundred", " "),
        1_000..1_000_000 => beyond(1_000, "thousand", " "),
        _ => beyond(1_000_000, "million", " "),
    }
}

/// The parts of a whole that `under` goes by: `16` is "sixteenths".
pub(super) fn plural_part(under: u64) -> String {
    match under {
        2 => "halves".into(),
        4 => "quarters".into(),
        _ => format!("{}s", part(under)),
    }
}

/// One part of a whole that goes by `under`: `16` is "sixteenth".
pub(super) fn part(under: u64) -> String {
    match under {
        2 => return "half".into(),
        4 => return "quarter".into(),
        _ => {}
    }
    // "One hundred twenty-eighths" would be a hundred of them.
    let words = number(under).replace(' ', "-");
    let (start, last) = words
        .rsplit_once('-')
        .map_or(("", words.as_str()), |(_, last)| (&words[..words.len() - last.len()], last));
    let last = match last {
        "one" => "first".into(),
        "two" => "second".into(),
        "three" => "third".into(),
        "five" => "fifth".into(),
        "eight" => "eighth".into(),
        "nine" => "ninth".into(),
        "twelve" => "twelfth".into(),
        _ if last.ends_with('y') => format!("{}ieth", &last[..last.len() - 1]),
        _ => format!("{last}th"),
    };
    format!("{start}{last}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_have_their_names() {
        for (under, name) in [
            (3, "thirds"),
            (7, "sevenths"),
            (12, "twelfths"),
            (20, "twentieths"),
            (21, "twenty-firsts"),
            (100, "one-hundredths"),
        ] {
            assert_eq!(plural_part(under), name);
        }
    }

    #[test]
    fn numbers_have_their_names() {
        for (n, name) in [
            (0, "zero"),
            (19, "nineteen"),
            (20, "twenty"),
            (101, "one hundred one"),
            (1_205, "one thousand two hundred five"),
            (2_000_000, "two million"),
        ] {
            assert_eq!(number(n), name);
        }
    }
}
