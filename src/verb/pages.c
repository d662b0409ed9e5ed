/* The man page and the shell completions, printed from the verb and key tables, so that they cannot
 * say anything else. Used by the build; a test compares the man page in man/ with this. */
#include <ctype.h>
#include <string.h>

#include "screen/screens.h"
#include "verb/complete.h"
#include "verb/rows.h"

enum { PAGE_COLUMNS = 78 };

/* One word of mdoc text: '\' and '-' are escaped, and so is a line's first '.' or '\''. */
static void mdoc_word(struct buf *out, const char *s, size_t n, bool first)
{
    if (first && n && (*s == '.' || *s == '\''))
        buf_str(out, "\\&");
    for (size_t i = 0; i < n; i++) {
        if (s[i] == '\\')
            buf_str(out, "\\e");
        else if (s[i] == '-')
            buf_str(out, "\\-");
        else
            buf_char(out, s[i]);
    }
}

/* What stands behind a name in a list's head; "\\&" keeps a last ']' from being taken apart. */
static void mdoc_usage(struct buf *out, const char *s)
{
    size_t n = strlen(s);
    if (n)
        buf_char(out, ' ');
    mdoc_word(out, s, n, false);
    buf_str(out, n && s[n - 1] == ']' ? "\\&\n" : "\n");
}

/* Running text in mdoc: a new line after each sentence and before it gets too long. */
static void mdoc(struct buf *out, const char *s, size_t n)
{
    size_t column = 0;
    bool sentence = false;
    for (const char *end = s + n; s < end;) {
        size_t length = strcspn(s, " ");
        if (length > (size_t)(end - s))
            length = (size_t)(end - s);
        if (length && column) {
            bool turn = sentence || column + 1 + length > PAGE_COLUMNS;
            buf_char(out, turn ? '\n' : ' ');
            column = turn ? 0 : column + 1;
        }
        mdoc_word(out, s, length, column == 0);
        column += length;
        sentence = length && strchr(".?!", s[length - 1]);
        s += length + (s + length < end);
    }
}

/* A line shown as it is. */
static void mdoc_shown(struct buf *out, const char *s, size_t n)
{
    mdoc_word(out, s, n, true);
}

static void mdoc_line(struct buf *out, const char *s, const char *end)
{
    mdoc(out, s, strlen(s));
    buf_str(out, end);
}

/* Paragraphs; lines that begin with blanks are shown as they are. */
static void mdoc_detail(struct buf *out, const char *s)
{
    bool literal = false;
    while (*s) {
        size_t n = strcspn(s, "\n");
        bool shown = n && *s == ' ';
        if (shown != literal)
            buf_str(out, shown ? ".Bd -literal\n" : ".Ed\n");
        literal = shown;
        if (n == 0 && !literal)
            buf_str(out, ".Pp\n");
        if (n) {
            (shown ? mdoc_shown : mdoc)(out, s, n);
            buf_char(out, '\n');
        }
        s += n + (s[n] == '\n');
    }
    if (literal)
        buf_str(out, ".Ed\n");
}

static void man_options(const struct verb *v, struct buf *out)
{
    if (!v->options[0].name)
        return;
    buf_str(out, ".Bl -tag -width Ds\n");
    for (const struct option *o = v->options; o->name; o++) {
        buf_printf(out, ".It Fl \\-%s", o->name);
        if (o->value)
            buf_printf(out, " Ar %s", o->value);
        buf_char(out, '\n');
        mdoc_line(out, o->help, "\n");
    }
    buf_str(out, ".El\n");
}

static void man_term(const char *name, const char *help, struct buf *out)
{
    buf_str(out, ".It Li ");
    mdoc_line(out, name, "\n");
    mdoc_line(out, help, "\n");
}

static void man_columns(const struct verb *v, struct buf *out)
{
    for (const struct verb_written *w = v->written; w && w->columns; w++) {
        buf_printf(out, ".Pp\nColumns of --as csv%s%s:\n.Bl -tag -width Ds -compact\n",
                   *w->name ? ", " : "", w->name);
        for (const struct column *c = w->columns; c->name; c++)
            if (c->where & IN_CSV)
                man_term(c->name, c->help, out);
        buf_str(out, ".El\n");
    }
    for (const struct verb_table *t = v->tables; t && t->name; t++) {
        buf_printf(out, ".Pp\nColumns of %s (* must be there):\n.Bl -tag -width Ds -compact\n",
                   t->name);
        for (const struct table_column *c = t->columns; c->name; c++) {
            if (table_ours(c))
                continue;
            struct buf name = {0};
            buf_printf(&name, "%s%s", c->name, c->required ? " *" : "");
            man_term(buf_text(&name), c->help, out);
            buf_free(&name);
        }
        buf_str(out, ".El\n");
    }
}

static void man_verb(const struct verb *v, struct buf *out)
{
    buf_printf(out, ".It Nm Cm %s", v->name);
    mdoc_usage(out, v->usage);
    mdoc_line(out, v->summary, ".\n");
    if (v->detail) {
        buf_str(out, ".Pp\n");
        mdoc_detail(out, v->detail);
    }
    man_options(v, out);
    man_columns(v, out);
}

static void man_keys(const struct key_table *t, const struct keymap *k, struct buf *out)
{
    buf_str(out, ".Bl -tag -width \"Shift\\-Right\"\n");
    for (size_t i = 0; i < k->n; i++) {
        if (strcmp(k->at[i].table, t->name) != 0)
            continue;
        buf_str(out, ".It Ic \\&");
        mdoc_line(out, k->at[i].key, "\n");
        mdoc_line(out, keymap_help(k, &k->at[i]), ".\n");
    }
    buf_str(out, ".El\n");
}

static void man(const struct verb *const *verbs, struct buf *out)
{
    struct keymap k;
    keymap_default(&k, &review_tools);
    buf_str(out, ".\\\" Printed by 'boxcall pages man' from the program's tables; do not edit.\n"
                 ".Dd November 25, 2026\n.Dt BOXCALL 1\n.Os\n.Sh NAME\n.Nm boxcall\n"
                 ".Nd mark rehearsal clips of a marching band and get every section's fix list\n"
                 ".Sh SYNOPSIS\n.Nm\n.Ar SHOW\n.Op Ar CLIP\n.Nm\n.Ar VERB ...\n"
                 ".Sh DESCRIPTION\nThe visual staff of a marching band review a clip shot from "
                 "the press box\nand drop time\\-coded marks (section, performer, fault)\n"
                 "in two or three keys while it plays.\nEvery section gets its own fix list, "
                 "ranked by frequency,\neach line linked back to its moments in the clip.\n"
                 "The show file is described in\n.Sy boxcall\\-show Ns (5).\n.Ss Verbs\n"
                 ".Bl -tag -width Ds\n");
    for (size_t i = 0; verbs[i]; i++)
        if (!verbs[i]->hidden)
            man_verb(verbs[i], out);
    buf_str(out, ".El\n.Ss Chords\nA letter begins a chord: section key, performer numbers if any, "
                 "fault key.\n.Bd -literal\nth       trumpets, horn angle\nt3h      trumpet 3\n"
                 "t3,5h    trumpets 3 and 5\nt3\\-6h    trumpets 3 to 6\n"
                 "t+m2h    trumpets and mellophone 2\n.Ed\n.Pp\n"
                 "The keys come from the show; boxcall keys SHOW lists them.\n");
    const struct key_table *t;
    for (size_t i = 0; (t = key_table_nth(&review_tools, i)) != NULL; i++) {
        buf_printf(out, ".Ss Keys %s\n", t->title);
        man_keys(t, &k, out);
    }
    buf_str(out, ".Ss Commands\nA line behind ':' runs a command, as a key does.\n"
                 ".Bl -tag -width Ds\n");
    const struct command *c;
    for (size_t i = 0; (c = tool_nth(&review_tools, i)) != NULL; i++) {
        buf_printf(out, ".It Ic %s", c->name);
        mdoc_usage(out, c->args);
        mdoc_line(out, c->help, ".\n");
    }
    buf_str(out, ".El\n.Sh ENVIRONMENT\n.Bl -tag -width Ds\n"
                 ".It Ev BOXCALL_AUTHOR\nWho makes the marks; default: the login name.\n"
                 ".It Ev NO_COLOR\nNo colours.\n"
                 ".It Ev XDG_CONFIG_HOME\nWhere boxcall/keys.ini is; default: ~/.config.\n.El\n"
                 ".Sh FILES\n.Bl -tag -width Ds\n.It Pa ~/.config/boxcall/keys.ini\n"
                 "Keys of one's own: sections [anywhere] [review] [lists] [lead]\n"
                 "[tap-measure] [plan], lines KEY = COMMAND.\n"
                 ".It Pa boxcall.schema.json\n"
                 "In the share folder: a JSON Schema (draft 2020\\-12) of what the verbs print\n"
                 "with \\-\\-as json, each under #/$defs/ and its name.\n"
                 "A member that it does not name is never printed.\n"
                 ".It Pa annotations.schema.json\n"
                 "The same of what \\-\\-as annotations prints.\n.El\n"
                 ".Sh EXIT STATUS\n0 done, 1 failed, 2 usage, 3 bad input, 4 the show file was "
                 "refused.\n"
                 ".Sh SEE ALSO\n.Sy boxcall\\-show Ns (5)\n"
                 ".Sh CAVEATS\nA fix list says what to repeat, not how much a body can take.\n"
                 "In heat, in long rehearsals and with fast backward moves, local policy, the\n"
                 "athletic trainer and licensed practice decide.\n");
    keymap_free(&k);
}

static bool run(struct call *c, struct err *e)
{
    static const struct {
        const char *name;
        void (*print)(const struct verb *const *verbs, struct buf *);
    } pages[] = {
        {"man", man}, {"bash", complete_bash}, {"zsh", complete_zsh}, {"fish", complete_fish}};
    for (size_t i = 0; i < sizeof pages / sizeof *pages; i++)
        if (strcmp(pages[i].name, c->words[0]) == 0) {
            pages[i].print(c->verbs, &c->out);
            return true;
        }
    return err_set(e, ERR_USAGE, "pages: no page '%s'; it is one of man, bash, zsh, fish",
                   c->words[0]);
}

const struct verb verb_pages = {
    .name = "pages",
    .usage = "man|bash|zsh|fish",
    .summary = "Print the man page or a shell completion",
    .options = {{0}},
    .least = 1,
    .most = 1,
    .hidden = true,
    .run = run,
};
