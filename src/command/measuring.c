#include "command/measuring.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "command/command.h"
#include "command/ground.h"
#include "command/line.h"
#include "command/measuring_mark.h"
#include "command/measuring_pick.h"
#include "command/measuring_say.h"
#include "command/playing.h"

static void begun(void *mine);
static void left(struct desk *d, void *mine);
static void after_read(struct desk *d, void *mine);
static bool work(struct desk *d, void *mine);
static void finished(struct desk *d, void *mine);

static const struct part part = {.size = sizeof(struct measuring),
                                 .begin = begun,
                                 .clip_left = left,
                                 .after_read = after_read,
                                 .work = work,
                                 .end = finished};

static struct measuring *measuring(const struct desk *d)
{
    return desk_part(d, &part);
}

const struct measuring *measuring_open(const struct desk *d)
{
    return measuring(d)->hold.kind ? measuring(d) : NULL;
}

const char *measuring_name(enum measuring_as as)
{
    static const char *const names[MEASURING_WAYS] = {"gaps", "line", "arc", "form", "angle"};
    return names[as];
}

static void begun(void *mine)
{
    ((struct measuring *)mine)->side = 1;
}

/* --- the crosshair --------------------------------------------------------------------------------- */

static void hold_in(const struct desk *d, struct pixel *p)
{
    p->x = fmin(fmax(p->x, 0), desk_current(d)->width);
    p->y = fmin(fmax(p->y, 0), desk_current(d)->height);
}

static bool move_key(struct desk *d, struct measuring *m, const char *key)
{
    static const struct {
        const char *key;
        int x, y;
    } ways[] = {{"Left", -1, 0}, {"Right", 1, 0}, {"Up", 0, -1}, {"Down", 0, 1}};
    const bool fine = strncmp(key, "Shift-", 6) == 0;
    const double step = fine ? 1 : desk_current(d)->width / 40.0 / (1 << m->zoom);
    for (size_t i = 0; i < sizeof ways / sizeof *ways; i++)
        if (strcmp(fine ? key + 6 : key, ways[i].key) == 0) {
            m->cross.x += ways[i].x * step;
            m->cross.y += ways[i].y * step;
            hold_in(d, &m->cross);
            m->sd = CLICK_SD_PX * desk_current(d)->height / 1080;
            return true;
        }
    return false;
}

/* --- clicks ------------------------------------------------------------------------------------------ */

static void end(struct desk *d, bool keep);

static void say_whom(struct desk *d, struct measuring *m)
{
    struct arena mem = {0};
    m->at[0] = (struct measuring_click){m->cross, d->play.at_us, m->sd};
    m->n = 1;
    const int who = measuring_who(d, m, 0, &mem);
    arena_free(&mem);
    if (who < 0) {
        measuring_say(d, m);
        desk_trouble(d, "it is not clear who stands there; type it");
        return;
    }
    void (*whom)(struct desk *, int) = m->whom;
    end(d, false);
    d->message[0] = '\0';
    whom(d, who);
}

static void click(struct desk *d, struct measuring *m)
{
    hold_in(d, &m->cross);
    if (m->whom)
        say_whom(d, m);
    else if (m->pointing)
        measuring_name_pick(d, m);
    else if (m->n == MEASURING_MOST)
        desk_trouble(d, "that is enough; Backspace takes the last click back");
    else {
        m->at[m->n++] = (struct measuring_click){m->cross, d->play.at_us, m->sd};
        measuring_say(d, m);
    }
}

bool measuring_clicked(struct desk *d, double x, double y, double sd_px)
{
    struct measuring *m = measuring(d);
    const struct clip *c = desk_current(d);
    if (!m->hold.kind || !c)
        return false;
    m->cross = (struct pixel){x * c->width, y * c->height};
    m->sd = fmax(sd_px, CLICK_SD_PX * c->height / 1080);
    m->naming = false;
    click(d, m);
    return true;
}

static void back(struct desk *d, struct measuring *m)
{
    if (m->pointing) {
        measuring_take_off(d);
        return;
    }
    if (m->n > 0)
        m->n--;
    measuring_say(d, m);
}

/* --- a mark of it -------------------------------------------------------------------------------------- */

static void mark_typed(struct desk *d, const char *text)
{
    struct measuring *m = measuring(d);
    if (!*text)
        return;
    if (m->n == 0 || !desk_current(d))
        desk_trouble(d, "what was measured is gone; nothing was marked");
    else
        measuring_mark(d, m, text);
}

static const struct line_kind mark_line = {
    .label = " mark whom, and what:", .offered = true, .done = mark_typed};

static void ask_mark(struct desk *d, struct measuring *m)
{
    struct buf offer = {0};
    if (m->n == 0)
        desk_trouble(d, "click on feet first; then Enter marks what was measured");
    else {
        measuring_offer(d, m, &offer);
        line_ask(d, &mark_line, "%s", buf_text(&offer));
    }
    buf_free(&offer);
}

/* --- the hold -------------------------------------------------------------------------------------------- */

static void switch_to(struct desk *d, struct measuring *m, enum measuring_as as)
{
    m->pointing = false;
    m->as = as;
    measuring_say(d, m);
}

static bool letter_key(struct desk *d, struct measuring *m, char key)
{
    switch (key) {
    case 'g':
    case 'l':
    case 'a':
    case 'f':
    case 'n':
        switch_to(d, m,
                  key == 'g'   ? MEASURING_GAPS
                  : key == 'l' ? MEASURING_LINE
                  : key == 'a' ? MEASURING_ARC
                  : key == 'f' ? MEASURING_FORM
                               : MEASURING_ANGLE);
        break;
    case 'p':
        m->pointing = !m->pointing;
        break;
    case 'z':
        if (d->view == PLAYER_WINDOW)
            desk_say(d, "the window's picture is as large as the window is made");
        else
            m->zoom = (m->zoom + 1) % (MEASURING_ZOOMS + 1);
        break;
    case 'x':
        m->n = 0;
        measuring_say(d, m);
        break;
    case ',':
        command_step(d, "-1");
        break;
    case '.':
        command_step(d, "+1");
        break;
    default:
        return isalpha((unsigned char)key);
    }
    return true;
}

static bool key(struct desk *d, const char *k)
{
    struct measuring *m = measuring(d);
    if (!desk_current(d))
        return false;
    if (*k && strcmp(k, "Esc") != 0)
        d->message[0] = '\0';
    if (!m->naming && m->pointing && isdigit((unsigned char)k[0]) && !k[1])
        measuring_name_pick(d, m); /* it names what the crosshair is on */
    if (m->naming && measuring_naming_key(d, m, k))
        return true;
    if (move_key(d, m, k))
        return true;
    if (strcmp(k, "Space") == 0)
        click(d, m);
    else if (strcmp(k, "Backspace") == 0)
        back(d, m);
    else if (strcmp(k, "Tab") == 0 && m->pointing)
        measuring_next_likely(d, m);
    else if (strcmp(k, "Enter") == 0 && !m->pointing && !m->whom)
        ask_mark(d, m);
    else if (strcmp(k, "Esc") == 0)
        end(d, false);
    else
        return k[0] && !k[1] && letter_key(d, m, (char)tolower((unsigned char)k[0]));
    return true;
}

static void drop(struct desk *d)
{
    struct measuring *m = measuring(d);
    arena_free(&m->memory);
    buf_free(&m->said);
    m->measured = (struct measured){0};
    m->fitted = m->naming = false;
    m->whom = NULL;
    m->within = 0;
    m->n = 0;
    m->zoom = 0;
    m->stale = false;
    hold_end(d, &m->hold);
}

static void end(struct desk *d, bool keep)
{
    (void)keep;
    drop(d);
}

/* Something was taken back, or marked: what was clicked on stays. A chord that asked who stands there
 * is gone. */
static void something_else(struct desk *d)
{
    struct measuring *m = measuring(d);
    m->naming = false;
    if (m->whom)
        drop(d);
}

static const struct hold_kind holding = {
    .key = key, .end = end, .screen_left = drop, .drop = something_else};

static void left(struct desk *d, void *mine)
{
    if (((struct measuring *)mine)->hold.kind)
        drop(d);
}

static void after_read(struct desk *d, void *mine)
{
    struct measuring *m = mine;
    if (!m->hold.kind)
        return;
    m->stale = true; /* who it was is asked once the clip's ties are read, too */
    if (!desk_current(d))
        drop(d);
}

/* What the clicks say follows the show, and the field as it is found. */
static bool work(struct desk *d, void *mine)
{
    struct measuring *m = mine;
    const struct field_view *v = m->hold.kind ? ground_view(d) : NULL;
    const int known = v ? (int)v->by : 0;
    if (!m->hold.kind || !(m->stale || known != m->known))
        return false;
    m->stale = false;
    m->known = known;
    measuring_say(d, m);
    return true;
}

static void finished(struct desk *d, void *mine)
{
    struct measuring *m = mine;
    (void)d;
    arena_free(&m->memory);
    buf_free(&m->said);
}

static bool enter(struct desk *d)
{
    struct measuring *m = measuring(d);
    const struct clip *c = desk_current(d);
    if (!playing_ready(d))
        return false;
    if (!c || !d->play.has_video || c->width <= 0) {
        desk_trouble(d, "there is no picture to measure in");
        return false;
    }
    if (d->play.playing)
        command_play(d, "");
    if (!m->hold.kind)
        m->cross = (struct pixel){c->width / 2.0, c->height / 2.0};
    m->sd = CLICK_SD_PX * c->height / 1080;
    m->clip_width = c->width;
    m->clip_height = c->height;
    hold_begin(d, &m->hold, &holding);
    return true;
}

void command_measure(struct desk *d, const char *arg)
{
    struct measuring *m = measuring(d);
    const struct field_view *v;
    (void)arg;
    if (m->hold.kind) {
        end(d, false);
        return;
    }
    if (!enter(d))
        return;
    v = ground_view(d);
    /* with four picks it is only being found */
    m->pointing = !v || (v->by == FIELD_UNKNOWN && v->picks.n < 4);
    ground_work(d);
    if (!m->pointing && v->by == FIELD_UNKNOWN)
        desk_say(d, "finding the field by the picks that are there ...");
    if (m->pointing)
        desk_say(
            d, "where is the field? point at four crossings of its lines, roughly, and name each");
}

/* Why a click could not say who stands there; false: it could. */
static bool nobody_to_find(struct desk *d)
{
    const struct field_view *v = ground_view(d);
    struct seen_by by;
    struct err e;
    if (d->app->show.n_dots == 0)
        desk_trouble(d, "the show has no dots yet, so a click says nobody; type who it is");
    else if (d->ties.n == 0)
        desk_trouble(d,
                     "the clip is not tied to the drill, so a click says nobody; type who it is");
    else if (!v || v->by == FIELD_UNKNOWN)
        desk_trouble(
            d, "the field is not known in this picture, so a click says nobody; %s points at it",
            keymap_key_of(&d->keys, "review", "measure"));
    else if (!app_field_seen(v, d->play.at_us, &by, NULL, &e))
        desk_trouble(d, "%s", e.text);
    else
        return false;
    return true;
}

void measuring_whom(struct desk *d, int within, void (*whom)(struct desk *d, int performer))
{
    struct measuring *m = measuring(d);
    if (nobody_to_find(d) || !enter(d))
        return;
    m->pointing = false;
    m->whom = whom;
    m->within = within >= 0 ? d->app->show.sections[within].id : 0;
    desk_say(d, "who? arrows move, Space says, Esc goes back");
}
