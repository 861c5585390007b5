/* The sentence that stands beside every segment. Written by hand-made appends
 * and not by printf, since it is made for every segment of every output. */
#include "base/dates.h"
#include "report/segment_views.h"

#include <string.h>

enum { REASON_MAX = 768 };

typedef struct line {
    char text[REASON_MAX];
    size_t used;
} line;

static void put(line *l, const char *text)
{
    size_t n = strlen(text), room = sizeof l->text - 1 - l->used;

    n = n < room ? n : room;
    memcpy(l->text + l->used, text, n);
    l->used += n;
}

/* Whole number with blanks between thousands: 12 340. */
static void put_whole(line *l, double value)
{
    char digits[32];
    size_t at = sizeof digits;
    uint64_t v = (uint64_t)(fabs(value) + 0.5);
    int count = 0;

    digits[--at] = '\0';
    do {
        if (count && count % 3 == 0)
            digits[--at] = ' ';
        digits[--at] = (char)('0' + v % 10);
        v /= 10;
        count++;
    } while (v && at > 2);
    if (value < -0.5)
        digits[--at] = '-';
    put(l, digits + at);
}

static void put_tenths(line *l, double value)
{
    int tenths = (int)(value * 10.0 + 0.5);
    char text[8] = {(char)('0' + tenths / 10 % 10), '.', (char)('0' + tenths % 10), '\0'};

    put(l, text);
}

static void put_money(line *l, const hn_plan *plan, double value)
{
    put_whole(l, value);
    put(l, " ");
    put(l, plan->currency);
}

static void put_condition(line *l, const hn_table *t, const hn_plan *plan, size_t row)
{
    uint8_t basis = hn_code(t, HN_COL_CONDITION_BASIS, row);
    int32_t day = hn_i32(t, HN_COL_INSPECTED_ON, row);
    char date[HN_DATE_TEXT];

    put(l, "Structural grade ");
    put_tenths(l, (double)hn_f32(t, HN_COL_GRADE_NOW, row));
    if (basis == HN_BASIS_OBSERVED && day != HN_I32_MISSING) {
        hn_date_text(day, date);
        put(l, " (inspected ");
        put(l, date);
        put(l, ")");
    } else {
        put(l, basis == HN_BASIS_OBSERVED   ? " (observed)"
               : basis == HN_BASIS_INFERRED ? " (inferred from its cohort and age, not seen)"
                                            : " (nothing known: mean of its cohort)");
    }
    put(l, ", expected loss ");
    put_money(l, plan, hn_f64(t, HN_COL_LOSS_NOW, row));
    put(l, " a year");
}

static void put_work(line *l, const hn_table *t, const hn_plan *plan, size_t row)
{
    const hn_method *method = &plan->config.methods[hn_code(t, HN_COL_METHOD, row)];
    int32_t year = hn_i32(t, HN_COL_YEAR, row);

    put(l, ". ");
    put(l, method->title);
    if (hn_code(t, HN_COL_VERDICT, row) == HN_VERDICT_AFTER_WORKS)
        put(l, ", after works,");
    put(l, " for ");
    put_money(l, plan, hn_f64(t, HN_COL_COST, row));
    put(l, " avoids ");
    put_money(l, plan, hn_f64(t, HN_COL_LOSS_AVOIDED, row));
    put(l, " of loss to the horizon; ");
    if (year == HN_I32_MISSING) {
        put(l, "not funded.");
        return;
    }
    put(l, hn_code(t, HN_COL_PROGRAMME, row) == HN_PROGRAMME_COMMITTED ? "committed for "
                                                                       : "funded in ");
    {
        char text[5] = {(char)('0' + year / 1000 % 10), (char)('0' + year / 100 % 10),
                        (char)('0' + year / 10 % 10), (char)('0' + year % 10), '\0'};

        put(l, text);
    }
    put(l, ".");
}

static void put_placed(line *l, const hn_table *t, size_t row)
{
    const int32_t computed = hn_i32(t, HN_COL_PRIORITY_COMPUTED, row);

    if (computed == HN_I32_MISSING)
        return;
    put(l, " A person set priority ");
    put_whole(l, (double)hn_i32(t, HN_COL_PRIORITY, row));
    put(l, "; the rule gives ");
    put_whole(l, (double)computed);
    put(l, ".");
}

const char *hn_segment_reason(const hn_table *t, const hn_plan *plan, size_t row,
                              hn_scratch *scratch)
{
    uint8_t method = hn_code(t, HN_COL_METHOD, row), rule = hn_code(t, HN_COL_ACT_NOW, row);
    line l;
    char *place;

    l.used = 0;
    if (rule != HN_CODE_MISSING)
        put(&l, "Act now. ");
    put_condition(&l, t, plan, row);
    if (method == HN_CODE_MISSING)
        put(&l, ". No method fits or can be judged; the options table says why.");
    else if (plan->config.methods[method].kind == HN_METHOD_WATCH)
        put(&l, ". Watch: no method that fits avoids more loss than it costs.");
    else
        put_work(&l, t, plan, row);
    put_placed(&l, t, row);
    l.text[l.used] = '\0';
    if (scratch->text_size - scratch->text_used < l.used + 1)
        return "";
    place = scratch->text + scratch->text_used;
    memcpy(place, l.text, l.used + 1);
    scratch->text_used += l.used + 1;
    return place;
}
