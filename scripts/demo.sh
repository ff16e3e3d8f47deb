#!/usr/bin/env bash
# Makes the demo study in the given folder from rendered film by the product's own commands, and opens it: three games of one
# invented passer. The field is found without clicks; the scripted evaluator clicks paint only where it was not.
# A finished study is kept; remove the folder to make it anew.
set -eu
cd "$(dirname "$0")/.."
folder=$1
open=${2:-}
study=$folder/demo.tape
tapemeasure=target/release/tapemeasure

# One game: its number, its name, lines of picture.
game() {
  local at="$folder/game-$1" id
  echo "filming the $2 ..."
  target/release/scrimmage demo --out "$at" --game "$1" --height "$3"
  echo "bringing the $2 in ..."
  id=$("$tapemeasure" game "$study" "$2" --rule-book college --json | sed -n 's/.*"id": *"\([^"]*\)".*/\1/p' | head -1)
  "$tapemeasure" import "$study" "$at/film" --game "$id"
  "$tapemeasure" pair "$study" --game "$id"
  "$tapemeasure" play-list "$study" "$at/playlist.csv" --game "$id"
  "$tapemeasure" line-up-game "$study" --game "$id"
  "$tapemeasure" enter "$study" --paint-where-needed "$at"/hands/*.json > /dev/null
  "$tapemeasure" follow "$study" --waiting
}

if [ ! -e "$folder/done" ]; then
  rm -rf "$folder"
  mkdir -p "$folder"
  "$tapemeasure" new "Demo: an invented passer" "$study" --passer "the passer" --evaluator "demo"
  game 1 "first game" 720
  game 2 "second game" 360
  game 3 "third game" 360
  echo "measuring and judging ..."
  "$tapemeasure" measure "$study" > "$folder/figures.txt"
  "$tapemeasure" judge "$study" > "$folder/judgements.txt"
  # What the figures carry, what they only lean to, and the evaluator's own sentences.
  "$tapemeasure" drafts "$study" --take
  "$tapemeasure" open-questions "$study" --take 3
  for claim in scripts/demo-claims/*.json; do "$tapemeasure" claim "$study" --clips 4 < "$claim"; done
  "$tapemeasure" report "$study" --out "$folder/report.pdf"
  "$tapemeasure" report "$study" --out "$folder/report.html"
  "$tapemeasure" report "$study" --extent presentation --film --out "$folder/presentation.html"
  "$tapemeasure" export "$study" --format xlsx --out "$folder/throws.xlsx"
  touch "$folder/done"
fi
echo "the study is $study, its report $folder/report.pdf"
[ "$open" = --no-open ] || exec "$tapemeasure" serve "$study"
