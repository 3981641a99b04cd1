/*
 * test_maturity_section.c: what is said of days to mid-bloom: who is named, who is not, and why. The rule of the calls has its
 * own tests in test_maturity.c.
 */
#include "../../src/report/claims.h"
#include "support/make_results.h"
#include "support/support.h"

#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))
enum { HYBRIDS = 8 };

typedef struct {
  const char *calls; /* a letter a hybrid: holds, shifts (capital: at once too), typical, cannot tell, none */
  const char *no_call;
  double slopes_p;
  bool once; /* one environment */
  const char *says, *not_says;
} said_case;

/* clang-format off */
static const said_case cases[] = {
    {"Httttttt", "", 0.01, false, "Days hold more than the others' do: ", "shift"},
    {"Sttttttt", "", 0.01, false, "Days shift more than the others' do: ", "Days hold"},
    {"HScctttt", "", 0.01, false, " it cannot be told.", "No proof"},
    {"Hshttttt", "", 0.01, false, "by chance: ", "Days shift"},
    {"Hshttttt", "", 0.01, false, " (holds); ", "cannot be told"},
    {"ccccccct", "", 0.4, false, "Of 7 of the 8 hybrids it cannot be told.", "Days hold"},
    {"tttttttt", "", 0.4, false, "so none is said to hold or to shift. They follow the others': ", "cannot be told"},
    {"nnnnnnnn", "fewer than six environments", 0.01, false, "No hybrid is called: fewer than six environments.", "Days"},
    {"nnnnnnnn", "", 0.01, true, "One environment: whether a hybrid holds its days or shifts them cannot be seen from it.", "called"},
};
/* clang-format on */

static cks_maturity_call call_of(char letter)
{
  return letter == 'h' || letter == 'H'   ? CKS_CALL_HOLDS
         : letter == 's' || letter == 'S' ? CKS_CALL_SHIFTS
         : letter == 't'                  ? CKS_CALL_TYPICAL
         : letter == 'c'                  ? CKS_CALL_CANNOT_TELL
                                          : CKS_CALL_NONE;
}

static void claims_when_hybrids_are_called_then_each_call_is_said_once(void **state)
{
  (void)state;
  for (size_t i = 0; i < COUNT(cases); i++) {
    made m;
    made_options options = made_usual();
    assert_int_equal(made_new(&m, &options), 0);
    cks_trait_result *t = &m.results->trait[0];
    cks_maturity_line line[HYBRIDS];
    for (size_t k = 0; k < HYBRIDS; k++)
      line[k] = (cks_maturity_line){
          .hybrid = (cks_id)k, .call = call_of(cases[i].calls[k]), .at_once = cases[i].calls[k] < 'a', .no_call = ""};
    cks_maturity maturity = {.no_call = cases[i].no_call, .n_hybrid = HYBRIDS, .n_environment = 6, .hybrid = line};
    cks_interaction interaction = {.why = "", .basis = "", .verdict = CKS_VERDICT_CANNOT_TELL};
    interaction.slopes_f = 2;
    interaction.slopes_num_df = 7;
    interaction.slopes_den_df = 28;
    interaction.slopes_p = cases[i].slopes_p;
    t->interaction = &interaction;
    t->maturity = cases[i].once ? NULL : &maturity;
    cks_draft draft = {.settings = &m.settings,
                       .trial = m.trial,
                       .results = m.results,
                       .findings = m.findings,
                       .arena = cks_arena_new()};
    const char *said = cks_claim_maturity(&draft, t);
    if (!strstr(said, cases[i].says)) fail_msg("case %zu: \"%s\" is not said in: \"%s\"", i, cases[i].says, said);
    if (strstr(said, cases[i].not_says)) fail_msg("case %zu: \"%s\" is said in: \"%s\"", i, cases[i].not_says, said);
    assert_null(strchr(said, '{'));
    cks_arena_free(draft.arena);
    made_free(&m);
  }
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(claims_when_hybrids_are_called_then_each_call_is_said_once),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
