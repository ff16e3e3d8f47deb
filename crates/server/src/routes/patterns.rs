//! Questions across plays.

use crate::body::Body;
use crate::error::{Answer as Answered, Failure};
use axum::Json;
use axum::extract::{Path, Query, State};
use play::{GameId, Only, PlayId};
use serde::Deserialize;
use utoipa::{IntoParams, ToSchema};
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;
use workbench::{
    Answer, Apart, Askable, Learned, PassersCompared, Pattern, Question, SeenAgain, Several, SeveralAsked,
    Workbench,
};

pub(crate) fn routes() -> OpenApiRouter<Workbench> {
    OpenApiRouter::new()
        .routes(routes!(askable))
        .routes(routes!(patterns))
        .routes(routes!(ask))
        .routes(routes!(several))
        .routes(routes!(seen_again))
        .routes(routes!(learned))
        .routes(routes!(apart))
        .routes(routes!(passers))
}

/// Over which games.
#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub(crate) struct GamesQuery {
    /// Ids of games with commas between; all when left out.
    #[serde(default)]
    games: String,
}

impl GamesQuery {
    fn ids(&self) -> Vec<GameId> {
        ids(&self.games)
    }
}

fn ids(games: &str) -> Vec<GameId> {
    games.split(',').map(str::trim).filter(|g| !g.is_empty()).map(GameId::from).collect()
}

/// Facts, measures and ready questions.
#[utoipa::path(get, path = "/patterns/askable", responses((status = 200, body = Askable), (status = "default", body = Failure)))]
async fn askable(State(bench): State<Workbench>) -> Json<Askable> {
    Json(bench.askable())
}

/// The ready questions with their answers; all comparisons are controlled together.
#[utoipa::path(get, path = "/patterns", params(GamesQuery), responses((status = 200, body = Vec<Pattern>), (status = "default", body = Failure)))]
async fn patterns(State(bench): State<Workbench>, query: Query<GamesQuery>) -> Answered<Json<Vec<Pattern>>> {
    Ok(Json(bench.patterns(&query.0.ids()).await?))
}

/// Any fact or measure by any other, controlled together with the ready questions over the same games.
#[utoipa::path(post, path = "/patterns/ask", request_body = Question, responses((status = 200, body = Answer), (status = "default", body = Failure)))]
async fn ask(State(bench): State<Workbench>, Body(question): Body<Question>) -> Answered<Json<Answer>> {
    Ok(Json(bench.ask(question).await?))
}

/// Several facts and measures at once: what each goes with while the others are held even.
#[utoipa::path(post, path = "/patterns/several", request_body = SeveralAsked, responses((status = 200, body = Several), (status = "default", body = Failure)))]
async fn several(State(bench): State<Workbench>, Body(asked): Body<SeveralAsked>) -> Answered<Json<Several>> {
    Ok(Json(bench.several(asked).await?))
}

/// The plays whose picture is nearest to this one's, in the order of time.
#[utoipa::path(get, path = "/plays/{play}/again", params(("play" = String, Path)), responses((status = 200, body = Vec<SeenAgain>), (status = "default", body = Failure)))]
async fn seen_again(
    State(bench): State<Workbench>,
    Path(play): Path<String>,
) -> Answered<Json<Vec<SeenAgain>>> {
    Ok(Json(bench.seen_again(&PlayId(play)).await?))
}

/// By what "well" is told.
#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub(crate) struct LearnedQuery {
    /// A yes-or-no field.
    #[serde(default = "sound")]
    of: String,
}

fn sound() -> String {
    "sound-decision".to_owned()
}

/// Pictures shown more than once, and whether he did better the later times.
#[utoipa::path(get, path = "/patterns/learned", params(LearnedQuery), responses((status = 200, body = Learned), (status = "default", body = Failure)))]
async fn learned(State(bench): State<Workbench>, query: Query<LearnedQuery>) -> Answered<Json<Learned>> {
    Ok(Json(bench.learned(&query.0.of).await?))
}

/// What results are split by before they are taken apart.
#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub(crate) struct ApartQuery {
    /// A fact of words.
    #[serde(default = "depth")]
    by: String,
    /// Ids of games with commas between; all when left out.
    #[serde(default)]
    games: String,
}

fn depth() -> String {
    "depth".to_owned()
}

/// Results taken apart into choice, timing, placement and the rest, with the official ratings beside them.
#[utoipa::path(get, path = "/patterns/apart", params(ApartQuery), responses((status = 200, body = Apart), (status = "default", body = Failure)))]
async fn apart(State(bench): State<Workbench>, query: Query<ApartQuery>) -> Answered<Json<Apart>> {
    Ok(Json(bench.apart(&query.0.by, &ids(&query.0.games)).await?))
}

/// Another passer's study.
#[derive(Deserialize, ToSchema)]
pub(crate) struct OtherPasser {
    /// Its folder, in a named folder or beside this study.
    path: String,
    /// Only plays with these words, of both.
    #[serde(default)]
    only: Vec<Only>,
}

/// This study's passer beside another's on the same measures. The other study is only read.
#[utoipa::path(post, path = "/patterns/passers", request_body = OtherPasser, responses((status = 200, body = PassersCompared), (status = "default", body = Failure)))]
async fn passers(
    State(bench): State<Workbench>,
    Body(other): Body<OtherPasser>,
) -> Answered<Json<PassersCompared>> {
    Ok(Json(bench.compare_passers_listed(std::path::Path::new(&other.path), &other.only).await?))
}
