use super::{
    CAUTIONS, ClaimReport, GameReport, PlayReport, ReportError, chart_line, diagram, figure_lines,
    result_line, situation_line, strip,
};
use crate::{FeetFigure, PlacementFigure, Theme, wording};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::sync::LazyLock;
use typst::diag::{FileError, FileResult};
use typst::foundations::{Bytes, Datetime, Duration};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};
use typst_layout::PagedDocument;

const TEMPLATE: &str = include_str!("report.typ");

static FONTS: LazyLock<Vec<Font>> =
    LazyLock::new(|| typst_assets::fonts().filter_map(|data| Font::new(Bytes::new(data), 0)).collect());

/// The report as a tagged PDF. The same report gives the same bytes.
///
/// # Errors
/// `Typeset` when the typesetter refuses, with its words.
pub fn pdf(r: &GameReport) -> Result<Vec<u8>, ReportError> {
    let mut files = BTreeMap::new();
    let content = content(r, &mut files);
    files.insert("report.json".to_owned(), content.to_string().into_bytes());
    let room = Room::new(files);
    let refused = |errors: typst::ecow::EcoVec<typst::diag::SourceDiagnostic>| {
        ReportError::Typeset(errors.iter().map(|e| e.message.to_string()).collect::<Vec<_>>().join("; "))
    };
    let document: PagedDocument = typst::compile(&room).output.map_err(refused)?;
    typst_pdf::pdf(&document, &typst_pdf::PdfOptions::default()).map_err(refused)
}

/// The report as data for the template; figures go into `files` by name.
fn content(r: &GameReport, files: &mut BTreeMap<String, Vec<u8>>) -> Value {
    json!({
        "study": r.study.name,
        "passer": r.study.passer,
        "evaluator": r.study.evaluator,
        "game": r.game.name,
        "made_on": r.made_on,
        "made_by": r.made_by,
        "cautions": CAUTIONS,
        "summary": r.summary.iter().map(|s| json!([s.label, s.n.to_string(), s.figure])).collect::<Vec<_>>(),
        "claims": r.claims.iter().map(claim).collect::<Vec<_>>(),
        "plays": r.plays.iter().map(|p| play(r, p, files)).collect::<Vec<_>>(),
    })
}

fn claim(c: &ClaimReport) -> Value {
    let list = |plays: &[play::PlayId]| plays.iter().map(|p| p.0.clone()).collect::<Vec<_>>().join(", ");
    json!({
        "leaning": match c.claim.leaning {
            play::Leaning::Strength => "Strength",
            play::Leaning::Fault => "To work on",
            play::Leaning::Open => "Open question",
        },
        "impression": c.claim.impression,
        "text": c.claim.text,
        "figures": c.figures,
        "strength": c.strength,
        "unsupported": c.unsupported,
        "supporting": list(&c.claim.evidence.supporting),
        "against": list(&c.claim.evidence.against),
    })
}

fn play(r: &GameReport, p: &PlayReport, files: &mut BTreeMap<String, Vec<u8>>) -> Value {
    let mut figure = |name: &str, svg: Option<String>| -> Value {
        let Some(svg) = svg else { return Value::Null };
        let file = format!("{name}-{}.svg", files.len());
        files.insert(file.clone(), svg.into_bytes());
        Value::String(file)
    };
    let feet = p.measurement.as_ref().and_then(|m| m.feet.get());
    let placement = p.measurement.as_ref().and_then(|m| m.placement.get());
    json!({
        "number": p.play.number,
        "id": p.play.id.0,
        "situation": situation_line(&p.play),
        "chart": chart_line(&p.chart),
        "result": result_line(&p.chart),
        "notes": p.chart.notes,
        "diagram": figure("diagram", diagram(r, p).and_then(|d| d.svg(Theme::Paper))),
        "windows": figure("windows", strip(p).and_then(|w| w.svg(Theme::Paper))),
        "feet": figure("feet", feet.and_then(|feet| FeetFigure { feet, right_handed: r.study.right_handed }.svg(Theme::Paper))),
        "placement": figure("placement", placement.map(|placement| PlacementFigure { placement }.svg(Theme::Paper))),
        "figures": p.measurement.as_ref().map(figure_lines).unwrap_or_default(),
        "judgements": p.judgements.iter().map(|j| json!({
            "plan": j.plan_name,
            "outcome": j.outcomes.first().map(|w| format!("{}, {:.0}%", wording::outcome_word(w.outcome), 100.0 * w.probability)),
            "reason": j.reason,
            "calls": p.calls.iter().filter(|c| c.plan == j.plan).map(|c| {
                let why = if c.why.is_empty() { String::new() } else { format!(" — {}", c.why) };
                format!("{}{why}", wording::outcome_word(c.outcome))
            }).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
        "findings": p.measurement.iter().flat_map(|m| &m.findings).map(|f| f.message.clone()).collect::<Vec<_>>(),
    })
}

/// What the typesetter may see: the template, the data and the figures; no disk, no clock, no network.
struct Room {
    library: LazyHash<Library>,
    book: LazyHash<FontBook>,
    main: Source,
    files: BTreeMap<String, Vec<u8>>,
}

impl Room {
    fn new(files: BTreeMap<String, Vec<u8>>) -> Self {
        let path = VirtualPath::new("report.typ").expect("a plain file name is a path");
        let id = FileId::new(RootedPath::new(VirtualRoot::Project, path));
        Self {
            library: LazyHash::new(Library::default()),
            book: LazyHash::new(FontBook::from_fonts(FONTS.iter())),
            main: Source::new(id, TEMPLATE.to_owned()),
            files,
        }
    }
}

impl World for Room {
    fn library(&self) -> &LazyHash<Library> {
        &self.library
    }
    fn book(&self) -> &LazyHash<FontBook> {
        &self.book
    }
    fn main(&self) -> FileId {
        self.main.id()
    }
    fn source(&self, id: FileId) -> FileResult<Source> {
        if id == self.main.id() { Ok(self.main.clone()) } else { Err(FileError::AccessDenied) }
    }
    fn file(&self, id: FileId) -> FileResult<Bytes> {
        let name = id.get().vpath().get_without_slash();
        self.files.get(name).map(|b| Bytes::new(b.clone())).ok_or(FileError::AccessDenied)
    }
    fn font(&self, index: usize) -> Option<Font> {
        FONTS.get(index).cloned()
    }
    fn today(&self, _: Option<Duration>) -> Option<Datetime> {
        None
    }
}
