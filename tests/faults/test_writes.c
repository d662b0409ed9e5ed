/* Every verb that writes, on a disk that fails at every kind of call. */
#include "faults/disk.h"

static const struct trial trials[] = {
    {"new", {"new", "b.show", "--title", "Larkspur"}, false, true, NULL},
    {"add sections", {"add", "a.show", "sections", "sections.csv"}, false, false, NULL},
    {"add roster", {"add", "a.show", "roster", "roster.csv"}, false, false, NULL},
    {"add faults", {"add", "a.show", "faults", "faults.csv"}, false, false, NULL},
    {"add sets", {"add", "a.show", "sets", "sets.csv"}, false, false, NULL},
    {"add sets of music", {"add", "a.show", "sets", "song.xml", "--yes"}, false, false, NULL},
    {"add dots", {"add", "a.show", "dots", "dots.csv", "--keep"}, false, false, NULL},
    {"add clip",
     {"add", "a.show", "clip", "wed.avi", "--date", "2026-09-02"},
     false,
     false,
     "read"},
    {"add marks", {"add", "a.show", "marks", "marks.csv"}, false, false, NULL},
    {"mark", {"mark", "a.show", "tue", "5", "T1", "h", "--note", "up"}, false, false, NULL},
    {"state", {"state", "a.show", "trumpets", "late", "clean"}, false, false, NULL},
    {"define", {"define", "a.show", "style", "--decide", "heels down"}, false, false, NULL},
    {"watched", {"watched", "a.show", "tue", "100", "120"}, false, false, NULL},
    {"tick", {"tick", "a.show", "1"}, false, false, NULL},
    {"setting", {"setting", "a.show", "title", "Wrenfield"}, false, false, NULL},
    {"count tie", {"count", "a.show", "tue", "tie", "20.9", "12A"}, false, false, NULL},
    {"count untie", {"count", "a.show", "tue", "untie", "13.6"}, false, false, NULL},
    {"count taps",
     {"count", "a.show", "tue", "taps", "taps.txt", "--set", "12A", "--accept"},
     false,
     false,
     NULL},
    {"plan", {"plan", "a.show", "--minutes", "45", "--date", "2026-09-07"}, false, false, NULL},
};

/* Waiting for their mend. */
static const struct known known[] = {
    {NULL, NULL, NULL},
};

static void keeps_all_or_nothing_and_says_which(void **state)
{
    disk_try(*state, known, sizeof known / sizeof *known - 1);
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, trials, keeps_all_or_nothing_and_says_which);
    return cases_run(&all, "writing on a failing disk");
}
