#include "plan/plan.h"

#include <yaml.h>

const char *hn_yaml_version(void)
{
    return yaml_get_version_string();
}
