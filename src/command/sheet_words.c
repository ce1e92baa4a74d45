/* SPDX-License-Identifier: MIT */
#include "command/sheet_words.h"

#include "base/language.h"
#include "base/text.h"

#include <string.h>

bool
sheet_words_paper(const char *name, GString *err)
{
  if (name == NULL || sheet_find_paper(name) != NULL)
    return true;
  g_autoptr(GPtrArray) names = g_ptr_array_new();
  for (const Paper *paper = sheet_papers; paper->name != NULL; paper++)
    g_ptr_array_add(names, (gpointer)(guintptr)paper->name);
  g_ptr_array_add(names, NULL);
  const char *near = text_nearest(name, (const char *const *)names->pdata);
  g_autofree char *all = g_strjoinv(", ", (char **)names->pdata);
  g_string_append_printf(err, _("doorsheet: there is no paper \"%s\"."), name);
  if (near != NULL)
    g_string_append_printf(err, _(" Did you mean \"%s\"?"), near);
  g_string_append_printf(err, _(" The papers are %s.\n"), all);
  return false;
}

bool
sheet_words_language(const char *name, SheetOptions *sheet, GString *err)
{
  sheet->language = g_strcmp0(name, "en+es") == 0 ? "en-es" : name;
  if (name == NULL || language_known(name) || strcmp(sheet->language, "en-es") == 0)
    return true;
  g_string_append_printf(err, _("doorsheet: there is no language \"%s\". Write en, es or en+es.\n"),
                         name);
  return false;
}

bool
sheet_words_date(const char *text, GString *err)
{
  int digits = 0;

  if (text == NULL)
    return true;
  for (const char *c = text; *c != '\0'; c++, digits++)
    if (digits == 4 || digits == 7 ? *c != '-' : !g_ascii_isdigit(*c))
      break;
  if (digits == 10 && text[10] == '\0') {
    const guint64 year = g_ascii_strtoull(text, NULL, 10);
    const guint64 month = g_ascii_strtoull(text + 5, NULL, 10);
    const guint64 day = g_ascii_strtoull(text + 8, NULL, 10);
    if (g_date_valid_dmy((GDateDay)day, (GDateMonth)month, (GDateYear)year))
      return true;
  }
  g_string_append_printf(err,
                         _("doorsheet: \"%s\" is no date. Write year, month and day, such as "
                           "2026-11-25.\n"),
                         text);
  return false;
}
