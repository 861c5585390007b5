#include "write/xlsx_file.h"

#include "base/alloc.h"
#include "write/xlsx_sheet.h"
#include "write/zip_file.h"

#include <stdio.h>
#include <string.h>
#include <strings.h>

enum { SHEET_NAME = 32, MEMBER_NAME = 48 };

/* A sheet shows a part of a large view whatever its length, and zipping it is
 * the dearest part of the result: so it is a short one. Source: local rule. */
enum { LARGE_VIEW = 100000, LARGE_VIEW_ROWS = 5000 };

static const char xml_head[] = "<?xml version=\"1.0\" encoding=\"UTF-8\" standalone=\"yes\"?>\n";

typedef struct workbook {
    const hn_result_spec *spec;
    hn_zip *zip;
    char (*names)[SHEET_NAME]; /* of the views' sheets */
} workbook;

size_t hn_xlsx_rows(const hn_result_spec *spec, const hn_view *view)
{
    size_t most = HN_XLSX_MOST_ROWS;

    if (spec->xlsx_row_limit && spec->xlsx_row_limit < most)
        most = spec->xlsx_row_limit;
    if (spec->xlsx_row_limit && view->rows > LARGE_VIEW && most > LARGE_VIEW_ROWS)
        most = LARGE_VIEW_ROWS;
    return view->rows < most ? view->rows : most;
}

/* Sheet names are short, without []:*?/\ and apostrophes, and each is used
 * once in any case of its letters. */
static int is_taken(const workbook *book, size_t count, const char *name)
{
    if (strcasecmp(name, "readme") == 0)
        return 1;
    for (size_t i = 0; i < count; i++)
        if (strcasecmp(book->names[i], name) == 0)
            return 1;
    return 0;
}

static void name_sheet(workbook *book, size_t index)
{
    enum { STEM = 24 };
    char stem[STEM + 1], *name = book->names[index];

    snprintf(name, SHEET_NAME, "%.31s", book->spec->views[index]->name);
    for (char *c = name; *c; c++)
        if (strchr("[]:*?/\\'\"<>&", *c) || (unsigned char)*c < 0x20 || (unsigned char)*c > 0x7E)
            *c = '_';
    snprintf(stem, sizeof stem, "%.24s", name);
    for (unsigned i = 2; is_taken(book, index, name); i++)
        snprintf(name, SHEET_NAME, "%s_%u", stem, i % 100000);
}

static hn_status end_member(workbook *book, hn_error *err)
{
    return hn_zip_end(book->zip, err);
}

static hn_status put_content_types(workbook *book, hn_error *err)
{
    hn_out *out;
    hn_status rc = hn_zip_begin(book->zip, "[Content_Types].xml", &out, err);

    if (rc != HN_OK)
        return rc;
    hn_put_text(out, xml_head);
    hn_put_text(out,
                "<Types xmlns=\"http://schemas.openxmlformats.org/package/2006/content-types\">"
                "<Default Extension=\"rels\" ContentType=\"application/vnd.openxmlformats-package."
                "relationships+xml\"/><Default Extension=\"xml\" ContentType=\"application/xml\"/>"
                "<Override PartName=\"/xl/workbook.xml\" ContentType=\"application/vnd."
                "openxmlformats-officedocument.spreadsheetml.sheet.main+xml\"/>"
                "<Override PartName=\"/xl/styles.xml\" ContentType=\"application/vnd."
                "openxmlformats-officedocument.spreadsheetml.styles+xml\"/>");
    for (size_t i = 0; i <= book->spec->view_count; i++) {
        hn_put_text(out, "<Override PartName=\"/xl/worksheets/sheet");
        hn_put_int(out, (int64_t)i + 1);
        hn_put_text(out, ".xml\" ContentType=\"application/vnd.openxmlformats-officedocument."
                         "spreadsheetml.worksheet+xml\"/>");
    }
    hn_put_text(out, "</Types>");
    return end_member(book, err);
}

static hn_status put_package_links(workbook *book, hn_error *err)
{
    hn_out *out;
    hn_status rc = hn_zip_begin(book->zip, "_rels/.rels", &out, err);

    if (rc != HN_OK)
        return rc;
    hn_put_text(out, xml_head);
    hn_put_text(out,
                "<Relationships xmlns=\"http://schemas.openxmlformats.org/package/2006/"
                "relationships\"><Relationship Id=\"rId1\" Type=\"http://schemas.openxmlformats."
                "org/officeDocument/2006/relationships/officeDocument\" Target=\"xl/workbook.xml\""
                "/></Relationships>");
    return end_member(book, err);
}

/* Sheet i has the link rId(i + 1); the styles come last. */
static hn_status put_workbook_links(workbook *book, hn_error *err)
{
    hn_out *out;
    hn_status rc = hn_zip_begin(book->zip, "xl/_rels/workbook.xml.rels", &out, err);

    if (rc != HN_OK)
        return rc;
    hn_put_text(out, xml_head);
    hn_put_text(out, "<Relationships xmlns=\"http://schemas.openxmlformats.org/package/2006/"
                     "relationships\">");
    for (size_t i = 1; i <= book->spec->view_count + 2; i++) {
        const int is_sheet = i <= book->spec->view_count + 1;

        hn_put_text(out, "<Relationship Id=\"rId");
        hn_put_int(out, (int64_t)i);
        hn_put_text(out, "\" Type=\"http://schemas.openxmlformats.org/officeDocument/2006/"
                         "relationships/");
        hn_put_text(out, is_sheet ? "worksheet\" Target=\"worksheets/sheet" : "styles\" Target=\"");
        if (is_sheet)
            hn_put_int(out, (int64_t)i);
        hn_put_text(out, is_sheet ? ".xml\"/>" : "styles.xml\"/>");
    }
    hn_put_text(out, "</Relationships>");
    return end_member(book, err);
}

static hn_status put_workbook(workbook *book, hn_error *err)
{
    hn_out *out;
    hn_status rc = hn_zip_begin(book->zip, "xl/workbook.xml", &out, err);

    if (rc != HN_OK)
        return rc;
    hn_put_text(out, xml_head);
    hn_put_text(out, "<workbook xmlns=\"http://schemas.openxmlformats.org/spreadsheetml/2006/main\""
                     " xmlns:r=\"http://schemas.openxmlformats.org/officeDocument/2006/"
                     "relationships\"><sheets>");
    for (size_t i = 0; i <= book->spec->view_count; i++) {
        hn_put_text(out, "<sheet name=\"");
        hn_put_xml(out, i ? book->names[i - 1] : "readme");
        hn_put_text(out, "\" sheetId=\"");
        hn_put_int(out, (int64_t)i + 1);
        hn_put_text(out, "\" r:id=\"rId");
        hn_put_int(out, (int64_t)i + 1);
        hn_put_text(out, "\"/>");
    }
    hn_put_text(out, "</sheets></workbook>");
    return end_member(book, err);
}

static hn_status put_styles(workbook *book, hn_error *err)
{
    hn_out *out;
    hn_status rc = hn_zip_begin(book->zip, "xl/styles.xml", &out, err);

    if (rc != HN_OK)
        return rc;
    hn_xlsx_put_styles(out);
    return end_member(book, err);
}

static void begin_row(hn_out *out, size_t row)
{
    hn_put_text(out, "<row r=\"");
    hn_put_int(out, (int64_t)row);
    hn_put_text(out, "\">");
}

static void put_readme_view(hn_out *out, const workbook *book, size_t index, size_t row)
{
    const hn_view *view = book->spec->views[index];
    const size_t rows = hn_xlsx_rows(book->spec, view);
    const int has_csv = hn_result_has_csv(book->spec, view);
    char note[300] = "all rows";

    if (rows < view->rows)
        snprintf(note, sizeof note, "cut at %zu rows; the whole table is in %s%.200s%s", rows,
                 has_csv ? "tables/" : "result.gpkg, table ", view->name, has_csv ? ".csv" : "");
    begin_row(out, row);
    hn_xlsx_put_text(out, "A", row, HN_XLSX_TEXT, book->names[index]);
    hn_xlsx_put_text(out, "B", row, HN_XLSX_TEXT, view->title ? view->title : "");
    hn_xlsx_put_text(out, "C", row, HN_XLSX_TEXT, view->meaning ? view->meaning : "");
    hn_xlsx_put_int(out, "D", row, (int64_t)view->rows);
    hn_xlsx_put_int(out, "E", row, (int64_t)rows);
    hn_xlsx_put_text(out, "F", row, HN_XLSX_TEXT, note);
    hn_put_text(out, "</row>");
}

static hn_status put_readme(workbook *book, hn_error *err)
{
    static const char *const heads[] = {"sheet",         "title",         "what_it_is",
                                        "rows_of_table", "rows_of_sheet", "note"};
    hn_out *out;
    hn_status rc = hn_zip_begin(book->zip, "xl/worksheets/sheet1.xml", &out, err);

    if (rc != HN_OK)
        return rc;
    hn_xlsx_begin_sheet(out, 1);
    begin_row(out, 1);
    for (size_t i = 0; i < sizeof heads / sizeof *heads; i++)
        hn_xlsx_put_text(out, (char[]){(char)('A' + i), '\0'}, 1, HN_XLSX_HEAD, heads[i]);
    hn_put_text(out, "</row>");
    for (size_t i = 0; i < book->spec->view_count; i++)
        put_readme_view(out, book, i, i + 2);
    hn_xlsx_end_sheet(out);
    return end_member(book, err);
}

static hn_status put_sheets(workbook *book, hn_pace *pace, hn_error *err)
{
    hn_status rc = HN_OK;

    for (size_t i = 0; i < book->spec->view_count; i++) {
        const hn_view *view = book->spec->views[i];
        char member[MEMBER_NAME];
        hn_out *out;

        snprintf(member, sizeof member, "xl/worksheets/sheet%zu.xml", i + 2);
        HN_TRY(hn_zip_begin(book->zip, member, &out, err));
        HN_TRY(hn_xlsx_put_view(out, view, book->spec->xlsx_rows ? book->spec->xlsx_rows[i] : NULL,
                                hn_xlsx_rows(book->spec, view), pace, err));
        HN_TRY(end_member(book, err));
    }
out:
    return rc;
}

hn_status hn_xlsx_write(const char *path, const hn_result_spec *spec, hn_pace *pace, hn_error *err)
{
    workbook book = {.spec = spec};
    hn_status rc;

    book.names = hn_alloc(spec->view_count, sizeof *book.names);
    HN_TRY_ALLOC(book.names);
    for (size_t i = 0; i < spec->view_count; i++)
        name_sheet(&book, i);
    HN_TRY(hn_zip_open(&book.zip, path, err));
    HN_TRY(put_content_types(&book, err));
    HN_TRY(put_package_links(&book, err));
    HN_TRY(put_workbook(&book, err));
    HN_TRY(put_workbook_links(&book, err));
    HN_TRY(put_styles(&book, err));
    HN_TRY(put_readme(&book, err));
    HN_TRY(put_sheets(&book, pace, err));
    HN_TRY(hn_zip_close(book.zip, err));
out:
    hn_zip_free(book.zip);
    hn_free(book.names);
    return rc;
}
