/* SPDX-License-Identifier: MIT */
#include "checks/remedy.h"

#include "base/language.h"

#include "diagram/edit.h"

typedef enum { STEP_SET, STEP_WIRE, STEP_SWAP, STEP_CAP, STEP_GROUND, STEP_MOVE } StepKind;
typedef struct {
  StepKind kind;
  guint index;       /* device or conductor */
  guint node, other; /* terminals */
  const char *field; /* static */
  char *value;       /* owned */
  Point by;
} Step;

static void
step_clear(gpointer data)
{
  Step *step = data;
  g_clear_pointer(&step->value, g_free);
}

static void
steps_free(gpointer data)
{
  g_array_unref(data);
}

GHashTable *
remedy_table_new(void)
{
  return g_hash_table_new_full(NULL, NULL, NULL, steps_free);
}

static void
note(CheckContext *context, const Finding *finding, Step step)
{
  GArray *steps = g_hash_table_lookup(context->remedies, finding);
  if (steps == NULL) {
    steps = g_array_new(FALSE, FALSE, sizeof(Step));
    g_array_set_clear_func(steps, step_clear);
    g_hash_table_insert(context->remedies, (gpointer)finding, steps);
  }
  g_array_append_val(steps, step);
}

void
remedy_set(CheckContext *context, const Finding *finding, guint device, const char *field,
           char *take_value)
{
  note(context, finding,
       (Step){.kind = STEP_SET, .index = device, .field = field, .value = take_value});
}

void
remedy_set_number(CheckContext *context, const Finding *finding, guint device, const char *field,
                  double value, Unit unit)
{
  remedy_set(context, finding, device, field, quantity_format(quantity_make(value, unit)));
}

void
remedy_wire(CheckContext *context, const Finding *finding, guint conductor, const char *field,
            char *take_value)
{
  note(context, finding,
       (Step){.kind = STEP_WIRE, .index = conductor, .field = field, .value = take_value});
}

void
remedy_swap(CheckContext *context, const Finding *finding, guint one, guint two)
{
  note(context, finding, (Step){.kind = STEP_SWAP, .node = one, .other = two});
}

void
remedy_cap(CheckContext *context, const Finding *finding, guint node)
{
  note(context, finding, (Step){.kind = STEP_CAP, .node = node});
}

void
remedy_ground(CheckContext *context, const Finding *finding, guint node)
{
  note(context, finding, (Step){.kind = STEP_GROUND, .node = node});
}

void
remedy_move(CheckContext *context, const Finding *finding, guint device, Point by)
{
  note(context, finding, (Step){.kind = STEP_MOVE, .index = device, .by = by});
}

/* --- carrying steps out, on a scratch copy --- */

typedef struct {
  const Inspection *inspection;
  Document *scratch;
  GError **error;
} Work;

static bool
apply(Work *work, Change *take_change)
{
  return take_change != NULL && document_apply(work->scratch, take_change, work->error);
}

/* The landing of a node, with borrowed names. */
static Landing
landing_of(const Work *work, guint node)
{
  NodePlace place = work->inspection->circuit->places[node];
  const Device *device = document_device(work->inspection->document, place.device);
  return (Landing){device->id, (char *)(guintptr)device_terminal(device, place.terminal)->name};
}

static bool
landing_is(const Landing *a, const Landing *b)
{
  return g_strcmp0(a->device, b->device) == 0 && g_strcmp0(a->terminal, b->terminal) == 0;
}

/* Keys of conductors with an end on a landing as it was; from: which end. */
typedef struct {
  guint32 key;
  bool from;
} End;

static GArray *
ends_at(const Work *work, const Landing *landing)
{
  GArray *ends = g_array_new(FALSE, FALSE, sizeof(End));
  for (guint i = 0; i < document_conductor_count(work->inspection->document); i++) {
    const Conductor *conductor = document_conductor(work->inspection->document, i);
    bool from = landing_is(&conductor->from, landing);
    if (!from && !landing_is(&conductor->to, landing))
      continue;
    End end = {conductor->key, from};
    g_array_append_val(ends, end);
  }
  return ends;
}

static bool
move_ends(Work *work, const GArray *ends, const Landing *to)
{
  for (guint i = 0; i < ends->len; i++) {
    const End *end = &g_array_index(ends, End, i);
    if (!apply(work, edit_reland(work->scratch, end->key, end->from, to, work->error)))
      return false;
  }
  return true;
}

static bool
swap(Work *work, const Step *step)
{
  Landing one = landing_of(work, step->node), two = landing_of(work, step->other);
  g_autoptr(GArray) from_one = ends_at(work, &one);
  g_autoptr(GArray) from_two = ends_at(work, &two);
  return move_ends(work, from_one, &two) && move_ends(work, from_two, &one);
}

/* Places a device of the first kind with this role where a terminal's conductor leaves. */
static char *
place_near(Work *work, PartRole role, guint node)
{
  static const Point away[4] = {{1, 0}, {0, 1}, {-1, 0}, {0, -1}};
  NodePlace place = work->inspection->circuit->places[node];
  const Device *device = document_device(work->inspection->document, place.device);
  Point at = device_terminal_point(device, place.terminal);
  Point side = away[device_terminal_side(device, place.terminal) & 3];
  const PartKind *found = NULL;
  for (PartCatalog kind = document_catalog(work->scratch); *kind != NULL && found == NULL; kind++)
    if ((*kind)->role == role)
      found = *kind;
  char *id = NULL;
  Point spot = point_snap((Point){at.x + 12.5 * side.x, at.y + 12.5 * side.y});
  if (found == NULL || !apply(work, edit_place(work->scratch, found, spot, &id)))
    g_clear_pointer(&id, g_free);
  return id;
}

static bool
cap(Work *work, const Step *step)
{
  Landing lead = landing_of(work, step->node);
  g_autofree char *id = place_near(work, ROLE_CAP, step->node);
  if (id == NULL)
    return false;
  const Terminal *terminal = device_terminal(document_find_device(work->scratch, id), 0);
  Landing end = {id, (char *)(guintptr)terminal->name};
  g_autoptr(GArray) ends = ends_at(work, &lead);
  /* A lead that shares a cap keeps its conductor and gets another far end. */
  for (guint i = 0; i < ends->len; i++) {
    End *of = &g_array_index(ends, End, i);
    of->from = !of->from;
  }
  return ends->len > 0 ? move_ends(work, ends, &end)
                       : apply(work, edit_land(work->scratch, &lead, &end, work->error));
}

static bool
ground(Work *work, const Step *step)
{
  Landing frame = landing_of(work, step->node);
  g_autofree char *id = place_near(work, ROLE_GROUND, step->node);
  if (id == NULL)
    return false;
  const Terminal *terminal = device_terminal(document_find_device(work->scratch, id), 0);
  Landing earth = {id, (char *)(guintptr)terminal->name};
  if (!apply(work, edit_land(work->scratch, &frame, &earth, work->error)))
    return false;
  const Conductor *made =
      document_conductor(work->scratch, document_conductor_count(work->scratch) - 1);
  return apply(work,
               edit_set_conductor_field(work->scratch, made->key, "colour", "green", work->error));
}

static bool
carry_out(Work *work, const Step *step)
{
  const Document *before = work->inspection->document;
  switch (step->kind) {
  case STEP_SET:
    return apply(work, edit_set_field(work->scratch, document_device(before, step->index)->id,
                                      step->field, step->value, work->error));
  case STEP_WIRE:
    return apply(work, edit_set_conductor_field(work->scratch,
                                                document_conductor(before, step->index)->key,
                                                step->field, step->value, work->error));
  case STEP_SWAP:
    return swap(work, step);
  case STEP_CAP:
    return cap(work, step);
  case STEP_GROUND:
    return ground(work, step);
  case STEP_MOVE:
    return apply(work,
                 edit_move(work->scratch,
                           (const char *const[]){document_device(before, step->index)->id, NULL},
                           step->by));
  }
  return false;
}

/* One change from before to after: steps replace and add, they never remove. */
static Change *
difference(const Document *before, const Document *after, const char *title)
{
  Change *change = change_new(title);
  for (guint i = 0; i < document_device_count(after); i++) {
    const Device *now = document_device(after, i);
    const Device *was = document_find_device(before, now->id);
    if (was != now)
      change_device(change, was, now);
  }
  for (guint i = 0; i < document_conductor_count(after); i++) {
    const Conductor *now = document_conductor(after, i);
    const Conductor *was = document_find_conductor(before, now->key);
    if (was != now)
      change_conductor(change, was, now);
  }
  return change;
}

bool
inspection_has_remedy(const Inspection *inspection, const Finding *finding)
{
  return g_hash_table_contains(inspection->remedies, finding);
}

Change *
inspection_remedy(const Inspection *inspection, const Finding *finding, GError **error)
{
  const GArray *steps = g_hash_table_lookup(inspection->remedies, finding);
  if (steps == NULL) {
    g_set_error(error, CHECK_ERROR, CHECK_ERROR_JUDGEMENT, _("%s takes a person's judgement: %s"),
                finding->check, finding->remedy);
    return NULL;
  }
  g_autoptr(Document) scratch = document_snapshot(inspection->document);
  Work work = {inspection, scratch, error};
  for (guint i = 0; i < steps->len; i++)
    if (!carry_out(&work, &g_array_index(steps, Step, i)))
      return NULL;
  g_autofree char *title = g_strdup_printf(_("Remedy: %s"), finding->title);
  return difference(inspection->document, scratch, title);
}
