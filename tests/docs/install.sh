#!/bin/sh
# install.sh ROOT: demo/install.sh installs what is missing and nothing else, is silent when nothing
# is, and says which packages it could not get. dpkg-query and apt-get are played by scripts here.
root=$1
box=$(mktemp -d) || exit 1
trap 'rm -rf "$box"' EXIT
failed=0

# play NAME LINE...: a program of that name that does this.
play() {
    program=$box/bin/$1
    shift
    printf '%s\n' '#!/bin/sh' "$@" >"$program"
    chmod +x "$program"
}

# stage: a machine with the usual small programs and everything installed but gsl and xvfb.
stage() {
    rm -rf "${box:?}/bin" "$box/asked"
    mkdir "$box/bin"
    for tool in sh dirname awk env tail printf; do
        ln -s "$(command -v "$tool")" "$box/bin/$tool"
    done
    # shellcheck disable=SC2016 # the script expands it
    play dpkg-query 'case $3 in libgsl-dev | xvfb) echo not-installed ;;' \
        '*) echo installed ;; esac'
    play apt-get "echo \"\$*\" >>'$box/asked'"
    play id 'echo 0'
}

# run NEED...: what install.sh says and its status.
run() {
    said=$(PATH=$box/bin sh "$root/demo/install.sh" "$@" 2>&1)
    status=$?
}

# expect WHAT: the last run ended with $want_status and said $want.
expect() {
    [ "$status" -eq "$want_status" ] && [ "$said" = "$want" ] && return
    echo "$1: status $status, not $want_status; said '$said', not '$want'"
    failed=1
}

stage
run build
want='installing with apt-get: libgsl-dev' want_status=0
expect 'one package missing'
grep -q '^-q install -y --no-install-recommends libgsl-dev$' "$box/asked" ||
    { echo "asked apt-get for: $(cat "$box/asked")"; failed=1; }
run build test
want='installing with apt-get: libgsl-dev xvfb'
expect 'packages of both needs'

stage
# shellcheck disable=SC2016 # the script expands it
play dpkg-query 'case $3 in nodejs | npm) echo not-installed ;; *) echo installed ;; esac'
play node ''
run test
want='installing with apt-get: npm'
expect 'a program that did not come as a package'

stage
play dpkg-query 'echo installed'
run build test
want=''
expect 'all of it there'
[ ! -e "$box/asked" ] || { echo "apt-get was asked although all is there"; failed=1; }

stage
play apt-get 'exit 100'
run build
said=$(echo "$said" | grep .)
want='installing with apt-get: libgsl-dev
install.sh: apt-get could not install: libgsl-dev; is this machine online?' want_status=1
expect 'no network'

stage
play id 'echo 1000'
run build
want='install.sh: missing: libgsl-dev; run this as root, or install sudo, so that apt-get can'
expect 'nobody who may'

stage
rm "$box/bin/dpkg-query"
run build
case $said in
*"this is not Debian"*) ;;
*) echo "without dpkg-query: $said"; failed=1 ;;
esac
exit $failed
