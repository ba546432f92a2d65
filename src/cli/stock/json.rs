//! The stock list for programs: lengths in the route's unit, money in hundredths.

use std::io::{self, Write};

use serde::Serialize;

use super::StockReport;
use crate::cli::page::{fine, json, number};
use crate::measure::{Length, Unit};
use crate::shop::{Money, Per};
use crate::stock::{CleanUpCheck, NoPrice, StockLine, ThicknessSource, ToBuy, notes};

pub(super) fn print(report: &StockReport<'_>, out: &mut dyn Write) -> io::Result<()> {
    let list = report.list;
    let answer = StockAnswer {
        route: &report.route.name,
        unit: report.route.unit,
        shop: &report.shop.name,
        sets: report.route.sets,
        currency: &report.shop.lumber.currency,
        parts: list.lines.iter().map(|line| part(report, line)).collect(),
        buy: list.to_buy.iter().map(buy).collect(),
        makers: report
            .prices
            .iter()
            .zip(report.makers)
            .map(|(price, maker)| MakerAnswer {
                article: price.article,
                owner: maker.owner.as_deref(),
                woods: &price.woods,
                cost: price.cost.in_hundredths(),
            })
            .collect(),
        setup: list
            .setup
            .iter()
            .map(|wood| SetupWoodAnswer {
                class: wood.class.as_deref(),
                buy: wood.bought.amount(),
                per: wood.bought.per.word(),
            })
            .collect(),
        cost: list.cost.in_hundredths(),
        without_price: list.to_buy.iter().filter(|row| row.cost.is_none()).count(),
        woods: report
            .woods
            .iter()
            .map(|row| InWoodAnswer {
                wood: &row.wood,
                lacks: &row.lacks,
                buy: row.lacks.is_empty().then(|| fine(row.bought)),
                per: row.per.word(),
                cost: row.cost.map(Money::in_hundredths),
                difference: row.difference.map(Money::in_hundredths),
                moves: row.moves.map(fine),
            })
            .collect(),
        notes: notes(report.list, &report.shop.lumber, report.route.unit),
        findings: list
            .findings
            .iter()
            .map(|finding| StockFindingAnswer { what: &finding.what, fix: finding.help.as_deref() })
            .collect(),
    };
    json(&answer, out)
}

#[derive(Serialize)]
struct MakerAnswer<'a> {
    article: u32,
    owner: Option<&'a str>,
    woods: &'a [String],
    cost: i64,
}

#[derive(Serialize)]
struct StockAnswer<'a> {
    route: &'a str,
    unit: Unit,
    shop: &'a str,
    sets: u32,
    currency: &'a str,
    parts: Vec<PartAnswer<'a>>,
    buy: Vec<BuyAnswer<'a>>,
    makers: Vec<MakerAnswer<'a>>,
    setup: Vec<SetupWoodAnswer<'a>>,
    cost: i64,
    without_price: usize,
    woods: Vec<InWoodAnswer<'a>>,
    notes: Vec<String>,
    findings: Vec<StockFindingAnswer<'a>>,
}

#[derive(Serialize)]
struct PartAnswer<'a> {
    part: &'a str,
    species: Option<&'a str>,
    class: Option<&'a str>,
    blanks: BlanksAnswer,
    pieces: PiecesAnswer,
    rough: SizesOfPart,
    finished: SizesOfPart,
    along: u32,
    across: u32,
    through: u32,
    one_board: bool,
    clean_at: f64,
    net: f64,
    setup: f64,
    per: &'static str,
    /// None for sheet goods.
    net_board_feet: Option<f64>,
    cleans_up: Vec<CleansUpAnswer<'a>>,
}

#[derive(Serialize)]
struct BlanksAnswer {
    sets: u32,
    spare: u32,
    setup: u32,
    a_set: u32,
}

#[derive(Serialize)]
struct PiecesAnswer {
    sets: u32,
    spares: u32,
    setup: u32,
}

#[derive(Serialize)]
struct SizesOfPart {
    thickness: f64,
    width: f64,
    length: f64,
}

#[derive(Serialize)]
struct CleansUpAnswer<'a> {
    at: &'static str,
    thickness: f64,
    in_hand: f64,
    would_do_for: Vec<&'a str>,
}

#[derive(Serialize)]
struct BuyAnswer<'a> {
    species: Option<&'a str>,
    class: Option<&'a str>,
    net: f64,
    #[serde(rename = "yield")]
    yields: f64,
    gross: f64,
    buy: f64,
    per: &'static str,
    price: Option<i64>,
    cost: Option<i64>,
    no_price: Option<&'static str>,
}

#[derive(Serialize)]
struct SetupWoodAnswer<'a> {
    class: Option<&'a str>,
    buy: f64,
    per: &'static str,
}

#[derive(Serialize)]
struct InWoodAnswer<'a> {
    wood: &'a str,
    lacks: &'a [String],
    buy: Option<f64>,
    per: &'static str,
    cost: Option<i64>,
    difference: Option<i64>,
    moves: Option<f64>,
}

#[derive(Serialize)]
struct StockFindingAnswer<'a> {
    what: &'a str,
    fix: Option<&'a str>,
}

fn part<'a>(report: &'a StockReport<'_>, line: &'a StockLine) -> PartAnswer<'a> {
    let (need, unit) = (&line.need, report.route.unit);
    let sizes = |thickness: Length, width: Length, length: Length| SizesOfPart {
        thickness: number(thickness, unit),
        width: number(width, unit),
        length: number(length, unit),
    };
    PartAnswer {
        part: &need.part,
        species: need.species.as_deref(),
        class: need.class.as_deref(),
        blanks: BlanksAnswer {
            sets: need.for_sets,
            spare: need.spare,
            setup: need.setup,
            a_set: need.a_set,
        },
        pieces: PiecesAnswer {
            sets: line.pieces.sets,
            spares: line.pieces.spares,
            setup: line.pieces.setup,
        },
        rough: sizes(need.thickness, need.width, need.length),
        finished: sizes(need.finished_thickness, need.finished_width, need.finished_length),
        along: need.along,
        across: need.across,
        through: need.through,
        one_board: need.one_board,
        clean_at: number(need.clean_at, unit),
        net: fine(line.net.counted(line.per)),
        setup: fine(line.setup.counted(line.per)),
        per: line.per.word(),
        net_board_feet: line.nominal.map(|_| fine(line.net.counted(Per::BoardFoot))),
        cleans_up: line.checks.iter().map(|check| cleaning(report, line, check)).collect(),
    }
}

fn cleaning<'a>(
    report: &'a StockReport<'_>,
    line: &StockLine,
    check: &CleanUpCheck,
) -> CleansUpAnswer<'a> {
    let would_do_for = match check.margin.is_negative() {
        true => report.list.would_do_for(line, check.thickness, &report.shop.lumber),
        false => Vec::new(),
    };
    CleansUpAnswer {
        at: match check.at {
            ThicknessSource::Nominal => "nominal",
            ThicknessSource::Scant => "scant",
            ThicknessSource::Measured => "measured",
        },
        thickness: number(check.thickness, report.route.unit),
        in_hand: number(check.margin, report.route.unit),
        would_do_for,
    }
}

fn buy(row: &ToBuy) -> BuyAnswer<'_> {
    BuyAnswer {
        species: row.species.as_deref(),
        class: row.class.as_deref(),
        net: fine(row.net()),
        yields: row.yields.share(),
        gross: fine(row.gross()),
        buy: row.bought.amount(),
        per: row.bought.per.word(),
        price: row.price.ok().map(Money::in_hundredths),
        cost: row.cost.map(Money::in_hundredths),
        no_price: row.price.err().map(|why| match why {
            NoPrice::NoWood => "no wood said",
            NoPrice::NoClass => "no class said",
            NoPrice::NoSuchWood => "wood not stocked",
            NoPrice::NoSuchClass => "class not stocked",
            NoPrice::NotGiven => "no price given",
        }),
    }
}
