#!/bin/sh
# circles.sh NM LIBRARY...: no files inside one library need each other in a circle, so that each
# can be read, and tested, above those it stands on. Who needs whom is what the linker would say:
# an object that uses a symbol another one defines. A call through a table of functions is no need.
nm=$1
shift
bad=0
for library; do
    symbols=$("$nm" "$library") || exit 1
    pairs=$(echo "$symbols" | awk '
        /:$/ { file = substr($1, 1, length($1) - 1); next }
        NF > 1 && $(NF - 1) ~ /^[TDBRV]$/ { owner[$NF] = file }
        NF > 1 && $(NF - 1) == "U" { uses[++n] = $NF; by[n] = file }
        END {
            for (i = 1; i <= n; i++)
                if ((uses[i] in owner) && owner[uses[i]] != by[i])
                    print by[i], owner[uses[i]]
        }') || exit 1
    [ -n "$pairs" ] || continue
    found=$(echo "$pairs" | tsort 2>&1 >/dev/null) && continue
    echo "$(basename "$library"): files that need each other in a circle:"
    echo "$found" | sed -n 's:^tsort\: \(.*/\)*\(.*\.o\)$:    \2:p' | sort -u
    bad=1
done
exit $bad
