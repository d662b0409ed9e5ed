#!/bin/sh
# packages.sh ROOT: demo/packages.txt has a package for everything that a meson.build asks for, and
# what a configure cannot do without is there before the first one (need 'build').
root=$1
# shellcheck disable=SC2016 # awk's own $1
find "$root/meson.build" "$root/src" "$root/tests" "$root/demo" "$root/share" "$root/man" \
    -name meson.build | LC_ALL=C sort | xargs awk '
    FILENAME == list {
        if ($1 == "build" || $1 == "test")
            for (i = 3; i <= NF; i++) need[$i] = $1
        next
    }
    {
        line = $0
        while (match(line, /(dependency|find_library)\(\047[^\047]*\047[^)]*\)/)) {
            call = substr(line, RSTART, RLENGTH)
            line = substr(line, RSTART + RLENGTH)
            split(call, part, "\047")
            where = FILENAME ":" FNR ": " part[2]
            if (!(part[2] in need)) {
                print where " has no package in demo/packages.txt"
                bad++
            } else if (need[part[2]] != "build" && call !~ /required: false/) {
                print where " must be there to configure: its need is build, not " need[part[2]]
                bad++
            }
        }
    }
    END { exit bad > 0 }' list="$root/demo/packages.txt" "$root/demo/packages.txt"
