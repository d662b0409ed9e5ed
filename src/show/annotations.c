#include "show/annotations.h"

#include <inttypes.h>
#include <jansson.h>
#include <stdio.h>
#include <string.h>

#include "show/fragment.h"
#include "show/header.h"

struct reading {
    const char *source;
    const struct table_column *columns;
    table_row_fn *fn;
    void *ctx;
    struct table_talk *talk; /* the caller's, or one of our own */
    bool all;                /* go on behind a wrong annotation */
    int passed;              /* bodies that say nothing of a mark */
    struct err *e;
};

/* One annotation on its way into a row. */
struct annotation {
    struct reading *r;
    struct arena mem;
    struct table_row row;
    char name[40]; /* "annotation 3" */
};

/* --- cells ------------------------------------------------------------------------------------ */

static void put(struct annotation *a, const char *column, const char *text)
{
    a->row.cell[header_column(a->r->columns, column)] = arena_strdup(&a->mem, text);
}

static const char *got(const struct annotation *a, const char *column)
{
    return a->row.cell[header_column(a->r->columns, column)];
}

/* Another value of a cell that has some. */
static void join(struct annotation *a, const char *column, const char *text, const char *between)
{
    const char *before = got(a, column);
    put(a, column, *before ? arena_printf(&a->mem, "%s%s%s", before, between, text) : text);
}

static bool lacks(struct annotation *a, const char *column, const char *what)
{
    return table_error(&a->row, header_column(a->r->columns, column), a->r->e, "%s", what);
}

/* --- what JSON says --------------------------------------------------------------------------- */

static const char *text_of(const json_t *o, const char *key)
{
    const char *s = json_string_value(json_object_get(o, key));
    return s ? s : "";
}

/* Is the word there, alone or in a list? */
static bool says(const json_t *value, const char *word)
{
    for (size_t i = 0; i < json_array_size(value); i++)
        if (says(json_array_get(value, i), word))
            return true;
    return json_is_string(value) && strcmp(json_string_value(value), word) == 0;
}

/* The elements of a list; what is no list is one of its own. */
static size_t many(const json_t *value)
{
    return json_is_array(value) ? json_array_size(value) : value != NULL;
}

static const json_t *one(const json_t *value, size_t i)
{
    return json_is_array(value) ? json_array_get(value, i) : value;
}

/* --- bodies ----------------------------------------------------------------------------------- */

/* "late -0.4 +- 0.1 counts" */
static void put_late(struct annotation *a, const char *s)
{
    const char *error = strstr(s, ANNOTATION_ERROR);
    size_t n = error ? (size_t)(error - s) : strcspn(s, " ");
    put(a, "late_counts", arena_strndup(&a->mem, s, n));
    if (!error)
        return;
    error += strlen(ANNOTATION_ERROR);
    n = strlen(error);
    const size_t unit = strlen(ANNOTATION_COUNTS);
    if (n > unit && strcmp(error + n - unit, ANNOTATION_COUNTS) == 0)
        n -= unit;
    put(a, "late_error", arena_strndup(&a->mem, error, n));
}

/* What stands before a word of the text, which goes on behind it; without it all of the text. */
static char *before(struct annotation *a, const char **text, const char *word)
{
    const char *at = strstr(*text, word), *from = *text;
    const size_t n = at ? (size_t)(at - from) : strlen(from);
    *text = at ? at + strlen(word) : from + n;
    return arena_strndup(&a->mem, from, n);
}

/* "interval 1.4 +- 0.2 of 2"; a kind may be of two words. */
static void put_measure(struct annotation *a, const char *s)
{
    const char *is = before(a, &s, ANNOTATION_OF), *of = s;
    char *value = before(a, &is, ANNOTATION_ERROR), *blank = strrchr(value, ' ');
    if (blank)
        *blank = '\0';
    put(a, "measure", value);
    put(a, "measure_value", blank ? blank + 1 : "");
    put(a, "measure_error", is);
    put(a, "measure_of", of);
}

/* "12.5 across, 28 in depth" */
static void put_place(struct annotation *a, const char *s)
{
    put(a, "across", before(a, &s, ANNOTATION_ACROSS));
    put(a, "depth", before(a, &s, ANNOTATION_DEPTH));
}

/* False when it is nobody's judgement of ours. */
static bool put_judged(struct annotation *a, const char *s)
{
    static const struct {
        const char *begins, *column;
    } words[] = {{ANNOTATION_SEVERITY, "severity"},
                 {ANNOTATION_CAUSE, "cause"},
                 {ANNOTATION_STATE, "state"}};
    for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
        const size_t n = strlen(words[i].begins);
        if (strncmp(s, words[i].begins, n) != 0)
            continue;
        put(a, words[i].column, s + n);
        return true;
    }
    if (strncmp(s, ANNOTATION_LATE, strlen(ANNOTATION_LATE)) == 0)
        put_late(a, s + strlen(ANNOTATION_LATE));
    else if (strncmp(s, ANNOTATION_MEASURED, strlen(ANNOTATION_MEASURED)) == 0)
        put_measure(a, s + strlen(ANNOTATION_MEASURED));
    else if (strncmp(s, ANNOTATION_PLACE, strlen(ANNOTATION_PLACE)) == 0)
        put_place(a, s + strlen(ANNOTATION_PLACE));
    else if (strcmp(s, ANNOTATION_PRAISE) == 0)
        put(a, "praise", "yes");
    else
        return false;
    return true;
}

static bool put_body(struct annotation *a, const json_t *body)
{
    const json_t *purpose = json_object_get(body, "purpose");
    const char *value = text_of(body, "value");
    if (!*value)
        return false;
    if (says(purpose, ANNOTATION_FAULT))
        put(a, "fault", value);
    else if (says(purpose, ANNOTATION_TAG))
        join(a, "target", value, ";");
    else if (says(purpose, ANNOTATION_CLIP))
        put(a, "clip", value);
    else if (says(purpose, ANNOTATION_JUDGED))
        return put_judged(a, value);
    else if (!purpose || says(purpose, ANNOTATION_NOTE))
        join(a, "note", value, "\n");
    else
        return false;
    return true;
}

static void put_bodies(struct annotation *a, const json_t *o)
{
    const json_t *body = json_object_get(o, "body"), *creator = json_object_get(o, "creator");
    for (size_t i = 0; i < many(body); i++)
        a->r->passed += !put_body(a, one(body, i));
    if (*text_of(o, "bodyValue")) /* section 3.2.5: a note by itself */
        join(a, "note", text_of(o, "bodyValue"), "\n");
    creator = one(creator, 0);
    const char *name = json_string_value(one(json_object_get(creator, "name"), 0));
    name = name ? name : json_string_value(creator);
    if (name)
        put(a, "author", name);
}

/* --- the target ------------------------------------------------------------------------------- */

static void put_time(struct annotation *a, const char *column, int64_t us)
{
    put(a, column, arena_printf(&a->mem, "%" PRId64 ".%06" PRId64, us / 1000000, us % 1000000));
}

/* An IRI of the clip, with or without a fragment; a label that a body says comes before it. */
static void put_source(struct annotation *a, const char *iri)
{
    const size_t n = strcspn(iri, "#");
    char *path = arena_alloc(&a->mem, n + 1);
    if (*got(a, "clip") || n == 0)
        return;
    put(a, "clip", fragment_decode(iri, n, path) ? path : iri);
    if (strncmp(got(a, "clip"), "file://", 7) == 0)
        put(a, "clip", got(a, "clip") + 7);
}

static const char *fragment_of(const json_t *target, const char *iri)
{
    const json_t *selector = json_object_get(target, "selector");
    for (size_t i = 0; i < many(selector); i++) {
        const json_t *s = one(selector, i);
        const char *conforms = text_of(s, "conformsTo");
        if (says(json_object_get(s, "type"), "FragmentSelector") &&
            (!*conforms || strcmp(conforms, ANNOTATION_FRAGMENTS) == 0))
            return text_of(s, "value");
    }
    const char *hash = strchr(iri, '#');
    return hash ? hash + 1 : "";
}

static bool put_target(struct annotation *a, const json_t *o)
{
    const json_t *targets = json_object_get(o, "target"), *target = one(targets, 0),
                 *source = json_object_get(target, "source");
    struct fragment_time t;
    const char *iri = json_is_string(target)   ? json_string_value(target)
                      : json_is_string(source) ? json_string_value(source)
                      : source                 ? text_of(source, "id")
                                               : text_of(target, "id");
    put_source(a, iri);
    if (many(targets) > 1)
        return lacks(a, "time", "several targets, and a mark has one moment; part them");
    const char *fragment = fragment_of(target, iri);
    if (!fragment_time(fragment, &t))
        return *fragment
                   ? table_error(&a->row, header_column(a->r->columns, "time"), a->r->e,
                                 "'%s' says no moment; write t=65.2 (Media Fragments URI 1.0)",
                                 fragment)
                   : lacks(a, "time",
                           "no moment; the target needs a FragmentSelector with t=65.2 (Media "
                           "Fragments URI 1.0)");
    put_time(a, "time", t.from_us);
    if (t.to_us >= 0)
        put_time(a, "end", t.to_us);
    return true;
}

/* --- annotations ------------------------------------------------------------------------------ */

static bool whole(struct annotation *a, const json_t *o)
{
    static const struct {
        const char *column, *what;
    } needed[] = {
        {"clip", "no clip; the target needs a source"},
        {"target", "no tag says whom; give a body with the purpose tagging and a section or a "
                   "performer"},
        {"fault", "no tag says what; give a body with the purposes tagging and classifying and a "
                  "fault"},
    };
    if (!says(json_object_get(o, "type"), "Annotation"))
        return lacks(a, "target", "this is no Annotation");
    put_bodies(a, o);
    bool ok = put_target(a, o);
    for (size_t i = 0; i < sizeof needed / sizeof *needed; i++)
        if (!*got(a, needed[i].column))
            ok = lacks(a, needed[i].column, needed[i].what);
    return ok;
}

/* False when the reading ends here. */
static bool read_one(struct reading *r, const json_t *o, int number)
{
    struct annotation a = {.r = r, .row = {.source = r->source, .columns = r->columns}};
    const size_t wrong = r->talk->n_wrong;
    snprintf(a.name, sizeof a.name, "annotation %d", number);
    a.row.item = a.name;
    a.row.talk = r->talk;
    a.row.line = number;
    for (int k = 0; r->columns[k].name; k++)
        a.row.cell[k] = "";
    const bool ok = whole(&a, o) && r->fn(r->ctx, &a.row, r->e);
    arena_free(&a.mem);
    return ok || (r->all && r->talk->n_wrong > wrong);
}

/* The annotations of a document: a list, or one. */
static const json_t *items_of(const json_t *root)
{
    const json_t *first = json_object_get(root, "first"), *items = json_object_get(root, "items");
    return json_is_array(root)               ? root
           : json_is_object(first)           ? json_object_get(first, "items")
           : items                           ? items
           : json_object_get(root, "target") ? root
                                             : NULL;
}

static void note_rest(struct reading *r, const json_t *root, size_t n)
{
    const json_int_t total = json_integer_value(json_object_get(root, "total"));
    if (r->talk->notes.n)
        return;
    if (r->passed)
        buf_printf(&r->talk->notes, "%s: %d bod%s passed over\n", r->source, r->passed,
                   r->passed == 1 ? "y of another purpose is" : "ies of other purposes are");
    if (total > (json_int_t)n)
        buf_printf(&r->talk->notes,
                   "%s: the collection has %" JSON_INTEGER_FORMAT
                   " annotations, and %zu are in this file\n",
                   r->source, total, n);
}

static bool read_all(struct reading *r, const json_t *root)
{
    const json_t *items = items_of(root);
    const size_t n = many(items);
    r->talk->no_rows = true;
    if (n == 0)
        return err_set(
            r->e, ERR_INPUT,
            "%s: no annotations in it; an AnnotationCollection has them in a page, under "
            "\"first\" and \"items\"",
            r->source);
    for (size_t i = 0; i < n; i++)
        if (!read_one(r, one(items, i), (int)i + 1)) {
            return r->talk->n_wrong && !r->all ? table_sound(r->talk, r->source, false, r->e)
                                               : false;
        }
    note_rest(r, root, n);
    return table_sound(r->talk, r->source, r->all, r->e);
}

bool annotations_are(const struct table_text *text)
{
    const char *s = text->bytes;
    size_t n = text->n;
    for (; n > 0 && strchr("\xef\xbb\xbf \t\r\n", *s); n--)
        s++;
    return n > 0 && (*s == '{' || *s == '[');
}

bool annotations_read(const struct table_text *text, const struct table_column *columns,
                      table_row_fn *fn, void *ctx, struct err *e)
{
    json_error_t why;
    struct table_talk own = {0};
    const size_t mark = text->n >= 3 && memcmp(text->bytes, "\xef\xbb\xbf", 3) == 0 ? 3 : 0;
    json_t *root = json_loadb(text->bytes + mark, text->n - mark, 0, &why);
    if (!root)
        return err_set(e, ERR_INPUT, "%s:%d:%d: this is no JSON: %s", text->source, why.line,
                       why.column, why.text);
    struct reading r = {.source = text->source,
                        .columns = columns,
                        .fn = fn,
                        .ctx = ctx,
                        .talk = text->talk ? text->talk : &own,
                        .all = text->talk != NULL,
                        .e = e};
    const bool ok = read_all(&r, root);
    json_decref(root);
    table_talk_free(&own);
    return ok;
}
