#include "sys/zones.h"

#include <ctype.h>
#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "base/buf.h"
#include "base/near.h"
#include "sys/file.h"

enum { PATH_SIZE = 4096, FILE_LIMIT = 1 << 20, DEPTH = 3 };

static const char *database(void)
{
    const char *dir = getenv("TZDIR");
    return dir && *dir ? dir : "/usr/share/zoneinfo";
}

/* The database has more files than zones; the names of zones begin with a capital letter. */
static bool may_be_name(const char *name)
{
    if (strlen(name) >= ZONE_NAME || !isupper((unsigned char)*name) || strstr(name, ".."))
        return false;
    for (const char *s = name; *s; s++)
        if (!isalnum((unsigned char)*s) && !strchr("_+-/", *s))
            return false;
    return true;
}

/* RFC 9636, section 3.1: such a file begins with "TZif". */
static bool is_zone(const char *name)
{
    char path[PATH_SIZE];
    struct err none;
    struct buf bytes = {0};
    if (!may_be_name(name) ||
        snprintf(path, sizeof path, "%s/%s", database(), name) >= (int)sizeof path)
        return false;
    const bool ok = file_read(path, FILE_LIMIT, &bytes, &none) && bytes.n > 4 &&
                    memcmp(bytes.p, "TZif", 4) == 0;
    buf_free(&bytes);
    return ok;
}

/* --- a name that is nearly one ------------------------------------------------------------------ */

struct looking {
    const char *name; /* what was typed, with '_' for blanks */
    struct near whole, city;
    char best[ZONE_NAME], city_of[ZONE_NAME];
};

static void offer(struct looking *l, const char *name)
{
    const char *slash = strrchr(name, '/');
    const char *before = l->whole.best;
    l->whole.best = NULL;
    near_offer(&l->whole, name);
    if (l->whole.best)
        snprintf(l->best, sizeof l->best, "%s", name);
    l->whole.best = l->whole.best ? l->best : before;
    before = l->city.best;
    l->city.best = NULL;
    near_offer(&l->city, slash ? slash + 1 : name);
    if (l->city.best)
        snprintf(l->city_of, sizeof l->city_of, "%s", name);
    l->city.best = l->city.best ? l->city_of : before;
}

static void look_in(struct looking *l, const char *under, int depth)
{
    char path[PATH_SIZE];
    snprintf(path, sizeof path, "%s/%s", database(), under);
    DIR *d = opendir(path);
    for (const struct dirent *f = d ? readdir(d) : NULL; f; f = readdir(d)) {
        char name[ZONE_NAME];
        const int n = snprintf(name, sizeof name, "%s%s%s", under, *under ? "/" : "", f->d_name);
        if (n >= ZONE_NAME || !may_be_name(name))
            continue;
        if (is_zone(name))
            offer(l, name);
        else if (depth < DEPTH)
            look_in(l, name, depth + 1);
    }
    if (d)
        closedir(d);
}

bool zone_known(const char *name, struct err *e)
{
    if (is_zone(name))
        return true;
    char typed[ZONE_NAME];
    snprintf(typed, sizeof typed, "%s", name);
    for (char *s = typed; *s; s++)
        *s = *s == ' ' ? '_' : *s;
    struct looking l = {.whole.word = typed, .city.word = typed};
    look_in(&l, "", 0);
    const struct near *near = l.whole.best ? &l.whole : &l.city;
    return err_set(e, ERR_INPUT, "no time zone '%s'%s", name,
                   near_said(near, "; write it as America/New_York, as timedatectl list-timezones "
                                   "names them")
                       .text);
}

/* --- this laptop -------------------------------------------------------------------------------- */

/* "/usr/share/zoneinfo/posix/Europe/Berlin" -> "Europe/Berlin" */
static bool name_of_path(const char *path, char out[ZONE_NAME])
{
    static const char posix[] = "posix/";
    struct err none;
    char *dir = file_absolute(database(), &none), *file = file_absolute(path, &none);
    const size_t n = dir ? strlen(dir) : 0;
    const char *name =
        n && file && strncmp(file, dir, n) == 0 && file[n] == '/' ? file + n + 1 : "";
    if (strncmp(name, posix, sizeof posix - 1) == 0)
        name += sizeof posix - 1;
    const bool ok = is_zone(name);
    if (ok)
        snprintf(out, ZONE_NAME, "%s", name);
    free(dir);
    free(file);
    return ok;
}

bool zone_here(char out[ZONE_NAME])
{
    const char *tz = getenv("TZ");
    if (!tz)
        return name_of_path("/etc/localtime", out);
    tz += *tz == ':';
    if (*tz == '/')
        return name_of_path(tz, out);
    if (!is_zone(tz))
        return false; /* a rule of its own, "EST5EDT4", which is no name */
    snprintf(out, ZONE_NAME, "%s", tz);
    return true;
}

/* --- what holds when ---------------------------------------------------------------------------- */

static bool span_at(int64_t utc, struct zone_span *out)
{
    struct tm t;
    const time_t at = (time_t)utc;
    if (!localtime_r(&at, &t))
        return false;
    *out = (struct zone_span){.from = ZONE_ALWAYS,
                              .offset_s = (int)t.tm_gmtoff,
                              .before_s = (int)t.tm_gmtoff,
                              .summer = t.tm_isdst > 0};
    snprintf(out->name, sizeof out->name, "%s", t.tm_zone);
    return true;
}

static bool same(const struct zone_span *a, const struct zone_span *b)
{
    return a->offset_s == b->offset_s && a->summer == b->summer && strcmp(a->name, b->name) == 0;
}

/* There is a change after `from`, at `to` at the latest: what holds behind it, and since when. */
static bool change_between(int64_t from, int64_t to, struct zone_span *out)
{
    struct zone_span before, here;
    if (!span_at(from, &before) || !span_at(to, out))
        return false;
    while (to - from > 1) {
        const int64_t half = from + (to - from) / 2;
        if (!span_at(half, &here))
            return false;
        if (same(&here, &before)) {
            from = half;
        } else {
            to = half;
            *out = here;
        }
    }
    out->from = to;
    out->before_s = before.offset_s;
    return true;
}

/* What holds at a moment, and since when: looked for back to 1970. */
static bool span_since(int64_t at, struct zone_span *out)
{
    struct zone_span here;
    if (!span_at(at, out))
        return false;
    for (int64_t t = at; t > 0; t -= DAY_S) {
        if (!span_at(t - DAY_S, &here))
            return false;
        if (!same(&here, out))
            return change_between(t - DAY_S, t, out);
    }
    return true;
}

static bool spans_of(int64_t from, int64_t to, struct zone_spans *out)
{
    struct zone_span here;
    out->n = 1;
    if (!span_since(from, &out->at[0]))
        return false;
    for (int64_t t = from; t < to; t += DAY_S) {
        if (!span_at(t + DAY_S, &here))
            return false;
        if (same(&here, &out->at[out->n - 1]))
            continue;
        if (out->n == ZONE_SPANS || !change_between(t, t + DAY_S, &out->at[out->n++]))
            return false;
    }
    return true;
}

bool zone_read(const char *name, int64_t from, int64_t to, struct zone_spans *out, struct err *e)
{
    char file[ZONE_NAME + 1];
    char *kept = getenv("TZ") ? strdup(getenv("TZ")) : NULL;
    snprintf(file, sizeof file, ":%s", name); /* the colon: never a rule of that spelling */
    setenv("TZ", file, 1);
    tzset();
    const bool ok = spans_of(from, to, out);
    if (kept)
        setenv("TZ", kept, 1);
    else
        unsetenv("TZ");
    tzset();
    free(kept);
    return ok ||
           err_set(e, ERR_FAILED,
                   "time zone %s: its times cannot be told for that day; check the date", name);
}
