/* SPDX-License-Identifier: MIT */
/* The student's document. Everything about it that is not the diagram as built is made the same for
 * every version, so that only the fault itself differs. */
#include "quiz/deal_private.h"

#include "base/language.h"
#include "quiz/sealed.h"
#include "quiz/site.h"

#include <string.h>

/* A default that was written out says that somebody touched it; a note may say anything. */
static bool
plain(Value *values, const FieldSpec *fields, guint n, GError **error)
{
  for (guint i = 0; i < n; i++) {
    const FieldSpec *field = &fields[i];
    bool note = strcmp(field->name, "note") == 0;
    bool idle = values[i].is_set && field->initial != NULL && !field->required &&
                strcmp(values[i].text, field->initial) == 0;
    if ((note || idle) && !value_set_text(&values[i], field, NULL, error))
      return false;
  }
  return true;
}

static bool
add_device(Change *change, const Device *device, GError **error)
{
  const PartKind *kind = device->kind;
  g_autoptr(Device) copy = device_copy(device);
  if (!plain(copy->values, kind->fields, kind->n_fields, error))
    return false;
  for (guint r = 0; r < device_row_count(copy); r++)
    if (!plain(g_array_index(copy->rows, Value *, r), kind->row_fields, kind->n_row_fields, error))
      return false;
  if (!device_derive(copy, error))
    return false;
  change_device(change, NULL, copy);
  return true;
}

/* Without bends, and from the end whose name comes first. */
static Conductor *
plain_conductor(const Conductor *conductor, GError **error)
{
  g_autoptr(Conductor) copy = conductor_copy(conductor);
  copy->key = 0;
  g_array_set_size(copy->via, 0);
  g_autofree char *from = landing_dup_name(&copy->from);
  g_autofree char *to = landing_dup_name(&copy->to);
  if (strcmp(from, to) > 0) {
    Landing first = copy->from;
    copy->from = copy->to;
    copy->to = first;
  }
  return plain(copy->values, conductor_fields, CONDUCTOR_FIELD_COUNT, error)
             ? g_steal_pointer(&copy)
             : NULL;
}

static gint
compare_devices(gconstpointer a, gconstpointer b)
{
  return strcmp((*(Device *const *)a)->id, (*(Device *const *)b)->id);
}

static gint
compare_landings(const Landing *a, const Landing *b)
{
  int order = strcmp(a->device, b->device);
  return order != 0 ? order : strcmp(a->terminal, b->terminal);
}

static gint
compare_conductors(gconstpointer a, gconstpointer b)
{
  const Conductor *one = *(Conductor *const *)a, *two = *(Conductor *const *)b;
  int order = compare_landings(&one->from, &two->from);
  if (order == 0)
    order = compare_landings(&one->to, &two->to);
  return order != 0
             ? order
             : strcmp(conductor_text(one, CONDUCTOR_NUMBER), conductor_text(two, CONDUCTOR_NUMBER));
}

/* Symptoms of several faults may be longer than the field. */
static bool
set_exercise(SheetData *data, ExerciseField field, const char *text, GError **error)
{
  const FieldSpec *spec = &exercise_fields[field];
  glong most = spec->maximum > 0 ? (glong)spec->maximum : 200;
  g_autofree char *cut = NULL;
  if (text != NULL && spec->type == FIELD_TEXT && g_utf8_strlen(text, -1) > most)
    text = cut = g_utf8_substring(text, 0, most);
  return value_set_text(&data->exercise[field], spec, text, error);
}

static SheetData *
exercise_sheet(const Deal *deal, const DealtVersion *version, const Document *master,
               const char *lesson, GError **error)
{
  g_autoptr(SheetData) data = sheet_data_copy(document_sheet(master));
  g_autofree char *sealed = sealed_close(master, deal->digest);
  g_autofree char *number = g_strdup_printf("%u", version->number);
  g_autofree char *faults = g_strdup_printf("%u", version->faults->len);
  const char *const texts[EXERCISE_FIELD_COUNT] = {
      [EXERCISE_NUMBER] = number,
      [EXERCISE_LESSON] = lesson,
      [EXERCISE_SYMPTOM] = version->symptom,
      [EXERCISE_DIFFICULTY] = fault_level_word(version->difficulty),
      /* None: what a student sheet draws of a version whose faults only a meter finds. */
      [EXERCISE_FAULTS] = version->faults->len > 0 ? faults : NULL,
      [EXERCISE_SET] = deal->digest,
      [EXERCISE_SEALED] = sealed,
  };
  for (guint i = 0; i < EXERCISE_FIELD_COUNT; i++)
    if (!set_exercise(data, (ExerciseField)i, texts[i], error))
      return NULL;
  if (!plain(data->equipment, equipment_fields, EQUIPMENT_FIELD_COUNT, error))
    return NULL;
  return g_steal_pointer(&data);
}

static bool
add_contents(Change *change, const Document *faulty, GError **error)
{
  g_autoptr(GPtrArray) devices = g_ptr_array_new();
  g_autoptr(GPtrArray) conductors = g_ptr_array_new_with_free_func((GDestroyNotify)conductor_unref);
  for (guint i = 0; i < document_device_count(faulty); i++)
    g_ptr_array_add(devices, (gpointer)(guintptr)document_device(faulty, i));
  g_ptr_array_sort(devices, compare_devices);
  for (guint i = 0; i < devices->len; i++)
    if (!add_device(change, g_ptr_array_index(devices, i), error))
      return false;
  for (guint i = 0; i < document_conductor_count(faulty); i++) {
    Conductor *conductor = plain_conductor(document_conductor(faulty, i), error);
    if (conductor == NULL)
      return false;
    g_ptr_array_add(conductors, conductor);
  }
  g_ptr_array_sort(conductors, compare_conductors);
  for (guint i = 0; i < conductors->len; i++)
    change_conductor(change, NULL, g_ptr_array_index(conductors, i));
  return true;
}

Document *
deal_exercise_document(const Deal *deal, const DealtVersion *version, const FaultScene *scene,
                       const char *lesson, GError **error)
{
  g_autoptr(Document) faulty = document_snapshot(scene->document);
  if (!deal_make(version, scene, faulty, error))
    return NULL;
  g_autoptr(SheetData) sheet = exercise_sheet(deal, version, scene->document, lesson, error);
  if (sheet == NULL)
    return NULL;
  g_autoptr(Document) exercise = document_new(document_catalog(faulty));
  g_autoptr(Change) change = change_new(_("Exercise"));
  change_sheet(change, document_sheet(exercise), sheet);
  if (!add_contents(change, faulty, error) ||
      !document_apply(exercise, g_steal_pointer(&change), error))
    return NULL;
  document_clear_history(exercise);
  document_mark_saved(exercise);
  return g_steal_pointer(&exercise);
}
