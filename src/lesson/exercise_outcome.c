/* SPDX-License-Identifier: MIT */
#include "lesson/exercise_outcome.h"

#include "base/language.h"
#include "grade/consequence.h"
#include "lesson/pieces.h"

void
exercise_outcome_power(GtkBox *box, Session *session, const GPtrArray *list)
{
  static const char *const classes[] = {[SIGNAL_DANGER] = "signal-danger",
                                        [SIGNAL_WARNING] = "signal-warning",
                                        [SIGNAL_CAUTION] = "signal-caution",
                                        [SIGNAL_NOTICE] = "signal-notice"};
  if (list->len == 0)
    return;
  pieces_clear(box);
  for (guint i = 0; i < list->len; i++) {
    const Consequence *consequence = list->pdata[i];
    g_autofree char *word = g_strdup_printf("\342\232\240 %s", signal_word(consequence->signal));
    GtkWidget *signal = pieces_label(word, "signal");
    gtk_label_set_wrap(GTK_LABEL(signal), FALSE);
    gtk_widget_add_css_class(signal, classes[consequence->signal]);
    gtk_widget_set_halign(signal, GTK_ALIGN_START);
    gtk_box_append(box, signal);
    gtk_box_append(box, pieces_label(consequence->text, NULL));
    session_say(session, "%s: %s", signal_word(consequence->signal), consequence->text);
  }
  g_autofree char *cost = g_strdup_printf(_("This costs %.0f points."), SCORE_CONSEQUENCE);
  gtk_box_append(box, pieces_label(cost, "heading"));
}

/* Apart from the points, by kind, each once with how often. */
static void
show_safety(GtkBox *box, const Attempt *attempt)
{
  guint n = attempt->errors->len;
  g_autofree char *heading =
      n == 0 ? g_strdup(_("No safety errors"))
             : g_strdup_printf(language_plural("%u safety error, apart from the points",
                                               "%u safety errors, apart from the points", n),
                               n);
  gtk_box_append(box, pieces_label(heading, "heading"));
  for (guint i = 0; i < n; i++) {
    const SafetyError *error = attempt->errors->pdata[i];
    g_autofree char *text =
        g_strdup_printf("\342\232\240 %s. %s", safety_kind_title(error->kind), error->text);
    gtk_box_append(box, pieces_label(text, NULL));
  }
}

void
exercise_outcome_score(GtkBox *box, const Score *score, const Attempt *attempt)
{
  g_autofree char *points = g_strdup_printf(_("%.0f of 100 points"), score->total);
  gtk_box_append(box, pieces_label(points, "title-2"));
  for (guint i = 0; i < score->lines->len; i++)
    gtk_box_append(box, pieces_label(score->lines->pdata[i], NULL));
  show_safety(box, attempt);
}
