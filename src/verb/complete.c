#include "verb/complete.h"

#include <string.h>

void complete_bash(const struct verb *const *verbs, struct buf *out)
{
    buf_str(out, "# bash completion for boxcall\n_boxcall() {\n"
                 "    local cur=${COMP_WORDS[COMP_CWORD]} verb=${COMP_WORDS[1]}\n"
                 "    if [ \"$COMP_CWORD\" -eq 1 ]; then\n"
                 "        COMPREPLY=($(compgen -f -X '!*.show' -- \"$cur\") $(compgen -W '");
    for (size_t i = 0; verbs[i]; i++)
        if (!verbs[i]->hidden)
            buf_printf(out, "%s%s", i ? " " : "", verbs[i]->name);
    buf_str(out,
            "' -- \"$cur\"))\n        return\n    fi\n    local options=\n    case $verb in\n");
    for (size_t i = 0; verbs[i]; i++) {
        if (verbs[i]->hidden || !verbs[i]->options[0].name)
            continue;
        buf_printf(out, "    %s) options='", verbs[i]->name);
        for (const struct option *o = verbs[i]->options; o->name; o++)
            buf_printf(out, "%s--%s", o == verbs[i]->options ? "" : " ", o->name);
        buf_str(out, "' ;;\n");
    }
    buf_str(out, "    esac\n    if [[ $cur == -* ]]; then\n"
                 "        COMPREPLY=($(compgen -W \"$options --help\" -- \"$cur\"))\n"
                 "    elif [ \"$verb\" = add ] && [ \"$COMP_CWORD\" -eq 3 ]; then\n"
                 "        COMPREPLY=($(compgen -W 'clip sections roster faults sets dots marks' -- "
                 "\"$cur\"))\n"
                 "    else\n        COMPREPLY=($(compgen -f -- \"$cur\"))\n    fi\n}\n"
                 "complete -o filenames -F _boxcall boxcall\n");
}

static void zsh_text(struct buf *out, const char *s)
{
    for (; *s; s++) {
        if (strchr("[]:'\\", *s))
            buf_str(out, *s == '\'' ? "'\\'" : "\\");
        buf_char(out, *s);
    }
}

void complete_zsh(const struct verb *const *verbs, struct buf *out)
{
    buf_str(out, "#compdef boxcall\nlocal -a verbs\nverbs=(\n");
    for (size_t i = 0; verbs[i]; i++) {
        if (verbs[i]->hidden)
            continue;
        buf_printf(out, "  '%s:", verbs[i]->name);
        zsh_text(out, verbs[i]->summary);
        buf_str(out, "'\n");
    }
    buf_str(out, ")\nif (( CURRENT == 2 )); then\n  _describe verb verbs\n  _files -g '*.show'\n"
                 "  return\nfi\ncase $words[2] in\n");
    for (size_t i = 0; verbs[i]; i++) {
        if (verbs[i]->hidden)
            continue;
        buf_printf(out, "%s) _arguments", verbs[i]->name);
        for (const struct option *o = verbs[i]->options; o->name; o++) {
            buf_printf(out, " '--%s[", o->name);
            zsh_text(out, o->help);
            buf_printf(out, o->value ? "]:%s:_files'" : "]'", o->value);
        }
        buf_str(out, " '*:file:_files' ;;\n");
    }
    buf_str(out, "esac\n");
}

void complete_fish(const struct verb *const *verbs, struct buf *out)
{
    for (size_t i = 0; verbs[i]; i++) {
        if (verbs[i]->hidden)
            continue;
        buf_printf(out, "complete -c boxcall -n __fish_use_subcommand -a %s -d \"%s\"\n",
                   verbs[i]->name, verbs[i]->summary);
        for (const struct option *o = verbs[i]->options; o->name; o++)
            buf_printf(
                out, "complete -c boxcall -n '__fish_seen_subcommand_from %s' -l %s%s -d \"%s\"\n",
                verbs[i]->name, o->name, o->value ? " -r" : "", o->help);
    }
}
