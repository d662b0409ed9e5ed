#!/bin/sh
# names.sh NM LIBRARY...: no two files give one name to what others may call. The linker takes the first
# it finds, and a room would call another's function without a word.
nm=$1
shift
for library; do
    [ -r "$library" ] || { echo "there is no $library"; exit 1; }
    "$nm" -g --defined-only "$library" || exit 1
done | awk '
    /:$/ { file = $1; next }
    NF == 3 && $3 !~ /^(__odr_asan|__asan|__gcov|__ubsan|__sancov)/ {
        if ($3 in at && at[$3] != file) {
            print $3 " stands in " at[$3] " and in " file
            bad++
        }
        at[$3] = file
    }
    END { exit bad > 0 }'
