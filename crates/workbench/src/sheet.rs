//! A hand sheet: everything an evaluator would click and write for one play, as one file, so that a script can do by a single
//! command what a hand does on the screens. `docs/hand-sheet.md` describes the form.

use crate::charts::check as check_chart;
use crate::plays::check_situation;
use crate::{WorkError, Workbench};
use field::{Direction, Landmark};
use geometry::Point2;
use geometry::frame::Pixel;
use play::{
    BallMark, Chart, Clip, ClipId, FieldMark, Flank, Foot, FootMark, FootPart, Hash, HipMark, MomentKind,
    MomentMark, Outcome, OwnCall, Person, PersonId, PersonMark, Play, PlayId, Role, RouteCall, Situation,
    ThrowResult, Unit, View,
};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use store::{Change, OfPlay};

/// Standard deviation assumed of a sheet's clicks on paint, px.
const CLICK_SD_PX: f64 = 1.0;

/// A play's hand sheet. What a sheet leaves out is left as it is.
#[derive(Clone, Debug, Deserialize)]
pub struct Sheet {
    /// The play's clips, found by film file name.
    clips: Vec<SheetClip>,
    #[serde(default)]
    people: Vec<SheetPerson>,
    #[serde(default)]
    ball: Vec<SheetMark>,
    #[serde(default)]
    feet: Vec<SheetFoot>,
    #[serde(default)]
    hips: Vec<SheetMark>,
    chart: Option<SheetChart>,
    own_call: Option<SheetCall>,
}

#[derive(Clone, Debug, Deserialize)]
struct SheetClip {
    view: View,
    file: String,
    #[serde(default)]
    lined_up: Vec<SheetPaint>,
    #[serde(default)]
    moments: BTreeMap<String, Option<f64>>,
}

#[derive(Clone, Debug, Deserialize)]
struct SheetPaint {
    frame: u32,
    clicks: Vec<SheetClick>,
}

#[derive(Clone, Debug, Deserialize)]
struct SheetClick {
    landmark: Landmark,
    pixel: Point2<Pixel>,
}

#[derive(Clone, Debug, Deserialize)]
struct SheetPerson {
    person: String,
    unit: Unit,
    position: String,
    number: Option<u8>,
    view: View,
    frame: u32,
    pixel: Point2<Pixel>,
}

#[derive(Clone, Debug, Deserialize)]
struct SheetMark {
    view: View,
    frame: u32,
    pixel: Point2<Pixel>,
}

#[derive(Clone, Debug, Deserialize)]
struct SheetFoot {
    foot: Foot,
    part: FootPart,
    view: View,
    frame: u32,
    pixel: Point2<Pixel>,
}

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
struct SheetChart {
    quarter: Option<u8>,
    clock_s: Option<f64>,
    down: Option<u8>,
    distance_yd: Option<f64>,
    line_x: Option<f64>,
    hash: Option<Hash>,
    direction: Option<Direction>,
    margin: Option<i32>,
    formation: String,
    motion: String,
    protection: String,
    blockers: Option<u8>,
    rushers: Option<u8>,
    coverage_before: String,
    coverage_after: String,
    concept: String,
    routes: Vec<RouteCall>,
    plan: String,
    pocket: String,
    drop: String,
    target: String,
    result: Option<ThrowResult>,
    miss: String,
    gain_yd: Option<f64>,
    notes: String,
}

#[derive(Clone, Debug, Deserialize)]
struct SheetCall {
    plan: String,
    call: Outcome,
    #[serde(default)]
    why: String,
}

/// Which of a sheet's clicks on paint are entered.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Paint {
    /// All.
    #[default]
    All,
    /// Those in clips whose field is not held by itself: clicks are work that a found field saves.
    WhereNeeded,
}

/// What a sheet put into the study.
#[derive(Clone, Debug, Serialize)]
pub struct Entered {
    /// The play.
    pub play: PlayId,
    /// Its clips, with the frames that were clicked for lining up.
    pub lined_up: Vec<(ClipId, Vec<u32>)>,
    /// Number of records written.
    pub records: usize,
}

impl Workbench {
    /// Enters a sheet as one undoable edit. The play is the one that the sheet's clips show.
    ///
    /// # Errors
    /// `Invalid` when the text is no sheet, names a film that no clip shows, or two plays; or for values that cannot be.
    pub async fn enter_sheet(&self, text: &str, paint: Paint) -> Result<Entered, WorkError> {
        let sheet: Sheet = serde_json::from_str(text)
            .map_err(|e| WorkError::Invalid(format!("this is no hand sheet: {e}")))?;
        let _guard = self.editing.lock().await;
        let clips = self.sheet_clips(&sheet).await?;
        let play_id = match clips.first().and_then(|c| c.play.clone()) {
            Some(id) if clips.iter().all(|c| c.play.as_ref() == Some(&id)) => id,
            Some(_) => return Err(WorkError::Invalid("the sheet's clips belong to different plays".into())),
            None => {
                return Err(WorkError::Invalid("the sheet's clips are not paired into a play yet".into()));
            }
        };
        let mut changes = Vec::new();
        self.sheet_chart(&sheet, &play_id, &mut changes).await?;
        let lined_up = self.sheet_clips_changes(&sheet, &clips, &play_id, paint, &mut changes).await?;
        self.sheet_marks(&sheet, &play_id, &mut changes).await?;
        self.change("enter a hand sheet", Some(&play_id), &changes).await?;
        Ok(Entered { play: play_id, lined_up, records: changes.len() })
    }

    /// The study's clips that the sheet speaks of, in its order.
    async fn sheet_clips(&self, sheet: &Sheet) -> Result<Vec<Clip>, WorkError> {
        let all = self.clips().await?;
        sheet
            .clips
            .iter()
            .map(|s| {
                all.iter().find(|c| c.film_name == s.file).map(|c| c.clip.clone()).ok_or_else(|| {
                    WorkError::Invalid(format!("no clip of this study shows the film {}", s.file))
                })
            })
            .collect()
    }

    async fn sheet_chart(
        &self,
        sheet: &Sheet,
        id: &PlayId,
        changes: &mut Vec<Change>,
    ) -> Result<(), WorkError> {
        let play: Play = self.store.get(id.as_str()).await?;
        if let Some(c) = &sheet.chart {
            let situation = Situation {
                quarter: c.quarter.or(play.situation.quarter),
                clock_s: c.clock_s.or(play.situation.clock_s),
                down: c.down.or(play.situation.down),
                distance_yd: c.distance_yd.or(play.situation.distance_yd),
                line_x: c.line_x.or(play.situation.line_x),
                hash: c.hash.or(play.situation.hash),
                direction: c.direction.or(play.situation.direction),
                margin: c.margin.or(play.situation.margin),
            };
            check_situation(&situation)?;
            changes.push(Change::put(&Play { situation, ..play }));
            let chart = c.chart();
            check_chart(&chart)?;
            changes.push(Change::put(&OfPlay { play: id.clone(), part: chart }));
        }
        if let Some(c) = &sheet.own_call {
            let call = OwnCall { plan: c.plan.clone(), outcome: c.call, why: c.why.clone() };
            changes.push(Change::put(&OfPlay { play: id.clone(), part: call }));
        }
        Ok(())
    }

    async fn sheet_clips_changes(
        &self,
        sheet: &Sheet,
        clips: &[Clip],
        play: &PlayId,
        paint: Paint,
        changes: &mut Vec<Change>,
    ) -> Result<Vec<(ClipId, Vec<u32>)>, WorkError> {
        let mut lined_up = Vec::new();
        for (s, clip) in sheet.clips.iter().zip(clips) {
            let needed = paint == Paint::All || !self.holds(clip).await?;
            let painted = if needed { s.lined_up.as_slice() } else { &[] };
            let mut clip = Clip { view: Some(s.view), ..clip.clone() };
            for (word, frame) in &s.moments {
                let Some(frame) = frame else { continue };
                let moment = moment(word)?;
                if moment == MomentKind::Snap {
                    clip.snap_frame = Some(*frame);
                }
                let id = self.id("m").await?.into();
                let mark = MomentMark { id, moment, view: s.view, frame: *frame };
                changes.push(Change::put(&OfPlay { play: play.clone(), part: mark }));
            }
            for painted in painted {
                let ids = self.ids("m", painted.clicks.len()).await?;
                for (click, id) in painted.clicks.iter().zip(ids) {
                    changes.push(Change::put(&FieldMark {
                        id: id.into(),
                        clip: clip.id.clone(),
                        frame: painted.frame,
                        landmark: click.landmark,
                        pixel: click.pixel,
                        sd_px: CLICK_SD_PX,
                    }));
                }
            }
            lined_up.push((clip.id.clone(), painted.iter().map(|p| p.frame).collect()));
            changes.push(Change::put(&clip));
        }
        Ok(lined_up)
    }

    async fn sheet_marks(
        &self,
        sheet: &Sheet,
        play: &PlayId,
        changes: &mut Vec<Change>,
    ) -> Result<(), WorkError> {
        let mut people: BTreeMap<PersonId, Person> = BTreeMap::new();
        for p in &sheet.people {
            let id = person_id(&p.person);
            people.entry(id.clone()).or_insert(Person {
                role: role(&p.position, &p.person)?,
                id,
                unit: p.unit,
                shirt: p.number,
                name: p.person.clone(),
            });
        }
        let of = |part| OfPlay { play: play.clone(), part };
        changes.extend(people.into_values().map(|p| Change::put(&of(p))));
        let count = sheet.people.len() + sheet.ball.len() + sheet.feet.len() + sheet.hips.len();
        let mut ids = self.ids("m", count).await?.into_iter();
        let mut id = || ids.next().expect("one id per mark").into();
        for p in &sheet.people {
            let part = PersonMark {
                id: id(),
                person: person_id(&p.person),
                view: p.view,
                frame: p.frame,
                pixel: p.pixel,
            };
            changes.push(Change::put(&OfPlay { play: play.clone(), part }));
        }
        for b in &sheet.ball {
            let part = BallMark { id: id(), view: b.view, frame: b.frame, pixel: b.pixel };
            changes.push(Change::put(&OfPlay { play: play.clone(), part }));
        }
        for f in &sheet.feet {
            let part = FootMark {
                id: id(),
                foot: f.foot,
                part: f.part,
                view: f.view,
                frame: f.frame,
                pixel: f.pixel,
            };
            changes.push(Change::put(&OfPlay { play: play.clone(), part }));
        }
        for h in &sheet.hips {
            let part = HipMark { id: id(), view: h.view, frame: h.frame, pixel: h.pixel };
            changes.push(Change::put(&OfPlay { play: play.clone(), part }));
        }
        Ok(())
    }
}

impl SheetChart {
    fn chart(&self) -> Chart {
        Chart {
            formation: self.formation.clone(),
            motion: self.motion.clone(),
            protection: self.protection.clone(),
            blockers: self.blockers,
            rushers: self.rushers,
            coverage_before: self.coverage_before.clone(),
            coverage_after: self.coverage_after.clone(),
            concept: self.concept.clone(),
            routes: self.routes.clone(),
            plans: if self.plan.is_empty() { Vec::new() } else { vec![self.plan.clone()] },
            pocket: self.pocket.clone(),
            drop: self.drop.clone(),
            target: (!self.target.is_empty()).then(|| person_id(&self.target)),
            result: self.result,
            miss: self.miss.clone(),
            gain_yd: self.gain_yd,
            notes: self.notes.clone(),
        }
    }
}

fn moment(word: &str) -> Result<MomentKind, WorkError> {
    Ok(match word {
        "snap" => MomentKind::Snap,
        "set" => MomentKind::Set,
        "release" => MomentKind::Release,
        "arrival" => MomentKind::Arrival,
        "first_contact" => MomentKind::FirstContact,
        other => {
            let known = "snap, set, release, arrival, first_contact";
            return Err(WorkError::Invalid(format!("“{other}” is no moment; a sheet knows {known}")));
        }
    })
}

/// A sheet may call the passer by the trade's letters.
fn person_id(label: &str) -> PersonId {
    if label == "QB" { PersonId::PASSER.into() } else { label.into() }
}

fn role(position: &str, label: &str) -> Result<Role, WorkError> {
    let counted = || {
        let flank = match label.as_bytes().first()? {
            b'L' => Flank::Left,
            b'R' => Flank::Right,
            _ => return None,
        };
        Some(Role::Receiver { flank, number: label.get(1..)?.parse().ok()? })
    };
    match position {
        "passer" => Ok(Role::Passer),
        "receiver" => counted().ok_or_else(|| {
            WorkError::Invalid(format!(
                "receiver “{label}” is not counted from a sideline: write L1, L2, R1 ..."
            ))
        }),
        "back" => Ok(Role::Back),
        "blocker" => Ok(Role::Blocker),
        "rusher" => Ok(Role::Rusher),
        "cover" => Ok(Role::Cover),
        other => Err(WorkError::Invalid(format!(
            "“{other}” is no position; a sheet knows passer, receiver, back, blocker, rusher, cover"
        ))),
    }
}
