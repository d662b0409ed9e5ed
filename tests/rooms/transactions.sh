#!/bin/sh
# transactions.sh SRC: only the step, and the making of a file, begin or end a transaction.
found=$(grep -HnE '"(BEGIN|COMMIT|ROLLBACK|SAVEPOINT|RELEASE)\b' "$1"/*/*.c |
    grep -vE '/store/(step|open)\.c:')
[ -z "$found" ] || { echo "$found" | sed 's/$/   begins or ends a transaction/'; exit 1; }
