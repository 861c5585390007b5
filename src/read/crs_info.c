#include "read/crs_info.h"

#include "base/alloc.h"

#include <cpl_conv.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

enum { SURE_PERCENT = 90 };

static int epsg_of(OGRSpatialReferenceH crs)
{
    const char *name = OSRGetAuthorityName(crs, NULL), *code = OSRGetAuthorityCode(crs, NULL);

    return name && code && strcasecmp(name, "EPSG") == 0 ? atoi(code) : 0;
}

/* A CRS without a code, as old shapefiles give it, may still be a known one. */
static int epsg_of_match(OGRSpatialReferenceH crs)
{
    int count = 0, epsg = 0, *confidence = NULL;
    OGRSpatialReferenceH *found = OSRFindMatches(crs, NULL, &count, &confidence);

    if (count > 0 && confidence[0] >= SURE_PERCENT)
        epsg = epsg_of(found[0]);
    OSRFreeSRSArray(found);
    CPLFree(confidence);
    return epsg;
}

static char *wkt_of(OGRSpatialReferenceH crs)
{
    static const char *const options[] = {"FORMAT=WKT2_2019", "MULTILINE=NO", NULL};
    char *text = NULL, *copy = NULL;

    if (OSRExportToWktEx(crs, &text, options) == OGRERR_NONE && text)
        copy = hn_copy_text(text);
    CPLFree(text);
    return copy;
}

hn_status hn_crs_info_set(OGRSpatialReferenceH crs, hn_crs_info *out, hn_error *err)
{
    hn_status rc = HN_OK;
    const char *name = OSRGetName(crs);

    memset(out, 0, sizeof *out);
    out->is_geographic = OSRIsGeographic(crs);
    out->metres_per_unit = out->is_geographic ? NAN : OSRGetLinearUnits(crs, NULL);
    out->epsg = epsg_of(crs);
    if (!out->epsg)
        out->epsg = epsg_of_match(crs);
    out->name = hn_copy_text(name && name[0] ? name : "unnamed");
    HN_TRY_ALLOC(out->name);
    out->wkt = wkt_of(crs);
    HN_TRY_ALLOC(out->wkt);
out:
    if (rc != HN_OK)
        hn_crs_info_clear(out);
    return rc;
}

void hn_crs_info_clear(hn_crs_info *crs)
{
    hn_free(crs->wkt);
    hn_free(crs->name);
    memset(crs, 0, sizeof *crs);
}
