#!/bin/sh
# run.sh: everything that is checked before a change goes in. Installs what tests need, builds
# twice without a warning (plain, and with the address and undefined behaviour sanitizers) and runs
# all tests in both. 'run.sh reach' builds and runs once more, and prints how much of src/ the tests
# reach. Benchmarks are not run here: meson test -C build-test --benchmark. The last line is
# 'N passed, N failed'.
set -eu
CDPATH='' cd -- "$(dirname -- "$0")/.."
export LC_ALL=C.UTF-8 CI=true
# The counters of the coverage build complain on stderr where a test fills the disk on purpose.
export GCOV_ERROR_FILE=/dev/null
passed=0 failed=0

# A test program counts with each of its cmocka tests, any other test as one.
tally() {
    counts=$(awk '
        function sum(s, what,    n) {
            while (match(s, "\\[  " what " ?\\] [0-9]+ test")) {
                n += substr(s, RSTART + 13, RLENGTH - 18)
                s = substr(s, RSTART + RLENGTH)
            }
            return n + 0
        }
        {
            good = sum($0, "PASSED ")
            bad = sum($0, "FAILED ")
            fine = /"result": "(OK|EXPECTEDFAIL|SKIP)"/
            skipped += sum($0, "SKIPPED") + / "result": "SKIP"/
            if (fine) bad = 0
            if (!fine && bad == 0) bad = 1
            if (fine && good == 0 && !/"result": "SKIP"/) good = 1
            passed += good
            failed += bad
        }
        END { print passed + 0, failed + 0, skipped + 0 }' "$1")
    # shellcheck disable=SC2086 # three numbers
    set -- $counts
    passed=$((passed + $1)) failed=$((failed + $2))
    [ "$3" -eq 0 ] || echo "skipped: $3"
}

# check FOLDER SETUP-OPTION...: builds there and runs all tests.
check() {
    folder=$1
    shift
    results=$folder/meson-logs/testlog.json
    echo "== $folder: $*"
    rm -f "$results"
    [ -e "$folder/build.ninja" ] || rm -rf "$folder"
    mkdir -p "$folder"
    if ! { [ -e "$folder/build.ninja" ] || meson setup "$folder" -Dwerror=true "$@"; } \
        >"$folder/build.log" 2>&1 || ! ninja -C "$folder" >>"$folder/build.log" 2>&1; then
        grep -E ' error:| warning:|ERROR:|^FAILED' "$folder/build.log" || tail -n 30 "$folder/build.log"
        echo "$folder: does not build"
        failed=$((failed + 1))
        return
    fi
    # Three times the time: other people's work and the sanitizers slow a machine down.
    meson test -C "$folder" --no-rebuild --print-errorlogs -t 3 </dev/null || true
    if [ -e "$results" ]; then
        tally "$results"
    else
        echo "$folder: no test was run"
        failed=$((failed + 1))
    fi
}

reach() {
    [ ! -e build-reach ] || find build-reach -name '*.gcda' -delete
    check build-reach -Db_coverage=true -Db_lundef=false \
        -Dc_args="-fprofile-update=atomic $1"
    echo "== how much of src/ the tests reach"
    gcovr --root . --object-directory build-reach --filter src/ --exclude-unreachable-branches ||
        failed=$((failed + 1))
}

sh demo/install.sh build test
sh tests/web/packages.sh || failed=$((failed + 1))
check build-test
# Counting and checking code between ours misleads the warnings that follow the flow of values;
# those are errors in the plain build, where they are true.
flow='-Wno-error=format-overflow -Wno-error=format-truncation -Wno-error=null-dereference'
flow="$flow -Wno-error=maybe-uninitialized -Wno-error=array-bounds -Wno-error=stringop-overflow"
check build-asan -Db_sanitize=address,undefined -Db_lundef=false \
    -Dc_args="-fno-sanitize-recover=all $flow"
[ "${1-}" != reach ] || reach "$flow"
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
