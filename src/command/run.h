/* Keys and command lines: who takes them. */
#ifndef COMMAND_RUN_H
#define COMMAND_RUN_H

#include "command/desk.h"

/* A key by its canonical name ("a", "Space", "Shift-Left"): the hold that is open, else the screen,
 * else the command that the key table gives it. */
void desk_key(struct desk *d, const char *key);
/* Pasted text, key by key: into a line, nowhere else, as it would be a storm of marks. */
void desk_paste(struct desk *d, const char *key);
/* Runs a command line ("seek 5:58", "speed slower"). */
void desk_run(struct desk *d, const char *line);
/* The next key pressed in the video's own window; false when there is none. Clicks and the wheel
 * there are done on the way. */
bool desk_window_key(struct desk *d, char key[32]);

#endif
