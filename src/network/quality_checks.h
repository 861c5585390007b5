/* network/quality_checks.h - checks that need more than one row. */
#ifndef HN_NETWORK_QUALITY_CHECKS_H
#define HN_NETWORK_QUALITY_CHECKS_H

#include "network/network.h"

HN_MUST_CHECK hn_status hn_quality_checks(const hn_table *table, const hn_plan *plan,
                                          const hn_plane *plane, const hn_nodes *nodes,
                                          hn_issue_list *issues, hn_error *err);
/* Adds a finding at the first point of the row's line. */
void hn_quality_add(hn_issue_list *issues, const hn_table *table, size_t row,
                    hn_severity severity, const char *rule, const char *field, const char *value,
                    const char *message, const char *effect);

#endif
