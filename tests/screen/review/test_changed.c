/* What the staff must decide, and what changed between two rehearsals: two lists of their own. */
#include "review/stage.h"

static void marked(const struct stage *s, const char *clip, const char *at, const char *whom,
                   const char *cause)
{
    must(run("boxcall", "mark", s->show, clip, at, whom, "horn angle", "--cause", cause, NULL));
}

static void what_waits_is_decided_on_its_list(void **state)
{
    (void)state;
    struct stage s = stage_new();
    marked(&s, "run", "2", "T4", "execute");
    marked(&s, "run", "4", "T5", "define");
    must(run("boxcall", "define", s.show, "bent line", "--decide", "Guide to the center.", NULL));
    stage_open(&s, NULL, NULL);
    term_keys(s.t, "F9");
    term_wait_row(s.t, 0, "to decide: ensemble");
    term_wait_text(s.t, "1     1  !   horn angle");
    term_wait_text(s.t, "[decided] bent line");
    term_wait_text(s.t, "run 0:04.0");
    term_wait_text(s.t, "T5 ×1");
    term_wait_gone(s.t, "T4");
    term_keys(s.t, "Space"); /* would speak of T4's mark as well */
    term_wait_row(s.t, -1, "is said on the fix list (F2)");
    term_keys(s.t, "*");
    term_wait_text(s.t, "right is:");
    term_keys(s.t, "Ctrl-u T e n Space u p Enter");
    term_wait_text(s.t, "[decided] horn angle");
    term_wait_gone(s.t, "1     1  !   horn angle");
    term_keys(s.t, "F2 Down");
    term_wait_row(s.t, 0, "fix list: ensemble");
    term_wait_text(s.t, "decided: Ten up");
    term_wait_gone(s.t, "(define)");
    term_keys(s.t, "Ctrl-z F9");
    term_wait_row(s.t, 0, "to decide: ensemble");
    term_wait_text(s.t, "1     1  !   horn angle");
    stage_quit(&s);
}

static void one_rehearsal_is_not_compared(void **state)
{
    (void)state;
    struct stage s = stage_new();
    stage_open(&s, NULL, NULL);
    term_keys(s.t, "F12");
    term_wait_row(s.t, -1, "there are not two rehearsals to compare");
    stage_quit(&s);
}

static void two_rehearsals_show_what_changed(void **state)
{
    (void)state;
    struct stage s = stage_new();
    must(run("boxcall", "add", s.show, "clip", clip_stands(), "--date", "2026-09-16", NULL));
    must(run("boxcall", "add", s.show, "clip", clip_drop(), "--date", "2026-09-18", NULL));
    must(run("boxcall", "watched", s.show, "run", "0", "20", NULL));
    must(run("boxcall", "watched", s.show, "drop", "0", "20", NULL));
    must(run("boxcall", "watched", s.show, "stands", "0", "6", NULL));
    for (int i = 0; i < 6; i++)
        marked(&s, "run", arena_printf(test_arena(), "%d", 1 + 3 * i), "trumpets", "execute");
    marked(&s, "stands", "2", "M1", "execute");
    stage_open(&s, NULL, NULL);
    term_keys(s.t, "F12");
    term_wait_row(s.t, 0, "compare: what changed");
    term_wait_row(s.t, 1, "from 2026-09-16: stands");
    term_wait_row(s.t, 2, "to   2026-09-18: drop");
    term_wait_text(s.t, "Nothing changed beyond noise.");
    term_wait_text(s.t, "Not shown: 1 unseen (Space shows them).");
    term_keys(s.t, "Space");
    term_wait_row(s.t, 0, "compare: all lines");
    term_wait_text(s.t, "unseen      mellophones");
    term_keys(s.t, "Left");
    term_wait_row(s.t, 1, "from 2026-09-14: run");
    term_wait_text(s.t, "fixed       trumpets");
    term_wait_text(s.t, "6 > 0");
    term_keys(s.t, "Left");
    term_wait_row(s.t, -1, "there is no earlier rehearsal");
    term_keys(s.t, "Space Enter");
    term_wait_row(s.t, 0, "fix list: trumpets");
    /* From rehearsal to rehearsal: 6 in 20 s, none in 6 s and in 20 s; then what is said of it. */
    term_wait_text(s.t, "09-14   6 █████ 18 (6.6-39)");
    term_wait_text(s.t, "09-18   0       0 (0-11)");
    term_keys(s.t, "Space");
    term_wait_text(s.t, "repped");
    term_keys(s.t, "Space");
    term_wait_text(s.t, "[clean] horn angle");
    term_wait_gone(s.t, "open since");
    stage_quit(&s);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, what_waits_is_decided_on_its_list);
    case_test(&all, one_rehearsal_is_not_compared);
    case_test(&all, two_rehearsals_show_what_changed);
    return cases_run(&all, "decisions and comparison");
}
