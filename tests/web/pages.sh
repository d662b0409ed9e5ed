#!/bin/sh
# pages.sh BOXCALL BAND BROWSER|html: publishes a small show whose people and notes have the worst of
# names, and drives its pages in a browser (check.mjs), or reads them with a validator.
set -eu
here=$(CDPATH='' cd -- "$(dirname -- "$0")" && pwd)
boxcall=$(realpath "$1") band=$2 how=$3
[ -d "$here/node_modules" ] || { echo "sh tests/web/packages.sh first"; exit 77; }
box=$(mktemp -d)
trap 'rm -rf "$box"' EXIT
cd "$box"
export HOME="$box" BOXCALL_AUTHOR='Zo <b>&"Marrow'

quiet() {
    said=$("$@" 2>&1) || { echo "$*: $said"; exit 1; }
}

# Two runs of 20 seconds, with a keyframe a second.
for run in monday tuesday; do
    quiet ffmpeg -nostdin -v error -f lavfi -i "testsrc2=s=640x360:r=25" -f lavfi \
        -i "sine=f=440:r=44100" -t 20 -c:v libx264 -preset ultrafast -g 25 -pix_fmt yuv420p \
        -c:a aac -metadata "title=$run" $run.mp4
done
long=$(printf '%0300d' 7 | tr 0 x)
cat >roster.csv <<'T'
performer,name,section
T1,<script>alert(1)</script>,trumpets
T2,"=HYPERLINK(""x"")",trumpets
T3,עדה‮ fox,trumpets
T4,🎺 Łukasz,trumpets
F1,Ada Fenwright,flutes
C1,,clarinets
T
cat >marks.csv <<T
clip,time,target,fault,severity,cause,praise,note
monday,0:03.2,T1,horn angle,3,execute,,"<img src=x onerror=alert(1)> & ""quotes"""
monday,0:03.5,T2;T3,horn angle,1,execute,,$long
monday,0:00.4,trumpets,late arrival,2,execute,,
monday,0:19.5,T4,late arrival,2,execute,,at the very end
tuesday,0:08.0,T1;trumpets;brass,feet apart at halt,2,execute,,'--> </style></script>
tuesday,0:16.0,T2;F1,horn angle,1,execute,,
tuesday,0:12.04,T3,spot not defined,1,define,,
tuesday,0:05.0,flutes,impact,1,execute,yes,keep ‮this‬
tuesday,0:09.0,ensemble,cover,1,execute,,
T
quiet "$boxcall" new s.show --title 'A <b> & "C"'
for table in sections faults; do quiet "$boxcall" add s.show $table "$band/$table.csv" --replace --yes; done
quiet "$boxcall" add s.show roster roster.csv
quiet "$boxcall" add s.show sets "$band/sets.csv"
printf 'performer,set,x,y\nT1,1,0,20\nT2,1,2,20\nT3,1,4,20\nT4,1,6,20\nF1,1,-8,30\n' >dots.csv
quiet "$boxcall" add s.show dots dots.csv
quiet "$boxcall" add s.show clip monday.mp4 --date 2026-11-23
quiet "$boxcall" add s.show clip tuesday.mp4 --date 2026-11-24
quiet "$boxcall" count s.show monday tie 0:01 1
quiet "$boxcall" add s.show marks marks.csv
quiet "$boxcall" publish s.show web --clips copy
# What these browsers do not play, as some do not what telephones record (HEVC).
cp -a web odd
quiet ffmpeg -nostdin -v error -y -i monday.mp4 -c:v mpeg4 -c:a copy \
    "$(echo odd/clips/monday*.mp4)"
quiet "$boxcall" publish s.show labels --clips copy --labels-only --performers
quiet "$boxcall" publish s.show cut --clips cut
cp -a cut one # which has the short clips already
quiet "$boxcall" publish s.show one --one-file
quiet "$boxcall" publish s.show none --clips none
quiet "$boxcall" publish s.show one-none --one-file --clips none

if [ "$how" = html ]; then
    node "$here/vtt.mjs" web labels cut one
    cd "$here"
    exec node node_modules/html-validate/bin/html-validate.mjs --config html-validate.json "$box"/*/*.html
fi
node "$here/truth.mjs" "$boxcall" s.show trumpets.html=trumpets flutes.html=flutes \
    ensemble.html=ensemble clarinets.html=clarinets >truth.json
node "$here/check.mjs" "$how" web truth.json
