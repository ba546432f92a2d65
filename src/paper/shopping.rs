//! The shopping list: what to buy of each wood, what it costs, and who pays what.

use maud::{Markup, html};

use super::Page;
use super::page::scrolls;
use crate::measure::Unit;
use crate::route::{Article, OwnedArticle};
use crate::shop::{Lumber, Money};
use crate::stock::{ArticlePrice, StockList, ToBuy, amount, figures, notes};

/// What to buy for a batch, and what goes with it.
#[derive(Clone, Debug)]
pub struct ShoppingList<'a> {
    /// The batch, or the route, and how many articles.
    pub about: &'a str,
    /// What the finished thing is called.
    pub article: &'a Article,
    /// The unit of the route.
    pub unit: Unit,
    /// What the batch takes.
    pub list: &'a StockList,
    /// What the shop pays.
    pub lumber: &'a Lumber,
    /// Whose the articles are, where anybody said.
    pub makers: &'a [OwnedArticle],
    /// The price of each of their articles.
    pub prices: &'a [ArticlePrice],
}

/// One page: what to buy with its sum, then what each maker pays.
pub fn shopping_page(shopping: &ShoppingList<'_>) -> Page {
    let list = shopping.list;
    let unpriced: Vec<String> =
        list.to_buy.iter().filter_map(|row| row.unpriced(shopping.lumber)).collect();
    let total = if unpriced.is_empty() { "Total" } else { "Total of priced wood" };
    let wood = html! {
        table class="shopping" {
            thead {
                tr {
                    td {} th { "Wood" } th class="amount" { "To buy" }
                    th class="amount" { "Price" } th class="amount" { "Cost" }
                }
            }
            tbody { @for row in &list.to_buy { (row_to_buy(shopping, row)) } }
            tfoot {
                tr {
                    td {} td colspan="3" { (total) }
                    td class="amount" { (money(shopping, list.cost)) }
                }
            }
        }
    };
    let body = html! {
        header class="list-head" {
            h1 { "Shopping list" }
            p { (shopping.about) br; "Waste is in the amounts to buy" }
        }
        (scrolls("Wood to buy", &wood))
        @for why in &unpriced { p class="finding" { (why) } }
        @if !list.setup.is_empty() { (setup_wood(shopping)) }
        @for finding in &list.findings { p class="finding" { "Check this: " (finding.what) "." } }
        @if !shopping.prices.is_empty() { (shares(shopping)) }
        section class="notes" {
            h2 { "How it is counted" }
            @for note in notes(list, shopping.lumber, shopping.unit) { p { (note) } }
        }
    };
    let title = format!("{} shopping list", shopping.about);
    Page { title, style: include_str!("lists.css"), body, refresh: None }
}

fn money(shopping: &ShoppingList<'_>, money: Money) -> String {
    money.written(&shopping.lumber.currency)
}

fn row_to_buy(shopping: &ShoppingList<'_>, row: &ToBuy) -> Markup {
    let price = row.price.map_or_else(|_| "not known".to_owned(), |price| money(shopping, price));
    let per = row.bought.per;
    html! {
        tr {
            td { span class="tick" {} }
            td {
                b class="part" { (row.species.as_deref().unwrap_or("wood not given")) }
                " " span class="class" { (row.class.as_deref().unwrap_or("class not given")) }
                div {
                    (figures(row.net(), per)) " in parts, at a yield of "
                    (format!("{:.0} %", row.yields.share() * 100.0))
                }
            }
            td class="amount" {
                b class="buy" { (figures(row.bought.amount(), per)) }
                div { (per.words()) }
            }
            td class="amount" { (price) @if row.price.is_ok() { div { "a " (per.word()) } } }
            td class="amount" { @if let Some(cost) = row.cost { (money(shopping, cost)) } }
        }
    }
}

fn setup_wood(shopping: &ShoppingList<'_>) -> Markup {
    html! {
        p class="finding" {
            "For setup pieces, in any cheap wood, not in the cost: "
            @for (n, wood) in shopping.list.setup.iter().enumerate() {
                @if n > 0 { ", " }
                (amount(wood.bought.amount(), wood.bought.per)) " of "
                (wood.class.as_deref().unwrap_or("no class"))
            }
            "."
        }
    }
}

/// What each maker pays, spares and waste shared.
fn shares(shopping: &ShoppingList<'_>) -> Markup {
    let noun = &shopping.article.one;
    let rows = html! {
        table class="shopping" {
            tbody {
                @for (price, maker) in shopping.prices.iter().zip(shopping.makers) {
                    tr {
                        td { span class="tick" {} }
                        td { b { (noun) " " (price.article) } }
                        td { (maker.owner.as_deref().unwrap_or_default()) }
                        td { (price.woods.join(", ")) }
                        td class="amount" { (money(shopping, price.cost)) }
                    }
                }
            }
        }
    };
    html! {
        h2 { "For each " (noun) }
        (scrolls("What each pays", &rows))
        p { "Each pays for its own blanks; spares and waste are shared by them." }
    }
}
