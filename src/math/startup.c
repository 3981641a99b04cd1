/* startup.c: the libraries' process-wide switches, set once; and the name of the dense algebra in use. */
#include <checkstrip/run.h>

#include <gsl/gsl_errno.h>

/* Declared by hand: the headers of OpenBLAS and of GSL both define CBLAS and do not mix. */
void openblas_set_num_threads(int n);
char *openblas_get_config(void);

void cks_startup(void)
{
  gsl_set_error_handler_off(); /* the default handler aborts; every status is read */
  openblas_set_num_threads(1); /* the same bytes whatever the machine's load */
}

const char *cks_math_library(void) { return openblas_get_config(); }
