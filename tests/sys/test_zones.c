/* Which zone this laptop is in, where no TZ says so: /etc/localtime, which a test may not touch. What
 * the C library finds at that path is put in its place (ld --wrap). */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "lib/cases.h"
#include "lib/files.h"
#include "sys/zones.h"

static const char *localtime_path; /* stands for /etc/localtime */

char *__real_realpath(const char *path, char *out);
char *__wrap_realpath(const char *path, char *out);
char *__wrap_realpath(const char *path, char *out)
{
    return __real_realpath(strcmp(path, "/etc/localtime") == 0 ? localtime_path : path, out);
}

/* A database of three zones; one lies under posix/ too, as Debian has it. RFC 9636, section 3.1: a file
 * of a zone begins with "TZif". */
static const char *database(void)
{
    const char *dir = temp_dir();
    static const char *const folders[] = {"Asia", "posix", "posix/Asia"};
    for (size_t i = 0; i < sizeof folders / sizeof *folders; i++)
        assert_int_equal(mkdir(path_in(dir, folders[i]), 0700), 0);
    write_bytes(dir, "Asia/Kathmandu", "TZif2", 5);
    write_bytes(dir, "posix/Asia/Kathmandu", "TZif2", 5);
    write_bytes(dir, "Asia/Tokyo", "TZif2", 5);
    write_bytes(dir, "zone.tab", "NP\n", 3);
    write_bytes(dir, "Readme", "no zone", 7);
    assert_int_equal(symlink("Tokyo", path_in(dir, "Asia/Same")), 0);
    return dir;
}

/* localtime(5): a symbolic link to the file of a zone, absolute or relative. */
static const struct link_case {
    const char *name, *to; /* %s is the database */
    const char *zone;      /* NULL: cannot be told */
} links[] = {
    {"a link to a zone", "%s/Asia/Kathmandu", "Asia/Kathmandu"},
    {"a link by way of another folder", "%s/posix/../Asia/Kathmandu", "Asia/Kathmandu"},
    {"a link under posix", "%s/posix/Asia/Kathmandu", "Asia/Kathmandu"},
    {"a link to a link", "%s/Asia/Same", "Asia/Tokyo"},
    {"a link to what is no zone", "%s/zone.tab", NULL},
    {"a link to what only looks like a zone's name", "%s/Readme", NULL},
    {"a link to nothing", "%s/Asia/Nowhere", NULL},
    {"a link out of the database", "%s/../elsewhere", NULL},
    {"a link to the database itself", "%s", NULL},
};

static bool here(char zone[ZONE_NAME])
{
    memset(zone, 0, ZONE_NAME);
    return zone_here(zone);
}

static void is_told(void **state)
{
    const struct link_case *x = *state;
    const char *dir = database(), *etc = temp_dir();
    char to[4096], zone[ZONE_NAME];
    snprintf(to, sizeof to, x->to, dir);
    setenv("TZDIR", dir, 1);
    unsetenv("TZ");
    localtime_path = path_in(etc, "localtime");
    assert_int_equal(symlink(to, localtime_path), 0);
    assert_int_equal(here(zone), x->zone != NULL);
    assert_string_equal(zone, x->zone ? x->zone : "");
}

/* A copy of a zone's file has no name; nor has what is not there. */
static void a_file_of_its_own_has_no_name(void **state)
{
    (void)state;
    const char *dir = database(), *etc = temp_dir();
    char zone[ZONE_NAME];
    setenv("TZDIR", dir, 1);
    unsetenv("TZ");
    write_bytes(etc, "localtime", "TZif2", 5);
    localtime_path = path_in(etc, "localtime");
    assert_false(here(zone));
    assert_int_equal(unlink(localtime_path), 0);
    assert_false(here(zone));
}

static void TZ_goes_before_the_laptops(void **state)
{
    (void)state;
    const char *dir = database(), *etc = temp_dir();
    char zone[ZONE_NAME];
    setenv("TZDIR", dir, 1);
    localtime_path = path_in(etc, "localtime");
    assert_int_equal(symlink(path_in(dir, "Asia/Kathmandu"), localtime_path), 0);
    setenv("TZ", "Asia/Tokyo", 1);
    assert_true(here(zone));
    assert_string_equal(zone, "Asia/Tokyo");
    setenv("TZ", "JST-9", 1); /* a rule has no name, and is not what the laptop says */
    assert_false(here(zone));
    unsetenv("TZ");
    assert_true(here(zone));
    assert_string_equal(zone, "Asia/Kathmandu");
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, links, is_told);
    case_test(&all, a_file_of_its_own_has_no_name);
    case_test(&all, TZ_goes_before_the_laptops);
    return cases_run(&all, "the zone of this laptop");
}
