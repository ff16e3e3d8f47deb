-- Only BIGINT, DOUBLE PRECISION and TEXT, and statements that PostgreSQL also runs.

-- Counters of the study: revision, edit, id, job.
CREATE TABLE counter (
    name  TEXT   NOT NULL PRIMARY KEY,
    value BIGINT NOT NULL
);

-- What the evaluator made. Body is JSON of the `play` type that the kind names; owner is the play, clip or game that
-- it belongs to.
CREATE TABLE record (
    kind     TEXT   NOT NULL,
    id       TEXT   NOT NULL,
    owner    TEXT,
    body     TEXT   NOT NULL,
    revision BIGINT NOT NULL,
    PRIMARY KEY (kind, id)
);
CREATE INDEX record_by_owner ON record (owner, kind);

-- Every edit, in order. State: done, undone (redo can bring it back), dropped (undone, then something else was done).
CREATE TABLE edit (
    id      BIGINT NOT NULL PRIMARY KEY,
    label   TEXT   NOT NULL,
    play_id TEXT,
    at_ms   BIGINT NOT NULL,
    state   TEXT   NOT NULL,
    merge   TEXT
);
CREATE INDEX edit_by_state ON edit (state, id);
CREATE INDEX edit_by_play ON edit (play_id, id);

CREATE TABLE edit_change (
    edit_id      BIGINT NOT NULL REFERENCES edit (id),
    seq          BIGINT NOT NULL,
    kind         TEXT   NOT NULL,
    record_id    TEXT   NOT NULL,
    owner_before TEXT,
    before       TEXT,
    owner_after  TEXT,
    after        TEXT,
    PRIMARY KEY (edit_id, seq)
);

-- Film files and what one decoding of each gave (JSON). Path is relative to the study when the film was copied in.
CREATE TABLE film (
    id          TEXT   NOT NULL PRIMARY KEY,
    game_id     TEXT,
    name        TEXT   NOT NULL,
    path        TEXT   NOT NULL,
    copied      BIGINT NOT NULL,
    fingerprint TEXT   NOT NULL,
    probe       TEXT   NOT NULL,
    ingested    TEXT   NOT NULL,
    added_ms    BIGINT NOT NULL
);
CREATE INDEX film_by_fingerprint ON film (fingerprint);

-- What can always be computed again. Key names the inputs it was computed from.
CREATE TABLE computed (
    kind TEXT NOT NULL,
    id   TEXT NOT NULL,
    key  TEXT NOT NULL,
    body TEXT NOT NULL,
    PRIMARY KEY (kind, id)
);

-- Long work, so that what was under way when the program ended is taken up again.
CREATE TABLE job (
    id      BIGINT NOT NULL PRIMARY KEY,
    kind    TEXT   NOT NULL,
    title   TEXT   NOT NULL,
    request TEXT   NOT NULL,
    state   TEXT   NOT NULL,
    message TEXT   NOT NULL,
    made_ms BIGINT NOT NULL
);
CREATE INDEX job_by_state ON job (state, id);
