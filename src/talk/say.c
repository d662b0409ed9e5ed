#include "talk/say.h"

#include <stdlib.h>
#include <string.h>

#include "base/buf.h"

/* --- phrases --------------------------------------------------------------------------------- */

const char *say_number(struct arena *a, int number)
{
    static const char *const small[] = {"",        "one",     "two",       "three",    "four",
                                        "five",    "six",     "seven",     "eight",    "nine",
                                        "ten",     "eleven",  "twelve",    "thirteen", "fourteen",
                                        "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"};
    static const char *const tens[] = {"",      "",      "twenty",  "thirty", "forty",
                                       "fifty", "sixty", "seventy", "eighty", "ninety"};
    if (number < 20)
        return small[number];
    return arena_printf(a, number % 10 ? "%s %s" : "%s%s", tens[number / 10], small[number % 10]);
}

static bool is_letter(char c)
{
    return (c >= 'a' && c <= 'z') || c == '\'' || (unsigned char)c >= 0x80;
}

/* The number that stands at p, of at most two digits; those of longer ones are said one by one. */
static const char *digits(struct arena *a, const char *p, const char *end, size_t *took)
{
    size_t n = 0;
    while (p + n < end && p[n] >= '0' && p[n] <= '9')
        n++;
    *took = n == 2 && *p != '0' ? 2 : 1;
    const int number = *took == 2 ? (p[0] - '0') * 10 + (p[1] - '0') : p[0] - '0';
    return number ? say_number(a, number) : "oh";
}

const char *say_phrase(struct arena *a, const char *text, size_t n)
{
    struct buf b = {0};
    bool apart = false;
    for (const char *p = text, *end = text + n; p < end;) {
        const char c = *p >= 'A' && *p <= 'Z' ? (char)(*p - 'A' + 'a') : *p;
        if (c >= '0' && c <= '9') {
            size_t took;
            const char *word = digits(a, p, end, &took);
            buf_printf(&b, "%s%s", b.n ? " " : "", word);
            p += took;
            apart = true;
            continue;
        }
        if (is_letter(c)) {
            if (apart && b.n)
                buf_char(&b, ' ');
            buf_char(&b, c);
        }
        apart = !is_letter(c);
        p++;
    }
    const char *out = arena_strdup(a, buf_text(&b));
    buf_free(&b);
    return out;
}

/* --- the say column -------------------------------------------------------------------------- */

/* The sounds of English that recognisers' dictionaries know (ARPABET, as the CMU dictionary has it). */
static bool is_sound(const char *text, size_t n)
{
    static const char all[] =
        " AA AE AH AO AW AY B CH D DH EH ER EY F G HH IH IY JH K L M N NG OW OY P R S SH "
        "T TH UH UW V W Y Z ZH ";
    char one[8] = " ";
    if (n == 0 || n > 2)
        return false;
    memcpy(one + 1, text, n);
    one[n + 1] = ' ';
    return strstr(all, one) != NULL;
}

/* Stress digits are passed over: the recogniser's sounds have none. "" where something else is in it. */
static const char *sounds_of(struct arena *a, const char *text, size_t n)
{
    struct buf b = {0};
    bool ok = true;
    for (const char *p = text, *end = text + n; ok && p < end;) {
        char one[3] = "";
        size_t len = 0;
        for (; p < end && *p != ' '; p++) {
            const bool digit = *p >= '0' && *p <= '9';
            ok &= digit || len < 2;
            if (!digit && len < 2)
                one[len++] = *p >= 'a' && *p <= 'z' ? (char)(*p - 'a' + 'A') : *p;
        }
        while (p < end && *p == ' ')
            p++;
        ok &= len == 0 ? b.n == 0 : is_sound(one, len);
        if (len)
            buf_printf(&b, "%s%s", b.n ? " " : "", one);
    }
    const char *out = arena_strdup(a, ok ? buf_text(&b) : "");
    buf_free(&b);
    return out;
}

void say_add(struct say *s, const char *name, const char *cell)
{
    for (const char *p = cell ? cell : ""; *p;) {
        const size_t n = strcspn(p, ";");
        const char *colon = memchr(p, ':', n);
        const char *word = colon ? say_phrase(s->a, p, (size_t)(colon - p)) : name;
        const char *from = colon ? colon + 1 : p;
        const char *sounds = sounds_of(s->a, from, (size_t)(p + n - from));
        if (*sounds && *word && !strchr(word, ' ')) {
            s->entries = array_grow(s->entries, s->n, &s->cap, sizeof *s->entries);
            s->entries[s->n++] = (struct say_entry){word, sounds};
        }
        p += n + (p[n] == ';');
    }
}

void say_free(struct say *s)
{
    free(s->entries);
    *s = (struct say){0};
}

/* --- how a word sounds ----------------------------------------------------------------------- */

/* Room for another is made in the arena: lists are of one to four. */
static void list_add(struct arena *a, struct sound_list *l, const char *sounds)
{
    const char **at = arena_alloc(a, (l->n + 1) * sizeof *at);
    if (l->n)
        memcpy(at, l->at, l->n * sizeof *at);
    at[l->n++] = sounds;
    l->at = at;
}

static struct sound_list known(const struct say *s, const char *word)
{
    struct sound_list out = {0};
    for (size_t i = 0; i < s->n; i++)
        if (strcmp(s->entries[i].word, word) == 0)
            list_add(s->a, &out, s->entries[i].sounds);
    const char *sounds;
    for (size_t i = 0;
         s->dictionary && (sounds = s->dictionary->find(s->dictionary->user, word, i)); i++)
        list_add(s->a, &out, arena_strdup(s->a, sounds));
    return out;
}

bool say_known(const struct say *s, const char *word)
{
    return known(s, word).n > 0;
}

static const char *last_sound(const char *sounds)
{
    const char *blank = strrchr(sounds, ' ');
    return blank ? blank + 1 : sounds;
}

static bool one_of(const char *sound, const char *const *list)
{
    while (*list && strcmp(sound, *list) != 0)
        list++;
    return *list;
}

/* English: after a hiss another syllable, after a voiceless sound S, else Z. */
static const char *plural_ending(const char *sounds)
{
    static const char *const hiss[] = {"S", "Z", "SH", "ZH", "CH", "JH", NULL};
    static const char *const voiceless[] = {"P", "T", "K", "F", "TH", NULL};
    const char *last = last_sound(sounds);
    return one_of(last, hiss) ? "IH Z" : one_of(last, voiceless) ? "S" : "Z";
}

/* "tubas" as "tuba" with an ending, "boxes" as "box". */
static struct sound_list like_singular(struct say *s, const char *word)
{
    struct sound_list out = {0};
    const size_t n = strlen(word);
    if (n < 4 || word[n - 1] != 's')
        return out;
    struct sound_list one = known(s, arena_strndup(s->a, word, n - 1));
    if (!one.n && word[n - 2] == 'e')
        one = known(s, arena_strndup(s->a, word, n - 2));
    for (size_t i = 0; i < one.n; i++)
        list_add(s->a, &out, arena_printf(s->a, "%s %s", one.at[i], plural_ending(one.at[i])));
    return out;
}

/* "mellophone" as "mellophones" without its ending. */
static struct sound_list like_plural(struct say *s, const char *word)
{
    struct sound_list out = {0};
    const struct sound_list many = known(s, arena_printf(s->a, "%ss", word));
    for (size_t i = 0; i < many.n; i++) {
        const char *last = last_sound(many.at[i]);
        if (last > many.at[i] && (strcmp(last, "S") == 0 || strcmp(last, "Z") == 0))
            list_add(s->a, &out, arena_strndup(s->a, many.at[i], (size_t)(last - many.at[i] - 1)));
    }
    return out;
}

/* "drumline": two known words of three letters or more, the first as long as can be. */
static struct sound_list like_two(struct say *s, const char *word)
{
    struct sound_list out = {0};
    const size_t n = strlen(word);
    for (size_t cut = n > 3 ? n - 3 : 0; cut >= 3 && !out.n; cut--) {
        const struct sound_list first = known(s, arena_strndup(s->a, word, cut));
        const struct sound_list second = first.n ? known(s, word + cut) : out;
        for (size_t i = 0; i < first.n && second.n; i++)
            list_add(s->a, &out, arena_printf(s->a, "%s %s", first.at[i], second.at[0]));
    }
    return out;
}

struct sound_list say_word(struct say *s, const char *word)
{
    struct sound_list out = known(s, word);
    if (!out.n)
        out = like_singular(s, word);
    if (!out.n)
        out = like_plural(s, word);
    if (!out.n)
        out = like_two(s, word);
    return out;
}
