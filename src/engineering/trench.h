/* engineering/trench.h - takeoff of an open-cut trench: width, volumes, shoring,
 * pavement. Metres throughout.
 */
#ifndef HN_ENGINEERING_TRENCH_H
#define HN_ENGINEERING_TRENCH_H

/* Least trench width at the bottom, m: the greater of two tables.
 * By pipe: outside + 0.40 up to DN 225, 0.50 to 350, 0.70 to 700, 0.85 to 1200,
 * 1.00 above (shored trench, or slope steeper than 60 degrees). By depth: 0.80
 * from 1.00 m, 0.90 above 1.75 m, 1.00 above 4.00 m.
 * inside_diameter_m stands for DN. Source: EN 1610, Tables 1 and 2, from memory. */
double hn_trench_least_width_m(double inside_diameter_m, double outside_diameter_m, double depth_m);

typedef struct hn_trench_input {
    double length_m;
    double inside_diameter_m, outside_diameter_m;
    double cover_m;          /* ground to crown of the pipe */
    double bedding_m;        /* below the pipe */
    double surround_m;       /* bedding material above the crown */
    double width_m;          /* at the bottom; NaN: the least width */
    double slope;            /* sides, horizontal per vertical; 0: upright */
    double shored_from_m;    /* upright trenches at least this deep are shored */
    double pavement_extra_m; /* cut back on each side of the trench */
    double pavement_m;       /* thickness of pavement, not counted as spoil */
    double reuse_share;      /* of the dug soil that may be put back, 0 to 1 */
    double bulking;          /* loose / solid volume, 1.25 usual (local rule) */
    double water_depth_m;    /* ground to groundwater; NaN: not known */
} hn_trench_input;

typedef struct hn_trench {
    double depth_m, width_m, top_width_m;
    double dug_m3;      /* solid, below the pavement */
    double pipe_m3;     /* the new pipe, outside */
    double bedding_m3;  /* bedding and surround */
    double backfill_m3; /* above the surround, up to the pavement */
    double imported_m3; /* part of the backfill that must be brought */
    double spoil_m3;    /* loose, taken away */
    double shoring_m2;  /* both faces; 0 when none is needed */
    double pavement_m2;
    double drained_m; /* length with water above the trench bottom; NaN: not known */
} hn_trench;

/* shored_from_m usual: protection from 5 ft. Source: 29 CFR 1926.652(a), from
 * memory. */
#define HN_TRENCH_SHORED_FROM_M 1.524

/* Volumes and areas of a straight trench with level ground. All fields NaN when an
 * input that counts is NaN or out of range; a trench too shallow for its own
 * pavement and surround is out of range.
 * Source: geometry; the split of volumes is a local rule. */
hn_trench hn_trench_takeoff(const hn_trench_input *in);

#endif
