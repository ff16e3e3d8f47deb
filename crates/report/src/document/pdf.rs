use super::{
    CAUTIONS, ClaimReport, Extent, PARTS, PlayReport, ReportError, StudyReport, chart_line, diagram,
    figure_lines, result_line, situation_line, stage_word, strip,
};
use crate::{FeetFigure, PlacementFigure, Theme, wording};
use play::Leaning;
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

/// Type sizes that a one-page report is tried at, pt, largest first: below the last nobody reads it.
const SIZES: [f64; 4] = [10.0, 9.0, 8.2, 7.5];

/// The report as a tagged PDF. The same report gives the same bytes. One page is one page: the type shrinks to fit, and what does not
/// fit even then is left out from the end and counted.
///
/// # Errors
/// `Typeset` when the typesetter refuses, with its words.
pub fn pdf(r: &StudyReport, extent: Extent) -> Result<Vec<u8>, ReportError> {
    if extent != Extent::OnePage {
        return written(&typeset(r, extent, SIZES[0], r.claims.len())?);
    }
    for size in SIZES {
        let document = typeset(r, extent, size, r.claims.len())?;
        if document.pages().len() <= 1 {
            return written(&document);
        }
    }
    let mut kept = r.claims.len();
    loop {
        kept = kept.saturating_sub(1);
        let document = typeset(r, extent, SIZES[SIZES.len() - 1], kept)?;
        if document.pages().len() <= 1 || kept == 0 {
            return written(&document);
        }
    }
}

fn refused(errors: typst::ecow::EcoVec<typst::diag::SourceDiagnostic>) -> ReportError {
    ReportError::Typeset(errors.iter().map(|e| e.message.to_string()).collect::<Vec<_>>().join("; "))
}

fn typeset(r: &StudyReport, extent: Extent, size_pt: f64, kept: usize) -> Result<PagedDocument, ReportError> {
    let mut files = BTreeMap::new();
    let content = content(r, extent, size_pt, kept, &mut files);
    files.insert("report.json".to_owned(), content.to_string().into_bytes());
    typst::compile(&Room::new(files)).output.map_err(refused)
}

fn written(document: &PagedDocument) -> Result<Vec<u8>, ReportError> {
    typst_pdf::pdf(document, &typst_pdf::PdfOptions::default()).map_err(refused)
}

/// The report as data for the template; figures go into `files` by name.
fn content(
    r: &StudyReport,
    extent: Extent,
    size_pt: f64,
    kept: usize,
    files: &mut BTreeMap<String, Vec<u8>>,
) -> Value {
    let full = extent == Extent::Full;
    let parts: Vec<Value> = PARTS
        .iter()
        .map(|(leaning, heading)| {
            let of_part = r.claims.iter().take(kept).filter(|c| c.claim.leaning == *leaning);
            let claims: Vec<Value> = of_part.map(|c| claim(r, c, extent, files)).collect();
            json!({"heading": heading, "work": *leaning == Leaning::Work, "claims": claims})
        })
        .filter(|p| p["claims"].as_array().is_some_and(|c| !c.is_empty()))
        .collect();
    json!({
        "extent": match extent {
            Extent::OnePage => "one-page",
            Extent::Full => "full",
            Extent::Presentation => "presentation",
        },
        "size": size_pt,
        "left_out": r.claims.len() - kept,
        "study": r.study.name,
        "passer": r.study.passer,
        "evaluator": r.study.evaluator,
        "games": r.games_line(),
        "version": r.version_line(),
        "cautions": CAUTIONS,
        "summary": r.summary.iter().map(|s| json!([s.label, s.n.to_string(), s.figure])).collect::<Vec<_>>(),
        "parts": parts,
        "plays": if full { r.plays.iter().map(|p| play(r, p, files)).collect::<Vec<_>>() } else { Vec::new() },
    })
}

fn claim(r: &StudyReport, c: &ClaimReport, extent: Extent, files: &mut BTreeMap<String, Vec<u8>>) -> Value {
    let evidence = &c.claim.evidence;
    let shown = (extent == Extent::Presentation)
        .then(|| evidence.supporting.first().and_then(|id| r.plays.iter().find(|p| p.play.id == *id)))
        .flatten();
    let drawn = shown.and_then(|p| Some((p, diagram(r, p)?.svg(Theme::Paper)?)));
    let (figure, caption) = match drawn {
        Some((p, svg)) => {
            let file = format!("shown-{}.svg", files.len());
            files.insert(file.clone(), svg.into_bytes());
            (Value::String(file), format!("{}, at release", r.name_of(&p.play.id)))
        }
        None => (Value::Null, String::new()),
    };
    json!({
        "stage": if c.claim.leaning == Leaning::Work { stage_word(c.stage) } else { "" },
        "impression": c.claim.impression,
        "text": c.claim.text,
        "figures": c.figures,
        "strength": c.strength,
        "unsupported": c.unsupported,
        "lacks": c.lacks,
        "one_sided": c.one_sided,
        "needed": if c.claim.leaning == Leaning::Open { c.needed.clone() } else { Vec::new() },
        "supporting": r.names(&evidence.supporting),
        "against": r.names(&evidence.against),
        "figure": figure,
        "caption": caption,
    })
}

fn play(r: &StudyReport, p: &PlayReport, files: &mut BTreeMap<String, Vec<u8>>) -> Value {
    let mut figure = |name: &str, svg: Option<String>| -> Value {
        let Some(svg) = svg else { return Value::Null };
        let file = format!("{name}-{}.svg", files.len());
        files.insert(file.clone(), svg.into_bytes());
        Value::String(file)
    };
    let feet = p.measurement.as_ref().and_then(|m| m.feet.get());
    let placement = p.measurement.as_ref().and_then(|m| m.placement.get());
    json!({
        "name": r.name_of(&p.play.id),
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
