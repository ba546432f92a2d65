//! The route file as it is written: the types its JSON Schema is made from.

use std::collections::BTreeMap;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::Deserialize;
use serde_json::{Map, Value, json};

use super::check::{Becomes, PieceChoice};
use crate::formula::DimensionKind;
use crate::measure::{Feature, Unit};
use crate::operation::{FormulaText, KINDS};
use crate::wood::Grain;

/// Keys every operation may have, whatever its kind.
pub const COMMON_KEYS: [&str; 9] =
    ["op", "part", "do", "at", "tool", "aim", "makes", "checks", "note"];

/// A key every operation may have beside [`COMMON_KEYS`], spelled out because
/// it changes when the operation opens.
pub(super) const FINAL_KEY: &str = "cant_be_undone";

/// A named dimension: a formula, or a formula with what it is.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(untagged)]
#[schemars(rename = "Dimension")]
pub(super) enum DimensionFile {
    Formula(FormulaText),
    Described(DescribedDimension),
}

/// A formula with what it is.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct DescribedDimension {
    pub is: FormulaText,
    /// What it is, in words.
    pub about: Option<String>,
    /// A length unless it says otherwise.
    pub kind: Option<DimensionKind>,
    pub choice: Option<ChoiceFile>,
}

/// What the maker of each article may choose for a dimension: a range or a list.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Choice")]
pub(super) struct ChoiceFile {
    /// The least.
    pub from: Option<FormulaText>,
    /// The most.
    pub to: Option<FormulaText>,
    /// From one size to the next, counted from the least; any size when left out.
    pub step: Option<FormulaText>,
    /// The sizes to choose from, in place of a range.
    pub of: Option<Vec<FormulaText>>,
    /// The question: `How high is the seat?`
    pub ask: Option<String>,
}

/// One end of a chain of dimensions that may stay when a made value breaks the plan.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Keep")]
pub(super) struct KeepFile {
    pub about: Option<String>,
    /// The dimensions that follow instead, defined anew.
    #[serde(default)]
    pub dims: BTreeMap<String, FormulaText>,
}

/// The rough stock a piece comes from: one blank, which may hold several.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Stock")]
pub(super) struct StockFile {
    /// What it is sold as: `8/4`.
    pub class: Option<String>,
    /// Rough thickness.
    pub thickness: Option<FormulaText>,
    /// Rough width.
    pub width: Option<FormulaText>,
    /// Rough length.
    pub length: Option<FormulaText>,
    /// Pieces that lie side by side in one blank until they are ripped apart;
    /// 1 when left out. How many lie end to end the rough crosscut says.
    #[schemars(range(min = 1, max = 50))]
    pub across: Option<u32>,
    /// Pieces that lie one under the other in one blank until it is resawn;
    /// 1 when left out.
    #[schemars(range(min = 1, max = 50))]
    pub through: Option<u32>,
    /// Whether the pieces of one article come from one board, for colour.
    #[serde(default)]
    pub one_board: bool,
    /// Where its pieces aren't all of one wood: how many of one article are of each.
    #[serde(default)]
    #[schemars(extend(
        "additionalProperties" = { "type": "integer", "minimum": 1 }
    ))]
    pub woods: BTreeMap<String, u32>,
    pub knots: Option<KnotsFile>,
}

/// What may be done about knots in the wood of a part. Without it every cut
/// goes around them.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Knots")]
pub(super) struct KnotsFile {
    /// Where nobody will see one, or where it is cut away later: from and to
    /// along the rough length, from either end.
    #[serde(default)]
    pub hidden: Vec<[FormulaText; 2]>,
    /// The longest that may be filled; none may when left out.
    pub fill: Option<FormulaText>,
}

/// How many spares: a number, or a share of the pieces needed.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(untagged)]
#[schemars(rename = "Spares")]
pub(super) enum SparesFile {
    Number(u32),
    Share(String),
}

impl Default for SparesFile {
    fn default() -> SparesFile {
        SparesFile::Number(0)
    }
}

/// A kind of component.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Part")]
pub(super) struct PartFile {
    /// How many go into one article.
    #[schemars(range(min = 1))]
    pub per_set: u32,
    /// Good pieces run with the others through every operation: a number, or a share of
    /// the pieces needed, such as `10%`, rounded up.
    #[serde(default)]
    pub spares: SparesFile,
    /// Cheap pieces of the same section, to prove settings on.
    #[serde(default)]
    pub setup_pieces: u32,
    /// Names of the handed pieces of one article, in order.
    #[serde(default)]
    pub hands: Vec<String>,
    /// The parts it is put together from: it waits for their operations.
    #[serde(default)]
    pub assembled_from: Vec<String>,
    /// The wood: `white oak`.
    pub species: Option<String>,
    /// A sentence about it.
    pub about: Option<String>,
    #[serde(default)]
    pub stock: StockFile,
    /// Finished length.
    pub length: Option<FormulaText>,
    /// Finished width.
    pub width: Option<FormulaText>,
    /// Finished thickness.
    pub thickness: Option<FormulaText>,
}

/// What is measured at an operation.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Check")]
pub(super) struct CheckFile {
    /// The feature: `length`, `width`, `thickness`, or a name of your own.
    pub check: String,
    /// Of what an operation `makes`; of the piece itself when left out.
    pub of: Option<String>,
    /// Which words it is judged in, for a name of your own.
    pub kind: Option<Feature>,
    /// `±1/64`, `+1/32 -0`, or `1/32..3/32` for sizes that don't follow the setting.
    pub limits: String,
    /// The gauge.
    pub with: String,
    pub pieces: PieceChoice,
    /// Where on the piece.
    #[serde(rename = "where")]
    pub place: Option<String>,
    /// The size the limits are around, when it isn't what the operation leaves.
    pub around: Option<FormulaText>,
    /// The dimension the reading becomes from then on.
    pub becomes: Option<Becomes>,
}

/// A clearance between parts.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Fit")]
pub(super) struct FitFile {
    /// The clearance.
    pub is: FormulaText,
    /// Least and most.
    pub limits: [FormulaText; 2],
    /// How many pieces a dimension stands for here, where it is more than one:
    /// what differs from piece to piece then partly evens out.
    #[serde(default)]
    #[schemars(extend(
        "additionalProperties" = { "type": "integer", "minimum": 1, "maximum": 1000 }
    ))]
    pub pieces: BTreeMap<String, u32>,
    /// What swells across its grain in it, where something does.
    pub moves: Option<MovesFile>,
}

/// Wood that swells into a clearance as its moisture rises, and out of it as
/// it falls: the clearance is looked at in the driest and in the dampest season.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Moves")]
pub(super) struct MovesFile {
    /// The wood: `white oak`.
    pub species: String,
    /// How its rings lie.
    #[serde(default)]
    pub grain: Grain,
    /// What lies across the grain in the clearance: as it swells the clearance
    /// gets smaller. With a minus for an opening that swells.
    pub across: FormulaText,
    /// Moisture in the driest season, percent.
    #[schemars(range(min = 0, max = 30))]
    pub from: f64,
    /// Moisture in the dampest season, percent.
    #[schemars(range(min = 0, max = 30))]
    pub to: f64,
    /// Moisture it is made and measured at, percent; that of the driest season
    /// when left out.
    #[schemars(range(min = 0, max = 30))]
    pub made_at: Option<f64>,
}

/// The keys common to every kind of operation.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[schemars(rename = "Operation")]
pub struct OperationFile {
    /// Its number, higher than the one before; usually by tens.
    #[schemars(range(min = 1))]
    pub op: u32,
    /// The part it is done to.
    pub part: String,
    /// The kind of operation.
    #[serde(rename = "do")]
    pub what: String,
    /// The machine, as the shop file calls it.
    pub at: Option<String>,
    /// The tool in it, when the machine has several.
    pub tool: Option<String>,
    /// How far to aim off the size, to the side that can still be cut.
    pub aim: Option<FormulaText>,
    /// A name for what it makes; checks refer to it.
    pub makes: Option<String>,
    /// What is measured here.
    #[serde(default)]
    #[schemars(with = "Vec<CheckFile>")]
    pub checks: Vec<Value>,
    /// A note from the author of the route.
    pub note: Option<String>,
    /// Can't be undone: it starts only when every dimension it uses has been measured.
    #[serde(default)]
    pub cant_be_undone: bool,
}

/// How a piece of furniture is made: dimensions, parts, operations, fits.
// Reading goes element by element, so this type only gives the schema its shape.
#[derive(JsonSchema)]
#[schemars(rename = "Route")]
#[schemars(deny_unknown_fields)]
#[expect(dead_code, reason = "read element by element; here for its schema")]
pub struct RouteFile {
    /// Where this schema is, for the editor.
    #[schemars(rename = "$schema")]
    schema: Option<String>,
    /// The name of what is made.
    route: String,
    /// A sentence about it.
    about: Option<String>,
    /// What a bare number beside + or - stands for.
    unit: Unit,
    /// How many finished articles are made together.
    #[schemars(range(min = 1, max = 1000))]
    sets: u32,
    /// What one finished article is called: `stool`. `article` when left out.
    article: Option<String>,
    /// What several are called, where the ending -s, -es or -ies is wrong: `shelves`.
    articles: Option<String>,
    /// Woods the maker of each article chooses from. Parts of the first are made in the
    /// one that is chosen.
    woods: Option<Vec<String>>,
    /// Named dimensions. A name is lower-case letters, digits and _, a letter first.
    #[schemars(extend("propertyNames" = { "pattern": "^[a-z][a-z0-9_]{0,59}$" }))]
    dims: Option<BTreeMap<String, DimensionFile>>,
    /// The kinds of component, by name.
    parts: BTreeMap<String, PartFile>,
    /// What is done, in order, each to one part.
    operations: Vec<AnyOperation>,
    /// Clearances between parts.
    fits: Option<BTreeMap<String, FitFile>>,
    /// What may stay when a made value breaks the plan, the expected one first.
    keep: Option<BTreeMap<String, KeepFile>>,
}

/// One operation of any kind; only its schema is wanted.
struct AnyOperation;

impl JsonSchema for AnyOperation {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Operation".into()
    }

    /// The common keys and each kind's own, as one object a kind.
    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let common = OperationFile::json_schema(generator);
        let kinds: Vec<Value> = KINDS
            .iter()
            .map(|kind| {
                kind.schema(generator);
                // Taken out again: nothing refers to a kind's keys by themselves.
                let own = generator.definitions_mut().remove(kind.name()).unwrap_or_default();
                let mut properties = Map::new();
                let mut required = Vec::new();
                for schema in [common.as_value(), &own] {
                    if let Some(Value::Object(more)) = schema.get("properties") {
                        properties.extend(more.clone());
                    }
                    if let Some(Value::Array(more)) = schema.get("required") {
                        required.extend(more.clone());
                    }
                }
                properties.insert("do".into(), json!({ "const": kind.name() }));
                json!({
                    "type": "object",
                    "title": kind.name(),
                    "description": kind.about(),
                    "properties": properties,
                    "required": required,
                    "additionalProperties": false,
                })
            })
            .collect();
        json_schema!({ "oneOf": kinds })
    }
}
