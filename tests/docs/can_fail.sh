#!/bin/sh
# can_fail.sh: the checks of this folder find what they are there to find.
here=$(dirname "$0")
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

mkdir -p "$box/src/show" "$box/tests" "$box/demo" "$box/share" "$box/man"
echo "x = [dependency('gsl'), cc.find_library('glpk', required: false)]" >"$box/meson.build"
printf '%s\n' 'build libgsl-dev gsl' 'test libglpk-dev glpk' >"$box/demo/packages.txt"
sh "$here/packages.sh" "$box" || { echo "packages.sh failed on a whole list"; failed=1; }
echo "y = dependency('cairo')" >"$box/src/meson.build"
finds 'a missing package' 'src/meson.build:1: cairo has no package' sh "$here/packages.sh" "$box"
echo "y = cc.find_library('glpk')" >"$box/src/meson.build"
finds 'a package that comes too late' 'glpk must be there' sh "$here/packages.sh" "$box"

# shellcheck disable=SC2016 # backquotes, not a command
echo 'See `show/a.c` and `src/show/`.' >"$box/page.md"
echo >"$box/src/show/a.c"
sh "$here/paths.sh" "$box" "$box/page.md" || { echo "paths.sh failed on a true page"; failed=1; }
rm "$box/src/show/a.c"
finds 'a file that is not there' 'there is no show/a.c' sh "$here/paths.sh" "$box" "$box/page.md"
exit $failed
