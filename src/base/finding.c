/* SPDX-License-Identifier: MIT */
#include "base/finding.h"

#include "base/language.h"

#include <string.h>

const char *
signal_word(Signal signal)
{
  static const char *const words[] = {N_("DANGER"), N_("WARNING"), N_("CAUTION"), N_("NOTICE")};
  return _(words[signal]);
}

Finding *
finding_new(const char *check, const char *title, Signal signal, const char *source,
            char *take_message, char *take_remedy, ...)
{
  Finding *finding = g_new0(Finding, 1);
  finding->check = check;
  finding->title = _(title);
  finding->signal = signal;
  finding->source = _(source);
  finding->message = take_message;
  finding->remedy = take_remedy;
  finding->places = g_ptr_array_new_with_free_func(g_free);
  va_list places;
  va_start(places, take_remedy);
  for (const char *place = va_arg(places, const char *); place;
       place = va_arg(places, const char *))
    g_ptr_array_add(finding->places, g_strdup(place));
  va_end(places);
  return finding;
}

void
finding_add_place(Finding *finding, const char *format, ...)
{
  va_list arguments;
  va_start(arguments, format);
  g_ptr_array_add(finding->places, g_strdup_vprintf(format, arguments));
  va_end(arguments);
}

void
finding_free(Finding *finding)
{
  if (!finding)
    return;
  g_ptr_array_unref(finding->places);
  g_free(finding->message);
  g_free(finding->remedy);
  g_free(finding);
}

gint
finding_compare(gconstpointer a, gconstpointer b)
{
  const Finding *first = *(Finding *const *)a, *second = *(Finding *const *)b;
  if (first->signal != second->signal)
    return first->signal < second->signal ? -1 : 1;
  int order = strcmp(first->check, second->check);
  if (order != 0)
    return order;
  guint shared = MIN(first->places->len, second->places->len);
  for (guint i = 0; i < shared; i++) {
    order = strcmp(g_ptr_array_index(first->places, i), g_ptr_array_index(second->places, i));
    if (order != 0)
      return order;
  }
  if (first->places->len != second->places->len)
    return first->places->len < second->places->len ? -1 : 1;
  return g_strcmp0(first->message, second->message);
}

gboolean
findings_sound(const GPtrArray *findings)
{
  for (guint i = 0; i < findings->len; i++)
    if (((const Finding *)g_ptr_array_index(findings, i))->signal != SIGNAL_NOTICE)
      return FALSE;
  return TRUE;
}
