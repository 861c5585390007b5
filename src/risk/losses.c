#include "base/parallel.h"
#include "risk/risk.h"

typedef struct loss_job {
    hn_table *table;
    const hn_outlook *outlook;
    const hn_loss *loss;
} loss_job;

static void fill_rows(void *context, size_t begin, size_t end, int worker)
{
    loss_job *job = context;
    hn_table *t = job->table;

    (void)worker;
    for (size_t row = begin; row < end; row++) {
        double cost[HN_OUTLOOK_DRIVERS] = {hn_f64(t, HN_COL_CONSEQUENCE_MONEY, row),
                                           hn_f64(t, HN_COL_CONSEQUENCE_SERVICE, row),
                                           hn_f64(t, HN_COL_CONSEQUENCE_TIGHTNESS, row)};
        double horizon = 0.0;

        HN_F64(t, LOSS_NOW)[row] =
            hn_loss_of_year(job->loss, job->outlook, row, SIZE_MAX, 0, 0, cost);
        for (int d = 0; d < HN_OUTLOOK_DRIVERS; d++)
            horizon += cost[d] * hn_loss_keep(job->loss, job->outlook, row, d, 0);
        HN_F32(t, LOSS_HORIZON)[row] = (float)horizon;
    }
}

hn_status hn_risk_losses(hn_table *table, const hn_outlook *outlook, const hn_loss *loss,
                         int threads, hn_error *err)
{
    loss_job job = {table, outlook, loss};
    hn_status rc = HN_OK;

    HN_TRY(hn_table_want(table, HN_COL_LOSS_NOW, err));
    HN_TRY(hn_table_want(table, HN_COL_LOSS_HORIZON, err));
    hn_parallel(threads, table->rows, fill_rows, &job);
out:
    return rc;
}
