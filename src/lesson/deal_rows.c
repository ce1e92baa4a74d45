/* SPDX-License-Identifier: MIT */
#include "lesson/deal_rows.h"

#include "base/language.h"
#include "handout/key.h"
#include "lesson/pieces.h"

#include <string.h>

#define INDEX_KEY "doorsheet-index"
#define NONE G_MAXUINT

/* --- what fits --- */

static guint
device_of(const DealScene *scene, guint node)
{
  const Circuit *circuit = scene->result->inspection->circuit;
  return node != NONE && node > 0 && node < circuit->n_nodes ? circuit->places[node].device : NONE;
}

bool
deal_rows_fits(const DealScene *scene, const DealChoice *choice, const DealWhere *where)
{
  const FaultSpot *spot = &choice->spot;
  if (where->conductor != NONE)
    return spot->conductor == where->conductor || spot->other_conductor == where->conductor;
  if (where->node == NONE && where->device == NONE)
    return true;
  bool fits =
      where->node == NONE && (spot->device == where->device || spot->other_device == where->device);
  for (gsize i = 0; i < G_N_ELEMENTS(spot->nodes); i++)
    fits |= where->node != NONE ? spot->nodes[i] == where->node
                                : device_of(scene, spot->nodes[i]) == where->device;
  return fits;
}

static const char *
check_title(const Fault *fault)
{
  const Check *check = check_find(fault->check);
  return check != NULL ? _(check->title) : fault->check;
}

bool
deal_rows_matches(const DealChoice *choice, const char *words)
{
  g_autofree char *all =
      g_strjoin(" ", _(choice->fault->title), choice->place->name, check_title(choice->fault),
                choice->fault->name, fault_topic_word(choice->fault->topic), NULL);
  g_autofree char *folded = g_utf8_casefold(all, -1);
  g_autofree char *wanted = g_utf8_casefold(words, -1);
  g_auto(GStrv) each = g_strsplit_set(wanted, " ,", -1);
  for (guint i = 0; each[i] != NULL; i++)
    if (strstr(folded, each[i]) == NULL)
      return false;
  return true;
}

/* --- rows --- */

static GtkWidget *
label_for(const char *text, const char *style)
{
  GtkWidget *label = pieces_label(text, style);
  gtk_widget_set_hexpand(label, TRUE);
  return label;
}

/* The flag's number as it stands on the sheet. */
static GtkWidget *
flag_number(guint number)
{
  g_autofree char *text = g_strdup_printf("%u", number);
  GtkWidget *label = gtk_label_new(text);
  gtk_widget_add_css_class(label, "flag");
  gtk_widget_set_valign(label, GTK_ALIGN_START);
  gtk_widget_set_halign(label, GTK_ALIGN_START);
  return label;
}

GtkWidget *
deal_rows_choice(const DealScene *scene, guint index, guint number)
{
  const DealChoice *choice = &g_array_index(scene->choices, DealChoice, index);
  GtkWidget *row = gtk_list_box_row_new(), *across = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 8);
  GtkWidget *box = gtk_box_new(GTK_ORIENTATION_VERTICAL, 1);
  g_autofree char *shows =
      g_strdup_printf(_("%s. Shows: %s"), choice->place->name, check_title(choice->fault));
  const char *title = _(choice->fault->title);
  gtk_box_append(GTK_BOX(box), label_for(title, NULL));
  gtk_box_append(GTK_BOX(box), label_for(shows, "dim-label"));
  gtk_box_append(GTK_BOX(across), box);
  if (number > 0)
    gtk_box_append(GTK_BOX(across), flag_number(number));
  gtk_list_box_row_set_child(GTK_LIST_BOX_ROW(row), across);
  g_autofree char *name = number > 0
                              ? g_strdup_printf(_("%s, %s. Marked as %u."), title, shows, number)
                              : g_strdup_printf("%s, %s", title, shows);
  pieces_name(row, name);
  g_object_set_data(G_OBJECT(row), INDEX_KEY, GUINT_TO_POINTER(index));
  return row;
}

guint
deal_rows_choice_of(GtkListBoxRow *row)
{
  return GPOINTER_TO_UINT(g_object_get_data(G_OBJECT(row), INDEX_KEY));
}

guint
deal_rows_number_of(GtkWidget *button)
{
  return GPOINTER_TO_UINT(g_object_get_data(G_OBJECT(button), INDEX_KEY));
}

const char *
deal_rows_title(const char *name)
{
  const Fault *fault = fault_find(name);
  return fault != NULL ? _(fault->title) : name;
}

static void
add_button(GtkWidget *box, const char *text, const char *said, const DealMarked *marked,
           GCallback callback)
{
  GtkWidget *button = gtk_button_new_with_label(text);
  gtk_widget_add_css_class(button, "tight");
  pieces_name(button, said);
  g_object_set_data(G_OBJECT(button), INDEX_KEY, GUINT_TO_POINTER(marked->number));
  g_signal_connect(button, "clicked", callback, marked->data);
  gtk_box_append(GTK_BOX(box), button);
}

/* The first reading of the measuring path: what tells most. */
static char *
reading_text(const DealMarked *marked)
{
  const DealtVersion *version = marked->alone;
  if (version == NULL || version->path == NULL || version->path->steps->len == 0)
    return NULL;
  return path_step_text(marked->scene->evidence, &g_array_index(version->path->steps, PathStep, 0));
}

static char *
verdict_text(const DealtVersion *version)
{
  static const char *const levels[] = {[FAULT_EASY] = N_("\342\234\223 Fair by itself, easy"),
                                       [FAULT_MEDIUM] = N_("\342\234\223 Fair by itself, medium"),
                                       [FAULT_HARD] = N_("\342\234\223 Fair by itself, hard")};
  const FairProof *proof = &version->proof;
  if (proof->fair)
    return g_strdup(_(levels[version->difficulty]));
  return g_strdup_printf(_("\342\234\227 Not fair by itself: %s."),
                         proof->sentences[proof->judged - 1]);
}

static void
add_verdict(GtkWidget *box, const DealMarked *marked)
{
  const Fault *fault = fault_find(intended_fault(marked->intended));
  if (fault == NULL || (marked->known && marked->scene != NULL &&
                        deal_scene_find(marked->scene, intended_fault(marked->intended),
                                        intended_at(marked->intended)) < 0)) {
    gtk_box_append(
        GTK_BOX(box),
        label_for(_("\342\234\227 It has no place on this sheet any more: remove it."), "problem"));
    return;
  }
  g_autofree char *shows = g_strdup_printf(_("Shows: %s"), check_title(fault));
  gtk_box_append(GTK_BOX(box), label_for(shows, NULL));
  if (marked->alone == NULL)
    return;
  g_autofree char *reading = reading_text(marked);
  g_autofree char *verdict = verdict_text(marked->alone);
  if (reading != NULL)
    gtk_box_append(GTK_BOX(box), label_for(reading, "dim-label"));
  gtk_box_append(GTK_BOX(box), label_for(verdict, marked->alone->proof.fair ? NULL : "unfair"));
}

GtkWidget *
deal_rows_marked(const DealMarked *marked)
{
  GtkWidget *across = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 10);
  GtkWidget *box = gtk_box_new(GTK_ORIENTATION_VERTICAL, 2);
  GtkWidget *buttons = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 6);
  const char *at = intended_at(marked->intended);
  gtk_widget_add_css_class(across, "marked");
  gtk_box_append(GTK_BOX(across), flag_number(marked->number));
  gtk_box_append(GTK_BOX(box), label_for(at, "place"));
  gtk_box_append(GTK_BOX(box), label_for(deal_rows_title(intended_fault(marked->intended)), NULL));
  add_verdict(box, marked);
  g_autofree char *go = g_strdup_printf(_("Go to fault %u at %s"), marked->number, at);
  g_autofree char *remove =
      g_strdup_printf(_("Remove the mark of fault %u at %s"), marked->number, at);
  add_button(buttons, _("Go to"), go, marked, marked->go);
  if (marked->may_remove)
    add_button(buttons, _("Remove"), remove, marked, marked->remove);
  gtk_box_append(GTK_BOX(box), buttons);
  gtk_box_append(GTK_BOX(across), box);
  return across;
}

/* A row of a device is named after it: "T1, H3" is its lead H3. */
static bool
row_point(const Document *document, const char *place, Point *at)
{
  g_auto(GStrv) words = g_strsplit(place, ", ", 2);
  const Device *device =
      g_strv_length(words) == 2 ? document_find_device(document, words[0]) : NULL;
  int terminal = device != NULL ? device_terminal_index(device, words[1]) : -1;
  if (terminal < 0)
    return false;
  *at = device_terminal_point(device, (guint)terminal);
  return true;
}

bool
deal_rows_place_point(const Document *document, const char *place, Point *at)
{
  return row_point(document, place, at) || key_place_point(document, place, at);
}

GtkWidget *
deal_rows_condition(FairCondition condition, const FairProof *proof)
{
  static const char *const titles[FAIR_CONDITION_COUNT] = {
      [FAIR_POSSIBLE] = N_("Possible"), [FAIR_EXPECTED] = N_("Expected"),
      [FAIR_SHOWS] = N_("Shows"),       [FAIR_UNMASKED] = N_("Unmasked"),
      [FAIR_UNIQUE] = N_("Unique"),     [FAIR_FINDABLE] = N_("Findable")};
  bool judged = proof != NULL && (guint)condition < proof->judged;
  bool met = judged && (proof->fair || (guint)condition + 1 < proof->judged);
  GtkWidget *across = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 8);
  GtkWidget *sign = gtk_label_new(!judged ? "\342\200\223" : met ? "\342\234\223" : "\342\234\227");
  GtkWidget *title = gtk_label_new(_(titles[condition]));
  gtk_label_set_width_chars(GTK_LABEL(sign), 2);
  gtk_widget_add_css_class(sign, "agrees");
  gtk_label_set_width_chars(GTK_LABEL(title), 9);
  gtk_label_set_xalign(GTK_LABEL(title), 0);
  gtk_widget_add_css_class(title, "place");
  gtk_widget_set_valign(sign, GTK_ALIGN_START);
  gtk_widget_set_valign(title, GTK_ALIGN_START);
  const char *text = judged ? proof->sentences[condition] : _("not judged");
  GtkWidget *sentence = label_for(text, judged && !met ? "unfair" : judged ? NULL : "dim-label");
  gtk_box_append(GTK_BOX(across), sign);
  gtk_box_append(GTK_BOX(across), title);
  gtk_box_append(GTK_BOX(across), sentence);
  g_autofree char *said = g_strdup_printf(!judged ? _("%s, not judged: %s")
                                          : met   ? _("%s, met: %s")
                                                  : _("%s, not met: %s"),
                                          _(titles[condition]), text);
  pieces_name(sentence, said);
  return across;
}
