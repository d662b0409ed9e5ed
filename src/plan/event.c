#include "plan/event.h"

#include <ctype.h>
#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "base/buf.h"
#include "base/hash.h"

static const char *name_of(const struct plan_report *r, const struct plan_block *b)
{
    return b->kind == PLAN_SECTIONAL ? plan_who(r, b->group) : b->kind == PLAN_FIXED ? b->name : "";
}

struct plan_event plan_event_of(const struct plan_report *r, size_t block)
{
    const struct plan_block *all = r->plan.blocks;
    struct plan_event out = {.kind = (int)all[block].kind, .name = name_of(r, &all[block])};
    for (size_t i = 0; i < block; i++)
        out.number += (int)all[i].kind == out.kind && strcmp(name_of(r, &all[i]), out.name) == 0;
    return out;
}

struct plan_event plan_event_frame(void)
{
    return (struct plan_event){.kind = PLAN_FRAME, .name = ""};
}

void plan_event_uid(const char *show_uuid, const char *date, const struct plan_event *event,
                    char out[EVENT_UID])
{
    char what[96];
    const int n = snprintf(what, sizeof what, "%.36s %.10s %d %d ", show_uuid, date, event->kind,
                           event->number);
    const uint64_t high =
        hash_more(hash_more(HASH_BEGIN, what, (size_t)n), event->name, strlen(event->name));
    const uint64_t low = hash_more(hash_more(high, what, (size_t)n), "again", 5);
    snprintf(out, EVENT_UID, "%08" PRIx32 "-%04" PRIx32 "-8%03" PRIx32 "-%04" PRIx32 "-%012" PRIx64,
             (uint32_t)(high >> 32), (uint32_t)(high >> 16 & 0xffff), (uint32_t)(high & 0xfff),
             (uint32_t)(low >> 48 & 0x3fff) | 0x8000, low & UINT64_C(0xffffffffffff));
}

void plan_title_text(const struct plan_title *t, struct buf *out)
{
    if (t->kind == PLAN_FRAME) {
        buf_printf(out, "Rehearsal%s%s", *t->name ? ": " : "", t->name);
    } else if (t->kind == PLAN_BREAK) {
        buf_str(out, "Break");
    } else if (t->kind == PLAN_SECTIONAL) {
        buf_printf(out, "Sectional: %s", t->name);
    } else if (t->kind == PLAN_REP && *t->first) {
        const bool one = strcmp(t->first, t->last) == 0;
        buf_printf(out, one ? "Set %s" : "Sets %s-%s", t->first, t->last);
    } else if (t->kind == PLAN_RUN) {
        const size_t n = strcspn(t->name, ";");
        if (n)
            buf_char(out, (char)toupper((unsigned char)*t->name));
        buf_add(out, t->name + (n > 0), n - (n > 0));
    } else {
        buf_str(out, *t->name ? t->name : "Block");
    }
}
