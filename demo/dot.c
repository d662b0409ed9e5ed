/* Dot-sheet words, read strictly: "side 1, 2.5 outside 35", "side 2, on 40", "on 50" and
 * "4 in front of front hash", "2 behind back hash", "on front sideline". */
#include <stdio.h>
#include <string.h>

#include "demo/drill.h"

static const double STEPS_PER_YARD_LINE = 8; /* 5 yd */

static bool yard_line(double yards, double *steps)
{
    *steps = (50 - yards) / 5 * STEPS_PER_YARD_LINE;
    return yards >= 0 && yards <= 50;
}

bool dot_across(const char *text, double *x)
{
    int side, end = 0;
    double off = 0, yards, line;
    char word[10];
    if (strcmp(text, "on 50") == 0) {
        *x = 0;
        return true;
    }
    if (sscanf(text, "side %d, %n", &side, &end) < 1 || end == 0 || side < 1 || side > 2)
        return false;
    const char *rest = text + end;
    if (sscanf(rest, "on %lf%n", &yards, &end) == 1)
        off = 0;
    else if (sscanf(rest, "%lf %9s %lf%n", &off, word, &yards, &end) != 3)
        return false;
    else if (strcmp(word, "inside") == 0)
        off = -off;
    else if (strcmp(word, "outside") != 0)
        return false;
    if (rest[end] != '\0' || !yard_line(yards, &line))
        return false;
    *x = (side == 1 ? -1 : 1) * (line + off);
    return true;
}

bool dot_depth(const char *text, double *y)
{
    static const struct {
        const char *name;
        double steps;
    } lines[] = {
        {"front sideline", 0}, {"front hash", 28}, {"back hash", 56}, {"back sideline", 84}};
    static const struct {
        const char *words;
        double sign;
    } ways[] = {{"on ", 0}, {"in front of ", -1}, {"behind ", 1}};
    double off = 0;
    int end = 0;
    if (sscanf(text, "%lf %n", &off, &end) == 1)
        text += end;
    for (size_t w = 0; w < sizeof ways / sizeof *ways; w++) {
        const size_t n = strlen(ways[w].words);
        if (strncmp(text, ways[w].words, n) != 0 || (w == 0) != (end == 0))
            continue;
        for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
            if (strcmp(text + n, lines[i].name) == 0) {
                *y = lines[i].steps + ways[w].sign * off;
                return true;
            }
        }
    }
    return false;
}
