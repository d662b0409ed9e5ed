#!/bin/sh
# borrowed.sh PROGRAM LIST...: what a .borrow file lists is not loaded at the start of the program.
program=$1
shift
needed=$(readelf -d "$program" | sed -n 's/.*(NEEDED).*\[\(.*\)\.so.*/\1/p')
[ -n "$needed" ] || { echo "$program says not which libraries it needs"; exit 1; }
failed=0
for library in $(sed 's/#.*//' "$@" | awk 'NF { print $1 }' | sort -u); do
    for n in $needed; do
        [ "$n" != "$library" ] || { echo "$program loads $library at its start"; failed=1; }
    done
done
exit $failed
