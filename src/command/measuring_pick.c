#include "command/measuring_pick.h"

#include <ctype.h>
#include <math.h>
#include <string.h>

#include "command/ground.h"
#include "command/line.h"
#include "command/spot_keys.h"

/* What the camera has at a pixel, if a crossing of lines is near. */
static bool crossing_near(const struct desk *d, struct pixel at, double reach_px, double *x,
                          double *y)
{
    const struct grid *g = &d->app->show.grid;
    struct seen_by by;
    struct grid_line lines[GRID_LINES];
    const size_t n = grid_lines(g, lines);
    double least = reach_px;
    if (!ground_seen(d, &by))
        return false;
    const int half = (int)(grid_half(g) / 8) * 8;
    for (int across = -half; across <= half; across += 8)
        for (size_t i = 0; i < n; i++) {
            struct pixel p;
            if (!camera_sees(&by.camera, field_place_of(g, across, lines[i].depth), &p, NULL))
                continue;
            const double off = hypot(p.x - at.x, p.y - at.y);
            if (off < least) {
                least = off;
                *x = across;
                *y = lines[i].depth;
            }
        }
    return least < reach_px;
}

/* Which side a click is on: by the camera, else by what was picked in this picture, else by the half
 * of the picture. */
static int side_of(const struct desk *d, struct pixel at)
{
    const struct field_view *v = ground_view(d);
    struct seen_by by;
    struct field_place place;
    if (ground_seen(d, &by) && camera_place(&by.camera, at, &place))
        return place.x < 0 ? 1 : 2;
    for (size_t i = 0; v && i < v->picks.n; i++) {
        const struct field_pick *p = &v->picks.at[i];
        if (p->at_us == d->play.at_us && p->kind == PICK_SPOT && p->x == 0)
            return at.x < p->at.x ? 1 : 2;
    }
    return at.x < desk_current(d)->width / 2.0 ? 1 : 2;
}

void measuring_name_pick(struct desk *d, struct measuring *m)
{
    m->naming = true;
    m->named = m->cross;
    m->keys[0] = '\0';
    m->side = side_of(d, m->cross);
    m->offered =
        crossing_near(d, m->cross, desk_current(d)->width / 20.0, &m->offer_x, &m->offer_y);
}

/* The pixel that is being named, while a line is typed for it. */
struct named {
    struct pixel at;
};
static const struct part part = {.size = sizeof(struct named)};

static void pick_made(struct desk *d, struct pixel at, double x, double y)
{
    struct field_pick p = {.at_us = d->play.at_us, .kind = PICK_SPOT, .at = at, .x = x, .y = y};
    char said[2 * SPOT_TEXT];
    int number;
    struct err e;
    if (!desk_current(d)) {
        desk_trouble(d, "the clip is not open any more; nothing was picked");
        return;
    }
    if (!app_field_pick(d->app, desk_current(d), &p, &number, &e)) {
        desk_trouble(d, "%s", e.text);
        return;
    }
    desk_wrote(d);
    spot_text(&d->app->show.grid, x, y, said);
    desk_say(d, "pick %d: %s%s", number, said, number < 4 ? "" : "; finding the field ...");
    ground_picked(d);
}

static void spot_typed(struct desk *d, const char *text)
{
    const struct named *named = desk_part(d, &part);
    double x, y;
    struct err e;
    if (!*text)
        return;
    if (spot_parse(&d->app->show.grid, text, &x, &y, &e))
        pick_made(d, named->at, x, y);
    else
        desk_trouble(d, "%s", e.text);
}

static const struct line_kind spot_line = {.label = " which spot is that?", .done = spot_typed};

void measuring_take_off(struct desk *d)
{
    const struct field_view *v = ground_view(d);
    int64_t newest = 0;
    struct err e;
    for (size_t i = 0; v && i < v->picks.n; i++)
        if (v->picks.at[i].at_us == d->play.at_us && v->picks.at[i].id > newest)
            newest = v->picks.at[i].id;
    if (!newest) {
        desk_trouble(d, "nothing is picked in this picture");
        return;
    }
    if (!store_field_pick_remove(d->app->store, newest, &e)) {
        desk_trouble(d, "%s", e.text);
        return;
    }
    desk_wrote(d);
    desk_say(d, "the newest pick of this picture is taken off");
    ground_picked(d);
}

static void named(struct desk *d, struct measuring *m, double x, double y)
{
    m->naming = false;
    pick_made(d, m->named, x, y);
}

bool measuring_naming_key(struct desk *d, struct measuring *m, const char *key)
{
    struct dot_place at;
    const size_t n = strlen(m->keys);
    const bool plain = key[0] && !key[1];
    if (strcmp(key, "Backspace") == 0 && n > 0)
        m->keys[n - 1] = '\0';
    else if (strcmp(key, "Esc") == 0 || strcmp(key, "Backspace") == 0)
        m->naming = false;
    else if (strcmp(key, "Enter") == 0 && m->offered && n == 0)
        named(d, m, m->offer_x, m->offer_y);
    else if (strcmp(key, "Tab") == 0)
        m->side = 3 - m->side;
    else if (strcmp(key, "/") == 0) {
        ((struct named *)desk_part(d, &part))->at = m->named;
        m->naming = false;
        line_ask(d, &spot_line, "%s", "");
    } else if (plain && isalnum((unsigned char)key[0]) && n + 1 < sizeof m->keys) {
        m->keys[n] = (char)tolower((unsigned char)key[0]);
        m->keys[n + 1] = '\0';
        const enum spot_keys what = d->app->show.grid.surface == SURFACE_FLOOR
                                        ? SPOT_KEYS_WRONG
                                        : spot_keys_read(&d->app->show.grid, m->keys, m->side, &at);
        if (what == SPOT_KEYS_DONE)
            named(d, m, at.x, at.y);
        else if (what == SPOT_KEYS_WRONG) {
            m->keys[n] = '\0';
            desk_trouble(d, d->app->show.grid.surface == SURFACE_FLOOR
                                ? "a floor has no yard lines; / writes the spot in words"
                                : "first the yard line (35), then s n f b m or k; / writes it in "
                                  "words");
        }
    } else
        return false;
    return true;
}

/* The crossing that says most: far from all that was picked, well in the picture. */
void measuring_next_likely(struct desk *d, struct measuring *m)
{
    const struct grid *g = &d->app->show.grid;
    const struct field_view *v = ground_view(d);
    const struct clip *c = desk_current(d);
    struct grid_line lines[GRID_LINES];
    const size_t n = grid_lines(g, lines);
    struct seen_by by;
    double most = 0;
    if (!v || !ground_seen(d, &by)) {
        desk_trouble(d, "the field is not known yet; pick four spots first");
        return;
    }
    for (int across = -80; across <= 80; across += 8)
        for (size_t i = 0; i < n; i++) {
            struct pixel p;
            double near = c->width;
            if (!camera_sees(&by.camera, field_place_of(g, across, lines[i].depth), &p, NULL) ||
                p.x < c->width * 0.04 || p.y < c->height * 0.04 || p.x > c->width * 0.96 ||
                p.y > c->height * 0.96)
                continue;
            for (size_t k = 0; k < v->picks.n; k++)
                if (v->picks.at[k].at_us == d->play.at_us)
                    near = fmin(near, hypot(v->picks.at[k].at.x - p.x, v->picks.at[k].at.y - p.y));
            if (near > most) {
                most = near;
                m->cross = p;
            }
        }
}
