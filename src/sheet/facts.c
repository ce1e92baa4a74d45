/* SPDX-License-Identifier: MIT */
#include "sheet/facts.h"

#include "base/language.h"
#include "tables/colours.h"

#include "diagram/document_file.h"
#include <math.h>
#include <string.h>

/* A meter on its lowest range shows nothing below this. */
#define METER_FLOOR_VOLTS 0.05

void
unused_lead_clear(UnusedLead *lead)
{
  g_free(lead->name);
  g_free(lead->common);
}

static char *
terminal_name(const Device *device, guint terminal)
{
  return g_strdup_printf("%s.%s", device->id, device_terminal(device, terminal)->name);
}

/* Volts of a terminal to another one of the same device, or to ground. */
static Reading
reading_of(const Inspection *inspection, guint device, guint a, int b)
{
  if (inspection->solution == NULL)
    return (Reading){.state = READING_UNDEFINED};
  const guint node = circuit_node(inspection->circuit, device, a);
  if (b < 0)
    return solution_to_earth(inspection->solution, node);
  return solution_reading(inspection->solution, node,
                          circuit_node(inspection->circuit, device, (guint)b));
}

char *
facts_volts(const Inspection *inspection, Reading reading)
{
  if (inspection->solution == NULL)
    return g_strdup(_("not solved"));
  if (reading.state == READING_FLOATING || reading.state == READING_UNDEFINED)
    return g_strdup(reading_state_word(reading.state));
  const double volts = cabs(reading.volts);
  if (reading.state == READING_DEAD || volts < METER_FLOOR_VOLTS)
    return g_strdup("0 V");
  return quantity_display(volts, UNIT_VOLT, volts < 100 ? 3 : 4);
}

struct Landings {
  const Document *document;
  GHashTable *ends; /* "T1.H2" -> GArray of guint: conductor index * 2, plus 1 for its `to` end */
};

static void
landings_add(Landings *landings, const Landing *landing, guint end)
{
  char *name = g_strdup_printf("%s.%s", landing->device, landing->terminal);
  GArray *ends = g_hash_table_lookup(landings->ends, name);

  if (ends == NULL) {
    ends = g_array_new(FALSE, FALSE, sizeof(guint));
    g_hash_table_insert(landings->ends, name, ends);
  } else {
    g_free(name);
  }
  g_array_append_val(ends, end);
}

Landings *
landings_new(const Document *document)
{
  Landings *landings = g_new0(Landings, 1);

  landings->document = document;
  landings->ends =
      g_hash_table_new_full(g_str_hash, g_str_equal, g_free, (GDestroyNotify)g_array_unref);
  for (guint i = 0; i < document_conductor_count(document); i++) {
    const Conductor *conductor = document_conductor(document, i);
    landings_add(landings, &conductor->from, 2 * i);
    landings_add(landings, &conductor->to, 2 * i + 1);
  }
  return landings;
}

void
landings_free(Landings *landings)
{
  if (landings == NULL)
    return;
  g_hash_table_unref(landings->ends);
  g_free(landings);
}

/* Adds where one conductor goes; true when that is a cap. */
static bool
append_landing(const Landings *landings, guint end, GString *text)
{
  const Conductor *conductor = document_conductor(landings->document, end / 2);
  const Landing *other = end % 2 == 0 ? &conductor->to : &conductor->from;
  const Device *there = document_find_device(landings->document, other->device);
  const char *number = conductor_text(conductor, CONDUCTOR_NUMBER);
  const bool cap = there != NULL && there->kind->role == ROLE_CAP;

  if (text->len > 0)
    g_string_append(text, "; ");
  if (cap)
    g_string_append_printf(text, _("capped (%s)"), other->device);
  else
    g_string_append_printf(text, "%s.%s", other->device, other->terminal);
  if (!cap && number[0] != '\0')
    g_string_append_printf(text, _(", wire %s"), number);
  return cap;
}

char *
facts_landed(const Landings *landings, const Device *device, guint terminal, bool *unused,
             bool *capped)
{
  g_autofree char *name = terminal_name(device, terminal);
  const GArray *ends = g_hash_table_lookup(landings->ends, name);
  GString *text = g_string_new(NULL);
  bool landed = false, in_cap = false;

  for (guint i = 0; ends != NULL && i < ends->len; i++) {
    if (append_landing(landings, g_array_index(ends, guint, i), text))
      in_cap = true;
    else
      landed = true;
  }
  if (text->len == 0)
    g_string_append(text, device_terminal(device, terminal)->flying ? _("NOT LANDED, NOT CAPPED")
                                                                    : _("not landed"));
  if (unused != NULL)
    *unused = !landed;
  if (capped != NULL)
    *capped = in_cap;
  return g_string_free(text, FALSE);
}

char *
facts_join_names(const GPtrArray *names)
{
  const guint shown = names->len > FACTS_MOST_NAMES + 1 ? FACTS_MOST_NAMES : names->len;
  GString *text = g_string_new(NULL);

  for (guint i = 0; i < shown; i++)
    g_string_append_printf(text, "%s%s", i > 0 ? ", " : "", (const char *)names->pdata[i]);
  if (shown < names->len)
    g_string_append_printf(text, _(" and %u more"), names->len - shown);
  return g_string_free(text, FALSE);
}

/* The common end of the winding a lead belongs to: its lead with the lowest nameplate volts. -1
 * when the device's rows do not say. */
static int
common_of(const Device *device, guint terminal)
{
  const PartKind *kind = device->kind;
  const int volts = field_index(kind->row_fields, kind->n_row_fields, "volts");
  const int winding = field_index(kind->row_fields, kind->n_row_fields, "winding");
  const int own = device_terminal(device, terminal)->row;
  int best = -1;
  double lowest = INFINITY;

  if (volts < 0 || winding < 0 || own < 0)
    return -1;
  g_autofree char *mine =
      value_dup_text(&device_row(device, (guint)own)[winding], &kind->row_fields[winding]);
  for (guint i = 0; i < device_terminal_count(device); i++) {
    const int row = device_terminal(device, i)->row;
    if (row < 0)
      continue;
    g_autofree char *theirs =
        value_dup_text(&device_row(device, (guint)row)[winding], &kind->row_fields[winding]);
    const double value = device_row_number(device, (guint)row, (guint)volts, NAN);
    if (g_strcmp0(mine, theirs) == 0 && value < lowest) {
      lowest = value;
      best = (int)i;
    }
  }
  return best;
}

GArray *
facts_unused_leads(const Inspection *inspection, const Landings *landings)
{
  const Document *document = inspection->document;
  GArray *leads = g_array_new(FALSE, FALSE, sizeof(UnusedLead));

  g_array_set_clear_func(leads, (GDestroyNotify)unused_lead_clear);
  for (guint d = 0; d < document_device_count(document); d++) {
    const Device *device = document_device(document, d);
    for (guint t = 0; t < device_terminal_count(device); t++) {
      bool unused = false, capped = false;
      if (!device_terminal(device, t)->flying)
        continue;
      g_free(facts_landed(landings, device, t, &unused, &capped));
      if (!unused)
        continue;
      const int common = common_of(device, t);
      const bool has_common = common >= 0 && (guint)common != t;
      const UnusedLead lead = {
          .device = d,
          .terminal = t,
          .capped = capped,
          .to_ground = reading_of(inspection, d, t, -1),
          .to_common = has_common ? reading_of(inspection, d, t, common)
                                  : (Reading){.state = READING_UNDEFINED},
          .name = terminal_name(device, t),
          .common = has_common ? terminal_name(device, (guint)common) : NULL,
      };
      g_array_append_val(leads, lead);
    }
  }
  return leads;
}

/* For each device whether locking out opens a pole of it. Free with g_free. */
static bool *
lockable_devices(const Inspection *inspection)
{
  const GArray *joins = inspection->circuit->joins;
  bool *lockable = g_new0(bool, MAX(document_device_count(inspection->document), 1));

  for (guint i = 0; i < joins->len; i++) {
    const Join *join = circuit_item(joins, Join, i);
    if (join->lockable && join->owner.kind == OWNER_DEVICE)
      lockable[join->owner.index] = true;
  }
  return lockable;
}

/* "DISC1: L1 277 V, L2 277 V", or NULL when nothing of it is live. New string. */
static char *
live_terminals(const Inspection *inspection, const Circuit *circuit, const Solution *solution,
               guint d)
{
  const Device *device = document_device(inspection->document, d);
  GString *text = g_string_new(NULL);

  for (guint t = 0; t < device_terminal_count(device); t++) {
    const Reading reading = solution_to_earth(solution, circuit_node(circuit, d, t));
    if (reading.state != READING_LIVE && reading.state != READING_FLOATING)
      continue;
    if (reading.state == READING_LIVE && cabs(reading.volts) < METER_FLOOR_VOLTS)
      continue;
    g_autofree char *volts = facts_volts(inspection, reading);
    if (text->len == 0)
      g_string_append_printf(text, "%s: ", device_designation(device));
    else
      g_string_append(text, ", ");
    g_string_append_printf(text, "%s %s", device_terminal(device, t)->name, volts);
  }
  if (text->len > 0)
    return g_string_free(text, FALSE);
  g_string_free(text, TRUE);
  return NULL;
}

GPtrArray *
facts_live_when_locked_out(const Inspection *inspection)
{
  GPtrArray *texts = g_ptr_array_new_with_free_func(g_free);
  const CircuitOptions options = {.locked_out = true};
  g_autoptr(Circuit) circuit = circuit_build(inspection->document, &options);
  g_autoptr(Solution) solution = solution_new(circuit, NULL);
  g_autofree bool *lockable = lockable_devices(inspection);

  for (guint d = 0; solution != NULL && d < document_device_count(inspection->document); d++) {
    const Device *device = document_device(inspection->document, d);
    if (device->kind->role != ROLE_SUPPLY && !lockable[d])
      continue;
    char *text = live_terminals(inspection, circuit, solution, d);
    if (text != NULL)
      g_ptr_array_add(texts, text);
  }
  return texts;
}

char *
facts_lockout_points(const Inspection *inspection)
{
  g_autoptr(GPtrArray) names = g_ptr_array_new();
  g_autofree bool *lockable = lockable_devices(inspection);

  for (guint d = 0; d < document_device_count(inspection->document); d++)
    if (lockable[d])
      g_ptr_array_add(
          names, (gpointer)(guintptr)device_designation(document_device(inspection->document, d)));
  return names->len > 0 ? facts_join_names(names) : NULL;
}

double
facts_highest_volts(const Inspection *inspection)
{
  const Document *document = inspection->document;
  double highest = 0;

  if (inspection->solution == NULL)
    return 0;
  /* Between terminals of one device: lines of a supply, leads of a transformer; and to ground. */
  for (guint d = 0; d < document_device_count(document); d++) {
    const int n = (int)device_terminal_count(document_device(document, d));
    for (int a = 0; a < n; a++)
      for (int b = -1; b < a; b++) {
        const Reading reading = reading_of(inspection, d, (guint)a, b);
        if (reading.state == READING_LIVE)
          highest = MAX(highest, cabs(reading.volts));
      }
  }
  return highest;
}

/* " H1: FU1.2, wire 101, to ground 277 V." */
static void
describe_terminal(const Inspection *inspection, const Landings *landings, guint d, guint t,
                  GString *text)
{
  const Device *device = document_device(inspection->document, d);
  g_autofree char *landed = facts_landed(landings, device, t, NULL, NULL);
  g_autofree char *volts = facts_volts(inspection, reading_of(inspection, d, t, -1));

  g_string_append_printf(text, _(" %s: %s, to ground %s."), device_terminal(device, t)->name,
                         landed, volts);
}

GHashTable *
facts_descriptions(const Inspection *inspection, const Landings *landings)
{
  GHashTable *descriptions = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, g_free);

  for (guint d = 0; d < document_device_count(inspection->document); d++) {
    const Device *device = document_device(inspection->document, d);
    GString *text = g_string_new(_(device->kind->title));
    g_autofree char *rating =
        device->kind->rating_text != NULL ? device->kind->rating_text(device) : NULL;
    if (rating != NULL)
      g_string_append_printf(text, ", %s", rating);
    g_string_append_c(text, '.');
    for (guint t = 0; t < device_terminal_count(device); t++)
      describe_terminal(inspection, landings, d, t, text);
    g_hash_table_insert(descriptions, g_strconcat("device-", device->id, NULL),
                        g_string_free(text, FALSE));
  }
  return descriptions;
}

char *
facts_digest(const Document *document)
{
  g_autoptr(GBytes) bytes = document_write_memory(document);
  g_autofree char *digest = g_compute_checksum_for_bytes(G_CHECKSUM_SHA256, bytes);
  return g_strndup(digest, 12);
}

char *
facts_finding_counts(const Inspection *inspection)
{
  guint counts[SIGNAL_NOTICE + 1] = {0};
  GString *text = g_string_new(NULL);

  for (guint i = 0; i < inspection->findings->len; i++)
    counts[((const Finding *)inspection->findings->pdata[i])->signal]++;
  for (int s = SIGNAL_DANGER; s <= SIGNAL_NOTICE; s++)
    if (counts[s] > 0)
      g_string_append_printf(text, "%s%u %s", text->len > 0 ? ", " : "", counts[s],
                             signal_word((Signal)s));
  if (text->len == 0)
    g_string_append(text, _("none"));
  return g_string_free(text, FALSE);
}

/* Volts of a lead to the common of its winding. New string. */
static char *
to_common_text(const Inspection *inspection, guint index, guint terminal)
{
  const int common = common_of(document_device(inspection->document, index), terminal);

  if (common < 0)
    return g_strdup("-");
  if ((guint)common == terminal)
    return g_strdup(_("common"));
  return facts_volts(inspection, reading_of(inspection, index, terminal, common));
}

Table *
facts_leads_table(const Inspection *inspection, const Landings *landings, guint index, bool brief)
{
  static const TableColumn columns[] = {{.title = N_("Lead")},
                                        {.title = N_("Colour")},
                                        {.title = N_("Landed")},
                                        {.title = N_("To ground"), .numeric = true},
                                        {.title = N_("To common"), .numeric = true},
                                        {.title = N_("Nameplate"), .numeric = true}};
  const Device *device = document_device(inspection->document, index);
  const PartKind *kind = device->kind;
  const int volts = field_index(kind->row_fields, kind->n_row_fields, "volts");
  const int colour = field_index(kind->row_fields, kind->n_row_fields, "colour");

  if (kind->role != ROLE_TRANSFORMER || volts < 0)
    return NULL;
  g_autofree char *rating = kind->rating_text != NULL ? kind->rating_text(device) : NULL;
  Table *table = table_new(
      rating != NULL ? g_strdup_printf(_("Leads of %s, %s"), device_designation(device), rating)
                     : g_strdup_printf(_("Leads of %s"), device_designation(device)),
      NULL, columns, brief ? 4 : G_N_ELEMENTS(columns));
  for (guint t = 0; t < device_terminal_count(device); t++) {
    const Terminal *terminal = device_terminal(device, t);
    if (terminal->row < 0)
      continue;
    const guint row = (guint)terminal->row;
    const char *shade = colour >= 0 ? device_row_text(device, row, (guint)colour) : "";
    table_add(table, g_strdup(terminal->name), wire_colour_text(shade),
              facts_landed(landings, device, t, NULL, NULL),
              facts_volts(inspection, reading_of(inspection, index, t, -1)),
              to_common_text(inspection, index, t),
              value_dup_text(&device_row(device, row)[volts], &kind->row_fields[volts]));
  }
  return table;
}
