/* Which kind of file system a path lies on. */
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/sysmacros.h>

#include "sys/file.h"

/* A line of /proc/self/mountinfo (proc(5)): '36 35 98:0 /mnt1 /mnt2 rw,noatime master:1 - ext3
 * /dev/root rw'; the third field is the device, and the kind stands behind ' - '. */
bool file_system_kind(const char *path, char *out, size_t size)
{
    struct stat st;
    char line[4096];
    bool found = false;
    FILE *f = stat(path, &st) == 0 ? fopen("/proc/self/mountinfo", "re") : NULL;
    while (f && !found && fgets(line, sizeof line, f)) {
        unsigned major_n, minor_n;
        const char *kind = strstr(line, " - ");
        if (!kind || sscanf(line, "%*d %*d %u:%u", &major_n, &minor_n) != 2 ||
            makedev(major_n, minor_n) != st.st_dev)
            continue;
        snprintf(out, size, "%.*s", (int)strcspn(kind + 3, " \n"), kind + 3);
        found = true;
    }
    if (f)
        fclose(f);
    return found;
}
