#include "mark/mark.h"

#include <math.h>
#include <string.h>

#include "base/near.h"

int64_t mark_time(int64_t now_us, double lead_ms, double speed, int64_t began_us)
{
    if (began_us < 0 || began_us >= now_us)
        return now_us;
    int64_t seen = now_us - llround(lead_ms * 1000 * speed);
    return seen > began_us ? seen : began_us;
}

static bool target_named(const struct show *show, const char *text, struct target *out,
                         struct err *e)
{
    int performer = show_performer(show, text);
    if (performer >= 0) {
        *out = (struct target){show->performers[performer].section, performer};
        return true;
    }
    *out = (struct target){show_section(show, text), -1};
    if (out->section >= 0)
        return true;
    struct near near = {.word = text};
    for (size_t i = 0; i < show->n_sections; i++)
        near_offer(&near, show->sections[i].name);
    for (size_t i = 0; i < show->n_performers; i++)
        near_offer(&near, show->performers[i].label);
    const char *otherwise = strchr(text, ',') ? "; separate several targets with ';'"
                                              : "; name a section or a performer's label";
    return err_set(e, ERR_INPUT, "no section or performer '%s'%s", text,
                   near_said(&near, otherwise).text);
}

const struct target *targets_parse(struct arena *a, const struct show *show, const char *text,
                                   size_t *n, struct err *e)
{
    size_t most = 1;
    for (const char *s = text; *s; s++)
        most += *s == ';';
    struct target *t = arena_alloc(a, most * sizeof *t);
    *n = 0;
    t->section = most > 1 ? show_section(show, text) : -1;
    if (t->section >= 0) { /* a name with a ';' in it */
        t->performer = -1;
        *n = 1;
        return t;
    }
    while (*text) {
        size_t len = strcspn(text, ";"), from = strspn(text, " ;");
        size_t to = len;
        while (to > from && text[to - 1] == ' ')
            to--;
        if (to > from) {
            struct target one;
            if (!target_named(show, arena_strndup(a, text + from, to - from), &one, e))
                return NULL;
            bool there = false;
            for (size_t i = 0; i < *n; i++)
                there |= t[i].section == one.section && t[i].performer == one.performer;
            if (!there)
                t[(*n)++] = one;
        }
        text += len + (text[len] == ';');
    }
    if (*n == 0)
        err_set(e, ERR_INPUT, "no target; name a section or a performer's label (T3)");
    return *n ? t : NULL;
}

void targets_text(const struct show *show, const struct target *t, size_t n, struct buf *out)
{
    for (size_t i = 0; i < n; i++) {
        if (i)
            buf_str(out, ", ");
        buf_str(out, t[i].performer >= 0 ? show->performers[t[i].performer].label
                                         : show->sections[t[i].section].name);
    }
}

const char *cause_name(enum cause c)
{
    return c == CAUSE_DEFINE ? "define" : "execute";
}

const char *mark_state_name(enum mark_state s)
{
    static const char *const names[] = {"open", "repped", "clean"};
    return names[s];
}
