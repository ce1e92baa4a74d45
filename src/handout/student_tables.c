/* SPDX-License-Identifier: MIT */
/* The student sheet's tables. Places are named as they are labelled: an id that the drawing does
 * not show would tell two devices of one designation apart. */
#include "handout/student.h"

#include "base/language.h"
#include "sheet/facts.h"
#include "tables/colours.h"

#include <string.h>

#define BLANK 17.0 /* mm for a value written by hand */

/* "T1.H2", "GND" for earth. New string. */
static char *
name_of(const Document *document, const Landing *landing)
{
  const Device *device =
      landing->device != NULL ? document_find_device(document, landing->device) : NULL;

  if (device == NULL)
    return g_strdup("GND");
  return g_strdup_printf("%s.%s", device_designation(device), landing->terminal);
}

/* --- points --- */

typedef struct {
  const Document *document;
  Table *table;
  GHashTable *seen; /* "A|B": pairs listed */
} Points;

static void
add_point(Points *points, const Landing *a, const Landing *b, const char *what)
{
  g_autofree char *one = landing_dup_name(a), *two = landing_dup_name(b);
  const bool ordered = strcmp(one, two) < 0;
  char *key = g_strjoin("|", ordered ? one : two, ordered ? two : one, NULL);

  if (strcmp(one, two) == 0 || !g_hash_table_add(points->seen, key))
    return;
  g_autofree char *from = name_of(points->document, a), *to = name_of(points->document, b);
  table_add(points->table, g_strdup_printf(_("%s to %s"), from, to), NULL, NULL, NULL, NULL,
            g_strdup(what));
}

static Landing
landing_at(const Device *device, int terminal)
{
  if (terminal == PROBE_EARTH)
    return (Landing){NULL, NULL};
  return (Landing){device->id, (char *)(guintptr)device_terminal(device, (guint)terminal)->name};
}

static bool
goes_to_cap(const Document *document, const Device *device, guint terminal)
{
  const Landing here = landing_at(device, (int)terminal);

  for (guint i = 0; i < document_conductor_count(document); i++) {
    const Conductor *conductor = document_conductor(document, i);
    const Landing *other = landing_equal(&conductor->from, &here) ? &conductor->to
                           : landing_equal(&conductor->to, &here) ? &conductor->from
                                                                  : NULL;
    const Device *there = other != NULL && other->device != NULL
                              ? document_find_device(document, other->device)
                              : NULL;
    if (there != NULL && there->kind->role == ROLE_CAP)
      return true;
  }
  return false;
}

/* The kind's probes, then leads that are not in use to ground: they may be live. */
static void
add_device_points(Points *points, const Device *device, GArray *probes)
{
  const Landing earth = {NULL, NULL};

  g_array_set_size(probes, 0);
  if (device->kind->probes != NULL)
    device->kind->probes(device, probes);
  for (guint i = 0; i < probes->len; i++) {
    const Probe *probe = &g_array_index(probes, Probe, i);
    const Landing a = landing_at(device, probe->a), b = landing_at(device, probe->b);
    add_point(points, &a, &b, probe->purpose);
  }
  for (guint t = 0; t < device_terminal_count(device); t++) {
    const Terminal *terminal = device_terminal(device, t);
    const Landing here = landing_at(device, (int)t);
    if (terminal->flying && (document_landings(points->document, device->id, terminal->name) == 0 ||
                             goes_to_cap(points->document, device, t)))
      add_point(points, &here, &earth, _("unused lead to ground"));
  }
}

/* NULL instead of an empty table. */
Table *
student_points_table(const Document *seen)
{
  static const TableColumn columns[] = {{.title = N_("Between")},
                                        {.title = N_("Volts, energized: expected"), .blank = BLANK},
                                        {.title = N_("as found"), .blank = BLANK},
                                        {.title = N_("Ohms, locked out: expected"), .blank = BLANK},
                                        {.title = N_("as found"), .blank = BLANK},
                                        {.title = N_("What it is")}};
  g_autoptr(GArray) probes = g_array_new(FALSE, TRUE, sizeof(Probe));
  Points points = {
      .document = seen,
      .table = table_new(
          g_strdup(_("Points to measure")),
          g_strdup(_("Write down what you expect before you measure. Ohms only locked out and "
                     "proven dead.")),
          columns, G_N_ELEMENTS(columns)),
      .seen = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL),
  };

  for (guint i = 0; i < document_device_count(seen); i++)
    add_device_points(&points, document_device(seen, i), probes);
  g_hash_table_unref(points.seen);
  return table_unless_empty(points.table);
}

/* --- conductors --- */

static char *
field_text(const Conductor *conductor, ConductorField field)
{
  const Value *value = &conductor->values[field];
  char *text = value->has_value ? value_dup_text(value, &conductor_fields[field]) : NULL;
  return text != NULL ? text : g_strdup("");
}

Table *
student_wires_table(const Document *seen)
{
  static const TableColumn columns[] = {{.title = N_("Wire")},
                                        {.title = N_("Colour")},
                                        {.title = N_("Size")},
                                        {.title = N_("Insulation")},
                                        {.title = N_("From")},
                                        {.title = N_("To")},
                                        {.title = N_("Wiring")},
                                        {.title = N_("Amperes found"), .blank = BLANK},
                                        {.title = N_("Ohms found"), .blank = BLANK}};
  Table *table = table_new(g_strdup(_("Conductors")), NULL, columns, G_N_ELEMENTS(columns));

  for (guint i = 0; i < document_conductor_count(seen); i++) {
    const Conductor *conductor = document_conductor(seen, i);
    table_add(table, field_text(conductor, CONDUCTOR_NUMBER),
              wire_colour_text(conductor_text(conductor, CONDUCTOR_COLOUR)),
              field_text(conductor, CONDUCTOR_GAUGE), field_text(conductor, CONDUCTOR_INSULATION),
              name_of(seen, &conductor->from), name_of(seen, &conductor->to),
              g_strdup(_(conductor_text(conductor, CONDUCTOR_WIRING))));
  }
  return table_unless_empty(table);
}

/* --- devices --- */

static char *
rating_of(const Device *device)
{
  char *rating = device->kind->rating_text != NULL ? device->kind->rating_text(device) : NULL;
  return rating != NULL ? rating : g_strdup("");
}

Table *
student_leads_table(const Document *seen, guint index)
{
  static const TableColumn columns[] = {{.title = N_("Lead")},
                                        {.title = N_("Colour")},
                                        {.title = N_("Marked"), .numeric = true},
                                        {.title = N_("Volts to common"), .blank = BLANK},
                                        {.title = N_("Volts to ground"), .blank = BLANK}};
  const Device *device = document_device(seen, index);
  const PartKind *kind = device->kind;
  const int volts = field_index(kind->row_fields, kind->n_row_fields, "volts");
  const int colour = field_index(kind->row_fields, kind->n_row_fields, "colour");

  if (kind->role != ROLE_TRANSFORMER || volts < 0)
    return NULL;
  g_autofree char *rating = rating_of(device);
  Table *table =
      table_new(g_strdup_printf(_("Leads of %s, %s"), device_designation(device), rating), NULL,
                columns, G_N_ELEMENTS(columns));
  for (guint t = 0; t < device_terminal_count(device); t++) {
    const Terminal *terminal = device_terminal(device, t);
    if (terminal->row < 0)
      continue;
    const guint row = (guint)terminal->row;
    const Value *marked = &device_row(device, row)[volts];
    table_add(table, g_strdup(terminal->name),
              wire_colour_text(colour >= 0 ? device_row_text(device, row, (guint)colour) : ""),
              marked->has_value ? value_dup_text(marked, &kind->row_fields[volts]) : NULL);
  }
  return table_unless_empty(table);
}

Table *
student_supply_table(const Document *seen)
{
  static const TableColumn columns[] = {{.title = N_("Supply")},
                                        {.title = N_("Label")},
                                        {.title = N_("Written down before")},
                                        {.title = N_("As found"), .blank = 45}};
  Table *table = table_new(g_strdup(_("Supply")), NULL, columns, G_N_ELEMENTS(columns));

  table->row_height = 9;
  for (guint i = 0; i < document_device_count(seen); i++) {
    const Device *device = document_device(seen, i);
    if (device->kind->role != ROLE_SUPPLY)
      continue;
    table_add(table, g_strdup(device_designation(device)), rating_of(device),
              facts_readings_entered(device));
  }
  return table_unless_empty(table);
}

static void
append_field(GString *text, const Value *value, const FieldSpec *spec)
{
  static const char *const not_printed[] = {"designation", "note", "label", NULL};

  if (!value->is_set || !value->has_value || g_strv_contains(not_printed, spec->name))
    return;
  g_autofree char *shown = value_dup_text(value, spec);
  const bool word = spec->type == FIELD_CHOICE || spec->type == FIELD_BOOLEAN;
  g_string_append_printf(text, "%s%s %s", text->len > 0 ? "; " : "", _(spec->title),
                         word ? _(shown) : shown);
}

/* All that is printed on it or set at it. What operating it changes stands in the drawing. */
static char *
nameplate(const Device *device)
{
  const PartKind *kind = device->kind;
  GString *text = g_string_new(NULL);

  for (guint f = 0; f < kind->n_fields; f++)
    if (g_strcmp0(kind->fields[f].name, kind->operate_field) != 0)
      append_field(text, &device->values[f], &kind->fields[f]);
  /* Leads have a table of their own. */
  for (guint row = 0; kind->role != ROLE_TRANSFORMER && row < device_row_count(device); row++)
    for (guint f = 0; f < kind->n_row_fields; f++)
      append_field(text, &device_row(device, row)[f], &kind->row_fields[f]);
  return g_string_free(text, FALSE);
}

Table *
student_parts_table(const Document *seen)
{
  static const TableColumn columns[] = {
      {.title = N_("Mark")}, {.title = N_("Part")}, {.title = N_("Nameplate and settings")}};
  Table *table = table_new(g_strdup(_("Devices")), NULL, columns, G_N_ELEMENTS(columns));

  for (guint i = 0; i < document_device_count(seen); i++) {
    const Device *device = document_device(seen, i);
    if (device->kind->role == ROLE_SUPPLY || device->kind->role == ROLE_OUTLINE)
      continue;
    g_autofree char *plate = nameplate(device);
    const bool plain = device->kind->role == ROLE_SPLICE || device->kind->role == ROLE_GROUND ||
                       device->kind->role == ROLE_TEST_POINT || device->kind->role == ROLE_CAP;
    if (plain && plate[0] == '\0')
      continue;
    table_add(table, g_strdup(device_designation(device)), g_strdup(_(device->kind->title)),
              g_steal_pointer(&plate));
  }
  return table_unless_empty(table);
}
