#include "command/field.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "app/app.h"
#include "base/shell.h"
#include "command/command.h"
#include "command/run.h"
#include "command/screen.h"
#include "command/tied.h"
#include "command/who.h"

struct field {
    struct arena memory; /* of the ghosts */
    struct ghosts ghosts;
    bool walked; /* they are the show's as it is now */
    struct who chosen;
    bool anybody;
    int64_t leaf_set; /* row; 0: where the drill begins */
    double leaf_count;
    enum field_reach reach;
    enum field_marking marking;
};

static void begin(void *mine)
{
    *(struct field *)mine = (struct field){.reach = FIELD_SHOW};
}

static void before_read(struct desk *d, void *mine)
{
    struct field *f = mine;
    (void)d;
    arena_free(&f->memory);
    f->walked = false;
}

static const struct part part = {
    .size = sizeof(struct field), .begin = begin, .before_read = before_read, .end = before_read};

static struct field *field(const struct desk *d)
{
    return desk_part(d, &part);
}

/* --- where everybody should be ---------------------------------------------------------------- */

const struct ghosts *field_ghosts(const struct desk *d)
{
    struct field *f = field(d);
    if (!f->walked)
        f->ghosts = ghosts_of(&d->app->show, &f->memory);
    f->walked = true;
    return &f->ghosts;
}

/* The end of the last set that was played before; the beginning of the first. */
static struct set_count nearest_before(const struct desk *d)
{
    size_t n;
    const struct map_span *spans = map_spans(d->map, &n);
    struct set_count at = {n ? spans[0].set : 0, 1};
    for (size_t i = 0; i < n && spans[i].from_us <= d->play.at_us; i++)
        at = (struct set_count){spans[i].set, d->app->show.sets[spans[i].set].counts + 1};
    return at;
}

static struct set_count leafed_to(const struct desk *d)
{
    const struct field *f = field(d);
    const int set = f->leaf_set ? set_of_row(&d->app->show, f->leaf_set) : 0;
    if (set < 0)
        return (struct set_count){0, 1};
    return (struct set_count){set, fmax(1, fmin(f->leaf_count, d->app->show.sets[set].counts + 1))};
}

bool field_when(const struct desk *d, struct set_count *when, enum field_time *how)
{
    struct spot spot;
    size_t n = 0;
    if (!d->app->show.n_sets)
        return false;
    if (d->map)
        map_spans(d->map, &n);
    *how = !n ? FIELD_LEAFING : desk_spot(d, &spot) ? FIELD_RUNNING : FIELD_OUTSIDE;
    if (*how == FIELD_RUNNING)
        *when = (struct set_count){spot.set, spot.count};
    else
        *when = *how == FIELD_OUTSIDE ? nearest_before(d) : leafed_to(d);
    return true;
}

int field_next_set(const struct desk *d, struct set_count when)
{
    const struct show *show = &d->app->show;
    const bool there = when.count >= show->sets[when.set].counts + 1 - 1e-6;
    return there && when.set + 1 < (int)show->n_sets ? when.set + 1 : when.set;
}

bool field_place(const struct desk *d, int performer, struct set_count when, struct dot_place *out)
{
    return ghost_stands(field_ghosts(d), performer, when, out);
}

/* --- who is chosen ---------------------------------------------------------------------------- */

bool field_chosen(const struct desk *d, struct target *out)
{
    const struct field *f = field(d);
    return f->anybody && who_find(&d->app->show, &f->chosen, out);
}

static void choose(struct desk *d, const struct target *t)
{
    field(d)->chosen = who_of(&d->app->show, t);
    field(d)->anybody = true;
}

void field_choose(struct desk *d, int performer)
{
    field(d)->anybody = performer >= 0;
    if (performer >= 0)
        choose(d, &(struct target){d->app->show.performers[performer].section, performer});
}

static bool has_dots(const struct desk *d, int performer)
{
    struct dot_place unused;
    bool any = false;
    for (size_t s = 0; !any && s < d->app->show.n_sets; s++)
        any = ghost_dot(field_ghosts(d), performer, (int)s, &unused);
    return any && !d->app->show.performers[performer].removed;
}

static bool has_people(const struct desk *d, int section)
{
    bool any = false;
    for (size_t i = 0; !any && i < d->app->show.n_performers; i++)
        any = d->app->show.performers[i].section == section && has_dots(d, (int)i);
    return any;
}

/* Where to go on from: the chosen performer, the end of the list before a chosen section's first. */
static long performer_before(const struct desk *d, long by)
{
    const struct show *show = &d->app->show;
    struct target t;
    if (!field_chosen(d, &t))
        return by > 0 ? -1 : (long)show->n_performers;
    if (t.performer >= 0)
        return t.performer;
    for (long i = 0; i < (long)show->n_performers; i++)
        if (show->performers[i].section == t.section)
            return by > 0 ? i - 1 : i;
    return -1;
}

void field_next_performer(struct desk *d, long by)
{
    const long step = by < 0 ? -1 : 1, n = (long)d->app->show.n_performers;
    long left = labs(by), at = performer_before(d, by), found = -1;
    for (long i = at + step; left > 0 && i >= 0 && i < n; i += step)
        if (has_dots(d, (int)i)) {
            found = i;
            left--;
        }
    if (found >= 0)
        field_choose(d, (int)found);
}

void field_next_section(struct desk *d, int by)
{
    const int n = (int)d->app->show.n_sections;
    struct target t = {by > 0 ? -1 : n, -1};
    field_chosen(d, &t);
    int i = t.performer >= 0 && by < 0 ? t.section + 1 : t.section; /* first to one's own */
    i = field_chosen(d, &t) ? i : by > 0 ? -1 : n;
    for (i += by; i >= 0 && i < n; i += by)
        if (has_people(d, i)) {
            choose(d, &(struct target){i, -1});
            return;
        }
}

/* --- what is shown ---------------------------------------------------------------------------- */

enum field_reach field_reach(const struct desk *d)
{
    return field(d)->reach;
}

enum field_marking field_marking(const struct desk *d)
{
    return field(d)->marking;
}

static void nearer(struct desk *d, int by)
{
    static const char *const said[] = {"all of the field", "where the show is drilled",
                                       "where the move is"};
    struct field *f = field(d);
    const int to = (int)f->reach + by;
    if (to < FIELD_ALL || to > FIELD_MOVE)
        return;
    f->reach = (enum field_reach)to;
    desk_say(d, "%s", said[to]);
}

static void turn_marking(struct desk *d)
{
    struct field *f = field(d);
    f->marking = (enum field_marking)((f->marking + 1) % (MARKS_BY_SET + 1));
    d->message[0] = '\0';
}

/* --- leafing ---------------------------------------------------------------------------------- */

static void leaf_to(struct desk *d, struct set_count to)
{
    struct field *f = field(d);
    f->leaf_set = d->app->show.sets[to.set].id;
    f->leaf_count = to.count;
}

/* By sets: to the end of a set, which is where its dots are. */
static void leaf_sets(struct desk *d, struct set_count from, int by)
{
    const int set = from.set + by;
    if (field(d)->leaf_set == 0 && by > 0)
        leaf_to(d, (struct set_count){from.set, d->app->show.sets[from.set].counts + 1});
    else if (set >= 0 && set < (int)d->app->show.n_sets)
        leaf_to(d, (struct set_count){set, d->app->show.sets[set].counts + 1});
}

static void leaf_counts(struct desk *d, struct set_count from, int by)
{
    const struct show *show = &d->app->show;
    from.count = floor(from.count) + by;
    if (from.count > show->sets[from.set].counts + 1 && from.set + 1 < (int)show->n_sets)
        from = (struct set_count){from.set + 1, 2};
    else if (from.count < 1 && from.set > 0)
        from = (struct set_count){from.set - 1, show->sets[from.set - 1].counts};
    leaf_to(d, from);
}

/* The clip when it is tied, else the drill alone. */
static void go(struct desk *d, const char *line, int sets, int counts)
{
    struct set_count at;
    enum field_time how;
    if (!field_when(d, &at, &how))
        desk_trouble(d, "no sets yet; add a table of them: boxcall add %s sets FILE",
                     shell_word(store_path(d->app->store)).text);
    else if (how != FIELD_LEAFING)
        desk_run(d, line);
    else if (sets)
        leaf_sets(d, at, sets);
    else
        leaf_counts(d, at, counts);
}

void field_go_to_set(struct desk *d, int set)
{
    struct set_count at;
    enum field_time how;
    char line[80];
    snprintf(line, sizeof line, "set %.60s", d->app->show.sets[set].label);
    if (!field_when(d, &at, &how))
        return;
    if (how == FIELD_LEAFING)
        leaf_to(d, (struct set_count){set, 1});
    else
        desk_run(d, line);
}

static void go_next(struct desk *d)
{
    go(d, "rail next", 1, 0);
}

static void go_prev(struct desk *d)
{
    go(d, "rail prev", -1, 0);
}

static void go_on(struct desk *d)
{
    go(d, "move +1", 0, 1);
}

static void go_back(struct desk *d)
{
    go(d, "move -1", 0, -1);
}

static void go_nearer(struct desk *d)
{
    nearer(d, 1);
}

static void go_wider(struct desk *d)
{
    nearer(d, -1);
}

/* --- the command ------------------------------------------------------------------------------ */

static void choose_named(struct desk *d, const char *text)
{
    struct arena mem = {0};
    struct err e;
    size_t n;
    const struct target *t = targets_parse(&mem, &d->app->show, text, &n, &e);
    if (!t)
        desk_trouble(d, "%s", e.text);
    else if (n > 1)
        desk_trouble(d, "one performer or one section at a time");
    else
        choose(d, t);
    arena_free(&mem);
}

void command_field(struct desk *d, const char *arg)
{
    static const struct {
        const char *word;
        void (*run)(struct desk *d);
    } words[] = {{"next", go_next},      {"prev", go_prev},     {"+1", go_on},
                 {"-1", go_back},        {"nearer", go_nearer}, {"wider", go_wider},
                 {"marks", turn_marking}};
    screen_show(d, "field");
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (strcmp(arg, words[i].word) == 0) {
            words[i].run(d);
            return;
        }
    if (*arg)
        choose_named(d, arg);
}
