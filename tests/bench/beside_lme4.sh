#!/bin/sh
# The mixed model beside lme4 (with lmerTest, emmeans and pbkrtest) on the same data, in turns. From the top of the project:
#
#     sh tests/bench/beside_lme4.sh BUILD        BUILD: the folder of the objects, as build/release
#
# R: the task alone, without starting, loading and reading. Ours: the whole program, reading included. Medians; one BLAS
# thread on both sides. With BENCH_LONG set also a million plots (some ten minutes). Exit code 1 when a ratio is below its
# demand, or the two disagree. Without R nothing is compared, and that is said.
set -eu

build=${1:-build/release}
tools=$build/tests/bench
here=$(dirname "$0")
work=build/bench/lme4
turns=${TURNS:-3}
export OPENBLAS_NUM_THREADS=1 OMP_NUM_THREADS=1

if ! Rscript -e 'for (p in c("lme4", "lmerTest", "emmeans", "pbkrtest")) library(p, character.only = TRUE)' >/dev/null 2>&1; then
  echo "R with lme4, lmerTest, emmeans and pbkrtest is not installed: nothing was compared"
  exit 0
fi
mkdir -p "$work"
rm -f "$work"/*.txt

# value NAME FILE: of a line NAME=VALUE
value() { sed -n "s/^$1=//p" "$2"; }
median() { sort -n "$1" | awk '{ v[NR] = $1 } END { print NR % 2 ? v[(NR + 1) / 2] : (v[NR / 2] + v[NR / 2 + 1]) / 2 }'; }

# generate SET HYBRIDS LOCATIONS REPS BLOCK_SIZE
generate() {
  set=$1
  shift
  [ -s "$work/$set.csv" ] && [ "$work/$set.csv" -nt "$tools/bench_simulate" ] && return
  "$tools/bench_simulate" "$@" >"$work/part"
  mv "$work/part" "$work/$set.csv"
}

failed=0
# beside TASK SET DEMAND TURNS: a line of the table
beside() {
  task=$1 set=$2 demand=$3 turn=0
  words=$task
  case $task in satterthwaite | kr) words="fixed $task" ;; esac
  while [ $((turn += 1)) -le "$4" ]; do
    Rscript "$here/beside_lme4.R" "$task" "$work/$set.csv" >"$work/r.out" 2>/dev/null
    value seconds "$work/r.out" >>"$work/$task-$set-r.txt"
    # shellcheck disable=SC2086 # words are arguments
    "$tools/bench_run" "$tools/bench_reml" "$work/$set.csv" $words | cut -d' ' -f1 >>"$work/$task-$set-ours.txt"
  done
  # shellcheck disable=SC2086
  "$tools/bench_reml" "$work/$set.csv" $words >"$work/ours.out"
  rows=$(($(wc -l <"$work/$set.csv") - 1))
  awk -v task="$task" -v rows="$rows" -v r="$(median "$work/$task-$set-r.txt")" -v ours="$(median "$work/$task-$set-ours.txt")" \
    -v demand="$demand" -v theirs2="$(value minus2 "$work/r.out")" -v ours2="$(value minus2 "$work/ours.out")" \
    -v their_df="$(value df12 "$work/r.out")" -v our_df="$(value df12 "$work/ours.out")" 'BEGIN {
    off = (ours2 - theirs2) / (theirs2 < 0 ? -theirs2 : theirs2)
    df_off = their_df == "" ? 0 : our_df / their_df - 1 # theirs are of components where a loose climb stopped
    verdict = r / ours >= demand && off < 1e-7 && off > -1e-5 && df_off < .005 && df_off > -.005 ? "ok" : "FAILED"
    printf "%-14s %8d %10.3f %10.4f %8.0f %7d  %9.1e  %s  %s\n", task, rows, r, ours, r / ours, demand, off, verdict,
      our_df == "" ? "" : sprintf("df of a pair %.6g and %.6g", their_df, our_df)
    exit verdict != "ok"
  }' || failed=1
}

generate plots400 20 10 2 5
generate plots4k 50 20 4 10
generate plots40k 200 50 4 20
printf '%-14s %8s %10s %10s %8s %7s  %9s\n' task plots 'lme4 s' 'ours s' ratio demand '-2logREML off'
beside random plots400 10 "$turns"
beside fixed plots400 10 "$turns"
beside random plots4k 20 "$turns"
beside fixed plots4k 20 "$turns"
beside satterthwaite plots4k 50 "$turns"
beside kr plots4k 50 "$turns"
beside random plots40k 20 "$turns"
beside fixed plots40k 100 1 # half a minute
if [ -n "${BENCH_LONG:-}" ]; then
  generate plots1m 2500 125 4 0
  beside random plots1m 50 1
fi
exit $failed
