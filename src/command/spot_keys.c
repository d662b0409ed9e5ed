#include "command/spot_keys.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>

static const struct row {
    char key;
    const char *name;
} rows[] = {{'s', "front sideline"}, {'n', "front numbers"}, {'f', "front hash"},
            {'b', "back hash"},      {'m', "back numbers"},  {'k', "back sideline"}};
enum { ROWS = sizeof rows / sizeof *rows };

static double depth_of(const struct grid *g, char key)
{
    switch (key) {
    case 'n':
        return grid_depth_steps(g, NUMBERS_TOP_IN);
    case 'f':
        return g->front_hash;
    case 'b':
        return g->back_hash;
    case 'm':
        return grid_depth_steps(g, g->back_sideline_in - NUMBERS_TOP_IN);
    case 'k':
        return g->back_sideline;
    default:
        return 0;
    }
}

/* The yard line of "3", "35", "50", "05"; -1 for none. Returns how many digits that took. */
static int yards_of(const char *keys, int *yards)
{
    const int n = (int)strspn(keys, "0123456789");
    *yards = -1;
    if (n == 1 && keys[0] <= '5')
        *yards = (keys[0] - '0') * 10;
    if (n == 2 && (keys[1] == '0' || keys[1] == '5'))
        *yards = (keys[0] - '0') * 10 + keys[1] - '0';
    if (*yards > 50)
        *yards = -1;
    return n;
}

enum spot_keys spot_keys_read(const struct grid *g, const char *keys, int side,
                              struct dot_place *out)
{
    int yards;
    const int n = yards_of(keys, &yards);
    if (!*keys)
        return SPOT_KEYS_MORE;
    if (yards < 0)
        return SPOT_KEYS_WRONG;
    if (!keys[n])
        return SPOT_KEYS_MORE;
    for (size_t i = 0; i < ROWS; i++)
        if (rows[i].key == keys[n] && !keys[n + 1]) {
            const double steps = (50 - yards) * 8.0 / 5.0;
            *out = (struct dot_place){side == 1 ? -steps : steps, depth_of(g, keys[n])};
            return SPOT_KEYS_DONE;
        }
    return SPOT_KEYS_WRONG;
}

void spot_keys_said(const char *keys, int side, char out[48])
{
    int yards;
    yards_of(keys, &yards);
    if (yards < 0)
        snprintf(out, 48, "side %d", side);
    else if (yards == 50)
        snprintf(out, 48, "the 50");
    else
        snprintf(out, 48, "side %d, the %s%.0d", side, yards == 0 ? "goal line" : "", yards);
}
