#include "base/shell.h"

#include <stdbool.h>
#include <string.h>

#include "base/utf8.h"

/* Letters, digits and what no shell gives a meaning to; beyond ASCII all but control characters,
 * since shells part words at ASCII blanks only. '~' and '=' mean something at a word's beginning,
 * '{' and '^' to some shells. */
static bool plain(const char *word)
{
    static const char safe[] = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"
                               "_-./,:@%+=";
    if (!*word || *word == '=')
        return false;
    for (; *word; word++)
        if ((unsigned char)*word < 0x80 && !strchr(safe, *word))
            return false;
    return true;
}

struct shell_word shell_word(const char *word)
{
    static const char quote[] = "'\\''";
    struct shell_word out = {""};
    const bool bare = plain(word);
    const size_t room = sizeof out.text - 2; /* the closing quote and the end */
    size_t n = 0;
    if (!bare)
        out.text[n++] = '\'';
    for (size_t left = strlen(word), took; left > 0; word += took, left -= took) {
        utf8_next(word, left, &took);
        const bool escape = *word == '\'';
        const size_t more = escape ? sizeof quote - 1 : took;
        if (n + more > room)
            break;
        memcpy(out.text + n, escape ? quote : word, more);
        n += more;
    }
    if (!bare)
        out.text[n++] = '\'';
    return out;
}
