#include "run/draft.h"

#include "base/alloc.h"

#include <errno.h>
#include <string.h>

/* "x": a plan that somebody has worked on is never overwritten. */
static hn_status write_file(const char *path, const char *text, hn_error *err)
{
    FILE *file = fopen(path, "wx");
    int failed;

    if (!file) {
        hn_fail(err, HN_ERR_OUTPUT, "could not make \"%s\": %s", path, strerror(errno));
        hn_hint(err, errno == EEXIST ? "give another name; an existing plan is not overwritten"
                                     : "give a folder that exists and can be written");
        return HN_ERR_OUTPUT;
    }
    failed = fputs(text, file) == EOF;
    failed |= fclose(file) != 0;
    if (!failed)
        return HN_OK;
    hn_fail(err, HN_ERR_OUTPUT, "could not write \"%s\": %s", path, strerror(errno));
    remove(path);
    hn_hint(err, "make room or give another place");
    return HN_ERR_OUTPUT;
}

hn_status hn_draft(const char *source, const char *layer, const char *output, FILE *out,
                   hn_draft_choice *choice, hn_error *err)
{
    char *yaml = NULL;
    hn_status rc = HN_OK;

    HN_TRY(hn_draft_plan(source, layer, output, &yaml, choice, err));
    if (output)
        HN_TRY(write_file(output, yaml, err));
    else
        fputs(yaml, out);
out:
    hn_free(yaml);
    return rc;
}
