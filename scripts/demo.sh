#!/usr/bin/env bash
# Makes the demo study in the given folder from rendered film by the product's own commands, and opens it.
# A finished study is kept; remove the folder to make it anew.
set -eu
cd "$(dirname "$0")/.."
folder=$1
open=${2:-}
study=$folder/demo.tape
tapemeasure=target/release/tapemeasure

if [ ! -e "$folder/done" ]; then
  rm -rf "$folder"
  echo "filming an invented game ..."
  target/release/scrimmage demo --out "$folder"
  echo "making the study ..."
  "$tapemeasure" new "Demo: an invented passer" "$study" --passer "the passer" --evaluator "demo"
  "$tapemeasure" game "$study" "First game" --rule-book college
  "$tapemeasure" import "$study" "$folder/film"
  "$tapemeasure" pair "$study"
  "$tapemeasure" play-list "$study" "$folder/playlist.csv"
  "$tapemeasure" enter "$study" "$folder"/hands/*.json
  "$tapemeasure" follow "$study"
  "$tapemeasure" measure "$study" > "$folder/figures.txt"
  "$tapemeasure" judge "$study" > "$folder/judgements.txt"
  for claim in scripts/demo-claims/*.json; do "$tapemeasure" claim "$study" < "$claim"; done
  "$tapemeasure" report "$study" --out "$folder/report.pdf"
  "$tapemeasure" report "$study" --out "$folder/report.html"
  "$tapemeasure" report "$study" --extent presentation --film --out "$folder/presentation.html"
  "$tapemeasure" export "$study" --format xlsx --out "$folder/throws.xlsx"
  touch "$folder/done"
fi
echo "the study is $study, its report $folder/report.pdf"
[ "$open" = --no-open ] || exec "$tapemeasure" serve "$study"
