/* engineering/section_elliptic.h - lengths of elliptic arcs. */
#ifndef HN_ENGINEERING_SECTION_ELLIPTIC_H
#define HN_ENGINEERING_SECTION_ELLIPTIC_H

/* Perimeter of an ellipse of semi-axes a and b (any unit, same unit out), by
 * the arithmetic-geometric mean. Source: NIST Digital Library of Mathematical
 * Functions, 19.8.6 and 19.9.9 (equation numbers from memory). Range a, b > 0. */
double hn_ellipse_perimeter(double a, double b);

/* Length of the ellipse x = a cos t, y = b sin t from t = 0 to the height y in
 * [-b, b]; negative below 0: b E(asin(y/b) | 1 - a^2/b^2).
 * Source: B. C. Carlson, Numerical computation of real or complex elliptic
 * integrals, Numerical Algorithms 10 (1995) 13-26 (from memory). */
double hn_ellipse_arc_length(double a, double b, double y);

#endif
