/* Every verb that reads, on a disk that fails at every kind of call: it answers in full or says why
 * not, and changes nothing. */
#include "faults/disk.h"

static const struct trial trials[] = {
    {"fixes", {"fixes", "a.show", "--as", "json"}, true, false, NULL},
    {"calls", {"calls", "a.show", "tue", "--as", "csv"}, true, false, NULL},
    {"check", {"check", "a.show"}, true, false, NULL},
    {"count ties", {"count", "a.show", "tue", "ties"}, true, false, NULL},
    {"count at", {"count", "a.show", "tue", "at", "12"}, true, false, NULL},
    {"compare",
     {"compare", "a.show", "--from", "2026-09-01", "--to", "2026-09-03"},
     true,
     false,
     NULL},
    {"define, the list", {"define", "a.show"}, true, false, NULL},
    {"history", {"history", "a.show", "--as", "csv"}, true, false, NULL},
    {"tick, the list", {"tick", "a.show"}, true, false, NULL},
    {"watched, the list", {"watched", "a.show", "tue"}, true, false, NULL},
    {"setting, the list", {"setting", "a.show"}, true, false, NULL},
    {"plan --try", {"plan", "a.show", "--minutes", "45", "--try"}, true, false, NULL},
};

/* Waiting for their mend. */
static const struct known known[] = {
    {NULL, NULL, NULL},
};

static void answers_in_full_or_says_why_not(void **state)
{
    disk_try(*state, known, sizeof known / sizeof *known - 1);
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, trials, answers_in_full_or_says_why_not);
    return cases_run(&all, "reading from a failing disk");
}
