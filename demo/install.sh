#!/bin/sh
# install.sh build|test ...: installs what demo/packages.txt lists for these needs and Debian has
# not installed yet. Says nothing and asks nobody when all of it is there.
set -eu
list=$(dirname -- "$0")/packages.txt

fail() {
    echo "install.sh: $*" >&2
    exit 1
}

# have PACKAGE: it is installed, all of it.
have() {
    [ "$(dpkg-query -W -f='${db:Status-Status}' "$1" 2>/dev/null)" = installed ]
}

missing=
for need in "$@"; do
    # shellcheck disable=SC2013 # names of packages are words
    for row in $(awk -v need="$need" '$1 == need {
            command = ""
            for (i = 3; i <= NF; i++) if (sub(/^command:/, "", $i)) command = $i
            print $2 ":" command }' "$list"); do
        package=${row%%:*} command=${row#*:}
        command -v dpkg-query >/dev/null || fail "no dpkg-query here: this is not Debian;" \
            "install what $list names, then run meson setup build && ninja -C build"
        have "$package" || { [ -n "$command" ] && command -v "$command" >/dev/null; } ||
            missing="$missing $package"
    done
done
missing=${missing# }
[ -n "$missing" ] || exit 0

root=
if [ "$(id -u)" -ne 0 ]; then
    command -v sudo >/dev/null ||
        fail "missing: $missing; run this as root, or install sudo, so that apt-get can"
    root=sudo
fi
echo "installing with apt-get: $missing"
# Lists may be old or absent; when they cannot be fetched, packages fetched before may still do.
apt() {
    $root env DEBIAN_FRONTEND=noninteractive apt-get -q "$@" </dev/null 2>&1
}
updated=$(apt update) || true
# shellcheck disable=SC2086 # a list of words
installed=$(apt install -y --no-install-recommends $missing) || {
    printf '%s\n%s\n' "$updated" "$installed" | tail -n 12 >&2
    fail "apt-get could not install: $missing; is this machine online?"
}
