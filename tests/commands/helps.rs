//! The helps: every command explains itself within eighty columns.

use crate::bench::benchway;

/// The commands a help lists, without `help` itself.
fn commands(help: &str) -> Vec<String> {
    let list = help.split("Commands:\n").nth(1).and_then(|rest| rest.split("\n\n").next());
    list.unwrap_or_default()
        .lines()
        .filter_map(|line| line.strip_prefix("  ")?.split(' ').next())
        .filter(|name| !name.is_empty() && *name != "help")
        .map(str::to_owned)
        .collect()
}

#[test]
fn every_help_fits_eighty_columns_and_says_more_than_the_short_one() {
    let mut pages: Vec<Vec<String>> = vec![Vec::new()];
    let mut read = 0;
    while let Some(page) = pages.pop() {
        let words: Vec<&str> = page.iter().map(String::as_str).collect();
        let long = benchway(&[words.as_slice(), &["--help"]].concat());
        let short = benchway(&[words.as_slice(), &["-h"]].concat());
        assert_eq!((long.code, short.code), (0, 0), "{page:?}");
        for line in long.out.lines().chain(short.out.lines()) {
            assert!(line.chars().count() <= 80, "{page:?}: {line}");
        }
        // Both begin with what the command does.
        assert_eq!(long.out.lines().next(), short.out.lines().next(), "{page:?}");
        assert!(long.out.len() > short.out.len(), "{page:?}");
        read += 1;
        pages.extend(
            commands(&long.out).into_iter().map(|name| [page.clone(), vec![name]].concat()),
        );
    }
    assert!(read >= 20, "only {read} helps");
}

#[test]
fn a_help_says_when_a_command_exits_with_findings() {
    for command in ["check", "settings", "fits", "stock", "boards", "review", "learn", "chart"] {
        let help = benchway(&[command, "--help"]).out;
        assert!(help.contains("Exits with 1 when"), "{command}");
    }
}
