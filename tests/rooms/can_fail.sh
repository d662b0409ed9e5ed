#!/bin/sh
# can_fail.sh NM CC...: each check in this folder finds what it is there to find.
here=$(dirname "$0")
nm=$1
shift
box=$(mktemp -d) || exit 1
trap 'rm -rf "$box"' EXIT
failed=0

# finds WHAT PATTERN COMMAND...: the command fails and says so.
finds() {
    what=$1 pattern=$2
    shift 2
    said=$("$@" 2>&1) && { echo "passed in spite of $what"; failed=1; return; }
    echo "$said" | grep -q "$pattern" || { echo "$what was not named: $said"; failed=1; }
}

# passes WHAT COMMAND...
passes() {
    what=$1
    shift
    said=$("$@" 2>&1) || { echo "failed on $what: $said"; failed=1; }
}

# plant FILE LINE...: src/FILE with these lines and nothing else in src.
plant() {
    rm -rf "$box/src"
    mkdir -p "$box/src/$(dirname "$1")"
    file="$box/src/$1"
    shift
    printf '%s\n' "$@" > "$file"
}

includes="sh $here/includes.sh $box/src"
plant show/a.c '#include "base/err.h"' '#include "show/show.h"' '#include <string.h>'
passes "an allowed include" $includes
plant verb/review.c '#include "screen/loop.h"'
passes "the one file that opens the screen" $includes
plant main.c '#include "verb/verb.h"' '#include <locale.h>'
passes "main" $includes
plant show/a.c '' '#include "store/store.h"'
finds "an upward include" 'show/a.c:2: show may not include store' $includes
plant rank/a.h '#  include "count/map.h"'
finds "a spaced include" 'rank may not include count' $includes
plant verb/fixes.c '#include "screen/loop.h"'
finds "a verb that opens the screen" 'verb may not include screen' $includes
plant verb/review.c '#include "screen/list.h"'
finds "another header of the screen" 'verb may not include screen' $includes
plant attic/a.c 'int x;'
finds "an unknown room" "room 'attic' is not in the table" $includes
plant show/a.c '#include "show.h"'
finds "an include without its folder" 'carry its room' $includes
plant app/a.c '#include <sqlite3.h>'
finds "SQL outside the store" 'app may not include <sqlite3.h>' $includes
plant plan/a.c '#include <cairo/cairo.h>'
finds "a library that is not in the table" 'plan may not include <cairo' $includes
plant app/a.c '#include "plan/track.h"'
finds "another room's private header" 'is private to plan' $includes
plant plan/a.c '#include "plan/track.h"'
passes "a private header in its own room" $includes
plant plan/a.c '#include <time.h>'
finds "a clock in a pure room" 'plan may not include <time.h>' $includes

# library ROOM LINE...: src/ROOM/a.a, made of one file with these lines.
library() {
    rm -rf "$box/src"
    mkdir -p "$box/src/$1"
    lib="$box/src/$1/a.a"
    shift
    printf '%s\n' "$@" > "$box/a.c"
    $cc -c "$box/a.c" -o "$box/a.o" && ar rc "$lib" "$box/a.o"
}

cc="$* -O1 -fno-builtin"
symbols="sh $here/symbols.sh $nm $here/symbols.txt"
library show '#include <stdio.h>' 'int f(char *s);' 'int f(char *s) { return snprintf(s, 9, "%s", s + 1); }'
passes "a pure call" $symbols "$lib"
library show '#include <stdio.h>' 'void *f(void);' 'void *f(void) { return fopen("a", "r"); }'
finds "an opened file" 'calls fopen, which show may not' $symbols "$lib"
library sys '#include <stdio.h>' 'void *f(void);' 'void *f(void) { return fopen("a", "r"); }'
passes "an opened file where files are opened" $symbols "$lib"
library screen '#include <stdio.h>' 'void f(int x);' 'void f(int x) { printf("%d", x); }'
finds "a printed line" 'calls printf' $symbols "$lib"
library verb '#include <locale.h>' 'void f(void);' 'void f(void) { setlocale(LC_ALL, ""); }'
finds "a locale outside main" 'calls setlocale' $symbols "$lib"
library plan '#include <time.h>' 'long f(void);' 'long f(void) { return time(0); }'
finds "a read clock" 'calls time' $symbols "$lib"
library rank 'int sqlite3_step(void *);' 'int f(void);' 'int f(void) { return sqlite3_step(0); }'
finds "a database" 'calls sqlite3_step' $symbols "$lib"
library store 'int sqlite3_step(void *);' 'int f(void);' 'int f(void) { return sqlite3_step(0); }'
passes "a database in the store" $symbols "$lib"
library app '#include <stdlib.h>' 'void f(void);' 'void f(void) { exit(1); }'
finds "an exit" 'calls exit' $symbols "$lib"
library app 'int brand_new(void);' 'int f(void);' 'int f(void) { return brand_new(); }'
finds "a symbol that stands nowhere" 'calls brand_new' $symbols "$lib"
finds "a missing library" 'none.a' $symbols "$lib" "$box/none.a"

printf 'int main(void) { return 0; }' >"$box/a.c"
echo 'libm cos' >"$box/a.borrow"
$cc "$box/a.c" -o "$box/a" -Wl,--no-as-needed -lm
finds "a library that is loaded though borrowed" 'loads libm at its start' \
    sh "$here/borrowed.sh" "$box/a" "$box/a.borrow"
echo 'libother cos # libm' >"$box/a.borrow"
passes "a library that nobody borrows" sh "$here/borrowed.sh" "$box/a" "$box/a.borrow"

globals="sh $here/globals.sh $nm $here/globals.txt"
library rank 'static const int k[] = {1, 2};' 'int f(int i);' 'int f(int i) { return k[i]; }'
passes "a table" $globals "$lib"
library rank 'static int n;' 'int f(void);' 'int f(void) { return n++; }'
finds "a counter" 'rank/a.c: n can change' $globals "$lib"
library rank 'int f(void);' 'int f(void) { static int seen = 3; return seen++; }'
finds "a variable that a function keeps" 'rank/a.c: seen can change' $globals "$lib"
library rank 'int given = 1;'
finds "an open variable" 'rank/a.c: given can change' $globals "$lib"

# room LINE-OF-A LINE-OF-B: a static library of two files.
room() {
    echo "$1" > "$box/a.c"
    echo "$2" > "$box/b.c"
    (cd "$box" && $cc -c a.c b.c && rm -f a.a && ar rc a.a a.o b.o)
}

circles="sh $here/circles.sh $nm"
room 'int b(void); int a(void); int a(void) { return b(); }' 'int b(void); int b(void) { return 1; }'
passes "a file above another" $circles "$box/a.a"
room 'int b(void); int a(void); int a(void) { return b(); }' \
    'int a(void); int b(void); int b(void) { return a(); }'
finds "two files in a circle" 'a.o' $circles "$box/a.a"
room 'extern int (*way)(void); int a(void); int a(void) { return way(); }' \
    'int a(void); int (*way)(void) = a;'
finds "a circle through data" 'b.o' $circles "$box/a.a"

names="sh $here/names.sh $nm"
room 'int a(void); int a(void) { return 1; }' 'static int a(void) { return 2; } int b(void); int b(void) { return a(); }'
passes "a name that is one file's own" $names "$box/a.a"
room 'int a(void); int a(void) { return 1; }' 'int a(void); int a(void) { return 2; }'
finds "a name that two files give" 'a stands in' $names "$box/a.a"

plant store/step.c 'x = "COMMIT";'
passes "the step's own COMMIT" sh "$here/transactions.sh" "$box/src"
plant store/mark.c 'x = "BEGIN IMMEDIATE";'
finds "a transaction outside a step" 'store/mark.c:1.*begins or ends' sh "$here/transactions.sh" "$box/src"

plant show/a.c 1 2 3 4
passes "a short file" sh "$here/length.sh" "$box/src" 4
finds "a long file" 'show/a.c: 4 lines' sh "$here/length.sh" "$box/src" 3

plant show/a.h 'int few(int a, int b);' '#define many(a, b, c) 1' '/* said(a, b, c, d) */' \
    'struct s { int a, b, c, d; };' 'typedef int kept(int a, int b, int c);'
passes "few parameters" sh "$here/parameters.sh" "$box/src" 2
plant show/a.h 'int few(int a);' 'bool many(struct a *a, int (*f)(int, int), /* ,, */' '          int b);'
finds "many parameters" 'show/a.h:3: many takes 3' sh "$here/parameters.sh" "$box/src" 2

if command -v clang-format >/dev/null; then
    echo 'BasedOnStyle: LLVM' > "$box/.clang-format"
    plant show/a.c 'int x;'
    passes "a tidy file" sh "$here/format.sh" "$box/src"
    plant show/a.c 'int   x ;'
    finds "an untidy file" 'show/a.c:1' sh "$here/format.sh" "$box/src"
fi
exit $failed
