/* cli/commands.h - the commands and options, once: parser, help, man page and
 * completion follow this table. */
#ifndef HN_CLI_COMMANDS_H
#define HN_CLI_COMMANDS_H

#include <stddef.h>

typedef struct hn_arguments {
    const char *command;
    const char *operand[3];
    int operands;
    int threads, strict, quiet, timings, help;
    const char *layer, *output, *format, *plan, *misreading;
    int seed; /* 0: none given */
} hn_arguments;

typedef struct hn_command {
    const char *name, *operands, *help;
    const char *more; /* for the help of this command alone; lines of at most 100 */
    const char *example;
    int least, most; /* operands */
    int (*run)(const hn_arguments *arguments);
} hn_command;

extern const hn_command hn_commands[];
extern const size_t hn_command_count;

/* Exit code; messages on stderr. */
int hn_cli_main(int argc, char **argv);

#endif
