/* SPDX-License-Identifier: MIT */
#include "checks/remedy.h"

#include "base/language.h"
#include "checks/wire.h"

#include <math.h>

/* How much of the wiring the closed variant closes. Everything is the honest question "what may
 * this wiring do"; but contacts that exclude one another (forward and reverse, auto and hand)
 * would short a supply that they never short in life, and the volts of such a solution tell
 * nothing. Then coil contacts follow their coils again, and at last switches stay as drawn. */
typedef enum { CLOSE_EVERYTHING, CLOSE_BUT_COIL_CONTACTS, CLOSE_PROTECTION, CLOSE_COUNT } Closing;

static Circuit *
build_closed(const Document *document, Closing closing)
{
  Circuit *circuit = circuit_build(document, NULL);
  for (guint i = 0; i < circuit->joins->len; i++) {
    Join *join = circuit_item(circuit->joins, Join, i);
    if (join->role == JOIN_CONDUCTOR)
      join->closed = survey_join_is_metal(document, join);
    bool switching = join->role == JOIN_CONTACT || join->role == JOIN_SWITCH;
    bool protection =
        join->role == JOIN_DISCONNECT || join->role == JOIN_BREAKER || join->role == JOIN_FUSE;
    if (!protection && (!switching || closing == CLOSE_PROTECTION))
      continue;
    if (join->coil >= 0 && closing != CLOSE_EVERYTHING)
      continue;
    join->closed = true;
    join->coil = -1;
  }
  return circuit;
}

static void
solve_closed(Inspection *inspection)
{
  bool drawn_short = inspection->solution != NULL &&
                     survey_circuit_shorted(inspection->circuit, inspection->solution->join_closed);
  for (Closing closing = CLOSE_EVERYTHING; closing < CLOSE_COUNT; closing++) {
    g_autoptr(Circuit) circuit = build_closed(inspection->document, closing);
    bool last = closing == CLOSE_COUNT - 1;
    g_autoptr(Solution) solution = solution_new(circuit, last ? &inspection->closed_error : NULL);
    bool good = solution != NULL &&
                (drawn_short || !survey_circuit_shorted(circuit, solution->join_closed));
    if (!good && !last)
      continue;
    inspection->closed_partly = closing != CLOSE_EVERYTHING;
    inspection->closed_circuit = g_steal_pointer(&circuit);
    inspection->closed_solution = g_steal_pointer(&solution);
    return;
  }
}

static bool
has_changeover(const Circuit *circuit)
{
  for (guint i = 0; i < circuit->joins->len; i++) {
    const Join *join = circuit_item(circuit->joins, Join, i);
    if (join->role == JOIN_CONTACT && join->coil >= 0 && join->closed)
      return true;
  }
  return false;
}

static void
solve_working(Inspection *inspection)
{
  if (inspection->closed_solution == NULL || inspection->closed_partly ||
      !has_changeover(inspection->circuit))
    return;
  inspection->working_circuit = build_closed(inspection->document, CLOSE_BUT_COIL_CONTACTS);
  inspection->working_solution = solution_new(inspection->working_circuit, NULL);
}

static Finding *
finding_copy(const Finding *finding)
{
  Finding *copy = finding_new(finding->check, finding->title, finding->signal, finding->source,
                              g_strdup(finding->message), g_strdup(finding->remedy), NULL);
  for (guint i = 0; i < finding->places->len; i++)
    finding_add_place(copy, "%s", (const char *)g_ptr_array_index(finding->places, i));
  return copy;
}

Inspection *
inspection_new(const Document *document)
{
  Inspection *inspection = g_new0(Inspection, 1);
  inspection->document = document_snapshot(document);
  inspection->language = language_now();
  inspection->circuit = circuit_build(inspection->document, NULL);
  inspection->solution = solution_new(inspection->circuit, &inspection->error);
  solve_closed(inspection);
  solve_working(inspection);
  inspection->findings = g_ptr_array_new_with_free_func((GDestroyNotify)finding_free);
  inspection->remedies = remedy_table_new();
  CheckContext context = {
      .document = inspection->document,
      .circuit = inspection->circuit,
      .solution = inspection->solution,
      .closed_circuit = inspection->closed_circuit,
      .closed_solution = inspection->closed_solution,
      .closed_partly = inspection->closed_partly,
      .working_solution = inspection->working_solution,
      .error = inspection->error,
      .closed_error = inspection->closed_error,
      .findings = inspection->findings,
      .remedies = inspection->remedies,
  };
  g_autoptr(Survey) survey = survey_new(&context);
  context.survey = survey;
  for (const Check *check = checks_table; check->name != NULL; check++)
    check->run(check, &context);
  const guint n_conductors = document_conductor_count(inspection->document);
  inspection->ampacities = g_new(double, n_conductors + 1);
  for (guint i = 0; i < n_conductors; i++)
    inspection->ampacities[i] = wire_ampacity(survey, i);
  for (guint i = 0; i < inspection->circuit->findings->len; i++)
    g_ptr_array_add(inspection->findings,
                    finding_copy(g_ptr_array_index(inspection->circuit->findings, i)));
  g_ptr_array_sort(inspection->findings, finding_compare);
  return inspection;
}

void
inspection_free(Inspection *inspection)
{
  if (inspection == NULL)
    return;
  g_clear_pointer(&inspection->remedies, g_hash_table_unref);
  g_clear_pointer(&inspection->ampacities, g_free);
  g_clear_pointer(&inspection->findings, g_ptr_array_unref);
  g_clear_pointer(&inspection->working_solution, solution_free);
  g_clear_pointer(&inspection->working_circuit, circuit_free);
  g_clear_pointer(&inspection->closed_solution, solution_free);
  g_clear_pointer(&inspection->closed_circuit, circuit_free);
  g_clear_pointer(&inspection->solution, solution_free);
  g_clear_pointer(&inspection->circuit, circuit_free);
  g_clear_pointer(&inspection->document, document_free);
  g_clear_error(&inspection->error);
  g_clear_error(&inspection->closed_error);
  g_free(inspection);
}
