/* SPDX-License-Identifier: MIT */
#include "lesson/deal_choices.h"

#include "base/language.h"
#include "lesson/deal_rows.h"
#include "lesson/pieces.h"

#include <string.h>

/* More rows than anybody reads; the words above the list narrow it down. */
#define MOST_ROWS 120
#define ROW_PIXELS 54 /* of one, about: so many of them are in view */

struct _DealChoices {
  GtkBox parent;
  Session *session;
  const DealScene *scene; /* lent; NULL: none */
  bool busy;
  GtkDropDown *where;
  GArray *wheres; /* of DealWhere, as in where */
  GtkEditable *words;
  GtkListBox *choices;
  GtkLabel *more;
  GtkWidget *scrolled, *mark;
  bool filling;
};

G_DEFINE_FINAL_TYPE(DealChoices, deal_choices, GTK_TYPE_BOX)

static const Document *
own(DealChoices *page)
{
  return session_get_own(page->session);
}

/* From 1; 0: not marked. */
static guint
number_of(DealChoices *page, const DealChoice *choice)
{
  for (guint i = 0; i < document_intended_count(own(page)); i++) {
    const Intended *intended = document_intended(own(page), i);
    if (strcmp(intended_fault(intended), choice->fault->name) == 0 &&
        strcmp(intended_at(intended), choice->place->name) == 0)
      return i + 1;
  }
  return 0;
}

static DealWhere
chosen_where(DealChoices *page)
{
  guint at = gtk_drop_down_get_selected(page->where);
  return at < page->wheres->len ? g_array_index(page->wheres, DealWhere, at) : DEAL_WHERE_ALL;
}

static void
fill_choices(DealChoices *page)
{
  const DealScene *scene = page->scene;
  const char *words = gtk_editable_get_text(page->words);
  DealWhere where = chosen_where(page);
  GtkListBoxRow *before = gtk_list_box_get_selected_row(page->choices);
  guint kept = before != NULL ? deal_rows_choice_of(before) : G_MAXUINT;
  GtkRoot *root = gtk_widget_get_root(GTK_WIDGET(page));
  GtkWidget *focus = root != NULL ? gtk_root_get_focus(root) : NULL;
  bool inside = focus != NULL && gtk_widget_is_ancestor(focus, GTK_WIDGET(page->choices));
  GtkWidget *row;
  while ((row = gtk_widget_get_first_child(GTK_WIDGET(page->choices))) != NULL)
    gtk_list_box_remove(page->choices, row);
  guint n = 0;
  GtkWidget *select = NULL;
  for (guint i = 0; scene != NULL && i < scene->choices->len; i++) {
    const DealChoice *choice = &g_array_index(scene->choices, DealChoice, i);
    if (!deal_rows_fits(scene, choice, &where) || !deal_rows_matches(choice, words) ||
        ++n > MOST_ROWS)
      continue;
    row = deal_rows_choice(scene, i, number_of(page, choice));
    gtk_list_box_append(page->choices, row);
    if (select == NULL || i == kept)
      select = row;
  }
  if (select != NULL) {
    gtk_list_box_select_row(page->choices, GTK_LIST_BOX_ROW(select));
    if (inside)
      gtk_widget_grab_focus(select);
  }
  g_autofree char *more = NULL;
  if (n > MOST_ROWS)
    more = g_strdup_printf(_("%u more: select a part or a conductor, or write a word of what you "
                             "look for."),
                           n - MOST_ROWS);
  else if (scene != NULL && n == 0)
    more = g_strdup(_("The catalogue has no such fault here."));
  else if (scene == NULL && page->busy)
    more = g_strdup(_("Looking for what can be done\342\200\246"));
  gtk_label_set_text(page->more, more != NULL ? more : "");
  gtk_widget_set_visible(GTK_WIDGET(page->more), more != NULL);
  gtk_widget_set_visible(page->scrolled, n > 0);
  gtk_scrolled_window_set_min_content_height(GTK_SCROLLED_WINDOW(page->scrolled),
                                             (int)MIN(n, 4) * ROW_PIXELS);
  gtk_widget_set_sensitive(page->mark, select != NULL && !session_is_preview(page->session));
}

static void
add_where(DealChoices *page, GtkStringList *names, const char *name, DealWhere where)
{
  gtk_string_list_append(names, name);
  g_array_append_val(page->wheres, where);
}

static void
add_node(DealChoices *page, GtkStringList *names, guint node)
{
  const Circuit *circuit = page->scene->result->inspection->circuit;
  if (node == 0 || node >= circuit->n_nodes)
    return;
  g_autofree char *name = circuit_node_name(circuit, node);
  add_where(page, names, name, (DealWhere){G_MAXUINT, G_MAXUINT, node});
}

static void
add_selected(DealChoices *page, GtkStringList *names)
{
  const Document *document = page->scene->result->inspection->document;
  const Circuit *circuit = page->scene->result->inspection->circuit;
  guint n, devices = session_get_selected_device_count(page->session);
  const guint32 *keys = session_get_selected_conductors(page->session, &n);
  if (devices == 1 && n == 0) {
    const char *id = session_get_selected_devices(page->session)[0];
    int index = document_device_index(document, id);
    if (index < 0)
      return;
    add_where(page, names, id, (DealWhere){(guint)index, G_MAXUINT, G_MAXUINT});
    const Device *device = document_device(document, (guint)index);
    for (guint t = 0; t < device_terminal_count(device); t++)
      add_node(page, names, circuit_node(circuit, (guint)index, t));
  }
  for (guint i = 0; devices == 0 && n == 1 && i < document_conductor_count(document); i++) {
    const Conductor *conductor = document_conductor(document, i);
    if (conductor->key != keys[0])
      continue;
    g_autofree char *name = conductor_dup_name(conductor);
    add_where(page, names, name, (DealWhere){G_MAXUINT, i, G_MAXUINT});
    add_node(page, names, circuit_node_of_landing(circuit, &conductor->from));
    add_node(page, names, circuit_node_of_landing(circuit, &conductor->to));
  }
}

static void
fill_where(DealChoices *page)
{
  g_autoptr(GtkStringList) names = gtk_string_list_new(NULL);
  page->filling = true;
  g_array_set_size(page->wheres, 0);
  if (page->scene != NULL)
    add_selected(page, names);
  add_where(page, names, _("The whole sheet"), DEAL_WHERE_ALL);
  gtk_drop_down_set_model(page->where, G_LIST_MODEL(names));
  gtk_drop_down_set_selected(page->where, 0);
  page->filling = false;
  fill_choices(page);
}

static void
on_narrow(DealChoices *page)
{
  if (!page->filling)
    fill_choices(page);
}

static void
mark_row(DealChoices *page, GtkListBoxRow *row)
{
  const DealScene *scene = page->scene;
  if (row == NULL || !deal_scene_is_of(scene, own(page)))
    return;
  const DealChoice *choice = &g_array_index(scene->choices, DealChoice, deal_rows_choice_of(row));
  GError *error = NULL;
  Change *change = edit_intend(own(page), choice->fault->name, choice->place->name, &error);
  if (session_edit(page->session, change, error))
    session_say(page->session, _("Marked as %u: %s at %s. Ctrl+Z takes it back."),
                document_intended_count(own(page)), _(choice->fault->title), choice->place->name);
}

static void
on_choice(GtkListBox *list, GtkListBoxRow *row, DealChoices *page)
{
  (void)list;
  mark_row(page, row);
}

static void
on_mark(DealChoices *page)
{
  mark_row(page, gtk_list_box_get_selected_row(page->choices));
}

static void
build_places(DealChoices *page, GtkBox *box)
{
  gtk_box_append(box, pieces_label(_("Mark a fault"), "section"));
  page->where = pieces_drop_down(box, _("Where"));
  g_signal_connect_swapped(page->where, "notify::selected", G_CALLBACK(on_narrow), page);
  GtkWidget *words = gtk_search_entry_new();
  g_object_set(words, "placeholder-text", _("A word of the fault or its finding"), NULL);
  pieces_name(words, _("Narrow down"));
  page->words = GTK_EDITABLE(words);
  g_signal_connect_swapped(words, "changed", G_CALLBACK(on_narrow), page);
  g_signal_connect_swapped(words, "activate", G_CALLBACK(on_mark), page);
  gtk_box_append(box, words);
}

static void
build_list(DealChoices *page, GtkBox *box)
{
  GtkWidget *list = gtk_list_box_new(), *scrolled = gtk_scrolled_window_new();
  page->choices = GTK_LIST_BOX(list);
  gtk_list_box_set_activate_on_single_click(page->choices, FALSE);
  gtk_list_box_set_selection_mode(page->choices, GTK_SELECTION_BROWSE);
  gtk_widget_add_css_class(list, "choices");
  pieces_name(list, _("Faults that can be marked"));
  g_signal_connect(list, "row-activated", G_CALLBACK(on_choice), page);
  gtk_search_entry_set_key_capture_widget(GTK_SEARCH_ENTRY(page->words), list);
  gtk_scrolled_window_set_child(GTK_SCROLLED_WINDOW(scrolled), list);
  pieces_name(scrolled, _("List of faults"));
  gtk_scrolled_window_set_policy(GTK_SCROLLED_WINDOW(scrolled), GTK_POLICY_NEVER,
                                 GTK_POLICY_AUTOMATIC);
  page->scrolled = scrolled;
  gtk_box_append(box, scrolled);
  page->more = GTK_LABEL(pieces_label("", "dim-label"));
  gtk_box_append(box, GTK_WIDGET(page->more));
  page->mark = gtk_button_new_with_label(_("Mark the chosen fault"));
  g_signal_connect_swapped(page->mark, "clicked", G_CALLBACK(on_mark), page);
  gtk_box_append(box, page->mark);
}

static void
deal_choices_dispose(GObject *object)
{
  DealChoices *page = DOORSHEET_DEAL_CHOICES(object);
  page->scene = NULL;
  page->filling = true; /* rows that go are no choice */
  g_clear_pointer(&page->wheres, g_array_unref);
  g_clear_object(&page->session);
  G_OBJECT_CLASS(deal_choices_parent_class)->dispose(object);
}

static void
deal_choices_class_init(DealChoicesClass *class)
{
  G_OBJECT_CLASS(class)->dispose = deal_choices_dispose;
}

static void
deal_choices_init(DealChoices *page)
{
  gtk_orientable_set_orientation(GTK_ORIENTABLE(page), GTK_ORIENTATION_VERTICAL);
  gtk_box_set_spacing(GTK_BOX(page), 6);
  page->wheres = g_array_new(FALSE, FALSE, sizeof(DealWhere));
  page->filling = true;
  build_places(page, GTK_BOX(page));
  build_list(page, GTK_BOX(page));
  page->filling = false;
}

DealChoices *
deal_choices_new(Session *session)
{
  DealChoices *page = g_object_new(DEAL_CHOICES_TYPE, NULL);
  page->session = g_object_ref(session);
  fill_where(page);
  return page;
}

void
deal_choices_show(DealChoices *page, const DealScene *scene, bool busy)
{
  bool other = scene != page->scene;
  page->scene = scene;
  page->busy = busy;
  if (other)
    fill_where(page);
  else
    fill_choices(page);
}

void
deal_choices_follow(DealChoices *page)
{
  gtk_editable_set_text(page->words, ""); /* they were about another place */
  fill_where(page);
}

void
deal_choices_begin(DealChoices *page, const char *place)
{
  GListModel *names = gtk_drop_down_get_model(page->where);
  for (guint i = 0; place != NULL && i < g_list_model_get_n_items(names); i++)
    if (strcmp(gtk_string_list_get_string(GTK_STRING_LIST(names), i), place) == 0)
      gtk_drop_down_set_selected(page->where, i);
  gtk_editable_set_text(page->words, "");
  gtk_widget_grab_focus(GTK_WIDGET(page->words));
}
