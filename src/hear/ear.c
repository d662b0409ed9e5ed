#include "hear/ear.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/buf.h"
#include "hear/sphinx.h"

/* How a search weighs the chances of words against the sound, and how much worse than the best a way may be
 * to be followed. The net's beams are wider than usual, by as much as found more of the calls of
 * tests/hear/spoken; the others' scores need no such care. */
struct manner {
    const char *weight, *beam, *word_beam;
};
static const struct manner of_net = {"6.5", "1e-64", "1e-48"},
                           of_english = {"6.5", "1e-48", "1e-28"},
                           of_sounds = {"2.0", "1e-48", "1e-28"};

struct ear {
    ps_decoder_t *ps;
};

/* --- opening --------------------------------------------------------------------------------------- */

static bool refused(const char *model, struct err *e)
{
    return err_set(e, ERR_FAILED,
                   "%s: the model of speech there cannot be used; install pocketsphinx-en-us",
                   speech_model(model));
}

/* Dither: a file's digital silence has a logarithm that no microphone's has. No dictionary is read: the
 * words are added one by one, so that it opens at once. */
static cmd_ln_t *settings(const char *model, const struct manner *m)
{
    struct buf hmm = {0};
    buf_printf(&hmm, "%s/en-us", speech_model(model));
    cmd_ln_t *c =
        cmd_ln_init(NULL, ps_args(), TRUE, "-hmm", buf_text(&hmm), "-dict", "/dev/null",
                    "-compallsen", "yes", "-lw", m->weight, "-wip", "0.2", "-beam", m->beam,
                    "-pbeam", m->beam, "-wbeam", m->word_beam, "-fwdflat", "no", "-bestpath", "no",
                    "-dither", "yes", "-seed", "1", "-topn", "8", NULL);
    buf_free(&hmm);
    return c;
}

static bool start(struct ear **out, cmd_ln_t *c, const char *model, struct err *e)
{
    ps_decoder_t *ps = c ? ps_init(c) : NULL;
    if (c)
        cmd_ln_free_r(c);
    if (!ps)
        return refused(model, e);
    *out = xcalloc(1, sizeof **out);
    (*out)->ps = ps;
    return true;
}

void ear_close(struct ear *r)
{
    if (!r)
        return;
    /* What the sounds' search made of the last utterance it frees with the next one, not at its end. */
    if (ps_start_utt(r->ps) == 0 && ps_end_utt(r->ps) == 0)
        for (ps_seg_t *s = ps_seg_iter(r->ps); s;)
            s = ps_seg_next(s);
    ps_free(r->ps);
    free(r);
}

/* False where the model has no such sound. */
static bool add_word(struct ear *r, const struct speech_word *w)
{
    bool any = false;
    struct buf name = {0};
    for (size_t i = 0; i < w->n_sounds; i++) {
        buf_clear(&name);
        buf_str(&name, w->is);
        if (any)
            buf_printf(&name, "(%zu)", i + 1);
        any |= ps_add_word(r->ps, buf_text(&name), w->sounds[i], FALSE) >= 0;
    }
    buf_free(&name);
    return any;
}

static int weighed(struct ear *r, double chance, double weight)
{
    return (int)(logmath_log(ps_get_logmath(r->ps), chance) * weight);
}

static void add_arcs(struct ear *r, fsg_model_t *f, const struct speech_net *net, const bool *known)
{
    const double weight = strtod(of_net.weight, NULL);
    glist_t silent = NULL;
    for (size_t i = 0; i < net->n_arcs; i++) {
        const struct speech_arc *a = &net->arcs[i];
        const int score = weighed(r, a->chance, weight);
        if (a->word < 0) {
            if (fsg_model_null_trans_add(f, a->from, a->to, score) >= 0)
                silent = glist_add_ptr(silent, fsg_model_null_trans(f, a->from, a->to));
        } else if (known[a->word])
            fsg_model_trans_add(f, a->from, a->to, score,
                                fsg_model_word_id(f, net->words[a->word].is));
    }
    glist_free(fsg_model_null_trans_closure(f, silent));
}

static bool take_net(struct ear *r, const struct speech_net *net)
{
    fsg_model_t *f =
        fsg_model_init("net", ps_get_logmath(r->ps), strtof(of_net.weight, NULL), net->n_states);
    bool *known = xcalloc(net->n_words + 1, sizeof *known);
    for (size_t i = 0; i < net->n_words; i++) {
        known[i] = add_word(r, &net->words[i]);
        if (known[i])
            fsg_model_word_add(f, net->words[i].is);
    }
    add_arcs(r, f, net, known);
    f->start_state = net->start;
    f->final_state = net->end;
    free(known);
    const bool ok = ps_set_fsg(r->ps, "net", f) == 0 && ps_set_search(r->ps, "net") == 0;
    fsg_model_free(f);
    return ok;
}

static bool open_net(struct ear **out, const struct speech_net *net, cmd_ln_t *settings,
                     const char *model, struct err *e)
{
    if (!start(out, settings, model, e))
        return false;
    return take_net(*out, net) ||
           err_set(e, ERR_FAILED, "what may be said is more than the recogniser takes");
}

bool ear_of_net(struct ear **out, const struct speech_net *net, const char *model, struct err *e)
{
    return open_net(out, net, settings(model, &of_net), model, e);
}

bool ear_of_sounds(struct ear **out, const char *model, struct err *e)
{
    cmd_ln_t *c = settings(model, &of_sounds);
    struct buf order = {0};
    buf_printf(&order, "%s/en-us-phone.lm.bin", speech_model(model));
    if (c) {
        cmd_ln_set_str_r(c, "-allphone", buf_text(&order));
        cmd_ln_set_int_r(c, "-allphone_ci", TRUE);
    }
    buf_free(&order);
    return start(out, c, model, e);
}

/* A word's chance by its place in the order of frequency (Zipf's law). */
static double chance_of(size_t place)
{
    return 0.1 / (double)(place + 2);
}

bool ear_of_english(struct ear **out, struct speech_dictionary *d, const char *model, struct err *e)
{
    struct arena a = {0};
    struct speech_word *words = NULL;
    struct speech_arc *arcs = NULL;
    size_t n = 0, n_arcs = 0, cap = 0, cap_arcs = 0;
    for (const char *p = ear_english; *p;) {
        const size_t len = strcspn(p, " ");
        const char *is = arena_strndup(&a, p, len);
        const char **sounds = arena_alloc(&a, sizeof *sounds);
        sounds[0] = speech_dictionary_find(d, is, 0);
        if (sounds[0]) {
            words = array_grow(words, n, &cap, sizeof *words);
            words[n] = (struct speech_word){is, sounds, 1};
            for (int to = 0; to < 2; to++) {
                arcs = array_grow(arcs, n_arcs, &cap_arcs, sizeof *arcs);
                arcs[n_arcs++] = (struct speech_arc){0, to, (int)n, chance_of(n)};
            }
            n++;
        }
        p += len + (p[len] == ' ');
    }
    const struct speech_net net = {words, arcs, n, n_arcs, 2, 0, 1};
    const bool ok = open_net(out, &net, settings(model, &of_english), model, e);
    free(words);
    free(arcs);
    arena_free(&a);
    return ok;
}

/* --- hearing --------------------------------------------------------------------------------------- */

static float **frames_of(struct arena *a, size_t n, size_t width)
{
    float **at = arena_alloc(a, n * sizeof *at);
    float *all = arena_alloc(a, n * width * sizeof *all);
    for (size_t i = 0; i < n; i++)
        at[i] = all + i * width;
    return at;
}

bool ear_sound(struct ear *r, struct arena *a, const struct speech_samples *whole,
               struct ear_sound *out)
{
    fe_t *fe = ps_get_fe(r->ps);
    const int16 *at = whole->at;
    size_t left = whole->n;
    int32 n = 0, tail = 0;
    *out = (struct ear_sound){.width = (size_t)fe_get_output_size(fe)};
    fe_start_utt(fe);
    if (fe_process_frames(fe, NULL, &left, NULL, &n, NULL) < 0)
        return false;
    out->at = frames_of(a, (size_t)n + 2, out->width);
    const bool ok = fe_process_frames(fe, &at, &left, out->at, &n, NULL) >= 0;
    fe_end_utt(fe, out->at[n], &tail);
    out->n = n + tail;
    return ok;
}

/* Of a copy: the search takes the mean off its frames in their place. */
void ear_whole(struct ear *r, const struct ear_sound *whole)
{
    struct arena a = {0};
    const size_t n = (size_t)whole->n;
    float **own = frames_of(&a, n + 1, whole->width);
    if (n > 0)
        memcpy(own[0], whole->at[0], n * whole->width * sizeof **own);
    ps_start_utt(r->ps);
    if (n > 0)
        ps_process_cep(r->ps, own, whole->n, FALSE, TRUE);
    ps_end_utt(r->ps);
    arena_free(&a);
}

/* --- what was heard ---------------------------------------------------------------------------------- */

/* Silence, breath and noise are "<sil>", "[NOISE]", "++...", "SIL"; a silent arc is "(NULL)". */
static bool is_word(const char *w)
{
    return !strchr("<[(+", *w) && strcmp(w, "SIL") != 0;
}

/* The parts of a way, words and silences, each with its score for all its frames. */
struct taking {
    struct arena *a;
    struct ear_word *words;
    float *sound;
    size_t n_words, cap_words, cap_sound;
    int n_frames, spoken;
};

static void take_sound(struct taking *t, const struct ear_word *w, double score)
{
    while (t->n_frames <= w->last) {
        t->sound = array_grow(t->sound, (size_t)t->n_frames, &t->cap_sound, sizeof *t->sound);
        t->sound[t->n_frames++] = 0;
    }
    for (int i = w->first; i <= w->last; i++)
        t->sound[i] = (float)(score / (w->last - w->first + 1));
}

static void take_word(struct taking *t, const struct ear_word *w)
{
    t->words = array_grow(t->words, t->n_words, &t->cap_words, sizeof *t->words);
    t->words[t->n_words++] =
        (struct ear_word){arena_strndup(t->a, w->is, strcspn(w->is, "(")), w->first, w->last};
    t->spoken += w->last - w->first + 1;
}

bool ear_heard(struct ear *r, struct arena *a, struct ear_path *out)
{
    *out = (struct ear_path){0};
    int score = 0;
    if (!ps_get_hyp(r->ps, &score))
        return false;
    struct taking t = {.a = a};
    for (ps_seg_t *s = ps_seg_iter(r->ps); s; s = ps_seg_next(s)) {
        struct ear_word w = {.is = ps_seg_word(s)};
        int sound = 0, language, back;
        ps_seg_frames(s, &w.first, &w.last);
        ps_seg_prob(s, &sound, &language, &back);
        if (w.first < 0 || w.last < w.first || !strcmp(w.is, "(NULL)"))
            continue;
        take_sound(&t, &w, sound);
        if (is_word(w.is))
            take_word(&t, &w);
    }
    *out = (struct ear_path){
        .n = t.n_words, .score = score, .n_frames = t.n_frames, .spoken = t.spoken};
    out->words = arena_take(a, t.words, t.n_words * sizeof *t.words);
    out->sound = arena_take(a, t.sound, (size_t)t.n_frames * sizeof *t.sound);
    return true;
}
