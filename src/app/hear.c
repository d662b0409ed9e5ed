#include "app/hear.h"

#include <stdio.h>
#include <stdlib.h>

#include "app/share.h"
#include "clip/probe.h"
#include "mark/mark.h"

static const char *const tables[] = {
    "talk-words.csv",     "talk-signs.csv",     "talk-said-body.csv",
    "talk-said-form.csv", "talk-said-more.csv", "talk-said-plain.csv",
    "talk-said-long.csv", "talk-said-live.csv", "faults.csv"};
enum { TABLES = sizeof tables / sizeof *tables, EXAMPLES_FROM = 2, FAULTS = TABLES - 1 };

int64_t hear_lead_us(struct app *a, struct arena *mem)
{
    const char *set = store_setting(a->store, mem, arena_printf(mem, "lead_ms %s", app_author()));
    const double ms = set ? strtod(set, NULL) : LEAD_DEFAULT_MS;
    return (int64_t)((ms >= 0 && ms <= LEAD_MOST_MS ? ms : LEAD_DEFAULT_MS) * 1000);
}

const struct lexicon *app_lexicon(struct app *a, struct arena *mem, struct err *e)
{
    struct table_text text[TABLES];
    struct buf bytes[TABLES] = {0};
    const struct lexicon *l = NULL;
    bool ok = true;
    for (size_t i = 0; ok && i < TABLES; i++) {
        ok = share_read(tables[i], &bytes[i], e);
        text[i] = (struct table_text){buf_text(&bytes[i]), bytes[i].n, tables[i], NULL};
    }
    if (ok)
        l = lexicon_new(mem, &a->show,
                        &(struct lexicon_tables){text[0], text[1], &text[EXAMPLES_FROM],
                                                 FAULTS - EXAMPLES_FROM, text[FAULTS]},
                        e);
    for (size_t i = 0; i < TABLES; i++)
        buf_free(&bytes[i]);
    return l;
}

void hear_within(struct heard_talk *h, int64_t length_us, struct arena *mem)
{
    struct draft *at = arena_alloc(mem, (h->drafts.n + 1) * sizeof *at);
    size_t n = 0;
    for (size_t i = 0; i < h->drafts.n; i++) {
        struct draft d = h->drafts.at[i];
        if (d.at_us < -MARK_LEAD_IN_US || d.at_us > length_us)
            continue;
        d.at_us = d.at_us < 0 ? 0 : d.at_us;
        d.end_us = d.end_us > length_us ? length_us : d.end_us;
        at[n++] = d;
    }
    h->outside = h->drafts.n - n;
    h->drafts = (struct draft_list){at, n};
}

bool app_hear(struct app *a, struct arena *mem, const struct hear_choice *how,
              struct heard_talk *out, struct err *e)
{
    struct timed timed;
    *out = (struct heard_talk){0};
    if (!timed_read(mem, &how->file, &timed, e))
        return false;
    const struct lexicon *l = app_lexicon(a, mem, e);
    if (!l)
        return false;
    struct understood u;
    talk_understand(mem, l, &timed, &how->clock, &u);
    *out = (struct heard_talk){.drafts = u.drafts, .n_words = u.n_words, .n_known = u.n_known};
    hear_within(out, how->clip->length_us, mem);
    return true;
}

bool hear_digest(const struct timed_text *file, char out[65], struct err *e)
{
    uint8_t sum[32];
    if (!clip_sha256(file->bytes, file->n, sum, e))
        return false;
    for (size_t i = 0; i < 32; i++)
        snprintf(out + 2 * i, 3, "%02x", sum[i]);
    return true;
}

bool app_hear_keep(struct app *a, const struct hear_choice *how, const struct heard_talk *h,
                   struct drafts_report *out, struct err *e)
{
    char digest[65];
    if (!hear_digest(&how->file, digest, e))
        return false;
    struct draft_source source = {
        .clip = how->clip->id,
        .kind = how->kind ? how->kind : "commentary",
        .name = how->file.source,
        .path = how->path,
        .digest = digest,
        .offset_us = how->clock.offset_us,
        .rate = how->clock.rate,
    };
    return app_drafts_put(a, &source, &h->drafts, out, e);
}
