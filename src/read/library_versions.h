/* read/library_versions.h - versions of GDAL and PROJ, as linked. */
#ifndef HN_READ_LIBRARY_VERSIONS_H
#define HN_READ_LIBRARY_VERSIONS_H

const char *hn_gdal_version(void);
const char *hn_proj_version(void);

#endif
