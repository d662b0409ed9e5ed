#include "hear/speech.h"

#include <stdlib.h>
#include <string.h>

#include "base/buf.h"
#include "base/hash.h"
#include "sys/file.h"

/* Lines of the file, "word SOUNDS" or "word(2) SOUNDS", cut in place. */
struct speech_dictionary {
    struct buf text;
    const char **words; /* open addressing; each with its NUL, its sounds behind that */
    size_t n;           /* a power of two */
};

enum { MOST_BYTES = 64 << 20 };

const char *speech_model(const char *folder)
{
    return folder ? folder : SPEECH_MODEL;
}

static size_t place_of(const struct speech_dictionary *d, const char *word)
{
    size_t i = (size_t)hash_more(HASH_BEGIN, word, strlen(word)) & (d->n - 1);
    while (d->words[i] && strcmp(d->words[i], word) != 0)
        i = (i + 1) & (d->n - 1);
    return i;
}

static void take_lines(struct speech_dictionary *d)
{
    size_t lines = 1;
    for (size_t i = 0; i < d->text.n; i++)
        lines += d->text.p[i] == '\n';
    for (d->n = 1024; d->n < 2 * lines;)
        d->n *= 2;
    d->words = xcalloc(d->n, sizeof *d->words);
    for (char *p = d->text.p, *end = p + d->text.n; p < end;) {
        char *stop = memchr(p, '\n', (size_t)(end - p));
        if (stop)
            *stop = '\0';
        char *blank = strchr(p, ' ');
        if (blank) {
            *blank = '\0';
            d->words[place_of(d, p)] = p;
        }
        p = stop ? stop + 1 : end;
    }
}

bool speech_dictionary_open(struct speech_dictionary **out, const char *model, struct err *e)
{
    struct speech_dictionary *d = xcalloc(1, sizeof *d);
    struct buf path = {0};
    buf_printf(&path, "%s/cmudict-en-us.dict", speech_model(model));
    const bool ok = file_read(buf_text(&path), MOST_BYTES, &d->text, e);
    buf_free(&path);
    if (!ok) {
        speech_dictionary_close(d);
        return err_set(e, ERR_FAILED,
                       "%s: no model of speech is there; install "
                       "pocketsphinx-en-us",
                       speech_model(model));
    }
    if (d->text.n)
        take_lines(d);
    *out = d;
    return true;
}

void speech_dictionary_close(struct speech_dictionary *d)
{
    if (!d)
        return;
    free(d->words);
    buf_free(&d->text);
    free(d);
}

const char *speech_dictionary_find(void *dictionary, const char *word, size_t nth)
{
    const struct speech_dictionary *d = dictionary;
    struct buf key = {0};
    buf_str(&key, word);
    if (nth)
        buf_printf(&key, "(%zu)", nth + 1);
    const char *found = d->n ? d->words[place_of(d, buf_text(&key))] : NULL;
    buf_free(&key);
    return found ? found + strlen(found) + 1 : NULL;
}
