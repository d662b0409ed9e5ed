/* A chord is section key, performer numbers, fault key: after any letter the program must know
 * whether a key is complete. That holds when no key is the beginning of another one. */
#include "show/keys.h"

#include <ctype.h>
#include <string.h>

bool key_cell(struct arena *a, const struct table_row *row, int column, const char **out,
              struct err *e)
{
    const char *s = row->cell[column];
    char *key = arena_strdup(a, s);
    size_t n = strlen(s);
    for (size_t i = 0; i < n; i++) {
        key[i] = (char)tolower((unsigned char)s[i]);
        if (key[i] < 'a' || key[i] > 'z')
            return table_error(row, column, e,
                               "'%s' cannot be a key; use letters a to z only, every other key "
                               "drives the program",
                               s);
    }
    if (n > KEY_LONGEST)
        return table_error(row, column, e, "'%s' is too long; use at most %d letters", s,
                           KEY_LONGEST);
    *out = key;
    return true;
}

static bool clash(const char *a, const char *b)
{
    size_t n = strlen(a), m = strlen(b);
    return n && m && strncmp(a, b, n < m ? n : m) == 0;
}

struct keyed {
    const char *name;
    const char **key;
};

static bool is_free(const struct keyed *k, size_t n, const char *key)
{
    for (size_t i = 0; i < n; i++)
        if (clash(*k[i].key, key))
            return false;
    return true;
}

/* Names whose key is wanted, and the letters of the one that gets it now. */
static size_t letters_of(const char *name, char out[64])
{
    size_t m = 0;
    for (const char *s = name; *s && m < 63; s++)
        if (isalpha((unsigned char)*s) && (unsigned char)*s < 0x80)
            out[m++] = (char)tolower((unsigned char)*s);
    out[m] = '\0';
    return m;
}

static bool one_letter(const struct keyed *k, size_t n, const char *name, char out[3])
{
    char letters[64];
    size_t m = letters_of(name, letters);
    for (size_t i = 0; i < m; i++) {
        memcpy(out, (char[]){letters[i], '\0'}, 2);
        if (is_free(k, n, out))
            return true;
    }
    for (char x = 'a'; x <= 'z'; x++) {
        memcpy(out, (char[]){x, '\0'}, 2);
        if (is_free(k, n, out))
            return true;
    }
    return false;
}

static bool two_letters(const struct keyed *k, size_t n, const char *name, char out[3])
{
    char letters[64];
    size_t m = letters_of(name, letters);
    for (size_t i = 0; i < m; i++)
        for (size_t j = i + 1; j < m; j++) {
            memcpy(out, (char[]){letters[i], letters[j], '\0'}, 3);
            if (is_free(k, n, out))
                return true;
        }
    for (char x = 'a'; x <= 'z'; x++)
        for (char y = 'a'; y <= 'z'; y++) {
            memcpy(out, (char[]){x, y, '\0'}, 3);
            if (is_free(k, n, out))
                return true;
        }
    return false;
}

/* How many keys of two letters are free. */
static size_t pairs_free(const struct keyed *k, size_t n)
{
    size_t pairs = 0;
    for (char x = 'a'; x <= 'z'; x++)
        for (char y = 'a'; y <= 'z'; y++)
            pairs += is_free(k, n, (char[]){x, y, '\0'});
    return pairs;
}

/* One letter for the first ones, as long as two are left for all that follow: a letter alone uses
 * up the 26 pairs that begin with it. */
static void fill(struct arena *a, struct keyed *k, size_t n)
{
    enum { PAIRS_OF_A_LETTER = 26 };
    size_t left = 0;
    bool room = true; /* once it is gone it does not come back */
    for (size_t i = 0; i < n; i++)
        left += !**k[i].key;
    for (size_t i = 0; i < n; i++) {
        char key[3];
        if (**k[i].key)
            continue;
        left--;
        room = room && pairs_free(k, n) >= left + PAIRS_OF_A_LETTER;
        if (((room || left == 0) && one_letter(k, n, k[i].name, key)) ||
            two_letters(k, n, k[i].name, key))
            *k[i].key = arena_strdup(a, key);
    }
}

void sections_fill_keys(struct arena *a, struct section_list *l)
{
    struct keyed *k = arena_alloc(a, l->n * sizeof *k);
    for (size_t i = 0; i < l->n; i++)
        k[i] = (struct keyed){l->at[i].name, &l->at[i].key};
    fill(a, k, l->n);
}

void faults_fill_keys(struct arena *a, struct fault_list *l)
{
    struct keyed *k = arena_alloc(a, l->n * sizeof *k);
    for (size_t i = 0; i < l->n; i++)
        k[i] = (struct keyed){l->at[i].name, &l->at[i].key};
    fill(a, k, l->n);
}

static bool refuse(struct err *e, const char *what, const char *key, const char *name,
                   const char *other_key, const char *other)
{
    if (strcmp(key, other_key) == 0)
        return err_set(e, ERR_INPUT,
                       "%ss '%s' and '%s' have the same key '%s'; give one of them another key",
                       what, name, other, key);
    return err_set(e, ERR_INPUT,
                   "key '%s' of %s '%s' begins the key '%s' of '%s'; change one, so that every key "
                   "is complete when typed",
                   key, what, name, other_key, other);
}

bool show_check_keys(const struct show *show, struct err *e)
{
    for (size_t i = 0; i < show->n_sections; i++)
        for (size_t j = 0; j < show->n_sections; j++) {
            const struct section *s = &show->sections[i], *t = &show->sections[j];
            bool first = strlen(s->key) < strlen(t->key) || (i < j && !strcmp(s->key, t->key));
            if (i != j && first && !s->removed && !t->removed && clash(s->key, t->key))
                return refuse(e, "section", s->key, s->name, t->key, t->name);
        }
    for (size_t i = 0; i < show->n_faults; i++)
        for (size_t j = 0; j < show->n_faults; j++) {
            const struct fault *s = &show->faults[i], *t = &show->faults[j];
            bool first = strlen(s->key) < strlen(t->key) || (i < j && !strcmp(s->key, t->key));
            if (i != j && first && !s->removed && !t->removed && clash(s->key, t->key))
                return refuse(e, "fault", s->key, s->name, t->key, t->name);
        }
    return true;
}
