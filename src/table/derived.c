#include "table/segment_table.h"

/* Days of a Julian year, usual for ages in years (common practice, no source).
 * The mean Gregorian year has 365.2425: a day apart after 130 years. */
static const double DAYS_A_YEAR = 365.25;

/* From the last lining where there was one; never below 0. */
static double age_years(const hn_table *t, size_t row)
{
    double built = (double)hn_f32(t, HN_COL_YEAR_BUILT, row);
    double lined = (double)hn_f32(t, HN_COL_YEAR_LINED, row);
    double age = t->as_of_year - (lined > built || isnan(built) ? lined : built);

    if (isnan(lined))
        age = t->as_of_year - built;
    return age < 0.0 ? 0.0 : age;
}

static double inspection_age_years(const hn_table *t, size_t row)
{
    int32_t day = hn_i32(t, HN_COL_INSPECTED_ON, row);
    double age = (t->as_of - (double)day) / DAYS_A_YEAR;

    if (day == HN_I32_MISSING)
        return (double)NAN;
    return age < 0.0 ? 0.0 : age;
}

double hn_table_derived(const hn_table *t, hn_column_id id, size_t row)
{
    switch (id) {
    case HN_COL_AGE:
        return age_years(t, row);
    case HN_COL_INSPECTION_AGE:
        return inspection_age_years(t, row);
    case HN_COL_COST_LOW:
        return hn_f64(t, HN_COL_COST, row) * (1.0 + t->cost_low_pct / 100.0);
    case HN_COL_COST_HIGH:
        return hn_f64(t, HN_COL_COST, row) * (1.0 + t->cost_high_pct / 100.0);
    case HN_COL_YEARLY_COST: {
        uint8_t method = hn_code(t, HN_COL_METHOD, row);

        return t->yearly_share && method != HN_CODE_MISSING
                   ? hn_f64(t, HN_COL_COST, row) * t->yearly_share[method]
                   : (double)NAN;
    }
    case HN_COL_LOSS_AVOIDED_PER_COST: {
        double cost = hn_f64(t, HN_COL_COST, row);

        return cost > 0.0 ? hn_f64(t, HN_COL_LOSS_AVOIDED, row) / cost : (double)NAN;
    }
    default:
        return (double)NAN;
    }
}
