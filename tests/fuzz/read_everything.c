#include <string.h>

#include "app/define.h"
#include "app/history.h"
#include "app/learn.h"
#include "app/season.h"
#include "paper/define.h"
#include "paper/history.h"
#include "app/ties.h"
#include "fuzz/season.h"
#include "paper/paper.h"

static const struct show *show;

static bool one_of(int position, size_t n)
{
    return position >= 0 && (size_t)position < n;
}

static bool one_or_none(int position, size_t n)
{
    return position == -1 || one_of(position, n);
}

static void prove_show(void)
{
    for (size_t i = 0; i < show->n_sections; i++)
        PROVE(one_or_none(show->sections[i].up, show->n_sections));
    for (size_t i = 0; i < show->n_performers; i++)
        PROVE(one_of(show->performers[i].section, show->n_sections));
    for (size_t i = 0; i < show->n_dots; i++)
        PROVE(one_of(show->dots[i].performer, show->n_performers) &&
              one_of(show->dots[i].set, show->n_sets));
    PROVE(one_or_none(show->root, show->n_sections));
    for (size_t i = 0; show->root >= 0 && i < show->n_sections; i++)
        section_within(show, (int)i, show->root); /* ends */
}

static void read_marks(struct app *app, const struct clip *c, struct arena *mem)
{
    struct err e = {0};
    struct mark_list l;
    if (!store_marks(app->store, mem, c->id, &l, &e)) {
        prove_error(&e);
        return;
    }
    for (size_t i = 0; i < l.n; i++) {
        const struct mark *m = &l.at[i];
        PROVE(one_of(m->fault, show->n_faults) && one_or_none(m->set, show->n_sets));
        PROVE(m->state >= MARK_OPEN && m->state <= MARK_CLEAN);
        PROVE(m->note && m->author);
        for (size_t k = 0; k < m->n_targets; k++)
            PROVE(one_of(m->targets[k].section, show->n_sections) &&
                  one_or_none(m->targets[k].performer, show->n_performers));
    }
    struct call_report r = {.show = show,
                            .title = app->title,
                            .clip = app_report_clip(app, mem, c),
                            .fps_num = c->fps_num,
                            .fps_den = c->fps_den,
                            .length_us = c->length_us,
                            .marks = l.at,
                            .n_marks = l.n};
    struct buf out = {0};
    calls_json(&r, &out);
    prove_utf8(out.p, out.n);
    calls_text(&r, &out);
    calls_csv(&r, &out);
    buf_free(&out);
}

static void read_clips(struct app *app, struct arena *mem)
{
    for (size_t i = 0; i < app->clips.n && i < 20; i++) {
        const struct clip *c = &app->clips.at[i];
        struct err e = {0};
        struct tie_list ties;
        struct stretch_list watched;
        PROVE(c->label && c->path && c->link && c->date);
        read_marks(app, c, mem);
        if (!app_map(app, c, mem, &ties, &e))
            prove_error(&e);
        if (!store_watched(app->store, mem, c->id, &watched, &e))
            prove_error(&e);
    }
}

static bool on_seen(void *ctx, const struct seen_row *row)
{
    size_t *rows = ctx;
    PROVE(one_of(row->section, show->n_sections) && one_of(row->fault, show->n_faults));
    PROVE(one_or_none(row->performer, show->n_performers) && one_or_none(row->set, show->n_sets));
    return ++*rows < 10000;
}

static void read_lists(struct app *app, struct arena *mem)
{
    struct err e = {0};
    struct fix_report r;
    struct rep_plan plan;
    struct buf out = {0};
    size_t rows = 0;
    for (int i = 0; i < (int)show->n_sections && i < 20; i++) {
        const struct seen_choice one = {.sections = &i, .n_sections = 1, .performer = -1};
        if (!store_each_seen(app->store, &one, on_seen, &rows, &e))
            prove_error(&e);
    }
    if (!app_fixes(app, &(struct fix_choice){.moments = true}, mem, &r, &e)) {
        prove_error(&e);
    } else {
        fixes_json(&r, &(struct fixes_style){0}, &out);
        prove_utf8(out.p, out.n);
        fixes_text(&r, &(struct fixes_style){0}, &out);
    }
    struct define_report d;
    struct history_report h;
    struct clip_sum *sums;
    if (!app_define(app, &(struct fix_choice){0}, mem, &d, &e))
        prove_error(&e);
    else
        define_text(&d, &out);
    if (!app_history(app, &(struct history_choice){.fault = -1}, mem, &h, &e))
        prove_error(&e);
    else
        history_text(&h, &out);
    if (!app_season(app, mem, &sums, &e))
        prove_error(&e);
    if (!store_plan(app->store, mem, NULL, &plan, &e)) {
        prove_error(&e);
    } else {
        for (size_t i = 0; i < plan.n_blocks; i++)
            for (size_t k = 0; k < plan.blocks[i].n_fixes; k++)
                PROVE(one_of(plan.blocks[i].fixes[k].section, show->n_sections) &&
                      one_of(plan.blocks[i].fixes[k].fault, show->n_faults));
    }
    buf_free(&out);
}

static void prove_learned(const struct learned *l)
{
    struct buf out = {0};
    PROVE(l->used + l->unwatched + l->unmarked == l->lines);
    PROVE(l->used == 0 || (0 <= l->low && l->low <= l->p && l->p <= l->high));
    PROVE(l->used == 0 || (l->high <= LEARN_MOST && l->dispersion >= 1));
    learn_sentence(l, false, &out);
    prove_utf8(out.p, out.n);
    buf_free(&out);
}

static void read_reps(struct app *app, struct arena *mem)
{
    struct err e = {0};
    struct learn_report r;
    if (!app_learn(app, 2, mem, &r, &e)) {
        prove_error(&e);
    } else {
        prove_learned(&r.together);
        prove_learned(&r.apart);
    }
}

static void back_and_forth(struct app *app)
{
    for (int i = 0; i < 6; i++) {
        struct err e = {0};
        struct travelled t = {.then = NULL};
        bool ok = (i < 3 ? store_undo : store_redo)(app->store, &t, &e);
        if (!ok && e.code != ERR_NONE)
            prove_error(&e);
    }
}

void fuzz_read_everything(const char *path)
{
    struct err e = {0};
    struct arena mem = {0};
    struct app app;
    if (!app_open(&app, path, &e)) {
        prove_error(&e);
        return;
    }
    show = &app.show;
    prove_show();
    read_clips(&app, &mem);
    read_lists(&app, &mem);
    read_reps(&app, &mem);
    back_and_forth(&app);
    if (!app_reload(&app, &e)) {
        prove_error(&e);
    } else {
        prove_show();
        read_clips(&app, &mem);
    }
    if (!store_check(app.store, &e))
        prove_error(&e);
    arena_free(&mem);
    app_close(&app);
}
