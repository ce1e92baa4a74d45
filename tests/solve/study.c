/* SPDX-License-Identifier: MIT */
#include "study.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

Solution *
study_solve(const Circuit *circuit)
{
  GError *error = NULL;
  Solution *solution = solution_new(circuit, &error);
  if (solution == NULL)
    fail_msg("%s", error->message);
  return solution;
}

Study
study_new(const Document *document, bool locked_out, const ExpectedVariation *variation)
{
  GError *error = NULL;
  Study study = {.circuit = circuit_build(document, &(CircuitOptions){.locked_out = locked_out})};
  study.solution = study_solve(study.circuit);
  study.readings = expected_readings(study.circuit, study.solution, variation, &error);
  if (study.readings == NULL)
    fail_msg("%s", error->message);
  return study;
}

void
study_clear(Study *study)
{
  g_array_unref(study->readings);
  solution_free(study->solution);
  circuit_free(study->circuit);
}

const ExpectedReading *
study_find(const Study *study, const char *a, const char *b)
{
  for (guint i = 0; i < study->readings->len; i++) {
    const ExpectedReading *r = &g_array_index(study->readings, ExpectedReading, i);
    if (g_str_equal(r->a_name, a) && g_str_equal(r->b_name, b))
      return r;
  }
  fail_msg("no reading between %s and %s", a, b);
  return NULL;
}
