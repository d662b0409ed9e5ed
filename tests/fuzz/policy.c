/* The local heat policy: refused in words, or a table with an answer for every reading that grows
 * no milder where it is hotter than its own rows say. */
#include <math.h>
#include <string.h>

#include "fuzz/fuzz.h"
#include "plan/policy.h"

static void prove_answer(const struct policy *p, double wbgt_f, struct arena *a)
{
    const struct policy_row *row = policy_at(p, wbgt_f);
    struct heat_breaks b = {0};
    struct err e = {0};
    PROVE(row >= p->rows && row < p->rows + p->n);
    PROVE(!(wbgt_f > row->to_f) && (row == p->rows || wbgt_f > row[-1].to_f));
    if (!policy_breaks(p, (struct policy_stay){wbgt_f, 60}, a, &b, &e)) {
        prove_error(&e);
        PROVE(e.code == ERR_INPUT);
        return;
    }
    PROVE(row->outdoors);
    PROVE(b.work_most_s >= 60 && b.break_s > 0 && b.work_most_s + b.break_s <= 3600);
    PROVE(b.break_s >= row->break_minutes * 60);
    /* An hour in this rhythm holds the rest that the row asks for (to a second a break). */
    const double cycles = 3600.0 / (b.work_most_s + b.break_s);
    PROVE(cycles * b.break_s >= row->rest_minutes * 60 - 1);
    PROVE(b.longest_s >= 0);
    prove_utf8(b.source, strlen(b.source));
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n)
{
    struct arena a = {0};
    struct policy p;
    struct err e = {0};
    if (!policy_parse(&(struct table_text){(const char *)data, n, "x.csv", NULL}, &a, &p, &e)) {
        prove_error(&e);
        PROVE(p.n == 0);
    } else {
        PROVE(p.n > 0 && isinf(p.rows[p.n - 1].to_f));
        for (size_t i = 0; i + 1 < p.n; i++)
            PROVE(p.rows[i].to_f <= p.rows[i + 1].from_f && p.rows[i].from_f < p.rows[i].to_f);
        for (double f = 15; f < 140; f += 4.9)
            prove_answer(&p, f, &a);
        for (size_t i = 0; i + 1 < p.n && i < 8; i++)
            for (double off = -0.05; off < 1; off += 0.35)
                prove_answer(&p, p.rows[i].to_f + off, &a);
        PROVE(policy_at(&p, NAN) == &p.rows[p.n - 1]);
    }
    arena_free(&a);
    return 0;
}
