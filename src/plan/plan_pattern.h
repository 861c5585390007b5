/* plan/plan_pattern.h - is a regular expression of the plan fit for use? */
#ifndef HN_PLAN_PLAN_PATTERN_H
#define HN_PLAN_PLAN_PATTERN_H

#include <stddef.h>

/* 1, with the reason in `why`, when the pattern does not compile as a POSIX
 * extended regular expression, has no group, or asks for so many repeats
 * that it could eat the memory; else 0. */
int hn_pattern_fault(const char *pattern, char *why, size_t size);

#endif
