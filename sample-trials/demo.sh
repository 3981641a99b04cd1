#!/bin/sh
# Runs the main job on the sample trials. From the top of the project, after the build: sh sample-trials/demo.sh
set -eu

program=build/checkstrip
series=sample-trials/series
out=build/demo

say() { printf '\n$ %s\n' "$*"; }

mkdir -p "$out"

echo "One place: 8 hybrids, 4 reps."
say "$program" summarize sample-trials/one-place/plots.csv
"$program" summarize sample-trials/one-place/plots.csv

printf '\nA series: 14 hybrids at 6 places.\n'
say "$program" summarize "$series/plots/*.csv" --places "$series/places.csv"
"$program" summarize "$series"/plots/*.csv --places "$series/places.csv"

say "$program" summarize "$series/plots/*.csv" --places "$series/places.csv" \
  -o "$out/series.xlsx" -o "$out/series.json" -o "$out/series.csv"
"$program" summarize "$series"/plots/*.csv --places "$series/places.csv" \
  -o "$out/series.xlsx" -o "$out/series.json" -o "$out/series.csv" >/dev/null

season=sample-trials/season
printf '\nA season as it comes from the field: three files a place.\n'
say "$program" summarize "$season/*-*.csv" --places "$season/places.csv" --names "$season/names.csv" --locations fixed
"$program" summarize "$season"/*-*.csv --places "$season/places.csv" --names "$season/names.csv" --locations fixed
say "$program" audit "$season/*-*.csv" --places "$season/places.csv" --names "$season/names.csv" --fix "$out/season.csv"
"$program" audit "$season"/*-*.csv --places "$season/places.csv" --names "$season/names.csv" --fix "$out/season.csv" >/dev/null

strips=sample-trials/strips
printf '\nStrips at nine farms, a check repeated, hybrids missing here and there.\n'
say "$program" summarize "$strips/strips.csv" --places "$strips/places.csv"
"$program" summarize "$strips/strips.csv" --places "$strips/places.csv"
say "$program" summarize "$strips/strips.csv" --places "$strips/places.csv" --strip-adjustment difference
"$program" summarize "$strips/strips.csv" --places "$strips/places.csv" --strip-adjustment difference

alpha=sample-trials/alpha
printf '\nIncomplete blocks: 30 hybrids at 3 places.\n'
say "$program" summarize "$alpha/*-*.csv" --places "$alpha/places.csv"
"$program" summarize "$alpha"/*-*.csv --places "$alpha/places.csv"
say "$program" summarize "$alpha/*-*.csv" --places "$alpha/places.csv" -o "$out/alpha.xlsx"
"$program" summarize "$alpha"/*-*.csv --places "$alpha/places.csv" -o "$out/alpha.xlsx" >/dev/null

years=sample-trials/three-years
printf '\nThree years: 12 hybrids at 5 places, and three that are new in the last year.\n'
say "$program" summarize "$years/20*.csv" --places "$years/places.csv"
"$program" summarize "$years"/20*.csv --places "$years/places.csv"
say "$program" summarize "$years/20*.csv" --places "$years/places.csv" -o "$out/three-years.xlsx"
"$program" summarize "$years"/20*.csv --places "$years/places.csv" -o "$out/three-years.xlsx" >/dev/null

forage=sample-trials/forage
printf '\nA forage: 7 hybrids at 2 places, cut three times.\n'
say "$program" summarize "$forage/plots.csv" --places "$forage/places.csv" --crop sorghum-sudangrass
"$program" summarize "$forage/plots.csv" --places "$forage/places.csv" --crop sorghum-sudangrass

printf '\nThe results lie in %s: series.xlsx, alpha.xlsx and three-years.xlsx to hand out, series.json and series.csv for other programs,\nseason.csv the plots of the season as understood.\n' "$out"
