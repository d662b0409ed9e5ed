#!/bin/sh
# parameters.sh SRC MOST: names every public function (declared in a header) that takes more than MOST
# parameters; such a one takes a struct, whose members say what they are.
find "$1" -name '*.h' | sort | xargs awk -v most="$2" '
    function begin() { text = ""; depth = 0; comment = 0 }
    FNR == 1 { begin() }
    /^ *#/ { next }
    {
        line = $0
        gsub(/\/\*([^*]|\*+[^*\/])*\*+\//, "", line) # comments within the line
        if (comment) {
            if (!sub(/^.*\*\//, "", line)) next
            comment = 0
        }
        if (sub(/\/\*.*$/, "", line)) comment = 1
        for (i = 1; i <= length(line); i++) {
            c = substr(line, i, 1)
            if (c == "{" || (c == "}" && depth == 0)) { text = ""; depth = 0; continue }
            if (c != ";" || depth > 0) {
                text = text c
                if (c == "(") depth++
                if (c == ")") depth--
                continue
            }
            check()
            text = ""
        }
        text = text " "
    }
    # NAME(PARAMETERS) with what stands around it, in `text`
    function check(    name, at, i, c, level, n) {
        sub(/__attribute__.*/, "", text)
        at = index(text, "(")
        if (!at || text ~ /typedef/) return
        name = substr(text, 1, at - 1)
        sub(/.*[ *]/, "", name)
        n = 1
        for (i = at + 1; i <= length(text); i++) {
            c = substr(text, i, 1)
            if (c == "(") level++
            if (c == ")") level--
            if (c == "," && level == 0) n++
        }
        if (n > most) {
            printf "%s:%d: %s takes %d parameters; more than %d want a struct\n", FILENAME, FNR, name, n, most
            found = 1
        }
    }
    END { exit found }'
