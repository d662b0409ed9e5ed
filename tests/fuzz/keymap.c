/* A person's keys.ini: refused with its line named, or a table in which every key is a key, every
 * command is one, and no letter is taken from the chords. */
#include <ctype.h>
#include <string.h>

#include "fuzz/fuzz.h"
#include "screen/screens.h"

static bool is_table(const char *name)
{
    const struct key_table *t;
    for (size_t i = 0; (t = key_table_nth(&review_tools, i)) != NULL; i++)
        if (strcmp(t->name, name) == 0)
            return true;
    return false;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n)
{
    struct keymap k;
    struct err e = {0};
    keymap_default(&k, &review_tools);
    size_t usual = k.n;
    if (!keymap_read(&k, (const char *)data, n, "keys.ini", &e)) {
        prove_error(&e);
        PROVE(strncmp(e.text, "keys.ini:", 9) == 0);
    }
    PROVE(k.n >= usual);
    for (size_t i = 0; i < k.n; i++) {
        const struct binding *b = &k.at[i];
        char canonical[32];
        PROVE(is_table(b->table));
        PROVE(key_canonical(b->key, canonical) && strcmp(canonical, b->key) == 0);
        PROVE(!(isalpha((unsigned char)b->key[0]) && !b->key[1]));
        PROVE(!*b->command || tool_named(&review_tools, b->command, strcspn(b->command, " ")));
        prove_utf8(b->command, strlen(b->command));
        if (*b->command) {
            PROVE(*keymap_help(&k, b));
            const char *found = keymap_find(&k, b->table, b->key);
            PROVE(found && *keymap_key_of(&k, b->table, b->command));
        }
    }
    keymap_free(&k);
    return 0;
}
