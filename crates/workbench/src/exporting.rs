//! The table out: one row a throw with every charted word, measure and its interval, and judgement.

use crate::facts::PlayKnown;
use crate::{DataVersion, WorkError, Workbench};
use patterns::facts::{Cell, FIELDS, Field, FieldKind, Line};
use play::{Game, Study};
use report::{ExportCell, ExportColumn, ExportError, ExportTable};
use serde::{Deserialize, Serialize};
use std::collections::HashMap;

/// Form of a table.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum ExportForm {
    /// A workbook with sheets for throws, data dictionary and settings.
    Xlsx,
    /// The throws as text.
    Csv,
    /// The data dictionary of the throws as text.
    Dictionary,
    /// All of it.
    Json,
    /// The throws in columns; only where the program was built with it.
    Parquet,
}

impl ExportForm {
    /// Name for the file.
    pub const fn file_name(self) -> &'static str {
        match self {
            Self::Xlsx => "throws.xlsx",
            Self::Csv => "throws.csv",
            Self::Dictionary => "throws.dictionary.csv",
            Self::Json => "throws.json",
            Self::Parquet => "throws.parquet",
        }
    }
    /// Media type.
    pub const fn media_type(self) -> &'static str {
        match self {
            Self::Xlsx => "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
            Self::Csv | Self::Dictionary => "text/csv; charset=utf-8",
            Self::Json => "application/json",
            Self::Parquet => "application/vnd.apache.parquet",
        }
    }
}

impl From<ExportError> for WorkError {
    fn from(e: ExportError) -> Self {
        Self::Broken(e.to_string())
    }
}

impl Workbench {
    /// The study's throws as a table in the given form.
    ///
    /// # Errors
    /// `Store`, what measuring the plays refused; `Invalid` for a form that this program was built without.
    pub async fn export(&self, form: ExportForm) -> Result<Vec<u8>, WorkError> {
        let table = self.export_table().await?;
        crate::error::blocking(move || written(&table, form)).await
    }

    async fn export_table(&self) -> Result<ExportTable, WorkError> {
        let version = self.data_version().await?;
        let study: Study = self.store.get("study").await?;
        let games: HashMap<String, Game> =
            self.store.list::<Game>().await?.into_iter().map(|g| (g.id.0.clone(), g)).collect();
        let lines = self.fact_lines().await?;
        let facts = self.facts(None).await?;
        let known: HashMap<&str, &PlayKnown> =
            facts.0.iter().map(|k| (k.detail.play.id.as_str(), k)).collect();
        let rows: Vec<Row<'_>> = lines
            .iter()
            .filter_map(|line| {
                let known = known.get(line.play.as_str())?;
                Some(Row { line, known, game: games.get(line.game.as_str()).map_or("", |g| &g.name) })
            })
            .collect();
        Ok(table(&rows, &study, &version))
    }
}

fn written(table: &ExportTable, form: ExportForm) -> Result<Vec<u8>, WorkError> {
    Ok(match form {
        ExportForm::Xlsx => report::xlsx(table)?,
        ExportForm::Csv => report::csv(table)?,
        ExportForm::Dictionary => report::dictionary_csv(table)?,
        ExportForm::Json => serde_json::to_vec_pretty(&report::json(table))?,
        #[cfg(feature = "parquet")]
        ExportForm::Parquet => report::parquet(table)?,
        #[cfg(not(feature = "parquet"))]
        ExportForm::Parquet => {
            return Err(WorkError::Invalid(
                "this program was built without Parquet; build it with --features parquet, or take XLSX, CSV or JSON".into(),
            ));
        }
    })
}

/// A throw with everything known of it.
struct Row<'a> {
    line: &'a Line,
    known: &'a PlayKnown,
    game: &'a str,
}

/// A column that is read off the play, its chart or its judgement: name, meaning, unit, what an empty cell says, the cell.
type Read = (&'static str, &'static str, &'static str, &'static str, fn(&Row<'_>) -> ExportCell);

/// What an empty cell of a charted word says.
const NOT_CHARTED: &str = "not charted";

/// Columns before the facts and measures.
const BEFORE: &[Read] = &[
    ("play", "The play's id in the study", "", "never empty", |r| r.line.play.as_str().into()),
    ("game_name", "The game", "", "never empty", |r| r.game.into()),
    ("number", "Order within the game, from 1", "", "never empty", |r| {
        ExportCell::Number(f64::from(r.line.number))
    }),
    ("clock_s", "Left in the quarter at the snap", "s", NOT_CHARTED, |r| {
        r.known.detail.play.situation.clock_s.into()
    }),
    ("distance_yd", "To the line to gain", "yd", NOT_CHARTED, |r| {
        r.known.detail.play.situation.distance_yd.into()
    }),
    ("yards_to_goal_yd", "From the line of scrimmage to the goal line attacked", "yd", NOT_CHARTED, |r| {
        r.known.detail.play.situation.yards_to_goal().into()
    }),
    ("score_margin", "Offense's score less the defense's", "points", NOT_CHARTED, |r| {
        r.known.detail.play.situation.margin.map(f64::from).into()
    }),
    ("blockers", "Blockers charted", "", NOT_CHARTED, |r| {
        r.known.detail.chart.blockers.map(f64::from).into()
    }),
    ("rushers", "Rushers charted", "", NOT_CHARTED, |r| r.known.detail.chart.rushers.map(f64::from).into()),
    ("routes", "Routes charted, as slot and trade word", "", NOT_CHARTED, |r| {
        let routes = r.known.detail.chart.routes.iter().map(|c| format!("{} {}", c.slot, c.route));
        routes.collect::<Vec<_>>().join("; ").into()
    }),
    (
        "plans",
        "Read plans the evaluator would judge under, the one he would use first",
        "",
        NOT_CHARTED,
        |r| r.known.detail.chart.plans.join("; ").into(),
    ),
    ("target", "Whom the ball was thrown to", "", NOT_CHARTED, |r| {
        r.known.detail.chart.target.as_ref().map_or("", |t| t.as_str()).into()
    }),
    ("notes", "The evaluator's notes", "", "no notes", |r| r.known.detail.chart.notes.as_str().into()),
];

/// Columns after them.
const AFTER: &[Read] = &[
    (
        "judgement_chance",
        "Probability of the likeliest judgement under the first plan, from repeats of the measurement within its errors; 0 to 1",
        "",
        "not judged; judgement_why says why",
        |r| r.known.judgements.first().and_then(|j| j.outcomes.first()).map(|w| w.probability).into(),
    ),
    ("judgement_reason", "The program's sentence under the first plan", "", "not judged", |r| {
        r.known.judgements.first().map_or("", |j| j.reason.as_str()).into()
    }),
    (
        "judgement_every_plan",
        "Likeliest judgement under every plan with its probability",
        "",
        "not judged",
        |r| {
            let under = r.known.judgements.iter().filter_map(|j| {
                let w = j.outcomes.first()?;
                let percent = (100.0 * w.probability).round();
                Some(format!("{}: {} {percent}%", j.plan_name, report::outcome_word(w.outcome)))
            });
            under.collect::<Vec<_>>().join("; ").into()
        },
    ),
    ("own_call_reason", "Why the evaluator called it so", "", "no reason given", |r| {
        r.known.detail.calls.first().map_or("", |c| c.why.as_str()).into()
    }),
    ("findings", "What the film or the marks could not give", "", "nothing was missing or weak", |r| {
        let said = r.known.measurement.iter().flat_map(|m| &m.findings).map(|f| f.message.as_str());
        said.collect::<Vec<_>>().join(" ").into()
    }),
];

/// Level of the intervals in words.
fn level() -> String {
    format!("{:.0}%", 100.0 * patterns::LEVEL)
}

fn table(rows: &[Row<'_>], study: &Study, version: &DataVersion) -> ExportTable {
    let mut columns = Vec::new();
    let mut cells: Vec<Vec<ExportCell>> = rows.iter().map(|_| Vec::new()).collect();
    let read = |list: &[Read], columns: &mut Vec<ExportColumn>, cells: &mut Vec<Vec<ExportCell>>| {
        for &(name, meaning, unit, empty, of) in list {
            let number = rows.iter().any(|r| matches!(of(r), ExportCell::Number(_)));
            columns.push(column(name.into(), meaning.into(), unit, "", empty, number));
            cells.iter_mut().zip(rows).for_each(|(c, r)| c.push(of(r)));
        }
    };
    read(BEFORE, &mut columns, &mut cells);
    for field in FIELDS {
        let parts = Parts::of(field);
        columns.extend(parts.columns());
        cells.iter_mut().zip(rows).for_each(|(c, r)| c.extend(parts.cells(r.line)));
    }
    read(AFTER, &mut columns, &mut cells);
    let mut about = vec![
        ("study".to_owned(), study.name.clone()),
        ("passer".to_owned(), study.passer.clone()),
        ("evaluator".to_owned(), study.evaluator.clone()),
        ("throws".to_owned(), rows.len().to_string()),
    ];
    about.extend(version.lines());
    ExportTable { columns, rows: cells, about, as_of_s: version.as_of_ms.div_euclid(1000) }
}

/// The columns that one fact or measure takes.
struct Parts {
    field: &'static Field,
    name: String,
    unit: &'static str,
}

impl Parts {
    fn of(field: &'static Field) -> Self {
        let unit = match field.unit {
            "°" => "deg",
            "100" => "",
            other => other,
        };
        let stem = field.id.replace('-', "_");
        let name = if unit.is_empty() { stem } else { format!("{stem}_{unit}") };
        Self { field, name, unit }
    }
    fn why(&self) -> String {
        format!("{}_why", self.field.id.replace('-', "_"))
    }
    fn columns(&self) -> Vec<ExportColumn> {
        let Self { field, name, unit } = self;
        let label = field.label;
        let empty = format!("does not apply when {} is empty too; else not seen or charted", self.why());
        let mut out = Vec::new();
        if field.kind == FieldKind::Value {
            let meaning = match field.unit {
                "100" => format!("{label}, from 0 to 1"),
                "pt" => format!("{label}, expected points"),
                _ => label.to_owned(),
            };
            out.push(column(name.clone(), meaning, unit, "", &empty, true));
            for (end, which) in [("low", "Lower"), ("high", "Upper")] {
                let meaning = format!("{which} end of the interval of {name} by its errors of measurement");
                out.push(column(format!("{name}_{end}"), meaning, unit, &level(), &empty, true));
            }
        } else {
            let words = if field.words.is_empty() {
                label.to_owned()
            } else {
                format!("{label}: {}", field.words.join(", "))
            };
            out.push(column(name.clone(), words, "", "", &empty, false));
        }
        let meaning = format!("Why {name} is empty");
        out.push(column(self.why(), meaning, "", "", "it is there, or does not apply to such a play", false));
        out
    }
    fn cells(&self, line: &Line) -> Vec<ExportCell> {
        let measured = self.field.kind == FieldKind::Value;
        let mut out = match (line.cell(self.field.id), measured) {
            (Some(Cell::Value(e)), true) => {
                let i = e.interval(patterns::LEVEL);
                vec![Some(e.value).into(), Some(i.low).into(), Some(i.high).into()]
            }
            (Some(Cell::Word(w)), false) => vec![w.as_str().into()],
            (_, true) => vec![ExportCell::Empty; 3],
            (_, false) => vec![ExportCell::Empty],
        };
        out.push(match line.cell(self.field.id) {
            Some(Cell::NotSeen(why)) => why.as_str().into(),
            _ => ExportCell::Empty,
        });
        out
    }
}

fn column(name: String, meaning: String, unit: &str, level: &str, empty: &str, number: bool) -> ExportColumn {
    ExportColumn {
        name,
        meaning,
        unit: unit.to_owned(),
        level: level.to_owned(),
        empty: empty.to_owned(),
        number,
    }
}
