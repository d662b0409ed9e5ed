#include "review/stage.h"

#include <sys/stat.h>
#include <unistd.h>

#include <jansson.h>

/* --- clips and the show ---------------------------------------------------------------------- */

static const char *clip_named(const char *name, const char *make)
{
    const char *folder = getenv("BOXCALL_CLIPS");
    folder = folder && *folder ? folder : "/tmp/boxcall-clips";
    mkdir(folder, 0777);
    const char *path = path_in(folder, name);
    if (access(path, R_OK) == 0)
        return path;
    /* Made beside its place and moved there: two test programs may want it at once. */
    const char *temp = arena_printf(test_arena(), "%s.%d.mp4", path, (int)getpid());
    struct run r = run("sh", "-c", arena_printf(test_arena(), "%s '%s'", make, temp), NULL);
    assert_exit(r, 0);
    assert_int_equal(rename(temp, path), 0);
    return path;
}

static const char *made_clip(const char *name, int seconds, const char *rate)
{
    return clip_named(
        name, arena_printf(test_arena(),
                           "ffmpeg -nostdin -v error -y -f lavfi -i testsrc2=s=320x180:r=%s "
                           "-f lavfi -i sine=f=440:r=44100 -t %d -c:v libx264 -preset veryfast "
                           "-crf 30 -g 30 -pix_fmt yuv420p -c:a aac",
                           rate, seconds));
}

const char *clip_run(void)
{
    return made_clip("run.mp4", 20, "30");
}

const char *clip_stands(void)
{
    return made_clip("stands.mp4", 6, "30");
}

const char *clip_drop(void)
{
    return made_clip("drop.mp4", 20, "30000/1001");
}

static const char roster[] = "performer,name,section\n"
                             "T1,Ada Finch,trumpets\n"
                             "T2,Bo Larkin,trumpets\n"
                             "T3,Cy Moss,trumpets\n"
                             "T4,Di Reed,trumpets\n"
                             "T5,Eli Stone,trumpets\n"
                             "T6,Flo Tarn,trumpets\n"
                             "T7,Gus Vale,trumpets\n"
                             "T8,Hal Wick,trumpets\n"
                             "M1,Ida Yarrow,mellophones\n"
                             "M2,Jo Ash,mellophones\n"
                             "M3,Kit Birch,mellophones\n"
                             "M4,Lu Cedar,mellophones\n"
                             "U1,Max Dale,tubas\n"
                             "U2,Nan Elm,tubas\n"
                             "U3,Oz Fern,tubas\n";
static const char sets[] = "set,counts,tempo,name\n"
                           "1,16,120,opener\n"
                           "2,8,120,wedge\n"
                           "3,16,120,arc\n";

/* Made once per test program and copied for each test. */
static const char *template_show(void)
{
    static const char *show;
    if (show)
        return show;
    const char *dir = temp_dir(), *me = getenv("BOXCALL_AUTHOR");
    me = me ? arena_strdup(test_arena(), me) : NULL;
    setenv("BOXCALL_AUTHOR", "The office", 1); /* whose tables the reviewer does not take back */
    show = path_in(dir, "larkspur.show");
    must(run("boxcall", "new", show, "--title", "Larkspur", NULL));
    must(run_in(roster, "boxcall", "add", show, "roster", "-", NULL));
    must(run_in(sets, "boxcall", "add", show, "sets", "-", NULL));
    must(run("boxcall", "add", show, "clip", clip_run(), "--date", "2026-09-14", NULL));
    must(run("boxcall", "add", show, "clip", clip_stands(), "--date", "2026-09-14", NULL));
    if (me)
        setenv("BOXCALL_AUTHOR", me, 1);
    return show;
}

struct stage stage_new(void)
{
    struct stage s = {.dir = temp_dir(), .home = temp_dir()};
    size_t n;
    const char *bytes = read_file(template_show(), &n);
    s.show = write_bytes(s.dir, "larkspur.show", bytes, n);
    return s;
}

/* --- the program ----------------------------------------------------------------------------- */

void stage_start(struct stage *s, const struct term_setup *setup, const char *clip)
{
    struct term_setup mine = setup ? *setup : (struct term_setup){0};
    mine.home = s->home;
    const char *words[6] = {clip};
    for (size_t i = 0, n = clip != NULL; i < 4 && s->options[i]; i++)
        words[n++] = s->options[i];
    s->t = term_start(&mine, "boxcall", s->show, "--silent", words[0], words[1], words[2], words[3],
                      words[4], NULL);
}

static bool frame_shown(void *user)
{
    struct stage *s = user;
    int row, col;
    if (!term_find(s->t, "x f", &row, &col) && !term_find(s->t, "loop f", &row, &col))
        return false;
    const char *f = NULL; /* the last: words of the rail may stand in the same row */
    for (const char *p = term_row(s->t, row); (p = strstr(p, " f")) != NULL; p++)
        f = p;
    return f && strspn(f + 2, "0123456789") > 0;
}

void stage_open(struct stage *s, const struct term_setup *setup, const char *clip)
{
    stage_start(s, setup, clip);
    term_wait_until(s->t, frame_shown, s, "the first frame's number");
}

void stage_quit(struct stage *s)
{
    term_keys(s->t, "Ctrl-q");
    assert_int_equal(term_wait_exit(s->t), 0);
    term_assert_restored(s->t);
    stage_close(s);
}

void stage_close(struct stage *s)
{
    term_close(s->t);
    s->t = NULL;
}

/* --- the transport line ---------------------------------------------------------------------- */

int stage_transport(struct stage *s)
{
    int row, col;
    term_wait_until(s->t, frame_shown, s, "the transport line");
    if (!term_find(s->t, "x f", &row, &col))
        term_find(s->t, "loop f", &row, &col);
    return row;
}

static long frame_now(struct stage *s)
{
    int row = stage_transport(s);
    const char *text = term_row(s->t, row), *f = NULL;
    for (const char *p = text; (p = strstr(p, " f")) != NULL; p++)
        f = p; /* the last: a set's label may hold one too */
    return f ? strtol(f + 2, NULL, 10) : -1;
}

long stage_frame(struct stage *s)
{
    return frame_now(s);
}

struct wanted {
    struct stage *s;
    long frame;
};

static bool is_frame(void *user)
{
    struct wanted *w = user;
    return frame_shown(w->s) && frame_now(w->s) == w->frame;
}

static bool is_past(void *user)
{
    struct wanted *w = user;
    return frame_shown(w->s) && frame_now(w->s) > w->frame;
}

void stage_wait_frame(struct stage *s, long frame)
{
    struct wanted w = {s, frame};
    term_wait_until(s->t, is_frame, &w, arena_printf(test_arena(), "frame %ld", frame));
}

void stage_wait_past(struct stage *s, long frame)
{
    struct wanted w = {s, frame};
    term_wait_until(s->t, is_past, &w, arena_printf(test_arena(), "a frame past %ld", frame));
}

static bool plays(void *user)
{
    struct stage *s = user;
    return term_has(s->t, "▶ ") || term_has(s->t, "> 0:");
}

static bool stands(void *user)
{
    struct stage *s = user;
    return term_has(s->t, "■ ") || term_has(s->t, "# 0:");
}

void stage_play(struct stage *s)
{
    term_keys(s->t, "Space");
    term_wait_until(s->t, plays, s, "playing");
}

void stage_halt(struct stage *s)
{
    term_keys(s->t, "Space");
    term_wait_until(s->t, stands, s, "standing still");
    term_wait_idle(s->t);
}

void stage_line(struct stage *s, const char *line)
{
    term_keys(s->t, ":");
    term_wait_row(s->t, -1, " :");
    term_type(s->t, line);
    term_keys(s->t, "Enter");
}

void stage_go(struct stage *s, long frame)
{
    stage_line(s, arena_printf(test_arena(), "seek %.4f", (double)frame / FPS));
    stage_wait_frame(s, frame);
    term_wait_idle(s->t);
}

static bool a_call_is_chosen(struct stage *s)
{
    for (int row = stage_transport(s) + 1; row < term_rows(s->t) - 1; row++)
        for (int col = 0; col < term_cols(s->t); col++)
            if (term_cell(s->t, row, col).reverse)
                return true;
    return false;
}

static bool is_calm(struct stage *s)
{
    return strstr(term_row(s->t, -1), "letters mark:") && !strstr(term_row(s->t, 0), "only '") &&
           !a_call_is_chosen(s);
}

/* What the last test's keys did may not be on the screen yet. */
void stage_calm(struct stage *s)
{
    term_wait_idle(s->t);
    for (int i = 0; i < 6 && !is_calm(s); i++) {
        term_keys(s->t, "Esc");
        term_wait_idle(s->t);
    }
    assert_true(is_calm(s));
}

struct wanted_call {
    struct stage *s;
    const char *time, *has, *lacks;
};

static bool call_is_so(void *user)
{
    struct wanted_call *w = user;
    if (!frame_shown(w->s))
        return false;
    for (int row = stage_transport(w->s) + 1; row < term_rows(w->s->t) - 1; row++) {
        const char *text = term_row(w->s->t, row);
        if (strstr(text, w->time) && strstr(text, w->has) && !(w->lacks && strstr(text, w->lacks)))
            return true;
    }
    return false;
}

void stage_wait_call(struct stage *s, const char *time, const char *has, const char *lacks)
{
    struct wanted_call w = {s, time, has, lacks};
    term_wait_until(s->t, call_is_so, &w,
                    arena_printf(test_arena(), "call %s with '%s'", time, has));
}

/* --- the show file --------------------------------------------------------------------------- */

static const char *joined(const json_t *list)
{
    const char *all = "";
    size_t i;
    const json_t *item;
    json_array_foreach(list, i, item) all =
        arena_printf(test_arena(), "%s%s%s", all, i ? "," : "", json_string_value(item));
    return all;
}

static const char *text_of(const json_t *row, const char *key)
{
    const char *s = json_string_value(json_object_get(row, key));
    return s ? arena_strdup(test_arena(), s) : "";
}

static struct call call_of(const json_t *row)
{
    struct call c = {
        .id = json_integer_value(json_object_get(row, "id")),
        .ms = (long)json_integer_value(json_object_get(row, "ms")),
        .who = joined(json_object_get(row, "targets")),
        .fault = text_of(row, "fault"),
        .note = text_of(row, "note"),
        .cause = text_of(row, "cause"),
        .author = text_of(row, "author"),
        .set = text_of(row, "set"),
        .count = json_number_value(json_object_get(row, "count")),
        .severity = (int)json_integer_value(json_object_get(row, "severity")),
        .praise = json_is_true(json_object_get(row, "praise")),
    };
    long near = (c.ms * FPS + 500) / 1000;
    c.frame = labs(near * 1000 - c.ms * FPS) <= FPS ? near : -1; /* whole milliseconds are kept */
    return c;
}

size_t stage_calls(const struct stage *s, const char *clip, struct call out[CALLS_MOST])
{
    struct run r = run("boxcall", "calls", s->show, clip, "--as", "json", NULL);
    assert_exit(r, 0);
    json_t *rows = json_loads(r.out, 0, NULL);
    assert_non_null(rows);
    size_t n = json_array_size(rows);
    assert_true(n <= CALLS_MOST);
    for (size_t i = 0; i < n; i++)
        out[i] = call_of(json_array_get(rows, i));
    json_decref(rows);
    return n;
}

struct call stage_only_call(const struct stage *s)
{
    static struct call rows[CALLS_MOST];
    assert_int_equal(stage_calls(s, "run", rows), 1);
    return rows[0];
}

struct call stage_newest_call(const struct stage *s)
{
    static struct call rows[CALLS_MOST];
    size_t n = stage_calls(s, "run", rows), best = 0;
    assert_true(n > 0);
    for (size_t i = 1; i < n; i++)
        best = rows[i].id > rows[best].id ? i : best;
    return rows[best];
}

const char *stage_json(const struct stage *s)
{
    struct run r = run("boxcall", "calls", s->show, "run", "--as", "json", NULL);
    assert_exit(r, 0);
    return r.out;
}

void stage_mark(const struct stage *s, const char *time, const char *who, const char *fault)
{
    must(run("boxcall", "mark", s->show, "run", time, who, fault, NULL));
}
