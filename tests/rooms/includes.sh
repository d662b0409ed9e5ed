#!/bin/sh
# includes.sh SRC: every #include below SRC keeps to the table.
here=$(dirname "$0")
find "$1" -name '*.[ch]' | LC_ALL=C sort | xargs awk -f "$here/includes.awk" "$here/table.txt"
