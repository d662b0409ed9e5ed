/* Words for a shell: a command that a message tells a person to type must mean what it says when it
 * is typed, whatever the file's name holds. */
#ifndef BASE_SHELL_H
#define BASE_SHELL_H

struct shell_word {
    char text[560]; /* nearly all of an error's line; a longer word is cut, its quote closed */
};

/* The word as one word of a shell: as it stands where that is safe, else in single quotes, a quote
 * in it written '\'' (POSIX.1-2017, Shell Command Language, 2.2.2). For the arguments of a message:
 *     err_set(e, ERR_INPUT, "...: boxcall new %s", shell_word(path).text); */
struct shell_word shell_word(const char *word);

#endif
