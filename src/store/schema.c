#include "store/inside.h"

/* kept: removed from the staff's table, but marks speak of it.
 * Rows that people exchange carry uid, author, made_at, changed_at (ms since 1970 UTC) and, once
 * removed, removed_at. mark_target repeats columns of its mark so that a fix list is one walk over
 * one covering index; store/mark.c is the only writer of both. */
const char *const store_schema[STORE_VERSION] = {
    "CREATE TABLE setting(key TEXT PRIMARY KEY, value TEXT NOT NULL) WITHOUT ROWID;"

    "CREATE TABLE section(id INTEGER PRIMARY KEY, uid BLOB NOT NULL UNIQUE,"
    " name TEXT NOT NULL UNIQUE COLLATE NOCASE, parent TEXT NOT NULL, key TEXT NOT NULL,"
    " words TEXT NOT NULL, place INTEGER NOT NULL, author TEXT NOT NULL, made_at INTEGER NOT NULL,"
    " changed_at INTEGER NOT NULL, removed_at INTEGER,"
    " kept INTEGER NOT NULL DEFAULT 0);"

    "CREATE TABLE performer(id INTEGER PRIMARY KEY, uid BLOB NOT NULL UNIQUE,"
    " label TEXT NOT NULL UNIQUE COLLATE NOCASE, name TEXT NOT NULL,"
    " section_id INTEGER NOT NULL REFERENCES section(id), number INTEGER NOT NULL,"
    " place INTEGER NOT NULL, author TEXT NOT NULL, made_at INTEGER NOT NULL,"
    " changed_at INTEGER NOT NULL, removed_at INTEGER,"
    " kept INTEGER NOT NULL DEFAULT 0);"

    "CREATE TABLE fault(id INTEGER PRIMARY KEY, uid BLOB NOT NULL UNIQUE,"
    " name TEXT NOT NULL UNIQUE COLLATE NOCASE, family TEXT NOT NULL, key TEXT NOT NULL,"
    " cause INTEGER NOT NULL CHECK(cause IN (0,1)), right TEXT NOT NULL, words TEXT NOT NULL,"
    " place INTEGER NOT NULL, author TEXT NOT NULL, made_at INTEGER NOT NULL,"
    " changed_at INTEGER NOT NULL, removed_at INTEGER,"
    " kept INTEGER NOT NULL DEFAULT 0);"

    "CREATE TABLE drill_set(id INTEGER PRIMARY KEY, uid BLOB NOT NULL UNIQUE,"
    " label TEXT NOT NULL UNIQUE COLLATE NOCASE, counts INTEGER NOT NULL, tempo REAL NOT NULL,"
    " tempo_end REAL NOT NULL, hold REAL NOT NULL, measures INTEGER NOT NULL, name TEXT NOT NULL,"
    " place INTEGER NOT NULL, author TEXT NOT NULL, made_at INTEGER NOT NULL,"
    " changed_at INTEGER NOT NULL, removed_at INTEGER);"

    "CREATE TABLE dot(performer_id INTEGER NOT NULL REFERENCES performer(id),"
    " set_id INTEGER NOT NULL REFERENCES drill_set(id), x REAL NOT NULL, y REAL NOT NULL,"
    " PRIMARY KEY(performer_id, set_id)) WITHOUT ROWID;"

    "CREATE TABLE clip(id INTEGER PRIMARY KEY, uid BLOB NOT NULL UNIQUE,"
    " label TEXT NOT NULL UNIQUE COLLATE NOCASE, path TEXT NOT NULL, date TEXT NOT NULL,"
    " run INTEGER NOT NULL, length_us INTEGER NOT NULL, size_bytes INTEGER NOT NULL,"
    " width INTEGER NOT NULL, height INTEGER NOT NULL, fps_num INTEGER NOT NULL,"
    " fps_den INTEGER NOT NULL, sha256 TEXT NOT NULL, head_tail TEXT NOT NULL,"
    " author TEXT NOT NULL, made_at INTEGER NOT NULL,"
    " changed_at INTEGER NOT NULL, removed_at INTEGER);"

    "CREATE TABLE place(clip_id INTEGER PRIMARY KEY REFERENCES clip(id), at_us INTEGER NOT NULL);"

    "CREATE TABLE anchor(id INTEGER PRIMARY KEY, uid BLOB NOT NULL UNIQUE,"
    " clip_id INTEGER NOT NULL REFERENCES clip(id), at_us INTEGER NOT NULL,"
    " set_id INTEGER NOT NULL REFERENCES drill_set(id), count REAL NOT NULL,"
    " flags INTEGER NOT NULL, author TEXT NOT NULL, made_at INTEGER NOT NULL,"
    " changed_at INTEGER NOT NULL, UNIQUE(clip_id, at_us));"

    "CREATE TABLE watched(clip_id INTEGER NOT NULL REFERENCES clip(id), reviewer TEXT NOT NULL,"
    " from_us INTEGER NOT NULL, to_us INTEGER NOT NULL, PRIMARY KEY(clip_id, reviewer, from_us))"
    " WITHOUT ROWID;"

    "CREATE TABLE mark(id INTEGER PRIMARY KEY, uid BLOB NOT NULL UNIQUE,"
    " clip_id INTEGER NOT NULL REFERENCES clip(id), at_us INTEGER NOT NULL, end_us INTEGER,"
    " fault_id INTEGER NOT NULL REFERENCES fault(id), praise INTEGER NOT NULL,"
    " severity INTEGER NOT NULL CHECK(severity BETWEEN 1 AND 3), cause INTEGER NOT NULL,"
    " state INTEGER NOT NULL, note TEXT NOT NULL, set_id INTEGER REFERENCES drill_set(id),"
    " count REAL, late_counts REAL, late_error REAL, x REAL, y REAL, author TEXT NOT NULL,"
    " made_at INTEGER NOT NULL, changed_at INTEGER NOT NULL, removed_at INTEGER);"
    "CREATE INDEX mark_by_clip ON mark(clip_id, at_us);"

    "CREATE TABLE mark_target(mark_id INTEGER NOT NULL REFERENCES mark(id),"
    " place INTEGER NOT NULL, section_id INTEGER NOT NULL REFERENCES section(id),"
    " performer_id INTEGER REFERENCES performer(id), clip_id INTEGER NOT NULL,"
    " fault_id INTEGER NOT NULL, praise INTEGER NOT NULL, severity INTEGER NOT NULL,"
    " cause INTEGER NOT NULL, state INTEGER NOT NULL, at_us INTEGER NOT NULL, set_id INTEGER,"
    " many INTEGER NOT NULL, PRIMARY KEY(mark_id, place)) WITHOUT ROWID;"
    "CREATE INDEX target_seen ON mark_target(section_id, fault_id, praise, clip_id, at_us, mark_id,"
    " place, performer_id, severity, cause, state, set_id);"
    "CREATE INDEX target_performer ON mark_target(performer_id, fault_id, praise)"
    " WHERE performer_id IS NOT NULL;"

    /* How late a mark was, for the few that were measured. */
    "CREATE INDEX mark_timed ON mark(clip_id) WHERE late_counts IS NOT NULL;"

    "CREATE TABLE decision(fault_id INTEGER PRIMARY KEY REFERENCES fault(id), uid BLOB NOT NULL"
    " UNIQUE, text TEXT NOT NULL, author TEXT NOT NULL, made_at INTEGER NOT NULL);"

    "CREATE TABLE item_state(id INTEGER PRIMARY KEY, uid BLOB NOT NULL UNIQUE,"
    " section_id INTEGER NOT NULL REFERENCES section(id), performer_id INTEGER,"
    " fault_id INTEGER NOT NULL REFERENCES fault(id), state INTEGER NOT NULL,"
    " marks INTEGER NOT NULL, author TEXT NOT NULL, made_at INTEGER NOT NULL);"
    "CREATE INDEX item_state_of ON item_state(fault_id, section_id, made_at);"

    "CREATE TABLE rep_plan(id INTEGER PRIMARY KEY, uid BLOB NOT NULL UNIQUE, date TEXT NOT NULL,"
    " start_min INTEGER NOT NULL, minutes INTEGER NOT NULL, gain REAL NOT NULL,"
    " author TEXT NOT NULL, made_at INTEGER NOT NULL);"
    "CREATE TABLE rep_block(plan_id INTEGER NOT NULL REFERENCES rep_plan(id),"
    " place INTEGER NOT NULL, start_s INTEGER NOT NULL, seconds INTEGER NOT NULL,"
    " kind INTEGER NOT NULL, who TEXT NOT NULL, sets TEXT NOT NULL, what TEXT NOT NULL,"
    " reps INTEGER NOT NULL, reps_made INTEGER, done_at INTEGER, PRIMARY KEY(plan_id, place))"
    " WITHOUT ROWID;"
    "CREATE TABLE rep_fix(plan_id INTEGER NOT NULL, place INTEGER NOT NULL,"
    " section_id INTEGER NOT NULL REFERENCES section(id),"
    " fault_id INTEGER NOT NULL REFERENCES fault(id), marks INTEGER NOT NULL,"
    " PRIMARY KEY(plan_id, place, section_id, fault_id)) WITHOUT ROWID;"

    "CREATE TABLE undo_step(id INTEGER PRIMARY KEY AUTOINCREMENT, what TEXT NOT NULL,"
    " undone INTEGER NOT NULL DEFAULT 0, changes BLOB NOT NULL);",

    /* 2: whose step it was; calls of a clip without a look at each row */
    "ALTER TABLE undo_step ADD COLUMN author TEXT NOT NULL DEFAULT '';"
    "ALTER TABLE undo_step ADD COLUMN made_at INTEGER NOT NULL DEFAULT 0;"
    "CREATE INDEX undo_of ON undo_step(author, undone, id);"
    "DROP INDEX mark_by_clip;"
    "CREATE INDEX mark_shown ON mark(clip_id, at_us) WHERE removed_at IS NULL;",

    /* 3: faults that only mend with the other sections there. Which ones was written in the program
     * before, by the names of these families. */
    "ALTER TABLE fault ADD COLUMN together INTEGER NOT NULL DEFAULT 0;"
    "UPDATE fault SET together=1 WHERE family IN('timing','form & spacing','path & transition');",

    /* 4: every row written with the column that 3 added. Until then it is only in the schema, the
     * record of a change calls its old value NULL, and undo does not find the row it speaks of. */
    "UPDATE fault SET together=together;",

    /* 5: how far off a tie may be */
    "ALTER TABLE anchor ADD COLUMN error_us INTEGER NOT NULL DEFAULT 0;"
    "UPDATE anchor SET error_us=error_us;",

    /* 6: a plan with all it was made from and all that is printed of it; a row for each chunk of a
     * sectional's list */
    "ALTER TABLE rep_plan ADD COLUMN asked TEXT NOT NULL DEFAULT '';"
    "ALTER TABLE rep_plan ADD COLUMN wishes TEXT NOT NULL DEFAULT '';"
    "ALTER TABLE rep_plan ADD COLUMN cautions TEXT NOT NULL DEFAULT '';"
    "ALTER TABLE rep_plan ADD COLUMN open_weight REAL NOT NULL DEFAULT 0;"
    "UPDATE rep_plan SET asked=asked;"
    "ALTER TABLE rep_block ADD COLUMN block INTEGER NOT NULL DEFAULT 0;"
    "ALTER TABLE rep_block ADD COLUMN part INTEGER NOT NULL DEFAULT 0;"
    "ALTER TABLE rep_block ADD COLUMN begins_s INTEGER NOT NULL DEFAULT 0;"
    "ALTER TABLE rep_block ADD COLUMN works_s INTEGER NOT NULL DEFAULT 0;"
    "ALTER TABLE rep_block ADD COLUMN rep_s INTEGER NOT NULL DEFAULT 0;"
    "ALTER TABLE rep_block ADD COLUMN setup_s INTEGER NOT NULL DEFAULT 0;"
    "ALTER TABLE rep_block ADD COLUMN walk_s INTEGER NOT NULL DEFAULT 0;"
    "ALTER TABLE rep_block ADD COLUMN counts INTEGER NOT NULL DEFAULT 0;"
    "ALTER TABLE rep_block ADD COLUMN bpm_low REAL NOT NULL DEFAULT 0;"
    "ALTER TABLE rep_block ADD COLUMN bpm_high REAL NOT NULL DEFAULT 0;"
    "ALTER TABLE rep_block ADD COLUMN gain REAL NOT NULL DEFAULT 0;"
    "ALTER TABLE rep_block ADD COLUMN kept INTEGER NOT NULL DEFAULT 0;"
    "UPDATE rep_block SET block=place,begins_s=start_s,works_s=seconds;",

    /* 7: which of a plan's cautions are about a block; of older plans that is not known */
    "ALTER TABLE rep_block ADD COLUMN cautions TEXT;"
    "UPDATE rep_block SET cautions=cautions;",

    /* 8: the field in a clip's pictures: what was pointed at, and the camera that was followed from
     * it, which can be made again at any time; how people get to a set; what a mark measured */
    "CREATE TABLE field_pick(id INTEGER PRIMARY KEY, uid BLOB NOT NULL UNIQUE,"
    " clip_id INTEGER NOT NULL REFERENCES clip(id), at_us INTEGER NOT NULL,"
    " kind INTEGER NOT NULL CHECK(kind IN(0,1,2)), px REAL NOT NULL, py REAL NOT NULL,"
    " to_px REAL, to_py REAL, x REAL, y REAL, author TEXT NOT NULL, made_at INTEGER NOT NULL,"
    " changed_at INTEGER NOT NULL);"
    "CREATE INDEX field_pick_of ON field_pick(clip_id, at_us);"
    "CREATE TABLE camera_track(clip_id INTEGER PRIMARY KEY REFERENCES clip(id),"
    " made_from INTEGER NOT NULL, width INTEGER NOT NULL, height INTEGER NOT NULL,"
    " x REAL NOT NULL, y REAL NOT NULL, z REAL NOT NULL, k1 REAL NOT NULL, crown REAL NOT NULL,"
    " unsure BLOB NOT NULL, sideline REAL NOT NULL, from_us INTEGER NOT NULL,"
    " to_us INTEGER NOT NULL, whole INTEGER NOT NULL, checked REAL, checked_lines INTEGER NOT NULL,"
    " views INTEGER NOT NULL, made_at INTEGER NOT NULL);"
    "CREATE TABLE camera_piece(clip_id INTEGER NOT NULL REFERENCES clip(id),"
    " from_us INTEGER NOT NULL, frames BLOB NOT NULL, cov BLOB NOT NULL,"
    " PRIMARY KEY(clip_id, from_us)) WITHOUT ROWID;"
    "ALTER TABLE drill_set ADD COLUMN path TEXT NOT NULL DEFAULT '';"
    "UPDATE drill_set SET path=path;"
    "ALTER TABLE mark ADD COLUMN measured TEXT NOT NULL DEFAULT '';"
    "ALTER TABLE mark ADD COLUMN measured_value REAL;"
    "ALTER TABLE mark ADD COLUMN measured_error REAL;"
    "ALTER TABLE mark ADD COLUMN measured_of REAL;"
    "UPDATE mark SET measured=measured;",

    /* 9: pictures that no camera explains */
    "ALTER TABLE camera_piece ADD COLUMN bends BLOB;"
    "UPDATE camera_piece SET bends=bends;",

    /* 10: how sections and faults are said; what is proposed for a clip, and out of what. Of a
     * draft's targets those with heard=1 are as they were proposed. */
    "ALTER TABLE section ADD COLUMN say TEXT NOT NULL DEFAULT '';"
    "UPDATE section SET say=say;"
    "ALTER TABLE fault ADD COLUMN say TEXT NOT NULL DEFAULT '';"
    "UPDATE fault SET say=say;"
    "CREATE TABLE draft_source(id INTEGER PRIMARY KEY, uid BLOB NOT NULL UNIQUE,"
    " clip_id INTEGER NOT NULL REFERENCES clip(id), kind TEXT NOT NULL, name TEXT NOT NULL,"
    " path TEXT NOT NULL, digest TEXT NOT NULL, offset_us INTEGER NOT NULL, rate REAL NOT NULL,"
    " author TEXT NOT NULL, made_at INTEGER NOT NULL, changed_at INTEGER NOT NULL);"
    "CREATE INDEX draft_source_of ON draft_source(clip_id);"
    "CREATE TABLE draft(id INTEGER PRIMARY KEY, uid BLOB NOT NULL UNIQUE,"
    " source_id INTEGER NOT NULL REFERENCES draft_source(id),"
    " clip_id INTEGER NOT NULL REFERENCES clip(id), at_us INTEGER NOT NULL,"
    " end_us INTEGER NOT NULL, said_us INTEGER NOT NULL, said_end_us INTEGER NOT NULL,"
    " one INTEGER NOT NULL, fault_id INTEGER REFERENCES fault(id), praise INTEGER NOT NULL,"
    " cause INTEGER NOT NULL, severity INTEGER NOT NULL CHECK(severity BETWEEN 1 AND 3),"
    " size REAL, unit TEXT NOT NULL, confidence REAL NOT NULL, quote TEXT NOT NULL,"
    " words TEXT NOT NULL, state INTEGER NOT NULL CHECK(state IN(0,1,2)),"
    " mark_id INTEGER REFERENCES mark(id), touched INTEGER NOT NULL,"
    " heard_fault_id INTEGER REFERENCES fault(id), author TEXT NOT NULL,"
    " made_at INTEGER NOT NULL, changed_at INTEGER NOT NULL);"
    "CREATE INDEX draft_of ON draft(clip_id, state, at_us);"
    "CREATE TABLE draft_target(draft_id INTEGER NOT NULL REFERENCES draft(id),"
    " heard INTEGER NOT NULL, place INTEGER NOT NULL,"
    " section_id INTEGER NOT NULL REFERENCES section(id),"
    " performer_id INTEGER REFERENCES performer(id), PRIMARY KEY(draft_id, heard, place))"
    " WITHOUT ROWID;",
};
