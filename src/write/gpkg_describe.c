/* write/gpkg_describe.c - what the columns mean, and where the file comes from.
 *
 * GDAL 3.6 keeps neither titles nor descriptions of columns, and the column
 * table it makes allows a name once per file only; so these tables are ours.
 * Source: OGC 12-128r15 (GeoPackage 1.2.1), annex F.8 (metadata) and F.9
 * (schema). */
#include "write/gpkg_layer.h"

#include "base/alloc.h"

#include <string.h>

static const char schema_tables[] =
    "CREATE TABLE gpkg_data_columns (table_name TEXT NOT NULL, column_name TEXT NOT NULL,"
    " name TEXT, title TEXT, description TEXT, mime_type TEXT, constraint_name TEXT,"
    " CONSTRAINT pk_gdc PRIMARY KEY (table_name, column_name),"
    " CONSTRAINT gdc_tn UNIQUE (table_name, name));"
    "CREATE TABLE gpkg_data_column_constraints (constraint_name TEXT NOT NULL,"
    " constraint_type TEXT NOT NULL, value TEXT, min NUMERIC, min_is_inclusive BOOLEAN,"
    " max NUMERIC, max_is_inclusive BOOLEAN, description TEXT,"
    " CONSTRAINT gdcc_ntv UNIQUE (constraint_name, constraint_type, value));";

static const char metadata_tables[] =
    "CREATE TABLE gpkg_metadata (id INTEGER CONSTRAINT m_pk PRIMARY KEY ASC NOT NULL,"
    " md_scope TEXT NOT NULL DEFAULT 'dataset', md_standard_uri TEXT NOT NULL,"
    " mime_type TEXT NOT NULL DEFAULT 'text/xml', metadata TEXT NOT NULL DEFAULT '');"
    "CREATE TABLE gpkg_metadata_reference (reference_scope TEXT NOT NULL, table_name TEXT,"
    " column_name TEXT, row_id_value INTEGER,"
    " timestamp DATETIME NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%fZ','now')),"
    " md_file_id INTEGER NOT NULL, md_parent_id INTEGER,"
    " CONSTRAINT crmr_mfi_fk FOREIGN KEY (md_file_id) REFERENCES gpkg_metadata(id),"
    " CONSTRAINT crmr_mpi_fk FOREIGN KEY (md_parent_id) REFERENCES gpkg_metadata(id));";

static const char extension_table[] =
    "CREATE TABLE IF NOT EXISTS gpkg_extensions (table_name TEXT, column_name TEXT,"
    " extension_name TEXT NOT NULL, definition TEXT NOT NULL, scope TEXT NOT NULL,"
    " CONSTRAINT ge_tce UNIQUE (table_name, column_name, extension_name));";

static const char extension_rows[] =
    "INSERT INTO gpkg_extensions VALUES"
    " ('gpkg_data_columns', NULL, 'gpkg_schema',"
    "  'http://www.geopackage.org/spec121/#extension_schema', 'read-write'),"
    " ('gpkg_data_column_constraints', NULL, 'gpkg_schema',"
    "  'http://www.geopackage.org/spec121/#extension_schema', 'read-write'),"
    " ('gpkg_metadata', NULL, 'gpkg_metadata',"
    "  'http://www.geopackage.org/spec121/#extension_metadata', 'read-write'),"
    " ('gpkg_metadata_reference', NULL, 'gpkg_metadata',"
    "  'http://www.geopackage.org/spec121/#extension_metadata', 'read-write');";

static int is_set(const char *text)
{
    return text && *text;
}

/* Map programs show `name` as the column's alias, so the title goes there; the
 * format wants it once per table, else the column's own name stands. */
static const char *alias_of(const hn_view *view, size_t column)
{
    const char *title = view->columns[column].title;

    if (!is_set(title))
        return view->columns[column].name;
    for (size_t c = 0; c < view->column_count; c++) {
        if (c == column)
            continue;
        if ((view->columns[c].title && strcmp(view->columns[c].title, title) == 0) ||
            strcmp(view->columns[c].name, title) == 0)
            return view->columns[column].name;
    }
    return title;
}

/* Where a closed list of values is met first: it gets its name from there, and
 * columns that share the list share the constraint. */
static void first_use(const hn_result_spec *spec, const hn_view_column *column,
                      const hn_view **first_view, const hn_view_column **first_column)
{
    for (size_t v = 0; v < spec->view_count; v++)
        for (size_t c = 0; c < spec->views[v]->column_count; c++)
            if (spec->views[v]->columns[c].codes == column->codes &&
                spec->views[v]->columns[c].code_count == column->code_count) {
                *first_view = spec->views[v];
                *first_column = &spec->views[v]->columns[c];
                return;
            }
}

static hn_status add_codes(sqlite3 *db, const char *constraint, const hn_view_column *column,
                           hn_error *err)
{
    hn_status rc = HN_OK;

    for (size_t i = 0; i < column->code_count && rc == HN_OK; i++)
        rc = hn_sql_run(db, err,
                        "INSERT OR IGNORE INTO gpkg_data_column_constraints"
                        " (constraint_name, constraint_type, value, description)"
                        " VALUES (%Q, 'enum', %Q, %Q)",
                        constraint, column->codes[i].value, column->codes[i].meaning);
    return rc;
}

static hn_status add_column(sqlite3 *db, const hn_result_spec *spec, const hn_view *view,
                            size_t index, hn_error *err)
{
    const hn_view_column *column = &view->columns[index], *first_column = NULL;
    const hn_view *first_view = NULL;
    const char *meaning = column->meaning ? column->meaning : "";
    char *constraint = NULL, *description = NULL;
    hn_status rc = HN_OK;

    description = is_set(column->unit) ? sqlite3_mprintf("%s (unit: %s)", meaning, column->unit)
                                       : sqlite3_mprintf("%s", meaning);
    HN_TRY_ALLOC(description);
    if (column->codes && column->code_count) {
        first_use(spec, column, &first_view, &first_column);
        constraint = sqlite3_mprintf("%s.%s", first_view->name, first_column->name);
        HN_TRY_ALLOC(constraint);
        if (first_column == column)
            HN_TRY(add_codes(db, constraint, column, err));
    }
    HN_TRY(hn_sql_run(db, err,
                      "INSERT INTO gpkg_data_columns (table_name, column_name, name, title,"
                      " description, constraint_name) VALUES (%Q, %Q, %Q, %Q, %Q, %Q)",
                      view->name, column->name, alias_of(view, index),
                      is_set(column->title) ? column->title : column->name, description,
                      constraint));
out:
    sqlite3_free(description);
    sqlite3_free(constraint);
    return rc;
}

static hn_status add_metadata(sqlite3 *db, const hn_result_spec *spec, hn_error *err)
{
    char moment[HN_GPKG_MOMENT];
    char *xml = hn_gpkg_metadata_xml(spec);
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(xml);
    hn_gpkg_moment(spec->as_of, moment);
    HN_TRY(hn_sql_run(db, err,
                      "INSERT INTO gpkg_metadata VALUES (1, 'dataset',"
                      " 'http://www.isotc211.org/2005/gmd', 'text/xml', %Q);"
                      "INSERT INTO gpkg_metadata_reference VALUES"
                      " ('geopackage', NULL, NULL, NULL, %Q, 1, NULL)",
                      xml, moment));
out:
    hn_free(xml);
    return rc;
}

hn_status hn_gpkg_describe(sqlite3 *db, const hn_result_spec *spec, hn_error *err)
{
    hn_status rc;

    HN_TRY(hn_sql_run(db, err, "%s", schema_tables));
    HN_TRY(hn_sql_run(db, err, "%s", metadata_tables));
    HN_TRY(hn_sql_run(db, err, "%s", extension_table));
    HN_TRY(hn_sql_run(db, err, "%s", extension_rows));
    for (size_t v = 0; v < spec->view_count; v++)
        for (size_t c = 0; c < spec->views[v]->column_count; c++)
            HN_TRY(add_column(db, spec, spec->views[v], c, err));
    HN_TRY(add_metadata(db, spec, err));
out:
    return rc;
}
