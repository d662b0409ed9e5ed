/* The rep plan as a calendar (RFC 5545). libical writes it: it escapes, folds and ends the lines. */
#include "paper/plan_ics.h"

#include <string.h>

#include "paper/libical.h"

/* --- times --------------------------------------------------------------------------------------- */

static struct icaltimetype ical_time(int64_t seconds, bool utc)
{
    const struct civil t = civil_of(seconds);
    return (struct icaltimetype){.year = t.year,
                                 .month = t.month,
                                 .day = t.day,
                                 .hour = t.hour,
                                 .minute = t.minute,
                                 .second = t.second,
                                 .zone = utc ? icaltimezone_get_utc_timezone() : NULL};
}

static void add_time(const struct plan_calendar *c, icalcomponent *to, icalproperty *p, bool utc)
{
    if (c->zone && !utc)
        icalproperty_add_parameter(p, icalparameter_new_tzid(c->zone));
    icalcomponent_add_property(to, p);
}

/* Of the hour that clocks show twice, local times can only say the first: the second is said in UTC,
 * both ends alike. */
static void add_times(const struct plan_calendar *c, icalcomponent *event, int64_t from, int64_t to)
{
    const bool utc =
        c->zone && (zone_shown_twice(&c->spans, from) || zone_shown_twice(&c->spans, to));
    add_time(c, event,
             icalproperty_new_dtstart(ical_time(utc ? from : plan_ics_shown(c, from), utc)), utc);
    add_time(c, event, icalproperty_new_dtend(ical_time(utc ? to : plan_ics_shown(c, to), utc)),
             utc);
}

/* --- the zone ------------------------------------------------------------------------------------ */

/* Its beginning is the local time that clocks showed until then (3.6.5). */
static icalcomponent *observance(const struct zone_span *s)
{
    icalcomponent *o =
        icalcomponent_new(s->summer ? ICAL_XDAYLIGHT_COMPONENT : ICAL_XSTANDARD_COMPONENT);
    const int64_t from = s->from == ZONE_ALWAYS ? 0 : s->from + s->before_s;
    icalcomponent_add_property(o, icalproperty_new_dtstart(ical_time(from, false)));
    icalcomponent_add_property(o, icalproperty_new_tzoffsetfrom(s->before_s));
    icalcomponent_add_property(o, icalproperty_new_tzoffsetto(s->offset_s));
    icalcomponent_add_property(o, icalproperty_new_tzname(s->name));
    return o;
}

static void add_zone(const struct plan_calendar *c, icalcomponent *calendar)
{
    icalcomponent *zone = icalcomponent_new(ICAL_VTIMEZONE_COMPONENT);
    icalcomponent_add_property(zone, icalproperty_new_tzid(c->zone));
    for (size_t i = 0; i < c->spans.n; i++)
        icalcomponent_add_component(zone, observance(&c->spans.at[i]));
    icalcomponent_add_component(calendar, zone);
}

/* --- events -------------------------------------------------------------------------------------- */

enum event_is { FRAME, BLOCK, GONE };

/* Only the rehearsal takes time from whoever asks who is free (3.8.2.7): its blocks lie within it, and
 * each would be booked beside it. */
static icalcomponent *event_new(const struct plan_calendar *c, const char *uid, enum event_is is)
{
    icalcomponent *event = icalcomponent_new(ICAL_VEVENT_COMPONENT);
    const struct icaltimetype made = ical_time(c->events->made_ms / 1000, true);
    icalcomponent_add_property(event, icalproperty_new_uid(uid));
    icalcomponent_add_property(event, icalproperty_new_dtstamp(made));
    icalcomponent_add_property(event, icalproperty_new_lastmodified(made));
    icalcomponent_add_property(event, icalproperty_new_sequence(c->events->sequence));
    icalcomponent_add_property(
        event, icalproperty_new_status(is == GONE ? ICAL_STATUS_CANCELLED : ICAL_STATUS_CONFIRMED));
    icalcomponent_add_property(
        event, icalproperty_new_transp(is == FRAME ? ICAL_TRANSP_OPAQUE : ICAL_TRANSP_TRANSPARENT));
    return event;
}

/* From start to end: title, what is when, every caution. */
static void add_frame(const struct plan_calendar *c, icalcomponent *calendar)
{
    const struct plan_report *r = c->paper->r;
    const struct plan_event which = plan_event_frame();
    const int64_t from = plan_ics_moment(c, r->plan.start_min, 0);
    char uid[EVENT_UID];
    struct buf text = {0};
    plan_event_uid(c->events->show_uuid, r->date, &which, uid);
    icalcomponent *event = event_new(c, uid, FRAME);
    add_times(c, event, from, from + r->plan.seconds);
    plan_ics_frame_summary(c->paper, &text);
    icalcomponent_add_property(event, icalproperty_new_summary(buf_text(&text)));
    buf_clear(&text);
    plan_ics_frame(c, &text);
    icalcomponent_add_property(event, icalproperty_new_description(buf_text(&text)));
    icalcomponent_add_component(calendar, event);
    buf_free(&text);
}

static void add_block(const struct plan_calendar *c, size_t i, icalcomponent *calendar)
{
    const struct plan_report *r = c->paper->r;
    const struct plan_block *b = &r->plan.blocks[i];
    const struct plan_event which = plan_event_of(r, i);
    char uid[EVENT_UID];
    struct buf text = {0};
    plan_event_uid(c->events->show_uuid, r->date, &which, uid);
    icalcomponent *event = event_new(c, uid, BLOCK);
    const int64_t from = plan_ics_moment(c, r->plan.start_min, b->start_s);
    add_times(c, event, from, from + b->seconds);
    plan_ics_summary(c->paper, b, &text);
    icalcomponent_add_property(event, icalproperty_new_summary(buf_text(&text)));
    buf_clear(&text);
    plan_ics_description(c, b, &text);
    if (text.n)
        icalcomponent_add_property(event, icalproperty_new_description(text.p));
    icalcomponent_add_component(calendar, event);
    buf_free(&text);
}

static bool gone_on_paper(const struct plan_paper *p, const struct plan_gone *g)
{
    bool theirs = !*g->who || !p->parts.at;
    for (size_t i = 0; p->parts.at && i < p->parts.n; i++)
        theirs |= strcmp(p->r->in.groups[p->parts.at[i]].name, g->who) == 0;
    return theirs;
}

static void add_gone(const struct plan_calendar *c, const struct plan_gone *g,
                     icalcomponent *calendar)
{
    icalcomponent *event = event_new(c, g->uid, GONE);
    const int64_t from = plan_ics_moment(c, g->start_min, g->start_s);
    add_times(c, event, from, from + g->seconds);
    icalcomponent_add_property(event, icalproperty_new_summary(g->title));
    icalcomponent_add_component(calendar, event);
}

bool plan_ics(const struct plan_calendar *c, struct buf *out, struct err *e)
{
    const struct plan_report *r = c->paper->r;
    if (!libical_load(e))
        return false;
    icalcomponent *calendar = icalcomponent_new(ICAL_VCALENDAR_COMPONENT);
    icalcomponent_add_property(calendar, icalproperty_new_version("2.0"));
    icalcomponent_add_property(calendar, icalproperty_new_prodid("-//boxcall//rep plan//EN"));
    if (c->zone)
        add_zone(c, calendar);
    if (r->plan.n_blocks)
        add_frame(c, calendar);
    for (size_t i = 0; i < r->plan.n_blocks; i++)
        if (plan_on_paper(c->paper, &r->plan.blocks[i]))
            add_block(c, i, calendar);
    for (size_t i = 0; i < c->events->n_gone; i++)
        if (gone_on_paper(c->paper, &c->events->gone[i]))
            add_gone(c, &c->events->gone[i], calendar);
    char *text = icalcomponent_as_ical_string_r(calendar);
    if (text)
        buf_str(out, text);
    icalmemory_free_buffer(text);
    icalcomponent_free(calendar);
    return text || err_set(e, ERR_FAILED, "the calendar cannot be written; install libical again");
}
