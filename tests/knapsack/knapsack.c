/* knapsack/knapsack.c - `knapsack FILE [FILE ...]`: one line for each instance of each file.
 *
 * Ends with 0; 1 when an instance was not solved to a choice that keeps its limits, or one is
 * better than what the file says is the best; 2 when a file cannot be read.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "base/alloc.h"
#include "instance.h"

static double seconds(void)
{
    struct timespec now;

    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static const char *state_of(hn_choice_state state)
{
    static const char *names[] = {"optimal", "feasible", "infeasible", "not_found"};

    return names[state];
}

/* 1 when the choice keeps every limit by an independent count and is worth what is said. */
static int verified(const instance *it, const hn_choice_result *result)
{
    double used[HN_CHOICE_ROWS_MAX], value, excess;

    hn_choice_check(&it->problem, result->choice, &value, used, &excess);
    return excess <= 1e-8 && fabs(value - result->value) <= 1e-9 * (1 + fabs(value));
}

static int solve_one(const instance *it, const hn_choice_options *options)
{
    hn_choice_result result;
    hn_error err = {0};
    const double begin = seconds();
    char known[40] = "-";
    int feasible;

    if (hn_choice_solve(&it->problem, options, &result, &err) != HN_OK) {
        printf("%-24s error: %s\n", it->name, err.message);
        return 1;
    }
    feasible = !isnan(result.gap) && verified(it, &result);
    if (!isnan(it->known))
        snprintf(known, sizeof known, "%.10g%s", it->known,
                 it->is_best_known ? " (best known)" : "");
    printf("%-24s value %.10g bound %.10g gap %.4f %% time %.3f s feasible %s %s known %s\n",
           it->name, result.value, result.bound, 100 * result.gap, seconds() - begin,
           feasible ? "yes" : "no", state_of(result.state), known);
    for (size_t k = 0; k < result.clash_count; k++)
        printf("    clash: limits %d to %d need %g, have %g, %g too much\n",
               result.clashes[k].first_row + 1, result.clashes[k].last_row + 1,
               result.clashes[k].needed, result.clashes[k].available, result.clashes[k].amount);
    fflush(stdout);
    hn_choice_result_clear(&result);
    return !feasible;
}

static int solve_file(const char *path, const hn_choice_options *options)
{
    instance_file file;
    hn_error err = {0};
    int bad = 0;

    if (instance_read(path, &file, &err) != HN_OK) {
        fprintf(stderr, "knapsack: %s\n", err.message);
        if (err.hint[0])
            fprintf(stderr, "  %s\n", err.hint);
        return 2;
    }
    if (file.count == 0)
        printf("# %s: results of others, nothing to solve\n", path);
    for (size_t k = 0; k < file.count; k++)
        bad |= solve_one(&file.items[k], options);
    instance_clear(&file);
    return bad;
}

int main(int argc, char **argv)
{
    hn_choice_options options = {.threads = 1};
    int worst = 0, first = 1;

    for (; first + 1 < argc && strncmp(argv[first], "--", 2) == 0; first += 2) {
        if (strcmp(argv[first], "--threads") == 0)
            options.threads = atoi(argv[first + 1]);
        else if (strcmp(argv[first], "--effort") == 0)
            options.effort = strtod(argv[first + 1], NULL);
        else
            break;
    }
    if (first >= argc || strncmp(argv[first], "--", 2) == 0) {
        fprintf(stderr, "usage: knapsack [--threads N] [--effort X] FILE [FILE ...]\n");
        return 2;
    }
    for (int k = first; k < argc; k++) {
        const int rc = solve_file(argv[k], &options);

        worst = rc > worst ? rc : worst;
    }
    return worst;
}
