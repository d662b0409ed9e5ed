#include "base/near.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>

enum { LONGEST = 63, FAR = 255 };

static int least(int a, int b)
{
    return a < b ? a : b;
}

int near_distance(const char *a, const char *b)
{
    size_t m = strlen(a), n = strlen(b);
    if (m > LONGEST || n > LONGEST)
        return FAR;
    int d[LONGEST + 1][LONGEST + 1];
    for (size_t i = 0; i <= m; i++)
        d[i][0] = (int)i;
    for (size_t j = 0; j <= n; j++)
        d[0][j] = (int)j;
    for (size_t i = 1; i <= m; i++) {
        for (size_t j = 1; j <= n; j++) {
            int x = tolower((unsigned char)a[i - 1]), y = tolower((unsigned char)b[j - 1]);
            d[i][j] = least(least(d[i - 1][j], d[i][j - 1]) + 1, d[i - 1][j - 1] + (x != y));
            if (i > 1 && j > 1 && x == tolower((unsigned char)b[j - 2]) &&
                tolower((unsigned char)a[i - 2]) == y)
                d[i][j] = least(d[i][j], d[i - 2][j - 2] + 1);
        }
    }
    return d[m][n];
}

void near_offer(struct near *n, const char *candidate)
{
    size_t len = strlen(n->word);
    int allowed = len < 6 ? 1 : len < 9 ? 2 : 3;
    int d = near_distance(n->word, candidate);
    if (d <= allowed && (!n->best || d < n->distance)) {
        n->best = candidate;
        n->distance = d;
    }
}

struct near_said near_said(const struct near *n, const char *otherwise)
{
    struct near_said s;
    if (n->best)
        snprintf(s.text, sizeof s.text, "; did you mean '%.120s'?", n->best);
    else
        snprintf(s.text, sizeof s.text, "%s", otherwise);
    return s;
}
