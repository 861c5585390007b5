/* plan/draft_path.h - how a draft names the source and its own result. */
#ifndef HN_PLAN_DRAFT_PATH_H
#define HN_PLAN_DRAFT_PATH_H

#include <stddef.h>

/* `file` as it is written in a plan at `plan_file`: relative to the folder of
 * the plan, absolute when the two meet only at the root or that folder cannot be
 * found. Without a plan file (NULL) `file` as it was given. In `room`. */
const char *hn_draft_path(const char *file, const char *plan_file_or_null, char *room, size_t size);

/* Name of a dataset for a title or a folder: the file's name without its ending,
 * in letters, digits, - and _; `instead` when there is none. In `room`. */
const char *hn_draft_stem(const char *file_or_null, const char *instead, char *room, size_t size);

#endif
