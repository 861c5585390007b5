#include "read/raw_value.h"

#include "base/dates.h"
#include "read/open_source.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

static void raw_date(OGRFeatureH feature, int field, hn_raw *out)
{
    int year, month, day, hour, minute, zone;
    float second;

    if (!OGR_F_GetFieldAsDateTimeEx(feature, field, &year, &month, &day, &hour, &minute, &second,
                                    &zone))
        return;
    out->kind = HN_RAW_DATE;
    out->i = hn_date_days(year, month, day);
}

static void raw_text(OGRFeatureH feature, int field, hn_raw *out)
{
    const char *text = OGR_F_GetFieldAsString(feature, field);

    out->kind = HN_RAW_TEXT;
    out->text = (hn_span){text, strlen(text)};
}

void hn_raw_from_feature(OGRFeatureH feature, int field, OGRFieldType type, hn_raw *out)
{
    out->kind = HN_RAW_NULL;
    if (field == HN_FIELD_FID) {
        out->kind = HN_RAW_INT;
        out->i = OGR_F_GetFID(feature);
        return;
    }
    if (!OGR_F_IsFieldSetAndNotNull(feature, field))
        return;
    switch (type) {
    case OFTInteger:
    case OFTInteger64:
        out->kind = HN_RAW_INT;
        out->i = OGR_F_GetFieldAsInteger64(feature, field);
        break;
    case OFTReal:
        out->kind = HN_RAW_REAL;
        out->r = OGR_F_GetFieldAsDouble(feature, field);
        break;
    case OFTDate:
    case OFTDateTime:
        raw_date(feature, field, out);
        break;
    default:
        raw_text(feature, field, out);
    }
}

hn_span hn_raw_span(const hn_raw *raw, char room[HN_CELL_TEXT_MAX])
{
    int year, month, day, length;

    switch (raw->kind) {
    case HN_RAW_INT:
        length = snprintf(room, HN_CELL_TEXT_MAX, "%" PRId64, raw->i);
        return (hn_span){room, (size_t)length};
    case HN_RAW_REAL:
        return hn_real_span(raw->r, room);
    case HN_RAW_DATE:
        hn_date_civil((int32_t)raw->i, &year, &month, &day);
        length = snprintf(room, HN_CELL_TEXT_MAX, "%04d-%02d-%02d", year, month, day);
        return (hn_span){room, (size_t)length};
    case HN_RAW_TEXT:
        return hn_trim(raw->text.text, raw->text.length);
    default:
        return (hn_span){"", 0};
    }
}
