#!/bin/sh
# Layers: stages meet only in the public types; the program includes <checkstrip.h> alone; each header stands alone in C and C++.
# README.md tells what the program has and prints.
# Prints `ok NAME` or `not ok NAME` a check.
check() { # check NAME OUTPUT: ok when there is no output
  if [ -z "$2" ]; then echo "ok $1"; else printf 'not ok %s\n%s\n' "$1" "$2"; fi
}
includes() { grep -nE '^#include "' "$@" 2>/dev/null; } # the project's own, by path

stages="read audit analyze report write"
for stage in $stages; do
  others=$(echo "$stages cli" | tr ' ' '\n' | grep -vx "$stage" | paste -sd'|')
  check "src/$stage includes no other stage" "$(includes src/$stage/*.[ch] | grep -E "\"(\.\./)*($others)/")"
done
check "src/core knows no trial" "$(grep -nE '^#include (<checkstrip/(trial|results|report|run|table|agronomy)|"\.\.)' src/core/*.[ch])"
check "src/math and src/agronomy include no stage" "$(includes src/math/*.[ch] src/agronomy/*.[ch] | grep -E "\"\.\./($(echo $stages | tr ' ' '|')|cli)/")"
check "src/cli includes <checkstrip.h> only" "$(grep -nE '^#include (<checkstrip/|"\.\.)' src/cli/*.[ch])"
check "only cli and core/file.c open paths" "$(grep -nE '\b(fopen|open|mkstemp|rename|unlink)\(' src/read/*.c src/audit/*.c src/analyze/*.c src/report/*.c src/math/*.c src/agronomy/*.c src/checkstrip.c src/write/text.c src/write/json.c src/write/csv.c)"
check "the library never prints nor exits" "$(grep -nE '\b(printf|puts|fputs|exit|abort|setlocale|perror)\(' src/read/*.c src/audit/*.c src/analyze/*.c src/report/*.c src/write/*.c src/math/*.c src/agronomy/*.c src/core/arena.c src/core/names.c src/core/findings.c src/core/json.c src/core/numbers.c src/checkstrip.c)"
check "no word for unfinished work" "$(grep -nEi '\b(TODO|FIXME|XXX|HACK|placeholder)\b' -r src include tests --include=*.c --include=*.h --include=*.sh | grep -v tests/lint)"

out=$(for header in include/checkstrip.h include/checkstrip/*.h; do
  ${CC:-cc} -std=c11 -Wall -Wextra -Wpedantic -Werror -Iinclude -x c -fsyntax-only "$header" 2>&1 || echo "C: $header"
done)
check "each public header compiles alone in C" "$out"
if command -v c++ >/dev/null 2>&1; then
  out=$(for header in include/checkstrip.h include/checkstrip/*.h; do
    c++ -std=c++17 -Wall -Iinclude -x c++ -fsyntax-only "$header" 2>&1 || echo "C++: $header"
  done)
  check "each public header compiles alone in C++" "$out"
fi

commands=$(sed -n 's/^  X(\([a-z]*\), "[^"]*", ".*/\1/p' src/cli/cli.h)
out=$(for command in $commands; do grep -q "checkstrip $command" README.md || echo "README.md does not show: checkstrip $command"; done)
check "README lists every command" "$out"
out=$(
  sed -n '/^    \$ build.checkstrip summarize sample-trials.series/,/^With /p' README.md | sed -e '1d' -e '/^With /d' -e 's/^    //' -e '/./,$!d' >"${TMPDIR:-/tmp}/readme-screen.$$"
  sed '$d' tests/golden/cli/series.txt | diff -B - "${TMPDIR:-/tmp}/readme-screen.$$"
  rm -f "${TMPDIR:-/tmp}/readme-screen.$$"
)
check "the screen in README.md is the one that is printed" "$out"
check "the top level is as designed" "$(git ls-files 2>/dev/null | cut -d/ -f1 | sort -u | grep -vxE 'src|include|tests|sample-trials|Makefile|README.md|DEVELOPERS.md|LICENSE|\..*')"
