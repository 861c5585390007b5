/* engineering/liner_wall.h - wall of a flexible liner in a circular gravity
 * host, after ASTM F1216 Appendix X1.
 *
 * One call gives every intermediate, so that a design sheet and a batch run
 * print the same numbers. No allocation and no state: it is called millions of
 * times. Inside: mm, MPa, m, kN/m3. Equation numbers are those of
 * docs/engineering/liner_walls.md.
 *
 * Source: M. Najafi, Trenchless Technology Piping: Installation and Inspection,
 * McGraw-Hill 2010 (author and year from memory), Sec. 2.7, pp. 75-83. Section
 * numbers X1.1 to X1.4 and the SI constants: from memory.
 */
#ifndef HN_ENGINEERING_LINER_WALL_H
#define HN_ENGINEERING_LINER_WALL_H

/* F1216-07b (June 2007) moved the ovality factor C under the root of X1.3.
 * Source: No-Dig 2008 paper "CIPP liner thickness changes under F1216-07b",
 * abstract; form before: from memory. */
typedef enum hn_liner_era { HN_LINER_SINCE_2007B, HN_LINER_BEFORE_2007B } hn_liner_era;

/* The rounded constants of the two unit editions differ by up to 0.2 %. US: 0.433
 * psi/ft and 62.4 lb/ft3, 0.065 per ft, 0.093 psi (read). SI: 9.81 kN/m3, 0.213
 * per m, 0.00064 MPa (from memory). */
typedef enum hn_liner_constants { HN_LINER_SI, HN_LINER_US } hn_liner_constants;

typedef enum hn_liner_status {
    HN_LINER_DESIGNED,    /* required_mm holds */
    HN_LINER_UNKNOWN,     /* an input that decides is missing (NaN) */
    HN_LINER_REFER,       /* ovality above 10 %: not designed here */
    HN_LINER_OUT_OF_RANGE /* an input makes no sense, or the wall would fill the bore */
} hn_liner_status;

typedef enum hn_liner_governs {
    HN_LINER_GOVERNS_NONE, /* no equation asks for a wall (dry, partially deteriorated) */
    HN_LINER_GOVERNS_E1,   /* buckling under groundwater */
    HN_LINER_GOVERNS_E2,   /* bending of an oval liner */
    HN_LINER_GOVERNS_E3,   /* buckling under soil, water and traffic */
    HN_LINER_GOVERNS_E4    /* minimum stiffness */
} hn_liner_governs;

typedef struct hn_liner_wall_input {
    double diameter_mm;                /* mean inside diameter of the host, circular */
    double ovality_pct;                /* 100 (Dmax - Dmean) / Dmean; designed up to 10 */
    double modulus_short_mpa;          /* flexural, short term (E4) */
    double modulus_long_mpa;           /* flexural, long term (E1, E3) */
    double strength_long_mpa;          /* flexural, long term (E2) */
    double poisson;                    /* 0.30 usual */
    double enhancement;                /* K, 7 usual; less when the liner is not snug */
    double safety;                     /* N, 2.0 usual */
    double groundwater_above_invert_m; /* head for E1 and E2; below 0 counts as 0 */
    double groundwater_above_crown_m;  /* head for E3; below 0 counts as 0 */
    double cover_m;                    /* soil above the crown */
    double soil_weight_kn_per_m3;      /* total weight */
    double soil_modulus_mpa;           /* modulus of soil reaction E's */
    double live_load_mpa;              /* traffic pressure at the crown */
    int fully_deteriorated;            /* 0: the host still carries soil and traffic */
    hn_liner_era era;
    hn_liner_constants constants;
} hn_liner_wall_input;

typedef struct hn_liner_wall {
    hn_liner_status status;
    hn_liner_governs governs;
    double ovality_factor;     /* C, E5 */
    double buoyancy;           /* Rw, E7 */
    double elastic_support;    /* B', E6 */
    double total_load_mpa;     /* qt, E8 */
    double water_pressure_mpa; /* P at the invert */
    double t_e1_mm, t_e2_mm, t_e3_mm, t_e4_mm;
    double required_mm; /* NaN unless designed; 0 when nothing governs */
} hn_liner_wall;

/* Wall by all four equations and the one that governs. Partially deteriorated:
 * max(E1, E2). Fully deteriorated: max(E1, E2, E3, E4); E1 is never skipped.
 * Fields that could be computed are filled even when the status is not
 * "designed"; the others are NaN. Only for circular hosts: the caller keeps
 * other shapes away. */
hn_liner_wall hn_liner_wall_design(const hn_liner_wall_input *in);

/* Ovality factor, no unit, 1 for a round host.
 * E5: C = ((1 - q/100) / (1 + q/100)^2)^3. ovality_pct 0 to 10, else NaN. */
double hn_ovality_factor(double ovality_pct);

/* Coefficient of elastic support, 0.2 at the surface, towards 1 at depth.
 * E6: B' = 1 / (1 + 4 exp(-0.213 H)), H in m (0.065 per ft in the US form). */
double hn_elastic_support(double cover_m, hn_liner_constants constants);

/* The same by another formula, for large or shallow pipes.
 * E6 (Luscher): B' = 4 (H^2 + D H) / (1.5 (2H + D)^2).
 * Source: A. P. Moser, Buried Pipe Design, p. 113. */
double hn_elastic_support_luscher(double cover_m, double diameter_m);

/* The four walls, mm, in any set of consistent units (here mm and MPa).
 * E1: t = D / ((2 K EL C / (P N (1 - nu^2)))^(1/3) + 1); 0 without water.
 * E2: positive root of r t^2 + b t - a = 0 with r = S/(P N),
 *     a = 1.5 (q/100)(1 + q/100) D^2, b = 0.5 (1 + q/100) D; 0 for q = 0.
 * E3: t = D ((12/32) (N qt)^2 / (EL Rw B' E's C))^(1/3), C^2 before 07b.
 * E4: t = D / (E / (12 limit))^(1/3), limit 0.00064 MPa.
 * NaN when a number that the formula takes is missing, infinite or below its range. */
double hn_wall_e1_mm(const hn_liner_wall_input *in, double ovality_factor, double pressure_mpa);
double hn_wall_e2_mm(const hn_liner_wall_input *in, double pressure_mpa);
double hn_wall_e3_mm(const hn_liner_wall_input *in, const hn_liner_wall *loads);
double hn_wall_e4_mm(const hn_liner_wall_input *in);

/* The three terms of E2 and its positive root, for a sheet that shows the steps. */
typedef struct hn_e2_terms {
    double r;     /* S / (P N) */
    double a_mm2; /* 1.5 (q/100)(1 + q/100) D^2 */
    double b_mm;  /* 0.5 (1 + q/100) D */
} hn_e2_terms;

hn_e2_terms hn_wall_e2_terms(const hn_liner_wall_input *in, double pressure_mpa);
double hn_wall_e2_root_mm(const hn_e2_terms *terms);

/* Long-term modulus, MPa: retention x short-term modulus. retention 0 to 1, 0.5
 * usual, up to 0.75 by test. Source: Najafi 2010, pp. 77 and 87. */
double hn_long_term_modulus_mpa(double modulus_short_mpa, double retention);

/* Groundwater pressure in MPa that E1 allows for a wall of thickness_mm:
 * P = 2 K EL/(1 - nu^2) C/N / (D/t - 1)^3. The inverse of E1. */
double hn_buckling_pressure_mpa(const hn_liner_wall_input *in, double thickness_mm);

/* Next wall the method is made in, mm: required rounded up to a whole number of
 * steps, not below min_mm. step_mm = 0: no rounding. NaN in, NaN out; a
 * thousandth of a micrometre above a step does not cost a whole step. */
double hn_round_up_wall(double required_mm, double min_mm, double step_mm);

/* "E1", "E2", "E3b" ("E3a" before 07b), "E4" or "none"; static texts. */
const char *hn_liner_governs_name(hn_liner_governs governs, hn_liner_era era);
const char *hn_liner_status_name(hn_liner_status status);

#endif
