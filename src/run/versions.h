/* run/versions.h - what this run was made with. */
#ifndef HN_RUN_VERSIONS_H
#define HN_RUN_VERSIONS_H

enum { HN_VERSION_COUNT = 7 };
const char *hn_version_name(int i);
const char *hn_version_text(int i);

#endif
