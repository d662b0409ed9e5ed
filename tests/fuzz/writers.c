/* Names, notes and labels of any text, through every writer of call lists and fix lists. The CSV
 * reads back as what was written (a guard against spreadsheets is taken off again), the JSON is
 * JSON, nothing that is printed for a person has a control character in it. */
#include <stdlib.h>
#include <string.h>

#include <jansson.h>

#include "base/utf8.h"
#include "fuzz/fuzz.h"
#include "paper/paper.h"
#include "paper/table.h"
#include "show/annotations.h"
#include "show/table.h"

enum { TEXTS = 4 };

static struct arena mem;

/* The input's lines: a note, an author, a title, a clip's label. */
static void split(const char *all, const char *out[TEXTS])
{
    for (int i = 0; i < TEXTS; i++) {
        size_t n = strcspn(all, "\n");
        out[i] = arena_strndup(&mem, all, n);
        all += n + (all[n] != '\0');
    }
}

static const char *trimmed(const char *s)
{
    const char *at = s + strspn(s, " \t\r\n");
    while (strncmp(at, "\u00a0", 2) == 0 || (*at && strchr(" \t\r\n", *at)))
        at += *at == '\xc2' ? 2 : 1;
    size_t n = strlen(at);
    for (;;) {
        if (n && strchr(" \t\r\n", at[n - 1]))
            n -= 1;
        else if (n > 1 && strncmp(at + n - 2, "\u00a0", 2) == 0)
            n -= 2;
        else
            return arena_strndup(&mem, at, n);
    }
}

static bool same_cell(const char *cell, const char *text)
{
    return strcmp(trimmed(cell), trimmed(text)) == 0;
}

static bool on_row(void *ctx, const struct table_row *row, struct err *e)
{
    const char *const *texts = ctx;
    (void)e;
    PROVE(same_cell(row->cell[0], texts[0]) && same_cell(row->cell[1], texts[1]));
    return true;
}

static void csv(const struct call_report *r, const char *texts[TEXTS], bool semicolons)
{
    static const struct table_column columns[] = {
        {.name = "note", .required = true}, {.name = "author", .required = true}, {.name = NULL}};
    struct buf out = {0};
    struct err e = {0};
    calls_csv(r, &out);
    if (semicolons)
        table_semicolons(calls_columns, &out);
    bool valid = utf8_check(out.p, out.n) == out.n;
    if (!table_read(&(struct table_text){out.p, out.n, "x.csv", NULL}, columns, on_row, texts,
                    &e)) {
        prove_error(&e);
        PROVE(!valid);
    }
    buf_free(&out);
}

enum { CLIP, TIME, TARGET, FAULT, NOTE, AUTHOR };
static const struct table_column marks[] = {[CLIP] = {.name = "clip"},
                                            [TIME] = {.name = "time"},
                                            [TARGET] = {.name = "target"},
                                            [FAULT] = {.name = "fault"},
                                            [NOTE] = {.name = "note"},
                                            [AUTHOR] = {.name = "author"},
                                            {.name = "severity"},
                                            {.name = "cause"},
                                            {.name = "praise"},
                                            {.name = "state"},
                                            {.name = "late_counts"},
                                            {.name = "late_error"},
                                            {.name = "measure"},
                                            {.name = "measure_value"},
                                            {.name = "measure_error"},
                                            {.name = "measure_of"},
                                            {.name = "across"},
                                            {.name = "depth"},
                                            {.name = "end"},
                                            {.name = NULL}};

/* Not a byte is lost or trimmed, though it went by what keeps a terminal safe. */
static bool on_annotation(void *ctx, const struct table_row *row, struct err *e)
{
    const char *const *texts = ctx;
    (void)e;
    PROVE(strcmp(row->cell[NOTE], texts[0]) == 0 && strcmp(row->cell[AUTHOR], texts[1]) == 0);
    PROVE(!*texts[3] || strcmp(row->cell[CLIP], texts[3]) == 0);
    return true;
}

static void annotations(const struct call_report *r, const char *texts[TEXTS])
{
    struct buf out = {0};
    struct err e = {0};
    bool valid = true;
    for (int i = 0; i < TEXTS; i++)
        valid &= utf8_check(texts[i], strlen(texts[i])) == strlen(texts[i]);
    calls_annotations(r, &out);
    tame_lines(&out);
    const struct table_text text = {out.p, out.n, "x.json", NULL};
    PROVE(annotations_are(&text));
    if (valid && *texts[3] && !annotations_read(&text, marks, on_annotation, texts, &e))
        fuzz_broken(e.text, out.p, 0);
    buf_free(&out);
}

/* Every line is one of the format's own, whatever the texts are. */
static void chapters(const struct call_report *r)
{
    static const char *const lines[] = {
        ";FFMETADATA1\n", "\n", "[CHAPTER]\n", "TIMEBASE=1/1000\n", "START=", "END=", "title="};
    struct buf out = {0};
    calls_chapters(r, &out);
    for (const char *line = out.p; *line; line += strcspn(line, "\n") + 1) {
        bool known = false;
        for (size_t i = 0; i < sizeof lines / sizeof *lines; i++)
            known |= strncmp(line, lines[i], strlen(lines[i])) == 0;
        PROVE(known && strchr(line, '\n'));
    }
    buf_free(&out);
}

static void json(const struct call_report *r)
{
    struct buf out = {0};
    calls_json(r, &out);
    json_t *j = json_loadb(out.p, out.n, JSON_REJECT_DUPLICATES, NULL);
    PROVE(json_array_size(j) == r->n_marks);
    for (size_t i = 0; i < out.n; i++)
        PROVE((unsigned char)out.p[i] >= 0x20 || out.p[i] == '\n');
    json_decref(j);
    buf_free(&out);
}

static void vtt(const struct call_report *r)
{
    struct buf out = {0};
    size_t arrows = 0;
    calls_vtt(r, &out);
    for (const char *p = out.p; (p = strstr(p, "-->")) != NULL; p += 3)
        arrows++;
    PROVE(arrows == r->n_marks); /* no text passes for a cue's times */
    for (size_t i = 0; i < out.n; i++)
        PROVE((unsigned char)out.p[i] >= 0x20 || out.p[i] == '\n');
    buf_free(&out);
}

/* As main() does before it prints. */
static void text(const struct call_report *r)
{
    struct buf out = {0};
    calls_text(r, &out);
    tame_lines(&out);
    prove_utf8(out.p, out.n);
    for (size_t i = 0, took; i < out.n; i += took) {
        uint32_t c = utf8_next(out.p + i, out.n - i, &took);
        PROVE(c == '\n' || c == '\t' || !utf8_is_control(c));
    }
    buf_free(&out);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n)
{
    char *all = fuzz_string(data, n);
    const char *texts[TEXTS];
    split(all, texts);
    const struct target targets[] = {{2, 0}, {3, -1}};
    const struct mark m = {.id = 7,
                           .at_us = (int64_t)n * 1000003,
                           .end_us = -1,
                           .targets = targets,
                           .n_targets = 2,
                           .fault = 1,
                           .severity = 1 + (int)(n % 3),
                           .note = texts[0],
                           .author = texts[1],
                           .set = (int)(n % 5) - 1,
                           .count = 3.25};
    const struct call_report r = {
        .show = fuzz_band(),
        .title = texts[2],
        .clip = {.label = texts[3], .link = texts[3], .path = "/clips/x.mp4", .date = "2026-09-01"},
        .length_us = 10000000000,
        .marks = &m,
        .n_marks = 1,
        .of_clip = {"c", "2026-09-01T00:00:00.000Z"},
        .born = &(struct call_birth){"m", "2026-09-01T00:00:00.000Z"}};
    csv(&r, texts, false);
    csv(&r, texts, true);
    annotations(&r, texts);
    chapters(&r);
    json(&r);
    vtt(&r);
    text(&r);
    arena_free(&mem);
    free(all);
    return 0;
}
