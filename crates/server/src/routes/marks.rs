//! Moments, people, ball, feet, hips.

use crate::body::Body;
use crate::error::{Answer, Failure};
use axum::Json;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use play::{BallMark, FootMark, HipMark, MarkId, MomentMark, Person, PersonId, PersonMark, PlayId};
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;
use workbench::{
    AnyMark, MovedMark, NewFootMark, NewMoment, NewPersonMark, NewSpotMark, WorkError, Workbench,
};

pub(crate) fn routes() -> OpenApiRouter<Workbench> {
    OpenApiRouter::new()
        .routes(routes!(mark_moment))
        .routes(routes!(edit_person, delete_person))
        .routes(routes!(mark_person))
        .routes(routes!(mark_ball))
        .routes(routes!(mark_foot))
        .routes(routes!(mark_hip))
        .routes(routes!(move_mark, delete_mark))
}

/// Marks a moment in a view.
#[utoipa::path(post, path = "/plays/{play}/moments", params(("play" = String, Path)), request_body = NewMoment, responses((status = 200, body = MomentMark), (status = "default", body = Failure)))]
async fn mark_moment(
    State(bench): State<Workbench>,
    Path(play): Path<String>,
    Body(new): Body<NewMoment>,
) -> Answer<Json<MomentMark>> {
    Ok(Json(bench.mark_moment(&PlayId(play), new).await?))
}

/// Sets who somebody is; the id in the body must be the one in the path.
#[utoipa::path(put, path = "/plays/{play}/people/{person}", params(("play" = String, Path), ("person" = String, Path)), request_body = Person, responses((status = 200, body = Person), (status = "default", body = Failure)))]
async fn edit_person(
    State(bench): State<Workbench>,
    Path((play, person)): Path<(String, String)>,
    Body(facts): Body<Person>,
) -> Answer<Json<Person>> {
    if facts.id.as_str() != person {
        let said = format!("the path names {person}, the body {}", facts.id);
        return Err(WorkError::Invalid(said).into());
    }
    Ok(Json(bench.edit_person(&PlayId(play), facts).await?))
}

/// Takes somebody out of a play, with his marks.
#[utoipa::path(delete, path = "/plays/{play}/people/{person}", params(("play" = String, Path), ("person" = String, Path)), responses((status = 204), (status = "default", body = Failure)))]
async fn delete_person(
    State(bench): State<Workbench>,
    Path((play, person)): Path<(String, String)>,
) -> Answer<StatusCode> {
    bench.delete_person(&PlayId(play), &PersonId(person)).await?;
    Ok(StatusCode::NO_CONTENT)
}

/// Marks where somebody stands; his mark in the same frame moves.
#[utoipa::path(post, path = "/plays/{play}/marks/person", params(("play" = String, Path)), request_body = NewPersonMark, responses((status = 200, body = PersonMark), (status = "default", body = Failure)))]
async fn mark_person(
    State(bench): State<Workbench>,
    Path(play): Path<String>,
    Body(new): Body<NewPersonMark>,
) -> Answer<Json<PersonMark>> {
    Ok(Json(bench.mark_person(&PlayId(play), new).await?))
}

/// Marks the ball; its mark in the same frame moves.
#[utoipa::path(post, path = "/plays/{play}/marks/ball", params(("play" = String, Path)), request_body = NewSpotMark, responses((status = 200, body = BallMark), (status = "default", body = Failure)))]
async fn mark_ball(
    State(bench): State<Workbench>,
    Path(play): Path<String>,
    Body(new): Body<NewSpotMark>,
) -> Answer<Json<BallMark>> {
    Ok(Json(bench.mark_ball(&PlayId(play), new).await?))
}

/// Marks a foot; marks of the same point add up.
#[utoipa::path(post, path = "/plays/{play}/marks/foot", params(("play" = String, Path)), request_body = NewFootMark, responses((status = 200, body = FootMark), (status = "default", body = Failure)))]
async fn mark_foot(
    State(bench): State<Workbench>,
    Path(play): Path<String>,
    Body(new): Body<NewFootMark>,
) -> Answer<Json<FootMark>> {
    Ok(Json(bench.mark_foot(&PlayId(play), new).await?))
}

/// Marks the hips; marks in the same frame add up.
#[utoipa::path(post, path = "/plays/{play}/marks/hip", params(("play" = String, Path)), request_body = NewSpotMark, responses((status = 200, body = HipMark), (status = "default", body = Failure)))]
async fn mark_hip(
    State(bench): State<Workbench>,
    Path(play): Path<String>,
    Body(new): Body<NewSpotMark>,
) -> Answer<Json<HipMark>> {
    Ok(Json(bench.mark_hip(&PlayId(play), new).await?))
}

/// Moves a mark.
#[utoipa::path(put, path = "/marks/{mark}", params(("mark" = String, Path)), request_body = MovedMark, responses((status = 200, body = AnyMark), (status = "default", body = Failure)))]
async fn move_mark(
    State(bench): State<Workbench>,
    Path(mark): Path<String>,
    Body(moved): Body<MovedMark>,
) -> Answer<Json<AnyMark>> {
    Ok(Json(bench.move_mark(&MarkId(mark), moved).await?))
}

/// Deletes a mark of any kind but those on the field.
#[utoipa::path(delete, path = "/marks/{mark}", params(("mark" = String, Path)), responses((status = 204), (status = "default", body = Failure)))]
async fn delete_mark(State(bench): State<Workbench>, Path(mark): Path<String>) -> Answer<StatusCode> {
    bench.delete_mark(&MarkId(mark)).await?;
    Ok(StatusCode::NO_CONTENT)
}
