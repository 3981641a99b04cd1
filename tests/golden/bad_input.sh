#!/bin/sh
# The worst files and places we could think of: each must end in a clear message, the right exit code, and no half-written file.
# usage: bad_input.sh BUILD     prints `ok NAME` or `not ok NAME` a check
set -u
program=$(cd "$1" && pwd)/checkstrip
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
cd "$folder" || exit 1

check() { # check NAME EXIT WORDS COMMAND...: the exit code, WORDS somewhere in what is printed, no crash, no leftover beside the inputs
  name=$1 code=$2 words=$3
  shift 3
  "$@" >printed 2>&1
  found=$?
  left=$(find . -maxdepth 1 \( -name 'out.*' -o -name '*.??????' \) ! -name '*.csv' ! -name 'printed' | head -n 3)
  if [ "$found" -ne "$code" ]; then
    echo "not ok $name: exit $found, expected $code"
    head -c 2000 printed
  elif ! grep -q -- "$words" printed; then
    echo "not ok $name: '$words' is not in what was printed"
    head -c 2000 printed
  elif grep -qE 'runtime error|AddressSanitizer|LeakSanitizer' printed; then
    echo "not ok $name: a sanitizer complains"
    head -c 4000 printed
  elif [ -n "$left" ]; then
    echo "not ok $name: left behind: $left"
    rm -f $left
  else
    echo "ok $name"
  fi
}
plots() { # plots HEADING ROW...: a file of these lines
  printf '%s\n' "$@"
}

good="location,rep,hybrid,yield (bu/ac at 14 %)"
: >empty.csv
echo "$good" >heading.csv
head -c 20000 /dev/urandom >junk.csv
printf 'PK\003\004junk' >workbook.csv
printf '%s\nCreek,1,"A,92\nCreek,1,B,93\n' "$good" >quote.csv
{ echo "$good"; printf 'Creek,1,'; head -c 10000000 /dev/zero | tr '\0' x; echo ',92'; } >longline.csv
seq -s, 1 100000 >columns.csv && echo 1 >>columns.csv
plots "$good" Creek,1,A,92 Creek,2,A,93 Creek,3,A,95 >onehybrid.csv
plots "$good" Creek,1,A, Creek,1,B, Creek,2,A, Creek,2,B, >missing.csv
plots "$good" Creek,1,A,90 Creek,1,B,90 Creek,2,A,90 Creek,2,B,90 >equal.csv
for value in nan inf -inf 1e308 1e999 0x5C "1,234" 9,2 "92 bu" 0 -5; do
  plots "$good" "Creek,1,A,\"$value\"" Creek,1,B,93 Creek,2,A,91 Creek,2,B,95 >"value $value.csv"
done
iconv -f UTF-8 -t UTF-16 equal.csv >utf16.csv
iconv -f UTF-8 -t UTF-16LE equal.csv >utf16le.csv
mkdir folder.csv
echo "settings = loop.txt" >loop.txt
echo "alpha = 0.1" >nofile.txt
plots "$good" Creek,1,A,92 Creek,1,B,97 Creek,1,C,104 Creek,2,A,91 Creek,2,B,98 Creek,2,C,106 Creek,3,A,93 Creek,3,B,96 Creek,3,C,107 >good.csv

check "empty file" 1 empty-table "$program" summarize empty.csv -o out.xlsx
check "heading only" 1 empty-table "$program" summarize heading.csv -o out.xlsx
check "binary junk" 1 'error:' "$program" summarize junk.csv -o out.json
check "a cut workbook named .csv" 1 workbook-damaged "$program" summarize workbook.csv -o out.json
check "unclosed quote" 1 unclosed-quote "$program" summarize quote.csv
check "a line of 10 MB" 1 too-large "$program" summarize longline.csv -o out.csv
check "100,000 columns" 1 too-large "$program" summarize columns.csv
check "one hybrid" 0 'hybrid' "$program" summarize onehybrid.csv
check "all missing" 1 no-trait "$program" summarize missing.csv -o out.xlsx
check "all equal" 0 'nothing to compare' "$program" summarize equal.csv
check "nan" 1 not-a-number "$program" summarize "value nan.csv"
check "inf" 1 not-a-number "$program" summarize "value inf.csv"
check "-inf" 1 not-a-number "$program" summarize "value -inf.csv"
check "1e308" 1 out-of-range "$program" summarize "value 1e308.csv"
check "1e999" 1 'error:' "$program" summarize "value 1e999.csv"
check "hexadecimal" 1 not-a-number "$program" summarize "value 0x5C.csv"
check "comma in a number" 1 comma-in-number "$program" summarize "value 1,234.csv"
check "comma in a number names the option" 1 '--decimal-comma' "$program" summarize "value 9,2.csv"
check "a unit in a cell" 1 not-a-number "$program" summarize "value 92 bu.csv"
check "zero" 1 zero-means-lost "$program" summarize "value 0.csv"
check "negative" 1 out-of-range "$program" summarize "value -5.csv"
check "UTF-16 with a mark" 1 encoding "$program" summarize utf16.csv
check "UTF-16 without" 1 encoding "$program" summarize utf16le.csv
check "a folder as input" 4 folder "$program" summarize folder.csv
check "junk as settings" 2 'UTF-8' "$program" summarize --settings junk.csv
check "a folder as settings" 4 folder "$program" summarize --settings folder.csv
check "a settings file that names itself" 2 'cannot name another' "$program" summarize --settings loop.txt
check "settings that name no file" 2 'name at least one file' "$program" summarize --settings nofile.txt
check "settings of 10 MB" 2 'too large' "$program" summarize --settings longline.csv
check "junk as names" 1 'error:' "$program" summarize good.csv --names junk.csv
check "plots as names" 0 not-analyzed "$program" audit good.csv --names good.csv
check "an output over the names" 2 'is an input' "$program" summarize good.csv --names equal.csv -o equal.csv
plots location,planted Creek,2026-05-20 >fields.csv
plots hybrid A B >whose.csv
ln -s good.csv linked.csv
check "--fix over an input spelled otherwise" 2 "'./good.csv' is the input 'good.csv'" "$program" audit good.csv --fix ./good.csv
check "-o over an input by a link" 2 "'linked.csv' is the input 'good.csv'" "$program" summarize good.csv -o linked.csv
check "--template over the places" 2 "is the input 'fields.csv'" "$program" audit --template ./fields.csv --places fields.csv --names whose.csv --reps 2
check "--template over the names" 2 "is the input 'whose.csv'" "$program" audit --template "$folder/whose.csv" --places fields.csv --names whose.csv --reps 2
check "no such file" 4 'No such file' "$program" summarize nothere.csv
check "no such folder for the output" 4 nowhere "$program" summarize good.csv -o nowhere/out.xlsx
check "output is a folder" 4 folder "$program" summarize good.csv -o folder.csv
check "one bad output of two: neither appears" 4 nowhere "$program" summarize good.csv -o out.json -o nowhere/out.xlsx
check "unknown option" 2 'no option' "$program" summarize good.csv --frobnicate
check "unknown ending" 2 '.xlsx' "$program" summarize good.csv -o out.docx
check "no value" 2 'needs a value' "$program" summarize good.csv --alpha
check "alpha out of range" 2 'between' "$program" summarize good.csv --alpha 2
check "output over the input" 2 'input' "$program" summarize good.csv -o good.csv
check "a check that is not there" 1 check-not-there "$program" summarize good.csv --check Nemo
check "--without that no row holds" 1 heading-not-there "$program" summarize good.csv --without location=Crek
check "a full device" 4 'cannot write' sh -c "\"$program\" summarize good.csv >/dev/full"
check "a full device, audit" 4 'cannot write' sh -c "\"$program\" audit good.csv >/dev/full"
ln -s /dev/full full.json && ln -s /dev/full full.csv && ln -s /dev/full full.xlsx
check "a full device as JSON" 4 'cannot write' "$program" summarize good.csv -o full.json
check "a full device as CSV" 4 'cannot write' "$program" summarize good.csv -o full.csv
check "a full device as workbook" 4 'cannot write' "$program" summarize good.csv -o full.xlsx
rm -f full.*

# A full disk: a file system of 64 KB, where one can be mounted; else a limit on the size of files.
mkdir small
if mount -t tmpfs -o size=64k none small 2>/dev/null; then
  head -c 70000 /dev/zero >small/fill 2>/dev/null
  check "a full disk, workbook" 4 'cannot write' "$program" summarize good.csv -o small/out.xlsx
  check "a full disk, JSON" 4 'cannot write' "$program" summarize good.csv -o small/out.json
  if [ "$(ls small)" = fill ]; then echo "ok nothing left on the full disk"; else echo "not ok left on the full disk: $(ls small)"; fi
  umount small
else
  check "a full disk, JSON" 4 'cannot write' sh -c "trap '' XFSZ; ulimit -f 1; \"$program\" summarize good.csv -o small/out.json"
  if [ -z "$(ls small)" ]; then echo "ok nothing left on the full disk"; else echo "not ok left on the full disk: $(ls small)"; fi
fi

# No permission: root may read everything, so as nobody when we are root.
chmod 000 heading.csv
mkdir locked && chmod 555 locked
chmod 755 "$folder"
if [ "$(id -u)" = 0 ]; then
  as() { setpriv --reuid=65534 --regid=65534 --clear-groups "$@"; }
else
  as() { "$@"; }
fi
reach=$(as sh -c "test -x \"$program\" && test -r good.csv && echo yes")
if [ "$reach" = yes ]; then
  check "no permission to read" 4 'ermission denied' as "$program" summarize heading.csv
  check "no permission to write" 4 'ermission denied' as "$program" summarize good.csv -o locked/out.json
else # the program lies where nobody may go: a copy of it
  cp "$program" ./checkstrip-copy && chmod 755 checkstrip-copy
  check "no permission to read" 4 'ermission denied' as ./checkstrip-copy summarize heading.csv
  check "no permission to write" 4 'ermission denied' as ./checkstrip-copy summarize good.csv -o locked/out.json
fi
chmod 644 heading.csv

# What was there stays when the new one cannot be made.
echo kept >out.json
"$program" summarize "value nan.csv" -o out.json >/dev/null 2>&1
if [ "$(cat out.json)" = kept ]; then echo "ok an older output stays when the data are refused"; else echo "not ok an older output was lost"; fi
