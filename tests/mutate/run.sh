#!/bin/sh
# run.sh [PATTERN]: changes one line of src/ after the other, each named in table.txt, and runs the
# tests nearest to it. A change that no test notices survives, and is printed. On request, not in CI:
# a row takes about half a minute. PATTERN: only rows with these words.
#
# Works in a copy of the sources (MUTATE_DIR, else a new folder under TMPDIR), so that nothing here is
# touched; the copy is configured once. Remove it when a run was broken off in the middle of a change.
set -eu
here=$(CDPATH='' cd -- "$(dirname -- "$0")" && pwd)
root=$(CDPATH='' cd -- "$here/../.." && pwd)
box=${MUTATE_DIR:-$(mktemp -d "${TMPDIR:-/tmp}/mutate.XXXXXX")}
mkdir -p "$box"
(cd "$root" && git ls-files -z | xargs -0 cp -p --parents -t "$box") # unchanged ones keep their time
cd "$box"
[ -e build/build.ninja ] || meson setup build --optimization 1 >configure.log
ninja -C build >build.log
exec python3 "$here/mutate.py" "$here/table.txt" "${1:-}"
