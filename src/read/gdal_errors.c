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

static void CPL_STDCALL keep(CPLErr severity, CPLErrorNum number, const char *text)
{
    hn_gdal_log *log = CPLGetErrorHandlerUserData();

    (void)number;
    if (severity >= CE_Failure) {
        if (log->failures++ == 0)
            hn_source_shown(text, log->failure, sizeof log->failure);
    } else if (severity == CE_Warning && log->warnings++ == 0) {
        hn_source_shown(text, log->warning, sizeof log->warning);
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
