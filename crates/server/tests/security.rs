//! Who may call, from where, and what of the disk can be reached.
#![allow(clippy::unwrap_used, reason = "helpers of tests")]

mod common;

use common::{Room, get, room};
use server::{Options, ServeError};

#[tokio::test]
async fn only_the_token_of_this_start_opens_the_api() {
    let room = room().await;
    let own = format!("Bearer {}", room.token());
    for (authorization, status) in [
        (None, 401),
        (Some("Bearer ".to_owned()), 401),
        (Some(format!("{own}0")), 401),
        (Some(own[..own.len() - 1].to_owned()), 401),
        (Some(own.replace("Bearer", "Basic")), 401),
        (Some(own), 200),
    ] {
        let headers: Vec<(&str, &str)> =
            authorization.iter().map(|a| ("Authorization", a.as_str())).collect();
        let answer = room.raw("GET", "/api/study", &headers, b"").await;
        assert_eq!(answer.status, status, "{authorization:?}");
        if status == 401 {
            assert_eq!(answer.json()["error"]["code"], "no-token");
        }
    }
    // Whatever lies under the API, also what does not exist.
    for path in ["/api/openapi.json", "/api/nothing", "/api", "/api/films/f1/proxy", "/api/report/1"] {
        assert_eq!(room.raw("GET", path, &[], b"").await.status, 401, "{path}");
    }
    let other = self::room().await;
    let foreign = format!("Bearer {}", other.token());
    assert_eq!(room.raw("GET", "/api/study", &[("Authorization", &foreign)], b"").await.status, 401);
}

#[tokio::test]
async fn a_foreign_host_or_origin_is_refused_even_with_the_token() {
    let room = room().await;
    let port = room.port();
    let (own, local) = (format!("127.0.0.1:{port}"), format!("localhost:{port}"));
    for (host, status) in [
        (own.as_str(), 200),
        (local.as_str(), 200),
        ("127.0.0.1", 403),
        ("127.0.0.1:1", 403),
        ("film.example", 403),
        ("film.example:80", 403),
        ("", 403),
    ] {
        assert_eq!(room.with_host(host, &[]).await.status, status, "Host {host}");
    }
    for (origin, status) in [
        (format!("http://{own}"), 200),
        (format!("http://{local}"), 200),
        (format!("https://{own}"), 403),
        ("http://film.example".to_owned(), 403),
        ("null".to_owned(), 403),
        ("http://127.0.0.1:1".to_owned(), 403),
    ] {
        assert_eq!(room.with_host(&own, &[("Origin", &origin)]).await.status, status, "Origin {origin}");
    }
    // The page itself is guarded against foreign names too.
    let answer = room.raw_host("film.example", "GET", "/", &[], b"").await;
    assert_eq!(answer.status, 403);
}

#[tokio::test]
async fn no_answer_lets_another_site_in_and_every_answer_carries_the_policy() {
    let room = room().await;
    let answers = [
        room.raw("GET", "/", &[], b"").await,
        room.raw("GET", "/api/study", &[], b"").await,
        get(&room, "/api/study").await,
        get(&room, "/api/nothing").await,
        room.raw("OPTIONS", "/api/study", &[("Access-Control-Request-Method", "PUT")], b"").await,
    ];
    for a in answers {
        let policy = a.header("content-security-policy").unwrap();
        for part in ["default-src 'self'", "script-src 'self'", "object-src 'none'", "frame-ancestors 'none'"]
        {
            assert!(policy.contains(part), "{policy}");
        }
        assert!(!policy.contains("script-src 'self' 'unsafe") && !policy.contains("unsafe-eval"));
        assert_eq!(a.header("x-content-type-options").as_deref(), Some("nosniff"));
        assert_eq!(a.header("referrer-policy").as_deref(), Some("no-referrer"));
        assert_eq!(a.header("cross-origin-resource-policy").as_deref(), Some("same-origin"));
        assert_eq!(a.header("access-control-allow-origin"), None);
    }
    assert_eq!(get(&room, "/api/study").await.header("cache-control").as_deref(), Some("no-store"));
}

#[tokio::test]
async fn nothing_outside_study_and_named_folders_is_reached() {
    let room = room().await;
    let secret = room.dir().join("secret.mp4");
    std::fs::write(&secret, "not yours").unwrap();
    let named = room.dir().join("film");
    std::fs::create_dir(&named).unwrap();
    let folder = serde_json::json!({ "path": named });
    assert_eq!(room.send("POST", "/api/folders", &folder).await.status, 200);
    let list = |path: &str| format!("/api/folders/list?path={}", path.replace('/', "%2F"));
    assert_eq!(get(&room, &list(named.to_str().unwrap())).await.status, 200);
    for outside in ["/", "/etc", room.dir().to_str().unwrap(), &format!("{}/..", named.display()), "film", ""]
    {
        let answer = get(&room, &list(outside)).await;
        assert_eq!(
            (answer.status, answer.json()["error"]["code"].as_str()),
            (403, Some("outside")),
            "{outside}"
        );
    }
    let game = serde_json::json!({ "name": "Game", "rule_book": "college", "offense": { "name": "A", "shirt": null }, "defense": { "name": "B", "shirt": null } });
    let game = room.send("POST", "/api/games", &game).await.json()["id"].as_str().unwrap().to_owned();
    for path in
        [secret.display().to_string(), format!("{}/../secret.mp4", named.display()), "/etc/passwd".into()]
    {
        let import = serde_json::json!({ "paths": [path], "game": game });
        assert_eq!(room.send("POST", "/api/films/import", &import).await.status, 403, "{path}");
    }
    // Ids are names in a table, never parts of paths.
    for path in [
        "/api/films/..%2F..%2Fsecret.mp4/proxy",
        "/api/films/%2Fetc%2Fpasswd/frame/0.png",
        "/api/report/..%2F..%2Fstudy.db",
        "/../../secret.mp4",
        "/%2e%2e/%2e%2e/secret.mp4",
        "/assets/..%2f..%2f..%2fCargo.toml",
    ] {
        let answer = get(&room, path).await;
        assert!((400..500).contains(&answer.status), "{path}: {}", answer.status);
        assert!(!answer.text().contains("not yours") && !answer.text().contains("[package]"), "{path}");
    }
}

#[tokio::test]
async fn a_film_handed_over_stays_in_the_study_whatever_its_name() {
    let room = room().await;
    for (name, status) in [("a.mp4", 200), ("../../b.mp4", 200), ("c.exe", 422), ("", 422), ("..", 422)] {
        let path = format!("/api/films/hand-over?name={}", name.replace('/', "%2F"));
        let answer = room.send("POST", &path, &serde_json::json!({})).await;
        assert_eq!(answer.status, status, "{name}: {}", answer.text());
        if status == 200 {
            let kept = answer.json()["path"].as_str().unwrap().to_owned();
            let folder = room.dir().join("a.tape/film/handed-over").canonicalize().unwrap();
            assert!(std::path::Path::new(&kept).parent() == Some(&folder), "{kept}");
            assert_eq!(std::fs::read(&kept).unwrap(), b"{}");
        }
    }
    assert!(!room.dir().join("b.mp4").exists());
}

#[tokio::test]
async fn only_loopback_is_listened_at() {
    let room = room().await;
    for address in ["0.0.0.0", "::", "192.0.2.1"] {
        let options = Options { address: address.parse().unwrap(), port: 0 };
        let e = server::serve(room.bench(), options).await.unwrap_err();
        assert!(matches!(e, ServeError::NotLoopback { .. }), "{address}: {e}");
        assert!(e.to_string().contains(address), "{e}");
    }
}

#[tokio::test]
async fn bodies_are_bounded_and_must_be_json() {
    let room: Room = room().await;
    let study = serde_json::json!({ "name": "x".repeat(300_000), "passer": "", "right_handed": true, "evaluator": "" });
    assert_eq!(room.send("PUT", "/api/study", &study).await.status, 413);
    let auth = format!("Bearer {}", room.token());
    let plain = [("Authorization", auth.as_str()), ("Content-Type", "text/plain")];
    let answer = room.raw("PUT", "/api/study", &plain, b"{}").await;
    assert_eq!((answer.status, answer.json()["error"]["code"].as_str()), (415, Some("not-json")));
    let json = [("Authorization", auth.as_str()), ("Content-Type", "application/json")];
    for (body, word) in [("{", "EOF"), ("{}", "missing field"), ("[1]", "invalid")] {
        let answer = room.raw("PUT", "/api/study", &json, body.as_bytes()).await;
        assert_eq!(answer.status, 400, "{body}");
        let message = answer.json()["error"]["message"].as_str().unwrap().to_owned();
        assert!(message.contains(word), "{message}");
    }
}
