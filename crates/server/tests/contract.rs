//! The description of the API and the API agree; the client's copy of the description is this one.
#![allow(clippy::unwrap_used, reason = "helpers of tests")]

mod common;

use common::{get, room};
use serde_json::{Value, json};

#[tokio::test]
async fn the_kept_description_is_the_served_one() {
    let kept = include_str!("../../../ui/openapi.json");
    assert!(kept == server::openapi_json(), "ui/openapi.json is stale: run `make client`");
    let room = room().await;
    let served = get(&room, "/api/openapi.json").await.json();
    assert_eq!(served, serde_json::from_str::<Value>(kept).unwrap());
}

#[tokio::test]
async fn every_described_call_exists() {
    let room = room().await;
    let api: Value = serde_json::from_str(&server::openapi_json()).unwrap();
    let mut tried = 0;
    for (path, calls) in api["paths"].as_object().unwrap() {
        for method in calls.as_object().unwrap().keys() {
            let path: String = format!("/api{path}").replace(['{', '}'], "");
            let answer = room.send(&method.to_uppercase(), &path, &json!({})).await;
            let code =
                serde_json::from_slice::<Value>(&answer.body).unwrap_or_default()["error"]["code"].clone();
            assert!(code != "no-route" && code != "method", "{method} {path}: {code}");
            assert!(answer.status < 500, "{method} {path}: {} {}", answer.status, answer.text());
            tried += 1;
        }
    }
    assert!(tried > 50, "{tried}");
}

#[tokio::test]
async fn a_play_is_made_charted_undone_and_told() {
    let room = room().await;
    let game = json!({ "name": "Game", "rule_book": "college", "offense": { "name": "A", "shirt": null }, "defense": { "name": "B", "shirt": null } });
    let game = room.send("POST", "/api/games", &game).await.json();
    let play = room.send("POST", "/api/plays", &json!({ "game": game["id"] })).await.json();
    let path = format!("/api/plays/{}", play["id"].as_str().unwrap());
    let chart = json!({ "formation": "Trips right", "result": "complete", "gain_yd": 12.0 });
    assert_eq!(room.send("PUT", &format!("{path}/chart"), &chart).await.json()["result"], "complete");
    let bad = json!({ "gain_yd": 400.0 });
    let refused = room.send("PUT", &format!("{path}/chart"), &bad).await;
    assert_eq!(refused.status, 422);
    assert_eq!(refused.json()["error"]["message"], "the gain is 400 yd; it must be from -110 to 110 yd");
    assert_eq!(get(&room, "/api/plays").await.json()[0]["charted"], true);
    let undone = room.send("POST", "/api/undo", &json!({})).await.json();
    assert_eq!(
        (undone["label"].as_str(), undone["play"].as_str()),
        (Some("chart the play"), play["id"].as_str())
    );
    assert_eq!(get(&room, &path).await.json()["chart"]["formation"], "");
    room.send("POST", "/api/redo", &json!({})).await;
    assert_eq!(get(&room, &path).await.json()["chart"]["formation"], "Trips right");
    let history = get(&room, &format!("/api/history?play={}", play["id"].as_str().unwrap())).await.json();
    assert_eq!(history.as_array().unwrap().len(), 2);
    // Everything back: the study itself stays.
    while room.send("POST", "/api/undo", &json!({})).await.status == 200 {}
    assert_eq!(get(&room, "/api/study").await.json()["study"]["name"], "Test");
    assert_eq!(room.send("POST", "/api/undo", &json!({})).await.json()["error"]["code"], "nothing-to-undo");
}

#[tokio::test]
async fn what_is_missing_is_said_not_guessed() {
    let room = room().await;
    let game = json!({ "name": "Game", "rule_book": "college", "offense": { "name": "A", "shirt": null }, "defense": { "name": "B", "shirt": null } });
    let game = room.send("POST", "/api/games", &game).await.json();
    let play = room.send("POST", "/api/plays", &json!({ "game": game["id"] })).await.json();
    let path = format!("/api/plays/{}", play["id"].as_str().unwrap());
    let m = get(&room, &format!("{path}/measurement")).await.json();
    for figure in ["throw", "feet", "placement"] {
        assert_eq!(m[figure]["state"], "not-seen", "{figure}");
    }
    let codes: Vec<&str> =
        m["findings"].as_array().unwrap().iter().map(|f| f["code"].as_str().unwrap()).collect();
    assert!(codes.contains(&"no-release") && codes.contains(&"no-windows"), "{codes:?}");
    for figure in ["windows", "feet", "placement"] {
        let answer = get(&room, &format!("{path}/figures/{figure}.svg")).await;
        assert_eq!(
            (answer.status, answer.json()["error"]["code"].as_str()),
            (409, Some("not-ready")),
            "{figure}"
        );
    }
    let moment = json!({ "moment": "snap", "view": "sideline", "frame": 3.0 });
    assert_eq!(room.send("POST", &format!("{path}/moments"), &moment).await.status, 409);
    assert_eq!(get(&room, "/api/plays/p999").await.json()["error"]["message"], "there is no play p999");
}
