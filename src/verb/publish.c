#include <stdlib.h>
#include <string.h>

#include "paper/paper.h"
#include "site/publish.h"
#include "verb/rows.h"

static void on_progress(void *user, const char *what, size_t done, size_t all)
{
    struct call *c = user;
    if (c->progress && all)
        c->progress(what, (double)done / (double)all);
}

static bool read_want(struct call *c, struct publish_want *w, struct err *e)
{
    const char *clips = call_value(c, "clips");
    *w = (struct publish_want){
        .folder = c->words[1],
        .choice = {.since = call_value(c, "since")},
        .performers = call_value(c, "performers") != NULL,
        .labels_only = call_value(c, "labels-only") != NULL,
        .one_file = call_value(c, "one-file") != NULL,
        .yes = call_value(c, "yes") != NULL,
        .ask = c->ask,
        .url = call_value(c, "url"),
        .cancel = c->stop,
        .progress = on_progress,
        .user = c,
    };
    w->choice.clips = call_values(c, "clip", &w->choice.n_clips);
    w->whom = call_values(c, "for", &w->n_whom);
    w->clips = w->one_file ? PUBLISH_CUT : PUBLISH_LINK;
    if (clips && !publish_clips_named(clips, &w->clips))
        return err_set(e, ERR_USAGE, "publish: --clips is copy, link, cut or none, not '%s'",
                       clips);
    if (w->one_file && (w->clips == PUBLISH_LINK || w->clips == PUBLISH_COPY))
        return err_set(
            e, ERR_USAGE,
            "publish: a page that is one file has its clips in it; --clips is cut or none");
    if (w->url && strncmp(w->url, "https://", 8) != 0 && strncmp(w->url, "http://", 7) != 0)
        return err_set(e, ERR_USAGE,
                       "publish: --url %s: an address begins with https:// or http://", w->url);
    return true;
}

/* Each file by itself while they are few; the index in the folder has all of them. */
static void tell_to_send(struct call *c, const struct publish_report *r)
{
    enum {
        FEW = 12,
        LARGE = 20000000
    }; /* many mailboxes take no more (common practice, no source) */
    int64_t all = 0, most = 0;
    if (r->n_pages - 1 <= FEW)
        buf_str(&c->talk, "to send, each file by itself:\n");
    for (size_t i = 1; i < r->n_pages; i++) {
        const struct publish_page *p = &r->pages[i];
        all += p->bytes;
        most = p->bytes > most ? p->bytes : most;
        if (r->n_pages - 1 > FEW)
            continue;
        buf_printf(&c->talk, "  for %s: %s, ", p->who, p->file);
        size_text(p->bytes, &c->talk);
        buf_char(&c->talk, '\n');
    }
    if (most > LARGE)
        buf_str(&c->talk,
                "a file above 20 MB is too large for many mailboxes; --since or --clip take "
                "fewer moments, --clips none pictures alone\n");
    if (r->n_pages - 1 <= FEW)
        return;
    buf_printf(&c->talk, "to send, each file by itself: %zu files, at most ", r->n_pages - 1);
    size_text(most, &c->talk);
    buf_str(&c->talk, ", together ");
    size_text(all, &c->talk);
    buf_str(&c->talk, "; index.html there says for whom each is\n");
}

static void tell(struct call *c, const struct publish_want *want, const struct publish_report *r)
{
    const struct made_report *f = &r->files;
    for (size_t i = 0; i < r->n_pages; i++)
        buf_printf(&c->out, "%s\n", r->pages[i].address);
    buf_str(&c->talk, buf_text(&r->trouble));
    buf_printf(&c->talk, "%d file%s written, %d as before", f->written, f->written == 1 ? "" : "s",
               f->same);
    if (f->gone)
        buf_printf(&c->talk, ", %d of an earlier publishing taken away", f->gone);
    if (f->left)
        buf_printf(&c->talk, ", %d left that somebody has changed", f->left);
    buf_char(&c->talk, '\n');
    if (r->going.n)
        buf_printf(&c->talk, "taken away: %s\n", r->going.p);
    if (want->one_file && r->n_pages > 1)
        tell_to_send(c, r);
}

static bool run(struct call *c, struct err *e)
{
    struct publish_want want;
    struct publish_report r = {0};
    struct app app;
    if (!read_want(c, &want, e) || !app_open(&app, c->words[0], e))
        return false;
    const bool ok = publish(&app, &want, &c->memory, &r, e);
    if (ok)
        tell(c, &want, &r);
    else if (e->code == ERR_NONE)
        err_set(e, ERR_FAILED,
                "%s: stopped; what is there is whole, and publishing again goes on from there",
                want.folder);
    buf_free(&r.going);
    buf_free(&r.trouble);
    app_close(&app);
    return ok;
}

const struct verb verb_publish = {
    .name = "publish",
    .usage = "SHOW DIR",
    .summary = "Make a web folder: a page for each section, with its moments to watch",
    .detail =
        "Opens from a folder, a stick or any web server, without a network: index.html, a page for "
        "each section with its fix list, a picture of every moment, and the clips, with the marks "
        "as captions. A touch plays a moment from two seconds before, again and again; n and b, or "
        "the buttons, go to the next and the one before. Prints where each page is.\n"
        "\n"
        "Publishing again writes only what has changed. The folder holds what was asked for last: "
        "a page that an earlier publishing made and this one does not, of a section that --for "
        "leaves out, of somebody who left, goes from the folder and from its index, but only after "
        "a question, or with --yes. A file of somebody else's is never written over. Ctrl-C stops; "
        "what is there then is whole.\n"
        "\n"
        "Pages hold names of people, minors too: --labels-only leaves them out, plays no clip "
        "from a folder named after somebody, and points at notes and clips that have a name in "
        "them. "
        "Local rules say who may see pictures of the band.",
    .options =
        {{"for", "WHO", "only this section's or performer's page; may be given several times",
          true},
         {"performers", NULL, "a page for each performer too, with labels only", false},
         {"clip", "CLIP", "only this clip; may be given several times", true},
         {"since", "YYYY-MM-DD", "only clips from this date on", false},
         {"clips", "HOW",
          "link: played where they lie (default); copy: copied into the folder, the marks as "
          "chapters; cut: a short clip for each moment, to send without the whole rehearsal, "
          "which every browser plays (not every one plays what telephones record, HEVC); none: "
          "pictures alone",
          false},
         {"one-file", NULL,
          "each page is one file with its pictures and short clips, for a phone that cannot open "
          "folders; says which file to send to whom, and how large it is",
          false},
         {"yes", NULL, "do not ask before pages of an earlier publishing are taken away", false},
         {"url", "BASE", "where the folder will be found on the web, for the addresses", false},
         {"labels-only", NULL, "leave the names of people out", false},
         {0}},
    .least = 2,
    .most = 2,
    .long_work = true,
    .run = run,
};
