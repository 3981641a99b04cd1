#!/bin/sh
# Ratios measured in one run, each against its limit. From the top of the project:
#
#     sh tests/bench/run.sh BUILD        BUILD: the folder of the objects, as build/release; CHECKSTRIP: another program
#
# What is compared runs in turns, so that a busy machine slows both; medians are compared. Exit code 1 when one is over.
set -eu

build=${1:-build/release}
program=${CHECKSTRIP:-$build/checkstrip}
tools=$build/tests/bench
work=build/bench

big_locations=125 big_hybrids=2000 reps=4
big_rows=$((big_locations * big_hybrids * reps))
big=$work/big.csv big_turns=5
one_hybrids=2500
one=$work/one-place.csv one_turns=15

table_locations=125 table_hybrids=2500 table_reps=2
table=$work/table.csv table_turns=3

read_limit=8      # times a bare parse
memory_limit=150  # bytes a row
summary_limit=60  # ms
table_limit=4     # times the rest of the run: reading, the other analyses, JSON
table_bytes=100   # of the most memory, a cell of hybrids x environments

# measure NAME COMMAND...: one run, its line added to NAME.txt; a command that fails ends the bench
measure() {
  name=$1
  shift
  if ! "$tools/bench_run" "$@" >>"$work/$name.txt" 2>"$work/$name.err"; then
    echo "failed: $*" >&2
    cat "$work/$name.err" >&2
    exit 1
  fi
}

# median NAME FIELD: 1 wall seconds, 2 peak KB; of bench_interaction: see there
median() {
  cut -d' ' -f"$2" "$work/$1.txt" | sort -n |
    awk '{ v[NR] = $1 } END { print NR % 2 ? v[(NR + 1) / 2] : (v[NR / 2] + v[NR / 2 + 1]) / 2 }'
}

# generate FILE LOCATIONS HYBRIDS REPS: unless it is there already
generate() {
  [ -s "$1" ] && [ "$1" -nt "$tools/bench_generate" ] && return
  "$tools/bench_generate" "$2" "$3" "$4" >"$1.part"
  mv "$1.part" "$1"
}

# derive FILE FROM PROGRAM: by awk, which has a number for each hybrid and place, 0 .. 1008, in cell
derive() {
  awk -F, -v OFS=, 'NR == 1 { print; next } { split($1, l, " "); split($4, h, " "); cell = (l[2] * 7919 + h[2] * 104729) * 31 % 1009 }
    '"$3" "$2" >"$1"
}

over=0
# report WHAT MEASURED LIMIT UNIT: one line of the table
report() {
  verdict=$(awk -v measured="$2" -v limit="$3" 'BEGIN { print measured <= limit ? "ok" : "over" }')
  [ "$verdict" = ok ] || over=1
  printf '%-46s %10.1f %8.1f  %-8s %s\n' "$1" "$2" "$3" "$4" "$verdict"
}

command -v "$program" >/dev/null || { echo "no program at $program: build it first" >&2; exit 1; }
mkdir -p "$work"
rm -f "$work"/*.txt "$work"/*.err
generate "$big" $big_locations $big_hybrids $reps
generate "$one" 1 $one_hybrids $reps
generate "$table" $table_locations $table_hybrids $table_reps
derive "$work/crossing.csv" "$table" '{ $5 = sprintf("%.1f", $5 + 5 * (cell % 7 - 3)); print }'
derive "$work/cells.csv" "$table" 'cell % 20 { print }'

measure warm_csv "$tools/bench_csv" "$big" # the file is in the cache from here on
turn=0
while [ $((turn += 1)) -le $big_turns ]; do
  measure csv "$tools/bench_csv" "$big"
  measure audit "$program" audit "$big"
  measure empty "$program" --version
done

turn=0
while [ $((turn += 1)) -le $one_turns ]; do
  measure summary "$program" summarize "$one" -o "$work/one-place.json"
  measure empty "$program" --version
done

# Hybrids by environments: no interaction, some (so that all pairs are looked at), and a cell in twenty empty.
turn=0
while [ $((turn += 1)) -le $table_turns ]; do
  for name in table crossing cells; do
    "$tools/bench_interaction" "$work/$name.csv" >>"$work/$name.txt"
  done
done

csv_s=$(median csv 1) audit_s=$(median audit 1) empty_s=$(median empty 1) summary_s=$(median summary 1)
audit_kb=$(median audit 2) empty_kb=$(median empty 2)
calculate() { awk "BEGIN { print $1 }"; }

printf 'bare parse %s s, audit %s s and %s KB; empty command %s s and %s KB; summary %s s (medians)\n\n' \
  "$csv_s" "$audit_s" "$audit_kb" "$empty_s" "$empty_kb" "$summary_s"
printf '%-46s %10s %8s  %-8s %s\n' what measured limit unit ''
report "audit of $big_rows rows" "$(calculate "$audit_s / $csv_s")" $read_limit 'x parse'
report "its memory above an empty command" "$(calculate "($audit_kb - $empty_kb) * 1024 / $big_rows")" $memory_limit 'B/row'
report "one place, $one_hybrids hybrids x $reps reps, to JSON" "$(calculate "($summary_s - $empty_s) * 1000")" $summary_limit ms
for name in table crossing cells; do
  report "hybrids by environments, $table_hybrids x $table_locations, $name" \
    "$(calculate "$(median $name 2) / ($(median $name 1) - $(median $name 2))")" $table_limit 'x rest'
done
report "the memory it adds to the run's peak" \
  "$(calculate "($(median table 4) - $(median table 3)) * 1024 / ($table_locations * $table_hybrids)")" $table_bytes 'B/cell'
printf '\nhybrids by environments: %s s and %s s of %s s with pairs, %s s of %s s with empty cells; peak %s KB and %s KB\n' \
  "$(median table 2)" "$(median crossing 2)" "$(median crossing 1)" "$(median cells 2)" "$(median cells 1)" "$(median table 4)" "$(median cells 4)"
exit $over
