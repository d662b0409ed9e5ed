#!/bin/sh
# format.sh DIRECTORY...: clang-format would change nothing. Skipped (77) where it is missing.
command -v clang-format >/dev/null || exit 77
find "$@" -name node_modules -prune -o -name '*.[ch]' -print | LC_ALL=C sort | xargs clang-format --dry-run -Werror
