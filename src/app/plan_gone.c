#include "app/plan_gone.h"

#include <inttypes.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/utf8.h"
#include "base/zone.h"
#include "sys/clock.h"

/* Sequence numbers go by seconds since 2020, so that they rise from one copy of a show to another
 * as well, and by one where the clock did not go on. */
#define EPOCH_MS INT64_C(1577836800000)

enum { MOST = 2000, CELLS = 6, TWO_DAYS_S = 2 * DAY_S };

/* --- what the setting says ---------------------------------------------------------------------- */

static const char *key_of(const char *date, char key[40])
{
    snprintf(key, 40, "events %.10s", date);
    return key;
}

bool plan_in_a_rehearsal(int start_min, int start_s, int seconds)
{
    return start_min >= 0 && start_min < DAY_S / 60 && start_s >= 0 && start_s < TWO_DAYS_S &&
           seconds > 0 && seconds < TWO_DAYS_S;
}

/* What is added last of one UID counts. */
static void add(struct plan_known *k, const struct plan_gone *event)
{
    size_t i = 0;
    while (i < k->n && strcmp(k->at[i].uid, event->uid) != 0)
        i++;
    if (i == MOST || !plan_in_a_rehearsal(event->start_min, event->start_s, event->seconds))
        return;
    if (i == k->n) {
        k->at = array_grow(k->at, k->n, &k->cap, sizeof *k->at);
        k->n++;
    }
    k->at[i] = *event;
}

static void read_line(struct plan_known *k, char *line)
{
    char *cells[CELLS] = {line};
    int n = 1;
    for (char *tab = strchr(line, '\t'); tab && n < CELLS; tab = strchr(tab + 1, '\t'), n++) {
        *tab = '\0';
        cells[n] = tab + 1;
    }
    if (n == CELLS && strlen(cells[0]) == EVENT_UID - 1 &&
        strspn(cells[0], "0123456789abcdef-") == EVENT_UID - 1)
        add(k, &(struct plan_gone){cells[0], atoi(cells[1]), atoi(cells[2]), atoi(cells[3]),
                                   cells[4], cells[5]});
}

struct plan_known plan_known_read(struct store *s, const char *date, struct arena *mem)
{
    char key[40];
    struct plan_known k = {0};
    const char *kept = store_setting(s, mem, key_of(date, key));
    if (!kept)
        return k;
    char *rest = arena_strdup(mem, kept), *line = strsep(&rest, "\n"), *end;
    const long long sequence = strtoll(line, &end, 10);
    k.sequence = sequence > 0 && sequence < INT_MAX ? (int)sequence : 0;
    k.made_ms = strtoll(end, NULL, 10);
    while ((line = strsep(&rest, "\n")))
        read_line(&k, line);
    return k;
}

/* --- what a stored plan had --------------------------------------------------------------------- */

static const char *name_of(const struct rep_block *b)
{
    return b->kind == PLAN_SECTIONAL ? b->who : b->kind == PLAN_FIXED ? b->what : "";
}

static bool begins_block(const struct rep_plan *p, size_t row)
{
    return row == 0 || p->blocks[row].block != p->blocks[row - 1].block;
}

static bool was_done(const struct rep_plan *p, size_t row)
{
    const int block = p->blocks[row].block;
    for (size_t i = row; i < p->n_blocks && p->blocks[i].block == block; i++)
        if (p->blocks[i].reps_made >= 0)
            return true;
    return false;
}

/* In one line of cells. */
static const char *cell(const char *text, struct arena *mem)
{
    char *s = arena_strdup(mem, text);
    utf8_tame(s);
    return s;
}

static const char *title_of(const struct rep_block *b, struct arena *mem)
{
    const char *last = strrchr(b->sets, ' ');
    const struct plan_title t = {
        .kind = b->kind,
        .name = b->kind == PLAN_SECTIONAL ? b->who : b->what,
        .first = arena_strndup(mem, b->sets, strcspn(b->sets, " ")),
        .last = last ? last + 1 : b->sets,
    };
    struct buf text = {0};
    plan_title_text(&t, &text);
    const char *kept = cell(buf_text(&text), mem);
    buf_free(&text);
    return kept;
}

/* The rehearsal itself, unless something of it was done. */
static void add_frame(struct plan_known *k, const char *show_uuid, const struct rep_plan *p,
                      struct arena *mem)
{
    const struct plan_event frame = plan_event_frame();
    char *uid = arena_alloc(mem, EVENT_UID);
    for (size_t i = 0; i < p->n_blocks; i++)
        if (p->blocks[i].reps_made >= 0)
            return;
    plan_event_uid(show_uuid, p->date, &frame, uid);
    add(k, &(struct plan_gone){.uid = uid,
                               .start_min = p->start_min,
                               .seconds = p->minutes * PLAN_MINUTE_S,
                               .who = "",
                               .title = "Rehearsal"});
}

/* What was done stays in calendars as it was. */
void plan_known_add(struct plan_known *k, const char *show_uuid, const struct rep_plan *p,
                    struct arena *mem)
{
    for (size_t i = 0; i < p->n_blocks; i++) {
        const struct rep_block *b = &p->blocks[i];
        if (!begins_block(p, i) || was_done(p, i) || b->kind < 0 || b->kind > PLAN_RUN)
            continue;
        struct plan_event event = {.kind = b->kind, .name = name_of(b)};
        for (size_t j = 0; j < i; j++)
            event.number += begins_block(p, j) && p->blocks[j].kind == b->kind &&
                            strcmp(name_of(&p->blocks[j]), event.name) == 0;
        char *uid = arena_alloc(mem, EVENT_UID);
        plan_event_uid(show_uuid, p->date, &event, uid);
        add(k, &(struct plan_gone){
                   .uid = uid,
                   .start_min = p->start_min,
                   .start_s = b->start_s,
                   .seconds = b->seconds,
                   .who = b->kind == PLAN_SECTIONAL ? cell(b->who, mem) : "",
                   .title = title_of(b, mem),
               });
    }
    if (p->n_blocks)
        add_frame(k, show_uuid, p, mem);
}

int plan_sequence_at(int64_t made_ms)
{
    const int64_t s = (made_ms - EPOCH_MS) / 1000;
    return made_ms < EPOCH_MS ? 0 : s >= INT_MAX ? INT_MAX - 1 : (int)s;
}

int plan_later(int a, int b)
{
    return a > b ? a : b;
}

/* --- keeping it --------------------------------------------------------------------------------- */

bool app_plan_gone_keep(struct store *s, const char *date, struct arena *mem, struct err *e)
{
    struct birth show;
    struct rep_plan old;
    struct err none;
    char key[40];
    if (!store_show_birth(s, &show, e))
        return false;
    struct plan_known k = plan_known_read(s, date, mem);
    if (store_plan(s, mem, date, &old, &none)) {
        plan_known_add(&k, show.uuid, &old, mem);
        k.sequence = plan_later(k.sequence, plan_sequence_at(old.made_at));
    }
    const int64_t now = clock_wall_ms();
    const int next = k.sequence < INT_MAX - 1 ? k.sequence + 1 : k.sequence;
    struct buf text = {0};
    buf_printf(&text, "%d %" PRId64 "\n", plan_later(next, plan_sequence_at(now)), now);
    for (size_t i = 0; i < k.n; i++)
        buf_printf(&text, "%s\t%d\t%d\t%d\t%s\t%s\n", k.at[i].uid, k.at[i].start_min,
                   k.at[i].start_s, k.at[i].seconds, k.at[i].who, k.at[i].title);
    const bool ok = store_set(s, key_of(date, key), buf_text(&text), e);
    buf_free(&text);
    free(k.at);
    return ok;
}
