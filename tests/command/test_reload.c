/* The show read again in every state of the review, with tables that moved every position: nothing
 * that was freed is read (under the sanitizers), nobody else is marked, every key still answers. */
#include <poll.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "app/app.h"
#include "app/heard.h"
#include "command/calls.h"
#include "command/clip.h"
#include "command/ground.h"
#include "command/lead.h"
#include "command/line.h"
#include "command/measuring.h"
#include "command/reload.h"
#include "command/run.h"
#include "command/session.h"
#include "command/spoken.h"
#include "command/stage.h"
#include "lib/cases.h"
#include "lib/files.h"
#include "lib/mic.h"
#include "lib/run.h"
#include "screen/draw.h"
#include "screen/screens.h"

static struct app app;
static struct desk d;

static void must(struct run r)
{
    assert_exit(r, 0);
}

static void add(const char *show, const char *table, const char *text)
{
    setenv("BOXCALL_AUTHOR", "The office", 1);
    must(run_in(text, "boxcall", "add", show, table, "-", "--replace", "--yes", NULL));
    setenv("BOXCALL_AUTHOR", "Ana Quill", 1);
}

/* --- tables of one season and of the next ------------------------------------------------------
 */

static const char sections[] = "section,parent,key\nensemble,,e\nbrass,ensemble,b\n"
                               "trumpets,brass,t\nmellophones,brass,m\ntubas,brass,u\n",
                  roster[] = "performer,name,section\nT7,Gus,trumpets\nT8,Hal,trumpets\n"
                             "M1,Ida,mellophones\nM2,Jo,mellophones\nU1,Max,tubas\n",
                  faults[] = "fault,family,key\nhorn angle,horns,h\nlate arrival,timing,l\n"
                             "ripple,timing,r\n",
                  sets[] = "set,counts,tempo\n1,16,120\n2,8,120\n3,16,120\n",
                  dots[] = "performer,set,x,y\nT7,1,0,28\nT7,2,8,28\nT8,1,2,28\nT8,2,8,30\n"
                           "M1,1,4,28\nM1,2,8,32\nU1,3,16,0\n",
                  next_sections[] = "section,parent,key\nensemble,,e\nbrass,ensemble,b\n"
                                    "tubas,brass,u\ntrumpets,brass,t\n",
                  next_roster[] = "performer,name,section\nU9,New,tubas\nT8,Hal,trumpets\n",
                  next_faults[] = "fault,family,key\nlate arrival,timing,l\nhorn angle,horns,h\n",
                  next_sets[] = "set,counts,tempo\n3,4,120\n1,16,120\n";

/* The same pictures at a later rehearsal: a comparison needs two. */
static const char *later_clip(void)
{
    size_t n;
    const char *bytes = read_file(stage_clip(), &n), *dir = temp_dir();
    write_bytes(dir, "later.mp4", bytes, n);
    return path_in(dir, "later.mp4");
}

/* Of everybody and everything that goes, moves or stays. */
static const struct heard proposed[] = {
    {2, "T7", "horn angle", "that gimbal of the seven is low", 0.9, 0},
    {4, "M1;U1", "late arrival", "one of each is late", 0.8, 2},
    {6, "mellophones", "ripple", "it runs along", 0.6, 0},
    {8, "tubas", "", "something with the tubas", 0.3, 0}};

static void make_season(const char *path)
{
    must(run("boxcall", "new", path, NULL));
    add(path, "sections", sections);
    add(path, "faults", faults);
    add(path, "roster", roster);
    add(path, "sets", sets);
    add(path, "dots", dots);
    must(run("boxcall", "add", path, "clip", stage_clip(), NULL));
    must(run("boxcall", "add", path, "clip", later_clip(), "--date", "2030-01-01", NULL));
    must(run("boxcall", "mark", path, "later", "1", "T7", "h", NULL));
    must(run("boxcall", "count", path, "run", "tie", "0", "1", NULL));
    must(run("boxcall", "mark", path, "run", "1", "T7", "h", NULL));
    must(run("boxcall", "mark", path, "run", "2", "M1;U1", "l", NULL));
    must(run("boxcall", "mark", path, "run", "3", "brass", "h", NULL));
    hear(path, "run", proposed, sizeof proposed / sizeof *proposed);
}

static void open_desk(void)
{
    stage_open_made(&d, &app, make_season);
}

static void draw(void)
{
    struct canvas c = {.utf8 = true};
    canvas_size(&c, 40, 120);
    draw_desk(&d, &c);
    canvas_free(&c);
}

/* --- states ----------------------------------------------------------------------------------- */

/* Keys, lines ('!') and what time brings ('~slip') that lead into the state, one after the other. */
static const struct state {
    const char *name;
    const char *way[7];
} states[] = {
    {"nothing open", {NULL}},
    {"an open chord", {"t"}},
    {"a chord with numbers", {"m", "1"}},
    {"a mark just made", {"t", "7", "h"}},
    {"something to repeat", {"m", "1", "l"}},
    {"a call chosen", {"Down", "Down"}},
    {"a call being put right", {"Down", "#"}},
    {"a call being put right, its chord begun", {"Down", "#", "m", "1"}},
    {"a call being put right, its fault typed", {"Down", "#", "="}},
    {"a filter", {"!filter horn"}},
    {"a note line", {"Down", "Enter"}},
    {"a find line", {"/"}},
    {"a command line", {":"}},
    {"a line that asks for the tie", {"!seek 4", "@"}},
    {"a tie that waits for an answer", {"!seek 18", "!tie 2.1"}},
    {"a row being measured", {"t", "7", ".", "m", "1", "."}},
    {"a loop", {"Down", "\\"}},
    {"the fix list", {"F2"}},
    {"a line of the fix list", {"F2", "Down", "Down"}},
    {"a performer's fix list", {"!fixes M1"}},
    {"a section's fix list that goes", {"!fixes mellophones", "Down"}},
    {"a decision line", {"F2", "*"}},
    {"the decisions", {"F9"}},
    {"a line of the decisions", {"F9", "Down"}},
    {"a comparison", {"F12"}},
    {"a line of a comparison", {"F12", "Space", "Down"}},
    {"the field", {"F11"}},
    {"the field, somebody chosen who goes", {"!field M1"}},
    {"the field, a section chosen", {"F11", "!list >", "!list >"}},
    {"the field, where the move is, with its marks by set", {"!field T7", "+", "%", "%"}},
    {"the field behind the review", {"!field T8", "Esc"}},
    {"the clips", {"F3"}},
    {"the drafts", {"\""}},
    {"a draft of somebody who goes", {"\"", "Down", "Down"}},
    {"a draft being put right", {"\"", "m", "1"}},
    {"a draft of who goes, its fault begun", {"\"", "Down", "Down", "'"}},
    {"a draft of who stays, its fault begun", {"\"", "Down", "Down", "Down", "'"}},
    {"a draft just accepted", {"\"", "Enter"}},
    {"a word proposed", {"\"", "'", "l"}},
    {"a word learnt", {"\"", "'", "l", "&"}},
    {"drafts behind the review", {"\"", "Down", "Esc"}},
#ifdef VOICE
    {"a microphone being opened", {"~opening"}},
    {"ready for what is said", {"~voice"}},
    {"somebody speaks", {"~voice", "-"}},
    {"a spoken call that waits", {"~voice", "-", "~said"}},
    {"a spoken call kept", {"~voice", "-", "~said", "Enter"}},
#endif
    {"the help", {"?", "Down"}},
    {"the help over the drafts", {"\"", "Down", "?"}},
    {"the help over the fix list", {"F2", "Down", "?"}},
    {"the help over the lead", {"F6", "Space", "~slip", "?"}},
    {"the lead, before it is measured", {"F6"}},
    {"the lead, with a slip to be named", {"F6", "Space", "~slip"}},
    {"the lead, with an answer begun", {"F6", "Space", "~slip", "t"}},
    {"the lead, measured", {"F6", "Space", "~measured"}},
    {"taps being measured", {"F7", "Space"}},
    {"a drafted plan", {"!plan 30 18:00"}},
    {"a changed plan", {"!plan 30 18:00", "Down", "+"}},
    {"a ticked plan", {"!plan 30 18:00", "Space"}},
    {"a plan behind the review", {"!plan 30 18:00", "Esc"}},
    {"listening", {"~"}},
    {"measuring", {"+", "Left", "Space", "Up", "Space"}},
    {"measuring where the field is known", {"!seek 4", "~field", "+", "Space", "Right", "Space"}},
    {"a form measured", {"!seek 4", "~field", "+", "Space", "Right", "Space", "f"}},
    {"a measure becoming a mark", {"!seek 4", "~field", "+", "Space", "Enter"}},
    {"naming a pick", {"+", "Space", "3"}},
    {"naming a pick in words", {"+", "Space", "/"}},
    {"the field being looked for", {"~field", "~unfound", "("}},
    {"who? in a chord", {"!seek 4", "~field", "t", "@"}},
    {"dots over the picture", {"!seek 4", "~field", "(", ")", ")"}},
};

static void until_a_slip(void)
{
    const struct lead_trial *t = lead_trial(&d);
    lead_tick(&d, t->began_us + (t->slip.count + 1) * SLIP_COUNT_US);
    assert_int_equal(t->phase, LEAD_SLIP);
}

static void measure_all(void)
{
    const struct lead_trial *t = lead_trial(&d);
    while (t->phase != LEAD_DONE) {
        until_a_slip();
        desk_key(&d, app.show.sections[t->field.sections[t->slip.group]].key);
        desk_key(&d, app.show.faults[t->field.kinds[t->slip.kind].fault].key);
    }
}

static void until_found(void)
{
    const long long end = now_ms() + DEADLINE_MS;
    while (ground_followed(&d) >= 0) {
        desk_poll(&d);
        poll(NULL, 0, 5);
        if (now_ms() > end)
            fail_msg("the field is not found: %s", d.message);
    }
    struct seen_by by;
    if (!ground_seen(&d, &by))
        fail_msg("the field is not found: %s", d.message);
}

/* A camera that stands in front of the middle, by what is picked alone: the clip has no lines. Another
 * program says so. */
static void say_the_field(void)
{
    static const char *const picks[][2] = {{"17.2,26.4", "side 1, on 40; on front hash"},
                                           {"46.8,26.4", "side 2, on 40; on front hash"},
                                           {"21.4,15.6", "side 1, on 40; on back hash"},
                                           {"42.6,15.6", "side 2, on 40; on back hash"}};
    for (size_t i = 0; i < sizeof picks / sizeof *picks; i++)
        must(run("boxcall", "field", stage_show(), "run", "pick", "4", picks[i][0], picks[i][1],
                 NULL));
    desk_poll(&d);
    desk_run(&d, "measure");
    until_found();
    desk_run(&d, "measure");
}

/* Somebody may speak, into a pipe. */
static struct mic mic;

static void until_spoken(enum spoken_phase wanted)
{
    const long long end = now_ms() + DEADLINE_MS;
    while (spoken_hand(&d)->phase != wanted) {
        poll(NULL, 0, 5);
        desk_poll(&d);
        if (now_ms() > end)
            fail_msg("no voice: %s", d.message);
    }
}

static void begin_voice(void)
{
    mic = mic_open();
    desk_run(&d, arena_printf(test_arena(), "voice %s", mic.path));
}

static void open_voice(void)
{
    begin_voice();
    until_spoken(SPOKEN_READY);
}

static void speak(void)
{
    until_spoken(SPOKEN_LISTENING);
    mic_say(&mic, "mellophone one and tubas, horn angle", 3);
    until_spoken(SPOKEN_OPEN);
}

static void press(const char *key)
{
    if (strcmp(key, "~opening") == 0) {
        begin_voice();
        desk_reload(&d, &(struct err){0}); /* before the ear is made */
        return;
    }
    if (strcmp(key, "~voice") == 0) {
        open_voice();
        return;
    }
    if (strcmp(key, "~said") == 0) {
        speak();
        return;
    }
    if (strcmp(key, "~field") == 0)
        say_the_field();
    else if (strcmp(key, "~unfound") == 0) {
        must(run("boxcall", "field", stage_show(), "run", "unpick", "4", NULL));
        must(run("boxcall", "field", stage_show(), "run", "pick", "4", "42.6,15.8",
                 "side 2, on 40; on back hash", NULL));
        desk_poll(&d);
    } else if (key[0] == '!' && key[1])
        desk_run(&d, key + 1);
    else if (strcmp(key, "~slip") == 0)
        until_a_slip();
    else if (strcmp(key, "~measured") == 0)
        measure_all();
    else if (!line_typed(&d))
        desk_key(&d, key);
    else
        line_answer(&d, strcmp(key, "Enter") == 0 ? "x" : NULL);
    draw();
}

static void read_again(void)
{
    desk_poll(&d);
    draw();
    desk_poll(&d);
}

/* What a person may press next, whatever they see. */
static const char *const next_keys[] = {
    "h",  "&", "Enter",  "Down", "Up", "3", "'", "Space", "Ctrl-z", "F2", "Down",
    "F5", "+", "Delete", "Esc",  "F4", ";", "_", "Esc",   "t",      "8",  "h"};

static void no_mark_speaks_of_anybody_else(void)
{
    for (size_t i = 0; i < calls_shown(&d); i++) {
        const struct mark *m = desk_mark(&d, calls_nth(&d, i).id);
        assert_non_null(m);
        assert_true(m->n_targets > 0);
        for (size_t k = 0; k < m->n_targets; k++) {
            assert_in_range(m->targets[k].section, 0, app.show.n_sections - 1);
            assert_true(m->targets[k].performer < (int)app.show.n_performers);
        }
    }
}

static void survives_tables_that_move_everything(void **state)
{
    const struct state *s = *state;
    open_desk();
    for (size_t i = 0; i < sizeof s->way / sizeof *s->way && s->way[i]; i++) {
        press(s->way[i]);
        if (strncmp(s->way[i], "!seek", 5) == 0)
            stage_settle(&d);
    }
    add(stage_show(), "roster", next_roster);
    read_again();
    add(stage_show(), "sections", next_sections);
    add(stage_show(), "faults", next_faults);
    read_again();
    must(run("boxcall", "count", stage_show(), "run", "untie", "0", NULL));
    add(stage_show(), "sets", next_sets);
    read_again();
    for (size_t i = 0; i < sizeof next_keys / sizeof *next_keys; i++) {
        press(next_keys[i]);
        desk_poll(&d);
        assert_false(d.quit);
    }
    no_mark_speaks_of_anybody_else();
    desk_close(&d);
    app_close(&app);
    if (mic.path)
        mic_close(&mic);
    mic = (struct mic){0};
    struct run r = run("boxcall", "check", stage_show(), NULL);
    assert_exit(r, 0);
}

#ifdef VOICE
/* Whom it spoke of is somebody else's place now, or gone. */
static void a_spoken_call_means_whom_it_meant(void **state)
{
    (void)state;
    open_desk();
    open_voice();
    desk_key(&d, "-");
    until_spoken(SPOKEN_LISTENING);
    mic_say(&mic, "tubas, horn angle", 3);
    until_spoken(SPOKEN_OPEN);
    add(stage_show(), "sections", next_sections);
    add(stage_show(), "faults", next_faults);
    read_again();
    assert_int_equal(spoken_hand(&d)->phase, SPOKEN_OPEN);
    const size_t before = calls_all(&d);
    desk_key(&d, "-"); /* keeps it; the next one waits for an ear that knows the new words */
    assert_int_equal(calls_all(&d), before + 1);
    const struct mark *m = desk_mark(&d, d.newest);
    assert_string_equal(app.show.sections[m->targets[0].section].name, "tubas");
    assert_string_equal(app.show.faults[m->fault].name, "horn angle");
    assert_string_equal(d.message, "the show's words have changed; one moment, then say it");
    until_spoken(SPOKEN_READY);
    desk_key(&d, "-");
    until_spoken(SPOKEN_LISTENING);
    mic_say(&mic, "trumpets, late arrival", 3);
    until_spoken(SPOKEN_OPEN);
    assert_string_equal(app.show.faults[spoken_hand(&d)->fault].name, "late arrival");
    add(stage_show(), "faults", "fault,family,key\nhorn angle,horns,h\n");
    read_again();
    assert_string_equal(d.message,
                        "what was said is not in the show any more; the call was dropped");
    desk_close(&d);
    app_close(&app);
    mic_close(&mic);
    mic = (struct mic){0};
}
#endif

/* What the clicks say speaks of who is in the show now, and the field stays known. */
static void what_was_measured_is_said_anew(void **state)
{
    (void)state;
    open_desk();
    must(run("boxcall", "count", stage_show(), "run", "untie", "0", NULL));
    must(run("boxcall", "count", stage_show(), "run", "tie", "4", "1", NULL));
    press("!seek 4");
    stage_settle(&d);
    press("~field");
    press("+");
    const struct measuring *m = measuring_open(&d);
    assert_non_null(m);
    assert_false(m->pointing);
    const struct field_view *v = ground_view(&d);
    struct seen_by by;
    struct pixel feet;
    assert_true(ground_seen(&d, &by));
    assert_true(camera_sees(&by.camera, field_place_of(&app.show.grid, 0, 28), &feet, NULL));
    assert_int_equal(v->by, FIELD_ALONE);
    const struct clip *c = desk_current(&d);
    assert_true(measuring_clicked(&d, feet.x / c->width, feet.y / c->height, 0));
    assert_non_null(strstr(buf_text(&m->said), "T7")); /* whose dot of set 1 that is */
    add(stage_show(), "roster", next_roster);
    read_again();
    assert_ptr_equal(measuring_open(&d), m);
    assert_int_equal(m->n, 1);
    assert_non_null(strstr(buf_text(&m->said), "on 50; on front hash"));
    assert_null(strstr(buf_text(&m->said), "T7"));
    assert_true(ground_seen(&d, &by));
    must(run("boxcall", "field", stage_show(), "run", "unpick", "4", NULL));
    read_again();
    assert_false(ground_seen(&d, &by));
    assert_null(strstr(buf_text(&m->said), "on 50"));
    desk_close(&d);
    app_close(&app);
}

static void a_row_and_a_repeat_name_whom_they_named(void **state)
{
    (void)state;
    open_desk();
    desk_key(&d, "t");
    desk_key(&d, "8");
    desk_key(&d, "h");
    add(stage_show(), "roster", next_roster);
    add(stage_show(), "sections", next_sections);
    read_again();
    desk_key(&d, "'");
    const struct mark *m = desk_mark(&d, d.newest);
    assert_non_null(m);
    assert_string_equal(app.show.performers[m->targets[0].performer].label, "T8");
    assert_string_equal(app.show.faults[m->fault].name, "horn angle");
    desk_close(&d);
    app_close(&app);
}

static void a_repeat_of_somebody_who_left_marks_nobody(void **state)
{
    (void)state;
    open_desk();
    desk_key(&d, "m");
    desk_key(&d, "1");
    desk_key(&d, "l");
    size_t before = calls_all(&d);
    must(run("boxcall", "undo", stage_show(), NULL)); /* or the mark would keep them */
    add(stage_show(), "roster", next_roster);
    read_again();
    desk_key(&d, "'");
    assert_true(d.trouble);
    assert_true(calls_all(&d) <= before);
    desk_close(&d);
    app_close(&app);
}

int main(void)
{
    struct cases all = {0};
    setenv("BOXCALL_AUTHOR", "Ana Quill", 1);
    cases_of(&all, states, survives_tables_that_move_everything);
#ifdef VOICE
    case_test(&all, a_spoken_call_means_whom_it_meant);
#endif
    case_test(&all, what_was_measured_is_said_anew);
    case_test(&all, a_row_and_a_repeat_name_whom_they_named);
    case_test(&all, a_repeat_of_somebody_who_left_marks_nobody);
    return cases_run(&all, "the show read again in every state");
}
