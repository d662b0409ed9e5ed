#!/bin/sh
# paths.sh ROOT FILE...: every file or folder that these pages name in backquotes is there. Rooms
# stand for src/ROOM and tests/ROOM.
root=$1
shift
failed=0
for page in "$@"; do
    # shellcheck disable=SC2016 # backquotes, not a command
    for name in $(grep -o '`[^`]*`' "$page" | tr -d '`' | grep -E '^[a-z_]+/[A-Za-z0-9_./-]*$|^[a-z_]+/$'); do
        case $name in build/* | build-*/*) continue ;; esac
        [ -e "$root/$name" ] || [ -e "$root/src/$name" ] || [ -e "$root/tests/$name" ] ||
            case $name in
            */x.c) [ -d "$root/${name%/x.c}" ] ;; # a file that a recipe makes
            *) false ;;
            esac || {
            echo "$page: there is no $name"
            failed=1
        }
    done
done
exit $failed
