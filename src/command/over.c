#include "command/over.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "command/ground.h"
#include "command/measuring.h"

static void add_line(struct over *o, enum over_kind kind, struct pixel a, struct pixel b)
{
    o->lines = array_grow(o->lines, o->n_lines, &o->cap_lines, sizeof *o->lines);
    o->lines[o->n_lines++] = (struct over_line){kind, a.x, a.y, b.x, b.y};
}

static void add_dot(struct over *o, enum over_kind kind, struct pixel at, const char *label)
{
    o->dots = array_grow(o->dots, o->n_dots, &o->cap_dots, sizeof *o->dots);
    o->dots[o->n_dots++] = (struct over_dot){kind, at.x, at.y, label};
}

/* A place of the ground in parts of the picture; false where it is not well in sight. */
static bool part_of(const struct camera *c, struct field_place at, struct pixel *out)
{
    struct pixel p;
    if (!camera_sees(c, at, &p, NULL))
        return false;
    *out = (struct pixel){p.x / c->width, p.y / c->height};
    return out->x > -0.5 && out->x < 1.5 && out->y > -0.5 && out->y < 1.5;
}

/* A straight line of the ground is bent by the lens and the crown: in pieces. */
static void add_ground_line(struct over *o, const struct camera *c, enum over_kind kind,
                            struct field_place from, struct field_place to)
{
    enum { PIECES = 16 };
    struct pixel before, now;
    bool had = part_of(c, from, &before);
    for (int i = 1; i <= PIECES; i++) {
        const double t = (double)i / PIECES;
        const struct field_place at = {from.x + t * (to.x - from.x), from.y + t * (to.y - from.y)};
        const bool has = part_of(c, at, &now);
        if (had && has)
            add_line(o, kind, before, now);
        had = has;
        before = now;
    }
}

static void add_grid(struct over *o, const struct camera *c, const struct grid *g)
{
    struct grid_line lines[GRID_LINES];
    const size_t n = grid_lines(g, lines);
    const double half = grid_half(g), back = g->back_sideline_in;
    for (double x = -floor(half / 8) * 8; x <= half; x += 8)
        add_ground_line(o, c, x == 0 ? OVER_STRONG : OVER_LINE,
                        (struct field_place){x * GRID_ACROSS_IN, 0},
                        (struct field_place){x * GRID_ACROSS_IN, back});
    for (size_t i = 0; i < n; i++) {
        const double y = grid_depth_in(g, lines[i].depth), x = half * GRID_ACROSS_IN;
        add_ground_line(o, c, OVER_STRONG, (struct field_place){-x, y}, (struct field_place){x, y});
    }
}

static void add_ghosts(const struct desk *d, struct arena *mem, struct over *o,
                       const struct camera *c)
{
    const struct show *s = &d->app->show;
    const bool labels = ground_shown(d)->labels;
    struct ground_dots dots;
    ground_dots(d, d->play.at_us, mem, &dots);
    for (size_t i = 0; i < dots.n; i++) {
        struct pixel at;
        if (part_of(c, field_place_of(&s->grid, dots.at[i].at.x, dots.at[i].at.y), &at))
            add_dot(o, OVER_GHOST, at, labels ? s->performers[dots.at[i].performer].label : "");
    }
}

/* --- measuring ------------------------------------------------------------------------------------- */

static struct pixel share_of(const struct clip *c, struct pixel p)
{
    return (struct pixel){p.x / c->width, p.y / c->height};
}

static const char *number(struct arena *mem, size_t n)
{
    return arena_printf(mem, "%zu", n);
}

static void add_fit(const struct measuring *m, struct over *o, const struct camera *c)
{
    const struct shape_fit *f = &m->fit;
    double low = INFINITY, high = -INFINITY;
    for (size_t i = 0; i < m->measured.n; i++) {
        const struct field_place at = m->measured.at[i];
        const struct field_place on = {at.x - f->at[i].off.x, at.y - f->at[i].off.y};
        const double along = f->arc ? atan2(at.y - f->circle.center.y, at.x - f->circle.center.x)
                                    : (at.x - f->line.through.x) * cos(f->line.angle) +
                                          (at.y - f->line.through.y) * sin(f->line.angle);
        low = fmin(low, along);
        high = fmax(high, along);
        if (f->at[i].inches > f->at[i].error)
            add_ground_line(o, c, OVER_MOVE, at, on);
    }
    if (!f->arc) {
        const double x = cos(f->line.angle), y = sin(f->line.angle);
        const struct field_place p = f->line.through;
        add_ground_line(o, c, OVER_SHAPE, (struct field_place){p.x + low * x, p.y + low * y},
                        (struct field_place){p.x + high * x, p.y + high * y});
        return;
    }
    enum { PIECES = 24 };
    for (int i = 0; i < PIECES; i++) {
        const double a = low + (high - low) * i / PIECES, b = low + (high - low) * (i + 1) / PIECES;
        const struct shape_arc *k = &f->circle;
        add_ground_line(o, c, OVER_SHAPE,
                        (struct field_place){k->center.x + k->radius * cos(a),
                                             k->center.y + k->radius * sin(a)},
                        (struct field_place){k->center.x + k->radius * cos(b),
                                             k->center.y + k->radius * sin(b)});
    }
}

static void add_measuring(const struct desk *d, const struct measuring *m, struct arena *mem,
                          struct over *o)
{
    const struct clip *c = desk_current(d);
    const struct field_view *v = ground_view(d);
    const struct pixel cross = share_of(c, m->cross);
    for (size_t i = 0; i < m->n; i++)
        if (m->at[i].us == d->play.at_us)
            add_dot(o, OVER_CLICK, share_of(c, m->at[i].at), number(mem, i + 1));
    for (size_t i = 0; m->pointing && v && i < v->picks.n; i++) {
        const struct field_pick *p = &v->picks.at[i];
        if (p->at_us == d->play.at_us)
            add_dot(o, OVER_PICK, share_of(c, p->at), number(mem, i + 1));
    }
    const double x = 0.035, y = x * c->width / c->height, gap = 0.2;
    const double at[4][2] = {{-x, 0}, {x, 0}, {0, -y}, {0, y}};
    for (int i = 0; i < 4; i++)
        add_line(o, OVER_CROSS, (struct pixel){cross.x + gap * at[i][0], cross.y + gap * at[i][1]},
                 (struct pixel){cross.x + at[i][0], cross.y + at[i][1]});
    o->x = cross.x;
    o->y = cross.y;
    o->times = 1 << m->zoom;
}

void over_make(const struct desk *d, struct arena *mem, struct over *out)
{
    const struct ground_shown *s = ground_shown(d);
    const struct measuring *m = measuring_open(d);
    struct seen_by by;
    *out = (struct over){.x = 0.5, .y = 0.5, .times = 1};
    if (!desk_current(d) || d->play.status != PLAYER_READY || !(s->lines || s->ghosts || m))
        return;
    if (ground_seen(d, &by)) {
        if (s->lines)
            add_grid(out, &by.camera, &d->app->show.grid);
        if (s->ghosts)
            add_ghosts(d, mem, out, &by.camera);
        if (m && m->fitted && m->at[0].us == d->play.at_us)
            add_fit(m, out, &by.camera);
    }
    if (m)
        add_measuring(d, m, mem, out);
}

void over_free(struct over *o)
{
    free(o->lines);
    free(o->dots);
    *o = (struct over){0};
}
