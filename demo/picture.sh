#!/bin/sh
# picture.sh [FILE.png]: a picture of the review as a person sees it: the real program with the demo
# show in xterm on a display of its own. Default: share/review.png, the one in README.md.
set -eu
CDPATH='' cd -- "$(dirname -- "$0")/.."
out=${1-share/review.png}
folder=$(mktemp -d)
server=
terminal=

fail() {
    echo "picture.sh: $*" >&2
    exit 1
}

clean() {
    [ -z "$terminal" ] || kill "$terminal" 2>/dev/null || true
    [ -z "$server" ] || kill "$server" 2>/dev/null || true
    rm -rf "$folder" build/demo/picture.show build/demo/picture.show-*
}
trap clean EXIT

# steady: waits until the window has shown the same picture, another than before, for a second.
before=
steady() {
    tries=60 same=0
    while [ "$same" -lt 3 ]; do
        tries=$((tries - 1))
        [ "$tries" -gt 0 ] || fail "the review does not come to rest"
        sleep 0.4
        now=$(import -window "$window" rgb:- | cksum)
        [ "$now" = "$last" ] && [ "$now" != "$before" ] && same=$((same + 1)) || same=0
        last=$now
    done
    before=$now
}

sh demo/install.sh build test
sh demo/start.sh --no-open >/dev/null
# Beside the clip, so that the copy finds it; the demo show itself stays as it is.
copy=build/demo/picture.show
rm -f "$copy" "$copy"-*
cp build/demo/larkspur.show "$copy"

mkfifo "$folder/number"
Xvfb -displayfd 3 -screen 0 1100x700x24 -nolisten tcp 3>"$folder/number" 2>/dev/null &
server=$!
read -r number <"$folder/number"
DISPLAY=:$number
export DISPLAY

xterm -ti vt340 -fa 'DejaVu Sans Mono' -fs 9 -geometry 120x40 -bg '#14181c' -fg '#e8e8e8' \
    -xrm 'XTerm*maxGraphicSize: 4000x4000' -xrm 'XTerm*numColorRegisters: 1024' -xrm 'XTerm*internalBorder: 0' \
    -e build/src/boxcall "$copy" --video pane --picture sixel --silent &
terminal=$!
window=$(timeout 60 xdotool search --sync --onlyvisible --class xterm | head -n 1)
last=
steady
xdotool type --delay 80 ':seek 19.6'
xdotool key Return
steady
xdotool type --delay 80 'r4b'
steady
import -window "$window" -strip -depth 8 "$folder/review.png"
convert "$folder/review.png" -strip -colors 200 -define png:compression-level=9 "PNG8:$folder/small.png"
[ "$(wc -c <"$folder/small.png")" -lt 200000 ] || fail "the picture is larger than 200 KB"
mv "$folder/small.png" "$out"
