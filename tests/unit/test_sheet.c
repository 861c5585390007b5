/* The model of a sheet and its three forms. */
#include "test_util.h"

#include "base/alloc.h"
#include "report/sheet_render.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const hn_view_column columns[] = {
    {"name", "Name", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"width_mm", "Width", "", "mm", HN_VIEW_REAL, 0, NULL, 0},
    {"count", "Count", "", "", HN_VIEW_INT, 0, NULL, 0},
    {"source", "Source", "", "", HN_VIEW_TEXT, 0, NULL, 0},
};

static void fill(hn_sheet *s, int is_us)
{
    hn_sheet_item *t;

    hn_sheet_init(s, "A-1", "EUR", is_us);
    hn_sheet_begin(s, "pipe", "Pipe");
    hn_sheet_number(s, "width_mm", "Width", "D", 254.0, 0, "mm", "recorded");
    hn_sheet_number(s, "cover_m", "Cover", NULL, (double)NAN, 2, "m", "not recorded");
    hn_sheet_number(s, "cost", "Cost", NULL, 1234567.891, 2, "money", "");
    hn_sheet_word(s, "soil", "Soil", "", "not recorded");
    hn_sheet_begin(s, "inner", "Inner");
    hn_sheet_formula(s, "t_mm", "Wall", "t = D / 50", "254 / 50", 5.08, 2, "mm", "a source");
    t = hn_sheet_table(s, "rows", "Rows", columns, 4);
    hn_sheet_cell_word(s, t, "one");
    hn_sheet_cell_number(s, t, 508.0);
    hn_sheet_cell_whole(s, t, 12);
    hn_sheet_cell_word(s, t, "the same source");
    hn_sheet_cell_word(s, t, NULL);
    hn_sheet_cell_number(s, t, (double)NAN);
    hn_sheet_cell_whole(s, t, -3);
    hn_sheet_cell_word(s, t, "the same source");
    hn_sheet_end(s);
    hn_sheet_say(s, "note", "%s", "mind this")->is_emphasised = 1;
    hn_sheet_end(s);
}

typedef void (*render_fn)(const hn_sheet *sheet, hn_out *out);

static char *rendered(const hn_sheet *s, render_fn render)
{
    hn_out out;
    char *text;

    assert_true(hn_out_init(&out, 64, NULL, NULL)); /* small: it has to grow */
    render(s, &out);
    assert_int_equal(out.error, 0);
    text = malloc(out.used + 1);
    assert_non_null(text);
    memcpy(text, out.data, out.used);
    text[out.used] = '\0';
    hn_out_clear(&out);
    return text;
}

static void expect(render_fn render, int is_us, const char *const *parts, size_t count)
{
    hn_sheet s;
    char *text;

    fill(&s, is_us);
    text = rendered(&s, render);
    for (size_t i = 0; i < count; i++)
        if (!strstr(text, parts[i]))
            fail_msg("no \"%s\" in:\n%s", parts[i], text);
    free(text);
    hn_sheet_clear(&s);
}
#define EXPECT(render, is_us, ...)                                     \
    do {                                                               \
        const char *const parts_[] = {__VA_ARGS__};                    \
        expect(render, is_us, parts_, sizeof parts_ / sizeof *parts_); \
    } while (0)

static void text_shows_values_formulas_tables_and_notes(void **state)
{
    (void)state;
    EXPECT(hn_sheet_to_text, 0, "Segment A-1\n###########\n", "\nPipe\n====\n",
           "  Width, D                                         254 mm       recorded\n", "unknown",
           "1 234 567.89 EUR", "\nInner\n-----\n", "      t = D / 50\n        = 254 / 50\n",
           "        = 5.08 mm\n      [a source]\n", "  one         508     12  [1]\n",
           "  [1] the same source\n", "! mind this\n");
}

static void json_keeps_numbers_and_says_null(void **state)
{
    (void)state;
    EXPECT(hn_sheet_to_json, 0, "\"segment_id\": \"A-1\"",
           "\"width_mm\": {\"value\": 254, \"unit\": \"mm\"", "\"cover_m\": {\"value\": null",
           "\"cost\": {\"value\": 1234567.891, \"unit\": \"EUR\"", "\"soil\": {\"value\": null",
           "\"symbols\": \"t = D / 50\", \"numbers\": \"254 / 50\"",
           "{\"name\": \"one\", \"width_mm\": 508, \"count\": 12, \"source\": \"the same source\"}",
           "{\"name\": null, \"width_mm\": null, \"count\": -3,", "\"note\": \"mind this\"");
}

static void html_has_every_item(void **state)
{
    (void)state;
    EXPECT(hn_sheet_to_html, 0, "<title>Segment A-1</title>", "<h2>Pipe</h2>", "<h3>Inner</h3>",
           "Width, <i>D</i></th><td class=\"n\">254</td><td class=\"unit\">mm</td>",
           "1&#160;234&#160;567.89", ">unknown</td>",
           "<code>t = D / 50</code><code>= 254 / 50</code>", "<td class=\"n\">508</td>",
           "<p class=\"strong\">mind this</p>");
}

static void us_units_reach_values_keys_and_tables(void **state)
{
    (void)state;
    EXPECT(hn_sheet_to_json, 1, "\"units\": \"us\"",
           "\"width_in\": {\"value\": 10, \"unit\": \"in\"", "\"cover_ft\": {\"value\": null",
           "\"t_in\": {\"value\": 0.2,", "\"numbers\": \"254 / 50 = 5.08 mm\"",
           "{\"name\": \"one\", \"width_in\": 20, \"count\": 12,",
           "\"cost\": {\"value\": 1234567.891");
    EXPECT(hn_sheet_to_text, 1, "10.0 in", "0.200 in", "20.0");
}

static void us_units_of_loads_are_those_of_the_books(void **state)
{
    hn_sheet s;

    (void)state;
    hn_sheet_init(&s, "A", "EUR", 1);
    /* 120 lbf/ft3 and 1,000 psi are 18.85 kN/m3 and 6.895 MPa */
    assert_close(hn_sheet_number(&s, "w", "", NULL, 18.85, 2, "kN/m3", "")->number, 120.0, 1e-4);
    assert_close(hn_sheet_number(&s, "e_mpa", "", NULL, 6.894757, 2, "MPa", "")->number, 1000.0,
                 1e-6);
    assert_string_equal(s.at->last->key, "e_psi");
    assert_close(hn_sheet_number(&s, "a", "", NULL, 0.09290304, 2, "m2", "")->number, 1.0, 1e-12);
    assert_string_equal(hn_sheet_quantity(&s, 25.4, 0, "mm"), "1.0 in");
    hn_sheet_clear(&s);
}

static const char hostile[] = "<b>&\"'\x1b[31m\x01\xff\xc2\x9b ]]> \\ end";

static void hostile_names_stay_text(void **state)
{
    hn_sheet s;
    char *text;

    (void)state;
    hn_sheet_init(&s, hostile, "EUR", 0);
    hn_sheet_begin(&s, "block", hostile);
    hn_sheet_word(&s, "word", hostile, hostile, hostile);
    hn_sheet_cell_word(&s, hn_sheet_table(&s, "table", hostile, columns, 1), hostile);
    hn_sheet_end(&s);
    text = rendered(&s, hn_sheet_to_html);
    assert_null(strstr(text, "<b>"));
    assert_null(strchr(text, '\x1b'));
    assert_non_null(strstr(text, "&lt;b&gt;&amp;"));
    free(text);
    text = rendered(&s, hn_sheet_to_text);
    assert_null(strchr(text, '\x1b'));
    assert_null(strchr(text, '\x01'));
    assert_null(strchr(text, '\xff'));
    assert_null(strstr(text, "\xc2\x9b"));
    free(text);
    text = rendered(&s, hn_sheet_to_json);
    assert_non_null(strstr(text, "\\\"'\\u001b[31m\\u0001\xEF\xBF\xBD"));
    assert_non_null(strstr(text, " \\\\ end"));
    free(text);
    hn_sheet_clear(&s);
}

static void marks_that_turn_the_writing_direction_do_not_reach_the_terminal(void **state)
{
    hn_sheet s;
    char *text;

    (void)state;
    hn_sheet_init(&s,
                  "A\xe2\x80\xae"
                  "B\xe2\x81\xa6"
                  "C",
                  "EUR", 0);
    text = rendered(&s, hn_sheet_to_text);
    assert_null(strstr(text, "\xe2\x80\xae"));
    assert_null(strstr(text, "\xe2\x81\xa6"));
    free(text);
    hn_sheet_clear(&s);
}

static void no_line_of_text_is_too_long(void **state)
{
    hn_sheet s;
    char *text, word[400];

    (void)state;
    memset(word, 'x', sizeof word - 1);
    word[sizeof word - 1] = '\0';
    hn_sheet_init(&s, word, "EUR", 0);
    hn_sheet_begin(&s, "b", word);
    hn_sheet_word(&s, "w", "Label", word, word);
    hn_sheet_say(&s, "p", "%s", word);
    hn_sheet_formula(&s, "f", word, word, word, 1.0, 1, "", word);
    hn_sheet_number(&s, "n", "Label that is a good deal longer than the place for labels", "s",
                    1e15, 2, "mm", word);
    hn_sheet_cell_word(&s, hn_sheet_table(&s, "t", word, columns, 1), word);
    hn_sheet_end(&s);
    text = rendered(&s, hn_sheet_to_text);
    for (char *line = strtok(text, "\n"); line; line = strtok(NULL, "\n"))
        if (strlen(line) > 100)
            fail_msg("%zu columns: %s", strlen(line), line);
    free(text);
    hn_sheet_clear(&s);
}

static void numbers_read_well(void **state)
{
    hn_sheet s;
    char shown[64];

    (void)state;
    hn_sheet_init(&s, "A", "EUR", 0);
    assert_string_equal(hn_sheet_digits(&s, 0.0294271), "0.029427");
    assert_string_equal(hn_sheet_digits(&s, 1350.0), "1350");
    assert_string_equal(hn_sheet_digits(&s, 123456.7), "123457");
    assert_string_equal(hn_sheet_digits(&s, -0.5), "-0.5");
    assert_string_equal(hn_sheet_digits(&s, 0.0), "0");
    assert_string_equal(hn_sheet_digits(&s, (double)NAN), "unknown");
    assert_string_equal(hn_sheet_grouped(&s, -1234567.5, 1), "-1 234 567.5");
    assert_string_equal(hn_sheet_grouped(&s, -0.001, 2), "0.00");
    assert_string_equal(hn_sheet_grouped(&s, 999.0, 0), "999");
    assert_string_equal(hn_sheet_money(&s, 12340.0, 0), "12 340 EUR");
    hn_sheet_shown(-0.0004, 2, shown, sizeof shown);
    assert_string_equal(shown, "0.00");
    hn_sheet_clear(&s);
}

static void items_are_found_by_their_keys(void **state)
{
    hn_sheet s;
    const hn_sheet_item *pipe;

    (void)state;
    fill(&s, 0);
    pipe = hn_sheet_find(&s.root, "pipe");
    assert_non_null(pipe);
    assert_non_null(hn_sheet_find(hn_sheet_find(pipe, "inner"), "t_mm"));
    assert_null(hn_sheet_find(pipe, "t_mm"));
    hn_sheet_clear(&s);
}

static void a_lack_of_memory_is_told_and_harms_nothing(void **state)
{
    (void)state;
    for (size_t nth = 1; nth < 12; nth++) {
        hn_sheet s;
        int failed;

        hn_alloc_fail_after(nth);
        fill(&s, 1);
        hn_alloc_fail_after(0);
        failed = hn_sheet_check(&s, NULL) != HN_OK;
        if (failed)
            assert_int_equal(hn_sheet_check(&s, NULL), HN_ERR_MEMORY);
        hn_sheet_clear(&s);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(text_shows_values_formulas_tables_and_notes),
        cmocka_unit_test(json_keeps_numbers_and_says_null),
        cmocka_unit_test(html_has_every_item),
        cmocka_unit_test(us_units_reach_values_keys_and_tables),
        cmocka_unit_test(us_units_of_loads_are_those_of_the_books),
        cmocka_unit_test(hostile_names_stay_text),
        cmocka_unit_test(marks_that_turn_the_writing_direction_do_not_reach_the_terminal),
        cmocka_unit_test(no_line_of_text_is_too_long),
        cmocka_unit_test(numbers_read_well),
        cmocka_unit_test(items_are_found_by_their_keys),
        cmocka_unit_test(a_lack_of_memory_is_told_and_harms_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
