//! The stock list for people, on eighty columns.

use std::io::{self, Write};

use unicode_width::UnicodeWidthStr;

use super::StockReport;
use crate::cli::page::{TableRow, TextPage, WIDE};
use crate::measure::{Length, Unit};
use crate::operation::{decimal, words};
use crate::plan::PlanFinding;
use crate::prose::visible;
use crate::shop::{Money, Per};
use crate::stock::{CleanUpCheck, Purchase, StockLine, ThicknessSource, amount, figures, notes};

/// Columns of the list to buy: where the class begins, where numbers end.
const CLASS: usize = 18;
const NET: usize = 40;
const YIELD: usize = 47;
const BUY: usize = 56;
const PRICE: usize = 67;
const COST: usize = 78;

/// Columns of the comparison with other woods: where numbers end.
const FEET: usize = 34;
const TOTAL: usize = 47;
const MORE: usize = 60;
const MOVES: usize = 70;

pub(super) fn print(report: &StockReport<'_>, out: &mut dyn Write) -> io::Result<()> {
    let mut page = StockPage { page: TextPage::new(out, 2), report, unit: report.route.unit };
    page.title()?;
    for line in &report.list.lines {
        page.part(line)?;
    }
    if report.list.lines.is_empty() {
        page.page.line(2, "Nothing comes from the rack: no part names its stock.")?;
    }
    for finding in &report.list.findings {
        page.finding(finding)?;
    }
    if !report.list.to_buy.is_empty() {
        page.purchases()?;
    }
    if !report.prices.is_empty() {
        page.makers()?;
    }
    if report.compared {
        page.woods()?;
    }
    page.page.blank()?;
    page.page.title("How it is counted")?;
    notes(report.list, &report.shop.lumber, report.route.unit)
        .iter()
        .try_for_each(|note| page.page.line(2, note))
}

struct StockPage<'a, 'o> {
    page: TextPage<'o>,
    report: &'a StockReport<'a>,
    unit: Unit,
}

impl StockPage<'_, '_> {
    fn title(&mut self) -> io::Result<()> {
        let report = self.report;
        let sets = report.route.article.counted(report.route.sets);
        let title = format!("{}: wood for {sets}, in {}", report.route.name, report.shop.name);
        self.page.title(&title)?;
        self.page.blank()?;
        self.page.title("What each part takes")
    }

    /// What each maker pays, spares and waste shared.
    fn makers(&mut self) -> io::Result<()> {
        let report = self.report;
        let noun = &report.route.article.one;
        self.page.blank()?;
        self.page.title(&format!("For each {noun}"))?;
        for (price, maker) in report.prices.iter().zip(report.makers) {
            let owner = maker.owner.as_deref().map_or_else(String::new, visible);
            let woods: Vec<String> = price.woods.iter().map(|wood| visible(wood)).collect();
            let row = TableRow::new(2, &format!("{noun} {}", price.article));
            let row = row.cell(CLASS, &owner).cell(NET, &woods.join(", "));
            self.page.row(row.right(COST, &self.money(price.cost)))?;
        }
        self.page.line(2, "Each pays for its own blanks; spares and waste are shared by them.")
    }

    fn words(&self, length: Length) -> String {
        words(length, self.unit)
    }

    fn money(&self, money: Money) -> String {
        money.written(&self.report.shop.lumber.currency)
    }

    fn part(&mut self, line: &StockLine) -> io::Result<()> {
        let need = &line.need;
        let wood = match (need.species.as_deref(), need.class.as_deref()) {
            (Some(wood), Some(class)) => format!("{wood}, {class}"),
            (Some(one), None) | (None, Some(one)) => one.to_owned(),
            (None, None) => "wood not given".to_owned(),
        };
        self.page.line(2, &format!("{}: {wood}", need.part))?;
        let sizes = [need.thickness, need.width, need.length];
        let sizes = sizes.map(|size| size.written(self.unit)).join(" x ");
        let mut blanks = format!(
            "{} of {sizes} {}: {}",
            counted(need.blanks(), "blank"),
            self.unit,
            self.made_for(need.for_sets, need.spare, need.setup)
        );
        if need.holds() > 1 {
            let ways = [
                (need.along, "end to end"),
                (need.across, "side by side"),
                (need.through, "one under the other"),
            ];
            let ways = ways.into_iter().filter(|(count, _)| *count > 1);
            let ways: Vec<String> = ways.map(|(count, way)| format!("{count} {way}")).collect();
            let pieces = line.pieces;
            blanks = format!(
                "{blanks}. Each holds {}; pieces: {}",
                ways.join(", "),
                self.made_for(pieces.sets, pieces.spares, pieces.setup)
            );
        }
        self.page.line(4, &format!("{blanks}."))?;
        if need.one_board {
            self.page
                .line(4, &format!("Each {} from one board.", &self.report.route.article.one))?;
        }
        let mut takes = format!("{} in parts", amount(line.net.counted(line.per), line.per));
        if line.setup.area > 0.0 {
            let more = amount(line.setup.counted(line.per), line.per);
            takes.push_str(&format!("; {more} more of any wood for setup pieces"));
        }
        self.page.line(4, &format!("{takes}."))?;
        let cleaning: Vec<String> =
            line.checks.iter().map(|check| self.cleaning(line, check)).collect();
        if !cleaning.is_empty() {
            self.page.line(4, &cleaning.join(" "))?;
        }
        Ok(())
    }

    /// For example `20 for the stools, 2 spare, 1 setup piece`.
    fn made_for(&self, articles: u32, spare: u32, setup: u32) -> String {
        let articles_words = format!("{articles} for the {}", &self.report.route.article.many);
        let kinds = [
            (articles, articles_words),
            (spare, format!("{spare} spare")),
            (setup, counted(setup, "setup piece")),
        ];
        let kinds = kinds.into_iter().filter(|(count, _)| *count > 0);
        kinds.map(|(_, words)| words).collect::<Vec<_>>().join(", ")
    }

    fn cleaning(&self, line: &StockLine, check: &CleanUpCheck) -> String {
        let at = match check.at {
            ThicknessSource::Nominal => format!("At {}", self.words(check.thickness)),
            ThicknessSource::Scant => format!("Sold scant, at {}", self.words(check.thickness)),
            ThicknessSource::Measured => format!("Measured {}", self.words(check.thickness)),
        };
        if !check.margin.is_negative() {
            return format!("{at}: cleans up with {} to spare.", small(check.margin, self.unit));
        }
        let lumber = &self.report.shop.lumber;
        let others = self.report.list.would_do_for(line, check.thickness, lumber);
        let advice = if others.is_empty() {
            "use it for thinner parts".to_owned()
        } else {
            format!("use it for {}", others.join(" or "))
        };
        let short = small(-check.margin, self.unit);
        format!("{at}: won't clean up, {short} short; {advice}.")
    }

    fn finding(&mut self, finding: &PlanFinding) -> io::Result<()> {
        self.page.line(2, &format!("Check this: {}.", finding.what))?;
        match &finding.help {
            Some(fix) => self.page.line(4, &format!("{}.", sentence(fix))),
            None => Ok(()),
        }
    }

    fn purchases(&mut self) -> io::Result<()> {
        let report = self.report;
        let list = report.list;
        self.page.blank()?;
        self.page.title("What to buy")?;
        let head = ["wood", "class", "in parts", "yield", "to buy", "price", "cost"];
        self.row(&head.map(str::to_owned))?;
        let mut measure = None;
        for row in &list.to_buy {
            // The unit heads all rows counted in it.
            if measure != Some(row.bought.per) {
                measure = Some(row.bought.per);
                self.page.line(2, &format!("by the {}", row.bought.per.word()))?;
            }
            self.row(&[
                row.species.as_deref().map_or_else(|| "not given".to_owned(), visible),
                row.class.as_deref().map_or_else(|| "not given".to_owned(), visible),
                figures(row.net(), row.bought.per),
                format!("{:.2}", row.yields.share()),
                purchased(row.bought),
                row.price.map_or_else(|_| "not known".to_owned(), |price| self.money(price)),
                row.cost.map_or_else(String::new, |cost| self.money(cost)),
            ])?;
        }
        let unpriced = list.to_buy.iter().filter(|row| row.cost.is_none()).count();
        let what = match unpriced {
            0 => "total",
            _ => "total of priced wood",
        };
        let mut row = Default::default();
        let [name, .., cost]: &mut [String; 7] = &mut row;
        (*name, *cost) = (what.to_owned(), self.money(list.cost));
        self.row(&row)?;
        for row in &list.to_buy {
            if let Some(why) = row.unpriced(&report.shop.lumber) {
                self.page.line(2, &why)?;
            }
        }
        if !list.setup.is_empty() {
            let each = list.setup.iter().map(|wood| {
                let class = wood.class.as_deref().unwrap_or("no class");
                format!("{} of {class}", amount(wood.bought.amount(), wood.bought.per))
            });
            let each: Vec<String> = each.collect();
            self.page.line(
                2,
                &format!(
                    "For setup pieces, in any cheap wood, not in the cost: {}.",
                    each.join(", ")
                ),
            )?;
        }
        Ok(())
    }

    fn row(&mut self, cells: &[String; 7]) -> io::Result<()> {
        let [wood, class, net, yields, buy, price, cost] = cells;
        let mut row = TableRow::new(2, wood);
        if !class.is_empty() {
            row = row.cell(CLASS + 2, class);
        }
        // Names too long for their columns get a line of their own.
        if row.width() + net.width() >= NET {
            self.page.line(2, &format!("{wood}, {class}"))?;
            row = TableRow::default();
        }
        let row = row.right(NET, net).right(YIELD, yields).right(BUY, buy);
        let whole = row.clone().right(PRICE, price).right(COST, cost);
        if whole.width() <= WIDE {
            return self.page.row(whole);
        }
        // So do amounts of money in the millions.
        self.page.row(row)?;
        self.page.row(TableRow::default().right(COST, &format!("{price} {cost}")))
    }

    fn woods(&mut self) -> io::Result<()> {
        self.page.blank()?;
        let Some(main) = self.report.list.main_wood() else {
            return self.page.title("No comparison: the route doesn't name its wood.");
        };
        self.page.title(&format!("The same batch with another wood in place of {main}"))?;
        let measure = self.report.woods.first().map_or(Per::BoardFoot, |row| row.per);
        self.wood_row("wood", [measure.words(), "cost", "difference", "moves"])?;
        for (place, row) in self.report.woods.iter().enumerate() {
            let name = visible(&row.wood);
            if !row.lacks.is_empty() {
                self.page.line(2, &format!("{name}: not stocked in {}", row.lacks.join(", ")))?;
                continue;
            }
            let difference = match row.difference {
                Some(_) if place == 0 => "as planned".to_owned(),
                Some(more) if more > Money::NONE => format!("+{}", self.money(more)),
                Some(less) => self.money(less),
                None => "not known".to_owned(),
            };
            let cost = row.cost.map_or_else(|| "not known".to_owned(), |cost| self.money(cost));
            let moves = row
                .moves
                .map_or_else(|| "not known".to_owned(), |share| format!("{:.2} %", share * 100.0));
            let amount = figures(row.bought, row.per);
            self.wood_row(&name, [&amount, &cost, &difference, &moves])?;
        }
        self.page.line(
            2,
            &format!(
                "{}: to buy, of wood sold by thickness. Cost: of everything. Moves: swelling of \
                 flat-sawn wood per 1 % of moisture, as a share of its width.",
                sentence(measure.words())
            ),
        )
    }

    fn wood_row(&mut self, wood: &str, cells: [&str; 4]) -> io::Result<()> {
        let mut row = TableRow::new(2, wood);
        if row.width() + cells[0].width() >= FEET {
            self.page.line(2, wood)?;
            row = TableRow::default();
        }
        let cells = cells.into_iter().zip([FEET, TOTAL, MORE, MOVES]);
        self.page.row(cells.fold(row, |row, (cell, end)| row.right(end, cell)))
    }
}

fn purchased(bought: Purchase) -> String {
    figures(bought.amount(), bought.per)
}

/// A small size as a decimal. Inches carry no sign, because `in` would read as a word here.
fn small(length: Length, unit: Unit) -> String {
    let figures = decimal(length, unit);
    match unit {
        Unit::Inch => figures,
        Unit::Millimetre => format!("{figures} {unit}"),
    }
}

fn counted(count: u32, what: &str) -> String {
    crate::prose::counted(count as usize, what)
}

/// With a capital first letter.
fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    let first = letters.next().into_iter().flat_map(char::to_uppercase);
    first.chain(letters).collect()
}
