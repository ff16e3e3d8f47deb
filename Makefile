# Two commands do all set-up on a fresh machine with Rust, Node 20 and make:
#   make demo [NO_OPEN=1]   install what is missing, build, make the demo study from rendered film, open the app
#   make test               install what the tests need, run all of them
SHELL := bash
.SHELLFLAGS := -eu -o pipefail -c
.DEFAULT_GOAL := help
.PHONY: help demo test bench accuracy fmt lint video-tool browser checks-env ui client clean-demo

PYTHON ?= python3
DEMO   ?= demo
CARGO  := cargo --locked

help:
	@sed -n 's/^#  *//p' Makefile | head -3

# --- what a fresh machine lacks -------------------------------------------------------------------
video-tool:
	@scripts/need.sh ffmpeg ffprobe

browser:
	@scripts/need.sh chromium

checks/.venv/made: checks/requirements.txt checks/requirements-alone.txt
	$(PYTHON) -m venv checks/.venv
	checks/.venv/bin/pip install -q --disable-pip-version-check -r checks/requirements.txt
	checks/.venv/bin/pip install -q --disable-pip-version-check --no-deps -r checks/requirements-alone.txt
	touch $@
checks-env: checks/.venv/made

ui/node_modules/made: ui/package-lock.json
	cd ui && npm ci --no-audit --no-fund
	touch $@
# The program holds the page: built again only when its sources changed, or the program would be linked anew every time.
UI_SOURCES := $(shell find ui/src ui/public ui/index.html ui/svelte.config.js ui/vite.config.ts ui/tsconfig.json ui/package-lock.json -type f)
ui/dist/index.html: ui/node_modules/made $(UI_SOURCES)
	cd ui && npm run --silent build
ui: ui/dist/index.html

# --- the two commands -----------------------------------------------------------------------------
demo: video-tool ui
	$(CARGO) build --release -p scrimmage -p cli
	scripts/demo.sh $(DEMO) $(if $(NO_OPEN),--no-open,)

test: video-tool browser checks-env ui
	$(CARGO) test --workspace
	cd ui && npm test --silent

# --- figures, never pass or fail ------------------------------------------------------------------
bench: video-tool browser checks-env ui
	scripts/figures.sh bench

accuracy: video-tool checks-env
	scripts/figures.sh accuracy

# --- habits ---------------------------------------------------------------------------------------
fmt:
	cargo fmt --all
	cd ui && npm run --silent fmt

lint: ui
	cargo fmt --all --check
	$(CARGO) clippy --workspace --all-targets -- -D warnings
	cd ui && npm run --silent check

client: ui/node_modules/made
	$(CARGO) run -q -p cli -- openapi > ui/openapi.json
	cd ui && npm run --silent client
