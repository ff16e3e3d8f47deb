//! The same questions asked of two studies, and their figures held against each other.

use super::asked::gathered;
use super::doubt::adjusted;
use super::groups::{self, difference};
use super::question::{Question, QuestionError};
use super::worth::Many;
use crate::facts::Line;
use crate::passers::PasserRow;

/// Asks each question, which splits nothing, of both studies' plays; the differences of all are controlled together.
///
/// # Errors
/// As [`Question::fields`].
pub(crate) fn measured_against(
    ours: &[Line],
    theirs: &[Line],
    names: (&str, &str),
    questions: &[Question],
) -> Result<Vec<PasserRow>, QuestionError> {
    let mut rows = Vec::new();
    for q in questions {
        let (of, _) = q.fields()?;
        let (one, one_not_seen) = gathered(ours, q, of, names.0);
        let (other, other_not_seen) = gathered(theirs, q, of, names.1);
        let shares = of.kind != crate::facts::FieldKind::Value;
        let mut group = one.group(of, shares);
        group.difference = difference(&one, &other, names.1);
        rows.push(PasserRow {
            of: *of,
            one: group,
            other: other.group(of, shares),
            one_not_seen,
            other_not_seen,
        });
    }
    let p: Vec<f64> = rows.iter().filter_map(|r| r.one.difference.as_ref().map(|d| d.p)).collect();
    let mut q = adjusted(&p).into_iter();
    for r in &mut rows {
        let (n, m) = (r.one.n, r.other.n);
        let scarce = if n <= m { names.0 } else { names.1 };
        let Some(d) = &mut r.one.difference else { continue };
        let many = Many { q: q.next().unwrap_or(1.0), compared: p.len() };
        groups::judge(&r.of, names.0, scarce, n.min(m), d, many);
    }
    Ok(rows)
}
