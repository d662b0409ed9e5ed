#!/bin/sh
# globals.sh NM TABLE LIBRARY...: no variable outside main.c that can change and outlives a call, but
# those that the table names with their reason (ROOM/FILE.c NAME: why).
nm=$1 table=$2
shift 2
bad=0
for library; do
    [ -r "$library" ] || { echo "there is no $library"; exit 1; }
    symbols=$("$nm" -f sysv "$library") || exit 1
    echo "$symbols" | awk -F '|' -v room="$(basename "$(dirname "$library")")" -v table="$table" '
        BEGIN {
            while ((getline line < table) > 0)
                if (line !~ /^#/ && (at = index(line, ":")))
                    allowed[substr(line, 1, at - 1)] = 1
        }
        /\.o(\])?:$/ {
            file = $0
            sub(/^.*[\/[]/, "", file)
            sub(/\.o.*$/, "", file)
            if (file !~ /\.c$/)
                file = file ".c"
            next
        }
        $NF ~ /^\.(bss|data|data\.rel|data\.rel\.local|tbss|tdata)(\.[A-Za-z].*)?$/ && $NF !~ /\.ro/ && $4 ~ /OBJECT|TLS/ {
            name = $1
            gsub(/ /, "", name)
            sub(/\.[0-9]+$/, "", name)
            if (name ~ /^(__gcov|__asan|__odr|\.L|__ubsan|__sancov)/ ||
                ((room "/" file " " name) in allowed))
                next
            print room "/" file ": " name " can change and is nobody in particular\047s"
            bad++
        }
        END { exit bad > 0 }' || bad=1
done
exit $bad
