/* engineering/grading.h - from single defects of a pipe to one number for it.
 *
 * Pure arithmetic. Which observation has which value is a matter of tables
 * (config/grading_rules.csv); how values become one verdict is a roll-up of this
 * file, chosen by name in config/roll_up.csv.
 */
#ifndef HN_ENGINEERING_GRADING_H
#define HN_ENGINEERING_GRADING_H

#include <stddef.h>

/* One defect with its value on the scale of a scheme: a grade or points. */
typedef struct hn_defect {
    double from_m, to_m; /* along the pipe; to_m NaN: a point defect; from_m NaN: place unknown */
    double value;
    double length_m; /* over which it counts, see hn_defect_length */
} hn_defect;

/* Length over which a defect counts, m: to - from, but at least least_m; a point
 * defect has point_m. NaN for a length that is not known.
 * Source: Baufachliche Richtlinien Abwasser (German federal guideline), Annex
 * A-3.1.3 (point defect 0.3 m in a sewer); DWA-M 149-3 (2015), correction of 2016
 * (at least 2.50 m). */
double hn_defect_length(double from_m, double to_m, double point_m, double least_m);

/* Sum of the values; 0 without defects. */
double hn_defects_total(const hn_defect *defects, size_t count);
/* Mean of the values; NaN without defects. Source: rating index = total over the
 * number of defects, from memory. */
double hn_defects_mean(const hn_defect *defects, size_t count);
/* Sum of the values over the length that was surveyed, per metre. */
double hn_defects_per_metre(const hn_defect *defects, size_t count, double surveyed_m);
/* Sum of value x length. Source: Baufachliche Richtlinien Abwasser, Annex,
 * damage length number SLZ. */
double hn_defects_length_sum(const hn_defect *defects, size_t count);
/* Mean of the values weighted by their lengths; NaN without defects. */
double hn_defects_length_mean(const hn_defect *defects, size_t count);
/* Greatest sum of the values that meet any window of window_m along the pipe; a
 * defect without a place stands alone. `edges` is room for 2 x count.
 * Source: peak score of one metre, common practice, from memory. */
typedef struct hn_defect_edge {
    double at_m, value;
} hn_defect_edge;
double hn_defects_peak(const hn_defect *defects, size_t count, double window_m,
                       hn_defect_edge *edges);
/* The value nearest to the worst end of a scale; NaN without defects. */
double hn_defects_worst(const hn_defect *defects, size_t count, double best, double worst);

/* Density of damage SD = sum((best - K) dL) / ((best - K_worst) L): K the class of a
 * defect, best the class of a sound pipe (5), L the length of the object in metres.
 * NaN without defects or when K_worst = best.
 * Source: DWA-M 149-3 (April 2015), correction sheet of February 2016. */
double hn_damage_density(const hn_defect *defects, size_t count, double best, double worst,
                         double length_m);
/* Surcharge ZP = 50 SD. Source: as above. */
double hn_damage_surcharge(double density);

/* Grade 1 (good) to 5 of a value by the least values of grades 2, 3, 4 and 5, which
 * rise. NaN for NaN. */
double hn_grade_of_bands(double value, const double least[4]);
/* Grade 1 to 5 of a value on a scale, linear between its ends; outside: NaN. */
double hn_grade_on_scale(double value, double best, double worst);

/* The quick rating: worst grade, its count, next grade, its count; counts above 9 are
 * letters, A = 10 to 14, B = 15 to 19 and so on up to Z. count[g]: defects of grade g,
 * 1 to 5. "0000" without defects.
 * Source: City of Santa Ana, Sewer Rate Study (2014), quick rating pages; the letters
 * from memory. */
enum { HN_QUICK_RATING_TEXT = 5 };
void hn_quick_rating_write(const int count[6], char out[HN_QUICK_RATING_TEXT]);

typedef struct hn_quick_rating {
    int grade[2];          /* 0: none */
    int least[2], most[2]; /* count of each */
} hn_quick_rating;
/* 1 when the text is a quick rating, else 0. */
int hn_quick_rating_read(const char *text, hn_quick_rating *out);
/* Sum of grade x count of the two pairs, letters by their least count. */
int hn_quick_rating_score(const hn_quick_rating *rating);

#endif
