#include <errno.h>
#include <stdio.h>
#include <sys/stat.h>

#include "band.h"
#include "base/arena.h"
#include "scene.h"

static void write_beats(FILE *f, const struct scene *s)
{
    for (size_t i = 0; i < s->n_beats; i++)
        fprintf(f, "%.6f\n", s->beat[i]);
}

static void write_sets(FILE *f, const struct scene *s)
{
    for (size_t i = 0; i < s->n_sets; i++) {
        const struct move *m = &s->set[i];
        fprintf(f, "%d %g %g %g\n", m->counts, m->bpm0, m->bpm1, m->hold_s);
    }
    fprintf(f, "begin %.6f\n", s->begin_s);
    for (size_t i = 0; i < s->n_again; i++)
        fprintf(f, "again %zu %.6f\n", s->again[i].set + 1, s->again[i].at_s);
}

static bool write_text(const struct scene *s, const char *path,
                       void (*write)(FILE *, const struct scene *))
{
    FILE *f = fopen(path, "w");
    if (!f)
        return false;
    write(f, s);
    const bool fine = !ferror(f);
    return fclose(f) == 0 && fine;
}

bool scene_write(const struct scene *s, const char *stem)
{
    struct arena a = {0};
    const bool fine = write_text(s, arena_printf(&a, "%s.txt", stem), write_beats) &&
                      write_text(s, arena_printf(&a, "%s.sets", stem), write_sets);
    if (fine)
        band_write(&(struct band){.samples = s->samples, .n = s->n},
                   arena_printf(&a, "%s.wav", stem));
    arena_free(&a);
    return fine;
}

bool scene_write_bank(const char *dir, int bank)
{
    struct arena a = {0};
    bool fine = mkdir(dir, 0777) == 0 || errno == EEXIST;
    for (int i = 0; fine && i < SCENE_KINDS * SCENE_EACH; i++) {
        const enum scene_kind kind = (enum scene_kind)(i / SCENE_EACH);
        const struct scene_plan plan = scene_plan(bank, kind, i % SCENE_EACH);
        struct scene s;
        scene_make(&plan, &s);
        fine = scene_write(&s, arena_printf(&a, "%s/%s-%d", dir, scene_name(kind), plan.number));
        scene_close(&s);
    }
    arena_free(&a);
    return fine;
}
