/* options/choose.h - the choice among the methods of one segment. */
#ifndef HN_OPTIONS_CHOOSE_H
#define HN_OPTIONS_CHOOSE_H

#include "options/options_state.h"

typedef struct hn_choice {
    int chosen, best_lining, best_replacement, runner_up; /* -1: none */
} hn_choice;

/* Among the methods that fit (or fit after works), the greatest net benefit
 * over the horizon: loss avoided less the cost of its years. Watching is chosen
 * when no rule forbids it and no method avoids more than it costs. Ties: least
 * cost now, then order of the catalogue. */
hn_choice hn_choose(const hn_options *o, const hn_option *options);

#endif
