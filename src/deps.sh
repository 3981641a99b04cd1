#!/bin/sh
# Installs what the build and the tests lack. Asks the compiler and pkg-config, not the package database: silent, offline
# and without rights when all is there. Packages are Debian's names.
set -u

missing=""
need() { # need PACKAGE COMMAND...: the package is wanted when the command fails
  package=$1
  shift
  "$@" >/dev/null 2>&1 || missing="$missing $package"
}
compiles() { printf '#include <stdio.h>\n#include <%s>\nint main(void) { return 0; }\n' "$1" | ${CC:-cc} -x c -fsyntax-only -; }

need gcc sh -c "command -v ${CC:-cc} && printf 'int main(void){return 0;}' | ${CC:-cc} -x c -o /dev/null -"
need libc6-dev sh -c "printf '#include <stdio.h>\nint main(void){return 0;}\n' | ${CC:-cc} -x c -fsyntax-only -"
need pkg-config sh -c 'command -v pkg-config'
need libgsl-dev pkg-config --exists gsl
need libopenblas-dev pkg-config --exists openblas
need libxlsxwriter-dev pkg-config --exists xlsxwriter
need libzip-dev pkg-config --exists libzip
need libexpat1-dev pkg-config --exists expat
need libcmocka-dev pkg-config --exists cmocka
need libjansson-dev pkg-config --exists jansson
need libical-dev pkg-config --exists libical
need zlib1g-dev compiles zlib.h # libxlsxwriter's link line names it
need libcsv-dev compiles csv.h
need unzip sh -c 'command -v unzip'
for package in "$@"; do # further packages, asked for by command name: PACKAGE=COMMAND
  need "${package%%=*}" sh -c "command -v ${package#*=}"
done
[ -z "$missing" ] && exit 0

if ! command -v apt-get >/dev/null 2>&1; then
  echo "missing, and no apt-get here to install it:$missing (Debian's names)" >&2
  exit 1
fi
as_root=""
[ "$(id -u)" = 0 ] || as_root=sudo
install() { $as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y --no-install-recommends $missing; }
echo "installing:$missing" >&2
install >/dev/null 2>&1 && exit 0
$as_root apt-get update >&2 && install >&2
