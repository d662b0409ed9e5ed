/* What is proposed for a clip is looked at and becomes marks: the screen of drafts. */
#include <unistd.h>

#include "app/heard.h"
#include "review/stage.h"

/* In time order; the third is the only one that says how late. */
static const struct heard proposed[] = {
    {2, "trumpets", "horn angle", "trumpets bell heights are everywhere here", 0.93, 0},
    {6, "mellophones", "", "mellos something is off there", 0.3, 0},
    {9, "T1;T2;tubas", "late arrival", "trumpet one and two and the tubas two counts late", 0.75,
     2},
    {14, "T7", "bent line", "that line bends at the seven", 0.55, 0},
};
enum { PROPOSED = sizeof proposed / sizeof *proposed };

static struct stage stage_heard(void)
{
    struct stage s = stage_new();
    const struct drafts_report r = hear(s.show, "run", proposed, PROPOSED);
    assert_int_equal(r.added, PROPOSED);
    return s;
}

static void open_drafts(struct stage *s, const char *title)
{
    stage_open(s, NULL, "run");
    term_keys(s->t, "\"");
    term_wait_row(s->t, 0, title);
}

/* The row of the list that begins with this time, within the list's columns. */
static const char *line_at(struct stage *s, const char *time)
{
    for (int row = 2; row < term_rows(s->t) - 1; row++) {
        const char *text = term_row(s->t, row);
        if (strncmp(text + 1, time, strlen(time)) == 0)
            return text;
    }
    return "";
}

struct wanted_line {
    struct stage *s;
    const char *time, *has;
};

static bool line_is_so(void *user)
{
    const struct wanted_line *w = user;
    return strstr(line_at(w->s, w->time), w->has) != NULL;
}

static void wait_line(struct stage *s, const char *time, const char *has)
{
    struct wanted_line w = {s, time, has};
    term_wait_until(s->t, line_is_so, &w, arena_printf(test_arena(), "%s with '%s'", time, has));
}

/* The time on the row below the picture, in tenths of a second; -1: none. */
static int clip_time(struct stage *s)
{
    for (int row = 2; row < term_rows(s->t) - 1; row++) {
        const char *text = strstr(term_row(s->t, row), "1x");
        int minutes, seconds, tenth;
        if (!text)
            continue;
        for (const char *p = term_row(s->t, row); p < text; p++)
            if (sscanf(p, "%d:%2d.%1d ", &minutes, &seconds, &tenth) == 3)
                return minutes * 600 + seconds * 10 + tenth;
    }
    return -1;
}

struct wanted_time {
    struct stage *s;
    int from, to; /* tenths */
};

static bool is_between(void *user)
{
    const struct wanted_time *w = user;
    const int at = clip_time(w->s);
    return at >= w->from && at <= w->to && term_has(w->s->t, "loop");
}

static void wait_looping(struct stage *s, int from, int to)
{
    struct wanted_time w = {s, from, to};
    term_wait_until(s->t, is_between, &w,
                    arena_printf(test_arena(), "a loop from %d to %d", from, to));
}

static void they_wait_by_time_with_what_was_said_and_why(void **state)
{
    (void)state;
    struct stage s = stage_heard();
    open_drafts(&s, "run  4 of 4 wait");
    wait_line(&s, "0:02.0", "trumpets horn angle");
    wait_line(&s, "0:02.0", "sure");
    wait_line(&s, "0:06.0", "?");
    wait_line(&s, "0:06.0", "guess");
    wait_line(&s, "0:14.0", "maybe");
    term_wait_text(s.t, "\"trumpets bell heights are");
    term_wait_text(s.t, "heard: horn angle:");
    term_wait_text(s.t, "sure (93 %) from tuesday.vtt");
    wait_looping(&s, 0, 10);
    term_keys(s.t, "Down Down");
    term_wait_text(s.t, "T1, T2, tubas, late arrival !, 2");
    term_wait_text(s.t, "likely (75 %)");
    wait_looping(&s, 70, 80);
    term_keys(s.t, "Esc");
    term_wait_row(s.t, -1, "letters mark:");
    assert_false(term_has(s.t, "loop"));
    stage_quit(&s);
    struct run r = run("boxcall", "check", s.show, NULL);
    assert_exit(r, 0);
    assert_contains(r.err, "note: 4 drafts for the clip 'run' wait to be looked at\n");
}

static void enter_makes_a_mark_and_goes_on_to_the_next(void **state)
{
    (void)state;
    struct stage s = stage_heard();
    open_drafts(&s, "4 of 4 wait");
    term_keys(s.t, "Enter");
    term_wait_row(s.t, 0, "3 of 4 wait");
    term_wait_row(s.t, -1, "accepted: 0:02.0 trumpets, horn angle (Ctrl-z takes it back)");
    wait_looping(&s, 40, 50);
    struct call c = stage_only_call(&s);
    assert_string_equal(c.who, "trumpets");
    assert_string_equal(c.fault, "horn angle");
    assert_string_equal(c.note, "trumpets bell heights are everywhere here");
    assert_string_equal(c.author, "Ana Quill");
    assert_int_equal(c.ms, 2000);
    /* one without a fault is none yet, and the sentence says which key gives it one */
    term_keys(s.t, "Enter");
    term_wait_row(s.t, -1,
                  "0:06.0 mellophones, ?: no fault is known yet; type ' and a fault's key");
    term_keys(s.t, "Down Enter");
    term_wait_row(s.t, 0, "2 of 4 wait");
    assert_string_equal(stage_newest_call(&s).note,
                        "2 counts: trumpet one and two and the tubas two counts late");
    term_keys(s.t, "Ctrl-z");
    term_wait_row(s.t, -1, "taken back: accept 0:09.0 T1, T2, tubas, late arrival");
    term_wait_row(s.t, 0, "3 of 4 wait");
    term_wait_text(s.t, "T1, T2, tubas, late arrival !, 2"); /* and it is chosen */
    assert_string_equal(stage_only_call(&s).who, "trumpets");
    term_keys(s.t, "Esc");
    term_wait_row(s.t, 0, "1 mark");
    stage_quit(&s);
}

static void keys_put_right_whom_and_what_each_alone_or_both(void **state)
{
    (void)state;
    struct stage s = stage_heard();
    open_drafts(&s, "4 of 4 wait");
    /* both */
    term_keys(s.t, "m 1 h");
    term_wait_row(s.t, -1, "0:02.0 trumpets, horn angle, now M1, horn angle (Ctrl-z");
    wait_line(&s, "0:02.0", "M1       horn angle");
    term_wait_text(s.t, "taken first for: trumpets, horn");
    /* whom alone */
    term_keys(s.t, "t 3");
    term_wait_row(s.t, -1, "chord: t3");
    term_wait_row(s.t, 3, "Enter only whom");
    term_keys(s.t, "Enter");
    wait_line(&s, "0:02.0", "T3       horn angle");
    /* what alone: ' stands for the same people, and the panel names them */
    term_keys(s.t, "Down '");
    term_wait_row(s.t, 1, "mellophones");
    term_wait_row(s.t, -1, "chord: '");
    term_keys(s.t, "b");
    term_wait_row(s.t, -1, "0:06.0 mellophones, ?, now bent line (Ctrl-z takes it back)");
    wait_line(&s, "0:06.0", "melloph~ bent line");
    term_keys(s.t, "' 3");
    term_wait_row(s.t, -1, "'3' means nothing here");
    term_keys(s.t, "h");
    term_wait_row(s.t, -1, "0:06.0 mellophones, bent line, now horn angle");
    term_keys(s.t, "Ctrl-z");
    term_wait_row(s.t, -1, "taken back: draft 0:06.0 mellophones, bent line: corrected");
    wait_line(&s, "0:06.0", "melloph~ bent line");
    /* nobody is named without a section's key, and Esc leaves all as it was */
    term_keys(s.t, "u");
    term_wait_row(s.t, -1, "chord: u");
    term_keys(s.t, "Esc Enter");
    term_wait_row(s.t, -1, "accepted: 0:06.0 mellophones, bent line");
    stage_quit(&s);
    assert_string_equal(stage_only_call(&s).who, "mellophones");
}

/* The chord belongs to the draft at which it was begun, whichever is chosen when it ends. */
static void a_chord_speaks_of_the_draft_it_was_begun_at(void **state)
{
    (void)state;
    struct stage s = stage_heard();
    open_drafts(&s, "4 of 4 wait");
    term_keys(s.t, "m 1");
    term_wait_row(s.t, -1, "chord: m1");
    term_keys(s.t, "Down h");
    term_wait_row(s.t, -1, "0:02.0 trumpets, horn angle, now M1, horn angle");
    wait_line(&s, "0:06.0", "melloph~ ?");
    stage_quit(&s);
}

static void praise_severity_and_cause_are_as_for_a_mark(void **state)
{
    (void)state;
    struct stage s = stage_heard();
    open_drafts(&s, "4 of 4 wait");
    term_keys(s.t, "3");
    term_wait_row(s.t, -1, "0:02.0 trumpets, horn angle: severity 3");
    wait_line(&s, "0:02.0", "!!!");
    term_keys(s.t, "*");
    term_wait_row(s.t, -1, "horn angle: staff must define it");
    term_wait_text(s.t, "trumpets, horn angle !!!, define");
    term_keys(s.t, "=");
    term_wait_row(s.t, -1, "0:02.0 trumpets, keep horn angle: praise");
    wait_line(&s, "0:02.0", "keep");
    term_keys(s.t, "Enter");
    term_wait_row(s.t, 0, "3 of 4 wait");
    struct call c = stage_only_call(&s);
    assert_int_equal(c.severity, 3);
    assert_true(c.praise);
    assert_string_equal(c.cause, "define");
    term_keys(s.t, "Esc");
    term_wait_row(s.t, 0, "1 mark");
    stage_quit(&s);
}

static void one_becomes_two_and_two_become_one(void **state)
{
    (void)state;
    struct stage s = stage_heard();
    open_drafts(&s, "4 of 4 wait");
    term_keys(s.t, "Down Down -");
    term_wait_row(s.t, 0, "6 of 6 wait");
    term_wait_row(s.t, -1, "split in 3");
    wait_line(&s, "0:09.0", "T1 ");
    term_keys(s.t, "+");
    term_wait_row(s.t, 0, "5 of 5 wait");
    term_wait_row(s.t, -2, "joined: 0:09.0 T1, late arrival and 0:09.0 T2, late arrival");
    wait_line(&s, "0:09.0", "T1, T2 ");
    term_wait_text(s.t, "T1, T2, late arrival !, 2"); /* chosen still */
    term_keys(s.t, "Ctrl-z Ctrl-z");
    term_wait_row(s.t, -1, "taken back: draft 0:09.0 T1, T2, tubas, late arrival: split");
    wait_line(&s, "0:09.0", "T1, T2,~");
    term_wait_text(s.t, "T1, T2, tubas, late arrival !, 2");
    /* the quote is divided where the clip stands: a quarter into the talk */
    term_keys(s.t, "Up Up Space");
    stage_line(&s, "seek 3.1");
    term_wait_text(s.t, "0:03.1");
    term_keys(s.t, "-");
    term_wait_row(s.t, -1, "split in 2");
    term_wait_text(s.t, "\"trumpets\"");
    term_keys(s.t, "Down");
    term_wait_text(s.t, "\"bell heights are everywhere");
    wait_line(&s, "0:02.5", "trumpets horn angle");
    stage_quit(&s);
}

static void two_faults_are_not_joined(void **state)
{
    (void)state;
    struct stage s = stage_heard();
    open_drafts(&s, "4 of 4 wait");
    term_keys(s.t, "Down Down +");
    term_wait_row(s.t, -2, "'late arrival' and 'bent line' are two remarks; put one of them right");
    term_wait_row(s.t, 0, "4 of 4 wait");
    term_keys(s.t, "' b");
    term_wait_row(s.t, -1, "now bent line");
    term_keys(s.t, "+");
    term_wait_row(s.t, 0, "3 of 3 wait");
    stage_quit(&s);
}

static void what_is_typed_as_it_stands_changes_nothing(void **state)
{
    (void)state;
    struct stage s = stage_heard();
    open_drafts(&s, "4 of 4 wait");
    term_keys(s.t, "Down 3");
    term_wait_row(s.t, -1, "0:06.0 mellophones, ?: severity 3");
    term_keys(s.t, "m Enter");
    term_wait_row(s.t, -1, "0:06.0 mellophones, ?: nothing changed");
    term_keys(s.t, "Up ' h");
    term_wait_row(s.t, -1, "0:02.0 trumpets, horn angle: nothing changed");
    term_keys(s.t, "t h");
    term_wait_row(s.t, -1, "0:02.0 trumpets, horn angle: nothing changed");
    term_keys(s.t, "Ctrl-z"); /* no step of its own */
    term_wait_row(s.t, -1, "taken back: draft 0:06.0 mellophones, ?: severity 3");
    stage_quit(&s);
}

static void what_is_dropped_does_not_wait_and_when_all_is_done_it_says_so(void **state)
{
    (void)state;
    struct stage s = stage_heard();
    open_drafts(&s, "4 of 4 wait");
    term_keys(s.t, "Delete");
    term_wait_row(s.t, -1, "dropped: 0:02.0 trumpets, horn angle (Ctrl-z takes it back)");
    term_wait_row(s.t, 0, "3 of 4 wait");
    term_keys(s.t, "Ctrl-z");
    term_wait_row(s.t, -1, "taken back: draft 0:02.0 trumpets, horn angle: dropped");
    term_wait_row(s.t, 0, "4 of 4 wait");
    term_keys(s.t, "Delete Delete Delete Enter");
    term_wait_row(s.t, -1, "none waits any more");
    term_wait_text(s.t, "Done: 1 accepted, 3 dropped.");
    term_wait_row(s.t, 0, "0 of 4 wait");
    term_wait_text(s.t, "■ ");
    assert_false(term_has(s.t, "loop"));
    assert_in_range(clip_time(&s), 0, 197); /* it halts where it was, not at the clip's end */
    term_keys(s.t, "Enter");
    term_wait_row(s.t, -1, "no draft waits");
    term_keys(s.t, "t");
    term_wait_row(s.t, -1, "no draft waits");
    stage_quit(&s);
    assert_string_equal(stage_only_call(&s).who, "T7");
}

static void an_empty_list_says_how_it_is_filled(void **state)
{
    (void)state;
    struct stage s = stage_new();
    open_drafts(&s, "0 of 0 wait");
    term_wait_text(s.t, "Nothing is proposed for this clip yet.");
    term_wait_text(s.t, "boxcall hear");
    term_keys(s.t, "Enter");
    term_wait_row(s.t, -1, "no draft waits");
    /* heard meanwhile by another program */
    hear(s.show, "run", proposed, 1);
    term_wait_row(s.t, 0, "1 of 1 wait");
    wait_line(&s, "0:02.0", "trumpets");
    wait_looping(&s, 0, 10);
    stage_quit(&s);
}

static void all_that_are_sure_enough_are_accepted_by_a_line(void **state)
{
    (void)state;
    struct stage s = stage_heard();
    open_drafts(&s, "4 of 4 wait");
    stage_line(&s, "draft accept all 50");
    term_wait_row(s.t, -1,
                  "3 accepted, those at least 50 % sure; 1 is less sure (Ctrl-z takes all back)");
    term_wait_row(s.t, 0, "1 of 4 wait");
    stage_line(&s, "draft accept all");
    term_wait_row(s.t, -1, "0 accepted; 1 lacks whom or what");
    assert_false(term_has(s.t, "takes all back"));
    term_keys(s.t, "Esc");
    term_wait_row(s.t, 0, "3 marks");
    stage_line(&s, "draft drop");
    term_wait_row(s.t, -1, "no draft is chosen; \" shows those that wait");
    stage_quit(&s);
}

/* The command line's --accept takes a share, people say percent: both are read, and said back. */
static const struct sure_enough {
    const char *name, *typed, *said;
} sure_enough[] = {
    {"a share", "0.7", "2 accepted, those at least 70 % sure; 2 are less sure (Ctrl-z"},
    {"a share without its zero", ".75", "2 accepted, those at least 75 % sure; 2 are less sure"},
    {"percent", "70", "2 accepted, those at least 70 % sure; 2 are less sure"},
    {"percent with its sign", "70%", "2 accepted, those at least 70 % sure; 2 are less sure"},
    {"percent with its sign apart", "70 %", "2 accepted, those at least 70 % sure"},
    {"a share of all", "1", "0 accepted, those at least 100 % sure; 4 are less sure"},
    {"one percent", "1%", "3 accepted, those at least 1 % sure; 1 lacks whom or what"},
    {"less than one percent", "0.5%", "3 accepted, those at least 0.5 % sure; 1 lacks"},
    {"none", "0", "3 accepted, those at least 0 % sure; 1 lacks whom or what"},
    {"between both", "1.5", "write: draft accept all 90"},
    {"too much", "150", "write: draft accept all 90"},
    {"too little", "-1", "write: draft accept all 90"},
    {"no number", "nan", "write: draft accept all 90"},
    {"something behind it", "70 sure", "write: draft accept all 90"},
};

static void how_sure_is_a_share_or_percent(void **state)
{
    const struct sure_enough *x = *state;
    struct stage s = stage_heard();
    open_drafts(&s, "4 of 4 wait");
    stage_line(&s, arena_printf(test_arena(), "draft accept all %s", x->typed));
    term_wait_text(s.t, x->said);
    stage_quit(&s);
}

/* The row of the draft that waits first. */
static int64_t first_waiting(struct app *app)
{
    struct stored_draft_list l;
    struct err e;
    const struct draft_choice choice = {app->clips.at[0].id, 0, true};
    if (!store_drafts(app->store, test_arena(), &choice, &l, &e) || !l.n)
        fail_msg("%s", e.text);
    return l.at[0].id;
}

static void what_somebody_else_accepts_meanwhile_gives_way_to_the_next(void **state)
{
    (void)state;
    struct stage s = stage_heard();
    struct app other;
    struct err e;
    struct mark m;
    open_drafts(&s, "4 of 4 wait");
    wait_looping(&s, 0, 10);
    if (!app_open(&other, s.show, &e) ||
        !app_draft_accept(&other, first_waiting(&other), test_arena(), &m, &e))
        fail_msg("%s", e.text);
    app_close(&other);
    term_wait_row(s.t, 0, "3 of 4 wait");
    wait_looping(&s, 40, 50);
    term_keys(s.t, "Delete");
    term_wait_row(s.t, -1, "dropped: 0:06.0 mellophones, ?");
    stage_quit(&s);
    assert_string_equal(stage_only_call(&s).who, "trumpets");
}

static void a_wider_terminal_has_the_set_the_size_and_the_quote(void **state)
{
    (void)state;
    struct stage s = stage_heard();
    must(run("boxcall", "count", s.show, "run", "tie", "0", "1", NULL));
    stage_open(&s, &(struct term_setup){.rows = 40, .cols = 200}, "run");
    term_keys(s.t, "\"");
    term_wait_row(s.t, 1, "size");
    wait_line(&s, "0:09.0", "2.3 ");
    wait_line(&s, "0:09.0", "2 counts");
    wait_line(&s, "0:09.0", "trumpet one");
    term_wait_text(s.t, "0:02.0 set 1, count 5 of 16");
    term_keys(s.t, "*");
    wait_line(&s, "0:02.0", "horn angle (define)");
    term_keys(s.t, "*");
    wait_line(&s, "0:02.0", "horn angle            ");
    stage_quit(&s);
}

/* --- from the review and the help ------------------------------------------------------------- */

static void the_review_says_how_many_wait_until_none_does(void **state)
{
    (void)state;
    struct stage s = stage_heard();
    stage_open(&s, NULL, "run");
    term_wait_text(s.t, "no calls yet: type");
    term_wait_text(s.t, "4 drafts wait: \" shows them");
    term_keys(s.t, "t h");
    stage_wait_call(&s, "0:00.0", "horn angle", NULL);
    term_wait_text(s.t, "4 drafts wait: \" shows them");
    term_keys(s.t, "\"");
    term_wait_row(s.t, 0, "4 of 4 wait");
    stage_line(&s, "draft accept all 50");
    term_wait_row(s.t, 0, "1 of 4 wait");
    term_keys(s.t, "Esc");
    term_wait_text(s.t, "1 draft waits: \" shows it");
    term_wait_row(s.t, -2, "1 draft waits"); /* below the calls, of which there are enough */
    term_keys(s.t, "\" Delete Esc");
    term_wait_row(s.t, 0, "4 marks");
    term_wait_gone(s.t, "waits");
    term_keys(s.t, "Ctrl-z"); /* the draft is dropped no more */
    term_wait_text(s.t, "1 draft waits: \" shows it");
    stage_quit(&s);
}

static void what_is_heard_meanwhile_is_said_for_its_clip_alone(void **state)
{
    (void)state;
    struct stage s = stage_new();
    stage_open(&s, NULL, "run");
    term_wait_text(s.t, "no calls yet");
    assert_false(term_has(s.t, "wait: "));
    hear(s.show, "run", proposed, PROPOSED);
    term_wait_text(s.t, "4 drafts wait: \" shows them");
    term_keys(s.t, "F3 Down Enter");
    term_wait_row(s.t, 0, "stands");
    term_wait_text(s.t, "no calls yet");
    term_wait_gone(s.t, "wait: ");
    stage_quit(&s);
}

static void without_the_clips_file_it_says_that_they_wait_for_it(void **state)
{
    (void)state;
    struct stage s = stage_new();
    const char *clip = path_in(s.dir, "gone.mp4");
    size_t n;
    const char *bytes = read_file(clip_stands(), &n);
    write_bytes(s.dir, "gone.mp4", bytes, n);
    must(run("boxcall", "add", s.show, "clip", clip, "--label", "gone", NULL));
    hear(s.show, "gone", proposed, PROPOSED);
    assert_int_equal(unlink(clip), 0);
    stage_start(&s, NULL, "gone");
    term_wait_text(s.t, "the clip 'gone' is not there any more");
    term_keys(s.t, "\"");
    term_wait_row(s.t, 0, "drafts  no clip is open");
    term_wait_text(s.t, "No clip is open. 4 drafts wait");
    term_wait_text(s.t, "clip 'gone'; F3 lists the clips");
    hear(s.show, "run", proposed, 1);
    term_wait_text(s.t, "No clip is open. 5 drafts wait");
    term_wait_text(s.t, "clips; F3 lists the clips");
    term_keys(s.t, "Ctrl-q");
    assert_int_equal(term_wait_exit(s.t), 0);
    stage_close(&s);
}

/* The help lies over the drafts, which wait where they were. */
static void help_begins_with_the_drafts_keys_and_leads_back(void **state)
{
    (void)state;
    static const char *const back[] = {"Esc", "?", "\""};
    struct stage s = stage_heard();
    open_drafts(&s, "4 of 4 wait");
    term_keys(s.t, "Down");
    wait_looping(&s, 40, 50);
    for (size_t i = 0; i < sizeof back / sizeof *back; i++) {
        term_keys(s.t, "?");
        term_wait_row(s.t, 0, "every key");
        term_wait_row(s.t, 1, "In the drafts");
        term_wait_text(s.t, "The chosen draft becomes a mark");
        term_keys(s.t, back[i]);
        term_wait_row(s.t, 0, "4 of 4 wait");
        wait_looping(&s, 40, 50); /* chosen still */
    }
    term_keys(s.t, "? F4");
    term_wait_row(s.t, -1, "letters mark:");
    assert_false(term_has(s.t, "loop")); /* the drafts were left */
    term_keys(s.t, "?");
    term_wait_row(s.t, 1, "A mark: section");
    stage_quit(&s);
}

int main(void)
{
    struct cases all = {0};
    setenv("BOXCALL_AUTHOR", "Ana Quill", 1);
    case_test(&all, they_wait_by_time_with_what_was_said_and_why);
    case_test(&all, enter_makes_a_mark_and_goes_on_to_the_next);
    case_test(&all, keys_put_right_whom_and_what_each_alone_or_both);
    case_test(&all, a_chord_speaks_of_the_draft_it_was_begun_at);
    case_test(&all, praise_severity_and_cause_are_as_for_a_mark);
    case_test(&all, one_becomes_two_and_two_become_one);
    case_test(&all, two_faults_are_not_joined);
    case_test(&all, what_is_typed_as_it_stands_changes_nothing);
    case_test(&all, what_is_dropped_does_not_wait_and_when_all_is_done_it_says_so);
    case_test(&all, an_empty_list_says_how_it_is_filled);
    case_test(&all, all_that_are_sure_enough_are_accepted_by_a_line);
    cases_of(&all, sure_enough, how_sure_is_a_share_or_percent);
    case_test(&all, what_somebody_else_accepts_meanwhile_gives_way_to_the_next);
    case_test(&all, a_wider_terminal_has_the_set_the_size_and_the_quote);
    case_test(&all, the_review_says_how_many_wait_until_none_does);
    case_test(&all, what_is_heard_meanwhile_is_said_for_its_clip_alone);
    case_test(&all, without_the_clips_file_it_says_that_they_wait_for_it);
    case_test(&all, help_begins_with_the_drafts_keys_and_leads_back);
    return cases_run(&all, "drafts in the review");
}
