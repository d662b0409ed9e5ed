#include "hear/speech_judge.h"

#include <math.h>

enum { WINDOW = 40 /* frames */ };

static double at(const struct ear_path *p, int frame)
{
    return frame < p->n_frames ? (double)p->sound[frame] : 0;
}

/* Over all frames, silences too: who hears a word where there is none pays for it. */
static void beside_sounds(struct speech_scores *s, const struct ear_path *net,
                          const struct ear_path *sounds)
{
    double all = 0, window = 0, worst = 0;
    for (int i = 0; i < net->n_frames; i++) {
        const double more = at(net, i) - at(sounds, i);
        all += more;
        window += more - (i >= WINDOW ? at(net, i - WINDOW) - at(sounds, i - WINDOW) : 0);
        worst = fmin(worst, window);
    }
    s->sounds = all / fmax(net->spoken, 1);
    s->worst = worst / WINDOW;
}

struct speech_scores speech_scores(const struct ear_path *net, const struct ear_path *sounds,
                                   const struct ear_path *english)
{
    struct speech_scores s = {0};
    if (sounds)
        beside_sounds(&s, net, sounds);
    if (english)
        s.english = (net->score - english->score) / fmax(net->spoken, 1);
    return s;
}

double speech_judge(const struct speech_scores *s)
{
    static const double level = 1.99, by_sounds = 0.051, by_english = 0.214, by_worst = 0.109;
    return 1 / (1 + exp(-(level + by_sounds * s->sounds + by_english * s->english +
                          by_worst * s->worst)));
}
