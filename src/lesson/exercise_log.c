/* SPDX-License-Identifier: MIT */
#include "lesson/exercise_log.h"

#include "base/language.h"
#include "lesson/pieces.h"

ExerciseLog
exercise_log_new(GtkBox *into)
{
  gtk_box_append(into, pieces_label(_("Log"), "heading"));
  ExerciseLog log = {.list = pieces_column(into)};
  pieces_name(GTK_WIDGET(log.list), _("Log, newest first"));
  exercise_log_restart(&log);
  return log;
}

void
exercise_log_restart(ExerciseLog *log)
{
  log->shown = 0;
  pieces_clear(log->list);
  gtk_box_append(log->list,
                 pieces_label(_("Nothing yet. Lock out, measure, then touch."), "dim-label"));
}

void
exercise_log_show(ExerciseLog *log, const Attempt *attempt)
{
  if (log->shown == 0 && attempt->steps->len > 0)
    pieces_clear(log->list);
  for (; log->shown < attempt->steps->len; log->shown++) {
    g_autofree char *text = attempt_step_text(attempt->steps->pdata[log->shown]);
    g_autofree char *line = g_strdup_printf("%u. %s", log->shown + 1, text);
    gtk_box_prepend(log->list, pieces_label(line, NULL));
  }
}
