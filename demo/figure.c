#include <math.h>
#include <string.h>

#include "demo/figure.h"

struct tint {
    double r, g, b;
};

enum gear {
    GEAR_BRASS,
    GEAR_FLUTE,
    GEAR_REED,
    GEAR_SNARE,
    GEAR_TENORS,
    GEAR_BASS,
    GEAR_FLAG,
    GEAR_MALLETS,
    GEAR_BATON,
    GEAR_NONE
};

struct look {
    const char *section;
    enum gear gear;
    double length_ft, bell_ft; /* of the horn or drum */
    double up_deg;             /* the uniform horn angle, 0 = level */
    struct tint metal;
};

static const struct tint GOLD = {0.93, 0.78, 0.36}, SILVER = {0.88, 0.90, 0.93},
                         BLACK = {0.13, 0.13, 0.15}, WHITE = {0.97, 0.97, 0.96},
                         NAVY = {0.11, 0.15, 0.36}, TEAL = {0.10, 0.55, 0.58},
                         TROUSERS = {0.09, 0.10, 0.16};

static const struct look looks[] = {
    {"flutes", GEAR_FLUTE, 2.2, 0, 0, {0.88, 0.90, 0.93}},
    {"clarinets", GEAR_REED, 2.1, 0.22, -42, {0.10, 0.10, 0.11}},
    {"saxophones", GEAR_REED, 2.3, 0.42, -58, {0.93, 0.74, 0.30}},
    {"trumpets", GEAR_BRASS, 1.9, 0.30, 12, {0.94, 0.80, 0.40}},
    {"mellophones", GEAR_BRASS, 1.9, 0.48, 12, {0.88, 0.90, 0.93}},
    {"trombones", GEAR_BRASS, 3.4, 0.36, 8, {0.94, 0.80, 0.40}},
    {"baritones", GEAR_BRASS, 2.3, 0.50, 12, {0.90, 0.91, 0.93}},
    {"tubas", GEAR_BRASS, 3.0, 0.85, 14, {0.86, 0.88, 0.92}},
    {"snares", GEAR_SNARE, 0.75, 0.62, 0, {0.92, 0.92, 0.94}},
    {"tenors", GEAR_TENORS, 0.9, 0.45, 0, {0.92, 0.92, 0.94}},
    {"bass drums", GEAR_BASS, 1.2, 1.15, 0, {0.92, 0.92, 0.94}},
    {"color guard", GEAR_FLAG, 6.0, 0, 0, {0.86, 0.22, 0.40}},
    {"front ensemble", GEAR_MALLETS, 5.0, 0, 0, {0.45, 0.26, 0.14}},
    {"drum majors", GEAR_BATON, 0, 0, 0, {0.97, 0.97, 0.96}},
};

static const struct look plain = {"", GEAR_NONE, 0, 0, 0, {0.5, 0.5, 0.5}};

const struct look *look_of(const char *section)
{
    for (size_t i = 0; i < sizeof looks / sizeof *looks; i++)
        if (strcmp(looks[i].section, section) == 0)
            return &looks[i];
    return &plain;
}

/* The brush: everything is drawn in feet around the body and projected point by point. */
struct brush {
    cairo_t *cr;
    const struct view *view;
    double px; /* pixels per foot at this body */
};

static void color(const struct brush *b, struct tint t)
{
    cairo_set_source_rgb(b->cr, t.r, t.g, t.b);
}

static void to(const struct brush *b, struct vec p)
{
    const struct sight q = view_sees(b->view, p);
    cairo_line_to(b->cr, q.u + 0.5, q.v + 0.5);
}

static void bar(const struct brush *b, struct vec p, struct vec q, double thick_ft)
{
    to(b, p);
    to(b, q);
    cairo_set_line_width(b->cr, fmax(0.8, thick_ft * b->px));
    cairo_stroke(b->cr);
}

static void disc(const struct brush *b, struct vec p, double radius_ft)
{
    const struct sight q = view_sees(b->view, p);
    cairo_arc(b->cr, q.u + 0.5, q.v + 0.5, fmax(0.7, radius_ft * b->px), 0, 2 * M_PI);
    cairo_fill(b->cr);
}

static struct vec off(struct vec p, double x, double y, double z)
{
    return (struct vec){p.x + x, p.y + y, p.z + z};
}

static struct vec between(struct vec p, struct vec q, double u)
{
    return (struct vec){p.x + (q.x - p.x) * u, p.y + (q.y - p.y) * u, p.z + (q.z - p.z) * u};
}

/* The joints that everything hangs on. */
struct frame {
    struct vec hip, chest, head; /* middle of hips, of shoulders, of the head */
    double tall;                 /* 1 = 5 ft 9 in */
};

static struct frame joints(const struct stance *s, double build)
{
    struct frame f = {.tall = 0.95 + 0.09 * build};
    const double lean = s->lean_deg * M_PI / 180;
    f.hip = off(s->body, 0, 0, 2.9 * f.tall);
    f.chest = off(f.hip, 2.0 * f.tall * sin(lean), 0, 2.0 * f.tall * cos(lean));
    f.head = off(f.chest, 0.75 * sin(lean), 0, 0.72 * f.tall);
    return f;
}

/* Of a high sun. */
static void shadow(const struct brush *b, const struct stance *s)
{
    if (view_low_sun(b->view))
        return;
    cairo_set_source_rgba(b->cr, 0.05, 0.12, 0.04, 0.30);
    bar(b, off(s->body, 0.1, 0, 0), off(s->body, 2.9, 1.6, 0), 0.8);
}

static void legs(const struct brush *b, const struct frame *f, const struct stance *s, bool guard)
{
    const struct vec *foot[] = {&s->left, &s->right};
    for (int i = 0; i < 2; i++) {
        const struct vec hip = off(f->hip, i == 0 ? 0.28 : -0.28, 0, 0);
        struct vec knee = between(hip, *foot[i], 0.5);
        knee.y -= 0.9 * foot[i]->z;
        const struct vec ankle = off(*foot[i], 0, 0, 0.3);
        color(b, guard ? BLACK : TROUSERS);
        to(b, hip);
        to(b, knee);
        to(b, ankle);
        cairo_set_line_width(b->cr, 0.44 * b->px);
        cairo_stroke(b->cr);
        color(b, WHITE);
        bar(b, ankle, off(*foot[i], 0, -0.45, 0.08), 0.34);
    }
}

static void torso(const struct brush *b, const struct frame *f, struct tint cloth, bool sash)
{
    color(b, cloth);
    to(b, off(f->hip, 0.42, 0, -0.25));
    to(b, off(f->chest, 0.72, 0, 0));
    to(b, off(f->chest, 0.25, 0, 0.28));
    to(b, off(f->chest, -0.25, 0, 0.28));
    to(b, off(f->chest, -0.72, 0, 0));
    to(b, off(f->hip, -0.42, 0, -0.25));
    cairo_close_path(b->cr);
    cairo_fill(b->cr);
    if (sash) {
        color(b, WHITE);
        bar(b, off(f->chest, 0.5, -0.3, 0), off(f->hip, -0.36, -0.3, 0), 0.26);
    }
}

static void head(const struct brush *b, const struct frame *f, double build, bool hat)
{
    const double tone = 0.45 + 0.5 * fmod(build * 7.3, 1);
    color(b, (struct tint){0.95 * tone, 0.74 * tone, 0.60 * tone});
    disc(b, f->head, 0.40);
    if (!hat) {
        color(b, (struct tint){0.30 * tone, 0.18 * tone, 0.10 * tone});
        disc(b, off(f->head, 0, 0.1, 0.22), 0.36);
        return;
    }
    color(b, NAVY);
    bar(b, off(f->head, 0, 0, 0.30), off(f->head, 0, 0, 0.85), 0.78);
    color(b, WHITE);
    bar(b, off(f->head, 0, 0, 0.95), off(f->head, 0, 0, 1.55), 0.30);
}

static void arms(const struct brush *b, const struct frame *f, struct vec hands, double apart,
                 struct tint cloth)
{
    for (int side = -1; side <= 1; side += 2) {
        const struct vec shoulder = off(f->chest, 0.66 * side, 0, 0);
        const struct vec hand = off(hands, apart * side, 0, 0);
        struct vec elbow = between(shoulder, hand, 0.5);
        elbow.x += 0.35 * side;
        elbow.z -= 0.25;
        color(b, cloth);
        to(b, shoulder);
        to(b, elbow);
        to(b, hand);
        cairo_set_line_width(b->cr, 0.30 * b->px);
        cairo_stroke(b->cr);
    }
}

/* A horn swings from the carry (upright before the chest) to its angle at the lips. */
static void horn(const struct brush *b, const struct frame *f, const struct look *look,
                 const struct stance *s)
{
    const double down_deg = -82, up_deg = look->up_deg + s->horn_deg;
    const double angle = (down_deg + (up_deg - down_deg) * s->horn) * M_PI / 180;
    const struct vec lips = off(f->head, 0, -0.42, -0.12), carry = off(f->chest, 0, -0.9, 0.15);
    const struct vec mouth = between(carry, lips, s->horn);
    const struct vec bell =
        off(mouth, 0, -look->length_ft * cos(angle), look->length_ft * sin(angle));
    arms(b, f, between(mouth, bell, 0.42), 0.12, NAVY);
    color(b, look->metal);
    bar(b, mouth, bell, look->length_ft > 2.6 ? 0.30 : 0.24);
    if (look->bell_ft <= 0)
        return;
    disc(b, bell, look->bell_ft);
    color(b, (struct tint){look->metal.r * 0.45, look->metal.g * 0.42, look->metal.b * 0.40});
    disc(b, bell, look->bell_ft * 0.55);
}

static void flute(const struct brush *b, const struct frame *f, const struct look *look,
                  const struct stance *s)
{
    const double angle = (-75 + (75 + s->horn_deg - 4) * s->horn) * M_PI / 180;
    const struct vec lips = off(f->head, 0.3, -0.42, -0.15), carry = off(f->chest, 0.3, -0.5, 0);
    const struct vec end = between(carry, lips, s->horn);
    const struct vec foot =
        off(end, -look->length_ft * cos(angle), 0, look->length_ft * sin(angle));
    arms(b, f, between(end, foot, 0.5), 0.3, NAVY);
    color(b, look->metal);
    bar(b, end, foot, 0.16);
}

static void drum(const struct brush *b, const struct frame *f, const struct look *look,
                 const struct stance *s)
{
    const double stroke = 0.35 * fabs(sin(M_PI * s->beat));
    const struct vec middle = off(f->hip, 0, -1.1, 0.45);
    color(b, look->metal);
    if (look->gear == GEAR_BASS) {
        disc(b, off(middle, 0, 0, 0.4), look->bell_ft);
        color(b, NAVY);
        disc(b, off(middle, 0, -0.1, 0.4), look->bell_ft * 0.82);
        arms(b, f, off(middle, 0, -0.2, 0.6 + stroke), 1.1, NAVY);
        return;
    }
    const int drums = look->gear == GEAR_TENORS ? 4 : 1;
    for (int i = 0; i < drums; i++) {
        const struct vec at = off(middle, 0.9 * (i - (drums - 1) / 2.0), 0, 0);
        color(b, NAVY);
        bar(b, off(at, 0, 0, -look->length_ft / 2), off(at, 0, 0, look->length_ft / 2),
            2 * look->bell_ft);
        color(b, look->metal);
        bar(b, off(at, -look->bell_ft * 0.8, 0, look->length_ft / 2),
            off(at, look->bell_ft * 0.8, 0, look->length_ft / 2), 0.4);
    }
    arms(b, f, off(middle, 0, -0.1, 0.6 + stroke), 0.4, NAVY);
}

static void silk(const struct brush *b, struct vec low, struct vec high, struct tint cloth)
{
    const double dx = high.x - low.x, dz = high.z - low.z, n = hypot(dx, dz);
    const struct vec hang = {dz / n * 3.0, 0, -fabs(dx) / n * 3.0 - 0.6};
    const struct vec from = between(low, high, 0.50);
    color(b, cloth);
    to(b, high);
    to(b, off(high, hang.x, 0, hang.z));
    to(b, off(from, hang.x * 0.9, 0, hang.z));
    to(b, from);
    cairo_close_path(b->cr);
    cairo_fill(b->cr);
}

static void flag(const struct brush *b, const struct frame *f, const struct look *look,
                 const struct stance *s)
{
    if (s->dropped) {
        const struct vec low = off(s->body, -1.5, -2.2, 0.1), high = off(low, 5, -0.6, 0.05);
        silk(b, low, high, look->metal);
        color(b, SILVER);
        bar(b, low, high, 0.14);
        arms(b, f, off(f->hip, 0, 0, -0.1), 0.75, TEAL);
        return;
    }
    const double angle = s->flag_deg * M_PI / 180;
    const struct vec grip = off(f->chest, 0, -0.6, -0.3);
    const struct vec low = off(grip, -2.0 * sin(angle), 0, -2.0 * cos(angle));
    const struct vec high =
        off(grip, (look->length_ft - 2.0) * sin(angle), 0, (look->length_ft - 2.0) * cos(angle));
    silk(b, low, high, look->metal);
    color(b, SILVER);
    bar(b, low, high, 0.14);
    arms(b, f, grip, 0.2, TEAL);
}

static void mallets(const struct brush *b, const struct frame *f, const struct look *look,
                    const struct stance *s)
{
    const double half = look->length_ft / 2, stroke = 0.3 * fabs(sin(M_PI * s->beat));
    const struct vec table = off(s->body, 0, -2.2, 2.9);
    arms(b, f, off(table, 0, 0.3, 0.3 + stroke), 0.8, NAVY);
    color(b, BLACK);
    bar(b, off(table, -half * 0.85, 0, -2.9), off(table, -half * 0.85, 0, 0), 0.2);
    bar(b, off(table, half * 0.85, 0, -2.9), off(table, half * 0.85, 0, 0), 0.2);
    color(b, look->metal);
    to(b, off(table, -half, -0.9, 0));
    to(b, off(table, half, -0.5, 0));
    to(b, off(table, half, 0.5, 0));
    to(b, off(table, -half, 0.9, 0));
    cairo_close_path(b->cr);
    cairo_fill(b->cr);
    color(b, GOLD);
    bar(b, off(table, -half, -0.9, -0.4), off(table, half, -0.5, -0.4), 0.3);
}

static void conductor(const struct brush *b, const struct frame *f, const struct stance *s)
{
    const double up = 0.9 * fabs(cos(M_PI * s->beat));
    color(b, (struct tint){0.55, 0.56, 0.58});
    bar(b, off(s->body, 0, 0, 0), off(s->body, 0, 0, -0.1), 4);
    arms(b, f, off(f->chest, 0, -0.7, up - 0.1), 0.9, WHITE);
}

static void gear(const struct brush *b, const struct frame *f, const struct look *look,
                 const struct stance *s)
{
    switch (look->gear) {
    case GEAR_BRASS:
    case GEAR_REED:
        horn(b, f, look, s);
        break;
    case GEAR_FLUTE:
        flute(b, f, look, s);
        break;
    case GEAR_SNARE:
    case GEAR_TENORS:
    case GEAR_BASS:
        drum(b, f, look, s);
        break;
    case GEAR_FLAG:
        flag(b, f, look, s);
        break;
    case GEAR_MALLETS:
        mallets(b, f, look, s);
        break;
    case GEAR_BATON:
        conductor(b, f, s);
        break;
    case GEAR_NONE:
        arms(b, f, off(f->hip, 0, 0, 0), 0.7, NAVY);
        break;
    }
}

/* Generous: shadow and instruments included. */
static void touch(struct canvas *canvas, const struct brush *b, const struct look *look,
                  const struct stance *s)
{
    const bool wide = look->gear == GEAR_FLAG;
    const double left = wide ? 7 : 3.6, right = wide ? 7 : 4.2, up = wide ? 10 : 7.8;
    const struct sight ground = view_sees(b->view, s->body);
    canvas_touch(canvas, ground.u - left * b->px, ground.v - up * b->px, ground.u + right * b->px,
                 ground.v + 3.2 * b->px);
}

/* Whole bodies: what stands well outside of the picture is not drawn. */
static bool in_sight(const struct view *w, struct vec body)
{
    const struct sight p = view_sees(w, body);
    const double margin = 60 * p.scale;
    return p.scale > 0 && p.u > -margin && p.u < w->width + margin && p.v > -margin &&
           p.v < w->height + margin;
}

void figure_shadow(struct canvas *canvas, const struct view *w, const struct stance *s)
{
    static const double TALL_FT = 5.9;
    const struct vec end = off(s->body, TALL_FT * w->shade_x, TALL_FT * w->shade_y, 0);
    const struct sight from = view_sees(w, s->body), to = view_sees(w, end);
    const struct brush b = {canvas->cr, w, from.scale};
    if (from.scale <= 0 || to.scale <= 0)
        return;
    bar(&b, s->body, end, 1.2);
    canvas_touch(canvas, fmin(from.u, to.u) - b.px, fmin(from.v, to.v) - b.px,
                 fmax(from.u, to.u) + b.px, fmax(from.v, to.v) + b.px);
}

void figure_draw(struct canvas *canvas, const struct view *w, const struct look *look,
                 const struct stance *s, double build)
{
    const struct brush b = {canvas->cr, w, view_sees(w, off(s->body, 0, 0, 3)).scale};
    if (!w->plain && !in_sight(w, s->body))
        return;
    const struct frame f = joints(s, build);
    const bool guard = look->gear == GEAR_FLAG, pit = look->gear == GEAR_MALLETS;
    touch(canvas, &b, look, s);
    shadow(&b, s);
    legs(&b, &f, s, guard);
    torso(&b, &f, guard ? TEAL : look->gear == GEAR_BATON ? WHITE : NAVY, !guard && !pit);
    head(&b, &f, build, !guard && !pit);
    gear(&b, &f, look, s);
}
