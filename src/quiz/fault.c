/* SPDX-License-Identifier: MIT */
#include "quiz/fault.h"

#include "diagram/edit.h"

#include <math.h>
#include <string.h>

/* A quiz sheet is small; this keeps pairs of conductors and terminals within reason on large ones.
 */
#define MOST_CONDUCTORS 150

const Fault *
fault_find(const char *name)
{
  for (const Fault *fault = fault_table; fault->name != NULL; fault++)
    if (strcmp(fault->name, name) == 0)
      return fault;
  return NULL;
}

/* One place where the edit may be made. */
typedef struct {
  const Fault *fault;
  const Document *document;
  guint first, second; /* conductors, devices or terminals by the edit */
  char *place;         /* owned: where, for the answer key */
} Try;

static const Device *
device_of(const Document *document, const Landing *landing)
{
  return document_find_device(document, landing->device);
}

static Landing
landing_at(const Device *device, guint terminal)
{
  return (Landing){device->id, (char *)(guintptr)device_terminal(device, terminal)->name};
}

static Change *
reland(const Document *document, guint index, bool from, const Landing *to)
{
  return edit_reland(document, document_conductor(document, index)->key, from, to, NULL);
}

/* Exchanges the ends two conductors have on one device. */
static Change *
try_swap(Try *try)
{
  const Conductor *one = document_conductor(try->document, try->first);
  const Conductor *two = document_conductor(try->document, try->second);
  if (try->first >= try->second)
    return NULL;
  for (int ends = 0; ends < 4; ends++) {
    const Landing *a = ends & 1 ? &one->from : &one->to, *b = ends & 2 ? &two->from : &two->to;
    if (strcmp(a->device, b->device) != 0 || strcmp(a->terminal, b->terminal) == 0)
      continue;
    g_autoptr(Conductor) first = conductor_copy(one);
    g_autoptr(Conductor) second = conductor_copy(two);
    Landing *first_end = ends & 1 ? &first->from : &first->to;
    Landing *second_end = ends & 2 ? &second->from : &second->to;
    char *terminal = first_end->terminal;
    first_end->terminal = second_end->terminal;
    second_end->terminal = terminal;
    Change *change = change_new(try->fault->title);
    change_conductor(change, one, first);
    change_conductor(change, two, second);
    try->place = g_strdup_printf("%s.%s, %s.%s", a->device, a->terminal, b->device, b->terminal);
    return change;
  }
  return NULL;
}

/* second: 2 x terminal (over all devices) + end. */
static Change *
try_reland(Try *try)
{
  const Conductor *conductor = document_conductor(try->document, try->first);
  bool from = try->second % 2 == 1;
  const Landing *end = from ? &conductor->from : &conductor->to;
  const Device *here = device_of(try->document, end);
  guint terminal = try->second / 2;
  for (guint d = 0; d < document_device_count(try->document); d++) {
    const Device *device = document_device(try->document, d);
    if (terminal >= device_terminal_count(device)) {
      terminal -= device_terminal_count(device);
      continue;
    }
    if (device != here && device->kind->role != here->kind->role)
      return NULL;
    Landing to = landing_at(device, terminal);
    if (device == here && strcmp(to.terminal, end->terminal) == 0)
      return NULL;
    try->place = g_strdup_printf("%s.%s", to.device, to.terminal);
    return reland(try->document, try->first, from, &to);
  }
  return NULL;
}

/* first: device; second: pair of its terminals. */
static Change *
try_land(Try *try)
{
  const Device *device = document_device(try->document, try->first);
  guint n = device_terminal_count(device);
  guint a = n > 0 ? try->second / n : 0, b = n > 0 ? try->second % n : 0;
  if (a >= b || a >= n)
    return NULL;
  Landing from = landing_at(device, a), to = landing_at(device, b);
  try->place = g_strdup_printf("%s.%s, %s.%s", from.device, from.terminal, to.device, to.terminal);
  return edit_land(try->document, &from, &to, NULL);
}

/* A new ground near a device and, from one of its terminals, a conductor to it. As one change: both
 * are made on values of their own. */
static Change *
with_new_ground(Try *try, const Landing *from, const Conductor *moved, bool moved_from)
{
  const PartKind *kind = NULL;
  for (PartCatalog at = document_catalog(try->document); *at != NULL && kind == NULL; at++)
    if ((*at)->role == ROLE_GROUND)
      kind = *at;
  if (kind == NULL)
    return NULL;
  g_autofree char *id = document_free_id(try->document, kind->designation);
  g_autoptr(Device) ground = device_new(kind, id);
  const Device *near = device_of(try->document, from);
  ground->placement.at = point_snap(point_add(near->placement.at, (Point){10, 20}));
  if (!device_derive(ground, NULL))
    return NULL;
  const char *terminal = device_terminal(ground, 0)->name;
  g_autoptr(Conductor) conductor = moved != NULL
                                       ? conductor_copy(moved)
                                       : conductor_new(from->device, from->terminal, id, terminal);
  if (moved != NULL) {
    Landing *end = moved_from ? &conductor->from : &conductor->to;
    g_free(end->device);
    g_free(end->terminal);
    end->device = g_strdup(id);
    end->terminal = g_strdup(terminal);
  }
  Change *change = change_new(try->fault->title);
  change_device(change, NULL, ground);
  change_conductor(change, moved, conductor);
  try->place = g_strdup_printf("%s.%s", from->device, from->terminal);
  return change;
}

static Change *
try_ground(Try *try)
{
  const Device *device = document_device(try->document, try->first);
  if (try->second >= device_terminal_count(device))
    return NULL;
  Landing from = landing_at(device, try->second);
  return with_new_ground(try, &from, NULL, false);
}

static Change *
try_return(Try *try)
{
  const Conductor *conductor = document_conductor(try->document, try->first);
  if (try->second > 1)
    return NULL;
  bool from = try->second == 1;
  return with_new_ground(try, from ? &conductor->to : &conductor->from, conductor, from);
}

static char *
scaled(const FieldSpec *field, const Value *value, double factor)
{
  if (!value->has_value || field->type != FIELD_QUANTITY)
    return NULL;
  /* Rounded to three digits, as a nameplate would be. */
  char digits[G_ASCII_DTOSTR_BUF_SIZE];
  g_ascii_formatd(digits, sizeof digits, "%.3g", value_number(value, field, 0) * factor);
  return quantity_format(quantity_make(g_ascii_strtod(digits, NULL), field->unit));
}

static Change *
try_field(Try *try)
{
  const Fault *fault = try->fault;
  const Device *device = document_device(try->document, try->first);
  int index = field_index(device->kind->fields, device->kind->n_fields, fault->field);
  if (index < 0)
    return NULL;
  g_autofree char *value = g_strdup(fault->value);
  if (fault->edit == FAULT_SCALE)
    value = scaled(&device->kind->fields[index], &device->values[index], fault->factor);
  if (fault->edit == FAULT_COPY_FIELD && try->second < document_device_count(try->document) &&
      try->second != try->first)
    value = g_strdup(document_device(try->document, try->second)->id);
  if (value == NULL)
    return NULL;
  try->place = g_strdup(device->id);
  return edit_set_field(try->document, device->id, fault->field, value, NULL);
}

static Change *
try_row(Try *try)
{
  const Device *device = document_device(try->document, try->first);
  int index = field_index(device->kind->row_fields, device->kind->n_row_fields, try->fault->field);
  if (index < 0 || try->second >= device_row_count(device))
    return NULL;
  g_autofree char *value = scaled(&device->kind->row_fields[index],
                                  &device_row(device, try->second)[index], try->fault->factor);
  if (value == NULL)
    return NULL;
  try->place = g_strdup(device->id);
  return edit_set_row_field(try->document, device->id, try->second, try->fault->field, value, NULL);
}

static Change *
try_wire(Try *try)
{
  const Conductor *conductor = document_conductor(try->document, try->first);
  const char *value = try->fault->value;
  if (try->fault->edit == FAULT_COPY_WIRE)
    value = conductor_text(document_conductor(try->document, try->second), CONDUCTOR_NUMBER);
  try->place = conductor_dup_name(conductor);
  return edit_set_conductor_field(try->document, conductor->key, try->fault->field, value, NULL);
}

static Change *
try_cut(Try *try)
{
  const Conductor *conductor = document_conductor(try->document, try->first);
  try->place = conductor_dup_name(conductor);
  return edit_delete(try->document, (const char *const[]){NULL}, &conductor->key, 1);
}

static Change *
try_move(Try *try)
{
  const Device *device = document_device(try->document, try->first);
  try->place = g_strdup(device->id);
  return edit_move(try->document, (const char *const[]){device->id, NULL}, (Point){900, 0});
}

/* How an edit is tried: over conductors or devices, and over what for each of them. */
static const struct {
  Change *(*make)(Try *try);
  bool conductors;
  enum { ONE, TWO, CONDUCTORS, DEVICES, TERMINALS, TERMINAL_PAIRS, ROWS } second;
} edits[] = {
    [FAULT_CUT] = {try_cut, true, ONE},
    [FAULT_SWAP] = {try_swap, true, CONDUCTORS},
    [FAULT_RELAND] = {try_reland, true, TERMINALS},
    [FAULT_LAND] = {try_land, false, TERMINAL_PAIRS},
    [FAULT_GROUND] = {try_ground, false, TERMINAL_PAIRS},
    [FAULT_RETURN] = {try_return, true, TWO},
    [FAULT_FIELD] = {try_field, false, ONE},
    [FAULT_SCALE] = {try_field, false, ONE},
    [FAULT_ROW] = {try_row, false, ROWS},
    [FAULT_WIRE] = {try_wire, true, ONE},
    [FAULT_COPY_WIRE] = {try_wire, true, CONDUCTORS},
    [FAULT_COPY_FIELD] = {try_field, false, DEVICES},
    [FAULT_MOVE] = {try_move, false, ONE},
};

static guint
second_count(const Document *document, FaultEdit edit, guint first)
{
  guint terminals = 0;
  switch (edits[edit].second) {
  case ONE:
    return 1;
  case TWO:
    return 2;
  case CONDUCTORS:
    return MIN(document_conductor_count(document), MOST_CONDUCTORS);
  case DEVICES:
    return document_device_count(document);
  case ROWS:
    return device_row_count(document_device(document, first));
  case TERMINAL_PAIRS:
    terminals = device_terminal_count(document_device(document, first));
    return terminals * terminals;
  case TERMINALS:
    for (guint d = 0; d < document_device_count(document); d++)
      terminals += device_terminal_count(document_device(document, d));
    return 2 * terminals;
  }
  return 0;
}

static bool
listed(const char *words, const char *word)
{
  g_auto(GStrv) list = g_strsplit(words != NULL ? words : "", " ", -1);
  return g_strv_contains((const char *const *)list, word);
}

static bool
already_found(const Inspection *sound, const char *check)
{
  for (guint i = 0; i < sound->findings->len; i++)
    if (strcmp(((const Finding *)g_ptr_array_index(sound->findings, i))->check, check) == 0)
      return true;
  return false;
}

/* The check finds it, and nothing else that the sound diagram did not have and that does not
 * follow. */
static bool
works(const Fault *fault, const Inspection *sound, const Document *faulty)
{
  g_autoptr(Inspection) inspection = inspection_new(faulty);
  bool found = false;
  for (guint i = 0; i < inspection->findings->len; i++) {
    const Finding *finding = g_ptr_array_index(inspection->findings, i);
    if (strcmp(finding->check, fault->check) == 0)
      found = true;
    else if (finding->signal != SIGNAL_NOTICE && !listed(fault->also, finding->check) &&
             !already_found(sound, finding->check))
      return false;
  }
  return found;
}

/* The change at one place when it works there, else NULL. */
static Change *
make_at(Try *try, const Inspection *sound)
{
  Change *change = edits[try->fault->edit].make(try);
  if (change == NULL || change_is_empty(change)) {
    g_clear_pointer(&change, change_free);
    return NULL;
  }
  g_autoptr(Document) scratch = document_snapshot(try->document);
  if (!document_apply(scratch, change, NULL) || !works(try->fault, sound, scratch))
    return NULL;
  /* Applying took that change; the same once more. */
  g_clear_pointer(&try->place, g_free);
  return edits[try->fault->edit].make(try);
}

Change *
fault_make(const Fault *fault, const Inspection *sound, guint n, char **place)
{
  const Document *document = sound->document;
  guint firsts = edits[fault->edit].conductors
                     ? MIN(document_conductor_count(document), MOST_CONDUCTORS)
                     : document_device_count(document);
  if (already_found(sound, fault->check))
    return NULL;
  for (guint first = 0; first < firsts; first++) {
    guint seconds = second_count(document, fault->edit, first);
    for (guint second = 0; second < seconds; second++) {
      Try try = {.fault = fault, .document = document, .first = first, .second = second};
      Change *change = make_at(&try, sound);
      if (change != NULL && n == 0) {
        if (place != NULL)
          *place = g_steal_pointer(&try.place);
        g_free(try.place);
        return change;
      }
      n -= change != NULL ? 1 : 0;
      g_clear_pointer(&change, change_free);
      g_free(try.place);
    }
  }
  return NULL;
}
