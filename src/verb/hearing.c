/* What hearing a commentary and hearing a recording share. */
#include "verb/hearing.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "count/timecode.h"
#include "paper/drafts.h"

/* --- where it lies in the clip ------------------------------------------------------------------ */

static bool read_time(const char *text, int64_t *us, struct err *e)
{
    while (*text == ' ')
        text++;
    return *text == '-' || *text == '+' ? time_parse_shift(text, us, e) : time_parse(text, us, e);
}

struct said_at {
    int64_t said_us, clip_us;
};

/* "0:12", where the commentary's 0:00 is in the clip, or "1:05=1:17.5", a moment of both. */
static bool read_tie(struct call *c, const char *text, struct said_at *out, struct err *e)
{
    const char *equals = strchr(text, '=');
    out->said_us = 0;
    if (equals &&
        !read_time(arena_strndup(&c->memory, text, (size_t)(equals - text)), &out->said_us, e))
        return err_in(e, "hear: --at %s", text);
    return read_time(equals ? equals + 1 : text, &out->clip_us, e) ||
           err_in(e, "hear: --at %s", text);
}

static bool read_clock(struct call *c, struct talk_clock *out, struct err *e)
{
    size_t n;
    const char **at = call_values(c, "at", &n);
    struct said_at tie[2] = {0};
    if (n > 2)
        return err_set(e, ERR_USAGE,
                       "hear: --at was given %zu times; once says where it begins, "
                       "twice how fast it runs too",
                       n);
    for (size_t i = 0; i < n; i++)
        if (!read_tie(c, at[i], &tie[i], e))
            return false;
    out->rate = 1;
    if (n == 2) {
        const double said = (double)(tie[1].said_us - tie[0].said_us);
        out->rate = (double)(tie[1].clip_us - tie[0].clip_us) / said;
        if (!(said != 0 && out->rate >= 0.5 && out->rate <= 2))
            return err_set(
                e, ERR_USAGE,
                "hear: --at %s and --at %s: the clip would run %.3g times as fast as the "
                "commentary; write each as COMMENTARY=CLIP, in the same order",
                at[0], at[1], said != 0 ? out->rate : 0);
    }
    out->offset_us = tie[0].clip_us - (int64_t)llround((double)tie[0].said_us * out->rate);
    return true;
}

static bool read_lead(struct call *c, struct app *app, struct talk_clock *out, struct err *e)
{
    long ms;
    out->lead_us = hear_lead_us(app, &c->memory);
    if (!call_number(c, "lead", (struct call_range){0, 10000, (long)(out->lead_us / 1000)}, &ms, e))
        return false;
    out->lead_us = (int64_t)ms * 1000;
    return true;
}

static bool read_confidence(struct call *c, double *out, struct err *e)
{
    const char *text = call_value(c, "accept");
    char *end;
    *out = -1;
    if (!text)
        return true;
    *out = strtod(text, &end);
    const bool percent = strcmp(end, "%") == 0 || (*end == '\0' && *out > 1);
    *out /= percent ? 100 : 1;
    if (end == text || (*end && strcmp(end, "%") != 0) || !(*out >= 0 && *out <= 1))
        return err_set(
            e, ERR_USAGE,
            "hear: --accept %s is no confidence; write 0 to 1, as in --accept 0.8, or 80%%", text);
    return !call_value(c, "as") ||
           err_set(e, ERR_USAGE, "hear: --as only shows the drafts; leave it out to accept some");
}

bool hearing_clock(struct call *c, struct app *app, struct talk_clock *out, struct err *e)
{
    double at_least;
    return read_confidence(c, &at_least, e) && read_clock(c, out, e) && read_lead(c, app, out, e);
}

/* --- what is said of it ------------------------------------------------------------------------- */

static void put_length(const struct hear_choice *how, char out[24])
{
    time_format_short(how->clip->length_us, out);
}

/* A wrong --at would take all drafts away that wait. */
static bool within(const struct heard_talk *h, const struct hear_choice *how, struct err *e)
{
    char length[24];
    put_length(how, length);
    return h->drafts.n > 0 || h->outside == 0 ||
           err_set(e, ERR_INPUT,
                   "%s: all of its %zu remarks lie outside the clip (%s long); --at says where the "
                   "commentary begins",
                   how->file.source, h->outside, length);
}

static void say_outside(struct call *c, const struct heard_talk *h, const struct hear_choice *how)
{
    if (h->outside > 0) {
        char length[24];
        put_length(how, length);
        buf_printf(&c->talk,
                   "%s: %zu remark%s outside the clip (%s long), left out; --at says where the "
                   "commentary begins\n",
                   how->file.source, h->outside, h->outside == 1 ? " lies" : "s lie", length);
    }
}

static void say_report(struct call *c, const struct drafts_report *r)
{
    buf_printf(&c->talk, "%zu draft%s added", r->added, r->added == 1 ? "" : "s");
    if (r->renewed)
        buf_printf(&c->talk, ", %zu brought up to date", r->renewed);
    if (r->gone)
        buf_printf(&c->talk, ", %zu not proposed any more", r->gone);
    if (r->twice)
        buf_printf(&c->talk, ", %zu that another file proposed already", r->twice);
    if (r->kept)
        buf_printf(&c->talk, ", %zu settled before and left as they are", r->kept);
    buf_char(&c->talk, '\n');
}

static bool accept(struct call *c, struct app *app, int64_t clip, double at_least, struct err *e)
{
    struct drafts_accepted done;
    if (!app_drafts_accept(app, clip, at_least, &done, e))
        return false;
    buf_printf(&c->talk, "%zu became mark%s", done.accepted, done.accepted == 1 ? "" : "s");
    if (done.below)
        buf_printf(&c->talk, ", %zu less sure wait", done.below);
    if (done.lacking)
        buf_printf(&c->talk, ", %zu without a fault wait", done.lacking);
    buf_char(&c->talk, '\n');
    return true;
}

static bool keep(struct call *c, struct app *app, const struct hear_choice *how,
                 const struct heard_talk *h, struct err *e)
{
    double at_least;
    struct drafts_report r;
    struct draft_counts n;
    if (!read_confidence(c, &at_least, e) || !app_hear_keep(app, how, h, &r, e))
        return false;
    say_report(c, &r);
    if (at_least >= 0)
        return accept(c, app, how->clip->id, at_least, e);
    if (!store_draft_counts(app->store, how->clip->id, &n, e))
        return false;
    if (n.waiting > 0)
        buf_printf(&c->talk, "%lld wait for '%s': open the show to look at each\n",
                   (long long)n.waiting, how->clip->label);
    return true;
}

bool hearing_out(struct call *c, struct app *app, const struct hear_choice *how,
                 const struct heard_talk *h, struct err *e)
{
    static const enum format can[] = {AS_TEXT, AS_CSV, AS_JSON};
    static void (*const writers[])(const struct show *, const struct draft_list *, struct buf *) = {
        [AS_TEXT] = drafts_text, [AS_CSV] = drafts_csv, [AS_JSON] = drafts_json};
    enum format as;
    if (!call_format(c, can, sizeof can / sizeof *can, &as, e) || !within(h, how, e))
        return false;
    say_outside(c, h, how);
    if (!call_value(c, "as"))
        return keep(c, app, how, h, e);
    writers[as](&app->show, &h->drafts, &c->out);
    return true;
}
