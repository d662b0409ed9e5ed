/* What a show keeps beside its tables. */
#include <stdlib.h>
#include <string.h>

#include "app/app.h"
#include "base/near.h"
#include "sys/zones.h"
#include "store/field.h"
#include "verb/rows.h"

static bool check_title(const char *value, struct err *e)
{
    return *value || err_set(e, ERR_INPUT, "the title is empty");
}

static bool check_field(const char *value, struct err *e)
{
    struct grid g;
    return grid_read(value, &g, e);
}

static bool check_percent(const char *value, struct err *e)
{
    char *end;
    double x = strtod(value, &end);
    return (end != value && !*end && x >= 1 && x <= 50) ||
           err_set(e, ERR_INPUT, "'%s' is not a percentage from 1 to 50", value);
}

static bool check_zone(const char *value, struct err *e)
{
    return !*value || zone_known(value, e);
}

static const struct {
    const char *name, *usual, *help;
    bool (*check)(const char *value, struct err *e);
} settings[] = {
    {"title", "", "name of the show", check_title},
    {"field", "high-school",
     "the ground: high-school, college or professional hash marks, or a floor by numbers, "
     "'floor 90x60 ft' (set it before adding dots)",
     check_field},
    {"off-tempo", "8", "per cent off the written tempo beyond which the rail shows '!'",
     check_percent},
    {"zone", "", "time zone of the rehearsals, as America/New_York; '' for this laptop's",
     check_zone},
};
enum { SETTINGS = sizeof settings / sizeof *settings };

static int setting_named(const char *name, struct err *e)
{
    struct near near = {.word = name};
    for (int i = 0; i < SETTINGS; i++) {
        if (strcmp(settings[i].name, name) == 0)
            return i;
        near_offer(&near, settings[i].name);
    }
    err_set(e, ERR_INPUT, "no setting '%s'%s", name, near_said(&near, "").text);
    return -1;
}

static void list(struct call *c, struct app *app, int only)
{
    for (int i = 0; i < SETTINGS; i++) {
        const char *value = store_setting(app->store, &c->memory, settings[i].name);
        if (only >= 0 && only != i)
            continue;
        if (!value)
            value = settings[i].usual;
        if (only < 0)
            buf_printf(&c->out, "%-10s %-14s %s\n", settings[i].name, value, settings[i].help);
        else
            buf_printf(&c->out, "%s\n", value);
    }
}

/* Dots are stored in steps from the front sideline; a sheet may count them from a hash. */
static void say_dots(struct call *c, const struct app *app, const char *value)
{
    struct grid g;
    struct err none;
    char said[80];
    if (!app->show.n_dots || !grid_read(value, &g, &none) || grid_same(&g, &app->show.grid))
        return;
    grid_said(&app->show.grid, said);
    buf_printf(&c->talk,
               "the %zu dots were read for this ground: %s; they keep their steps from its front "
               "edge. If their sheets count from hash marks, add them again\n",
               app->show.n_dots, said);
}

static bool run(struct call *c, struct err *e)
{
    struct app app;
    int at = -1;
    if (c->n_words > 1 && (at = setting_named(c->words[1], e)) < 0)
        return false;
    if (!app_open(&app, c->words[0], e))
        return false;
    bool ok = true;
    if (c->n_words > 2) {
        struct grid now;
        ok = settings[at].check(c->words[2], e) &&
             store_set(app.store, settings[at].name, c->words[2], e) &&
             (settings[at].check != check_field ||
              (grid_read(c->words[2], &now, e) &&
               store_field_picks_ground(app.store, &app.show.grid, &now, e)));
        if (ok && settings[at].check == check_field)
            say_dots(c, &app, c->words[2]);
    } else {
        list(c, &app, at);
    }
    app_close(&app);
    return ok;
}

const struct verb verb_setting = {
    .name = "setting",
    .usage = "SHOW [NAME [VALUE]]",
    .summary = "See or change what the show keeps beside its tables",
    .detail = "The settings are title, field, off-tempo and zone.",
    .options = {{0}},
    .least = 1,
    .most = 3,
    .run = run,
};
