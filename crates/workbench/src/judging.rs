//! What the program and the evaluator say of a play's decision.

use crate::measuring::{MeasureInputs, Measured};
use crate::{WorkError, Workbench, key_of};
use play::{Finding, Judgement, MomentKind, OwnCall, Play, PlayId, Severity};
use reads::board::Board;
use reads::judge::{Basis, JudgeInput, Parameters, Pressure, concept_of, judge_all, unknown};
use reads::playbook::Playbook;
use serde::{Deserialize, Serialize};
use std::sync::Arc;
use store::{Change, OfPlay};

/// The program's judgements of a play.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Judged {
    /// One per plan: those the chart names in its order, or every plan of the concept when it names none. Without a charted
    /// concept those of the recognised one, else a generic progression; `on` says which.
    pub judgements: Vec<Judgement>,
    /// What the plans rest on.
    pub on: Basis,
    /// One sentence over all of them.
    pub summary: String,
    /// What the playbook does not know of the chart, and what else is missing.
    pub findings: Vec<Finding>,
}

/// Kind among computed things.
const JUDGED: &str = "judged";

impl Workbench {
    /// The program's judgements under the evaluator's plans, his first one first; none while no concept is charted. What is
    /// judged under recognised or generic plans ([`Workbench::judged`]) counts in no figure across plays until he charts it.
    ///
    /// # Errors
    /// `Store` with `NoRecord`.
    pub async fn judgements(&self, id: &PlayId) -> Result<Vec<Judgement>, WorkError> {
        let judged = self.judged(id).await?;
        Ok(if judged.on == Basis::Charted { judged.judgements } else { Vec::new() })
    }
    /// The program's judgements with what stands in their way. Kept until the measurement, chart or playbook changes.
    ///
    /// # Errors
    /// `Store` with `NoRecord`.
    pub async fn judged(&self, id: &PlayId) -> Result<Judged, WorkError> {
        let inputs = self.measure_inputs(id).await?;
        let playbook = self.playbook().await;
        let key = judged_key(&inputs, &key_of(&inputs)?, &playbook.book)?;
        if let Some((kept, body)) = self.store.computed(JUDGED, id.as_str()).await?
            && kept == key
        {
            return Ok(serde_json::from_str(&body)?);
        }
        let measured = self.measured(id).await?;
        let judged =
            crate::error::blocking(move || Ok::<_, WorkError>(judge(&measured, &playbook.book))).await?;
        self.store.put_computed(JUDGED, id.as_str(), &key, &serde_json::to_string(&judged)?).await?;
        Ok(judged)
    }
    /// Judges a play as soon as it is measured, while the repeats behind its windows are at hand: they are not stored.
    pub(crate) async fn judge_measured(&self, id: &PlayId, m: &Arc<Measured>) -> Result<(), WorkError> {
        let playbook = self.playbook().await;
        let key = judged_key(&m.inputs, &m.key, &playbook.book)?;
        let m = m.clone();
        let judged = crate::error::blocking(move || Ok::<_, WorkError>(judge(&m, &playbook.book))).await?;
        Ok(self.store.put_computed(JUDGED, id.as_str(), &key, &serde_json::to_string(&judged)?).await?)
    }
    /// Keeps the evaluator's own call under a plan.
    ///
    /// # Errors
    /// `Store` with `NoRecord`; `Invalid` for a reason of more than 2000 characters.
    pub async fn call(&self, id: &PlayId, call: OwnCall) -> Result<OwnCall, WorkError> {
        let _guard = self.editing.lock().await;
        self.store.get::<Play>(id.as_str()).await?;
        let n = call.why.chars().count();
        if n > 2000 {
            return Err(WorkError::Invalid(format!("the reason has {n} characters; at most 2000 are kept")));
        }
        crate::games::named("the plan", &call.plan)?;
        let change = Change::put(&OfPlay { play: id.clone(), part: call.clone() });
        self.change_merging("call the decision", Some(id), Some("call"), &[change]).await?;
        Ok(call)
    }
    /// Takes the evaluator's call under a plan back.
    ///
    /// # Errors
    /// Those of the store.
    pub async fn delete_call(&self, id: &PlayId, plan: &str) -> Result<(), WorkError> {
        let _guard = self.editing.lock().await;
        let change = Change::delete(store::Kind::Call, format!("{id}/{plan}"));
        self.change("take the call back", Some(id), &[change]).await
    }
}

/// Names what a judgement follows from.
fn judged_key(inputs: &MeasureInputs, measured: &str, book: &Playbook) -> Result<String, WorkError> {
    let chart = play::Chart { notes: String::new(), ..inputs.chart.clone() };
    key_of(&(measured, chart, concept_of(&inputs.chart, book), Parameters::default()))
}

fn judge(m: &Measured, book: &Playbook) -> Judged {
    let inputs = &m.inputs;
    let mut findings = match said(&m.assumed.basis) {
        Some(finding) => vec![finding],
        None => unknown(&inputs.chart, book),
    };
    let on = m.assumed.basis.clone();
    let nothing =
        |findings| Judged { judgements: Vec::new(), on: on.clone(), summary: String::new(), findings };
    let plans = &m.assumed.plans;
    let mut missing = |said: String| findings.push(Finding::new(Severity::Missing, "not-judged", said));
    if plans.is_empty() {
        return nothing(findings);
    }
    let board = match Board::new(&inputs.people, &m.measurement.tracks, &inputs.situation, inputs.book) {
        Ok(board) => board,
        Err(e) => {
            missing(e.to_string());
            return nothing(findings);
        }
    };
    let Some(windows) = &m.draws else {
        missing("there are no windows to judge by; the measurement says why".into());
        return nothing(findings);
    };
    let moment = |kind| m.measurement.moments.iter().find(|x| x.kind == kind).map(|x| x.at_s);
    let (set, release, contact) =
        (moment(MomentKind::Set), moment(MomentKind::Release), moment(MomentKind::FirstContact));
    let until = release.or(contact).map(|e| e.value);
    let input = JudgeInput {
        board: &board,
        windows,
        resolution: &inputs.parameters(),
        situation: &inputs.situation,
        set,
        release,
        ended: None,
        result: inputs.chart.result,
        target: inputs.chart.target.as_ref(),
        pressure: Pressure::of(&board, &inputs.chart, contact, until),
    };
    let judged = judge_all(&input, plans, &Parameters::default());
    Judged { judgements: judged.judgements, on, summary: judged.summary, findings }
}

/// What has to be said of plans that the evaluator did not chart.
fn said(basis: &Basis) -> Option<Finding> {
    let weak = |code, text| Some(Finding::new(Severity::Weak, code, text));
    match basis {
        Basis::Recognised { concept, share } => weak(
            "concept-recognised",
            format!(
                "the concept is not charted; it is judged as {concept}, which the routes look like (share {:.0}% among the playbook's concepts). Confirm or correct it on Chart",
                100.0 * share
            ),
        ),
        Basis::Generic => weak(
            "generic-plan",
            "the concept is neither charted nor recognised; it is judged by a generic progression, each man as his route breaks, which nobody may have taught".into(),
        ),
        Basis::Charted | Basis::Nothing => None,
    }
}
