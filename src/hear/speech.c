#include "hear/speech.h"

#include <pthread.h>
#include <stdlib.h>

#include "hear/ear.h"
#include "hear/sphinx.h"
#include "hear/speech_judge.h"

struct speech {
    struct ear *net, *sounds, *english;
};

static bool open_ears(struct speech *v, const struct speech_net *net, const char *model,
                      struct err *e)
{
    struct speech_dictionary *d;
    if (!speech_dictionary_open(&d, model, e))
        return false;
    const bool ok = ear_of_net(&v->net, net, model, e) && ear_of_sounds(&v->sounds, model, e) &&
                    ear_of_english(&v->english, d, model, e);
    speech_dictionary_close(d);
    return ok;
}

bool speech_open(struct speech **out, const struct speech_net *net, const char *model,
                 struct err *e)
{
    if (!sphinx_load(e))
        return false;
    struct speech *v = xcalloc(1, sizeof *v);
    if (!open_ears(v, net, model, e)) {
        speech_close(v);
        return false;
    }
    *out = v;
    return true;
}

void speech_close(struct speech *v)
{
    if (!v)
        return;
    ear_close(v->net);
    ear_close(v->sounds);
    ear_close(v->english);
    free(v);
}

/* --- what was said ----------------------------------------------------------------------------------- */

static int64_t us_of(int frame)
{
    return (int64_t)frame * 10000;
}

static void said(struct speech *v, struct arena *a, struct speech_said *out)
{
    struct ear_path net, sounds, english;
    *out = (struct speech_said){0};
    if (!ear_heard(v->net, a, &net) || !net.n)
        return;
    const bool any_sounds = ear_heard(v->sounds, a, &sounds);
    const bool any_english = ear_heard(v->english, a, &english);
    struct speech_heard *words = arena_alloc(a, net.n * sizeof *words);
    for (size_t i = 0; i < net.n; i++)
        words[i] = (struct speech_heard){net.words[i].is, us_of(net.words[i].first),
                                         us_of(net.words[i].last + 1)};
    const struct speech_scores scores =
        speech_scores(&net, any_sounds ? &sounds : NULL, any_english ? &english : NULL);
    out->words = words;
    out->n = net.n;
    out->scores = scores;
    out->confidence = speech_judge(&scores);
}

struct hearing {
    struct ear *ear;
    const struct ear_sound *sound;
};

static void *hear_it(void *user)
{
    const struct hearing *h = user;
    ear_whole(h->ear, h->sound);
    return NULL;
}

/* The searches side by side: somebody waits for the answer. */
void speech_hear(struct speech *v, struct arena *a, const struct speech_samples *whole,
                 struct speech_said *out)
{
    struct ear_sound sound;
    *out = (struct speech_said){0};
    if (whole->n == 0 || !ear_sound(v->net, a, whole, &sound))
        return;
    struct hearing of[] = {{v->sounds, &sound}, {v->english, &sound}, {v->net, &sound}};
    enum { ASIDE = sizeof of / sizeof *of - 1 };
    pthread_t thread[ASIDE];
    bool begun[ASIDE];
    for (size_t i = 0; i < ASIDE; i++)
        begun[i] = pthread_create(&thread[i], NULL, hear_it, &of[i]) == 0;
    hear_it(&of[ASIDE]);
    for (size_t i = 0; i < ASIDE; i++)
        if (begun[i])
            pthread_join(thread[i], NULL);
        else
            hear_it(&of[i]);
    said(v, a, out);
}
