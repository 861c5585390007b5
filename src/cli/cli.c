/* argv to commands, help, exit codes. */
#include "cli/commands.h"
#include "cli/interrupt.h"
#include "cli/messages.h"
#include "cli/progress.h"

#include "base/alloc.h"
#include "run/compare.h"
#include "run/draft.h"
#include "run/explain.h"
#include "run/fit.h"
#include "run/run.h"

#include <errno.h>
#include <getopt.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>

static const struct {
    struct option option;
    const char *argument;
    const char *commands; /* the commands it is for; NULL: every one */
    const char *help;
} options[] = {
    {{"threads", required_argument, NULL, 't'}, "N", "check run explain compare fit", "threads to use; default: the cores, at most 8"},
    {{"strict", no_argument, NULL, 's'}, NULL, "check run", "end with 1 when the data have errors"},
    {{"layer", required_argument, NULL, 'l'}, "NAME", "draft", "the layer that holds the network"},
    {{"output", required_argument, NULL, 'o'}, "PATH", "draft explain compare fit", "where to write: a new file; for compare and fit a folder"},
    {{"format", required_argument, NULL, 'f'}, "FORMAT", "explain compare", "text (default), html or json"},
    {{"plan", required_argument, NULL, 'p'}, "FILE", "explain", "where the plan of the result is now"},
    {{"misread", required_argument, NULL, 'm'}, "FILE", "fit", "table of how often a grade is read as another"},
    {{"seed", required_argument, NULL, 'S'}, "N", "fit", "other choice of the pipes that test the fit; default 1"},
    {{"timings", no_argument, NULL, 'T'}, NULL, "run", "time of each stage and memory of the table, on stderr"},
    {{"quiet", no_argument, NULL, 'q'}, NULL, NULL, "errors only: no progress, no summary"},
    {{"help", no_argument, NULL, 'h'}, NULL, NULL, "print this help; after a command: the help of that command"},
    {{"version", no_argument, NULL, 'V'}, NULL, NULL, "print versions of haunch and its libraries"},
};
enum { OPTION_COUNT = sizeof options / sizeof options[0] };

static int is_for(size_t option, const char *command)
{
    return !command || !options[option].commands || strstr(options[option].commands, command);
}

/* Those of one command, or all with the command named that has one for itself. */
static void print_options(const char *command)
{
    fputs("\noptions:\n", stdout);
    for (size_t i = 0; i < OPTION_COUNT; i++) {
        const char *only = options[i].commands;
        int names_one = !command && only && !strchr(only, ' ');
        char left[40];

        if (!is_for(i, command))
            continue;
        snprintf(left, sizeof left, "--%s%s%s", options[i].option.name,
                 options[i].argument ? " " : "", options[i].argument ? options[i].argument : "");
        printf("  -%c, %-16s %s%s%s\n", options[i].option.val, left, names_one ? only : "",
               names_one ? ": " : "", options[i].help);
    }
}

/* One line a code: several kinds of failure may share one. */
static void print_exit_codes(void)
{
    fputs("\nexit codes:\n", stdout);
    for (int code = 0, found = 1; found; code++) {
        found = 0;
        for (int i = 0; i < HN_STATUS_COUNT; i++) {
            if (hn_status_exit_code((hn_status)i) != code)
                continue;
            if (found)
                printf("; %s", hn_status_text((hn_status)i));
            else
                printf("  %d  %s", code, hn_status_text((hn_status)i));
            found = 1;
        }
        if (found)
            fputc('\n', stdout);
    }
}

static void print_command_help(const hn_command *command)
{
    printf("usage: haunch %s %s [options]\n\n%s\n", command->name, command->operands,
           command->more);
    print_options(command->name);
    printf("\nexample:\n  %s\n\nhaunch --help lists the other commands and the exit codes.\n",
           command->example);
}

static void print_help(void)
{
    fputs("usage: haunch COMMAND [options] ...\n\n"
          "Plans the renewal of gravity sewer networks: judges linings and replacements for\n"
          "every segment, ranks by risk, and assembles a programme under yearly budgets.\n\n"
          "commands:\n", stdout);
    for (size_t i = 0; i < hn_command_count; i++)
        printf("  %-8s %-14s %s\n", hn_commands[i].name, hn_commands[i].operands,
               hn_commands[i].help);
    print_options(NULL);
    fputs("\nexamples:\n", stdout);
    for (size_t i = 0; i < hn_command_count; i++)
        printf("  %s\n", hn_commands[i].example);
    print_exit_codes();
    fputs("\nScreening and planning level, no design. Local codes and a licensed engineer decide.\n",
          stdout);
}

/* ---- commands ---- */

static void show_progress(void *context, const char *stage, double share_0_1)
{
    if (share_0_1 < 0.9995) /* beyond it the new result is in place */
        hn_interrupt_check();
    hn_progress_show(context, stage, share_0_1);
}

static void print_timing(void *context, const char *stage, double seconds,
                         double processor_seconds, size_t table_bytes)
{
    struct rusage usage;

    (void)context;
    getrusage(RUSAGE_SELF, &usage);
    fprintf(stderr, "%-26s %8.3f s  processor %8.3f s  table %8.1f MiB  peak %8.1f MiB\n", stage,
            seconds, processor_seconds, (double)table_bytes / 1048576.0,
            (double)usage.ru_maxrss / 1024.0);
}

static int run_command(const hn_arguments *a)
{
    hn_progress progress;
    hn_run_options settings = {a->threads, a->strict, show_progress, &progress,
                               a->timings ? print_timing : NULL, NULL};
    hn_summary summary = {.count = 0};
    hn_error err = {0};
    hn_status rc;

    hn_interrupt_watch();
    hn_progress_start(&progress, a->quiet);
    rc = hn_run(a->operand[0], &settings, &summary, &err);
    hn_progress_stop(&progress);
    for (size_t i = 0; !a->quiet && i < summary.count; i++)
        printf("%s\n", summary.line[i]);
    return hn_finish_stdout(rc == HN_OK ? 0 : hn_report_error(&err));
}

static int check_command(const hn_arguments *a)
{
    hn_progress progress;
    hn_run_options settings = {a->threads, a->strict, show_progress, &progress, NULL, NULL};
    hn_error err = {0};
    hn_status rc;

    hn_progress_start(&progress, a->quiet);
    rc = hn_check(a->operand[0], &settings, stdout, &err);
    hn_progress_stop(&progress);
    return hn_finish_stdout(rc == HN_OK ? 0 : hn_report_error(&err));
}

static int draft_command(const hn_arguments *a)
{
    hn_error err = {0};
    hn_draft_choice choice = {.line_layers = 0};
    hn_status rc = hn_draft(a->operand[0], a->layer, a->output, stdout, &choice, &err);

    if (rc == HN_OK && a->output && !a->quiet && choice.line_layers > 1)
        printf("took layer %s for the network, one of %zu layers of lines; --layer NAME takes "
               "another\n",
               choice.layer, choice.line_layers);
    if (rc == HN_OK && a->output && !a->quiet)
        printf("wrote %s; read it, fill what it asks for, then: haunch check %s\n", a->output,
               a->output);
    return hn_finish_stdout(rc == HN_OK ? 0 : hn_report_error(&err));
}

static int take_format(const char *name, hn_explain_format *out)
{
    static const char *const names[] = {"text", "html", "json"};

    *out = HN_EXPLAIN_TEXT;
    for (int i = 0; name && i < 3; i++)
        if (strcmp(name, names[i]) == 0) {
            *out = (hn_explain_format)i;
            return 0;
        }
    return name ? hn_wrong_use("--format wants text, html or json, not \"%s\"", name) : 0;
}

static int explain_command(const hn_arguments *a)
{
    hn_progress progress;
    hn_run_options settings = {a->threads, 0, hn_progress_show, &progress,
                               a->timings ? print_timing : NULL, NULL};
    hn_explain_spec spec = {.result = a->operand[0], .segment_id = a->operand[1],
                            .other_id = a->operands > 2 ? a->operand[2] : NULL,
                            .plan_path = a->plan, .output = a->output, .options = &settings};
    hn_error err = {0};
    hn_status rc;
    int code = take_format(a->format, &spec.format);

    if (code)
        return code;
    hn_progress_start(&progress, a->quiet);
    rc = hn_explain(&spec, stdout, &err);
    hn_progress_stop(&progress);
    if (rc == HN_OK && a->output && !a->quiet)
        printf("wrote %s\n", a->output);
    return hn_finish_stdout(rc == HN_OK ? 0 : hn_report_error(&err));
}

static int compare_command(const hn_arguments *a)
{
    hn_progress progress;
    hn_run_options settings = {a->threads, 0, show_progress, &progress, NULL, NULL};
    hn_compare_spec spec = {.first = a->operand[0], .second = a->operand[1], .folder = a->output,
                            .options = &settings};
    hn_explain_format format;
    hn_error err = {0};
    hn_status rc;
    int code = take_format(a->format, &format);

    if (code)
        return code;
    spec.format = format == HN_EXPLAIN_HTML   ? HN_COMPARE_HTML
                  : format == HN_EXPLAIN_JSON ? HN_COMPARE_JSON
                                              : HN_COMPARE_TEXT;
    hn_interrupt_watch();
    hn_progress_start(&progress, a->quiet);
    rc = hn_compare(&spec, stdout, &err);
    hn_progress_stop(&progress);
    return hn_finish_stdout(rc == HN_OK ? 0 : hn_report_error(&err));
}

static int fit_command(const hn_arguments *a)
{
    hn_progress progress;
    hn_run_options settings = {a->threads, 0, show_progress, &progress, NULL, NULL};
    hn_fit_call call = {.plan_path = a->operand[0], .output = a->output,
                        .misreading = a->misreading, .seed = a->seed ? a->seed : 1,
                        .options = &settings};
    hn_error err = {0};
    hn_status rc;

    hn_interrupt_watch();
    hn_progress_start(&progress, a->quiet);
    rc = hn_fit_command(&call, a->quiet ? NULL : stdout, &err);
    hn_progress_stop(&progress);
    return hn_finish_stdout(rc == HN_OK ? 0 : hn_report_error(&err));
}

static int methods_command(const hn_arguments *a)
{
    hn_error err = {0};
    hn_status rc = hn_methods(a->operands ? a->operand[0] : NULL, stdout, &err);

    return hn_finish_stdout(rc == HN_OK ? 0 : hn_report_error(&err));
}

const hn_command hn_commands[] = {
    {"draft", "SOURCE", "look at a dataset, write a first plan",
     "Looks through SOURCE, a file or an OGR connection string, and writes a commented plan: which\n"
     "field may fill which role, with the unit and the missing values that the data suggest. Every\n"
     "guess says so; lines marked FILL IN must be filled. Without --output the plan goes to\n"
     "standard output. In a plan that is written to a file, SOURCE is named from its folder.",
     "haunch draft network.gpkg --output plan.yaml", 1, 1, draft_command},
    {"check", "PLAN", "read everything, report what is missing or doubtful",
     "Reads the plan, its tables and all sources; says what is known, what is doubtful, and what\n"
     "needs attention before a run. Writes no result.",
     "haunch check plan.yaml", 1, 1, check_command},
    {"run", "PLAN", "the whole job: ranked layers, programme, tables",
     "Does the whole job and writes the output folder of the plan; a result that stands there is\n"
     "replaced as a whole, and stays as it is when the run fails.",
     "haunch run plan.yaml --threads 2", 1, 1, run_command},
    {"explain", "RESULT ID [ID]", "the whole calculation of one segment, or why one is before another",
     "Works one segment of a result out again, step by step, and prints it: inputs, condition, rules,\n"
     "design, cost, rank and programme, with sources. Refused when the plan, a table or a source has\n"
     "changed since the result was written. With a second ID: both side by side, what decides\n"
     "their order, and what would swap them.",
     "haunch explain out/sample S11-0144 --format html --output sheet.html", 2, 3, explain_command},
    {"compare", "RESULT RESULT", "what changed between two results, and why",
     "Shows what differs between two results: totals and segments, split by cause: day, data, rules,\n"
     "prices, budget and version. The plans are run again part by part; nothing of it is written.\n"
     "With --output FOLDER every table is written there as CSV, with a page, as a whole.",
     "haunch compare out/2026 out/2027 --output changes", 2, 2, compare_command},
    {"fit", "PLAN", "rates of ageing from your own inspections",
     "Reads the plan's network and every inspection, and fits the rates of ageing of each cohort by\n"
     "maximum likelihood. Writes a folder with a table deterioration.csv that a plan can use, the\n"
     "estimates with their intervals, pictures, and a test on pipes that were left out.",
     "haunch fit plan.yaml --output fitted", 1, 1, fit_command},
    {"methods", "[PLAN]", "the method catalogue in force, with limits and sources",
     "Prints the methods and rules of the plan's tables, or without a plan of those that come with\n"
     "haunch.",
     "haunch methods plan.yaml", 0, 1, methods_command},
};
const size_t hn_command_count = sizeof hn_commands / sizeof hn_commands[0];

/* ---- argv ---- */

static int take_threads(const char *text, hn_arguments *a)
{
    char *end;
    long n = strtol(text, &end, 10);

    if (end == text || *end || n < 1 || n > 64)
        return hn_wrong_use("--threads wants a whole number from 1 to 64, not \"%s\"", text);
    a->threads = (int)n;
    return 0;
}

static int take_seed(const char *text, hn_arguments *a)
{
    char *end;
    long n = strtol(text, &end, 10);

    if (end == text || *end || n < 1 || n > 1000000)
        return hn_wrong_use("--seed wants a whole number from 1 to 1000000, not \"%s\"", text);
    a->seed = (int)n;
    return 0;
}

/* -1: go on; else the exit code. */
static int take_options(int argc, char **argv, hn_arguments *a, unsigned *used)
{
    struct option known[OPTION_COUNT + 1] = {{0}};
    int c, code;

    for (size_t i = 0; i < OPTION_COUNT; i++)
        known[i] = options[i].option;
    opterr = 0;
    while ((c = getopt_long(argc, argv, "t:sl:o:f:p:m:S:qhVT", known, NULL)) != -1) {
        for (size_t i = 0; i < OPTION_COUNT; i++)
            if (options[i].option.val == c)
                *used |= 1U << i;
        switch (c) {
        case 't':
            if ((code = take_threads(optarg, a)) != 0)
                return code;
            break;
        case 's':
            a->strict = 1;
            break;
        case 'l':
            a->layer = optarg;
            break;
        case 'o':
            a->output = optarg;
            break;
        case 'f':
            a->format = optarg;
            break;
        case 'p':
            a->plan = optarg;
            break;
        case 'm':
            a->misreading = optarg;
            break;
        case 'S':
            if ((code = take_seed(optarg, a)) != 0)
                return code;
            break;
        case 'T':
            a->timings = 1;
            break;
        case 'q':
            a->quiet = 1;
            break;
        case 'h':
            a->help = 1;
            break;
        case 'V':
            hn_versions(stdout);
            return hn_finish_stdout(0);
        default:
            return hn_wrong_use("option \"%s\" is not known, or its value is missing",
                                argv[optind - 1]);
        }
    }
    return -1;
}

static int is_word_of(const char *list, const char *word)
{
    size_t n = strlen(word);

    for (const char *at = list; (at = strstr(at, word)) != NULL; at += n)
        if ((at == list || at[-1] == ' ') && (at[n] == '\0' || at[n] == ' '))
            return 1;
    return 0;
}

/* An option that the command does not look at is a mistake, not a wish. */
static int check_options(const hn_command *command, unsigned used)
{
    for (size_t i = 0; i < OPTION_COUNT; i++)
        if (used >> i & 1 && options[i].commands && !is_word_of(options[i].commands, command->name))
            return hn_wrong_use("option --%s is not for haunch %s", options[i].option.name,
                                command->name);
    return 0;
}

static const hn_command *find_command(const char *name)
{
    for (size_t i = 0; i < hn_command_count; i++)
        if (strcmp(hn_commands[i].name, name) == 0)
            return &hn_commands[i];
    return NULL;
}

int hn_cli_main(int argc, char **argv)
{
    hn_arguments a = {0};
    const hn_command *command;
    unsigned used = 0;
    int code = take_options(argc, argv, &a, &used);

    if (code >= 0)
        return code;
    if (a.help && optind == argc) {
        print_help();
        return hn_finish_stdout(0);
    }
    if (optind == argc)
        return hn_wrong_use("a command is missing");
    a.command = argv[optind++];
    command = find_command(a.command);
    if (!command)
        return hn_wrong_use("there is no command \"%s\"", a.command);
    if (a.help) {
        print_command_help(command);
        return hn_finish_stdout(0);
    }
    if ((code = check_options(command, used)) != 0)
        return code;
    for (; optind < argc && a.operands < 3; optind++)
        a.operand[a.operands++] = argv[optind];
    if (a.operands < command->least || a.operands > command->most || optind < argc)
        return hn_wrong_use("haunch %s takes %s", command->name, command->operands);
    return command->run(&a);
}
