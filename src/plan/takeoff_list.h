/* plan/takeoff_list.h - the quantities of a piece of work, and the numbers
 * that counting them needs. Names are those of cost_items.csv, carbon.csv,
 * takeoff.csv and of the table `quantities`: an interface.
 */
#ifndef HN_PLAN_TAKEOFF_LIST_H
#define HN_PLAN_TAKEOFF_LIST_H

/* X(ID, "name", "title", "meaning", "unit", decimals) */
#define HN_TAKEOFF_LIST(X)                                                                         \
    X(LINING_M2, "lining_m2", "Lining area", "Inner face of the finished lining", "m2", 1)         \
    X(WALL_M3, "wall_m3", "Wall volume", "Volume of the wall of the lining, without grout", "m3", 2) \
    X(GROUT_M3, "grout_m3", "Grout", "Grout between host and lining, allowance included", "m3", 2) \
    X(GROUT_T, "grout_t", "Grout mass", "Mass of the grout", "t", 1)                               \
    X(GROUT_LIFTS, "grout_lifts", "Grout lifts", "Lifts, one upon the other", "", 0)               \
    X(GROUT_POURS, "grout_pours", "Grout pours", "Lifts times sections between bulkheads", "", 0)  \
    X(GROUT_VENTS, "grout_vents", "Vents", "Vents along the crown", "", 0)                         \
    X(GROUT_DELIVERIES, "grout_deliveries", "Deliveries", "Mixer trucks, or hand-mixed batches where no road lies above", "", 0) \
    X(GROUT_DAYS, "grout_days", "Grouting days", "Pours over the pours of a day: a lift waits until the one below has set", "days", 1) \
    X(RINGS, "rings", "Rings", "Frame rings", "", 0)                                               \
    X(PANELS, "panels", "Panels", "Panels between the rings", "", 0)                               \
    X(JOINTS_M, "joints_m", "Joints", "Joints along and around, to be sealed", "m", 1)             \
    X(NEW_PIPE_M, "new_pipe_m", "New pipe", "Length of new pipe", "m", 2)                          \
    X(DUG_M3, "dug_m3", "Dug", "Soil dug, solid", "m3", 1)                                         \
    X(BEDDING_M3, "bedding_m3", "Bedding", "Bedding and surround", "m3", 1)                        \
    X(BACKFILL_M3, "backfill_m3", "Backfill", "Backfill above the surround", "m3", 1)              \
    X(IMPORTED_M3, "imported_m3", "Imported fill", "Part of the backfill that is brought", "m3", 1) \
    X(SPOIL_M3, "spoil_m3", "Spoil", "Soil taken away, loose", "m3", 1)                            \
    X(SHORING_M2, "shoring_m2", "Shoring", "Both faces of the trench", "m2", 1)                    \
    X(PAVEMENT_M2, "pavement_m2", "Pavement", "Pavement broken up and laid again", "m2", 1)        \
    X(DRAINED_M, "drained_m", "Drained trench", "Length with groundwater above the bottom of the trench", "m", 1) \
    X(CREW_DAYS, "crew_days", "Crew days", "Length over the usual output of a day", "days", 1)     \
    X(BYPASS_DAYS, "bypass_days", "Bypass days", "Days on which the flow is pumped past, those of grouting included", "days", 1)

/* X(field, "unit", low, high): each is a row of takeoff.csv */
#define HN_TAKEOFF_PARAMS(X)                         \
    X(size_tolerance_share, "share", 0, 0.2)         \
    X(capacity_allowance_share, "share", 0, 0.9)     \
    X(least_velocity_m_per_s, "m/s", 0.1, 3)         \
    X(bedding_m, "m", 0, 2)                          \
    X(surround_m, "m", 0, 2)                         \
    X(pavement_m, "m", 0, 2)                         \
    X(pavement_extra_m, "m", 0, 2)                   \
    X(shored_from_m, "m", 0, 10)                     \
    X(reuse_share, "share", 0, 1)                    \
    X(bulking, "-", 1, 2)                            \
    X(grout_kn_per_m3, "kN/m3", 5, 25)               \
    X(liner_kn_per_m3, "kN/m3", 5, 80)               \
    X(grouting_safety, "-", 1, 10)                   \
    X(grout_pump_kpa, "kPa", 0, 500)                 \
    X(inside_pressure_kpa, "kPa", 0, 500)            \
    X(grout_section_m, "m", 1, 2000)                 \
    X(vent_spacing_m, "m", 1, 500)                   \
    X(pours_per_day, "1/day", 0.1, 50)               \
    X(truck_m3, "m3", 0.5, 20)                       \
    X(hand_batch_m3, "m3", 0.01, 5)                  \
    X(ring_spacing_m, "m", 0.05, 10)                 \
    X(ring_section_mm2, "mm2", 1, 1e6)               \
    X(panels_around, "-", 1, 1000)                   \
    X(panel_mm, "mm", 0.5, 500)                      \
    X(panel_strength_mpa, "MPa", 0.5, 1000)          \
    X(panel_modulus_mpa, "MPa", 10, 300000)          \
    X(host_wall_share, "share", 0.01, 0.5)           \
    X(host_modulus_mpa, "MPa", 100, 300000)          \
    X(grout_modulus_mpa, "MPa", 100, 100000)         \
    X(grout_rupture_mpa, "MPa", 0.1, 50)             \
    X(lateral_ratio, "-", 0, 1)

#endif
