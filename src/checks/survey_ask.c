/* SPDX-License-Identifier: MIT */
/* Questions to the survey: figures, names, texts. */
#include "checks/survey.h"

#include <math.h>
#include <string.h>

double
survey_between(const Survey *survey, guint a, guint b)
{
  if (survey->volts == NULL || a >= survey->n_nodes || b >= survey->n_nodes)
    return 0;
  Reading reading = solution_reading(survey->volts, a, b);
  double volts = cabs(reading.volts);
  return reading.state == READING_LIVE && isfinite(volts) ? volts : 0;
}

double
survey_to_earth(const Survey *survey, guint node)
{
  return survey_between(survey, node, 0);
}

static double
magnitude(Phasor amps)
{
  double size = cabs(amps);
  return isfinite(size) ? size : (double)INFINITY;
}

double
survey_join_amps(const Survey *survey, guint join)
{
  double most = NAN;
  for (guint i = 0; i < survey->n_amps; i++)
    most = fmax(most, magnitude(survey->amps[i]->join_amps[join])); /* fmax skips NAN */
  return most;
}

double
survey_conductor_amps(const Survey *survey, guint conductor)
{
  int impedance = survey->conductor_impedance[conductor];
  double most = NAN;
  if (impedance < 0 && survey->conductor_join[conductor] >= 0)
    return survey_join_amps(survey, (guint)survey->conductor_join[conductor]);
  for (guint i = 0; i < survey->n_amps && impedance >= 0; i++)
    most = fmax(most, magnitude(survey->amps[i]->impedance_amps[impedance]));
  return most;
}

const SurveyLead *
survey_lead(const Winding *winding, guint index)
{
  return &g_array_index(winding->leads, SurveyLead, index);
}

const Winding *
survey_winding(const Survey *survey, guint index)
{
  return &g_array_index(survey->windings, Winding, index);
}

double
survey_pair_volts(const Survey *survey, guint core)
{
  const SurveyCore *fed = &survey->cores[core];
  if (fed->feeding < 0)
    return 0;
  const Winding *winding = survey_winding(survey, (guint)fed->feeding);
  return survey_between(survey, survey_lead(winding, fed->high)->node,
                        survey_lead(winding, fed->low)->node);
}

double
survey_primary_amps(const Survey *survey, guint core)
{
  const SurveyCore *fed = &survey->cores[core];
  double rating = circuit_item(survey->context->circuit->cores, Core, core)->rating;
  if (fed->feeding < 0)
    return NAN;
  const Winding *winding = survey_winding(survey, (guint)fed->feeding);
  double volts = survey_lead(winding, fed->high)->volts - survey_lead(winding, fed->low)->volts;
  return volts > 0 ? rating / volts : (double)NAN;
}

int
survey_source_core(const Survey *survey, guint node)
{
  if (survey->root[node] == G_MAXUINT)
    return -1;
  int winding = survey->winding_of[survey->root[node]];
  return winding >= 0 ? (int)survey_winding(survey, (guint)winding)->core : -1;
}

static double
delivered(const Survey *survey, const Solution *solution, guint core)
{
  const GArray *segments = survey->context->circuit->segments;
  const GArray *list = survey->cores[core].secondaries;
  Phasor sum = 0;
  for (guint i = 0; i < list->len; i++) {
    guint winding = g_array_index(list, guint, i);
    for (guint s = survey_winding(survey, winding)->first_segment;
         s < segments->len && survey->segment_winding[s] == winding; s++) {
      const Segment *segment = circuit_item(segments, Segment, s);
      Reading reading = solution_reading(solution, segment->a, segment->b);
      if (reading.state == READING_LIVE)
        sum += reading.volts * conj(solution->segment_amps[s]);
    }
  }
  return cabs(sum);
}

double
survey_delivered(const Survey *survey, guint core)
{
  double most = 0;
  for (guint i = 0; i < survey->n_amps; i++)
    most = fmax(most, delivered(survey, survey->amps[i], core));
  return most;
}

double
survey_segment_amps(const Survey *survey, guint segment)
{
  double most = 0;
  for (guint i = 0; i < survey->n_amps; i++)
    most = fmax(most, magnitude(survey->amps[i]->segment_amps[segment]));
  return most;
}

const Device *
survey_device(const Survey *survey, guint node)
{
  const Circuit *circuit = survey->context->circuit;
  if (node >= survey->n_nodes || circuit->places[node].device == G_MAXUINT)
    return NULL;
  return document_device(survey->context->document, circuit->places[node].device);
}

const Terminal *
survey_terminal(const Survey *survey, guint node)
{
  const Device *device = survey_device(survey, node);
  return device != NULL ? device_terminal(device, survey->context->circuit->places[node].terminal)
                        : NULL;
}

bool
survey_flag(const Device *device, const char *field)
{
  const Value *value = device_value_named(device, field);
  return value != NULL && value->has_value && value->choice == 1;
}

bool
survey_class2(const Survey *survey, guint node)
{
  int core = node < survey->n_nodes ? survey_source_core(survey, node) : -1;
  return core >= 0 &&
         survey_flag(document_device(survey->context->document, survey->cores[core].device),
                     "class-2");
}

Rect
survey_outline_box(const Device *outline)
{
  Rect own = {0, 0, device_number_named(outline, "width", 0),
              device_number_named(outline, "height", 0)};
  return placement_apply_rect(outline->placement, own);
}

void
survey_sequences(const Solution *solution, const Motor *motor, double *positive, double *negative)
{
  Phasor ab = solution_reading(solution, motor->a, motor->b).volts;
  Phasor bc = solution_reading(solution, motor->b, motor->c).volts;
  Phasor ca = solution_reading(solution, motor->c, motor->a).volts;
  Phasor turn = CMPLX(-0.5, sqrt(3) / 2);
  *positive = cabs(ab + turn * bc + turn * turn * ca);
  *negative = cabs(ab + turn * turn * bc + turn * ca);
}

bool
survey_single_phased(const Solution *solution, const Motor *motor)
{
  double positive, negative;
  survey_sequences(solution, motor, &positive, &negative);
  double most = fmax(positive, negative);
  /* A lost line makes the two sequences nearly alike; unbalance keeps them far apart. */
  return most > 0.3 * motor->rated_volts && fmin(positive, negative) > 0.3 * most;
}

/* --- texts --- */

const char *
survey_keep(const Survey *survey, char *take_text)
{
  const char *kept = g_string_chunk_insert(survey->texts, take_text);
  g_free(take_text);
  return kept;
}

/* "75.00 VA" reads better as "75 VA": the digits behind the point that say nothing go. */
static void
trim_zeros(char *text)
{
  char *point = strchr(text, '.');
  if (point == NULL)
    return;
  char *end = point + 1 + strspn(point + 1, "0123456789");
  char *last = end;
  while (last[-1] == '0')
    last--;
  if (last[-1] == '.')
    last--;
  memmove(last, end, strlen(end) + 1);
}

const char *
survey_show(const Survey *survey, double value, Unit unit)
{
  char *text = quantity_display(value, unit, unit == UNIT_PERCENT ? 3 : 4);
  trim_zeros(text);
  return survey_keep(survey, text);
}

void
survey_split_advice(const Survey *survey, const char *text, const char *otherwise, const char **why,
                    const char **advice)
{
  const char *stop = g_strrstr(text, ". ");
  *why = stop == NULL ? text : survey_keep(survey, g_strndup(text, (gsize)(stop - text) + 1));
  *advice = stop == NULL ? otherwise : survey_keep(survey, g_strdup(stop + 2));
}

const char *
survey_node_name(const Survey *survey, guint node)
{
  return survey_keep(survey, circuit_node_name(survey->context->circuit, node));
}

const char *
survey_device_name(const Survey *survey, guint device)
{
  if (device >= document_device_count(survey->context->document))
    return "";
  return document_device(survey->context->document, device)->id;
}

const char *
survey_owner_name(const Survey *survey, Owner owner)
{
  return survey_keep(survey, circuit_owner_name(survey->context->circuit, owner));
}

const char *
survey_conductor_name(const Survey *survey, guint conductor)
{
  return survey_keep(survey,
                     conductor_dup_name(document_conductor(survey->context->document, conductor)));
}

const char *
survey_size(const Survey *survey, Quantity size)
{
  return survey_keep(survey, quantity_format(size));
}
