#include "base/near.h"
#include "verb/rows.h"

static bool run(struct call *c, struct err *e)
{
    if (c->n_words == 0) {
        verbs_help(c->verbs, &c->out);
        return true;
    }
    const struct verb *v = verb_named(c->verbs, c->words[0]);
    if (v) {
        verb_help(v, &c->out);
        return true;
    }
    struct near near = {.word = c->words[0]};
    for (size_t i = 0; c->verbs[i]; i++)
        near_offer(&near, c->verbs[i]->name);
    return err_set(e, ERR_USAGE, "no verb '%s'%s", c->words[0],
                   near_said(&near, "; see boxcall help").text);
}

const struct verb verb_help_row = {
    .name = "help",
    .usage = "[VERB]",
    .summary = "Explain the program or one verb",
    .options = {{0}},
    .most = 1,
    .run = run,
};

static bool run_version(struct call *c, struct err *e)
{
    (void)e;
    buf_str(&c->out, "boxcall " BOXCALL_VERSION "\n");
    return true;
}

const struct verb verb_version = {
    .name = "version",
    .usage = "",
    .summary = "Print the version",
    .options = {{0}},
    .run = run_version,
};
