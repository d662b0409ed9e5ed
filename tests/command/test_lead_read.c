/* The show read again while the reaction lead is measured. */
#include <stdlib.h>

#include <sqlite3.h>

#include "command/chord.h"
#include "command/run.h"
#include "command/screen.h"
#include "command/slips.h"
#include "command/stage.h"
#include "lib/cases.h"
#include "lib/run.h"

static struct app app;
static struct desk d;

static void begin(void)
{
    stage_open(&d, &app);
}

static void end(void)
{
    stage_close(&d, &app);
}

static void measure(void)
{
    begin();
    begin_to_measure(&d);
}

static void office(const char *table, const char *text)
{
    setenv("BOXCALL_AUTHOR", "The office", 1);
    struct run r =
        run_in(text, "boxcall", "add", stage_show(), table, "-", "--replace", "--yes", NULL);
    assert_exit(r, 0);
    setenv("BOXCALL_AUTHOR", "Ana Quill", 1);
    stage_settle(&d);
}

static const char other_order[] = "section,parent,key\nensemble,,e\nwinds,ensemble,w\n"
                                  "clarinets,winds,c\nmellophones,winds,j\ntrumpets,winds,t\n"
                                  "flutes,winds,f\n";

static void a_show_read_again_with_the_same_sections_goes_on(void **state)
{
    (void)state;
    measure();
    until_a_slip(&d);
    answer(&d, 500, right_section(&d), right_fault(&d));
    const int n = lead_trial(&d)->n;
    assert_int_equal(n, 1);
    until_a_slip(&d);
    const char *section =
        app.show.sections[lead_trial(&d)->field.sections[lead_trial(&d)->slip.group]].name;
    section = arena_strdup(test_arena(), section);
    office("sections", other_order); /* trumpets, mellophones and flutes, elsewhere */
    assert_int_equal(lead_trial(&d)->n, 1);
    assert_int_equal(lead_trial(&d)->phase, LEAD_SLIP);
    assert_string_equal(
        app.show.sections[lead_trial(&d)->field.sections[lead_trial(&d)->slip.group]].name,
        section);
    answer(&d, 700, right_section(&d), right_fault(&d));
    assert_int_equal(lead_trial(&d)->n, 2);
    end();
}

static void a_section_that_goes_meanwhile_begins_it_anew(void **state)
{
    (void)state;
    measure();
    until_a_slip(&d);
    answer(&d, 500, right_section(&d), right_fault(&d));
    until_a_slip_of_trumpets(&d); /* whose key stays theirs */
    assert_true(lead_key(&d, "t", lead_trial(&d)->seen_us + 500000));
    office("sections", "section,parent,key\nensemble,,e\nclarinets,ensemble,c\n"
                       "trumpets,ensemble,t\nmellophones,ensemble,m\n"); /* no flutes */
    assert_false(chord_open(&d));
    assert_int_equal(lead_trial(&d)->phase, LEAD_READY);
    assert_int_equal(lead_trial(&d)->n, 0);
    assert_contains(d.message, "begins anew");
    for (size_t i = 0; i < lead_trial(&d)->field.n_sections; i++)
        assert_string_not_equal(app.show.sections[lead_trial(&d)->field.sections[i]].name,
                                "flutes");
    desk_key(&d, "Space");
    until_a_slip(&d);
    answer(&d, 500, right_section(&d), right_fault(&d));
    assert_int_equal(lead_trial(&d)->n, 1);
    end();
}

static void with_no_key_left_the_review_comes_back(void **state)
{
    (void)state;
    sqlite3 *db;
    measure();
    until_a_slip(&d);
    assert_true(lead_key(&d, right_section(&d), lead_trial(&d)->seen_us + 500000));
    assert_int_equal(sqlite3_open(stage_show(), &db), SQLITE_OK);
    assert_int_equal(sqlite3_exec(db, "UPDATE section SET key=''", NULL, NULL, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_close(db), SQLITE_OK);
    stage_settle(&d);
    assert_string_equal(d.screen->open.name, "review");
    assert_false(chord_open(&d));
    assert_int_equal(lead_trial(&d)->phase, LEAD_IDLE);
    assert_contains(d.message, "no section of the show has a key");
    end();
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, a_show_read_again_with_the_same_sections_goes_on);
    case_test(&all, a_section_that_goes_meanwhile_begins_it_anew);
    case_test(&all, with_no_key_left_the_review_comes_back);
    return cases_run(&all, "the lead when the show is read again");
}
