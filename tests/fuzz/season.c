/* A show file with something in every table, for the targets that read or change one. */
#include "fuzz/season.h"

#include <stdio.h>
#include <string.h>

#include "app/marks.h"
#include "app/tables.h"
#include "app/ties.h"

static const char sections[] = "section,parent,key\nensemble,,e\nbrass,ensemble,b\n"
                               "trumpets,brass,t\ntubas,brass,u\n";
static const char roster[] = "performer,name,section\nT1,Ada Finch,trumpets\nT2,Bo Larkin,trumpets"
                             "\nT3,,trumpets\nU1,Max Dale,tubas\n";
static const char faults[] = "fault,family,key,cause,right\nlate arrival,timing,l,,On the dot.\n"
                             "horn angle,horns,h,,\nstyle,definition,qs,define,\n";
static const char sets[] = "set,counts,tempo\n1,8,132\n2,16,132\n3,16,132\n";
static const char dots[] = "performer,set,across,depth\nT1,1,on 50,on front hash\n"
                           "T1,2,\"side 1, 2 outside 45\",4 behind front hash\n";
static const char marks[] = "clip,time,target,fault,note,severity,cause,praise,author\n"
                            "tue,2,T1,late arrival,bells up,1,,,Ana Quill\n"
                            "tue,3,T1;T2,horn angle,,3,,,\n"
                            "tue,4.5,tubas,style,,2,define,,\n"
                            "tue,7,brass,late arrival,,1,,yes,\n"
                            "thu,5,ensemble,horn angle,,2,,,\n";

static void put(struct app *app, const char *name, const char *csv)
{
    struct err e;
    struct table_report r;
    struct table_text text = {csv, strlen(csv), "season.csv", NULL};
    if (!app_put_table(app, &(struct table_put){name, &text, TABLE_REPLACE}, &r, &e))
        fuzz_broken(e.text, __FILE__, __LINE__);
}

#define DONE(call)                                                                                 \
    do {                                                                                           \
        struct err e;                                                                              \
        if (!(call))                                                                               \
            fuzz_broken(e.text, __FILE__, __LINE__);                                               \
    } while (0)

static void add_clips(struct app *app)
{
    static const char *const labels[] = {"tue", "thu"};
    for (int i = 0; i < 2; i++) {
        struct clip c = {.label = labels[i],
                         .path = i ? "/nowhere/thu.mp4" : "/nowhere/tue.mp4",
                         .date = i ? "2026-09-03" : "2026-09-01",
                         .run = 1,
                         .length_us = 60000000,
                         .size_bytes = 1000 + i,
                         .width = 64,
                         .height = 36,
                         .fps_num = 30,
                         .fps_den = 1,
                         .sha256 = labels[i],
                         .head_tail = labels[i]};
        DONE(store_clip_put(app->store, &c, &e));
    }
    DONE(app_reload(app, &e));
}

/* Undo steps, states, a decision, a watched stretch, a plan that was rehearsed. */
static void work_on(struct app *app)
{
    const struct clip *tue = &app->clips.at[0];
    const struct stretch watched = {0, 9000000};
    const struct item_choice item = {.section = show_section(&app->show, "tubas"),
                                     .performer = -1,
                                     .fault = show_fault(&app->show, "style"),
                                     .clips = &tue->id,
                                     .n_clips = 1};
    struct rep_fix fix = {item.section, item.fault, 1};
    struct rep_block block = {.seconds = 300,
                              .kind = 0,
                              .who = "all",
                              .what = "style",
                              .sets = "1 2",
                              .reps = 4,
                              .reps_made = -1,
                              .fixes = &fix,
                              .n_fixes = 1};
    struct rep_plan plan = {
        .date = "2026-09-04", .start_min = 1080, .minutes = 60, .blocks = &block, .n_blocks = 1};
    DONE(app_tie(app, tue, &(struct tie){1000000, 0, 1, 0, false, 0}, "tie set 1", &e));
    DONE(app_tie(app, tue, &(struct tie){4636364, 1, 1, 0, false, 0}, "tie set 2", &e));
    DONE(store_item_state(app->store, &app->show, &item, MARK_REPPED, &e) >= 0);
    DONE(store_decide(app->store, &app->show, item.fault, "heels down", &e));
    DONE(store_watched_add(app->store, tue->id, &watched, 1, &e));
    DONE(store_clip_left(app->store, tue->id, 2000000, &e));
    DONE(store_plan_put(app->store, &app->show, &plan, &e));
    DONE(store_plan_tick(app->store, plan.id, 0, 2, &e));
    DONE(store_set(app->store, "lead_ms Ana Quill", "450", &e));
    DONE(app_reload(app, &e));
}

const uint8_t *fuzz_season(size_t *n)
{
    static uint8_t bytes[1 << 20];
    static size_t size;
    *n = size;
    if (size)
        return bytes;
    const char *path = fuzz_show_file(NULL, 0);
    struct store *made;
    struct app app;
    struct marks_report added;
    struct table_text text = {marks, strlen(marks), "marks.csv", NULL};
    DONE(store_create(path, "Larkspur", "high-school", &made, &e));
    store_close(made);
    DONE(app_open(&app, path, &e));
    put(&app, "sections", sections);
    put(&app, "roster", roster);
    put(&app, "faults", faults);
    put(&app, "sets", sets);
    put(&app, "dots", dots);
    add_clips(&app);
    DONE(app_put_marks(&app, &text, &added, &e));
    work_on(&app);
    app_close(&app); /* the last to close takes the log in */
    FILE *f = fopen(path, "rb");
    PROVE(f != NULL);
    size = *n = fread(bytes, 1, sizeof bytes, f);
    PROVE(size > 0 && size < sizeof bytes);
    fclose(f);
    return bytes;
}
