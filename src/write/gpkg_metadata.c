/* write/gpkg_metadata.c - the metadata record that travels with the file.
 * Sources: ISO 19115:2003 (content), ISO/TS 19139:2007 (encoding), element
 * names from memory. What the plan does not say is marked as missing. */
#include "write/gpkg_layer.h"

#include "base/alloc.h"
#include "base/dates.h"
#include "write/text_out.h"

#include <stdio.h>

static void put_string(hn_out *out, const char *element, const char *text)
{
    hn_put_text(out, "<gmd:");
    hn_put_text(out, element);
    hn_put_text(out, "><gco:CharacterString>");
    hn_put_xml(out, text ? text : "");
    hn_put_text(out, "</gco:CharacterString></gmd:");
    hn_put_text(out, element);
    hn_put_text(out, ">\n");
}

static void put_code(hn_out *out, const char *element, const char *list, const char *value)
{
    char text[400];

    snprintf(text, sizeof text,
             "<gmd:%s><gmd:%s codeList=\"http://standards.iso.org/iso/19139/resources/"
             "gmxCodelists.xml#%s\" codeListValue=\"%s\">%s</gmd:%s></gmd:%s>\n",
             element, list, list, value, value, list, element);
    hn_put_text(out, text);
}

static void put_date(hn_out *out, int32_t as_of)
{
    hn_put_text(out, "<gco:Date>");
    hn_put_date(out, as_of);
    hn_put_text(out, "</gco:Date>");
}

static void put_reference_system(hn_out *out, int epsg)
{
    char code[24];

    if (epsg <= 0)
        return;
    snprintf(code, sizeof code, "EPSG:%d", epsg);
    hn_put_text(out, "<gmd:referenceSystemInfo><gmd:MD_ReferenceSystem>"
                     "<gmd:referenceSystemIdentifier><gmd:RS_Identifier>\n");
    put_string(out, "code", code);
    hn_put_text(out, "</gmd:RS_Identifier></gmd:referenceSystemIdentifier>"
                     "</gmd:MD_ReferenceSystem></gmd:referenceSystemInfo>\n");
}

/* The abstract lists the tables, as a person would ask for them. */
static void put_abstract(hn_out *out, const hn_result_spec *spec)
{
    hn_put_text(out, "<gmd:abstract><gco:CharacterString>");
    for (size_t v = 0; v < spec->view_count; v++) {
        const hn_view *view = spec->views[v];

        hn_put_text(out, v ? "\n" : "");
        hn_put_xml(out, view->name);
        hn_put_text(out, ": ");
        hn_put_xml(out, view->meaning ? view->meaning : "");
    }
    hn_put_text(out, "</gco:CharacterString></gmd:abstract>\n");
}

static void put_identification(hn_out *out, const hn_result_spec *spec)
{
    hn_put_text(out, "<gmd:identificationInfo><gmd:MD_DataIdentification>\n"
                     "<gmd:citation><gmd:CI_Citation>\n");
    put_string(out, "title", spec->title);
    hn_put_text(out, "<gmd:date><gmd:CI_Date><gmd:date>");
    put_date(out, spec->as_of);
    hn_put_text(out, "</gmd:date>\n");
    put_code(out, "dateType", "CI_DateTypeCode", "creation");
    hn_put_text(out, "</gmd:CI_Date></gmd:date>\n</gmd:CI_Citation></gmd:citation>\n");
    put_abstract(out, spec);
    put_string(out, "language", "eng");
    hn_put_text(out, "</gmd:MD_DataIdentification></gmd:identificationInfo>\n");
}

static void put_lineage(hn_out *out, const char *lineage)
{
    hn_put_text(out, "<gmd:dataQualityInfo><gmd:DQ_DataQuality>"
                     "<gmd:scope><gmd:DQ_Scope>\n");
    put_code(out, "level", "MD_ScopeCode", "dataset");
    hn_put_text(out, "</gmd:DQ_Scope></gmd:scope>\n"
                     "<gmd:lineage><gmd:LI_Lineage>\n");
    put_string(out, "statement", lineage);
    hn_put_text(out, "</gmd:LI_Lineage></gmd:lineage>\n"
                     "</gmd:DQ_DataQuality></gmd:dataQualityInfo>\n");
}

static void put_record(hn_out *out, const hn_result_spec *spec)
{
    hn_put_text(out, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
                     "<gmd:MD_Metadata xmlns:gmd=\"http://www.isotc211.org/2005/gmd\""
                     " xmlns:gco=\"http://www.isotc211.org/2005/gco\">\n");
    put_string(out, "language", "eng");
    put_code(out, "hierarchyLevel", "MD_ScopeCode", "dataset");
    hn_put_text(out, "<gmd:contact gco:nilReason=\"missing\"/>\n<gmd:dateStamp>");
    put_date(out, spec->as_of);
    hn_put_text(out, "</gmd:dateStamp>\n");
    put_string(out, "metadataStandardName", "ISO 19115:2003/19139");
    put_string(out, "metadataStandardVersion", "1.0");
    put_reference_system(out, spec->crs_epsg);
    put_identification(out, spec);
    put_lineage(out, spec->lineage);
    hn_put_text(out, "</gmd:MD_Metadata>\n");
    hn_put_char(out, '\0');
}

char *hn_gpkg_metadata_xml(const hn_result_spec *spec)
{
    hn_out out;

    if (!hn_out_init(&out, 4096, NULL, NULL))
        return NULL;
    put_record(&out, spec);
    if (!out.error)
        return out.data; /* the caller owns the buffer */
    hn_out_clear(&out);
    return NULL;
}
