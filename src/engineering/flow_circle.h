/* engineering/flow_circle.h - Manning flow in a part-full circle by its wetted
 * angle. The same answers as the general search of flow_depth.c, hundreds of
 * times faster; most sewers are circles.
 */
#ifndef HN_ENGINEERING_FLOW_CIRCLE_H
#define HN_ENGINEERING_FLOW_CIRCLE_H

/* With the wetted angle theta (0 to 2 pi), constant n:
 *   Q/Qfull = (theta - sin theta)^(5/3) / (2 pi theta^(2/3))
 * Source: geometry of the circle in Manning's formula; V. T. Chow, Open-Channel
 * Hydraulics (1959), ch. 6 (chapter from memory). */

/* Greatest flow with a free surface over the full flow, 1.0757, and its depth
 * over the diameter, 0.938: root of 3 theta - 5 theta cos theta + 2 sin theta. */
extern const double hn_circle_most_flow_ratio;
extern const double hn_circle_most_flow_depth;

/* Lower of the depths, over the diameter, at which a circle carries `ratio` of
 * its full flow; ratio from 0 to hn_circle_most_flow_ratio, NaN outside. */
double hn_circle_depth_of_flow(double ratio);

/* Wetted area over the full area at a depth over the diameter, 0 to 1. */
double hn_circle_area_share(double depth);

#endif
