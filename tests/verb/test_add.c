/* Tables and clips on their way into the show. */
#include <stdio.h>
#include <string.h>
#include <unistd.h>
#include <utime.h>

#include "lib/bad_disk.h"
#include "verb/season.h"

static struct run add(const struct season *s, const char *what, const char *text)
{
    struct run_setup in = season_in(s, text);
    return box(&in, "add", "a.show", what, "-", NULL);
}

static void assert_said(struct run r, const char *talk)
{
    assert_exit(r, 0);
    assert_string_equal(r.out, "");
    assert_string_equal(r.err, talk);
}

/* --- a disk that fails ---------------------------------------------------------------------------
 */

/* The clip of 600 s can be read for its first half: no clip of 300 s is added. */
static void a_clip_that_the_disk_does_not_give_up_is_not_added(void **state)
{
    (void)state;
    struct season s = season_new();
    size_t n;
    read_file(season_clip(&s, "bad.avi", 600, 120), &n);
    bad_disk("bad.avi", n / 2);
    struct run r = BOX(&s, "add", "a.show", "clip", "bad.avi");
    bad_disk(NULL, 0);
    assert_exit(r, 1);
    assert_string_equal(r.out, "");
    assert_contains(r.err, "bad.avi: cannot be read beyond 4:5");
    assert_contains(r.err, ": Input/output error; copy the clip again\n");
    assert_null(strchr(strchr(r.err, '\n') + 1, '\n'));
    ends(BOX(&s, "calls", "a.show", "bad"), 3);
    r = BOX(&s, "add", "a.show", "clip", "bad.avi");
    assert_exit(r, 0);
    assert_contains(r.err, "10:00");
}

/* --- a new show ------------------------------------------------------------------------------- */

static void a_new_show_is_one_file_with_sections_and_faults_whose_keys_are_sound(void **state)
{
    (void)state;
    struct season s = season_empty();
    assert_said(BOX(&s, "new", "larkspur.show"),
                "larkspur.show: made, with 22 sections and 79 faults to begin with\n");
    assert_int_equal(access(path_in(s.dir, "larkspur.show"), F_OK), 0);
    assert_int_equal(access(path_in(s.dir, "larkspur.show-wal"), F_OK), -1);
    struct run r = BOX(&s, "check", "larkspur.show");
    assert_quiet(r);
    assert_contains(r.out, "larkspur.show: sound; 22 sections, 0 performers, 79 faults");
    assert_string_equal(
        json_str(json_out(BOX(&s, "fixes", "larkspur.show", "--as", "json")), "show"), "larkspur");
}

static void a_new_show_that_does_not_fit_on_the_disk_leaves_nothing(void **state)
{
    (void)state;
    struct season s = season_empty();
    s.setup.file_limit = 8192;
    struct run r = BOX(&s, "new", "a.show");
    assert_exit(r, 1);
    assert_contains(r.err, "boxcall: ");
    assert_null(strchr(strchr(r.err, '\n') + 1, '\n'));
    assert_int_equal(access(path_in(s.dir, "a.show"), F_OK), -1);
    assert_int_equal(access(path_in(s.dir, "a.show-wal"), F_OK), -1);
    assert_int_equal(access(path_in(s.dir, "a.show-journal"), F_OK), -1);
}

/* --- tables ------------------------------------------------------------------------------------
 */

static void a_table_as_a_spreadsheet_saves_it_is_read(void **state)
{
    (void)state;
    struct season s = season_new();
    const char *path = write_file(s.dir, "my roster.csv",
                                  "\xef\xbb\xbf"
                                  "Section,Phone,Performer,Name\r\n"
                                  "tpts,555,T9,\"Halloway, Oren \"\"Ox\"\"\"\r\n"
                                  "Tuba,,U9,\"two\r\nlines\"\r\n,,,\r\n");
    assert_said(BOX(&s, "add", "a.show", "roster", path),
                arena_printf(test_arena(),
                             "roster: 2 added, 0 changed, 0 as before\n"
                             "%s: columns that are passed over: 'Phone'\n",
                             path));
    ends(BOX(&s, "mark", "a.show", "tue", "5", "T9;U9", "h"), 0);
    struct run r = BOX(&s, "fixes", "a.show", "--as", "json");
    json_t *item = json_array_get(json_at(json_out(r), "items"), 0),
           *who = json_array_get(json_at(item, "performers"), 0);
    assert_string_equal(json_str(who, "performer"), "T9");
    assert_string_equal(json_str(who, "name"), "Halloway, Oren \"Ox\"");
}

static const struct refusal {
    const char *name, *what, *text, *said;
} refusals[] = {
    {"a section that is not there", "roster", "performer,name,section\nT1,Ada,trumpts\n",
     "stdin:2:3: section: no section 'trumpts'; did you mean 'trumpets'?"},
    {"a column that is missing", "roster", "performer,name\nT1,Ada\n",
     "stdin:1:1: no column 'section'; the first line must name the columns: "
     "performer,name,section"},
    {"text of another encoding", "roster", "performer,name,section\nT1,Ren\xe9,tubas\n",
     "stdin:2:2: not UTF-8 text (byte 0xe9); save it as 'CSV UTF-8'"},
    {"a loop of sections", "sections", "section,parent\na,b\nb,a\n",
     "stdin:3:2: parent: 'b' is above itself; follow its parents and break the loop"},
    {"a key that drives the program", "faults", "fault,key\nlate,1\n",
     "stdin:2:2: key: '1' cannot be a key; use letters a to z only, every other key drives the "
     "program"},
    {"counts beyond an int", "sets", "set,counts\n1,2147483648\n",
     "stdin:2:2: counts: 2147483648 is outside 0 to 999"},
    {"a tempo of next to nothing", "sets", "set,counts,tempo\n1,16,1e-300\n",
     "stdin:2:3: tempo: 1e-300 is outside 20 to 400"},
    {"a hold of ages", "sets", "set,counts,hold\n1,16,1e300\n",
     "stdin:2:3: hold: 1e300 is outside 0 to 600"},
    {"counts that are no number", "sets", "set,counts\n1,eight\n",
     "stdin:2:2: counts: 'eight' is not a number"},
    {"a dot that is no place", "dots", "performer,set,across,depth\nT1,1,left,on front hash\n",
     "stdin:2:3: across: 'left' is not a place across the field; write 'side 1, 2.5 outside 35' "
     "or 'on 50'"},
    {"an empty table", "sets", "",
     "stdin:1:1: the file is empty; its first line must name the "
     "columns: set,counts,tempo,tempo_end,hold,measures,name,path"},
    {"a table without rows", "faults", "fault,key\n",
     "stdin: no rows under the header; nothing to add"},
    {"a mark of an unknown clip", "marks", "clip,time,target,fault\ntue,5,T1,late\nteu,5,T1,h\n",
     "stdin:3:1: clip: no clip 'teu'; did you mean 'tue'?"},
    {"a mark past the end", "marks", "clip,time,target,fault\nthu,5:01,T1,late\n",
     "stdin:2:2: time: 5:01 is past the end of clip 'thu'"},
    {"a mark of an unknown fault", "marks", "clip,time,target,fault\nthu,5,T1,lat\n",
     "stdin:2:4: fault: no fault 'lat'; did you mean 'late'?"},
    {"a mark of nobody", "marks", "clip,time,target,fault\nthu,5,,late\n",
     "stdin:2:3: target: no target; name a section or a performer's label (T3)"},
    {"a severity that is none", "marks", "clip,time,target,fault,severity\nthu,5,T1,late,2.5\n",
     "stdin:2:5: severity: 2.5: severity is 1, 2 or 3"},
    {"praise that is neither yes nor no", "marks",
     "clip,time,target,fault,praise\nthu,5,T1,late,maybe\n",
     "stdin:2:5: praise: 'maybe' is neither yes nor no"},
};

static void is_refused_by_cell_and_nothing_is_changed(void **state)
{
    static struct season s;
    const struct refusal *r = *state;
    if (!s.dir)
        s = season_new();
    struct run before = BOX(&s, "check", "a.show"), got = add(&s, r->what, r->text),
               after = BOX(&s, "check", "a.show");
    assert_exit(got, 3);
    assert_one_line(got, r->said);
    assert_string_equal(before.out, after.out);
    assert_int_equal(json_array_size(json_out(BOX(&s, "calls", "a.show", "tue", "--as", "json"))),
                     0);
}

static void a_table_added_again_is_updated_not_doubled(void **state)
{
    (void)state;
    struct season s = season_new();
    static const char table[] = "performer,name,section\n"
                                "T1,Ada Fenwright,trumpets\nT2,Milo T.,trumpets\n"
                                "T4,New Here,trumpets\nU1,Pia Lindqvale,tubas\n"
                                "D1,Oren Halloway,drums\n";
    ends(BOX(&s, "mark", "a.show", "tue", "5", "T3", "h"), 0);
    assert_said(add(&s, "roster", table), "roster: 1 added, 1 changed, 3 as before\n");
    assert_said(add(&s, "roster", table), "roster: 0 added, 0 changed, 5 as before\n");
    struct run r = BOX(&s, "fixes", "a.show", "--for", "T3", "--as", "json");
    assert_int_equal(json_array_size(json_at(json_out(r), "items")), 1);
}

static void new_keys_go_with_those_that_are_there(void **state)
{
    (void)state;
    struct season s = season_new();
    struct run_setup in = season_in(&s, "fault\nlunge\nhorns up late\nleaning\n");
    assert_said(box(&in, "add", "a.show", "faults", "-", "--keep", NULL),
                "faults: 3 added, 0 changed, 0 as before\n");
    ends(BOX(&s, "check", "a.show"), 0);
    ends(add(&s, "sections", "section,parent,key\nbaritones,brass,\neuphoniums,brass,\n"), 0);
    ends(BOX(&s, "check", "a.show"), 0);
}

/* --- what a table may take away ----------------------------------------------------------------
 */

/* 8 steps of 5 yards at most, and then 68 steps in 8 counts: 191 in. */
static void a_dot_that_nobody_can_get_to_is_named(void **state)
{
    (void)state;
    struct season s = season_new();
    assert_said(add(&s, "dots", "performer,set,x,y\nT1,1,0,0\nT1,2,16,0\nT2,1,-48,8\nT2,2,88,8\n"),
                "dots: 4 added, 0 changed, 0 as before\n"
                "look again: T2 to set 2 is 191 in a step, and nobody steps 60\n");
}

static const char *dots_of(const struct season *s)
{
    return BOX(s, "check", "a.show").out;
}

static const char one_row[] = "performer,name,section\nT1,Ada Fenwright,trumpets\n";

static void a_table_of_one_row_takes_nobody_away(void **state)
{
    (void)state;
    struct season s = season_new();
    ends(add(&s, "dots", "performer,set,x,y\nT2,1,3,4\nU1,1,5,6\n"), 0);
    const char *before = dots_of(&s);
    assert_contains(before, "5 performers");
    assert_contains(before, "2 dots");
    assert_said(add(&s, "roster", one_row), "roster: 0 added, 0 changed, 1 as before\n");
    assert_said(add(&s, "dots", "performer,set,x,y\nT2,1,3,5\n"),
                "dots: 0 added, 1 changed, 0 as before\n");
    assert_string_equal(dots_of(&s), before);
}

static struct run replace(const struct season *s, const char *what, const char *text,
                          const char *sure)
{
    struct run_setup in = season_in(s, text);
    return box(&in, "add", "a.show", what, "-", "--replace", sure, NULL);
}

static void a_replace_says_what_goes_asks_and_keeps_a_copy(void **state)
{
    (void)state;
    struct season s = season_new();
    ends(add(&s, "dots", "performer,set,x,y\nT2,1,3,4\nU1,1,5,6\n"), 0);
    ends(BOX(&s, "mark", "a.show", "tue", "5", "T3", "h"), 0);
    const char *before = dots_of(&s);
    struct run r = replace(&s, "roster", one_row, NULL);
    assert_exit(r, 3);
    assert_one_line(r, "stdin: 3 rows of roster (and 1 more leaves the lists, kept since marks "
                       "or drafts speak of them), 2 dots would be taken away; say --yes if that is "
                       "meant, or leave --replace out");
    assert_string_equal(dots_of(&s), before);
    assert_int_equal(access(path_in(s.dir, "a.show.before-roster"), F_OK), -1);
    r = replace(&s, "roster", one_row, "--yes");
    assert_exit(r, 0);
    assert_contains(r.err, "taken away: 3 rows of roster (and 1 more leaves the lists, kept since "
                           "marks or drafts speak of them), 2 dots; the show as it was is ");
    assert_contains(r.err, "a.show.before-roster\n");
    assert_contains(r.err, "roster: 0 added, 0 changed, 1 as before, 3 removed, 1 not in the table "
                           "any more but kept, since marks or drafts speak of them\n");
    assert_contains(dots_of(&s), "0 dots");
    r = BOX(&s, "check", "a.show.before-roster");
    assert_exit(r, 0);
    assert_contains(r.out, "5 performers");
    assert_contains(r.out, "2 dots");
    r = replace(&s, "roster", "performer,name,section\nU1,Pia Lindqvale,tubas\n", "--yes");
    assert_contains(r.err, "a.show.before-roster-2\n");
    assert_said(replace(&s, "roster", "performer,name,section\nU1,Pia Lindqvale,tubas\n", NULL),
                "roster: 0 added, 0 changed, 1 as before\n"); /* nothing goes: nothing is asked */
}

static void a_replace_is_taken_back_by_undo(void **state)
{
    (void)state;
    struct season s = season_new();
    const char *before = dots_of(&s);
    ends(replace(&s, "roster", one_row, "--yes"), 0);
    struct run r = BOX(&s, "undo", "a.show");
    assert_exit(r, 0);
    assert_string_equal(r.err, "taken back: add roster\n");
    assert_string_equal(dots_of(&s), before);
    assert_string_equal(BOX(&s, "undo", "a.show", "--redo").err, "done again: add roster\n");
    assert_contains(dots_of(&s), "1 performers");
}

static void tables_taken_back_leave_marks_where_they_belong(void **state)
{
    (void)state;
    struct season s = season_new();
    ends(add(&s, "roster", "performer,name,section\nT1,Ada Fenwright,tubas\n"), 0);
    ends(BOX(&s, "undo", "a.show"), 0);
    ends(BOX(&s, "undo", "a.show", "--redo"), 0);
    s.setup.env = (const char *const[]){"BOXCALL_AUTHOR=Bob", NULL};
    ends(BOX(&s, "mark", "a.show", "tue", "5", "T1", "h"), 0);
    s.setup.env = NULL;
    ends(BOX(&s, "undo", "a.show"), 0); /* T1 is a trumpet again, and so is the mark */
    json_t *o = json_out(BOX(&s, "fixes", "a.show", "--for", "trumpets", "--as", "json"));
    assert_int_equal(json_array_size(json_at(o, "items")), 1);
    ends(add(&s, "sets", "set,counts,tempo\n90,300,120\n"), 0);
    ends(BOX(&s, "count", "a.show", "tue", "tie", "0:01", "90"), 0);
    ends(BOX(&s, "undo", "a.show"), 0);
    ends(BOX(&s, "undo", "a.show"), 0); /* a set that a mark was placed in */
    assert_null(strstr(BOX(&s, "calls", "a.show", "tue", "--as", "csv").out, ",90,"));
}

static void a_name_in_another_letter_case_is_the_same_row(void **state)
{
    (void)state;
    struct season s = season_new();
    assert_said(add(&s, "roster", "performer,name,section\n\xc3\x89mile,E,trumpets\n"),
                "roster: 1 added, 0 changed, 0 as before\n");
    assert_said(add(&s, "roster", "performer,name,section\n\xc3\xa9mile,Emil,trumpets\n"),
                "roster: 0 added, 1 changed, 0 as before\n");
}

/* First a whole table, then one without some of its columns, which is as before. */
static const struct part {
    const char *name, *what, *all, *some;
} parts[] = {
    {"sections by name alone stay", "sections",
     "section,parent,key,words,say\nkazoos,brass,k,kaz,K AH Z UW Z\n", "section\nkazoos\n"},
    {"performers without names stay", "roster", "performer,name,section\nT91,Ada,trumpets\n",
     "performer,section\nT91,trumpets\n"},
    {"faults by name alone stay", "faults",
     "fault,family,key,cause,right,words,say\nlunge,feet,u,define,\"all the way, at 4\",lunges,L "
     "AH N\n",
     "fault\nlunge\n"},
};

static void a_column_that_a_table_lacks_stays_as_it_was(void **state)
{
    const struct part *x = *state;
    struct season s = season_new();
    struct run r = add(&s, x->what, x->all);
    assert_exit(r, 0);
    assert_said(add(&s, x->what, x->some),
                arena_printf(test_arena(), "%s: 0 added, 0 changed, 1 as before\n", x->what));
    assert_said(add(&s, x->what, x->all),
                arena_printf(test_arena(), "%s: 0 added, 0 changed, 1 as before\n", x->what));
}

static void a_set_list_without_tempos_keeps_them(void **state)
{
    (void)state;
    struct season s = season_new();
    assert_said(add(&s, "sets",
                    "set,counts,tempo,tempo_end,hold,measures,name\n90,8,120,96,2,2,slow\n"
                    "91,8,144,144,0,2,even\n"),
                "sets: 2 added, 0 changed, 0 as before\n");
    assert_said(add(&s, "sets", "set,counts\n90,8\n91,8\n"),
                "sets: 0 added, 0 changed, 2 as before\n");
    /* another tempo: what slowed down still ends there, what was even stays even */
    assert_said(add(&s, "sets", "set,counts,tempo\n90,8,126\n91,8,150\n"),
                "sets: 0 added, 2 changed, 0 as before\n");
    assert_said(add(&s, "sets", "set,counts,tempo,tempo_end\n90,8,126,96\n91,8,150,150\n"),
                "sets: 0 added, 0 changed, 2 as before\n");
    /* a cell that is empty in a column that is there clears */
    assert_said(add(&s, "sets", "set,counts,name\n90,8,\n"),
                "sets: 0 added, 1 changed, 0 as before\n");
}

static void a_path_stays_without_its_column_and_must_fit_the_counts(void **state)
{
    (void)state;
    struct season s = season_new();
    assert_said(add(&s, "sets", "set,counts,path\n90,16,hold 8; follow T1-T3\n"),
                "sets: 1 added, 0 changed, 0 as before\n");
    assert_said(add(&s, "sets", "set,counts,path\n90,16,hold 8; follow T1-T3\n"),
                "sets: 0 added, 0 changed, 1 as before\n");
    assert_said(add(&s, "sets", "set,counts\n90,16\n"), "sets: 0 added, 0 changed, 1 as before\n");
    struct run r = add(&s, "sets", "set,counts\n90,8\n");
    assert_exit(r, 3);
    assert_one_line(r, "stdin:2: path: hold takes 8 of 8 counts; leave some to move in");
    assert_said(add(&s, "sets", "set,counts,path\n90,8,\n"),
                "sets: 0 added, 1 changed, 0 as before\n");
    ends(add(&s, "sets", "set,counts\n90,6\n"), 0); /* it was cleared */
}

static void who_follows_but_is_not_on_the_roster_is_named(void **state)
{
    (void)state;
    struct season s = season_new();
    struct run r = add(&s, "sets", "set,counts,path\n90,16,follow T1-T4\n");
    assert_exit(r, 0);
    assert_contains(r.err, "set 90: its path names T4, who is not on the roster\n");
    r = BOX(&s, "check", "a.show");
    assert_exit(r, 0);
    assert_contains(r.err, "note: set 90: its path names T4, who is not on the roster\n");
    ends(add(&s, "roster", "performer,section\nT4,trumpets\n"), 0);
    r = BOX(&s, "check", "a.show");
    assert_exit(r, 0);
    assert_null(strstr(r.err, "T4"));
}

static void a_table_that_would_put_a_section_above_itself_is_refused(void **state)
{
    (void)state;
    struct season s = season_new();
    struct run r = add(&s, "sections", "section,parent\nbrass,trumpets\n");
    assert_exit(r, 3);
    assert_one_line(r, "stdin:2: 'brass' would be above itself; follow its parents and break the "
                       "loop");
    assert_said(add(&s, "sections", "section,parent\ntrumpets,brass\n"),
                "sections: 0 added, 0 changed, 1 as before\n");
}

static const struct clash {
    const char *name, *what, *text, *said;
} clashes[] = {
    {"a key that a row has", "sections", "section,parent,key\nkazoos,brass,t\n",
     "stdin:2: key 't' of section 'kazoos' is the key 't' of 'trumpets'; 'k' is free"},
    {"a key that begins another", "faults", "fault,key\nlunge,yu\nlate,y\n",
     "stdin:3: key 'y' of fault 'late' begins the key 'yu' of 'lunge'; 'a' is free"},
    {"a key that another begins", "faults", "fault,key\nx,hx\n",
     "stdin:2: key 'hx' of fault 'x' begins with the key 'h' of 'horn angle'; 'x' is free"},
    {"a key twice in the table", "sections", "section,parent,key\nkazoos,brass,k\nkeys,brass,k\n",
     "stdin:3: key 'k' of section 'keys' is the key 'k' of 'kazoos'; 'y' is free"},
};

static void is_refused_with_a_key_that_is_free(void **state)
{
    const struct clash *c = *state;
    struct season s = season_new();
    const char *before = dots_of(&s);
    struct run r = add(&s, c->what, c->text);
    assert_exit(r, 3);
    assert_one_line(r, c->said);
    assert_string_equal(dots_of(&s), before);
    ends(BOX(&s, "check", "a.show"), 0);
}

/* --- tables that ties hang on ------------------------------------------------------------------
 */

static void
a_set_list_that_leaves_a_tie_without_its_count_is_refused_and_nothing_is_stuck(void **state)
{
    (void)state;
    struct season s = season_new();
    ends(add(&s, "sets", "set,counts,tempo\n1,8,120\n2,16,120\n"), 0);
    ends(BOX(&s, "count", "a.show", "tue", "tie", "0:04", "1", "6"), 0);
    ends(BOX(&s, "mark", "a.show", "tue", "0:05", "T1", "h"), 0);
    const char *calls = BOX(&s, "calls", "a.show", "tue", "--as", "json").out;
    struct run r = add(&s, "sets", "set,counts,tempo\n1,4,120\n");
    assert_exit(r, 3);
    assert_one_line(r,
                    "stdin: set 1 would have 4 counts, but clip 'tue' is tied to its count 6 at "
                    "0:04.000; untie that first (boxcall count SHOW tue untie 0:04.000), or keep "
                    "the counts");
    assert_string_equal(BOX(&s, "calls", "a.show", "tue", "--as", "json").out, calls);
    ends(BOX(&s, "mark", "a.show", "tue", "0:06", "T1", "h"), 0); /* as everything else */
    ends(BOX(&s, "count", "a.show", "tue", "untie", "0:04"), 0);
    ends(add(&s, "sets", "set,counts,tempo\n1,4,120\n"), 0);
}

static void the_ties_of_a_set_that_goes_are_counted_and_go_with_it(void **state)
{
    (void)state;
    struct season s = season_new();
    struct run_setup in = season_in(&s, "set,counts\n1,8\n2,8\n");
    ends(BOX(&s, "count", "a.show", "tue", "tie", "0:30", "12A"), 0);
    struct run r = box(&in, "add", "a.show", "sets", "-", "--replace", NULL);
    assert_exit(r, 3);
    assert_contains(r.err, ", 1 tie of a clip would be taken away");
    assert_contains(r.err, "kept since marks or ties speak of them"); /* no mark does */
    ends(box(&in, "add", "a.show", "sets", "-", "--replace", "--yes", NULL), 0);
    r = BOX(&s, "count", "a.show", "tue", "ties", "--as", "json");
    assert_int_equal(json_array_size(json_out(r)), 0);
}

static void sections_without_a_head_get_one(void **state)
{
    (void)state;
    struct season s = season_new();
    ends(replace(&s, "sections", "section\nflutes\ntrumpets\ntubas\ndrums\n", "--yes"), 0);
    ends(BOX(&s, "mark", "a.show", "tue", "5", "flutes", "h"), 0);
    struct run r = BOX(&s, "fixes", "a.show", "--as", "json");
    assert_string_equal(json_str(json_out(r), "for"), "ensemble");
    assert_int_equal(json_array_size(json_at(json_out(r), "items")), 1);
    r = BOX(&s, "fixes", "a.show", "--for", "everyone", "--as", "json");
    assert_int_equal(json_array_size(json_at(json_out(r), "items")), 1);
}

/* --- marks from a table ------------------------------------------------------------------------
 */

static void marks_are_added_all_or_none(void **state)
{
    (void)state;
    struct season s = season_new();
    static const char good[] = "fault,clip,time,target,note,severity,cause,praise,author\r\n"
                               "late,tue,0:05.2,T1;T2,\"so, so\",3,define,,I. Marrow\r\n"
                               "h,THU,65,everyone,,,,yes,\r\n"
                               "feet,tue.avi,9:59.999,U1,,,,no,\r\n";
    assert_said(add(&s, "marks", good), "marks: 3 added\n");
    struct run r = BOX(&s, "calls", "a.show", "tue", "--as", "json");
    json_t *m = json_array_get(json_out(r), 0);
    assert_int_equal(json_array_size(json_out(r)), 2);
    assert_int_equal(json_int(m, "ms"), 5200);
    assert_int_equal(json_array_size(json_at(m, "targets")), 2);
    assert_int_equal(json_int(m, "severity"), 3);
    assert_string_equal(json_str(m, "cause"), "define");
    assert_string_equal(json_str(m, "note"), "so, so");
    assert_string_equal(json_str(m, "author"), "I. Marrow");
    assert_string_equal(json_str(json_array_get(json_out(r), 1), "author"), "D. Whitlow");
    r = BOX(&s, "calls", "a.show", "thu", "--as", "json");
    assert_true(json_is_true(json_at(json_array_get(json_out(r), 0), "praise")));
    ends(add(&s, "marks", "clip,time,target,fault\ntue,6,T1,late\ntue,7,T9,late\n"), 3);
    r = BOX(&s, "calls", "a.show", "tue", "--as", "json");
    assert_int_equal(json_array_size(json_out(r)), 2);
}

static void the_end_of_a_clip_belongs_to_it(void **state)
{
    (void)state;
    struct season s = season_new();
    assert_said(add(&s, "marks", "clip,time,target,fault\nthu,5:00,T1,late\n"), "marks: 1 added\n");
    ends(add(&s, "marks", "clip,time,target,fault\nthu,5:00.001,T1,late\n"), 3);
}

static void marks_added_again_keep_what_the_table_does_not_speak_of(void **state)
{
    (void)state;
    struct season s = season_new();
    ends(add(&s, "marks",
             "clip,time,target,fault,note,severity,cause,author,late_counts,late_error\n"
             "tue,5.2004,T1,late,bells up,3,define,Ana,1.5,0.1\n"),
         0);
    assert_said(add(&s, "marks", "clip,time,target,fault\ntue,5.200,T1,late\n"),
                "marks: 0 added, 1 there already\n");
    json_t *m = json_array_get(json_out(BOX(&s, "calls", "a.show", "tue", "--as", "json")), 0);
    assert_string_equal(json_str(m, "note"), "bells up");
    assert_string_equal(json_str(m, "author"), "Ana");
    assert_string_equal(json_str(m, "cause"), "define");
    assert_int_equal(json_int(m, "severity"), 3);
    ends(add(&s, "marks", "clip,time,target,fault,note\ntue,5.2,T1,late,\n"), 0);
    m = json_array_get(json_out(BOX(&s, "calls", "a.show", "tue", "--as", "json")), 0);
    assert_string_equal(json_str(m, "note"), "bells up"); /* an empty cell takes nothing away */
    assert_int_equal(json_int(m, "severity"), 3);
}

static void a_call_list_is_a_table_of_marks(void **state)
{
    (void)state;
    struct season s = season_new(), t = season_new();
    ends(BOX(&s, "mark", "a.show", "tue", "5.25", "T1;tubas", "style", "--note",
             "one \"two\"\nthree", "--severity", "2", "--author", "I. Marrow"),
         0);
    ends(BOX(&s, "mark", "a.show", "tue", "1:00", "drums", "l", "--praise"), 0);
    struct run first = BOX(&s, "calls", "a.show", "tue", "--as", "csv");
    assert_said(add(&t, "marks", first.out), "marks: 2 added\n");
    struct run second = BOX(&t, "calls", "a.show", "tue", "--as", "csv");
    assert_string_equal(first.out, second.out);
}

/* --- clips --------------------------------------------------------------------------------------
 */

static void a_clip_takes_its_label_date_and_run_from_the_file(void **state)
{
    (void)state;
    struct season s = season_new();
    const char *path = season_clip(&s, "run 1/2026.09.14 block.avi", 65, 7);
    struct utimbuf noon = {.actime = 1789387200, .modtime = 1789387200}; /* 2026-09-14 12:00 UTC */
    assert_int_equal(utime(path, &noon), 0);
    assert_said(BOX(&s, "add", "a.show", "clip", path),
                "clip 2026.09.14 block: added, 2026-09-14 run 1, 1:05.0, 2x2, 1 frames a second, "
                "no sound\n");
    path = season_clip(&s, "other.avi", 5, 8);
    assert_said(BOX(&s, "add", "a.show", "clip", path, "--date", "2026-09-14"),
                "clip other: added, 2026-09-14 run 2, 0:05.0, 2x2, 1 frames a second, no sound\n");
    path = season_clip(&s, "more/other.avi", 5, 9);
    assert_said(
        BOX(&s, "add", "a.show", "clip", path, "--date", "2026-09-14", "--run", "7"),
        "clip other-2: added, 2026-09-14 run 7, 0:05.0, 2x2, 1 frames a second, no sound\n");
}

static void a_clip_added_again_is_updated(void **state)
{
    (void)state;
    struct season s = season_new();
    ends(BOX(&s, "mark", "a.show", "tue", "5", "T1", "h"), 0);
    struct run r = BOX(&s, "add", "a.show", "clip", "tue.avi", "--label", "Tuesday night");
    assert_exit(r, 0);
    assert_contains(r.err, "clip Tuesday night: updated, 2026-09-01 run 1");
    assert_contains(r.err, "the clip that was called tue is called Tuesday night now\n");
    r = BOX(&s, "calls", "a.show", "tuesday NIGHT", "--as", "json");
    assert_int_equal(json_array_size(json_out(r)), 1);
    r = BOX(&s, "fixes", "a.show", "--as", "json");
    assert_int_equal(json_array_size(json_at(json_out(r), "clips")), 2);
}

static void a_clip_that_was_moved_is_the_same_clip_and_a_copy_is_another(void **state)
{
    (void)state;
    struct season s = season_new();
    size_t n;
    char *bytes = read_file(path_in(s.dir, "tue.avi"), &n);
    ends(BOX(&s, "mark", "a.show", "tue", "5", "T1", "h"), 0);
    write_bytes(s.dir, "copy.avi", bytes, n);
    struct run r = BOX(&s, "add", "a.show", "clip", "copy.avi");
    assert_contains(r.err, "clip copy: added");
    write_bytes(s.dir, "archive/first.avi", bytes, n);
    assert_int_equal(unlink(path_in(s.dir, "tue.avi")), 0);
    r = BOX(&s, "add", "a.show", "clip", "archive/first.avi");
    assert_contains(r.err, "clip tue: updated");
    r = BOX(&s, "calls", "a.show", "tue", "--as", "csv");
    assert_contains(r.out, "archive/first.avi#t=3\r\n");
}

static void a_clip_that_became_shorter_keeps_what_lies_beyond_and_nothing_is_stuck(void **state)
{
    (void)state;
    struct season s = season_new();
    ends(BOX(&s, "count", "a.show", "tue", "tie", "0:30", "1"), 0);
    ends(BOX(&s, "count", "a.show", "tue", "tie", "0:02", "1", "--break"), 0);
    ends(BOX(&s, "mark", "a.show", "tue", "0:40", "T1", "h"), 0);
    season_clip(&s, "tue.avi", 10, 3);
    struct run r = BOX(&s, "add", "a.show", "clip", "tue.avi");
    assert_exit(r, 0);
    assert_contains(r.err, "beyond its new end: 1 tie and 1 mark; they are kept\n");
    r = BOX(&s, "count", "a.show", "tue", "ties");
    assert_exit(r, 0);
    assert_contains(r.err, "0:30.000: tied to set 1, count 1, outside the clip; it rests\n");
    ends(BOX(&s, "mark", "a.show", "tue", "0:03", "T1", "h"), 0);
    assert_int_equal(json_array_size(json_out(BOX(&s, "calls", "a.show", "tue", "--as", "json"))),
                     2);
    ends(BOX(&s, "count", "a.show", "tue", "untie", "0:30"), 0);
    assert_string_equal(BOX(&s, "count", "a.show", "tue", "ties").err, "");
}

static void another_file_of_its_name_beside_the_show_is_not_taken_for_a_clip(void **state)
{
    (void)state;
    struct season s = season_new();
    size_t n;
    const char *path = season_clip(&s, "elsewhere/night.avi", 300, 55);
    char *bytes = read_file(path, &n);
    ends(BOX(&s, "add", "a.show", "clip", path, "--label", "night"), 0);
    assert_int_equal(unlink(path), 0);
    season_clip(&s, "night.avi", 300, 56); /* as long, and another */
    struct run r = BOX(&s, "check", "a.show");
    assert_contains(r.err, "the clip 'night' is not there any more");
    write_bytes(s.dir, "night.avi", bytes, n);
    assert_null(strstr(BOX(&s, "check", "a.show").err, "night"));
}

static void of_two_that_make_one_name_at_once_one_does(void **state)
{
    (void)state;
    enum { ROUNDS = 6 };
    struct season s = season_empty();
    for (int i = 0; i < ROUNDS; i++) {
        const char *script = arena_printf(
            test_arena(),
            "'%s' new b%d.show --title A 2>/dev/null & a=$!; '%s' new b%d.show --title B "
            "2>/dev/null & b=$!; wait $a; x=$?; wait $b; y=$?; echo $x $y",
            program_path("boxcall"), i, program_path("boxcall"), i);
        struct run r = run_with(&s.setup, "sh", "-c", script, NULL);
        if (strcmp(r.out, "0 3\n") != 0 && strcmp(r.out, "3 0\n") != 0)
            fail_msg("both ended with %s", r.out);
        const char *name = arena_printf(test_arena(), "b%d.show", i);
        ends(BOX(&s, "check", name), 0);
        struct run files =
            run_with(&s.setup, "sh", "-c", arena_printf(test_arena(), "ls b%d.show*", i), NULL);
        assert_string_equal(files.out, arena_printf(test_arena(), "%s\n", name));
    }
}

static void a_clip_is_named_by_label_path_or_id(void **state)
{
    (void)state;
    struct season s = season_new();
    static const char *const names[] = {"tue", "TUE", "tue.avi", "./tue.avi", "1"};
    for (size_t i = 0; i < 5; i++)
        ends(BOX(&s, "mark", "a.show", names[i], "5", "T1", "h"), 0);
    ends(BOX(&s, "mark", "a.show", path_in(s.dir, "tue.avi"), "5", "T1", "h"), 0);
    struct run r = BOX(&s, "calls", "a.show", "tue", "--as", "json");
    assert_int_equal(json_array_size(json_out(r)), 6);
}

static void a_link_is_relative_beside_the_show_and_absolute_elsewhere(void **state)
{
    (void)state;
    struct season s = season_new(), t = season_empty();
    season_clip(&s, "wed #2 ünï & co?.avi", 20, 5);
    const char *far_away = season_clip(&t, "far away.avi", 20, 6);
    ends(BOX(&s, "add", "a.show", "clip", "wed #2 ünï & co?.avi", "--label", "wed"), 0);
    ends(BOX(&s, "add", "a.show", "clip", far_away, "--label", "far"), 0);
    ends(BOX(&s, "mark", "a.show", "wed", "5.5", "T1", "h"), 0);
    ends(BOX(&s, "mark", "a.show", "far", "5.5", "T2", "h"), 0);
    struct run r = BOX(&s, "fixes", "a.show", "--for", "T1", "--as", "json");
    json_t *moments = json_at(json_array_get(json_at(json_out(r), "items"), 0), "moments");
    assert_string_equal(json_str(json_array_get(moments, 0), "link"),
                        "wed%20%232%20%C3%BCn%C3%AF%20%26%20co%3F.avi#t=3.5");
    r = BOX(&s, "fixes", "a.show", "--for", "T2", "--as", "json");
    moments = json_at(json_array_get(json_at(json_out(r), "items"), 0), "moments");
    assert_string_equal(json_str(json_array_get(moments, 0), "link"),
                        arena_printf(test_arena(), "%s/far%%20away.avi#t=3.5", t.dir));
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, a_clip_that_the_disk_does_not_give_up_is_not_added);
    case_test(&all, a_new_show_is_one_file_with_sections_and_faults_whose_keys_are_sound);
    case_test(&all, a_new_show_that_does_not_fit_on_the_disk_leaves_nothing);
    case_test(&all, a_table_as_a_spreadsheet_saves_it_is_read);
    cases_of(&all, refusals, is_refused_by_cell_and_nothing_is_changed);
    case_test(&all, a_table_added_again_is_updated_not_doubled);
    case_test(&all, new_keys_go_with_those_that_are_there);
    case_test(&all, a_table_of_one_row_takes_nobody_away);
    case_test(&all, a_replace_says_what_goes_asks_and_keeps_a_copy);
    case_test(&all, a_replace_is_taken_back_by_undo);
    case_test(&all, tables_taken_back_leave_marks_where_they_belong);
    case_test(&all, a_name_in_another_letter_case_is_the_same_row);
    cases_of(&all, parts, a_column_that_a_table_lacks_stays_as_it_was);
    case_test(&all, a_set_list_without_tempos_keeps_them);
    case_test(&all, a_path_stays_without_its_column_and_must_fit_the_counts);
    case_test(&all, who_follows_but_is_not_on_the_roster_is_named);
    case_test(&all, a_table_that_would_put_a_section_above_itself_is_refused);
    cases_of(&all, clashes, is_refused_with_a_key_that_is_free);
    case_test(&all, a_set_list_that_leaves_a_tie_without_its_count_is_refused_and_nothing_is_stuck);
    case_test(&all, the_ties_of_a_set_that_goes_are_counted_and_go_with_it);
    case_test(&all, sections_without_a_head_get_one);
    case_test(&all, marks_are_added_all_or_none);
    case_test(&all, the_end_of_a_clip_belongs_to_it);
    case_test(&all, marks_added_again_keep_what_the_table_does_not_speak_of);
    case_test(&all, a_call_list_is_a_table_of_marks);
    case_test(&all, a_clip_takes_its_label_date_and_run_from_the_file);
    case_test(&all, a_clip_added_again_is_updated);
    case_test(&all, a_clip_that_was_moved_is_the_same_clip_and_a_copy_is_another);
    case_test(&all, a_clip_that_became_shorter_keeps_what_lies_beyond_and_nothing_is_stuck);
    case_test(&all, another_file_of_its_name_beside_the_show_is_not_taken_for_a_clip);
    case_test(&all, of_two_that_make_one_name_at_once_one_does);
    case_test(&all, a_clip_is_named_by_label_path_or_id);
    case_test(&all, a_link_is_relative_beside_the_show_and_absolute_elsewhere);
    case_test(&all, a_dot_that_nobody_can_get_to_is_named);
    return cases_run(&all, "adding");
}
