/* SPDX-License-Identifier: MIT */
#include "lesson/exercise_answer.h"

#include "base/language.h"
#include "lesson/pieces.h"

struct ExerciseAnswer {
  const ExerciseAnswerCalls *calls;
  gpointer data;
  char *place; /* NULL: none */
  GtkLabel *at;
  GtkDropDown *topics, *faults;
  GPtrArray *listed; /* of const Fault *: as in faults */
  GtkWidget *name;
  GtkBox *answers;
};

static void
on_topic(GtkDropDown *topics, GParamSpec *property, ExerciseAnswer *answer)
{
  (void)property;
  g_autoptr(GtkStringList) names = gtk_string_list_new(NULL);
  g_ptr_array_set_size(answer->listed, 0);
  for (guint i = 0; i < fault_count(); i++) {
    const Fault *fault = fault_at(i);
    if (fault->topic != (FaultTopic)gtk_drop_down_get_selected(topics))
      continue;
    gtk_string_list_append(names, _(fault->title));
    g_ptr_array_add(answer->listed, (gpointer)(guintptr)fault);
  }
  gtk_drop_down_set_model(answer->faults, G_LIST_MODEL(names));
}

static void
on_name(GtkButton *button, ExerciseAnswer *answer)
{
  (void)button;
  guint at = gtk_drop_down_get_selected(answer->faults);
  if (answer->place != NULL && at < answer->listed->len)
    answer->calls->name(answer->place, answer->listed->pdata[at], answer->data);
}

static void
on_take_back(GtkButton *button, ExerciseAnswer *answer)
{
  guint at = GPOINTER_TO_UINT(g_object_get_data(G_OBJECT(button), "doorsheet-answer"));
  gtk_widget_grab_focus(GTK_WIDGET(answer->topics)); /* before what has it goes */
  answer->calls->take_back(at, answer->data);
}

static GtkStringList *
topic_names(void)
{
  static const char *const topics[] = {N_("Supply"),   N_("Taps"),       N_("Loads"),
                                       N_("Control"),  N_("Protection"), N_("Conductors"),
                                       N_("Grounding")};
  G_STATIC_ASSERT(G_N_ELEMENTS(topics) == FAULT_TOPIC_COUNT);
  GtkStringList *names = gtk_string_list_new(NULL);
  for (guint i = 0; i < FAULT_TOPIC_COUNT; i++)
    gtk_string_list_append(names, _(topics[i]));
  return names;
}

/* A fault's title is a sentence: in the list it wraps, on the button it is cut short. */
static void
bind_title(GtkSignalListItemFactory *factory, GtkListItem *item, gpointer whole)
{
  (void)factory;
  GtkStringObject *text = gtk_list_item_get_item(item);
  GtkWidget *label = pieces_label(gtk_string_object_get_string(text), NULL);
  if (whole == NULL) {
    gtk_label_set_wrap(GTK_LABEL(label), FALSE);
    gtk_label_set_ellipsize(GTK_LABEL(label), PANGO_ELLIPSIZE_END);
    gtk_widget_set_tooltip_text(label, gtk_string_object_get_string(text));
  } else {
    gtk_label_set_max_width_chars(GTK_LABEL(label), 44);
  }
  gtk_list_item_set_child(item, label);
}

static GtkDropDown *
fault_list(void)
{
  GtkListItemFactory *cut = gtk_signal_list_item_factory_new();
  GtkListItemFactory *whole = gtk_signal_list_item_factory_new();
  g_signal_connect(cut, "bind", G_CALLBACK(bind_title), NULL);
  g_signal_connect(whole, "bind", G_CALLBACK(bind_title), (gpointer) "whole");
  GtkWidget *list = gtk_drop_down_new(NULL, NULL);
  gtk_drop_down_set_factory(GTK_DROP_DOWN(list), cut);
  gtk_drop_down_set_list_factory(GTK_DROP_DOWN(list), whole);
  g_object_unref(cut);
  g_object_unref(whole);
  return GTK_DROP_DOWN(list);
}

ExerciseAnswer *
exercise_answer_new(GtkBox *into, const ExerciseAnswerCalls *calls, gpointer data)
{
  ExerciseAnswer *answer = g_new0(ExerciseAnswer, 1);
  answer->calls = calls;
  answer->data = data;
  answer->listed = g_ptr_array_new();
  gtk_box_append(into, pieces_label(_("Your answer"), "heading"));
  answer->at = GTK_LABEL(pieces_label("", NULL));
  gtk_box_append(into, GTK_WIDGET(answer->at));
  answer->topics = GTK_DROP_DOWN(gtk_drop_down_new(G_LIST_MODEL(topic_names()), NULL));
  answer->faults = fault_list();
  pieces_name(GTK_WIDGET(answer->topics), _("Topic of the fault"));
  pieces_name(GTK_WIDGET(answer->faults), _("Fault"));
  gtk_box_append(into, GTK_WIDGET(answer->topics));
  gtk_box_append(into, GTK_WIDGET(answer->faults));
  g_signal_connect(answer->topics, "notify::selected", G_CALLBACK(on_topic), answer);
  answer->name = pieces_button(into, _("Name this fault here"), G_CALLBACK(on_name), answer);
  answer->answers = pieces_column(into);
  on_topic(answer->topics, NULL, answer);
  exercise_answer_set_place(answer, NULL);
  return answer;
}

void
exercise_answer_free(ExerciseAnswer *answer)
{
  if (answer == NULL)
    return;
  g_ptr_array_unref(answer->listed);
  g_free(answer->place);
  g_free(answer);
}

void
exercise_answer_set_place(ExerciseAnswer *answer, const char *place)
{
  g_free(answer->place);
  answer->place = g_strdup(place);
  g_autofree char *text = place != NULL ? g_strdup_printf(_("Place: %s"), place) : NULL;
  gtk_label_set_text(answer->at, text != NULL ? text : _("Place: select one device or conductor."));
  gtk_widget_set_sensitive(answer->name, place != NULL);
}

static GtkWidget *
answer_row(ExerciseAnswer *answer, const AttemptAnswer *given, guint at)
{
  const Fault *fault = fault_find(given->fault);
  const char *what = fault != NULL ? _(fault->title) : given->fault;
  g_autofree char *text = g_strdup_printf("%s: %s", given->place, what);
  g_autofree char *name = g_strdup_printf(_("Take back: %s"), text);
  GtkWidget *row = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 6);
  GtkWidget *title = pieces_label(text, NULL), *back = gtk_button_new_with_label(_("Take back"));
  gtk_widget_set_hexpand(title, TRUE);
  gtk_widget_set_valign(back, GTK_ALIGN_START);
  pieces_name(back, name);
  g_object_set_data(G_OBJECT(back), "doorsheet-answer", GUINT_TO_POINTER(at));
  g_signal_connect(back, "clicked", G_CALLBACK(on_take_back), answer);
  gtk_box_append(GTK_BOX(row), title);
  gtk_box_append(GTK_BOX(row), back);
  return row;
}

void
exercise_answer_show(ExerciseAnswer *answer, const Attempt *attempt)
{
  pieces_clear(answer->answers);
  for (guint i = 0; i < attempt->answers->len; i++)
    gtk_box_append(answer->answers, answer_row(answer, attempt->answers->pdata[i], i));
}
