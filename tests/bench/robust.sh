#!/bin/sh
# -2 REML log-likelihoods against the best that lme4 finds, on awkward data sets. From the top of the project:
#
#     sh tests/bench/robust.sh DIR [PROGRAM]      DIR: the sets, made by robust.R when it has none
#
# PROGRAM CSV MODEL, MODEL fixed, random or environments-fixed, prints `minus2=`, `iterations=` and lines `variance TERM=`.
# Exit code 1 when a fit failed or is worse than lme4's. COUNT=150 and LIMIT=1e-4 may be set. Without R nothing is compared, and
# that is said.
set -eu

folder=${1:?usage: sh tests/bench/robust.sh DIR [PROGRAM]}
program=${2:-build/release/tests/bench/bench_reml}
count=${COUNT:-150}
limit=${LIMIT:-1e-4}

command -v "$program" >/dev/null || { echo "no program at $program: build it first" >&2; exit 1; }
if [ ! -s "$folder/ref.txt" ]; then
  if ! Rscript -e 'library(lme4)' >/dev/null 2>&1; then
    echo "R with lme4 is not installed: nothing was compared"
    exit 0
  fi
  OPENBLAS_NUM_THREADS=1 Rscript "$(dirname "$0")/robust.R" "$folder" "$count"
fi

fits=$folder/fits.txt
# a line a fit: SET MODEL REFERENCE MINUS2 ITERATIONS ZEROS, `failed` for the last three when the program gave none
while read -r name plots blocks fixed random environments_fixed; do
  for model in "fixed $fixed" "random $random" "environments-fixed $environments_fixed"; do
    [ "${model#* }" = NA ] && continue
    "$program" "$folder/$name.csv" "${model% *}" 2>/dev/null | awk -F= -v fit="$name $model" '
      $1 == "minus2" { minus2 = $2 }
      $1 == "iterations" { iterations = $2 }
      /^variance / && $2 == 0 { zeros++ }
      END {
        if (minus2 ~ /^ *-?[0-9]/ && iterations != "") print fit, minus2, iterations, zeros + 0
        else print fit, "failed failed failed"
      }'
  done
done <"$folder/ref.txt" >"$fits"

awk -v limit="$limit" '$4 == "failed" || $4 - $3 > limit || $3 - $4 > limit {
  printf "%s %s: lme4 %s, here %s after %s iterations\n", $1, $2, $3, $4, $5 }' "$fits"

# the iterations come sorted, so that the median is the one in the middle
sort -k5,5n "$fits" | awk -v limit="$limit" '
  { total++ }
  $4 == "failed" { failed++; next }
  {
    iterations[++fits] = $5
    difference = $4 - $3
    if (difference > limit) worse++
    if (difference < 0) difference = -difference
    if (difference > largest) largest = difference
    if ($6 > 0) zero++
  }
  END {
    printf "fits %d, failed %d, worse than %s: %d, largest difference %.1e, with a zero component %d, ", total, failed, limit, worse, largest, zero
    printf "iterations median %d, largest %d\n", iterations[int((fits + 1) / 2)], iterations[fits]
    exit !total || failed > 0 || worse > 0
  }'
