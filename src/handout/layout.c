/* SPDX-License-Identifier: MIT */
#include "handout/layout.h"

#include "base/language.h"
#include "sheet/block.h"

void
layout_table(const Layout *layout, Table *table, bool sentences)
{
  if (table == NULL)
    return;
  Block *block = block_table_new(table, &layout->frame->lettering);
  block->wide = sentences || block_table_least_width(block) > layout->column_width;
  flow_add(layout->flow, block);
}

static char *
text_or_dash(const Value *value)
{
  const bool there = value->has_value && value->text != NULL && value->text[0] != '\0';
  return g_strdup(there ? value->text : "-");
}

TitleData *
layout_title(const SheetData *data, const char *key, const SheetOptions *options)
{
  TitleData *title = g_new0(TitleData, 1);
  const char *number = data->exercise[EXERCISE_NUMBER].text;
  const char *lesson = sheet_exercise_text(data, EXERCISE_LESSON);
  const char *set = sheet_exercise_text(data, EXERCISE_SET);
  const char *date = options != NULL ? options->date : NULL;

  title->tag = text_or_dash(&data->equipment[EQUIPMENT_TAG]);
  title->location = text_or_dash(&data->equipment[EQUIPMENT_LOCATION]);
  title->model = text_or_dash(&data->equipment[EQUIPMENT_MODEL]);
  title->title = lesson[0] != '\0' ? g_strdup(lesson) : text_or_dash(&data->values[SHEET_TITLE]);
  title->number =
      key != NULL ? g_strdup_printf(_("Key %s"), number) : g_strdup_printf(_("Version %s"), number);
  title->revision = text_or_dash(&data->values[SHEET_REVISION]);
  title->author = text_or_dash(&data->values[SHEET_AUTHOR]);
  g_autofree char *day = date != NULL ? g_strdup(date) : text_or_dash(&data->values[SHEET_DATE]);
  title->date = language_date(day);
  title->counts = g_strdup("");
  title->sheet_line = g_strdup(title->number);
  title->checked =
      key != NULL ? g_strdup_printf(_("Answer key, not for students. %s Set %.12s."), key, set)
                  : g_strdup_printf(_("Exercise with faults made on purpose; never for use on real "
                                      "equipment. Set %.12s."),
                                    set);
  return title;
}
