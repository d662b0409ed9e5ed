/* A person's keys.ini: refused with its line named, or a table in which every key is a key, every
 * command is one, and no letter is taken from the chords. */
#include <ctype.h>
#include <string.h>

#include "command/command.h"
#include "fuzz/fuzz.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n)
{
    struct keymap k;
    struct err e = {0};
    keymap_default(&k);
    size_t usual = k.n;
    if (!keymap_read(&k, (const char *)data, n, "keys.ini", &e)) {
        prove_error(&e);
        PROVE(strncmp(e.text, "keys.ini:", 9) == 0);
    }
    PROVE(k.n >= usual);
    for (size_t i = 0; i < k.n; i++) {
        const struct binding *b = &k.at[i];
        char canonical[32];
        PROVE(b->mode >= 0 && b->mode < KEY_MODES);
        PROVE(key_canonical(b->key, canonical) && strcmp(canonical, b->key) == 0);
        PROVE(!(isalpha((unsigned char)b->key[0]) && !b->key[1]));
        PROVE(!*b->command || command_named(b->command, strcspn(b->command, " ")));
        prove_utf8(b->command, strlen(b->command));
        if (*b->command) {
            PROVE(*binding_help(b));
            const char *found = keymap_find(&k, b->mode, b->key);
            PROVE(found && *keymap_key_of(&k, b->mode, b->command));
        }
    }
    keymap_free(&k);
    return 0;
}
