#include "plan/rhythm.h"

#include "plan/plan.h"

/* The first moment from `at` on where a break of `pause` meets no fixed item. */
static int after_fixed(const struct track_window *w, size_t n_fixed, int at, int pause)
{
    for (size_t i = 0; i < n_fixed; i++)
        if (w[i].from < at + pause && w[i].to > at)
            at = w[i].to;
    return at;
}

/* When the next break begins: due, unless a fixed item is in the way. */
static int break_start(const struct track_window *w, size_t n_fixed, int rested, int due, int pause)
{
    size_t i = 0;
    while (i < n_fixed && w[i].to <= due)
        i++;
    if (i == n_fixed || w[i].from >= due + pause)
        return due;
    const int before = w[i].from - pause;
    const int least = i > 0 && w[i - 1].to > rested ? w[i - 1].to : rested;
    return before > least ? before : after_fixed(w, n_fixed, w[i].to, pause);
}

/* The end of the last fixed item that is rest enough and begins within the work from `rested` on;
 * 0 without one. */
static int rested_in_item(const struct track_window *w, size_t n_fixed, int rested, int due,
                          int pause)
{
    int end = 0;
    for (size_t i = 0; i < n_fixed; i++)
        if (w[i].rest && w[i].from >= rested && w[i].from <= due && w[i].to - w[i].from >= pause)
            end = w[i].to;
    return end;
}

size_t plan_track_rhythm(int work, int pause, int minutes, struct track_window *windows, size_t n)
{
    const size_t n_fixed = n;
    for (int rested = 0; rested + work < minutes;) {
        const int item = rested_in_item(windows, n_fixed, rested, rested + work, pause);
        if (item) {
            rested = item;
            continue;
        }
        const int from = break_start(windows, n_fixed, rested, rested + work, pause);
        if (from >= minutes)
            break;
        const int to = from + pause < minutes ? from + pause : minutes;
        windows[n++] = (struct track_window){from, to, -1, true};
        rested = to;
    }
    return n;
}

int plan_minutes_up(int seconds)
{
    return (seconds + PLAN_MINUTE_S - 1) / PLAN_MINUTE_S;
}
