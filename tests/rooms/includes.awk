# Checks each #include of a room against the table: awk -f includes.awk table.txt FILES...
# Prints one line for each that is not allowed; exits 1 when there was any.

function room_of(file,    part, n) {
    n = split(file, part, "/")
    return part[n - 1] == "src" ? "main" : part[n - 1]
}

function complain(what) {
    print FILENAME ":" FNR ": " what
    bad++
}

NR == FNR {
    if (/^#/ || NF == 0)
        next
    name = $1
    sub(/:$/, "", name)
    if (name == "private") {
        for (i = 2; i <= NF; i++)
            private[$i] = 1
        next
    }
    if (name ~ /^</) {
        header[++headers] = name
        for (i = 2; i <= NF; i++)
            user[name, $i] = 1
        next
    }
    known[name] = 1
    for (i = 2; i <= NF; i++)
        allowed[name, $i] = 1
    next
}

FNR == 1 {
    room = room_of(FILENAME)
    if (!(room in known))
        complain("the room '" room "' is not in the table")
    n = split(FILENAME, part, "/")
    itself = room "/" part[n]
}

/^[ \t]*#[ \t]*include[ \t]*"/ {
    split($0, quoted, "\"")
    split(quoted[2], part, "/")
    other = part[1]
    if (quoted[2] !~ /\// || other == "..")
        complain("\"" quoted[2] "\" should carry its room's folder")
    else if (!(other in known))
        complain("\"" quoted[2] "\": the room '" other "' is not in the table")
    else if (other != room && !((room, other) in allowed) && !((itself, quoted[2]) in allowed))
        complain(room " may not include " other)
    else if (other != room && (quoted[2] in private))
        complain("\"" quoted[2] "\" is private to " other)
}

/^[ \t]*#[ \t]*include[ \t]*</ {
    split($0, quoted, /[<>]/)
    found = 0
    for (i = 1; i <= headers; i++)
        if (index("<" quoted[2], header[i]) == 1 &&
            ((header[i], room) in user || (header[i], "*") in user))
            found = 1
    if (!found)
        complain(room " may not include <" quoted[2] ">")
}

END { exit bad > 0 }
