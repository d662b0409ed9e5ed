#include "app/compare.h"

/* A list of exactly one section: its performers and itself, not what is below it. */
static bool alone(struct app *a, int section, const struct fix_choice *how, struct arena *mem,
                  struct fix_report *r, struct err *e)
{
    struct fix_choice choice = *how;
    choice.for_whom = a->show.sections[section].name;
    choice.alone = true;
    return app_fixes(a, &choice, mem, r, e);
}

static bool add_part(struct app *a, int section, const struct compare_choice *choice,
                     struct arena *mem, struct comparison *out, struct err *e)
{
    struct fix_report x, y;
    if (!alone(a, section, &choice->from, mem, &x, e) ||
        !alone(a, section, &choice->to, mem, &y, e))
        return false;
    struct compared *p = &out->parts[out->n_parts];
    *p = (struct compared){.section = section, .performer = -1};
    p->changes = rank_compare((struct rank_watched){&x.own.list, x.watched_min},
                              (struct rank_watched){&y.own.list, y.watched_min}, a->show.n_faults,
                              mem, &p->n);
    out->n_parts += p->n > 0;
    return true;
}

static struct comparison_side side_of(const struct fix_report *r)
{
    return (struct comparison_side){r->clips, r->n_clips, r->watched_min, r->length_min};
}

bool app_compare(struct app *a, const struct compare_choice *choice, struct arena *mem,
                 struct comparison *out, struct err *e)
{
    const char *for_whom = choice->for_whom;
    *out = (struct comparison){
        .show = &a->show, .title = a->title, .for_whom = for_whom ? for_whom : ""};
    out->parts = arena_alloc(mem, (a->show.n_sections + 1) * sizeof *out->parts);
    struct fix_choice x = choice->from, y = choice->to;
    struct fix_report before, after;
    x.for_whom = y.for_whom = for_whom;
    if (!app_fixes(a, &x, mem, &before, e) || !app_fixes(a, &y, mem, &after, e))
        return false;
    out->from = side_of(&before);
    out->to = side_of(&after);
    if (for_whom) {
        struct compared *p = &out->parts[out->n_parts++];
        *p = (struct compared){.section = before.section, .performer = before.performer};
        p->changes = rank_compare((struct rank_watched){&before.own.list, before.watched_min},
                                  (struct rank_watched){&after.own.list, after.watched_min},
                                  a->show.n_faults, mem, &p->n);
        rank_settle(out, mem);
        return true;
    }
    for (size_t i = 0; i < a->show.n_sections; i++)
        if (!add_part(a, (int)i, choice, mem, out, e))
            return false;
    rank_settle(out, mem);
    return true;
}
