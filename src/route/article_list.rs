//! A list of articles as a table: whose each is, and what its maker chose. Commas,
//! semicolons or tabs separate the columns, which are `owner`, `wood` and the
//! dimensions of the route's choices, in any order.

use std::collections::BTreeMap;

use super::{Chosen, Route};
use crate::document::table::{TextRow, TextTable, of_the_table};
use crate::document::{LARGEST, Problem};
use crate::measure::{Length, parse_written};
use crate::prose::{Message, nearest, quoted};
use crate::wood::Species;

/// More articles than a batch has.
const MOST_ROWS: usize = 1000;

/// Beyond this many problems the first ones explain the rest.
const MOST_PROBLEMS: usize = 50;

/// The longest name of an owner, in letters.
const LONGEST_OWNER: usize = 24;

/// An article: whose it is, and what its maker chose.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct OwnedArticle {
    /// Whose it is, where anybody said.
    pub owner: Option<String>,
    /// What was chosen.
    pub chosen: Chosen,
}

/// What a column holds.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum ArticleColumn {
    Owner,
    Wood,
    Size(String),
}

/// The owner that a text names: initials or a short name; none where it is empty.
pub fn owner_name(text: &str) -> Result<Option<String>, Message> {
    let name = text.split_whitespace().collect::<Vec<_>>().join(" ");
    if name.is_empty() {
        return Ok(None);
    }
    if name.chars().count() > LONGEST_OWNER || name.chars().any(char::is_control) {
        let what = format!("an owner's name has at most {LONGEST_OWNER} letters");
        return Err(Message::error(what).help("initials will do"));
    }
    Ok(Some(name))
}

/// Reads a list of articles. The error has every problem found, each at its place.
pub fn read_article_list(text: &str, route: &Route) -> Result<Vec<OwnedArticle>, Vec<Problem>> {
    let refused = |message: Message| Err(vec![of_the_table(message)]);
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    if text.len() > LARGEST {
        return refused(Message::error("the list is too large").help("is it a list of articles?"));
    }
    let mut table = TextTable::of(text);
    let mut rows = match table.rows(MOST_ROWS) {
        Ok(rows) => rows,
        Err(error) => return refused(error.help(example(route))),
    };
    if rows.len() < 2 {
        let what = "the list has no articles";
        return refused(Message::error(what).help(example(route)));
    }
    let headings = rows.remove(0);
    let columns = columns(&mut table, &headings, route);
    if !table.problems.is_empty() {
        return Err(table.problems);
    }
    let mut articles: Vec<OwnedArticle> = Vec::new();
    for row in &rows {
        articles.extend(article(&mut table, (headings.cells.len(), &columns), row, route));
        if table.problems.len() >= MOST_PROBLEMS {
            return Err(table.problems);
        }
    }
    if table.problems.is_empty() {
        owned_twice(&mut table, &rows, &columns, &articles);
    }
    if table.problems.is_empty() { Ok(articles) } else { Err(table.problems) }
}

/// `the first line names the columns, such as owner,height,wood`
fn example(route: &Route) -> String {
    let sizes = route.choices.iter().map(|choice| choice.dim.as_str());
    let wood = route.woods.as_ref().map(|_| "wood");
    let all: Vec<&str> = std::iter::once("owner").chain(sizes).chain(wood).collect();
    format!("the first line names the columns: `{}`", all.join(","))
}

fn columns(
    table: &mut TextTable<'_>,
    row: &TextRow,
    route: &Route,
) -> BTreeMap<ArticleColumn, usize> {
    let mut columns = BTreeMap::new();
    let mut known = vec!["owner"];
    known.extend(route.woods.as_ref().map(|_| "wood"));
    known.extend(route.choices.iter().map(|choice| choice.dim.as_str()));
    for (index, cell) in row.cells.iter().enumerate() {
        let heading = cell.trim().to_lowercase().replace([' ', '-'], "_");
        let at = row.span(index).unwrap_or(row.whole.clone());
        if !known.contains(&heading.as_str()) {
            let help = match nearest(&heading, known.iter().copied()) {
                Some(near) => format!("did you mean `{near}`?"),
                None => format!("the columns are {}", known.join(", ")),
            };
            let what = format!("there is no column {}", quoted(cell.trim()));
            table.report(at, "headings", Message::error(what).help(help));
            continue;
        }
        let held = match heading.as_str() {
            "owner" => ArticleColumn::Owner,
            "wood" if route.woods.is_some() => ArticleColumn::Wood,
            _ => ArticleColumn::Size(heading.clone()),
        };
        if columns.insert(held, index).is_some() {
            let what = format!("two columns are headed `{heading}`");
            table.report(at, "headings", Message::error(what).help("remove one of them"));
        }
    }
    if table.problems.is_empty() && !columns.contains_key(&ArticleColumn::Owner) {
        let message = Message::error("the column `owner` is missing").help(example(route));
        table.report(row.whole.clone(), "headings", message);
    }
    columns
}

/// The article of a row; none after a problem.
fn article(
    table: &mut TextTable<'_>,
    (wide, columns): (usize, &BTreeMap<ArticleColumn, usize>),
    row: &TextRow,
    route: &Route,
) -> Option<OwnedArticle> {
    let line = table.line(row.whole.clone());
    if row.cells.len() != wide {
        let (held, first) = (row.cells.len(), table.first_line(row));
        let what = format!("{held} fields under {wide} headings");
        let help = "write one field for each column; leave it empty for what the route says";
        table.report(first, format!("line {line}"), Message::error(what).help(help));
        return None;
    }
    let before = table.problems.len();
    let mut article = OwnedArticle::default();
    for (heading, column) in columns {
        let cell = row.cells.get(*column).unwrap_or_default().trim();
        if cell.is_empty() {
            continue;
        }
        let wrong = match heading {
            ArticleColumn::Owner => owner_name(cell).map(|owner| article.owner = owner).err(),
            ArticleColumn::Wood => {
                let wood = route.named_wood(cell);
                let chosen = Chosen { wood: Some(wood.clone()), sizes: BTreeMap::new() };
                article.chosen.wood = Some(wood);
                chosen.objection(route)
            }
            ArticleColumn::Size(dim) => match parse_written(cell, route.unit) {
                Ok(size) => {
                    article.chosen.sizes.insert(dim.clone(), size);
                    let sizes: BTreeMap<String, Length> = [(dim.clone(), size)].into();
                    Chosen { sizes, wood: None }.objection(route)
                }
                Err(error) => Some(Message::error(error.to_string())),
            },
        };
        if let Some(message) = wrong {
            let at = row.span(*column).unwrap_or(row.whole.clone());
            table.report(at, format!("line {line}"), message);
        }
    }
    (table.problems.len() == before).then_some(article)
}

/// Reports every owner that an earlier row names too: nobody could tell their pieces
/// apart.
fn owned_twice(
    table: &mut TextTable<'_>,
    rows: &[TextRow],
    columns: &BTreeMap<ArticleColumn, usize>,
    articles: &[OwnedArticle],
) {
    let Some(column) = columns.get(&ArticleColumn::Owner) else { return };
    for (n, article) in articles.iter().enumerate() {
        let Some(owner) = &article.owner else { continue };
        let same = |held: &OwnedArticle| {
            held.owner.as_ref().is_some_and(|held| held.to_lowercase() == owner.to_lowercase())
        };
        let Some(first) = articles[..n].iter().position(same) else { continue };
        let at = rows[n].span(*column).unwrap_or(rows[n].whole.clone());
        let (line, first) = (table.line(at.clone()), table.line(rows[first].whole.clone()));
        let what = format!("{} owns an article already, in line {first}", quoted(owner));
        let help = "add a number or a surname where two people have one name";
        table.report(at, format!("line {line}"), Message::error(what).help(help));
    }
}

impl Route {
    /// The wood of the choice that a text names, whatever its case or other name; else the
    /// text.
    pub fn named_wood(&self, text: &str) -> String {
        let woods = self.woods.iter().flat_map(|woods| &woods.of);
        let is_same = |held: &&String| {
            let species = Species::named(held).map(|found| found.name());
            held.eq_ignore_ascii_case(text)
                || (species.is_some() && species == Species::named(text).map(|found| found.name()))
        };
        woods.into_iter().find(is_same).cloned().unwrap_or_else(|| text.to_owned())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::Document;

    const ROUTE: &str = r#"{ "route": "Stool", "unit": "in", "sets": 2, "article": "stool",
        "woods": ["ash", "black walnut"],
        "dims": { "height": { "is": "18", "choice": { "from": "16", "to": "20", "step": "1/2" } } },
        "parts": { "leg": { "per_set": 1, "species": "ash", "length": "height",
            "stock": { "thickness": "1", "width": "2", "length": "height + 1" } } },
        "operations": [ { "op": 10, "part": "leg", "do": "hand", "at": "bench", "say": ["Saw."] } ] }"#;

    fn read(text: &str) -> Result<Vec<OwnedArticle>, String> {
        let document = Document::read("route.json", ROUTE).expect("JSON");
        let (route, _) =
            crate::route::read(&document).unwrap_or_else(|problems| panic!("{problems:?}"));
        read_article_list(text, &route).map_err(|problems| {
            let shown = problems.iter().map(|problem| problem.render("list.csv", text));
            shown.collect::<Vec<_>>().join("\n")
        })
    }

    #[test]
    fn a_list_is_read_whatever_separates_it() {
        let read_both = |comma: &str| {
            let articles = read(comma).expect("a list");
            assert_eq!(read(&comma.replace(',', ";")).expect("a list"), articles);
            articles
        };
        let articles = read_both("wood,Owner,height\nWalnut,AB,17 1/2\n,CD,\nash,,16\n");
        let owners: Vec<_> = articles.iter().map(|held| held.owner.as_deref()).collect();
        assert_eq!(owners, [Some("AB"), Some("CD"), None]);
        assert_eq!(articles[0].chosen.wood.as_deref(), Some("black walnut"));
        assert_eq!(articles[0].chosen.sizes["height"], Length::inch_fraction(35, 2));
        assert!(articles[1].chosen.is_nothing());
    }

    #[test]
    fn every_fault_is_told_at_its_place() {
        let told = |text: &str, wanted: &[&str]| {
            let said = read(text).expect_err(text);
            for part in wanted {
                assert!(said.contains(part), "{said}\nlacks {part}");
            }
        };
        told("height,wood\n16,ash\n", &["`owner` is missing", "owner,height,wood", "list.csv:1"]);
        told("owner,hight\nAB,16\n", &["no column", "did you mean `height`?"]);
        told("owner,height\nAB,21\nCD,16 1/4\n", &["list.csv:2:4", "list.csv:3:4", "16 to 20"]);
        told("owner,height\nAB,tall\n", &["list.csv:2:4"]);
        told("owner,wood\nAB,teak\n", &["teak can't be chosen", "list.csv:2:4"]);
        told("owner,height\nAB\n", &["1 fields under 2 headings"]);
        told("owner,height\nAB,16\nab,17\n", &["owns an article already, in line 2"]);
        told("owner,owner\nAB,CD\n", &["two columns"]);
        told("owner\n", &["no articles"]);
        told("", &["no articles"]);
    }
}
