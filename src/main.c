/* Looks a verb up and calls it. The only place that prints for a verb, sets the locale or ends the
 * program. */
#include <errno.h>
#include <langinfo.h>
#include <locale.h>
#include <signal.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include "base/near.h"
#include "sys/file.h"
#include "verb/verbs.h"

static bool write_out(const struct buf *b, int fd)
{
    for (size_t done = 0; done < b->n;) {
        ssize_t n = write(fd, b->p + done, b->n - done);
        if (n < 0 && errno != EINTR)
            return false;
        done += n > 0 ? (size_t)n : 0;
    }
    return true;
}

static bool ask(const char *question)
{
    char answer[16] = "";
    fputs(question, stderr);
    fflush(stderr);
    return fgets(answer, sizeof answer, stdin) && (answer[0] == 'y' || answer[0] == 'Y');
}

/* --- long work -------------------------------------------------------------------------------- */

static atomic_bool stop;
static struct told {
    char what[40];
    int percent;
} told;

static void on_interrupt(int signal)
{
    (void)signal;
    atomic_store(&stop, true);
}

/* A bar that stays in its line on a terminal; else a line now and then. */
static void progress(const char *what, double part)
{
    enum { BAR = 30, EVERY = 25 };
    static const char full[] = "##############################",
                      none[] = "..............................";
    const int percent = part >= 1 ? 100 : part > 0 ? (int)(part * 100) : 0;
    const bool other = strcmp(what, told.what) != 0, bar = isatty(STDERR_FILENO);
    if (!other && (percent == told.percent || (!bar && percent / EVERY == told.percent / EVERY)))
        return;
    snprintf(told.what, sizeof told.what, "%s", what);
    told.percent = percent;
    if (bar)
        fprintf(stderr, "\r\033[K%.*s%.*s %3d %% %s", percent * BAR / 100, full,
                BAR - percent * BAR / 100, none, percent, what);
    else
        fprintf(stderr, "%s: %d %%\n", what, percent);
    fflush(stderr);
}

static void end_progress(void)
{
    if (*told.what && isatty(STDERR_FILENO))
        fputs("\r\033[K", stderr);
}

static void begin_long_work(struct call *c)
{
    sigaction(SIGINT, &(struct sigaction){.sa_handler = on_interrupt, .sa_flags = SA_RESETHAND},
              NULL);
    sigaction(SIGTERM, &(struct sigaction){.sa_handler = on_interrupt, .sa_flags = SA_RESETHAND},
              NULL);
    c->progress = progress;
    c->stop = &stop;
}

static bool looks_like_show(const char *word)
{
    const char *dot = strrchr(word, '.');
    return strchr(word, '/') || (dot && strcmp(dot, ".show") == 0) || file_exists(word);
}

/* `boxcall SHOW [CLIP]` is `boxcall review SHOW [CLIP]`; options may stand before SHOW. */
static const struct verb *choose(int *argc, char ***argv, struct err *e)
{
    const char *word = (*argv)[0];
    const struct verb *v = verb_named(verbs, word);
    if (v) {
        (*argc)--;
        (*argv)++;
        return v;
    }
    if (looks_like_show(word) || strncmp(word, "--", 2) == 0)
        return verb_named(verbs, "review");
    struct near near = {.word = word};
    for (size_t i = 0; verbs[i]; i++)
        if (!verbs[i]->hidden)
            near_offer(&near, verbs[i]->name);
    err_set(e, ERR_USAGE, "no verb and no show file '%s'%s", word,
            near_said(&near, "; see boxcall help").text);
    return NULL;
}

static bool run(struct call *c, int argc, char **argv, struct err *e)
{
    if (argc == 0) {
        verbs_help(verbs, &c->talk);
        return err_set(e, ERR_USAGE, "name a show file or a verb");
    }
    bool first_help = strcmp(argv[0], "--help") == 0 || strcmp(argv[0], "-h") == 0;
    if (first_help || strcmp(argv[0], "--version") == 0)
        return verb_named(verbs, first_help ? "help" : "version")->run(c, e);
    const struct verb *v = choose(&argc, &argv, e);
    if (!v)
        return false;
    if (call_wants_help(v, argc, argv)) {
        verb_help(v, &c->out);
        return true;
    }
    if (!call_read(c, v, argc, argv, e))
        return false;
    if (v->long_work)
        begin_long_work(c);
    if (!v->run(c, e))
        return false;
    call_semicolons(c);
    return true;
}

int main(int argc, char **argv)
{
    struct call c = {.verbs = verbs};
    struct err e = {0};
    struct winsize size;
    /* A full disk or a closed pipe is an error to be told, not a reason to die. */
    sigaction(SIGPIPE, &(struct sigaction){.sa_handler = SIG_IGN}, NULL);
    sigaction(SIGXFSZ, &(struct sigaction){.sa_handler = SIG_IGN}, NULL);
    setlocale(LC_ALL, "");
    setlocale(LC_NUMERIC, "C"); /* libmpv refuses anything else, and our numbers have points */
    c.tty = isatty(STDOUT_FILENO);
    c.ascii = c.tty && strcmp(nl_langinfo(CODESET), "UTF-8") != 0;
    c.ask = isatty(STDIN_FILENO) && isatty(STDERR_FILENO) ? ask : NULL;
    if (c.tty && ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0)
        c.columns = size.ws_col;
    bool ok = run(&c, argc - 1, argv + 1, &e);
    end_progress();
    call_tame(&c);
    write_out(&c.talk, STDERR_FILENO);
    if (ok && !write_out(&c.out, STDOUT_FILENO))
        ok = err_set(&e, ERR_FAILED, "cannot write the output: %s", strerror(errno));
    if (!ok)
        fprintf(stderr, "boxcall: %s\n", e.text);
    if (c.abrupt) /* all is written; handlers of exit() would wait for ever */
        _exit(ok ? 0 : (int)e.code);
    call_free(&c);
    return ok ? 0 : (int)e.code;
}
