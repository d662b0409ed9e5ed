#!/bin/sh
# symbols.sh NM TABLE LIBRARY...: each library (src/ROOM/libX.a) calls nothing but what rooms define
# and what the table gives its room. What sanitizers and coverage put in is left out.
nm=$1 table=$2
shift 2
bad=0
known=$(mktemp) || exit 1
trap 'rm -f "$known"' EXIT
"$nm" --defined-only "$@" | awk 'NF > 2 { print $NF }' > "$known" || exit 1
for library; do
    [ -r "$library" ] || { echo "there is no $library"; exit 1; }
    room=$(basename "$(dirname "$library")")
    undefined=$("$nm" -u "$library") || exit 1
    echo "$undefined" | awk -v room="$room" -v table="$table" -v known="$known" '
        function plain(s) {
            sub(/@.*/, "", s)
            sub(/^__isoc[0-9]*_/, "", s)
            if (s ~ /^__.*_chk$/) { # what _FORTIFY_SOURCE makes of printf, read ...
                sub(/^__/, "", s)
                sub(/_chk$/, "", s)
            }
            if (s ~ /64$/ && !(s in ours))
                sub(/64$/, "", s)
            return s
        }
        BEGIN {
            while ((getline line < known) > 0)
                ours[line] = 1
            while ((getline line < table) > 0) {
                if (line ~ /^#/ || !(at = index(line, ":")))
                    continue
                rooms = " " substr(line, 1, at - 1) " "
                if (index(rooms, " " room " ") == 0 && rooms != " * ")
                    continue
                n = split(substr(line, at + 1), word, " ")
                for (i = 1; i <= n; i++)
                    if (word[i] ~ /\*$/)
                        start[substr(word[i], 1, length(word[i]) - 1)] = 1
                    else
                        allowed[word[i]] = 1
            }
        }
        /:$/ { file = $1; next }
        NF > 1 && !($NF in ours) && !($NF in told) {
            name = plain($NF)
            if (name ~ /^(__asan|__ubsan|__gcov|__sanitizer|__odr|__llvm|__sancov|_GLOBAL_OFFSET_TABLE_)/ ||
                (name in allowed))
                next
            for (s in start)
                if (index(name, s) == 1)
                    next
            told[$NF] = 1
            print file " calls " name ", which " room " may not"
            bad++
        }
        END { exit bad > 0 }' || bad=1
done
exit $bad
