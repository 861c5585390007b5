#include "read/gdal_errors.h"

#include "read/source.h"

#include <cpl_conv.h>
#include <cpl_error.h>
#include <gdal.h>
#include <pthread.h>
#include <string.h>

static pthread_once_t registered = PTHREAD_ONCE_INIT;

/* Sheets always have their names in the first row: a plan maps by name. */
static void register_drivers(void)
{
    GDALAllRegister();
    CPLSetConfigOption("OGR_XLSX_HEADERS", "FORCE");
    CPLSetConfigOption("OGR_ODS_HEADERS", "FORCE");
}

/* One line, no blanks or full stop at its end, as our own messages are. */
static void keep_text(const char *text, char room[HN_ERROR_TEXT_MAX])
{
    size_t length;

    hn_source_shown(text, room, HN_ERROR_TEXT_MAX);
    for (char *c = room; *c; c++)
        if (*c == '\n' || *c == '\r' || *c == '\t')
            *c = ' ';
    for (length = strlen(room); length > 0 && strchr(" .", room[length - 1]); length--)
        room[length - 1] = '\0';
}

static void CPL_STDCALL keep(CPLErr severity, CPLErrorNum number, const char *text)
{
    hn_gdal_log *log = CPLGetErrorHandlerUserData();

    (void)number;
    if (severity >= CE_Failure) {
        if (log->failures++ == 0)
            keep_text(text, log->failure);
    } else if (severity == CE_Warning && log->warnings++ == 0) {
        keep_text(text, log->warning);
    }
}

void hn_gdal_log_forget(hn_gdal_log *log)
{
    log->failures = log->warnings = 0;
    log->failure[0] = log->warning[0] = '\0';
}

void hn_gdal_log_begin(hn_gdal_log *log)
{
    pthread_once(&registered, register_drivers);
    hn_gdal_log_forget(log);
    CPLPushErrorHandlerEx(keep, log);
}

void hn_gdal_log_end(void)
{
    CPLPopErrorHandler();
}

const char *hn_gdal_log_text(const hn_gdal_log *log)
{
    if (log->failures)
        return log->failure;
    return log->warnings ? log->warning : "no reason given";
}
