#include "read/cell_text.h"

#include <cpl_conv.h>
#include <cpl_string.h>
#include <stdio.h>
#include <string.h>

/* Bytes of a blank at the start or end of a text; no-break space is C2 A0. */
static size_t blank_before(const char *text, size_t length)
{
    if (length >= 1 && strchr(" \t\r\n\v\f", text[0]) && text[0])
        return 1;
    return length >= 2 && memcmp(text, "\xc2\xa0", 2) == 0 ? 2 : 0;
}

static size_t blank_after(const char *text, size_t length)
{
    if (length >= 1 && strchr(" \t\r\n\v\f", text[length - 1]) && text[length - 1])
        return 1;
    return length >= 2 && memcmp(text + length - 2, "\xc2\xa0", 2) == 0 ? 2 : 0;
}

hn_span hn_trim(const char *text, size_t length)
{
    size_t blank;

    while ((blank = blank_before(text, length)) != 0) {
        text += blank;
        length -= blank;
    }
    while ((blank = blank_after(text, length)) != 0)
        length -= blank;
    return (hn_span){text, length};
}

hn_span hn_real_span(double value, char room[HN_CELL_TEXT_MAX])
{
    int length = 0;

    for (int digits = 15; digits <= 17; digits++) {
        length = CPLsnprintf(room, HN_CELL_TEXT_MAX, "%.*g", digits, value);
        if (CPLAtof(room) == value)
            break;
    }
    return (hn_span){room, (size_t)length};
}

static hn_span date_span(OGRFeatureH feature, int field, char room[HN_CELL_TEXT_MAX])
{
    int year, month, day, hour, minute, zone;
    float second;
    int length;

    if (!OGR_F_GetFieldAsDateTimeEx(feature, field, &year, &month, &day, &hour, &minute, &second,
                                    &zone))
        return (hn_span){"", 0};
    length = snprintf(room, HN_CELL_TEXT_MAX, "%04d-%02d-%02d", year, month, day);
    return (hn_span){room, (size_t)length};
}

hn_span hn_cell_span(OGRFeatureH feature, int field, char room[HN_CELL_TEXT_MAX])
{
    const char *text;

    if (!OGR_F_IsFieldSetAndNotNull(feature, field))
        return (hn_span){"", 0};
    switch (OGR_Fld_GetType(OGR_F_GetFieldDefnRef(feature, field))) {
    case OFTReal:
        return hn_real_span(OGR_F_GetFieldAsDouble(feature, field), room);
    case OFTDate:
    case OFTDateTime:
        return date_span(feature, field, room);
    default:
        text = OGR_F_GetFieldAsString(feature, field);
        return hn_trim(text, strlen(text));
    }
}
