#!/bin/sh
# symbols.sh NM pure|any LIBRARY...: the libraries call nothing that such a room must not call.
# A pure room: no file, clock, environment, terminal, process or database. Any room: no end of the
# program, which is main's alone.
nm=$1 kind=$2
shift 2
any='exit quick_exit'
pure="$any setlocale fopen fdopen freopen fclose fread fgets fgetc getline getdelim fseek fflush
open openat creat close read write pread pwrite stat fstat lstat access rename unlink remove mkdir
opendir mmap mkstemp tmpfile fsync printf vprintf fprintf vfprintf dprintf puts fputs putchar fputc putc fwrite
perror scanf stdin stdout stderr getenv secure_getenv setenv environ time clock clock_gettime
gettimeofday localtime localtime_r mktime tzset sleep usleep nanosleep poll select signal sigaction
fork execv execve execvp execvpe system popen _exit getrandom random rand srand srandom getpid
pthread_create initscr newterm"
eval "names=\$$kind"
names=$(echo $names) # one line, for awk
calls=$("$nm" -A -u "$@") || exit 1
echo "$calls" | awk -v names="$names" -v kind="$kind" '
    BEGIN { n = split(names, name); for (i = 1; i <= n; i++) banned[name[i]] = 1 }
    {
        plain = $NF
        sub(/@.*/, "", plain)
        sub(/64$/, "", plain)
        if (plain ~ /^__.*_chk$/) { # what _FORTIFY_SOURCE makes of printf, read ...
            sub(/^__/, "", plain)
            sub(/_chk$/, "", plain)
        }
        if (plain in banned || (kind == "pure" && plain ~ /^(sqlite3|mpv|aubio)_/)) {
            print $1 " calls " plain
            bad++
        }
    }
    END { exit bad > 0 }'
