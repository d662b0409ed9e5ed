#!/bin/sh
# run.sh TARGET SECONDS: looks for bytes that break a target of tests/fuzz, with clang's libFuzzer
# and the address and undefined behaviour sanitizers (Debian: clang libclang-rt-14-dev). What it
# learns stays in build-fuzz/corpus/TARGET; an input that breaks the target is left in
# build-fuzz/found/ and, once the bug is mended, belongs into tests/fuzz/seeds/TARGET.
set -eu
CDPATH='' cd -- "$(dirname -- "$0")/../.."
[ $# -eq 2 ] || { echo "usage: sh tests/fuzz/run.sh TARGET SECONDS" >&2; exit 2; }
seeds=tests/fuzz/seeds/$1
[ -d "$seeds" ] || { echo "no target '$1'; there are:" $(ls tests/fuzz/seeds) >&2; exit 2; }
build=build-fuzz
[ -e "$build/build.ninja" ] || CC=clang meson setup "$build" \
    -Db_sanitize=address,undefined -Db_lundef=false \
    -Dc_args='-fsanitize=fuzzer-no-link -fno-sanitize-recover=all'
ninja -C "$build" "tests/fuzz/fuzz_$1"
mkdir -p "$build/corpus/$1" "$build/found"
exec "$build/tests/fuzz/fuzz_$1" -max_total_time="$2" -timeout=20 -rss_limit_mb=2048 \
    -max_len=6000 -artifact_prefix="$build/found/$1-" "$build/corpus/$1" "$seeds"
