#!/bin/sh
# Feeds every small file that the tests hold to each fuzz entry once: the corpus, without a fuzzer. usage: replay.sh BUILD
set -u
build=$1
for replay in "$build"/tests/fuzz/replay_*; do
  case $replay in *.d | *.o) continue ;; esac
  if find tests sample-trials -type f \( -name '*.csv' -o -name '*.txt' -o -path '*/corpus/*' \) -size -200k -print0 |
    sort -z | xargs -0 "$replay" >/dev/null 2>"$build/replay.err"; then
    echo "ok $(basename "$replay")"
  else
    echo "not ok $(basename "$replay")"
    head -n 20 "$build/replay.err"
  fi
done
