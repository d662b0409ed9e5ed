#include "drill/drill.h"

#include <csv.h>

struct run well(struct run r)
{
    assert_exit(r, 0);
    return r;
}

const json_t *json_of(struct run r)
{
    static json_t *kept[600];
    static size_t n;
    json_error_t error;
    assert_exit(r, 0);
    json_t *o = json_loads(r.out, 0, &error);
    if (!o)
        fail_msg("%s: line %d: %s\n%s", r.said, error.line, error.text, r.out);
    assert_true(n < COUNT(kept));
    return kept[n++] = o;
}

void refused(struct run r, int status, const char *says)
{
    assert_exit(r, status);
    assert_string_equal(r.out, "");
    const char *end = strchr(r.err, '\n');
    if (!end || end[1])
        fail_msg("%s: not one line: %s", r.said, r.err);
    assert_contains(r.err, says);
    tame(r.err);
}

const char *flat(const char *text)
{
    char *out = arena_strdup(test_arena(), text), *to = out;
    for (const char *s = text; *s;) {
        const size_t blanks = strspn(s, " \n");
        if (blanks)
            *to++ = ' ';
        s += blanks;
        if (*s)
            *to++ = *s++;
    }
    *to = '\0';
    return out;
}

/* --- CSV ------------------------------------------------------------------------------------- */

struct sheet {
    size_t row, cell, width, want_row, want_cell;
    bool even;
    const char *found;
};

static void on_cell(void *bytes, size_t n, void *user)
{
    struct sheet *s = user;
    if (s->row == s->want_row && s->cell == s->want_cell)
        s->found = say("%.*s", (int)n, (const char *)bytes);
    s->cell++;
}

static void on_row(int end, void *user)
{
    struct sheet *s = user;
    (void)end;
    if (s->row == 0)
        s->width = s->cell;
    s->even &= s->cell == s->width;
    s->row++;
    s->cell = 0;
}

static struct sheet read_sheet(const char *text, size_t row, size_t cell)
{
    struct csv_parser p;
    struct sheet s = {.want_row = row, .want_cell = cell, .even = true};
    const size_t n = strlen(text);
    assert_int_equal(csv_init(&p, CSV_STRICT | CSV_STRICT_FINI | CSV_APPEND_NULL), 0);
    if (csv_parse(&p, text, n, on_cell, on_row, &s) != n || csv_fini(&p, on_cell, on_row, &s))
        fail_msg("%s\n%s", csv_strerror(csv_error(&p)), text);
    csv_free(&p);
    return s;
}

size_t csv_rows(const char *text)
{
    struct sheet s = read_sheet(text, 0, 0);
    if (!s.even)
        fail_msg("rows of different lengths:\n%s", text);
    bool quoted = false;
    for (const char *c = text; *c; c++) {
        quoted ^= *c == '"';
        if (*c == '\n' && !quoted && (c == text || c[-1] != '\r'))
            fail_msg("a line without CR (RFC 4180, section 2.1):\n%s", text);
    }
    return s.row;
}

const char *csv_at(const char *text, size_t row, size_t cell)
{
    struct sheet s = read_sheet(text, row, cell);
    if (!s.found)
        fail_msg("no cell %zu in row %zu:\n%s", cell, row, text);
    return s.found;
}

void tame(const char *text)
{
    for (const char *c = text; *c; c++)
        if (((unsigned char)*c < ' ' && *c != '\n' && *c != '\r') || *c == 0x7f)
            fail_msg("control character 0x%02x in: %s", (unsigned)*c, text);
}

/* --- JSON ------------------------------------------------------------------------------------ */

static const json_t *member(const json_t *o, const char *key)
{
    const json_t *v = json_object_get(o, key);
    if (!v)
        fail_msg("no '%s'", key);
    return v;
}

double number_at(const json_t *o, const char *key)
{
    const json_t *v = member(o, key);
    if (!json_is_number(v))
        fail_msg("'%s' is no number", key);
    return json_number_value(v);
}

const char *text_at(const json_t *o, const char *key)
{
    const json_t *v = member(o, key);
    if (!json_is_string(v) && !json_is_null(v))
        fail_msg("'%s' is no text", key);
    return json_string_value(v);
}

bool null_at(const json_t *o, const char *key)
{
    return json_is_null(member(o, key));
}

const json_t *row(const json_t *list, size_t i)
{
    const json_t *v = json_array_get(list, i);
    if (!v)
        fail_msg("no row %zu", i);
    return v;
}

const json_t *row_with(const json_t *list, const char *key, const char *text)
{
    for (size_t i = 0; i < json_array_size(list); i++) {
        const char *v = json_string_value(json_object_get(json_array_get(list, i), key));
        if (v && strcmp(v, text) == 0)
            return json_array_get(list, i);
    }
    fail_msg("no row whose %s is '%s'", key, text);
    return NULL;
}

/* --- shows and clips ------------------------------------------------------------------------- */

const char *say(const char *format, ...)
{
    char text[16384];
    va_list args;
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    return arena_strdup(test_arena(), text);
}

const char *gray_clip(int seconds)
{
    static struct {
        int seconds;
        const char *path;
    } made[16];
    size_t i = 0;
    while (i < COUNT(made) && made[i].path && made[i].seconds != seconds)
        i++;
    assert_true(i < COUNT(made));
    if (!made[i].path) {
        made[i].seconds = seconds;
        made[i].path = path_in(temp_dir(), say("gray-%d.mp4", seconds));
        well(run("ffmpeg", "-nostdin", "-v", "error", "-f", "lavfi", "-i",
                 say("color=c=gray:s=64x36:r=%s", seconds < 3600 ? "1" : "1/60"), "-t",
                 say("%d", seconds), "-c:v", "libx264", "-preset", "ultrafast", "-pix_fmt",
                 "yuv420p", made[i].path, NULL));
    }
    return made[i].path;
}

const char *new_show(const char *sets, const char *roster)
{
    const char *dir = temp_dir(), *show = path_in(dir, "larkspur.show");
    box_ok("new", show, "--title", "Larkspur");
    if (sets)
        well(run_in(sets, "boxcall", "add", show, "sets", "-", NULL));
    if (roster)
        well(run_in(roster, "boxcall", "add", show, "roster", "-", NULL));
    return show;
}

void add_clip(const char *show, const char *path, const char *label, const char *date)
{
    box_ok("add", show, "clip", path, "--label", label, "--date", date);
}

void add_marks(const char *show, const char *csv)
{
    well(run_in(csv, "boxcall", "add", show, "marks", "-", NULL));
}
