#!/bin/sh
# borrow.sh LIST NAME LIBDIR: prints the header by which a room calls the functions that LIST names
# ('library function ...' a line) through `struct NAME`. LIBDIR has the libraries, which are asked
# for the names they are loaded by. See borrow.h.
set -eu
list=$1 name=$2 libdir=$3

while read -r library functions; do
    case $library in '' | '#'*) continue ;; esac
    file=$(readelf -d "$libdir/$library.so" | sed -n 's/.*SONAME.*\[\(.*\)\]$/\1/p')
    [ -n "$file" ] || { echo "borrow.sh: no name is in $libdir/$library.so" >&2; exit 1; }
    for f in $functions; do
        echo "$file $f"
    done
done <"$list" | awk -v name="$name" -v list="$(basename "$list")" '
    { file[NR] = $1; f[NR] = $2 }
    END {
        if (NR == 0) exit 1
        print "/* Made by borrow.sh from " list ". */"
        print "#include <stddef.h>\n#include \"sys/borrow.h\"\n"
        print "struct " name " {"
        for (i = 1; i <= NR; i++) print "    __typeof__(" f[i] ") *to_" f[i] ";"
        print "};\nextern struct " name " " name ";"
        print "bool " name "_load(struct err *e);\n"
        print "#define " toupper(name) "_ROWS \\"
        for (i = 1; i <= NR; i++)
            print "    {\"" file[i] "\", \"" f[i] "\", offsetof(struct " name ", to_" f[i] ")}," \
                (i < NR ? " \\" : "")
        print ""
        for (i = 1; i <= NR; i++) print "#define " f[i] " " name ".to_" f[i]
    }'
