/* run/table_columns.h - short ways to describe the columns of small tables. */
#ifndef HN_RUN_TABLE_COLUMNS_H
#define HN_RUN_TABLE_COLUMNS_H

#include "table/view.h"

#define HN_TEXT(name, title, meaning) {name, title, meaning, "", HN_VIEW_TEXT, 0, NULL, 0}
#define HN_WHOLE(name, title, meaning) {name, title, meaning, "", HN_VIEW_INT, 0, NULL, 0}
#define HN_MONEY(name, title, meaning) {name, title, meaning, "money", HN_VIEW_REAL, 2, NULL, 0}
#define HN_METRES(name, title, meaning) {name, title, meaning, "m", HN_VIEW_REAL, 1, NULL, 0}
#define HN_SHARE(name, title, meaning) {name, title, meaning, "0-1", HN_VIEW_REAL, 4, NULL, 0}
#define HN_COUNT_OF(columns) (sizeof(columns) / sizeof(columns)[0])

#endif
