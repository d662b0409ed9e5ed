#include <string.h>

#include "command/command.h"

const struct command commands[] = {
    {"play", "", "Play or halt", command_play},
    {"move", "+N|-N", "So many seconds (counts once sets are tied) on or back", command_move},
    {"step", "+N|-N", "So many frames on or back", command_step},
    {"seek", "TIME|end|+S|-S", "To a time of the clip", command_seek},
    {"speed", "slower|faster|0.25..2", "Playing speed, pitch kept", command_speed},
    {"volume", "0..100", "Loudness", command_volume},
    {"loop", "[off|A B]", "Loop around the chosen call, or between two times", command_loop},
    {"call", "next|prev", "To the next call or the one before", command_call},
    {"rail", "next|prev", "To the next set (row of the rail) or the one before", command_rail},
    {"set", "SET[.COUNT]|+N counts", "To a set and count of the drill", command_set},
    {"tie", "[SET[.COUNT]]", "Now is a set's count 1 (the next set, or the one named)",
     command_tie},
    {"untie", "", "Take the nearest tie away", command_untie},
    {"tie-move", "+N|-N", "Move the nearest tie by frames", command_tie_move},
    {"tap", "", "Tap along on the beat; Enter keeps the taps, Esc drops them", command_tap},
    {"tap-from", "SET[.COUNT]", "The first tap was on this count", command_accept},
    {"late", "[SET.COUNT]", "The chosen mark: how early or late now is against when it was due",
     command_late},
    {"seen", "", "The chosen mark was seen now; behind a section or performer: add it to a ripple",
     command_seen},
    {"beats", "[DISTANCE [TEMPERATURE]]", "Find the beat in the clip's sound", command_beats},
    {"metronome", "", "Flash on the counts", command_metronome},
    {"mark", "TARGET FAULT", "Mark now, in words", command_mark},
    {"repeat", "", "The last target and fault, now", command_repeat},
    {"severity", "1|2|3", "How serious the newest mark is", command_severity},
    {"praise", "", "Newest mark: something to keep, not a fault", command_praise},
    {"cause", "", "Newest mark: staff must define it, or performers must do it", command_cause},
    {"note", "[TEXT]", "Newest mark: a note", command_note},
    {"remove", "", "Take the chosen call away", command_remove},
    {"undo", "", "Take the last step back", command_undo},
    {"redo", "", "Do it again", command_redo},
    {"find", "[TEXT]", "Find a call by its words", command_find},
    {"filter", "[TEXT]", "Show only calls with these words", command_filter},
    {"fixes", "[WHO]", "The fix list", command_fixes},
    {"clips", "", "The clips of the show", command_clips},
    {"review", "", "The review", command_review},
    {"state", "open|repped|clean", "Say so of the chosen line of the fix list", command_state},
    {"decide", "[TEXT]", "Write down what right looks like for the chosen line", command_decide},
    {"plan", "[MINUTES [START] [88F|none]]", "The rep plan; 88F is a measured WBGT", command_plan},
    {"reps", "+|-", "One rep more or less of the chosen block", command_reps},
    {"shift", "+|-", "The chosen block later or earlier", command_shift},
    {"keep", "", "Keep the chosen block as it is, or let it go again", command_keep},
    {"drop", "", "Leave the chosen block out", command_drop},
    {"tick", "[REPS]", "The chosen block was done (again: not after all)", command_tick},
    {"list", "+N|-N|<|>", "Move in a list", command_list},
    {"open", "", "Play what the line speaks of", command_open},
    {"lead", "MS|measure", "Reaction lead in milliseconds", command_lead},
    {"tap-measure", "", "Measure how late or early your own taps are", command_tap_measure},
    {"tap-lead", "", "While measuring: now", command_tap_lead},
    {"view", "[window|pane]", "Video in its own window or in the terminal", command_view},
    {"line", "", "A line for commands", command_line},
    {"back", "", "Drop the chord, the loop, the choice, the filter: one at a time", command_back},
    {"help", "", "What every key does", command_help},
    {"redraw", "", "Paint the screen anew", command_redraw},
    {"copy", "FILE", "Write a whole copy of the show; goes on in it when the file was moved away",
     command_copy},
    {"quit", "", "Leave; every mark is saved already", command_quit},
    {NULL, NULL, NULL, NULL},
};

const struct command *command_named(const char *name, size_t n)
{
    for (const struct command *c = commands; c->name; c++)
        if (strlen(c->name) == n && strncmp(c->name, name, n) == 0)
            return c;
    return NULL;
}
