#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/near.h"
#include "paper/table.h"
#include "verb/verb.h"

const struct verb *verb_named(const struct verb *const *verbs, const char *name)
{
    for (size_t i = 0; verbs[i]; i++)
        if (strcmp(verbs[i]->name, name) == 0)
            return verbs[i];
    return NULL;
}

static bool usage(const struct verb *v, struct err *e, const char *why, const char *what)
{
    return err_set(e, ERR_USAGE, "%s%s%s%s; usage: boxcall %s %s", why, *what ? " '" : "", what,
                   *what ? "'" : "", v->name, v->usage);
}

static const struct option *option_named(const struct verb *v, const char *name, size_t n)
{
    for (const struct option *o = v->options; o->name; o++)
        if (strlen(o->name) == n && strncmp(o->name, name, n) == 0)
            return o;
    return NULL;
}

static bool unknown_option(const struct verb *v, const char *arg, struct err *e)
{
    struct near near = {.word = arg + strspn(arg, "-")};
    for (const struct option *o = v->options; o->name; o++)
        near_offer(&near, o->name);
    if (near.best)
        return err_set(e, ERR_USAGE, "%s: no option '%s'; did you mean '--%s'?", v->name, arg,
                       near.best);
    return err_set(e, ERR_USAGE, "%s: no option '%s'; see boxcall %s --help", v->name, arg,
                   v->name);
}

/* The option that "--name" or "--name=value" names; *equals is where its '=' stands, or NULL. */
static const struct option *option_of(const struct verb *v, const char *arg, const char **equals)
{
    *equals = NULL;
    if (strncmp(arg, "--", 2) != 0)
        return NULL;
    *equals = strchr(arg, '=');
    return option_named(v, arg + 2, *equals ? (size_t)(*equals - arg - 2) : strlen(arg + 2));
}

bool call_wants_help(const struct verb *v, int argc, char **argv)
{
    for (int i = 0; i < argc && strcmp(argv[i], "--") != 0; i++) {
        const char *equals;
        const struct option *o = option_of(v, argv[i], &equals);
        if (strcmp(argv[i], "--help") == 0 || strcmp(argv[i], "-h") == 0)
            return true;
        i += o && o->value && !equals;
    }
    return false;
}

static bool read_option(struct call *c, int argc, char **argv, int *i, struct err *e)
{
    const char *arg = argv[*i], *equals;
    const struct option *o = option_of(c->verb, arg, &equals);
    if (!o)
        return unknown_option(c->verb, arg, e);
    const char *value = "";
    if (!o->value && equals)
        return err_set(e, ERR_USAGE, "%s: --%s takes no value", c->verb->name, o->name);
    if (o->value && equals) {
        value = equals + 1;
    } else if (o->value) {
        if (*i + 1 >= argc)
            return err_set(e, ERR_USAGE, "%s: --%s needs %s", c->verb->name, o->name, o->value);
        value = argv[++*i];
    }
    if (!o->many && call_value(c, o->name))
        return err_set(e, ERR_USAGE, "%s: --%s is given twice", c->verb->name, o->name);
    if (c->n_values == CALL_VALUES)
        return usage(c->verb, e, "too many options", "");
    c->options[c->n_values] = o;
    c->values[c->n_values++] = value;
    return true;
}

bool call_read(struct call *c, const struct verb *v, int argc, char **argv, struct err *e)
{
    bool only_words = false;
    c->verb = v;
    for (int i = 0; i < argc; i++) {
        const char *arg = argv[i];
        if (!only_words && strcmp(arg, "--") == 0) {
            only_words = true;
        } else if (!only_words && arg[0] == '-' && arg[1] && strncmp(arg, "--", 2) == 0) {
            if (!read_option(c, argc, argv, &i, e))
                return false;
        } else if (!only_words && arg[0] == '-' && arg[1] && !strchr("0123456789.", arg[1])) {
            return unknown_option(v, arg, e);
        } else if (c->n_words == v->most || c->n_words == CALL_WORDS) {
            return usage(v, e, "did not expect", arg);
        } else {
            c->words[c->n_words++] = arg;
        }
    }
    if (c->n_words < v->least)
        return usage(v, e, c->n_words ? "something is missing after" : "something is missing",
                     c->n_words ? c->words[c->n_words - 1] : "");
    return true;
}

void call_free(struct call *c)
{
    arena_free(&c->memory);
    buf_free(&c->out);
    buf_free(&c->talk);
}

void call_tame(struct call *c)
{
    tame_lines(&c->talk);
    if (!c->raw)
        tame_lines(&c->out);
    if (c->ascii)
        plain_text(&c->out);
}

void call_say_table(struct call *c, const struct table_talk *talk)
{
    buf_str(&c->talk, buf_text(&talk->notes));
    if (talk->n_wrong > 1)
        buf_str(&c->talk, buf_text(&talk->wrong));
}

const char *call_value(const struct call *c, const char *option)
{
    for (size_t i = c->n_values; i-- > 0;)
        if (strcmp(c->options[i]->name, option) == 0)
            return c->values[i];
    return NULL;
}

const char **call_values(struct call *c, const char *option, size_t *n)
{
    const char **out = arena_alloc(&c->memory, c->n_values * sizeof *out);
    *n = 0;
    for (size_t i = 0; i < c->n_values; i++)
        if (strcmp(c->options[i]->name, option) == 0)
            out[(*n)++] = c->values[i];
    return out;
}

bool call_format(const struct call *c, const enum format *can, size_t n, enum format *out,
                 struct err *e)
{
    const char *name = call_value(c, "as");
    const bool semicolons = call_value(c, "semicolons") != NULL;
    *out = AS_TEXT;
    bool known = !name;
    if (name && format_named(name, out))
        for (size_t i = 0; i < n; i++)
            known |= can[i] == *out;
    if (known && semicolons && *out != AS_CSV)
        return err_set(e, ERR_USAGE, "%s: --semicolons is for --as csv", c->verb->name);
    if (known)
        return true;
    struct buf list = {0};
    for (size_t i = 0; i < n; i++)
        buf_printf(&list, "%s%s", i ? ", " : "", format_name(can[i]));
    err_set(e, ERR_USAGE, "%s: cannot write '%s'; --as takes %s", c->verb->name, name, list.p);
    buf_free(&list);
    return false;
}

/* The table is the one whose header stands there. */
void call_semicolons(struct call *c)
{
    struct buf head = {0};
    if (!c->verb || !call_value(c, "semicolons"))
        return;
    for (const struct verb_written *w = c->verb->written; w && w->columns; w++) {
        buf_clear(&head);
        table_csv_head(w->columns, &head);
        if (c->out.n < head.n || memcmp(c->out.p, head.p, head.n) != 0)
            continue;
        table_semicolons(w->columns, &c->out);
        break;
    }
    buf_free(&head);
}

bool call_number(const struct call *c, const char *option, struct call_range range, long *out,
                 struct err *e)
{
    const char *text = call_value(c, option);
    *out = range.otherwise;
    if (!text)
        return true;
    char *end;
    errno = 0;
    long n = strtol(text, &end, 10);
    if (end == text || *end || errno || n < range.least || n > range.most)
        return err_set(e, ERR_USAGE, "%s: --%s '%s' is not a whole number from %ld to %ld",
                       c->verb->name, option, text, range.least, range.most);
    *out = n;
    return true;
}

enum { PAGE = 78 };

/* Words of one line, filled up to the width of a page; `at` is the column it begins in, `indent`
 * that of the lines that follow. */
static void put_filled(struct buf *out, const char *s, size_t n, int at, int indent)
{
    int column = at;
    for (size_t i = 0; i < n;) {
        size_t word = strcspn(s + i, " \n");
        if (word > n - i)
            word = n - i;
        if (column > at && column + 1 + (int)word > PAGE) {
            buf_printf(out, "\n%*s", indent, "");
            column = at = indent;
        } else if (column > at) {
            buf_char(out, ' ');
            column++;
        }
        buf_add(out, s + i, word);
        column += (int)word;
        i += word + 1;
    }
    buf_char(out, '\n');
}

/* Paragraphs are filled; lines that begin with blanks are shown as they are. */
static void put_detail(struct buf *out, const char *s)
{
    while (*s) {
        size_t n = strcspn(s, "\n");
        if (*s == ' ')
            buf_printf(out, "%.*s\n", (int)n, s);
        else
            put_filled(out, s, n, 0, 0);
        s += n + (s[n] == '\n');
    }
}

enum { HELP = 25 };

static void put_term(struct buf *out, const char *name, const char *help)
{
    buf_printf(out, "  %-22s ", name);
    put_filled(out, help, strlen(help), strlen(name) > 22 ? (int)strlen(name) + 3 : HELP, HELP);
}

static void put_columns(const struct verb *v, struct buf *out)
{
    for (const struct verb_written *w = v->written; w && w->columns; w++) {
        buf_printf(out, "\nColumns of --as csv%s%s:\n", *w->name ? ", " : "", w->name);
        for (const struct column *c = w->columns; c->name; c++)
            if (c->where & IN_CSV)
                put_term(out, c->name, c->help);
    }
    for (const struct verb_table *t = v->tables; t && t->name; t++) {
        buf_printf(out, "\nColumns of %s (* must be there):\n", t->name);
        for (const struct table_column *c = t->columns; c->name; c++) {
            if (table_ours(c))
                continue;
            char name[40];
            snprintf(name, sizeof name, "%s%s", c->name, c->required ? " *" : "");
            put_term(out, name, c->help);
        }
    }
}

void verb_help(const struct verb *v, struct buf *out)
{
    buf_printf(out, "boxcall %s ", v->name);
    put_filled(out, v->usage, strlen(v->usage), (int)strlen("boxcall  ") + (int)strlen(v->name), 4);
    buf_printf(out, "\n%s.\n", v->summary);
    if (v->detail) {
        buf_char(out, '\n');
        put_detail(out, v->detail);
    }
    if (v->options[0].name)
        buf_str(out, "\nOptions:\n");
    for (const struct option *o = v->options; o->name; o++) {
        struct buf name = {0};
        buf_printf(&name, "--%s%s%s", o->name, o->value ? " " : "", o->value ? o->value : "");
        put_term(out, name.p, o->help);
        buf_free(&name);
    }
    put_columns(v, out);
}

void verbs_help(const struct verb *const *verbs, struct buf *out)
{
    buf_str(out, "boxcall: review a rehearsal clip, mark faults while it plays, and get every "
                 "section's fix list.\n\n"
                 "  boxcall SHOW [CLIP]    open the review (see boxcall review --help)\n"
                 "  boxcall VERB ...       one of these; boxcall VERB --help says more:\n\n");
    for (size_t i = 0; verbs[i]; i++)
        if (!verbs[i]->hidden)
            buf_printf(out, "  %-8s %s\n", verbs[i]->name, verbs[i]->summary);
    buf_str(out, "\nIn the review, letters speak about the band and '?' shows every other key.\n"
                 "Exit status: 0 done, 1 failed, 2 usage, 3 bad input, 4 the show file was "
                 "refused.\n");
}
