#include "show/path.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "show/show.h"

struct reading {
    struct arena *a;
    struct path path;
    bool held, halted;
    size_t files_cap;
};

/* --- words ----------------------------------------------------------------------------------- */

static bool between_words(char c)
{
    return c == ' ' || c == '\t' || c == ',' || c == '\n' || c == '\r';
}

/* The next word of an item, NULL at its end; *text moves behind it. */
static const char *next_word(struct arena *a, const char **text)
{
    const char *s = *text;
    while (between_words(*s))
        s++;
    size_t n = 0;
    while (s[n] && !between_words(s[n]))
        n++;
    *text = s + n;
    return n ? arena_strndup(a, s, n) : NULL;
}

/* --- files ----------------------------------------------------------------------------------- */

struct numbered {
    size_t prefix; /* bytes before the number */
    int number;    /* -1: none */
    int digits;
};

static struct numbered numbered_of(const char *label, size_t n)
{
    struct numbered x = {n, -1, 0};
    while (x.prefix > 0 && isdigit((unsigned char)label[x.prefix - 1]))
        x.prefix--;
    x.digits = (int)(n - x.prefix);
    if (x.digits > 0 && x.digits <= 4)
        x.number = atoi(label + x.prefix);
    return x;
}

struct range {
    const char *label; /* whose prefix and width the others have */
    struct numbered from;
    int to;
};

/* "T1-T8", "T1-8"; a label that has a '-' in it, "SD-1", is none. */
static bool range_of(const char *word, struct range *out)
{
    for (const char *dash = strchr(word, '-'); dash; dash = strchr(dash + 1, '-')) {
        const size_t left = (size_t)(dash - word);
        const struct numbered a = numbered_of(word, left),
                              b = numbered_of(dash + 1, strlen(dash + 1));
        const bool alike =
            b.prefix == 0 || (a.prefix == b.prefix && strncasecmp(word, dash + 1, a.prefix) == 0);
        if (a.number < 0 || b.number < 0 || !alike)
            continue;
        *out = (struct range){word, a, b.number};
        return true;
    }
    return false;
}

static bool is_named(const struct path *p, const struct path_file *open, const char *label)
{
    for (size_t f = 0; f < p->n_files; f++)
        for (size_t i = 0; i < p->files[f].n; i++)
            if (label_alike(p->files[f].labels[i], label))
                return true;
    for (size_t i = 0; i < open->n; i++)
        if (label_alike(open->labels[i], label))
            return true;
    return false;
}

static bool add_label(const struct reading *r, struct path_file *file, const char *label,
                      struct err *e)
{
    if (is_named(&r->path, file, label))
        return err_set(e, ERR_INPUT, "'%s' follows twice; name everybody once", label);
    if (file->n == PATH_FILE_MOST)
        return err_set(e, ERR_INPUT, "more than %d in one file", PATH_FILE_MOST);
    file->labels[file->n++] = label;
    return true;
}

static bool add_range(const struct reading *r, struct path_file *file, const struct range *x,
                      struct err *e)
{
    const int step = x->to < x->from.number ? -1 : 1;
    const int width = x->label[x->from.prefix] == '0' ? x->from.digits : 0;
    for (int i = x->from.number;; i += step) {
        const char *label = arena_printf(r->a, "%.*s%0*d", (int)x->from.prefix, x->label, width, i);
        if (!add_label(r, file, label, e))
            return false;
        if (i == x->to)
            return true;
    }
}

static bool read_follow(struct reading *r, const char *words, struct err *e)
{
    struct path_file file = {arena_alloc(r->a, PATH_FILE_MOST * sizeof *file.labels), 0};
    struct range range;
    for (const char *word; (word = next_word(r->a, &words)) != NULL;)
        if (!(range_of(word, &range) ? add_range(r, &file, &range, e)
                                     : add_label(r, &file, word, e)))
            return false;
    if (file.n < 2)
        return err_set(e, ERR_INPUT,
                       "'follow' needs a leader and who follows: follow T1-T8, or follow T1 T2");
    struct path_file *more = arena_alloc(r->a, (r->path.n_files + 1) * sizeof *more);
    if (r->path.n_files)
        memcpy(more, r->path.files, r->path.n_files * sizeof *more);
    more[r->path.n_files++] = file;
    r->path.files = more;
    return true;
}

/* --- counts ---------------------------------------------------------------------------------- */

static bool read_counts(struct arena *a, const char *what, const char *words, int *out,
                        struct err *e)
{
    const char *number = next_word(a, &words), *unit = next_word(a, &words);
    const bool whole =
        number && strlen(number) <= 3 && number[strspn(number, "0123456789")] == '\0';
    const bool said = !unit || strcasecmp(unit, "counts") == 0 || strcasecmp(unit, "count") == 0;
    if (!whole || !said || next_word(a, &words))
        return err_set(e, ERR_INPUT, "'%s' needs a whole number of counts: %s 8", what, what);
    *out = atoi(number);
    return true;
}

static bool read_once(struct reading *r, bool hold, const char *words, struct err *e)
{
    bool *was = hold ? &r->held : &r->halted;
    const char *what = hold ? "hold" : "halt";
    if (*was)
        return err_set(e, ERR_INPUT, "'%s' stands twice; keep one", what);
    *was = true;
    return read_counts(r->a, what, words, hold ? &r->path.hold : &r->path.halt, e);
}

static bool fits(const struct path *p, int counts, struct err *e)
{
    const int still = p->hold + p->halt;
    if (counts < 0 || still == 0 || still < counts)
        return true;
    const char *which = p->hold && p->halt ? "hold and halt take"
                        : p->hold          ? "hold takes"
                                           : "halt takes";
    return err_set(e, ERR_INPUT, "%s %d of %d counts; leave some to move in", which, still, counts);
}

/* --- the whole ------------------------------------------------------------------------------- */

static bool read_item(struct reading *r, const char *item, struct err *e)
{
    const char *words = item, *what = next_word(r->a, &words);
    if (!what)
        return true;
    if (strcasecmp(what, "hold") == 0 || strcasecmp(what, "halt") == 0)
        return read_once(r, strcasecmp(what, "hold") == 0, words, e);
    if (strcasecmp(what, "follow") == 0)
        return read_follow(r, words, e);
    return err_set(e, ERR_INPUT,
                   "'%.60s' is no way to a set; write hold N, halt N or follow T1-T8, with ';' "
                   "between them",
                   what);
}

bool path_read(struct arena *a, const char *text, int counts, struct path *out, struct err *e)
{
    struct reading r = {.a = a};
    *out = (struct path){0};
    for (const char *s = text ? text : ""; *s;) {
        const size_t n = strcspn(s, ";");
        if (!read_item(&r, arena_strndup(a, s, n), e))
            return false;
        s += n + (s[n] == ';');
    }
    if (!fits(&r.path, counts, e))
        return false;
    *out = r.path;
    return true;
}

bool sets_check_paths(const struct set_list *l, const char *source, struct err *e)
{
    struct arena mem = {0};
    bool ok = true;
    for (size_t i = 0; ok && i < l->n; i++) {
        struct path p;
        struct err why;
        ok = path_read(&mem, l->at[i].path, l->at[i].counts, &p, &why) ||
             err_set(e, ERR_INPUT, "%s:%d: path: %s", source, l->at[i].line, why.text);
    }
    arena_free(&mem);
    return ok;
}

/* --- who they are ---------------------------------------------------------------------------- */

static bool on_roster(const struct show *show, const char *label)
{
    const int p = show_performer(show, label);
    return p >= 0 && !show->performers[p].removed;
}

static int strangers(const struct show *show, const struct path *p, struct buf *names)
{
    int n = 0;
    for (size_t f = 0; f < p->n_files; f++)
        for (size_t i = 0; i < p->files[f].n; i++)
            if (!on_roster(show, p->files[f].labels[i]))
                buf_printf(names, "%s%s", n++ ? ", " : "", p->files[f].labels[i]);
    return n;
}

bool path_note(const struct show *show, const struct set *set, struct buf *out)
{
    struct arena mem = {0};
    struct buf names = {0};
    struct path p;
    struct err why;
    int n = 0;
    const bool sound = path_read(&mem, set->path, set->counts, &p, &why);
    if (!sound)
        buf_printf(out, "set %s: path: %s", set->label, why.text);
    else if ((n = strangers(show, &p, &names)) > 0)
        buf_printf(out, "set %s: its path names %s, who %s not on the roster", set->label,
                   buf_text(&names), n == 1 ? "is" : "are");
    buf_free(&names);
    arena_free(&mem);
    return !sound || n > 0;
}
