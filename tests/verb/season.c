#include "verb/season.h"

#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "base/buf.h"

int boxcall_main(int argc, char **argv); /* main() of src/main.c under another name */
extern char **environ;

static const char sections[] = "section,parent,key,words\n"
                               "ensemble,,e,everyone;band\n"
                               "winds,ensemble,w,\n"
                               "brass,winds,b,\n"
                               "trumpets,brass,t,trumpet;tpts\n"
                               "tubas,brass,u,tuba\n"
                               "drums,ensemble,d,percussion\n";
static const char roster[] = "performer,name,section\n"
                             "T1,Ada Fenwright,trumpets\n"
                             "T2,Milo Tarrasch,trumpets\n"
                             "T3,Junia Oberholt,trumpets\n"
                             "U1,Pia Lindqvale,tubas\n"
                             "D1,Oren Halloway,drums\n";
static const char faults[] = "fault,family,key,cause,right,words\n"
                             "late arrival,timing,l,execute,On the dot on the last count.,late\n"
                             "horn angle,horns,h,execute,One angle on every count.,bell angle\n"
                             "feet apart at halt,feet & legs,f,execute,Heels together.,feet\n"
                             "style,definition,qs,define,,\n";
static const char sets[] = "set,counts,tempo,tempo_end,hold,measures,name\n"
                           "1,8,132,,0,2,opening\n"
                           "2,16,132,,0,4,\n"
                           "12A,16,132,144,1.5,4,wedge\n";

struct season season_empty(void)
{
    struct season s = {.dir = temp_dir()};
    s.setup = (struct run_setup){.dir = s.dir, .home = s.dir};
    return s;
}

struct run_setup season_in(const struct season *s, const char *in)
{
    struct run_setup setup = s->setup;
    setup.in = in;
    return setup;
}

/* --- running the program ------------------------------------------------------------------------
 */

static void become(const struct run_setup *s, int in, int out, int err, const char **argv)
{
    int argc = 0;
    while (argv[argc])
        argc++;
    if (s->out_to)
        out = open(s->out_to, O_WRONLY | O_CREAT | O_TRUNC, 0666);
    if (s->dir && chdir(s->dir) != 0)
        _exit(126);
    environ = child_env(s->home, s->env);
    dup2(in, STDIN_FILENO);
    dup2(out, STDOUT_FILENO);
    dup2(err, STDERR_FILENO);
    if (s->file_limit)
        setrlimit(RLIMIT_FSIZE, &(struct rlimit){s->file_limit, s->file_limit});
    signal(SIGPIPE, SIG_DFL);
    alarm(3 * DEADLINE_MS / 1000);
    exit(boxcall_main(argc, (char **)(uintptr_t)argv));
}

static const char *slurp(int fd, size_t *n)
{
    struct stat st;
    assert_int_equal(fstat(fd, &st), 0);
    char *text = arena_alloc(test_arena(), (size_t)st.st_size + 1);
    *n = (size_t)pread(fd, text, (size_t)st.st_size, 0);
    close(fd);
    return text;
}

struct run box(const struct run_setup *setup, ...)
{
    va_list rest;
    va_start(rest, setup);
    const char **argv = child_argv("boxcall", rest);
    va_end(rest);
    int in = memfd_create("in", 0), out = memfd_create("out", 0), err = memfd_create("err", 0);
    size_t n = setup->in ? setup->in_n ? setup->in_n : strlen(setup->in) : 0;
    assert_int_equal(pwrite(in, setup->in, n, 0), n);
    fflush(NULL);
    pid_t pid = fork();
    if (pid == 0)
        become(setup, in, out, err, argv);
    int status;
    assert_int_equal(waitpid(pid, &status, 0), pid);
    close(in);
    struct run r = {.status = child_status(status), .said = child_line(argv)};
    r.out = slurp(out, &r.out_n);
    r.err = slurp(err, &r.err_n);
    return r;
}

/* --- a clip: the shortest AVI (Microsoft RIFF, 1992) with uncompressed pictures ------------------
 */

static void put32(struct buf *b, unsigned x)
{
    for (int i = 0; i < 4; i++)
        buf_char(b, (char)(x >> 8 * i));
}

static void put_chunk(struct buf *b, const char *name, const struct buf *body)
{
    buf_add(b, name, 4);
    put32(b, (unsigned)body->n);
    buf_add(b, body->p, body->n);
}

static void put_list(struct buf *b, const char *kind, struct buf *body)
{
    struct buf list = {0};
    buf_add(&list, kind, 4);
    buf_add(&list, body->p, body->n);
    put_chunk(b, "LIST", &list);
    buf_free(&list);
    buf_free(body);
}

static void put_words(struct buf *b, const char *name, const unsigned *words, size_t n)
{
    struct buf body = {0};
    for (size_t i = 0; i < n; i++)
        put32(&body, words[i]);
    put_chunk(b, name, &body);
    buf_free(&body);
}

enum { VIDS = 0x73646976, PICTURE = 16 }; /* "vids"; bytes of 2 by 2 pixels, rows filled to 8 */

static void put_headers(struct buf *b, unsigned frames)
{
    const unsigned avih[14] = {1000000, PICTURE, 0, 0, frames, 0, 1, PICTURE, 2, 2};
    const unsigned strh[14] = {VIDS, 0, 0, 0, 0, 1, 1, 0, frames, PICTURE, 0, PICTURE, 0, 0x20002};
    const unsigned strf[10] = {40, 2, 2, 1 | 24 << 16, 0, PICTURE};
    struct buf strl = {0}, hdrl = {0};
    put_words(&strl, "strh", strh, 14);
    put_words(&strl, "strf", strf, 10);
    put_words(&hdrl, "avih", avih, 14);
    put_list(&hdrl, "strl", &strl);
    put_list(b, "hdrl", &hdrl);
}

const char *season_clip(const struct season *s, const char *name, int seconds, int shade)
{
    struct buf movi = {0}, riff = {0}, file = {0}, picture = {0};
    for (int i = 0; i < PICTURE; i++)
        buf_char(&picture, (char)shade);
    for (int i = 0; i < seconds; i++)
        put_chunk(&movi, "00db", &picture);
    buf_add(&riff, "AVI ", 4);
    put_headers(&riff, (unsigned)seconds);
    put_list(&riff, "movi", &movi);
    put_chunk(&file, "RIFF", &riff);
    const char *path = write_bytes(s->dir, name, file.p, file.n);
    buf_free(&picture);
    buf_free(&riff);
    buf_free(&file);
    return path;
}

static void must(struct run r)
{
    assert_exit(r, 0);
}

static void make(const struct season *s)
{
    must(BOX(s, "new", "a.show", "--title", "Larkspur"));
    static const struct {
        const char *what, *text, *how, *sure;
    } tables[] = {{"sections", sections, "--replace", "--yes"},
                  {"roster", roster, NULL, NULL},
                  {"faults", faults, "--replace", "--yes"},
                  {"sets", sets, NULL, NULL}};
    for (size_t i = 0; i < sizeof tables / sizeof *tables; i++) {
        struct run_setup setup = season_in(s, tables[i].text);
        must(
            box(&setup, "add", "a.show", tables[i].what, "-", tables[i].how, tables[i].sure, NULL));
    }
    must(BOX(s, "add", "a.show", "clip", "tue.avi", "--date", "2026-09-01"));
    must(BOX(s, "add", "a.show", "clip", "thu.avi", "--date", "2026-09-03"));
}

struct season season_new(void)
{
    static char *show;
    static size_t n;
    struct season s = season_empty();
    season_clip(&s, "tue.avi", 600, 40);
    season_clip(&s, "thu.avi", 300, 80);
    if (show) {
        write_bytes(s.dir, "a.show", show, n);
        return s;
    }
    make(&s);
    show = read_file(path_in(s.dir, "a.show"), &n);
    return s;
}

/* --- JSON ------------------------------------------------------------------------------------- */

static json_t *parsed; /* all of them, so that they are freed at the end */

static void free_parsed(void)
{
    json_decref(parsed);
}

json_t *json_out(struct run r)
{
    json_error_t why;
    assert_exit(r, 0);
    json_t *j = json_loadb(r.out, r.out_n, JSON_REJECT_DUPLICATES, &why);
    if (!j)
        fail_msg("'%s': line %d: %s in:\n%.400s", r.said, why.line, why.text, r.out);
    if (!parsed) {
        parsed = json_array();
        atexit(free_parsed);
    }
    json_array_append_new(parsed, j);
    return j;
}

json_t *json_at(const json_t *o, const char *key)
{
    json_t *j = json_object_get(o, key);
    if (!j)
        fail_msg("no member '%s'", key);
    return j;
}

const char *json_str(const json_t *o, const char *key)
{
    const char *s = json_string_value(json_at(o, key));
    if (!s)
        fail_msg("'%s' is no text", key);
    return s;
}

long long json_int(const json_t *o, const char *key)
{
    if (!json_is_integer(json_at(o, key)))
        fail_msg("'%s' is no whole number", key);
    return json_integer_value(json_at(o, key));
}

void ends_at(struct run r, int status, const char *file, int line)
{
    assert_exit_at(&r, status, file, line);
}

void assert_one_line_at(const struct run *r, const char *line, const char *file, int line_no)
{
    const char *want = arena_printf(test_arena(), "boxcall: %s\n", line);
    if (strcmp(r->err, want) == 0)
        return;
    print_error("'%s' said\n%sinstead of\n%s", r->said, r->err, want);
    _fail(file, line_no);
}
