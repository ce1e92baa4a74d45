/* SPDX-License-Identifier: MIT */
/* The reversible change of each edit. */
#include "quiz/site.h"

#include "diagram/edit.h"

#include <math.h>
#include <string.h>

static Landing
landing_of(const FaultSite *site, guint node)
{
  const Device *device = site_device(site, node);
  guint terminal = site->scene->sound->circuit->places[node].terminal;
  return (Landing){device->id, (char *)(guintptr)device_terminal(device, terminal)->name};
}

static void
set_landing(Landing *landing, const char *device, const char *terminal)
{
  Landing made = landing_make(device, terminal);
  landing_clear(landing);
  *landing = made;
}

static char *
name_two(const FaultSite *site, guint a, guint b)
{
  g_autofree char *one = circuit_node_name(site->scene->sound->circuit, a);
  if (b == SITE_NONE)
    return g_steal_pointer(&one);
  g_autofree char *two = circuit_node_name(site->scene->sound->circuit, b);
  return g_strdup_printf("%s, %s", one, two);
}

/* --- landings --- */

static bool
exchange_end(Landing *end, const Landing *a, const Landing *b, guint n)
{
  for (guint i = 0; i < n; i++) {
    bool first = landing_equal(end, &a[i]), second = landing_equal(end, &b[i]);
    if (!first && !second)
      continue;
    set_landing(end, end->device, first ? b[i].terminal : a[i].terminal);
    return true;
  }
  return false;
}

/* What lies on a[i] goes to b[i] and the other way round. */
static Change *
exchange(const FaultSite *site, const Landing *a, const Landing *b, guint n)
{
  Change *change = change_new(site->fault->title);
  const Document *document = site->scene->document;
  for (guint c = 0; c < document_conductor_count(document); c++) {
    const Conductor *before = document_conductor(document, c);
    g_autoptr(Conductor) after = conductor_copy(before);
    bool from = exchange_end(&after->from, a, b, n), to = exchange_end(&after->to, a, b, n);
    if (from || to)
      change_conductor(change, before, after);
  }
  return change;
}

static Change *
change_exchange(const FaultSite *site, char **name)
{
  Landing a = landing_of(site, site->near), b = landing_of(site, site->to);
  *name = name_two(site, site->near, site->to);
  return exchange(site, &a, &b, 1);
}

/* The fed pair against the outer leads of the first secondary that is landed at both ends. */
static Change *
change_backwards(const FaultSite *site, char **name)
{
  const Survey *survey = site->scene->survey;
  for (guint c = 0; c < site->scene->sound->circuit->cores->len; c++) {
    const SurveyCore *core = &survey->cores[c];
    if (core->device != site->device_index || core->feeding < 0 || !core->fed)
      continue;
    const Winding *primary = survey_winding(survey, (guint)core->feeding);
    for (guint s = 0; s < core->secondaries->len; s++) {
      const Winding *winding = survey_winding(survey, g_array_index(core->secondaries, guint, s));
      guint low = survey_lead(winding, 0)->node;
      guint high = survey_lead(winding, winding->leads->len - 1)->node;
      if (survey->landings[low] == 0 || survey->landings[high] == 0)
        continue;
      Landing a[2] = {landing_of(site, survey_lead(primary, core->low)->node),
                      landing_of(site, survey_lead(primary, core->high)->node)};
      Landing b[2] = {landing_of(site, low), landing_of(site, high)};
      *name = g_strdup(site->device->id);
      return exchange(site, a, b, 2);
    }
  }
  return NULL;
}

static Change *
change_cut(const FaultSite *site, char **name)
{
  *name = conductor_dup_name(site->conductor);
  return edit_delete(site->scene->document, (const char *const[]){NULL}, &site->conductor->key, 1);
}

static Change *
change_reland(const FaultSite *site, char **name)
{
  Landing to = landing_of(site, site->to);
  *name = name_two(site, site->near, site->to);
  return edit_reland(site->scene->document, site->conductor->key, site->from, &to, NULL);
}

/* A conductor too many is of the same wire as what lies beside it: bare of every marking, it would
 * be told on the sheet without any measuring. It carries that one's number too, as any further
 * conductor of a wire does: a blank among numbers would be the same as a mark. */
static void
dress(const FaultSite *site, Conductor *conductor)
{
  static const ConductorField same[] = {
      CONDUCTOR_NUMBER,     CONDUCTOR_COLOUR,      CONDUCTOR_GAUGE, CONDUCTOR_MATERIAL,
      CONDUCTOR_INSULATION, CONDUCTOR_TEMPERATURE, CONDUCTOR_WIRING};
  const Document *document = site->scene->document;
  const Landing *ends[] = {&conductor->from, &conductor->to};
  for (gsize e = 0; e < G_N_ELEMENTS(ends); e++)
    for (guint c = 0; c < document_conductor_count(document); c++) {
      const Conductor *beside = document_conductor(document, c);
      if (!landing_equal(&beside->from, ends[e]) && !landing_equal(&beside->to, ends[e]))
        continue;
      for (gsize i = 0; i < G_N_ELEMENTS(same); i++)
        if (beside->values[same[i]].is_set)
          value_set_text(&conductor->values[same[i]], &conductor_fields[same[i]],
                         conductor_text(beside, same[i]), NULL);
      return;
    }
}

static Change *
change_land(const FaultSite *site, char **name)
{
  Landing a = landing_of(site, site->near), b = landing_of(site, site->to);
  *name = name_two(site, site->near, site->to);
  /* Only what an edit lets through. */
  g_autoptr(Change) allowed = edit_land(site->scene->document, &a, &b, NULL);
  if (allowed == NULL)
    return NULL;
  Change *change = change_new(site->fault->title);
  g_autoptr(Conductor) conductor = conductor_new(a.device, a.terminal, b.device, b.terminal);
  dress(site, conductor);
  change_conductor(change, NULL, conductor);
  return change;
}

/* A new ground beside the node's device; its id, or NULL. */
static const char *
add_ground(const FaultSite *site, Change *change, guint beside, Landing *terminal)
{
  const Document *document = site->scene->document;
  const PartKind *kind = NULL;
  for (PartCatalog at = document_catalog(document); *at != NULL && kind == NULL; at++)
    if ((*at)->role == ROLE_GROUND)
      kind = *at;
  if (kind == NULL)
    return NULL;
  g_autofree char *id = document_free_id(document, kind->designation);
  g_autoptr(Device) ground = device_new(kind, id);
  const Device *near = site_device(site, beside);
  ground->placement.at = point_snap(point_add(near->placement.at, (Point){10, 20}));
  if (!device_derive(ground, NULL))
    return NULL;
  change_device(change, NULL, ground);
  *terminal = landing_make(id, device_terminal(ground, 0)->name);
  return terminal->device;
}

static Change *
change_ground(const FaultSite *site, char **name)
{
  g_autoptr(Change) change = change_new(site->fault->title);
  Landing here = landing_of(site, site->near), ground = {NULL, NULL};
  if (add_ground(site, change, site->near, &ground) == NULL)
    return NULL;
  g_autoptr(Conductor) conductor =
      conductor_new(here.device, here.terminal, ground.device, ground.terminal);
  landing_clear(&ground);
  dress(site, conductor);
  change_conductor(change, NULL, conductor);
  *name = name_two(site, site->near, SITE_NONE);
  return g_steal_pointer(&change);
}

static Change *
change_return(const FaultSite *site, char **name)
{
  g_autoptr(Change) change = change_new(site->fault->title);
  Landing ground = {NULL, NULL};
  if (add_ground(site, change, site->far, &ground) == NULL)
    return NULL;
  g_autoptr(Conductor) moved = conductor_copy(site->conductor);
  set_landing(site->from ? &moved->from : &moved->to, ground.device, ground.terminal);
  landing_clear(&ground);
  change_conductor(change, site->conductor, moved);
  *name = name_two(site, site->far, SITE_NONE);
  return g_steal_pointer(&change);
}

/* --- figures --- */

/* Rounded to three digits, as a nameplate or a meter would show it; NULL when there is none. */
static char *
scaled(const FieldSpec *field, const Value *value, double factor)
{
  if (!value->has_value || field->type != FIELD_QUANTITY)
    return NULL;
  char digits[G_ASCII_DTOSTR_BUF_SIZE];
  g_ascii_formatd(digits, sizeof digits, "%.3g", value_number(value, field, 0) * factor);
  return quantity_format(quantity_make(g_ascii_strtod(digits, NULL), field->unit));
}

static Change *
change_field(const FaultSite *site, char **name)
{
  const Fault *fault = site->fault;
  const PartKind *kind = site->device->kind;
  int index = field_index(kind->fields, kind->n_fields, fault->field);
  if (index < 0)
    return NULL;
  g_autofree char *value = g_strdup(fault->value);
  if (fault->edit == FAULT_SCALE) {
    value = scaled(&kind->fields[index], &site->device->values[index], fault->factor);
    if (value == NULL)
      return NULL;
  }
  if (fault->edit == FAULT_COPY_FIELD)
    value = g_strdup(document_device(site->scene->document, site->second)->id);
  *name = fault->edit == FAULT_COPY_FIELD ? g_strdup_printf("%s, %s", site->device->id, value)
                                          : g_strdup(site->device->id);
  return edit_set_field(site->scene->document, site->device->id, fault->field, value, NULL);
}

static char *
row_value(const FaultSite *site, guint row, int index)
{
  const FieldSpec *field = &site->device->kind->row_fields[index];
  if (site->fault->edit == FAULT_ROW)
    return g_strdup(site->fault->value);
  return scaled(field, &device_row(site->device, row)[index], site->fault->factor);
}

static Change *
change_row(const FaultSite *site, char **name)
{
  const PartKind *kind = site->device->kind;
  int index = field_index(kind->row_fields, kind->n_row_fields, site->fault->field);
  if (index < 0)
    return NULL;
  g_autofree char *value = row_value(site, site->second, index);
  if (value == NULL && site->fault->edit != FAULT_ROW)
    return NULL;
  /* By the row's own name where it has one: a lead, a pair of lines. */
  const Value *first = &device_row(site->device, site->second)[0];
  *name = first->has_value ? g_strdup_printf("%s, %s", site->device->id, first->text)
                           : g_strdup(site->device->id);
  return edit_set_row_field(site->scene->document, site->device->id, site->second,
                            site->fault->field, value, NULL);
}

/* Every row at once, as one change. */
static Change *
change_rows(const FaultSite *site, char **name)
{
  const PartKind *kind = site->device->kind;
  int index = field_index(kind->row_fields, kind->n_row_fields, site->fault->field);
  if (index < 0)
    return NULL;
  g_autoptr(Device) after = device_copy(site->device);
  for (guint row = 0; row < device_row_count(after); row++) {
    if (!device_row(site->device, row)[index].has_value)
      continue;
    g_autofree char *value =
        site->fault->edit == FAULT_ROWS_CLEAR ? NULL : row_value(site, row, index);
    if (!device_set_row(after, row, site->fault->field, value, NULL))
      return NULL;
  }
  if (!device_derive(after, NULL) || device_equal(site->device, after))
    return NULL;
  Change *change = change_new(site->fault->title);
  change_device(change, site->device, after);
  *name = g_strdup(site->device->id);
  return change;
}

/* Row of a supply's reading between two terminals, or -1. */
static int
reading_row(const Device *device, int between, const char *pair)
{
  for (guint row = 0; row < device_row_count(device); row++)
    if (strcmp(device_row_text(device, row, (guint)between), pair) == 0)
      return (int)row;
  return -1;
}

/* The third line stands with the first: whatever it fed hangs on that one. */
static Change *
change_line_tied(const FaultSite *site, char **name)
{
  const PartKind *kind = site->device->kind;
  int between = field_index(kind->row_fields, kind->n_row_fields, "between");
  int value = field_index(kind->row_fields, kind->n_row_fields, site->fault->field);
  if (between < 0 || value < 0)
    return NULL;
  static const char *const pairs[][2] = {{"L2 L3", "L1 L2"}, {"L3 GND", "L1 GND"}};
  g_autoptr(Device) after = device_copy(site->device);
  int tied = reading_row(after, between, "L3 L1");
  if (tied < 0 || !device_set_row(after, (guint)tied, site->fault->field, "2 V", NULL))
    return NULL;
  for (gsize i = 0; i < G_N_ELEMENTS(pairs); i++) {
    int to = reading_row(after, between, pairs[i][0]);
    int from = reading_row(after, between, pairs[i][1]);
    if (to < 0 || from < 0)
      return NULL;
    const char *text = device_row_text(site->device, (guint)from, (guint)value);
    if (!device_set_row(after, (guint)to, site->fault->field, text, NULL))
      return NULL;
  }
  if (!device_derive(after, NULL))
    return NULL;
  Change *change = change_new(site->fault->title);
  change_device(change, site->device, after);
  *name = g_strdup_printf("%s.L3", site->device->id);
  return change;
}

static Change *
change_wire(const FaultSite *site, char **name)
{
  const char *value = site->fault->value;
  if (site->fault->edit == FAULT_COPY_WIRE)
    value = conductor_text(site->other, CONDUCTOR_NUMBER);
  *name = conductor_dup_name(site->conductor);
  if (site->fault->edit == FAULT_COPY_WIRE) {
    g_autofree char *own = g_steal_pointer(name);
    *name = g_strdup_printf("%s as %s", own, value);
  }
  return edit_set_conductor_field(site->scene->document, site->conductor->key, site->fault->field,
                                  value, NULL);
}

static Change *
change_move(const FaultSite *site, char **name)
{
  *name = g_strdup(site->device->id);
  return edit_move(site->scene->document, (const char *const[]){site->device->id, NULL},
                   (Point){900, 0});
}

Change *
site_change(const FaultSite *site, char **name)
{
  static Change *(*const make[FAULT_EDIT_COUNT])(const FaultSite *, char **) = {
      [FAULT_CUT] = change_cut,
      [FAULT_RELAND] = change_reland,
      [FAULT_LAND] = change_land,
      [FAULT_EXCHANGE] = change_exchange,
      [FAULT_BACKWARDS] = change_backwards,
      [FAULT_GROUND] = change_ground,
      [FAULT_RETURN] = change_return,
      [FAULT_FIELD] = change_field,
      [FAULT_SCALE] = change_field,
      [FAULT_ROW] = change_row,
      [FAULT_ROW_SCALE] = change_row,
      [FAULT_ROWS_SCALE] = change_rows,
      [FAULT_ROWS_CLEAR] = change_rows,
      [FAULT_LINE_TIED] = change_line_tied,
      [FAULT_WIRE] = change_wire,
      [FAULT_COPY_WIRE] = change_wire,
      [FAULT_COPY_FIELD] = change_field,
      [FAULT_MOVE] = change_move,
  };
  g_autofree char *place = NULL;
  Change *change = make[site->fault->edit](site, &place);
  if (name != NULL)
    *name = g_steal_pointer(&place);
  return change;
}
