#include "read/library_versions.h"

#include <gdal.h>
#include <proj.h>

const char *hn_gdal_version(void)
{
    return GDALVersionInfo("RELEASE_NAME");
}

const char *hn_proj_version(void)
{
    return proj_info().version;
}
