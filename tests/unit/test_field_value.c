/* One cell to one typed value: every rule of the plan's field maps. */
#include "test_util.h"

#include "base/alloc.h"
#include "base/dates.h"
#include "base/units.h"
#include "read/date_text.h"
#include "read/field_value.h"
#include "table/segment_table.h"

#include <stdio.h>
#include <string.h>

static hn_raw text_of(const char *text)
{
    return (hn_raw){.kind = HN_RAW_TEXT, .text = {text, strlen(text)}};
}

static hn_raw int_of(int64_t i)
{
    return (hn_raw){.kind = HN_RAW_INT, .i = i};
}

static hn_raw real_of(double r)
{
    return (hn_raw){.kind = HN_RAW_REAL, .r = r};
}

static hn_raw date_of(int year, int month, int day)
{
    return (hn_raw){.kind = HN_RAW_DATE, .i = hn_date_days(year, month, day)};
}

/* Text of a TEXT value lives in a buffer, since the reader is gone. */
static char kept[2000];

static hn_value read_once(const hn_field_map *map, hn_value_kind kind, hn_sense sense, hn_raw raw)
{
    hn_field_reader *reader;
    hn_error err = {0};
    hn_value value, again;

    if (hn_field_reader_new(map, kind, sense, &reader, &err) != HN_OK)
        fail_msg("%s", err.message);
    hn_field_read(reader, &raw, &value);
    hn_field_read(reader, &raw, &again);
    assert_int_equal(value.missing, again.missing);
    assert_int_equal(value.fault, again.fault);
    assert_int_equal(value.text.length, again.text.length);
    assert_memory_equal(value.text.text, again.text.text, value.text.length);
    snprintf(kept, sizeof kept, "%.*s", (int)value.text.length, value.text.text);
    hn_field_reader_free(reader);
    assert_true(value.missing || kind == HN_VALUE_TEXT || isfinite(value.number));
    return value;
}

static hn_field_map plain_map(void)
{
    return (hn_field_map){.role = "width", .field = "W", .unit_factor = 1};
}

static void expect_number(const hn_field_map *map, hn_raw raw, double expected)
{
    hn_value value = read_once(map, HN_VALUE_NUMBER, HN_ANY_NUMBER, raw);

    assert_false(value.missing);
    assert_int_equal(value.fault, HN_FAULT_NONE);
    assert_close(value.number, expected, 1e-15);
}

static void expect_missing(const hn_field_map *map, hn_value_kind kind, hn_raw raw, hn_fault fault)
{
    hn_value value = read_once(map, kind, HN_ANY_NUMBER, raw);

    assert_true(value.missing);
    if (value.fault != fault)
        fail_msg("fault %s, expected %s", hn_fault_rule(value.fault), hn_fault_rule(fault));
    assert_true(kind == HN_VALUE_TEXT || isnan(value.number));
}

static void numbers_are_read_from_any_type_of_cell(void **state)
{
    hn_field_map map = plain_map();

    (void)state;
    expect_number(&map, int_of(300), 300);
    expect_number(&map, real_of(12.5), 12.5);
    expect_number(&map, text_of("  -12.5 "), -12.5);
    expect_number(&map,
                  text_of("\xc2\xa0"
                          "7\xc2\xa0"),
                  7);
    expect_number(&map, text_of("1.5e2"), 150);
    expect_number(&map, text_of(".5"), 0.5);
    expect_number(&map, text_of("5."), 5);
    expect_number(&map, text_of("+3"), 3);
}

static void a_declared_unit_is_converted(void **state)
{
    hn_field_map map = plain_map();

    (void)state;
    map.unit = "in";
    map.unit_factor = hn_unit_factor(HN_DIM_SMALL_LENGTH, "in");
    expect_number(&map, int_of(12), 304.8);
    expect_number(&map, text_of("8\""), 203.2);
    expect_number(&map, text_of("8''"), 203.2);
    expect_number(&map, text_of("1 1/2"), 38.1);
    expect_number(&map, text_of("1-1/2\""), 38.1);
    expect_number(&map, text_of("3/4"), 19.05);
    expect_number(&map, text_of("8\xe2\x80\xb3"), 203.2);
}

static void a_mark_that_contradicts_the_unit_is_refused(void **state)
{
    hn_field_map map = plain_map();

    (void)state;
    map.unit = "mm";
    expect_missing(&map, HN_VALUE_NUMBER, text_of("8\""), HN_FAULT_MARK);
    map.unit = "in";
    expect_missing(&map, HN_VALUE_NUMBER, text_of("8'"), HN_FAULT_MARK);
    map.unit = "ft";
    expect_number(&map, text_of("8'"), 8);
}

static void text_that_is_no_number_is_a_fault_not_a_zero(void **state)
{
    static const char *const bad[] = {"unknown", "12 mm", "1.2.3", "--5", "0x10",  "1/0",
                                      "-",       "1e999", "5/",    "1 2", "12abc", "1e"};
    hn_field_map map = plain_map();

    (void)state;
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++)
        expect_missing(&map, HN_VALUE_NUMBER, text_of(bad[i]), HN_FAULT_NUMBER);
    expect_missing(&map, HN_VALUE_NUMBER, date_of(2020, 1, 1), HN_FAULT_NUMBER);
}

static void a_comma_is_refused_unless_a_pattern_picks_the_digits(void **state)
{
    hn_field_map map = plain_map();

    (void)state;
    expect_missing(&map, HN_VALUE_NUMBER, text_of("12,5"), HN_FAULT_COMMA);
    expect_missing(&map, HN_VALUE_NUMBER, text_of("1,200.5"), HN_FAULT_COMMA);
    map.pattern = "^([0-9]+,[0-9]+)$";
    expect_number(&map, text_of("12,5"), 12.5);
}

static void nan_and_infinity_are_missing(void **state)
{
    hn_field_map map = plain_map();

    (void)state;
    expect_missing(&map, HN_VALUE_NUMBER, real_of(NAN), HN_FAULT_NONE);
    expect_missing(&map, HN_VALUE_NUMBER, real_of(INFINITY), HN_FAULT_NONE);
    expect_missing(&map, HN_VALUE_NUMBER, text_of("NaN"), HN_FAULT_NONE);
    expect_missing(&map, HN_VALUE_NUMBER, text_of("-inf"), HN_FAULT_NONE);
    expect_missing(&map, HN_VALUE_GRADE, real_of(NAN), HN_FAULT_NONE);
    expect_missing(&map, HN_VALUE_YEAR, real_of(NAN), HN_FAULT_NONE);
    expect_missing(&map, HN_VALUE_TEXT, real_of(NAN), HN_FAULT_NONE);
    expect_missing(&map, HN_VALUE_NUMBER, (hn_raw){.kind = HN_RAW_NULL}, HN_FAULT_NONE);
    expect_missing(&map, HN_VALUE_NUMBER, text_of("   "), HN_FAULT_NONE);
}

static void missing_values_are_compared_as_numbers_texts_and_dates(void **state)
{
    static const char *const missing[] = {"0", "-99", "N/A", "1899-12-30"};
    hn_field_map map = plain_map();

    (void)state;
    map.missing = missing;
    map.missing_count = 4;
    expect_missing(&map, HN_VALUE_NUMBER, int_of(0), HN_FAULT_NONE);
    expect_missing(&map, HN_VALUE_NUMBER, real_of(0.0), HN_FAULT_NONE);
    expect_missing(&map, HN_VALUE_NUMBER, text_of("0.0"), HN_FAULT_NONE);
    expect_missing(&map, HN_VALUE_NUMBER, text_of(" n/a "), HN_FAULT_NONE);
    expect_missing(&map, HN_VALUE_NUMBER, real_of(-99), HN_FAULT_NONE);
    expect_missing(&map, HN_VALUE_DATE, date_of(1899, 12, 30), HN_FAULT_NONE);
    expect_missing(&map, HN_VALUE_DATE, text_of("1899-12-30T00:00:00"), HN_FAULT_NONE);
    expect_number(&map, real_of(0.1), 0.1);
}

static void a_pattern_picks_the_value(void **state)
{
    static const char *const missing[] = {"0"};
    hn_field_map map = plain_map();

    (void)state;
    map.pattern = "([0-9.]+) *m";
    map.missing = missing;
    map.missing_count = 1;
    expect_number(&map, text_of("ca. 2.75 m tief"), 2.75);
    expect_missing(&map, HN_VALUE_NUMBER, text_of("2.75 ft"), HN_FAULT_PATTERN);
    expect_missing(&map, HN_VALUE_NUMBER, text_of("0.0 m"), HN_FAULT_NONE);
    map.pattern = "^DN *([0-9]*)";
    expect_missing(&map, HN_VALUE_NUMBER, text_of("DN"), HN_FAULT_NONE);
}

static void a_pattern_must_be_right_and_have_a_group(void **state)
{
    hn_field_map map = plain_map();
    hn_field_reader *reader;
    hn_error err;

    (void)state;
    map.pattern = "[0-9]+";
    assert_int_equal(hn_field_reader_new(&map, HN_VALUE_NUMBER, HN_ANY_NUMBER, &reader, &err),
                     HN_ERR_PLAN);
    assert_non_null(strstr(err.message, "group"));
    map.pattern = "([0-9]+";
    assert_int_equal(hn_field_reader_new(&map, HN_VALUE_NUMBER, HN_ANY_NUMBER, &reader, &err),
                     HN_ERR_PLAN);
    assert_null(reader);
}

static void a_value_map_is_blind_to_case_and_knows_numbers(void **state)
{
    static const hn_value_pair pairs[] = {
        {"VC", "vitrified clay"}, {"3", "concrete"}, {"\xc3\x96", "oval"}, {"x", ""}};
    hn_field_map map = plain_map();

    (void)state;
    map.values = pairs;
    map.value_count = 4;
    read_once(&map, HN_VALUE_TEXT, HN_ANY_NUMBER, text_of(" vc "));
    assert_string_equal(kept, "vitrified clay");
    read_once(&map, HN_VALUE_TEXT, HN_ANY_NUMBER, real_of(3.0));
    assert_string_equal(kept, "concrete");
    read_once(&map, HN_VALUE_TEXT, HN_ANY_NUMBER, text_of("3.0"));
    assert_string_equal(kept, "concrete");
    read_once(&map, HN_VALUE_TEXT, HN_ANY_NUMBER, text_of("\xc3\xb6"));
    assert_string_equal(kept, "oval");
    read_once(&map, HN_VALUE_TEXT, HN_ANY_NUMBER, text_of(" Brick "));
    assert_string_equal(kept, "Brick");
    expect_missing(&map, HN_VALUE_TEXT, text_of("X"), HN_FAULT_NONE);
    map.other = "unknown";
    read_once(&map, HN_VALUE_TEXT, HN_ANY_NUMBER, text_of("Brick"));
    assert_string_equal(kept, "unknown");
}

static void texts_are_trimmed_and_numbers_keep_their_digits(void **state)
{
    hn_field_map map = plain_map();

    (void)state;
    read_once(&map, HN_VALUE_TEXT, HN_ANY_NUMBER, text_of("\t S 12 \r\n"));
    assert_string_equal(kept, "S 12");
    read_once(&map, HN_VALUE_TEXT, HN_ANY_NUMBER, int_of(9007199254740993));
    assert_string_equal(kept, "9007199254740993");
    read_once(&map, HN_VALUE_TEXT, HN_ANY_NUMBER, real_of(1234));
    assert_string_equal(kept, "1234");
    read_once(&map, HN_VALUE_TEXT, HN_ANY_NUMBER, real_of(0.1));
    assert_string_equal(kept, "0.1");
    read_once(&map, HN_VALUE_TEXT, HN_ANY_NUMBER, date_of(2021, 2, 3));
    assert_string_equal(kept, "2021-02-03");
}

static void text_that_is_not_utf8_is_read_as_windows_1252(void **state)
{
    hn_field_map map = plain_map();
    hn_value value = read_once(&map, HN_VALUE_TEXT, HN_ANY_NUMBER,
                               text_of("Stra\xdf"
                                       "e \x80"));

    (void)state;
    assert_false(value.missing);
    assert_int_equal(value.fault, HN_FAULT_ENCODING);
    assert_string_equal(kept, "Stra\xc3\x9f"
                              "e \xe2\x82\xac");
    value = read_once(&map, HN_VALUE_TEXT, HN_ANY_NUMBER,
                      text_of("Stra\xc3\x9f"
                              "e"));
    assert_int_equal(value.fault, HN_FAULT_NONE);
}

static void expect_days(const hn_field_map *map, hn_raw raw, int year, int month, int day)
{
    hn_value value = read_once(map, HN_VALUE_DATE, HN_ANY_NUMBER, raw);

    assert_false(value.missing);
    assert_int_equal((int64_t)value.number, hn_date_days(year, month, day));
}

/* 2000-03-01 is day 11017: 30 years of 365 days, 7 leap days (1972 to 1996),
 * then 31 + 29 days of 2000. */
static void dates_count_from_1970(void **state)
{
    int year, month, day;

    (void)state;
    assert_int_equal(hn_date_days(1970, 1, 1), 0);
    assert_int_equal(hn_date_days(2000, 3, 1), 30 * 365 + 7 + 31 + 29);
    assert_int_equal(hn_date_days(1969, 12, 31), -1);
    for (int32_t days = -200000; days < 100000; days += 37) {
        hn_date_civil(days, &year, &month, &day);
        assert_int_equal(hn_date_days(year, month, day), days);
    }
    assert_true(hn_is_date(2024, 2, 29));
    assert_false(hn_is_date(1900, 2, 29));
}

static void dates_come_in_every_declared_form(void **state)
{
    hn_field_map map = plain_map();

    (void)state;
    expect_days(&map, date_of(1998, 7, 4), 1998, 7, 4);
    expect_days(&map, text_of("1998-07-04"), 1998, 7, 4);
    expect_days(&map, text_of("1998/07/04 12:30"), 1998, 7, 4);
    expect_days(&map, text_of("1998-07"), 1998, 7, 1);
    expect_missing(&map, HN_VALUE_DATE, text_of("04.07.1998"), HN_FAULT_DATE);
    expect_missing(&map, HN_VALUE_DATE, text_of("7/4/1998"), HN_FAULT_DATE);
    expect_missing(&map, HN_VALUE_DATE, text_of("1998-02-30"), HN_FAULT_DATE);
    expect_missing(&map, HN_VALUE_DATE, text_of("1998-07-04x"), HN_FAULT_DATE);
    expect_missing(&map, HN_VALUE_DATE, int_of(1998), HN_FAULT_DATE);
    expect_missing(&map, HN_VALUE_DATE, date_of(9999, 12, 31), HN_FAULT_DATE);
    map.date_format = HN_DATE_ISO;
    expect_days(&map, int_of(19980704), 1998, 7, 4);
    map.date_format = HN_DATE_YEAR;
    expect_days(&map, int_of(1998), 1998, 1, 1);
    map.date_format = HN_DATE_EPOCH_MS;
    expect_days(&map, int_of(899510400000), 1998, 7, 4); /* date -u -d @899510400 */
    expect_days(&map, int_of(-1), 1969, 12, 31);
}

static void expect_year(const hn_field_map *map, hn_raw raw, double expected)
{
    hn_value value = read_once(map, HN_VALUE_YEAR, HN_ANY_NUMBER, raw);

    assert_false(value.missing);
    assert_int_equal(value.fault, HN_FAULT_NONE);
    assert_close(value.number, expected, 1e-15);
}

static void years_come_from_numbers_and_dates(void **state)
{
    hn_field_map map = plain_map();

    (void)state;
    expect_year(&map, int_of(1965), 1965);
    expect_year(&map, text_of("1965.0"), 1965);
    expect_year(&map, text_of("1965-03-01"), 1965);
    expect_year(&map, date_of(1965, 3, 1), 1965);
    expect_missing(&map, HN_VALUE_YEAR, int_of(0), HN_FAULT_YEAR);
    expect_missing(&map, HN_VALUE_YEAR, int_of(65), HN_FAULT_YEAR);
    expect_missing(&map, HN_VALUE_YEAR, text_of("about 1965"), HN_FAULT_YEAR);
    map.date_format = HN_DATE_EPOCH_MS;
    expect_year(&map, int_of(-157766400000), 1965);
}

static void expect_grade(const hn_field_map *map, hn_raw raw, double expected)
{
    hn_value value = read_once(map, HN_VALUE_GRADE, HN_ANY_NUMBER, raw);

    assert_false(value.missing);
    assert_close(value.number, expected, 1e-12);
}

static void grades_are_scaled_from_best_to_worst(void **state)
{
    hn_field_map map = plain_map();

    (void)state;
    map.has_scale = 1;
    map.best = 5;
    map.worst = 0;
    expect_grade(&map, int_of(5), 1);
    expect_grade(&map, int_of(0), 5);
    expect_grade(&map, text_of("2.5"), 3);
    expect_missing(&map, HN_VALUE_GRADE, int_of(6), HN_FAULT_GRADE);
    expect_missing(&map, HN_VALUE_GRADE, int_of(-1), HN_FAULT_GRADE);
    map.best = 0;
    map.worst = 0;
    {
        hn_field_reader *reader;

        assert_int_equal(hn_field_reader_new(&map, HN_VALUE_GRADE, HN_ANY_NUMBER, &reader, NULL),
                         HN_ERR_PLAN);
    }
}

static void flags_are_read_in_several_languages(void **state)
{
    static const char *const yes[] = {"yes", "Y", "TRUE", "ja", "1", " on "};
    static const char *const no[] = {"no", "n", "False", "NEIN", "0", "off"};
    hn_field_map map = plain_map();

    (void)state;
    for (size_t i = 0; i < 6; i++) {
        assert_true(read_once(&map, HN_VALUE_FLAG, HN_ANY_NUMBER, text_of(yes[i])).number == 1);
        assert_true(read_once(&map, HN_VALUE_FLAG, HN_ANY_NUMBER, text_of(no[i])).number == 0);
    }
    assert_true(read_once(&map, HN_VALUE_FLAG, HN_ANY_NUMBER, real_of(1)).number == 1);
    expect_missing(&map, HN_VALUE_FLAG, text_of("maybe"), HN_FAULT_FLAG);
    expect_missing(&map, HN_VALUE_FLAG, int_of(2), HN_FAULT_FLAG);
}

static void shapes_go_by_name_after_the_value_map(void **state)
{
    static const hn_value_pair pairs[] = {{"E", "egg"}, {"K", "Circle"}};
    hn_field_map map = plain_map();

    (void)state;
    map.values = pairs;
    map.value_count = 2;
    assert_true(read_once(&map, HN_VALUE_SHAPE, HN_ANY_NUMBER, text_of("e")).number ==
                HN_SHAPE_EGG);
    assert_true(read_once(&map, HN_VALUE_SHAPE, HN_ANY_NUMBER, text_of("k")).number ==
                HN_SHAPE_CIRCLE);
    assert_true(read_once(&map, HN_VALUE_SHAPE, HN_ANY_NUMBER, text_of("channel")).number ==
                HN_SHAPE_CHANNEL);
    expect_missing(&map, HN_VALUE_SHAPE, text_of("blob"), HN_FAULT_SHAPE);
}

static void numbers_out_of_sense_are_faults(void **state)
{
    hn_field_map map = plain_map();

    (void)state;
    assert_int_equal(read_once(&map, HN_VALUE_NUMBER, HN_POSITIVE, int_of(0)).fault,
                     HN_FAULT_NOT_POSITIVE);
    assert_int_equal(read_once(&map, HN_VALUE_NUMBER, HN_NOT_NEGATIVE, int_of(-1)).fault,
                     HN_FAULT_NEGATIVE);
    assert_int_equal(read_once(&map, HN_VALUE_NUMBER, HN_NOT_NEGATIVE, int_of(0)).fault,
                     HN_FAULT_NONE);
}

/* Many distinct texts pass through the few memo slots unharmed. */
static void the_memo_never_mixes_values(void **state)
{
    hn_field_map map = plain_map();
    hn_field_reader *reader;
    hn_value value;
    char text[32];

    (void)state;
    map.pattern = "N([0-9]+)";
    assert_int_equal(hn_field_reader_new(&map, HN_VALUE_NUMBER, HN_ANY_NUMBER, &reader, NULL),
                     HN_OK);
    for (int round = 0; round < 2; round++)
        for (int i = 0; i < 5000; i++) {
            hn_raw raw;

            snprintf(text, sizeof text, " N%d", i * 7 % 5000);
            raw = text_of(text);
            hn_field_read(reader, &raw, &value);
            assert_true(value.number == i * 7 % 5000);
        }
    hn_field_reader_free(reader);
}

static void a_constant_is_read_like_a_cell(void **state)
{
    hn_field_map map = {.role = "depth_up", .constant = "2.5", .unit_factor = 0.3048};
    hn_field_reader *reader;
    hn_value value;

    (void)state;
    assert_int_equal(hn_field_reader_new(&map, HN_VALUE_NUMBER, HN_ANY_NUMBER, &reader, NULL),
                     HN_OK);
    hn_field_read_constant(reader, &value);
    assert_close(value.number, 0.762, 1e-14);
    hn_field_reader_free(reader);
}

static void running_out_of_memory_leaks_nothing(void **state)
{
    static const char *const missing[] = {"0"};
    hn_field_map map = plain_map();
    hn_field_reader *reader;
    size_t before = hn_alloc_live(), nth = 0;
    hn_status rc;

    (void)state;
    map.pattern = "([0-9]+)";
    map.missing = missing;
    map.missing_count = 1;
    do {
        hn_alloc_fail_after(++nth);
        rc = hn_field_reader_new(&map, HN_VALUE_NUMBER, HN_ANY_NUMBER, &reader, NULL);
        hn_alloc_fail_after(0);
        assert_true(rc == HN_OK || rc == HN_ERR_MEMORY);
        hn_field_reader_free(reader);
        assert_int_equal(hn_alloc_live(), before);
    } while (rc != HN_OK);
    assert_true(nth > 2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(numbers_are_read_from_any_type_of_cell),
        cmocka_unit_test(a_declared_unit_is_converted),
        cmocka_unit_test(a_mark_that_contradicts_the_unit_is_refused),
        cmocka_unit_test(text_that_is_no_number_is_a_fault_not_a_zero),
        cmocka_unit_test(a_comma_is_refused_unless_a_pattern_picks_the_digits),
        cmocka_unit_test(nan_and_infinity_are_missing),
        cmocka_unit_test(missing_values_are_compared_as_numbers_texts_and_dates),
        cmocka_unit_test(a_pattern_picks_the_value),
        cmocka_unit_test(a_pattern_must_be_right_and_have_a_group),
        cmocka_unit_test(a_value_map_is_blind_to_case_and_knows_numbers),
        cmocka_unit_test(texts_are_trimmed_and_numbers_keep_their_digits),
        cmocka_unit_test(text_that_is_not_utf8_is_read_as_windows_1252),
        cmocka_unit_test(dates_count_from_1970),
        cmocka_unit_test(dates_come_in_every_declared_form),
        cmocka_unit_test(years_come_from_numbers_and_dates),
        cmocka_unit_test(grades_are_scaled_from_best_to_worst),
        cmocka_unit_test(flags_are_read_in_several_languages),
        cmocka_unit_test(shapes_go_by_name_after_the_value_map),
        cmocka_unit_test(numbers_out_of_sense_are_faults),
        cmocka_unit_test(the_memo_never_mixes_values),
        cmocka_unit_test(a_constant_is_read_like_a_cell),
        cmocka_unit_test(running_out_of_memory_leaks_nothing),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
