/* base/status.h - status codes and the error object carried through a run.
 *
 * Every function that can fail returns hn_status and takes `hn_error *err`
 * last. The error is filled once, where the cause is known; callers may put
 * context in front of it. A NULL err means "the code is enough".
 */
#ifndef HN_BASE_STATUS_H
#define HN_BASE_STATUS_H

/* One list feeds the enum, the names and the exit codes, so they cannot
 * drift apart. Columns: name, exit code, description. */
#define HN_STATUS_LIST(X)                                                 \
    X(HN_OK, 0, "done")                                                   \
    X(HN_FINDINGS, 1, "done, with findings that need attention (--strict)") \
    X(HN_ERR_USAGE, 2, "wrong use of the command line")                   \
    X(HN_ERR_PLAN, 2, "plan or config table cannot be used")              \
    X(HN_ERR_INPUT, 3, "input cannot be read")                            \
    X(HN_ERR_OUTPUT, 4, "output cannot be written")                       \
    X(HN_ERR_MEMORY, 5, "out of memory")                                  \
    X(HN_ERR_INTERNAL, 5, "internal error, please report it")

#define HN_STATUS_ENUM(name, exit_code, text) name,
typedef enum hn_status { HN_STATUS_LIST(HN_STATUS_ENUM) HN_STATUS_COUNT } hn_status;
#undef HN_STATUS_ENUM

enum { HN_ERROR_TEXT_MAX = 1024 };

typedef struct hn_error {
    hn_status status;                /* HN_OK while nothing has failed */
    char message[HN_ERROR_TEXT_MAX]; /* one line, lower case, no full stop */
    char hint[HN_ERROR_TEXT_MAX];    /* what the user can do; may be "" */
} hn_error;

#if defined(__GNUC__)
#define HN_PRINTF(f, a) __attribute__((format(printf, f, a)))
#define HN_MUST_CHECK __attribute__((warn_unused_result))
#else
#define HN_PRINTF(f, a)
#define HN_MUST_CHECK
#endif

/* Static strings, never NULL; a code outside the list reads as internal. */
const char *hn_status_name(hn_status status);
const char *hn_status_text(hn_status status);
int hn_status_exit_code(hn_status status);

/* Records a failure and returns `status`: return hn_fail(err, ..., "..."); */
hn_status hn_fail(hn_error *err, hn_status status, const char *format, ...) HN_PRINTF(3, 4);

/* Adds the way out to the failure just recorded. */
void hn_hint(hn_error *err, const char *format, ...) HN_PRINTF(2, 3);

/* Puts "context: " in front of the recorded message. Nothing happens when
 * err is NULL or holds HN_OK. */
void hn_context(hn_error *err, const char *format, ...) HN_PRINTF(2, 3);

/* Leaves through the function's one `out:` label when expr fails. Needs a
 * local `hn_status rc`. */
#define HN_TRY(expr)         \
    do {                     \
        rc = (expr);         \
        if (rc != HN_OK)     \
            goto out;        \
    } while (0)

/* For allocations inside a function with `rc`, `err` and `out:`. */
#define HN_TRY_ALLOC(pointer)                                            \
    do {                                                                 \
        if (!(pointer)) {                                                \
            rc = hn_fail(err, HN_ERR_MEMORY, "out of memory");           \
            goto out;                                                    \
        }                                                                \
    } while (0)

#endif
