/* SPDX-License-Identifier: MIT */
/* Noting what the meter showed, and pinning pairs of points as test points of the sheet. */
#include "diagram/edit_private.h"

#include "base/language.h"
#include <string.h>

static bool
check_probes(const Document *document, const Landing *a, const Landing *b, GError **error)
{
  if ((a->device != NULL && !edit_check_landing(document, a, error)) ||
      (b->device != NULL && !edit_check_landing(document, b, error)))
    return false;
  if (!landing_equal(a, b))
    return true;
  g_set_error(error, DOCUMENT_ERROR, DOCUMENT_ERROR_LANDING,
              _("both probes are on the same point; put one of them elsewhere"));
  return false;
}

static char *
dup_pair(const Landing *a, const Landing *b)
{
  g_autofree char *a_name = landing_dup_name(a);
  g_autofree char *b_name = landing_dup_name(b);
  return g_strdup_printf("%s to %s", a_name, b_name);
}

static Measured *
copy_or_new(const Measured *before, const Landing *a, const Landing *b)
{
  if (before != NULL)
    return measured_copy(before);
  Measured *measured = measured_new();
  measured->a = landing_make(a->device, a->terminal);
  measured->b = landing_make(b->device, b->terminal);
  return measured;
}

/* A record that says nothing any more goes. */
static void
put(Change *change, const Measured *before, const Measured *after)
{
  bool says = after->values[MEASURED_VALUE].has_value || after->values[MEASURED_OHMS].has_value ||
              after->values[MEASURED_POINT].has_value;
  if (!says && before != NULL)
    change_measured(change, before, NULL);
  else if (says && (before == NULL || !measured_equal(before, after)))
    change_measured(change, before, after);
}

static bool
set(Measured *measured, MeasuredField field, const char *text, GError **error)
{
  return value_set_text(&measured->values[field], &measured_fields[field],
                        text != NULL && *text != '\0' ? text : NULL, error);
}

Change *
edit_note_reading(const Document *document, const Landing *a, const Landing *b, MeasuredState state,
                  MeasuredField field, const char *text, const char *date, GError **error)
{
  if (!check_probes(document, a, b, error))
    return NULL;
  const Measured *before = document_find_measured(document, a, b, state);
  g_autofree char *pair = dup_pair(a, b);
  g_autofree char *title = g_strdup_printf(_("Note reading %s"), pair);
  g_autoptr(Change) change = change_new(title);
  g_autoptr(Measured) after = copy_or_new(before, a, b);
  if (!set(after, field, text, error)) {
    g_prefix_error(error, _("reading %s: "), pair);
    return NULL;
  }
  bool any = after->values[MEASURED_VALUE].has_value || after->values[MEASURED_OHMS].has_value;
  if (!set(after, MEASURED_DATE, any ? date : NULL, error) ||
      !set(after, MEASURED_STATE, state == MEASURED_LOCKED_OUT ? "locked-out" : NULL, error))
    return NULL;
  put(change, before, after);
  return g_steal_pointer(&change);
}

Change *
edit_set_measured(const Document *document, const Landing *a, const Landing *b, const char *value,
                  const char *date, GError **error)
{
  return edit_note_reading(document, a, b, MEASURED_ENERGIZED, MEASURED_VALUE, value, date, error);
}

static bool
is_taken(const Document *document, const char *point)
{
  for (guint i = 0; i < document_measured_count(document); i++)
    if (g_strcmp0(measured_point(document_measured(document, i)), point) == 0)
      return true;
  for (guint i = 0; i < document_device_count(document); i++)
    if (strcmp(document_device(document, i)->id, point) == 0 ||
        strcmp(device_designation(document_device(document, i)), point) == 0)
      return true;
  return false;
}

Change *
edit_pin(const Document *document, const Landing *a, const Landing *b, char **point, GError **error)
{
  if (!check_probes(document, a, b, error))
    return NULL;
  g_autofree char *pair = dup_pair(a, b);
  g_autofree char *free_point = NULL;
  const Measured *before = NULL;
  for (guint i = 0; i < document_measured_count(document); i++) {
    const Measured *measured = document_measured(document, i);
    if (!measured_is_between(measured, a, b))
      continue;
    if (measured_point(measured) != NULL) {
      g_set_error(error, DOCUMENT_ERROR, DOCUMENT_ERROR_DUPLICATE, _("%s is already test point %s"),
                  pair, measured_point(measured));
      return NULL;
    }
    if (before == NULL || measured_state(measured) == MEASURED_ENERGIZED)
      before = measured;
  }
  for (guint n = 1; free_point == NULL; n++) {
    g_autofree char *candidate = g_strdup_printf("TP%u", n);
    if (!is_taken(document, candidate))
      free_point = g_steal_pointer(&candidate);
  }
  g_autofree char *title = g_strdup_printf(_("Pin %s, %s"), free_point, pair);
  g_autoptr(Change) change = change_new(title);
  g_autoptr(Measured) after = copy_or_new(before, a, b);
  if (!set(after, MEASURED_POINT, free_point, error))
    return NULL;
  put(change, before, after);
  if (point != NULL)
    *point = g_steal_pointer(&free_point);
  return g_steal_pointer(&change);
}

Change *
edit_unpin(const Document *document, const Landing *a, const Landing *b, GError **error)
{
  for (guint i = 0; i < document_measured_count(document); i++) {
    const Measured *before = document_measured(document, i);
    if (!measured_is_between(before, a, b) || measured_point(before) == NULL)
      continue;
    g_autofree char *title = g_strdup_printf(_("Unpin %s"), measured_point(before));
    g_autoptr(Change) change = change_new(title);
    g_autoptr(Measured) after = measured_copy(before);
    if (!set(after, MEASURED_POINT, NULL, error))
      return NULL;
    put(change, before, after);
    return g_steal_pointer(&change);
  }
  g_autofree char *pair = dup_pair(a, b);
  g_set_error(error, DOCUMENT_ERROR, DOCUMENT_ERROR_LANDING, _("%s is no test point"), pair);
  return NULL;
}
