#include "cli/interrupt.h"

#include "run/run.h"

#include <signal.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

static volatile sig_atomic_t caught;

/* A second signal is obeyed at once: the person is in a hurry. The partial
 * folder is then swept by the next run. */
static void note_signal(int number)
{
    caught = number;
    signal(number, SIG_DFL);
}

void hn_interrupt_watch(void)
{
    struct sigaction action = {.sa_handler = note_signal};

    sigemptyset(&action.sa_mask);
    sigaction(SIGINT, &action, NULL);
    sigaction(SIGTERM, &action, NULL);
    sigaction(SIGHUP, &action, NULL);
}

void hn_interrupt_check(void)
{
    if (!caught)
        return;
    hn_run_abandon();
    fprintf(stderr, "%shaunch: stopped; the previous result is untouched\n",
            isatty(STDERR_FILENO) ? "\r\033[K" : "");
    exit(128 + caught);
}
