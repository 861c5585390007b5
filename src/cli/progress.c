#include "cli/progress.h"

#include <stdio.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

static const double SHORTEST_PAUSE_S = 0.1; /* ten updates a second at most */

static double now_s(void)
{
    struct timespec t;

    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

void hn_progress_start(hn_progress *progress, int quiet)
{
    progress->is_on = !quiet && isatty(STDERR_FILENO);
    progress->started_s = progress->shown_s = now_s();
}

static void bar_text(double share, char *out, int width)
{
    int filled = (int)(share * width + 0.5);

    for (int i = 0; i < width; i++)
        out[i] = i < filled ? '#' : '.';
    out[width] = '\0';
}

void hn_progress_show(void *context, const char *stage, double share)
{
    hn_progress *p = context;
    double now = now_s(), left;
    char bar[32];

    if (!p->is_on || (now - p->shown_s < SHORTEST_PAUSE_S && share < 1.0))
        return;
    p->shown_s = now;
    share = share < 0.0 ? 0.0 : share > 1.0 ? 1.0 : share;
    bar_text(share, bar, 24);
    left = share > 0.02 ? (now - p->started_s) * (1.0 - share) / share : 0.0;
    fprintf(stderr, "\r\033[K[%s] %3.0f %%  %s", bar, 100.0 * share, stage);
    if (left >= 1.0)
        fprintf(stderr, ", about %.0f s left", left);
    fflush(stderr);
}

void hn_progress_stop(hn_progress *progress)
{
    if (progress->is_on)
        fputs("\r\033[K", stderr);
}
