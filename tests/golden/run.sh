#!/bin/sh
# Golden files: what the program prints, byte for byte.
#   read/CASE/input.csv (or the files that read/CASE/args names): `checkstrip audit` there, against read/CASE/expect.txt;
#   where there is an expect-xlsx.txt, the same table as a workbook (to_xlsx.c) against that
#   cli/cases.tst: lines `NAME EXIT ARGUMENTS...`: the program from the project's top, against cli/NAME.txt
# The cases run twice, the second time with OpenBLAS's oldest kernels. usage: run.sh BUILD [update]
set -u
build=$1
update=${2:-}
case $build in */checkstrip) program=$build ;; *) program=$build/checkstrip ;; esac
program=$(cd "$(dirname "$program")" && pwd)/$(basename "$program")
here=tests/golden
case $build in */checkstrip) to_xlsx=build/release/tests/golden/to_xlsx ;; *) to_xlsx=$build/tests/golden/to_xlsx ;; esac
out=$(mktemp)
book=$(mktemp -d)
trap 'rm -rf "$out" "$book"' EXIT

compare() { # compare NAME EXPECTED
  if [ "$update" = update ]; then
    cp "$out" "$2"
    echo "ok $1 (written)"
  elif diff -u "$2" "$out" >"$out.diff" 2>&1; then
    echo "ok $1"
  else
    echo "not ok $1"
    cat "$out.diff"
  fi
  rm -f "$out.diff"
}

all() { # all SUFFIX
  for case in $here/read/*/; do
    [ -d "$case" ] || continue
    name=$(basename "$case")
    arguments=input.csv
    [ -f "$case/args" ] && arguments=$(cat "$case/args")
    (cd "$case" && eval "$program audit $arguments"; echo "exit $?") >"$out" 2>&1
    compare "read/$name$1" "${case}expect.txt"
    [ -f "${case}expect-xlsx.txt" ] || continue
    "$to_xlsx" "${case}input.csv" "$book/input.xlsx" || echo "not ok read/$name as a workbook: not written"
    (cd "$book" && "$program" audit input.xlsx; echo "exit $?") >"$out" 2>&1
    compare "read/$name as a workbook$1" "${case}expect-xlsx.txt"
  done
  while read -r name code arguments; do
    case $name in '' | '#'*) continue ;; esac
    eval "$program $arguments" >"$out" 2>&1
    echo "exit $?" >>"$out"
    grep -qx "exit $code" "$out" || echo "not ok cli/$name$1: expected exit $code, found $(tail -n 1 "$out")"
    compare "cli/$name$1" "$here/cli/$name.txt"
  done <$here/cli/cases.tst
}

all ""
[ "$update" = update ] || { OPENBLAS_CORETYPE=Prescott; export OPENBLAS_CORETYPE; all " (oldest kernels)"; }
