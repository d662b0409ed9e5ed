/* A chord is section key, performer numbers, fault key: after any letter the program must know
 * whether a key is complete. That holds when no key is the beginning of another one. */
#include "show/keys.h"

#include <ctype.h>
#include <stdlib.h>
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
    int line;
};

/* --- keys for rows that have none ------------------------------------------------------------ */

enum { LETTERS = 26 };

/* Which keys of one and two letters can still be given. */
struct taken {
    int begin[LETTERS];          /* keys that begin with the letter */
    int pairs[LETTERS][LETTERS]; /* keys that begin with the two */
    bool alone[LETTERS];         /* the letter is a key */
    size_t free_pairs;
};

static bool pair_is_free(const struct taken *t, int x, int y)
{
    return !t->alone[x] && t->pairs[x][y] == 0;
}

static void take(struct taken *t, const char *key)
{
    if (!*key)
        return;
    int x = key[0] - 'a';
    for (int y = 0; y < LETTERS; y++)
        t->free_pairs -= pair_is_free(t, x, y) && (!key[1] || key[1] - 'a' == y);
    t->begin[x]++;
    if (key[1])
        t->pairs[x][key[1] - 'a']++;
    else
        t->alone[x] = true;
}

static void take_all(struct taken *t, const struct keyed *k, size_t n)
{
    *t = (struct taken){.free_pairs = LETTERS * LETTERS};
    for (size_t i = 0; i < n; i++)
        take(t, *k[i].key);
}

/* The letters of a name, in their order. */
static size_t letters_of(const char *name, char out[64])
{
    size_t m = 0;
    for (const char *s = name; *s && m < 63; s++)
        if (isalpha((unsigned char)*s) && (unsigned char)*s < 0x80)
            out[m++] = (char)tolower((unsigned char)*s);
    out[m] = '\0';
    return m;
}

static bool one_letter(const struct taken *t, const char *name, char out[3])
{
    char letters[64 + LETTERS + 1];
    size_t m = letters_of(name, letters);
    for (char x = 'a'; x <= 'z'; x++)
        letters[m++] = x;
    for (size_t i = 0; i < m; i++) {
        if (t->begin[letters[i] - 'a'])
            continue;
        memcpy(out, (char[]){letters[i], '\0'}, 2);
        return true;
    }
    return false;
}

static bool two_letters(const struct taken *t, const char *name, char out[3])
{
    char letters[64];
    size_t m = t->free_pairs ? letters_of(name, letters) : 0;
    for (size_t i = 0; i < m; i++)
        for (size_t j = i + 1; j < m; j++) {
            memcpy(out, (char[]){letters[i], letters[j], '\0'}, 3);
            if (pair_is_free(t, out[0] - 'a', out[1] - 'a'))
                return true;
        }
    for (char x = 'a'; t->free_pairs && x <= 'z'; x++)
        for (char y = 'a'; y <= 'z'; y++) {
            memcpy(out, (char[]){x, y, '\0'}, 3);
            if (pair_is_free(t, x - 'a', y - 'a'))
                return true;
        }
    return false;
}

/* One letter for the first ones, as long as two are left for all that follow: a letter alone uses
 * up the 26 pairs that begin with it. */
static void fill(struct arena *a, struct keyed *k, size_t n)
{
    struct taken t;
    size_t left = 0;
    bool room = true; /* once it is gone it does not come back */
    take_all(&t, k, n);
    for (size_t i = 0; i < n; i++)
        left += !**k[i].key;
    for (size_t i = 0; i < n; i++) {
        char key[3];
        if (**k[i].key)
            continue;
        left--;
        room = room && t.free_pairs >= left + LETTERS;
        if (((room || left == 0) && one_letter(&t, k[i].name, key)) ||
            two_letters(&t, k[i].name, key)) {
            *k[i].key = arena_strdup(a, key);
            take(&t, key);
        }
    }
}

/* --- keys that stand in each other's way ------------------------------------------------------ */

static int by_key(const void *a, const void *b)
{
    const struct keyed *x = *(const struct keyed *const *)a, *y = *(const struct keyed *const *)b;
    int order = strcmp(*x->key, *y->key);
    return order ? order : x->line - y->line; /* equal keys: the row that was there first */
}

/* A row that asks for a key and the row that has it, in the sorted keys: what begins with a key
 * follows it. Only pairs with a row of the table (line > 0) count. */
static bool find_clash(const struct keyed **sorted, size_t n, const struct keyed **asks,
                       const struct keyed **has)
{
    for (size_t i = 0; i < n; i++)
        for (size_t j = i + 1; j < n && clash(*sorted[i]->key, *sorted[j]->key); j++) {
            if (!sorted[i]->line && !sorted[j]->line)
                continue;
            bool later = sorted[j]->line > sorted[i]->line;
            *asks = sorted[later ? j : i];
            *has = sorted[later ? i : j];
            return true;
        }
    return false;
}

static bool settle(struct arena *a, const struct keyed *k, size_t n, const char *what,
                   const char *source, struct err *e)
{
    const struct keyed **sorted = arena_alloc(a, n * sizeof *sorted), *asks, *has;
    struct taken t;
    char key[3];
    for (size_t i = 0; i < n; i++)
        sorted[i] = &k[i];
    if (n)
        qsort(sorted, n, sizeof *sorted, by_key);
    if (!find_clash(sorted, n, &asks, &has))
        return true;
    take_all(&t, k, n);
    bool free_one = one_letter(&t, asks->name, key) || two_letters(&t, asks->name, key);
    const char *way = strcmp(*asks->key, *has->key) == 0       ? "is"
                      : strlen(*asks->key) < strlen(*has->key) ? "begins"
                                                               : "begins with";
    return err_set(e, ERR_INPUT, "%s:%d: key '%s' of %s '%s' %s the key '%s' of '%s'; %s%s%s",
                   source, asks->line, *asks->key, what, asks->name, way, *has->key, has->name,
                   free_one ? "'" : "no key is free, so shorten the list", free_one ? key : "",
                   free_one ? "' is free" : "");
}

bool sections_settle_keys(struct arena *a, const struct section_list *l, const char *source,
                          struct err *e)
{
    struct keyed *k = arena_alloc(a, l->n * sizeof *k);
    for (size_t i = 0; i < l->n; i++)
        k[i] = (struct keyed){l->at[i].name, &l->at[i].key, l->at[i].line};
    return settle(a, k, l->n, "section", source, e);
}

bool faults_settle_keys(struct arena *a, const struct fault_list *l, const char *source,
                        struct err *e)
{
    struct keyed *k = arena_alloc(a, l->n * sizeof *k);
    for (size_t i = 0; i < l->n; i++)
        k[i] = (struct keyed){l->at[i].name, &l->at[i].key, l->at[i].line};
    return settle(a, k, l->n, "fault", source, e);
}

void sections_fill_keys(struct arena *a, struct section_list *l)
{
    struct keyed *k = arena_alloc(a, l->n * sizeof *k);
    for (size_t i = 0; i < l->n; i++)
        k[i] = (struct keyed){l->at[i].name, &l->at[i].key, 0};
    fill(a, k, l->n);
}

void faults_fill_keys(struct arena *a, struct fault_list *l)
{
    struct keyed *k = arena_alloc(a, l->n * sizeof *k);
    for (size_t i = 0; i < l->n; i++)
        k[i] = (struct keyed){l->at[i].name, &l->at[i].key, 0};
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
