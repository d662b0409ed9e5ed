#!/bin/sh
# packages.sh: what the tests of the web pages take from npm, beside them; nothing when it is there.
set -eu
CDPATH='' cd -- "$(dirname -- "$0")"
wanted=$(cksum <package.json)
[ "$(cat node_modules/.wanted 2>/dev/null)" = "$wanted" ] && exit 0
echo "installing with npm: $(sed -n 's/^ *"\([a-z-]*\)": "[0-9.]*",*$/\1/p' package.json | tr '\n' ' ')"
said=$(npm install --no-audit --no-fund --ignore-scripts --no-package-lock 2>&1) || {
    printf '%s\n' "$said" | tail -n 8 >&2
    echo "packages.sh: npm could not install them; is this machine online?" >&2
    exit 1
}
echo "$wanted" >node_modules/.wanted
