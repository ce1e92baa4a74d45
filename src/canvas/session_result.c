/* SPDX-License-Identifier: MIT */
/* What inspecting a snapshot gives, and what is said of it in words. */
#include "base/language.h"
#include "canvas/session.h"
#include "solve/meter.h"
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

#define LEAST_VOLTS 0.05

char *
session_dup_volts(Session *session, const char *device, const char *terminal)
{
  const Solution *solution = session_get_solution(session);
  if (sheet_is_exercise(document_sheet(session_get_document(session))))
    return g_strdup(_("not measured")); /* the student's meter tells */
  if (solution == NULL)
    return g_strdup(_("no reading"));
  const Landing landing = {.device = (char *)(gintptr)device,
                           .terminal = (char *)(gintptr)terminal};
  guint node = circuit_node_of_landing(solution->circuit, &landing);
  if (node == G_MAXUINT)
    return g_strdup(_("no reading"));
  Reading reading = solution_to_earth(solution, node);
  if (reading.state != READING_LIVE)
    return g_strdup(reading_state_word(reading.state));
  /* No meter on site shows the millivolts along a ground. */
  double size = cabs(reading.volts) < LEAST_VOLTS ? 0 : cabs(reading.volts);
  g_autofree char *volts = quantity_display(size, UNIT_VOLT, 4);
  return g_strdup_printf(_("%s to ground"), volts);
}

/* Below this a clamp shows nothing (common practice, no source). */
#define CLAMP_AMPS 0.001

/* "0.42 A flows", "no current flows"; NULL: nothing is known. New string. *meaning: what it means
 * beside the volts, or untouched. */
static char *
current_text(Session *session, const Conductor *conductor, const char **meaning)
{
  const Document *document = session_get_document(session);
  const Solution *solution = sheet_is_exercise(document_sheet(document))
                                 ? NULL /* the student's clamp tells */
                                 : session_get_solution(session);
  MeterReading reading = {0};
  for (guint i = 0; solution != NULL && i < document_conductor_count(document); i++) {
    if (document_conductor(document, i) != conductor)
      continue;
    Owner owner = {.kind = OWNER_CONDUCTOR, .index = i};
    if (!meter_amps(solution->circuit, solution, owner, &reading, NULL))
      return NULL;
    const char *flow = session_get_flow_meaning(session, conductor, reading.value);
    if (flow != NULL)
      *meaning = flow;
    if (reading.state == METER_READS && reading.value < CLAMP_AMPS)
      return g_strdup(_("no current flows"));
    g_autofree char *amps = meter_reading_text(&reading);
    return g_strdup_printf(_("current %s"), amps);
  }
  return NULL;
}

char *
session_dup_conductor_text(Session *session, const Conductor *conductor)
{
  g_autofree char *name = conductor_dup_name(conductor);
  g_autofree char *from = landing_dup_name(&conductor->from);
  g_autofree char *to = landing_dup_name(&conductor->to);
  const char *colour = conductor_text(conductor, CONDUCTOR_COLOUR);
  g_autofree char *volts =
      session_dup_volts(session, conductor->from.device, conductor->from.terminal);
  const char *meaning = session_get_meaning(session, &conductor->from), *flow = NULL;
  g_autofree char *amps =
      session_get_energized(session) ? current_text(session, conductor, &flow) : NULL;
  GString *text = g_string_new(NULL);
  g_string_append_printf(text, _("%s, %s to %s"), name, from, to);
  if (*colour != '\0')
    g_string_append_printf(text, ", %s", colour);
  g_string_append_printf(text, "; %s", volts);
  if (amps != NULL)
    g_string_append_printf(text, ", %s", amps);
  if (meaning != NULL)
    g_string_append_printf(text, " (%s)", meaning);
  if (flow != NULL)
    g_string_append_printf(text, "; %s", flow);
  return g_string_free(text, FALSE);
}

/* So many terminals are read out; a status line holds no more. */
#define TERMINALS_TOLD 6

static char *
words_of_device(Session *session, const Device *device)
{
  g_autofree char *rating =
      device->kind->rating_text != NULL ? device->kind->rating_text(device) : NULL;
  GString *text = g_string_new(NULL);
  g_string_append_printf(text, _("Selected: %s, %s"), device_designation(device),
                         _(device->kind->title));
  if (rating != NULL)
    g_string_append_printf(text, ", %s", rating);
  guint n = session_get_energized(session) ? device_terminal_count(device) : 0;
  for (guint t = 0; t < MIN(n, TERMINALS_TOLD); t++) {
    const char *name = device_terminal(device, t)->name;
    g_autofree char *volts = session_dup_volts(session, device->id, name);
    g_string_append_printf(text, "%s%s: %s", t == 0 ? ". " : ", ", name, volts);
  }
  if (n > TERMINALS_TOLD)
    g_string_append(text, ", ...");
  return g_string_free(text, FALSE);
}

char *
session_dup_selection_text(Session *session)
{
  const Document *document = session_get_document(session);
  guint n = session_get_selected_device_count(session), m;
  const guint32 *keys = session_get_selected_conductors(session, &m);
  if (n == 0 && m == 0)
    return g_strdup_printf(_("%u devices and %u conductors on this sheet. Nothing is selected."),
                           document_device_count(document), document_conductor_count(document));
  if (n == 1 && m == 0) {
    const Device *device = document_find_device(document, session_get_selected_devices(session)[0]);
    if (device == NULL)
      return g_strdup("");
    return words_of_device(session, device);
  }
  if (n == 0 && m == 1) {
    const Conductor *conductor = document_find_conductor(document, keys[0]);
    if (conductor == NULL)
      return g_strdup("");
    g_autofree char *words = session_dup_conductor_text(session, conductor);
    return g_strdup_printf(_("Selected: %s"), words);
  }
  return g_strdup_printf(_("Selected: %u devices and %u conductors"), n, m);
}
