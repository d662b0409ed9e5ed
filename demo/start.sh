#!/bin/sh
# start.sh [--no-open]: from a fresh Debian 12 to the review of a demo clip. A second run finds
# everything in place, needs no network and only opens the review.
set -eu
CDPATH='' cd -- "$(dirname -- "$0")/.."
show=build/demo/larkspur.show
clip=build/demo/tuesday.mp4

fail() {
    echo "start.sh: $*" >&2
    exit 1
}

# quiet WHAT COMMAND...: what the command says is shown only when it fails.
quiet() {
    what=$1
    shift
    said=$("$@" 2>&1) || {
        printf '%s\n' "$said" | tail -n 20 >&2
        fail "$what failed: $*"
    }
}

build() {
    [ ! -e build ] || [ -w build ] || fail "$PWD/build belongs to somebody else; remove it"
    [ -e build/build.ninja ] || quiet "setting up the build" meson setup build
    if ! ninja -C build -n src/boxcall demo/demo-clip 2>&1 | grep -q 'no work to do'; then
        echo "building (half a minute)"
    fi
    quiet "the build" ninja -C build src/boxcall demo/demo-clip
}

# Everything is made under a name of its own first, so that a run that was stopped leaves no half.
make_clip() {
    [ -e "$clip" ] && return
    echo "drawing the demo clip (a minute or two)"
    quiet "drawing the clip" build/demo/demo-clip --out build/demo/drawing.mp4
    mv build/demo/drawing.mp4 "$clip"
}

# A show that this program refuses (exit status 4) is kept beside the new one.
make_show() {
    if [ -e "$show" ]; then
        refused=$(build/src/boxcall check "$show" 2>&1) || [ $? -ne 4 ] || {
            echo "$refused; it is kept as $show.old"
            mv "$show" "$show.old"
        }
    fi
    [ -e "$show" ] && return
    echo "making the demo show"
    new=build/demo/making.show
    rm -f "$new" "$new"-* "$new".before-*
    quiet "the show" build/src/boxcall new "$new" --title "Larkspur"
    for table in sections faults; do # in place of those that every show begins with
        quiet "adding $table" build/src/boxcall add "$new" "$table" "demo/band/$table.csv" \
            --replace --yes
    done
    for table in roster sets dots; do
        quiet "adding $table" build/src/boxcall add "$new" "$table" "demo/band/$table.csv"
    done
    rm -f "$new".before-*
    quiet "adding the clip" build/src/boxcall add "$new" clip "$clip" --label tuesday
    # The band steps off one and a half seconds into the clip (demo/main.c) at the written tempo.
    quiet "tying the clip to the sets" build/src/boxcall count "$new" tuesday tie 0:01.5 1
    quiet "adding the marks" build/src/boxcall add "$new" marks demo/band/marks.csv
    mv "$new" "$show"
}

case "${1-}" in
'' | --no-open) ;;
*) fail "'$1' is not an option; usage: sh demo/start.sh [--no-open]" ;;
esac
sh demo/install.sh build
build
make_clip
make_show
if [ "${1-}" = --no-open ] || ! [ -t 0 ] || ! [ -t 1 ]; then
    echo "ready; open the review in a terminal: $PWD/build/src/boxcall $PWD/$show"
    exit 0
fi
exec build/src/boxcall "$show"
