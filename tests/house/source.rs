//! The files of `src` as tests of the house read them: without comments, texts
//! and tests; with their functions, their types and what they import.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

pub struct Source {
    /// From `src/` on, with forward slashes.
    pub path: String,
    pub text: String,
}

impl Source {
    pub fn room(&self) -> &str {
        self.path.split(['/', '.']).next().unwrap_or_default()
    }

    fn is_tests(&self) -> bool {
        self.path.ends_with("tests.rs")
    }

    fn without_tests(&self) -> &str {
        if self.is_tests() {
            return "";
        }
        let end = self.text.find("#[cfg(test)]\nmod tests {").unwrap_or(self.text.len());
        &self.text[..end]
    }

    /// The text without comments, numbered by line, up to the tests of the file.
    pub fn code(&self) -> Vec<(usize, &str)> {
        numbered(self.without_tests())
    }

    /// Whether the file is the first of a room.
    pub fn is_head_of_room(&self) -> bool {
        self.path.matches('/').count() == 1 && self.path.ends_with("/mod.rs")
    }

    /// The name of its module: `stock::list` has `["stock", "list"]`.
    fn module(&self) -> Vec<String> {
        let parts = self.path.trim_end_matches(".rs").split('/').map(str::to_owned);
        parts.filter(|part| !matches!(part.as_str(), "mod" | "lib" | "main")).collect()
    }
}

/// Lines with their numbers, comments cut off.
pub fn numbered(text: &str) -> Vec<(usize, &str)> {
    text.lines()
        .enumerate()
        .map(|(at, line)| (at + 1, line.split("//").next().unwrap_or_default()))
        .collect()
}

pub fn files_under(folder: &Path, found: &mut Vec<PathBuf>) {
    for item in fs::read_dir(folder).expect("the project's own folders can be read") {
        let path = item.expect("the project's own folders can be read").path();
        let name = path.file_name().and_then(|name| name.to_str()).unwrap_or_default();
        if path.is_dir() {
            if !matches!(name, "target" | ".git") && !name.starts_with("mutants.out") {
                files_under(&path, found);
            }
        } else if name != ".git" {
            found.push(path);
        }
    }
}

pub fn project() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Every source file under a folder of the project, in the order of their paths.
pub fn sources_in(folder: &str) -> Vec<Source> {
    let root = project().join(folder);
    let mut found = Vec::new();
    files_under(&root, &mut found);
    found.sort();
    found
        .iter()
        .filter(|path| path.extension().is_some_and(|ending| ending == "rs"))
        .map(|path| {
            let from_root = path.strip_prefix(&root).expect("found under it");
            Source {
                path: from_root.to_string_lossy().replace('\\', "/"),
                text: fs::read_to_string(path).expect("a source file is text"),
            }
        })
        .collect()
}

pub fn sources() -> Vec<Source> {
    sources_in("src")
}

/// The code with blanks for comments, texts and characters; lines stay lines.
pub fn bare(code: &str) -> String {
    let mut kept = String::with_capacity(code.len());
    let mut rest = code;
    while let Some(letter) = rest.chars().next() {
        let after_name = kept.ends_with(|c: char| c.is_alphanumeric() || c == '_');
        let skipped = if rest.starts_with("//") {
            rest.find('\n').unwrap_or(rest.len())
        } else if rest.starts_with("/*") {
            rest.find("*/").map_or(rest.len(), |end| end + 2)
        } else if let Some(raw) = raw_text(rest).filter(|_| !after_name) {
            raw
        } else if letter == '"' {
            quoted(rest)
        } else if let Some(character) = character(rest) {
            character
        } else {
            kept.push(letter);
            rest = &rest[letter.len_utf8()..];
            continue;
        };
        let lines = rest[..skipped].matches('\n').count();
        kept.extend(std::iter::repeat_n('\n', lines));
        kept.push(' ');
        rest = &rest[skipped..];
    }
    kept
}

/// How long the raw text is that the code begins with.
fn raw_text(code: &str) -> Option<usize> {
    let after = code.strip_prefix('b').unwrap_or(code).strip_prefix('r')?;
    let marks = after.chars().take_while(|c| *c == '#').count();
    after[marks..].strip_prefix('"')?;
    let end = format!("\"{}", "#".repeat(marks));
    let begin = code.len() - after.len() + marks + 1;
    code[begin..].find(&end).map(|at| begin + at + end.len())
}

/// How long the quoted text is that the code begins with.
fn quoted(code: &str) -> usize {
    let mut escaped = false;
    for (at, letter) in code.char_indices().skip(1) {
        match letter {
            _ if escaped => escaped = false,
            '\\' => escaped = true,
            '"' => return at + 1,
            _ => {}
        }
    }
    code.len()
}

/// How long the character is that the code begins with; none for a lifetime.
fn character(code: &str) -> Option<usize> {
    let inner = code.strip_prefix('\'')?;
    if let Some(escape) = inner.strip_prefix('\\') {
        let first = escape.chars().next()?.len_utf8();
        return escape[first..].find('\'').map(|end| 2 + first + end + 1);
    }
    let first = inner.chars().next()?.len_utf8();
    inner[first..].starts_with('\'').then_some(1 + first + 1)
}

/// The names after a keyword, each with where it begins.
fn names_after<'c>(code: &'c str, keyword: &str) -> Vec<(usize, &'c str)> {
    let mut found = Vec::new();
    for (at, _) in code.match_indices(keyword) {
        let stands_alone = !code[..at].ends_with(|c: char| c.is_alphanumeric() || c == '_');
        let Some(rest) = code[at + keyword.len()..].strip_prefix(' ') else { continue };
        let name = name_at(rest);
        if stands_alone && !name.is_empty() {
            found.push((at, name));
        }
    }
    found
}

fn name_at(code: &str) -> &str {
    let end = code.find(|c: char| !c.is_alphanumeric() && c != '_').unwrap_or(code.len());
    &code[..end]
}

/// Each function with how many lines it has, from `fn` to its last brace.
pub fn functions(source: &Source) -> Vec<(String, usize)> {
    let code = bare(&source.text);
    let mut found = Vec::new();
    for (at, name) in names_after(&code, "fn") {
        let mut depth = 0usize;
        let mut braces = 0usize;
        for (end, letter) in code[at..].char_indices() {
            match letter {
                '(' | '[' => depth += 1,
                ')' | ']' => depth = depth.saturating_sub(1),
                ';' if depth == 0 && braces == 0 => break,
                '{' => braces += 1,
                '}' if braces == 1 => {
                    let lines = code[at..at + end].matches('\n').count() + 1;
                    found.push((name.to_owned(), lines));
                    break;
                }
                '}' => braces = braces.saturating_sub(1),
                _ => {}
            }
        }
    }
    found
}

/// The types a file defines outside its tests.
pub fn types(source: &Source) -> Vec<String> {
    let code = bare(source.without_tests());
    let mut found: Vec<String> = ["struct", "enum", "trait", "union"]
        .iter()
        .flat_map(|keyword| names_after(&code, keyword))
        .map(|(_, name)| name.to_owned())
        .collect();
    // An alias begins its line; what is indented belongs to a trait.
    for line in code.lines() {
        let rest = line.strip_prefix("pub ").or(line.strip_prefix("pub(crate) ")).unwrap_or(line);
        if let Some(rest) = rest.strip_prefix("type ") {
            found.push(name_at(rest).to_owned());
        }
    }
    found
}

type Module = Vec<String>;

/// One name that a file imports.
#[derive(Debug, PartialEq)]
struct Import {
    path: Vec<String>,
    as_name: String,
}

/// Which file names which: what it imports, and each path in its code.
pub struct Graph {
    files: BTreeMap<Module, String>,
    imports: BTreeMap<Module, Vec<Import>>,
    named: BTreeMap<Module, BTreeSet<Module>>,
}

impl Graph {
    pub fn of(sources: &[Source]) -> Graph {
        let mut graph =
            Graph { files: BTreeMap::new(), imports: BTreeMap::new(), named: BTreeMap::new() };
        let mut codes = Vec::new();
        for source in sources.iter().filter(|source| !source.is_tests()) {
            let (imports, code) = imports(&bare(source.without_tests()));
            graph.files.insert(source.module(), source.path.clone());
            graph.imports.insert(source.module(), imports);
            codes.push((source.module(), code));
        }
        for (module, code) in codes {
            let named = graph.named_by(&module, &code);
            graph.named.insert(module, named);
        }
        graph
    }

    /// The files a file names. A file that holds the modules of others names
    /// them by holding them; that is no import.
    fn named_by(&self, module: &Module, code: &str) -> BTreeSet<Module> {
        let imported = self.imports[module].iter();
        let mut paths: Vec<Vec<String>> = imported.map(|import| import.path.clone()).collect();
        paths.extend(paths_in(code));
        let found = paths.iter().filter_map(|path| self.full(module, path));
        let defined = found.filter_map(|path| self.defined_in(&path, 0));
        defined.filter(|other| !other.is_empty() && !other.starts_with(module)).collect()
    }

    /// A path from the root of the library; none for one of another library.
    fn full(&self, module: &Module, path: &[String]) -> Option<Module> {
        let first = path.first()?;
        let join = |from: &[String], rest: &[String]| Some([from, rest].concat());
        match first.as_str() {
            "crate" => join(&[], &path[1..]),
            "self" => join(module, &path[1..]),
            "super" => {
                let up = path.iter().take_while(|part| *part == "super").count();
                join(&module[..module.len().checked_sub(up)?], &path[up..])
            }
            _ => {
                let child = join(module, &path[..1])?;
                if self.files.contains_key(&child) {
                    return join(module, path);
                }
                let import = self.imports[module].iter().find(|held| held.as_name == *first)?;
                if import.path.first() == Some(first) {
                    return None;
                }
                join(&self.full(module, &import.path)?, &path[1..])
            }
        }
    }

    /// The file that defines what a path leads to, through what others pass on.
    fn defined_in(&self, path: &[String], depth: usize) -> Option<Module> {
        let known = |length: &usize| self.files.contains_key(&path[..*length]);
        let length = (0..=path.len()).rev().find(known)?;
        let module = path[..length].to_vec();
        let Some(name) = path.get(length) else { return Some(module) };
        let signed_off_on = self.imports[&module].iter().find(|import| import.as_name == *name);
        let through = signed_off_on.filter(|_| depth < 10).and_then(|import| {
            let target = self.full(&module, &import.path)?;
            let whole = [&target[..], &path[length + 1..]].concat();
            (whole != path).then(|| self.defined_in(&whole, depth + 1))?
        });
        Some(through.unwrap_or(module))
    }

    fn reached_from(&self, start: &Module) -> BTreeSet<&Module> {
        let mut reached = BTreeSet::new();
        let mut open = vec![start];
        while let Some(module) = open.pop() {
            for next in self.named.get(module).into_iter().flatten() {
                if reached.insert(next) {
                    open.push(next);
                }
            }
        }
        reached
    }

    /// Groups of files in which each leads to every other.
    pub fn circles(&self) -> Vec<Vec<&str>> {
        let reach: BTreeMap<&Module, BTreeSet<&Module>> =
            self.files.keys().map(|module| (module, self.reached_from(module))).collect();
        let mut found: BTreeSet<Vec<&str>> = BTreeSet::new();
        for (module, reached) in reach.iter().filter(|(module, reached)| reached.contains(*module))
        {
            let back =
                |other: &&&Module| reach.get(**other).is_some_and(|all| all.contains(*module));
            let round = reached.iter().filter(back);
            found.insert(round.map(|other| self.files[*other].as_str()).collect());
        }
        found.into_iter().collect()
    }
}

/// What `use` brings in, and the code without it.
fn imports(code: &str) -> (Vec<Import>, String) {
    let mut found = Vec::new();
    let mut rest = String::new();
    let mut open: Option<String> = None;
    for line in code.lines() {
        let trimmed = line.trim_start();
        let after_pub = trimmed.strip_prefix("pub").map(|after| match after.strip_prefix('(') {
            Some(within) => within.split_once(')').map_or("", |(_, after)| after).trim_start(),
            None => after.trim_start(),
        });
        let begun = after_pub.unwrap_or(trimmed).strip_prefix("use ");
        match (&mut open, begun) {
            (None, Some(tree)) => open = Some(tree.to_owned()),
            (Some(tree), _) => tree.push_str(trimmed),
            (None, None) => {
                rest.push_str(line);
                rest.push('\n');
            }
        }
        if let Some(tree) = open.take_if(|tree| tree.contains(';')) {
            branch(&[], tree.split(';').next().unwrap_or_default(), &mut found);
        }
    }
    (found, rest)
}

/// Each name of a tree of imports.
fn branch(before: &[String], tree: &str, found: &mut Vec<Import>) {
    let tree = tree.trim();
    let names = |path: &str| -> Vec<String> {
        let parts = path.split("::").map(|part| part.trim().to_owned());
        parts.filter(|part| !part.is_empty()).collect()
    };
    if let Some((head, inner)) = tree.split_once('{') {
        let inner = inner.trim_end().strip_suffix('}').unwrap_or(inner);
        let before = [before, &names(head)].concat();
        let mut depth = 0;
        let mut begin = 0;
        for (at, letter) in inner.char_indices() {
            match letter {
                '{' => depth += 1,
                '}' => depth -= 1,
                ',' if depth == 0 => {
                    branch(&before, &inner[begin..at], found);
                    begin = at + 1;
                }
                _ => {}
            }
        }
        branch(&before, &inner[begin..], found);
    } else if !tree.is_empty() {
        let (path, renamed) = tree.split_once(" as ").unwrap_or((tree, ""));
        let mut path = [before, &names(path)].concat();
        path.pop_if(|last| last == "self");
        let last = path.last().cloned().unwrap_or_default();
        let as_name = if renamed.is_empty() { last } else { renamed.trim().to_owned() };
        found.push(Import { path, as_name });
    }
}

/// Every path of two names or more: `super::due::Due`, `walk::planned`.
fn paths_in(code: &str) -> Vec<Vec<String>> {
    let letter = |c: char| c.is_alphanumeric() || c == '_' || c == ':';
    code.split(|c| !letter(c))
        .filter(|path| path.contains("::"))
        .map(|path| path.split("::").map(str::to_owned).collect::<Vec<String>>())
        .map(|path| path.into_iter().take_while(|name| !name.is_empty()).collect::<Vec<String>>())
        .filter(|path: &Vec<String>| path.len() > 1)
        .collect()
}

/// What a test says holds always: the sentence, and the name of the test.
pub fn always_held(source: &Source) -> Vec<(String, String)> {
    let mut found = Vec::new();
    let mut sentence: Option<String> = None;
    let mut goes_on = false;
    for line in source.text.lines().map(str::trim) {
        if let Some(begun) = line.strip_prefix("/// Always: ") {
            sentence = Some(begun.to_owned());
            goes_on = true;
        } else if let Some(more) = line.strip_prefix("///") {
            // An empty line ends the sentence; what follows explains the test.
            goes_on &= !more.trim().is_empty();
            if let Some(sentence) = sentence.as_mut().filter(|_| goes_on) {
                sentence.push(' ');
                sentence.push_str(more.trim());
            }
        } else if let Some(rest) = line.strip_prefix("fn ") {
            found.extend(sentence.take().map(|sentence| (sentence, name_at(rest).to_owned())));
        } else {
            goes_on = false;
        }
    }
    found
}

#[test]
fn comments_texts_and_characters_are_left_out() {
    assert_eq!(bare("a(\"b // \\\" c\") // d\ne"), "a( )  \ne");
    assert_eq!(bare("x = r#\"{ \"y\" }\"#;"), "x =  ;");
    assert_eq!(bare("f::<'a>('\\'', '}')"), "f::<'a>( ,  )");
    assert_eq!(bare("/* a\nb */c"), "\n c");
}

fn made_up(path: &str, text: &str) -> Source {
    Source { path: path.to_owned(), text: text.to_owned() }
}

#[test]
fn functions_are_measured_from_their_name_to_their_last_brace() {
    let text = "trait A { fn none(&self); }\nfn two(x: [u8; 2]) -> u8 {\n    { x[0] } }\n";
    assert_eq!(functions(&made_up("a.rs", text)), [("two".to_owned(), 2)]);
}

#[test]
fn types_are_found_and_associated_types_left_out() {
    let text = "pub struct A;\nenum B {}\ntype C = u8;\nimpl D for A {\n    type E = u8;\n}\n";
    assert_eq!(types(&made_up("a.rs", text)), ["A", "B", "C"]);
}

#[test]
fn imports_are_taken_apart() {
    let (found, rest) = imports("use a::{self, b::{C, D as E}};\npub(super) use f::G;\nx();\n");
    let names: Vec<(String, &str)> =
        found.iter().map(|held| (held.path.join("::"), held.as_name.as_str())).collect();
    let expected = [("a", "a"), ("a::b::C", "C"), ("a::b::D", "E"), ("f::G", "G")];
    assert_eq!(names, expected.map(|(path, name)| (path.to_owned(), name)));
    assert_eq!(rest, "x();\n");
}

#[test]
fn a_circle_is_seen_through_what_a_room_passes_on() {
    let room = |first: &str, second: &str| {
        let sources = [
            made_up("lib.rs", "pub mod room;"),
            made_up("room/mod.rs", "mod first;\nmod second;\npub use first::First;\n"),
            made_up("room/first.rs", first),
            made_up("room/second.rs", second),
        ];
        Graph::of(&sources).circles().concat().join(" ")
    };
    let both = "room/first.rs room/second.rs";
    assert_eq!(room("use super::second::Second;", "use crate::room::First;"), both);
    assert_eq!(room("fn f() { super::second::g() }", "use super::First;"), both);
    assert_eq!(room("use super::second;", "use super::first::First;"), both);
    assert_eq!(room("use super::second::Second;", "use std::fs;"), "");
    assert_eq!(room("// super::second::g()", "use super::First;"), "");
}

#[test]
fn what_always_holds_is_read_off_the_tests() {
    let text = "    /// Always: One is one,\n    /// and so on.\n    ///\n    /// By hand.\n\
                    #[test]\n    fn one() {}\n    /// Two.\n    fn two() {}\n";
    let expected = ("One is one, and so on.".to_owned(), "one".to_owned());
    assert_eq!(always_held(&made_up("a.rs", text)), [expected]);
}
