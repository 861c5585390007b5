/* read/crs_info.h - fills hn_crs_info from a GDAL reference system. */
#ifndef HN_READ_CRS_INFO_H
#define HN_READ_CRS_INFO_H

#include "read/network_source.h"

#include <ogr_srs_api.h>

/* *out must be zeroed or cleared. Errors: HN_ERR_INPUT, HN_ERR_MEMORY. */
HN_MUST_CHECK hn_status hn_crs_info_set(OGRSpatialReferenceH crs, hn_crs_info *out, hn_error *err);

#endif
