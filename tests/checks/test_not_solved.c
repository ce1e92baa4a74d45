/* SPDX-License-Identifier: MIT */
/* A circuit that cannot be computed is never called sound: the checks get no solution and the
 * solver's reason, as inspection_new gives them when solving fails. */
#include "edit_script.h"

#include "checks/remedy.h"

/* All checks of a document without any solution. */
static GPtrArray *
inspect_unsolved(const char *base, const GError *error, const GError *closed_error)
{
  g_autoptr(Document) document = script_open("tests/data/checks", base);
  g_autoptr(Circuit) circuit = circuit_build(document, NULL);
  g_autoptr(Solution) drawn = error == NULL ? solution_new(circuit, NULL) : NULL;
  g_autoptr(GHashTable) remedies = remedy_table_new();
  GPtrArray *findings = g_ptr_array_new_with_free_func((GDestroyNotify)finding_free);
  CheckContext context = {.document = document,
                          .circuit = circuit,
                          .solution = drawn,
                          .closed_circuit = circuit,
                          .error = error,
                          .closed_error = closed_error,
                          .findings = findings,
                          .remedies = remedies};
  g_autoptr(Survey) survey = survey_new(&context);
  context.survey = survey;
  for (const Check *check = checks_table; check->name != NULL; check++)
    check->run(check, &context);
  return findings;
}

static const Finding *
find(const GPtrArray *findings)
{
  for (guint i = 0; i < findings->len; i++) {
    const Finding *finding = g_ptr_array_index(findings, i);
    if (strcmp(finding->check, "not-solved") == 0)
      return finding;
  }
  fail_msg("not-solved is not found");
  return NULL;
}

static bool
holds_place(const Finding *finding, const char *place)
{
  for (guint i = 0; i < finding->places->len; i++)
    if (strcmp(g_ptr_array_index(finding->places, i), place) == 0)
      return true;
  return false;
}

static void
test_as_drawn(void **state)
{
  (void)state;
  static const char *const bases[] = {"control-480", "motor-480", "panel-120",
                                      "delta-240",   "high-leg",  "two-wire"};
  g_autoptr(GError) error = g_error_new_literal(
      SOLVE_ERROR, SOLVE_ERROR_UNTRUSTED, "Backward error 1.5e-05 is above 1e-09. Look for this.");
  for (gsize i = 0; i < G_N_ELEMENTS(bases); i++) {
    g_autoptr(GPtrArray) findings = inspect_unsolved(bases[i], error, error);
    const Finding *finding = find(findings);
    assert_int_equal(finding->signal, SIGNAL_DANGER);
    assert_false(findings_sound(findings));
    assert_non_null(strstr(finding->message, "Backward error 1.5e-05 is above 1e-09."));
    assert_non_null(strstr(finding->remedy, "Look for this."));
    assert_true(holds_place(finding, "S1"));
  }
}

static void
test_everything_closed(void **state)
{
  (void)state;
  g_autoptr(GError) error =
      g_error_new_literal(SOLVE_ERROR, SOLVE_ERROR_MEMORY, "There is not enough memory");
  g_autoptr(GPtrArray) findings = inspect_unsolved("control-480", NULL, error);
  const Finding *finding = find(findings);
  assert_int_equal(finding->signal, SIGNAL_WARNING);
  assert_non_null(strstr(finding->message, "closed"));
  assert_true(holds_place(finding, "LD1"));
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_as_drawn),
      cmocka_unit_test(test_everything_closed),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
