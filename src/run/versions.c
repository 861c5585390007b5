#include "run/versions.h"

#include "consequence/inside.h"
#include "engineering/chain_fit.h"
#include "plan/plan.h"
#include "read/library_versions.h"
#include "run/run.h"
#include "table/condition_sql.h"

static const char *const names[HN_VERSION_COUNT] = {"haunch", "GDAL",    "PROJ", "GEOS",
                                                    "SQLite", "libyaml", "NLopt"};

const char *hn_version_name(int i)
{
    return names[i];
}

const char *hn_version_text(int i)
{
    switch (i) {
    case 0:
        return HN_VERSION;
    case 1:
        return hn_gdal_version();
    case 2:
        return hn_proj_version();
    case 3:
        return hn_geos_version();
    case 4:
        return hn_sqlite_version();
    case 5:
        return hn_yaml_version();
    default:
        return hn_nlopt_version();
    }
}

void hn_versions(FILE *out)
{
    for (int i = 0; i < HN_VERSION_COUNT; i++)
        fprintf(out, "%s %s\n", hn_version_name(i), hn_version_text(i));
}
