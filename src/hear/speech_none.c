/* In place of the recogniser, where pocketsphinx was not there when boxcall was built. */
#include "hear/speech.h"

static bool none(struct err *e)
{
    return err_set(e, ERR_FAILED,
                   "this boxcall was built without spoken calls; install libpocketsphinx-dev and "
                   "pocketsphinx-en-us and build it again");
}

const char *speech_model(const char *folder)
{
    return folder ? folder : "";
}

bool speech_dictionary_open(struct speech_dictionary **out, const char *model, struct err *e)
{
    (void)out, (void)model;
    return none(e);
}

void speech_dictionary_close(struct speech_dictionary *d)
{
    (void)d;
}

const char *speech_dictionary_find(void *dictionary, const char *word, size_t nth)
{
    (void)dictionary, (void)word, (void)nth;
    return NULL;
}

bool speech_open(struct speech **out, const struct speech_net *net, const char *model,
                 struct err *e)
{
    (void)out, (void)net, (void)model;
    return none(e);
}

void speech_close(struct speech *v)
{
    (void)v;
}

void speech_hear(struct speech *v, struct arena *a, const struct speech_samples *whole,
                 struct speech_said *out)
{
    (void)v, (void)a, (void)whole;
    *out = (struct speech_said){0};
}
