/* cli/interrupt.h - Ctrl-C and kill leave no half result behind. */
#ifndef HN_CLI_INTERRUPT_H
#define HN_CLI_INTERRUPT_H

/* From now on SIGINT, SIGTERM and SIGHUP are noted, not obeyed at once. */
void hn_interrupt_watch(void);
/* Called at every step of progress: when a signal came, gives the partial
 * result up and ends the process with 128 + the signal's number. */
void hn_interrupt_check(void);

#endif
