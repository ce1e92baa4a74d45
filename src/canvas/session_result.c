/* SPDX-License-Identifier: MIT */
/* What inspecting a snapshot gives, and what is said of it in words. */
#include "canvas/session.h"
#include <complex.h>

SessionResult *
session_result_new(const Document *document)
{
  SessionResult *result = g_new0(SessionResult, 1);
  g_atomic_ref_count_init(&result->references);
  result->inspection = inspection_new(document);
  const Inspection *inspection = result->inspection;
  if (inspection->solution != NULL)
    result->expected = expected_readings(inspection->circuit, inspection->solution,
                                         &expected_variation_default, NULL);
  const CircuitOptions locked = {.locked_out = true, .supply_scale = 1};
  result->locked_circuit = circuit_build(inspection->document, &locked);
  result->locked_solution = solution_new(result->locked_circuit, NULL);
  if (result->locked_solution != NULL)
    result->expected_locked = expected_readings(result->locked_circuit, result->locked_solution,
                                                &expected_variation_default, NULL);
  return result;
}

SessionResult *
session_result_ref(SessionResult *result)
{
  g_atomic_ref_count_inc(&result->references);
  return result;
}

void
session_result_unref(SessionResult *result)
{
  if (result == NULL || !g_atomic_ref_count_dec(&result->references))
    return;
  g_clear_pointer(&result->expected, g_array_unref);
  g_clear_pointer(&result->expected_locked, g_array_unref);
  g_clear_pointer(&result->locked_solution, solution_free);
  g_clear_pointer(&result->locked_circuit, circuit_free);
  g_clear_pointer(&result->inspection, inspection_free);
  g_free(result);
}

const Solution *
session_get_solution(Session *session)
{
  if (!session_is_fresh(session))
    return NULL;
  return session_get_energized(session) ? session_get_result(session)->inspection->solution
                                        : session_get_result(session)->locked_solution;
}

char *
session_dup_volts(Session *session, const char *device, const char *terminal)
{
  const Solution *solution = session_get_solution(session);
  if (sheet_is_exercise(document_sheet(session_get_document(session))))
    return g_strdup("not measured"); /* the student's meter tells */
  if (solution == NULL)
    return g_strdup("no reading");
  const Landing landing = {.device = (char *)(gintptr)device,
                           .terminal = (char *)(gintptr)terminal};
  guint node = circuit_node_of_landing(solution->circuit, &landing);
  if (node == G_MAXUINT)
    return g_strdup("no reading");
  Reading reading = solution_to_earth(solution, node);
  if (reading.state != READING_LIVE)
    return g_strdup(reading_state_word(reading.state));
  g_autofree char *volts = quantity_display(cabs(reading.volts), UNIT_VOLT, 4);
  return g_strdup_printf("%s to ground", volts);
}

char *
session_dup_selection_text(Session *session)
{
  const Document *document = session_get_document(session);
  guint n = session_get_selected_device_count(session), m;
  const guint32 *keys = session_get_selected_conductors(session, &m);
  if (n == 0 && m == 0)
    return g_strdup_printf("%u devices and %u conductors on this sheet. Nothing is selected.",
                           document_device_count(document), document_conductor_count(document));
  if (n == 1 && m == 0) {
    const Device *device = document_find_device(document, session_get_selected_devices(session)[0]);
    if (device == NULL)
      return g_strdup("");
    g_autofree char *rating =
        device->kind->rating_text != NULL ? device->kind->rating_text(device) : NULL;
    return g_strdup_printf("Selected: %s, %s%s%s", device_designation(device), device->kind->title,
                           rating != NULL ? ", " : "", rating != NULL ? rating : "");
  }
  if (n == 0 && m == 1) {
    const Conductor *conductor = document_find_conductor(document, keys[0]);
    g_autofree char *name = conductor != NULL ? conductor_dup_name(conductor) : g_strdup("");
    return g_strdup_printf("Selected: %s", name);
  }
  return g_strdup_printf("Selected: %u devices and %u conductors", n, m);
}
