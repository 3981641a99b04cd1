#!/bin/sh
# Runs every test program of a build folder and the scripts beside it; ends with `N passed, N failed`.
# usage: tests/run.sh build/MODE      (from the project's top)
# With CKS_TEST_LONG set the programs draw more; the table of rates that they print stands before the last line.
set -u
build=$1
logs=$build/logs
mkdir -p "$logs"
passed=0
failed=0

count() { # count LOG: adds what one log says
  p=$(sed -n 's/^\[  PASSED  \] \([0-9]*\) test.*/\1/p' "$1" | tail -n 1)
  f=$(sed -n 's/^\[  FAILED  \] .*: \{0,1\}\([0-9]*\) test(s), listed below.*/\1/p;s/^\[  FAILED  \] \([0-9]*\) test(s).*/\1/p' "$1" | tail -n 1)
  passed=$((passed + ${p:-0}))
  failed=$((failed + ${f:-0}))
}

for source in tests/unit/*.c tests/reference/*.c tests/property/*.c tests/oom/*.c; do
  [ -f "$source" ] || continue
  program=$build/${source%.c}
  log=$logs/$(basename "$program").log
  before=$failed
  "$program" >"$log" 2>&1
  code=$?
  count "$log"
  if [ "$code" -ne 0 ]; then
    [ "$failed" -gt "$before" ] || failed=$((failed + 1)) # it died
    echo "FAILED: $program ($log)"
    grep -E '^\[  FAILED|^\[  ERROR|is .*, expected|runtime error|ERROR: Address' "$log" | head -n 20
  fi
done

for script in tests/lint/*.sh tests/golden/*.sh tests/fuzz/replay.sh; do
  [ -f "$script" ] || continue
  log=$logs/$(echo "$script" | tr / -).log
  sh "$script" "$build" >"$log" 2>&1 # prints a line `ok ...` or `not ok ...` a check
  code=$?
  ok=$(grep -c '^ok ' "$log")
  bad=$(grep -c '^not ok ' "$log")
  [ "$code" -ne 0 ] && [ "$bad" -eq 0 ] && bad=1
  passed=$((passed + ok))
  failed=$((failed + bad))
  if [ "$bad" -gt 0 ]; then
    echo "FAILED: $script ($log)"
    grep -A 12 '^not ok ' "$log" | head -n 60
  fi
done

[ -z "${CKS_TEST_LONG:-}" ] || sed -n 's/^rate: //p' "$logs"/*.log | awk '!/^setting/ || !head++'
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
