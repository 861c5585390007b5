#include "run/table_columns.h"
#include "run/tables.h"

#include "table/codes.h"

static const hn_view_column coverage_columns[] = {
    HN_TEXT("condition", "Condition", "Structural grade seen, or why there is none"),
    HN_TEXT("condition_basis", "Basis", "observed, inferred or none"),
    HN_WHOLE("segments", "Segments", "Segments"),
    HN_METRES("length_m", "Length", "Length"),
    HN_SHARE("share_of_length", "Share", "Share of the whole length"),
    {"mean_inspection_age_years", "Age of inspection", "Mean age of the inspection, by length",
     "years", HN_VIEW_REAL, 1, NULL, 0},
};

static const hn_view_column match_columns[] = {
    HN_TEXT("matched_by", "Matched by", "How an inspection record found its segment"),
    HN_WHOLE("records", "Records", "Records"),
    HN_SHARE("share_of_records", "Share", "Share of all records"),
    HN_SHARE("mean_confidence", "Confidence", "Mean confidence of these matches"),
    HN_WHOLE("doubtful", "Doubtful", "Records with a confidence below 0.5"),
    HN_WHOLE("fit_several", "Fit several", "Records that fit two segments or more"),
    HN_WHOLE("twice_in_a_day", "Twice", "Records of one day that claim the same whole segment"),
};

enum { SEEN_GRADES = 5, CLASSES = SEEN_GRADES + 3 };

typedef struct coverage {
    int64_t segments;
    double length_m, aged_m, age_m_years;
} coverage;

/* Grades are put to the nearest whole one for this table only. */
static size_t class_of(const hn_table *t, size_t row)
{
    double grade = (double)hn_f32(t, HN_COL_GRADE_STRUCTURAL, row);

    if (!isnan(grade))
        return (size_t)(grade + 0.5) - 1;
    if (hn_i32(t, HN_COL_INSPECTED_ON, row) != HN_I32_MISSING)
        return SEEN_GRADES;
    return SEEN_GRADES + hn_code(t, HN_COL_CONDITION_BASIS, row);
}

static void add_coverage(const hn_state *s, hn_grid *g)
{
    static const char *const names[CLASSES] = {"grade 1",
                                               "grade 2",
                                               "grade 3",
                                               "grade 4",
                                               "grade 5",
                                               "inspected, no structural grade",
                                               "not inspected, age known",
                                               "not inspected, age unknown"};
    static const hn_condition_basis basis[CLASSES] = {
        HN_BASIS_OBSERVED, HN_BASIS_OBSERVED, HN_BASIS_OBSERVED, HN_BASIS_OBSERVED,
        HN_BASIS_OBSERVED, HN_BASIS_INFERRED, HN_BASIS_INFERRED, HN_BASIS_NONE};
    coverage c[CLASSES] = {{0}};
    double total = 0.0;

    for (size_t row = 0; row < s->table->rows; row++) {
        coverage *k = &c[class_of(s->table, row)];
        double length = hn_f64(s->table, HN_COL_LENGTH_M, row);
        double age = hn_table_derived(s->table, HN_COL_INSPECTION_AGE, row);

        length = isnan(length) ? 0.0 : length;
        k->segments++;
        k->length_m += length;
        total += length;
        if (isnan(age) || class_of(s->table, row) > SEEN_GRADES)
            continue;
        k->aged_m += length;
        k->age_m_years += length * age;
    }
    for (size_t i = 0; i < CLASSES; i++) {
        if (i == SEEN_GRADES && c[i].segments == 0)
            continue;
        hn_grid_row(g);
        hn_grid_text(g, names[i]);
        hn_grid_text(g, hn_condition_basis_names[basis[i]]);
        hn_grid_int(g, c[i].segments);
        hn_grid_real(g, c[i].length_m);
        hn_grid_real(g, c[i].length_m / total);
        hn_grid_real(g, c[i].age_m_years / c[i].aged_m);
    }
}

static void add_matches(const hn_state *s, hn_grid *g)
{
    const hn_join_stats *n = &s->join;

    for (int how = 0; how < HN_MATCH_COUNT; how++) {
        hn_grid_row(g);
        hn_grid_text(g, hn_match_names[how]);
        hn_grid_int(g, (int64_t)n->by[how]);
        hn_grid_real(g, (double)n->by[how] / (double)n->records);
        hn_grid_real(g,
                     how == HN_MATCH_NONE ? (double)NAN : n->confidence[how] / (double)n->by[how]);
        hn_grid_int(g, (int64_t)n->doubtful[how]);
        hn_grid_int(g, (int64_t)n->fit_several[how]);
        hn_grid_int(g, (int64_t)n->twice[how]);
    }
}

void hn_tables_coverage(const hn_state *s, hn_tables *tables)
{
    hn_grid *g = &tables->grid[HN_TABLE_COVERAGE], *m = &tables->grid[HN_TABLE_MATCH_REPORT];

    hn_grid_init(g, "coverage", "What was really seen",
                 "Length by structural grade seen, and what was never inspected.", coverage_columns,
                 HN_COUNT_OF(coverage_columns));
    add_coverage(s, g);
    hn_grid_init(m, "match_report", "How inspections found their segment",
                 "Records by the way they were joined; unmatched and doubly matched ones are in "
                 "data_issues by name.",
                 match_columns, HN_COUNT_OF(match_columns));
    add_matches(s, m);
}
