/* The chord: what each key string means. */
#include <stdio.h>
#include <string.h>

#include "lib/cases.h"
#include "mark/band.h"
#include "mark/chord.h"

static const char *const phases[] = {[CHORD_SECTION] = "section",
                                     [CHORD_NUMBER] = "number",
                                     [CHORD_FAULT] = "fault",
                                     [CHORD_DONE] = "done",
                                     [CHORD_WRONG] = "wrong"};

/* "done: T1 T2 / horn angle", "fault: trumpets; begun k", "wrong: no section ..." */
static void tell(const struct show *show, const struct chord *c, char out[400])
{
    int n = sprintf(out, "%s:", phases[c->phase]);
    if (c->phase == CHORD_WRONG) {
        sprintf(out + n, " %s", c->why);
        return;
    }
    for (size_t i = 0; i < c->n_targets; i++)
        n += sprintf(out + n, " %s",
                     c->targets[i].performer >= 0 ? show->performers[c->targets[i].performer].label
                                                  : show->sections[c->targets[i].section].name);
    if (c->fault >= 0)
        n += sprintf(out + n, " / %s", show->faults[c->fault].name);
    if (*c->begun)
        sprintf(out + n, "; begun %s", c->begun);
}

static const struct chord_row {
    const char *name, *keys, *means;
} rows[] = {
    {"nothing typed waits for a section", "", "section:"},
    {"a section key", "t", "number: trumpets"},
    {"the first letter of a longer section key", "d", "section:; begun d"},
    {"a section key of two letters", "du", "number: drums"},
    {"section and fault", "th", "done: trumpets / horn angle"},
    {"a fault key of two letters begun", "tk", "fault: trumpets; begun k"},
    {"a fault key of two letters", "tks", "done: trumpets / slouch"},
    {"a performer", "t3h", "done: T3 / horn angle"},
    {"a number alone", "t3", "number: T3"},
    {"a number of two digits", "t12h", "done: T12 / horn angle"},
    {"a digit that is a performer and begins another number", "t1", "number: T1"},
    {"a performer whose number begins another one's", "t1h", "done: T1 / horn angle"},
    {"two performers", "t3,5h", "done: T3 T5 / horn angle"},
    {"a comma waits for a number", "t3,", "number: T3"},
    {"a range", "t1-3h", "done: T1 T2 T3 / horn angle"},
    {"a range passes over numbers nobody has", "t2-12h", "done: T2 T3 T5 T12 / horn angle"},
    {"a dash waits for a number", "t1-", "number: T1"},
    {"a range and a number", "t1-2,5h", "done: T1 T2 T5 / horn angle"},
    {"a number named twice counts once", "t3,3h", "done: T3 / horn angle"},
    {"a range over a number counts it once", "t2,1-3h", "done: T2 T1 T3 / horn angle"},
    {"two sections", "t+mh", "done: trumpets mellophones / horn angle"},
    {"a section and a performer of another", "t+m2h", "done: trumpets M2 / horn angle"},
    {"performers of two sections", "t1,2+m2-3l", "done: T1 T2 M2 M3 / late"},
    {"a plus waits for a section", "t+", "section: trumpets"},
    {"a number counts in the sections under a group", "b5h", "done: T5 / horn angle"},
    {"a number of two under a group is refused", "b2h",
     "wrong: brass has T2 M2: type their section first"},
    {"no such section key", "x", "wrong: no section has the key 'x'"},
    {"a section key that goes wrong", "dx", "wrong: no section has the key 'dx'"},
    {"a digit first", "3", "wrong: no section has the key '3'"},
    {"no such fault key", "tq", "wrong: no fault has the key 'q'"},
    {"a fault key that goes wrong", "tkq", "wrong: no fault has the key 'kq'"},
    {"no such performer", "t4", "wrong: no performer 4 in trumpets"},
    {"a number that leads nowhere", "t14", "wrong: no performer 14 in trumpets"},
    {"nobody has a number in this section", "du1", "wrong: no performer 1 in drums"},
    {"a range that runs backward", "t3-1h", "wrong: 3-1 runs backward"},
    {"a letter behind a comma", "t3,h", "wrong: a number must follow ','"},
    {"a letter behind a dash", "t3-h", "wrong: a number must follow '-'"},
    {"two plus signs", "t++", "wrong: '+' means nothing here"},
    {"a comma without a number", "t,", "wrong: ',' means nothing here"},
    {"a dash without a number", "t-", "wrong: '-' means nothing here"},
    {"keys behind a complete chord", "thh", "wrong: no fault has the key 'h'"},
    {"a capital letter", "T", "wrong: no section has the key 'T'"},
};

/* Below the brass two have the number 2, two the number 3; below the ensemble C1 and S1 as well,
 * and only one has 21. W4 and X4 are in one section. */
static struct show shared_band(struct arena *a)
{
    return show_of(a,
                   "section,parent,key\nensemble,,e\nbrass,ensemble,b\ntrumpets,brass,t\n"
                   "mellophones,brass,m\nbaritones,brass,r\nguard,ensemble,g\n",
                   "performer,section\nT2,trumpets\nT3,trumpets\nT5,trumpets\nM2,mellophones\n"
                   "M3,mellophones\nM21,mellophones\nBR3,baritones\nB5,brass\nW4,guard\nX4,guard\n"
                   "G6,guard\nG77,guard\nH77,baritones\n",
                   "fault,key\nhorn angle,h\n", NULL);
}

static const struct chord_row shared[] = {
    {"a number of three below the section is refused", "b3",
     "wrong: brass has T3 M3 BR3: type their section first"},
    {"the same in the section itself is one's", "t3h", "done: T3 / horn angle"},
    {"a number of two that begins another one waits", "b2", "number:"},
    {"and is that other one", "b21h", "done: M21 / horn angle"},
    {"and is refused at the fault's key", "b2h",
     "wrong: brass has T2 M2: type their section first"},
    {"and at a comma", "b2,", "wrong: brass has T2 M2: type their section first"},
    {"and at a dash", "b2-", "wrong: brass has T2 M2: type their section first"},
    {"behind a comma too", "b21,3", "wrong: brass has T3 M3 BR3: type their section first"},
    {"at the end of a range too", "t2-3h", "done: T2 T3 / horn angle"},
    {"within a range too", "e2-6", "wrong: ensemble has T2 M2: type their section first"},
    {"one in the section itself and one below", "b5",
     "wrong: brass has T5 B5: write :mark T5 FAULT"},
    {"two of one section", "g4", "wrong: guard has W4 X4: write :mark W4 FAULT"},
    {"a digit that leads only to a number of two", "e7",
     "wrong: ensemble has G77 H77: type their section first"},
    {"a number that is one's below everybody", "e6h", "done: G6 / horn angle"},
};

static void means_among_many(void **state)
{
    const struct chord_row *r = *state;
    struct arena a = {0};
    struct show show = shared_band(&a);
    struct chord c;
    char told[400];
    chord_read(&show, r->keys, false, &c);
    tell(&show, &c, told);
    assert_string_equal(told, r->means);
    assert_int_equal(c.shared, c.phase == CHORD_WRONG);
    arena_free(&a);
}

static void a_long_row_of_names_says_how_many_more(void **state)
{
    (void)state;
    struct arena a = {0};
    char people[2000] = "performer,section\n", sections[2000] = "section,parent,key\nall,,e\n";
    for (int i = 0; i < 20; i++) {
        sprintf(people + strlen(people), "longer%c1,s%c\n", 'a' + i, 'a' + i);
        sprintf(sections + strlen(sections), "s%c,all,s%c\n", 'a' + i, 'a' + i);
    }
    struct show show = show_of(&a, sections, people, "fault,key\nhorn angle,h\n", NULL);
    struct chord c;
    chord_read(&show, "e1", false, &c);
    assert_int_equal(c.phase, CHORD_WRONG);
    assert_string_equal(c.why, "all has longera1 longerb1 and 18 more: type their section first");
    arena_free(&a);
}

static void means(void **state)
{
    const struct chord_row *r = *state;
    struct arena a = {0};
    struct show show = band(&a);
    struct chord c;
    char told[400];
    chord_read(&show, r->keys, false, &c);
    tell(&show, &c, told);
    assert_string_equal(told, r->means);
    arena_free(&a);
}

static const struct muddled_row {
    const char *name, *keys;
    bool finish;
    const char *means;
} muddled[] = {
    {"a fault key that begins another waits", "th", false, "fault: trumpets / horn angle; begun h"},
    {"Enter completes it", "th", true, "done: trumpets / horn angle"},
    {"the longer fault key is complete by itself", "tho", false, "done: trumpets / horns up late"},
    {"a section key that begins another waits", "t", false, "section:; begun t"},
    {"a letter that goes on with no section key is a fault's", "th", true,
     "done: trumpets / horn angle"},
    {"the longest section key is taken", "trr", false, "done: trombones / rushing"},
    {"a number shows which section was meant", "t1r", false, "done: T1 / rushing"},
    {"Enter does not complete what is not begun", "tr", true, "number: trombones"},
};

static void muddled_keys_mean(void **state)
{
    const struct muddled_row *r = *state;
    struct arena a = {0};
    struct show show = muddled_band(&a);
    struct chord c;
    char told[400];
    chord_read(&show, r->keys, r->finish, &c);
    tell(&show, &c, told);
    assert_string_equal(told, r->means);
    arena_free(&a);
}

static const struct chord_row alone[] = {
    {"nothing typed waits for a fault", "", "fault: trumpets"},
    {"a fault's key alone", "h", "done: trumpets / horn angle"},
    {"one of two letters begun", "k", "fault: trumpets; begun k"},
    {"one of two letters", "ks", "done: trumpets / slouch"},
    {"no such fault's key", "q", "wrong: no fault has the key 'q'"},
    {"no section's key", "du", "wrong: no fault has the key 'd'"},
    {"no number", "3", "wrong: '3' means nothing here"},
    {"keys behind it", "hh", "wrong: no fault has the key 'h'"},
};

/* The people stand already. */
static void a_fault_alone_means(void **state)
{
    const struct chord_row *r = *state;
    struct arena a = {0};
    struct show show = band(&a);
    struct chord c;
    char told[400];
    chord_read(&show, "t", false, &c);
    chord_read_fault(&show, r->keys, false, &c);
    tell(&show, &c, told);
    assert_string_equal(told, r->means);
    arena_free(&a);
}

static void what_was_removed_cannot_be_typed(void **state)
{
    (void)state;
    struct arena a = {0};
    struct show show = band(&a);
    struct chord c;
    show.sections[show_section(&show, "mellophones")].removed = true;
    chord_read(&show, "m", false, &c);
    assert_int_equal(c.phase, CHORD_WRONG);
    show.performers[show_performer(&show, "T3")].removed = true;
    chord_read(&show, "t3", false, &c);
    assert_int_equal(c.phase, CHORD_WRONG);
    show.faults[show_fault(&show, "late")].removed = true;
    chord_read(&show, "tl", false, &c);
    assert_int_equal(c.phase, CHORD_WRONG);
    arena_free(&a);
}

static void more_targets_than_there_is_room_for_are_refused(void **state)
{
    (void)state;
    struct arena a = {0};
    char roster[1000] = "performer,section\n";
    for (int i = 1; i <= CHORD_TARGETS + 1; i++)
        sprintf(roster + strlen(roster), "T%d,trumpets\n", i);
    struct show show =
        show_of(&a, "section,key\ntrumpets,t\n", roster, "fault,key\nlate,l\n", NULL);
    struct chord c;
    chord_read(&show, "t1-32l", false, &c);
    assert_int_equal(c.phase, CHORD_DONE);
    assert_int_equal(c.n_targets, CHORD_TARGETS);
    chord_read(&show, "t1-33l", false, &c);
    assert_int_equal(c.phase, CHORD_WRONG);
    assert_string_equal(c.why, "that is more than 32 at once; mark the section");
    arena_free(&a);
}

/* --- what may follow ------------------------------------------------------------------------ */

static void list_options(const struct show *show, const char *keys, size_t most, char out[600])
{
    struct chord c;
    struct chord_option o[64];
    chord_read(show, keys, false, &c);
    size_t n = chord_options(show, &c, o, most);
    *out = '\0';
    for (size_t i = 0; i < n; i++)
        sprintf(out + strlen(out), "%s%.7s %s", i ? ", " : "", o[i].keys, o[i].what);
}

static const struct option_row {
    const char *name, *keys;
    size_t most;
    const char *said;
} options[] = {
    {"at first all sections, by their keys", "", 20,
     "b brass, dm drum major, du drums, e ensemble, m mellophones, t trumpets"},
    {"sections that begin alike become one when there is no room", "", 5,
     "b brass, d.. drums, e ensemble, m mellophones, t trumpets"},
    {"what is left of a key that is begun", "d", 20, "m drum major, u drums"},
    {"behind a section the faults", "t", 20, "h horn angle, kh head down, ks slouch, l late"},
    {"faults that begin alike are shown by their family", "t", 3,
     "h horn angle, k.. posture, l late"},
    {"what is left of a fault key", "t3k", 20, "h head down, s slouch"},
    {"nothing behind a complete chord", "th", 20, ""},
    {"nothing behind a wrong one", "x", 20, ""},
    {"never more than asked for", "", 2, "b brass, e ensemble"},
};

static void offers(void **state)
{
    const struct option_row *r = *state;
    struct arena a = {0};
    struct show show = band(&a);
    char said[600];
    list_options(&show, r->keys, r->most, said);
    assert_string_equal(said, r->said);
    arena_free(&a);
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, rows, means);
    cases_of(&all, alone, a_fault_alone_means);
    cases_of(&all, shared, means_among_many);
    case_test(&all, a_long_row_of_names_says_how_many_more);
    cases_of(&all, muddled, muddled_keys_mean);
    cases_of(&all, options, offers);
    case_test(&all, what_was_removed_cannot_be_typed);
    case_test(&all, more_targets_than_there_is_room_for_are_refused);
    return cases_run(&all, "chord");
}
