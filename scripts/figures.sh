#!/usr/bin/env bash
# Runs every crate's figure-printing example of one kind (`bench` or `accuracy`) and gathers their JSON lines in
# target/KIND.json. A goal missed is reported there, not an error here; an example that breaks is.
set -eu -o pipefail
kind=$1
cd "$(dirname "$0")/.."
mkdir -p target
lines=target/$kind.lines
: > "$lines"
# One build for all: built crate by crate, each would choose features of its own and compile what the others have anew.
cargo --locked build -q --release --workspace --examples
for source in crates/*/examples/"${kind}"_*.rs; do
  name=$(basename "$source" .rs)
  crate=$(basename "$(dirname "$(dirname "$source")")")
  echo "== $crate: $name" >&2
  "target/release/examples/$name" | tee -a "$lines"
done
if [ "$kind" = bench ] && [ -x ui/node_modules/.bin/tsx ]; then
  echo "== room" >&2
  cargo --locked build -q -p cli
  (cd ui && npm run --silent room) | tee -a "$lines"
fi
grep '^{' "$lines" | checks/.venv/bin/python scripts/gather.py > "target/$kind.json"
rm "$lines"
echo "wrote target/$kind.json" >&2
