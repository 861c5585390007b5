/* read/field_value.h - one raw cell into one typed value, as the plan says.
 *
 * Order: missing values, pattern, missing values again, value map, then the
 * type. A value that cannot be read is not an error: it reads as missing and
 * carries a fault, which the caller lists as an issue.
 */
#ifndef HN_READ_FIELD_VALUE_H
#define HN_READ_FIELD_VALUE_H

#include "base/status.h"
#include "read/raw_value.h"
#include "read/source.h"

typedef enum hn_value_kind {
    HN_VALUE_TEXT,
    HN_VALUE_NUMBER, /* inside unit of the map's dimension */
    HN_VALUE_YEAR,   /* calendar year */
    HN_VALUE_DATE,   /* days since 1970-01-01 */
    HN_VALUE_GRADE,  /* 1 best to 5 worst */
    HN_VALUE_FLAG,   /* 0 or 1 */
    HN_VALUE_SHAPE   /* hn_shape */
} hn_value_kind;

/* What numbers make sense for a role. */
typedef enum hn_sense { HN_ANY_NUMBER, HN_NOT_NEGATIVE, HN_POSITIVE } hn_sense;

/* X(name, rule id, message). */
#define HN_FAULT_LIST(X)                                                                    \
    X(HN_FAULT_NONE, "", "")                                                                \
    X(HN_FAULT_NUMBER, "value_not_a_number", "the value is not a number")                   \
    X(HN_FAULT_COMMA, "value_with_comma",                                                   \
      "the comma may be a decimal or a thousands mark; a pattern in the plan can tell")     \
    X(HN_FAULT_MARK, "value_unit_mark",                                                     \
      "the value has an inch or foot mark, but the plan declares another unit")             \
    X(HN_FAULT_PATTERN, "value_no_match", "the value does not fit the pattern of the plan") \
    X(HN_FAULT_NEGATIVE, "value_negative", "the value is less than zero")                   \
    X(HN_FAULT_NOT_POSITIVE, "value_not_positive", "the value is not greater than zero")    \
    X(HN_FAULT_DATE, "value_not_a_date", "the value is not a date in the form of the plan") \
    X(HN_FAULT_YEAR, "value_not_a_year", "the value is not a year from 1500 to 2200")       \
    X(HN_FAULT_GRADE, "grade_off_scale", "the grade lies outside the scale of the plan")    \
    X(HN_FAULT_FLAG, "value_not_a_flag", "the value is neither yes nor no")                 \
    X(HN_FAULT_SHAPE, "shape_unknown", "the value is not the name of a cross-section")      \
    X(HN_FAULT_ENCODING, "text_not_utf8", "the text is not UTF-8")

#define HN_FAULT_ENUM(name, rule, message) name,
typedef enum hn_fault { HN_FAULT_LIST(HN_FAULT_ENUM) HN_FAULT_COUNT } hn_fault;
#undef HN_FAULT_ENUM

const char *hn_fault_rule(hn_fault fault);
const char *hn_fault_message(hn_fault fault);
/* What was done about it: "read as missing", or for the encoding "read as
 * Windows-1252". */
const char *hn_fault_effect(hn_fault fault);

typedef struct hn_value {
    int missing;
    hn_fault fault;
    double number; /* every kind but TEXT; NaN when missing */
    hn_span text;  /* TEXT; valid until the next read with the same reader */
} hn_value;

typedef struct hn_field_reader hn_field_reader;

/* Compiles a map. The map's texts are borrowed and must outlive the reader.
 * Errors: HN_ERR_PLAN (pattern, scale), HN_ERR_MEMORY. */
HN_MUST_CHECK hn_status hn_field_reader_new(const hn_field_map *map, hn_value_kind kind,
                                            hn_sense sense, hn_field_reader **out, hn_error *err);
void hn_field_reader_free(hn_field_reader *reader);

/* Never fails and never allocates. A reader belongs to one thread. */
void hn_field_read(hn_field_reader *reader, const hn_raw *raw, hn_value *out);

/* The map's constant, read as if every row held it. */
void hn_field_read_constant(hn_field_reader *reader, hn_value *out);

#endif
