#!/bin/sh
# length.sh DIRECTORY LINES: no source file below it is longer.
find "$1" -name '*.[ch]' | LC_ALL=C sort | xargs wc -l | awk -v most="$2" '
    $2 != "total" && $1 > most { print $2 ": " $1 " lines; at most " most; bad++ }
    END { exit bad > 0 }'
