/* Moments as media fragments say them. The vectors are those of the public test cases that follow W3C's
 * own for Media Fragments URI 1.0 (tomayac/Media-Fragments-URI, commit ddeab21b, testcases.tsv); those
 * that say otherwise are ours. */
#include <string.h>

#include "lib/cases.h"
#include "show/fragment.h"

enum { END = -1, NONE = -2 };

static const struct vector {
    const char *name; /* the fragment */
    double from, to;  /* seconds; NONE: it is ignored */
} vectors[] = {
    {"t=3,7", 3, 7},
    {"t=npt:3,7", 3, 7},
    {"t=3", 3, END},
    {"t=,7", 0, 7},
    {"t=3.", 3, END},
    {"t=00:00:03,00:00:07", 3, 7},
    {"t=3,00:00:07", 3, 7},
    {"%74=3", 3, END},
    {"t=%33", 3, END},
    {"t=%6Ept:3", 3, END},
    {"t=3%2C7", 3, 7},
    {"t=7&t=3", 3, END},
    {"t=foo:7&t=npt:3", 3, END},
    {"u=12&t=3", 3, END},
    {"t=3&", 3, END},
    {"&&t=3,7", 3, 7},
    {"t=3,7&t=foo", 3, 7},
    {"t=,", NONE, 0},
    {"t=3,", NONE, 0},
    {"t=3,3", NONE, 0},
    {"t=7,3", NONE, 0},
    {"t=-1,3", NONE, 0},
    {"t=.", NONE, 0},
    {"t=.0", NONE, 0},
    {"t=", NONE, 0},
    {"t=0s", NONE, 0},
    {"t=,0s", NONE, 0},
    {"t=s", NONE, 0},
    {"t=0:0:0", NONE, 0},
    {"t=0:00:60", NONE, 0},
    {"t=0:60:00", NONE, 0},
    {"t=1e-1", NONE, 0},
    {"t=3,7,9", NONE, 0},
    {"t=3,7,", NONE, 0},
    {"t=banana", NONE, 0},
    {"t=3,banana", NONE, 0},
    {"T=3,7", NONE, 0},
    {"t%3D3", NONE, 0},
    {"t=npt:", NONE, 0},
    /* Ours: the grammar of section 4.2.1, and what no file should do to us. */
    {"t=01:05.25", 65.25, END},
    {"t=1:05", NONE, 0},
    {"t=100:00:01.5", 360001.5, END},
    {"t=65.2000006", 65.200001, END},
    {"t=65.20000049", 65.2, END},
    {"t=0.9999996", 1, END},
    {"t=99999999999999999999", NONE, 0},
    {"t=1:99999999999:00", NONE, 0},
    {"t=%3", NONE, 0},
    {"t=%00", NONE, 0},
    {"t=%zz", NONE, 0},
    {"xywh=1,2,3,4", NONE, 0},
    {"", NONE, 0},
};

static void says(void **state)
{
    const struct vector *v = *state;
    struct fragment_time t;
    const bool found = fragment_time(v->name, &t);
    assert_int_equal(found, v->from >= 0);
    if (!found)
        return;
    assert_int_equal(t.from_us, (long long)(v->from * 1e6 + 0.5));
    assert_int_equal(t.to_us, v->to < 0 ? -1 : (long long)(v->to * 1e6 + 0.5));
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, vectors, says);
    return cases_run(&all, "media fragments");
}
