/* SPDX-License-Identifier: MIT */
/* The nameplate of what is selected, built from its kind's table: fields, rows (leads, readings),
 * terminals with what lands on them and the volts they stand at. With nothing selected it lists
 * the devices of the sheet, which also makes the diagram readable without the drawing. */
#include "base/language.h"
#include "desk/template.h"
#include "desk/tip.h"
#include "keep/nameplates.h"
#include "window/panels.h"
#include "window/row_table.h"
#include <string.h>

struct _LandPage {
  GtkBox parent;
  bool stale; /* something changed while it was out of sight */
  GtkLabel *heading;
  GtkLabel *help;
  GtkWidget *commands;
  GtkButton *operate;
  GtkMenuButton *nameplate;
  GtkWidget *fields;
  GtkWidget *rows_box; /* holds the table */
  GtkWidget *rows;
  GtkWidget *terminals_box;
  GtkWidget *terminals;
  GtkWidget *list;
  Session *session;
  char *built_for;    /* what the entries belong to */
  GPtrArray *entries; /* of FieldEntry *, borrowed */
};

G_DEFINE_FINAL_TYPE(LandPage, land_page, GTK_TYPE_BOX)

/* An exercise: its page shows what eyes find, and this one would show more. */
static bool
put_away(LandPage *page)
{
  return sheet_is_exercise(document_sheet(session_get_document(page->session)));
}

static const Device *
one_device(LandPage *page)
{
  guint n;
  session_get_selected_conductors(page->session, &n);
  if (session_get_selected_device_count(page->session) != 1 || n > 0 || put_away(page))
    return NULL;
  return document_find_device(session_get_document(page->session),
                              session_get_selected_devices(page->session)[0]);
}

static const Conductor *
one_conductor(LandPage *page)
{
  guint n;
  const guint32 *keys = session_get_selected_conductors(page->session, &n);
  if (session_get_selected_device_count(page->session) > 0 || n != 1 || put_away(page))
    return NULL;
  return document_find_conductor(session_get_document(page->session), keys[0]);
}

/* --- committing --- */

static void
on_commit(FieldEntry *entry, const char *text, LandPage *page)
{
  const Document *document = session_get_document(page->session);
  const Device *device = one_device(page);
  const Conductor *conductor = one_conductor(page);
  const char *name = field_entry_get_field(entry)->name;
  g_autoptr(GError) error = NULL;
  Change *change = NULL;
  if (device != NULL)
    change = edit_set_field(document, device->id, name, text, &error);
  else if (conductor != NULL)
    change = edit_set_conductor_field(document, conductor->key, name, text, &error);
  if (change != NULL)
    session_try(page->session, change, &error);
  if (error != NULL)
    field_entry_set_error(entry, error->message);
}

static void
on_id_commit(FieldEntry *entry, const char *text, LandPage *page)
{
  const Device *device = one_device(page);
  if (device == NULL || text == NULL)
    return;
  g_autofree char *id = g_strdup(text);
  g_autoptr(GError) error = NULL;
  Change *change = edit_set_id(session_get_document(page->session), device->id, id, &error);
  if (change == NULL || !session_try(page->session, change, &error))
    field_entry_set_error(entry, error->message);
  else
    session_select_device(page->session, id, false);
}

/* --- nameplates of one's own --- */

/* Made when it is opened: keeping this one, and those of its kind that are on the shelf. */
static void
offer_nameplates(GtkMenuButton *button, gpointer data)
{
  LandPage *page = data;
  const Device *device = one_device(page);
  g_autoptr(GMenu) menu = g_menu_new();
  g_menu_append(menu, _("Keep it on my shelf..."), "win.keep-nameplate");
  g_autofree char *path = nameplates_dup_path();
  PartCatalog catalog = document_catalog(session_get_document(page->session));
  g_autoptr(GPtrArray) list = nameplates_read(path, catalog, NULL);
  g_autoptr(GMenu) same = g_menu_new();
  for (guint i = 0; device != NULL && list != NULL && i < list->len; i++) {
    const Nameplate *nameplate = list->pdata[i];
    if (nameplate->device == NULL || nameplate->device->kind != device->kind)
      continue;
    g_autoptr(GMenuItem) item = g_menu_item_new(nameplate->name, NULL);
    g_menu_item_set_action_and_target(item, "win.use-nameplate", "s", nameplate->name);
    g_menu_append_item(same, item);
  }
  if (g_menu_model_get_n_items(G_MENU_MODEL(same)) > 0)
    g_menu_append_section(menu, _("Use from my shelf"), G_MENU_MODEL(same));
  gtk_menu_button_set_menu_model(button, G_MENU_MODEL(menu));
}

/* --- building --- */

static void
add_entry(LandPage *page, const FieldSpec *field)
{
  GtkWidget *entry = field_entry_new(field, NULL, false);
  g_signal_connect(entry, "commit", G_CALLBACK(on_commit), page);
  gtk_box_append(GTK_BOX(page->fields), entry);
  g_ptr_array_add(page->entries, entry);
}

static const FieldSpec id_field = {.name = "id",
                                   .title = N_("Name on the sheet"),
                                   .help = N_("Unique letters and number: T1, FU2"),
                                   .type = FIELD_NAME,
                                   .required = true};

static void
build_device(LandPage *page, const Device *device)
{
  FieldEntry *id = DOORSHEET_FIELD_ENTRY(field_entry_new(&id_field, NULL, false));
  g_signal_connect(id, "commit", G_CALLBACK(on_id_commit), page);
  gtk_box_append(GTK_BOX(page->fields), GTK_WIDGET(id));
  Value value = {.is_set = true, .has_value = true, .text = device->id};
  field_entry_set_value(id, &value);
  for (guint f = 0; f < device->kind->n_fields; f++)
    add_entry(page, &device->kind->fields[f]);
}

static void
fill_values(LandPage *page)
{
  const Device *device = one_device(page);
  const Conductor *conductor = one_conductor(page);
  for (guint i = 0; i < page->entries->len; i++) {
    FieldEntry *entry = page->entries->pdata[i];
    const FieldSpec *field = field_entry_get_field(entry);
    if (device != NULL)
      field_entry_set_value(entry, &device->values[field - device->kind->fields]);
    else if (conductor != NULL)
      field_entry_set_value(entry, &conductor->values[field - conductor_fields]);
  }
}

/* --- terminals --- */

static void
on_land_from(GtkButton *button, LandPage *page)
{
  const char *name = g_object_get_data(G_OBJECT(button), "terminal");
  const Device *device = one_device(page);
  if (device == NULL)
    return;
  g_autofree char *target = g_strdup_printf("%s.%s", device->id, name);
  gtk_widget_activate_action(GTK_WIDGET(page), "win.land-from", "s", target);
}

static char *
landed_where(LandPage *page, const Device *device, const Terminal *terminal)
{
  const Document *document = session_get_document(page->session);
  g_autoptr(GString) text = g_string_new(NULL);
  for (guint i = 0; i < document_conductor_count(document); i++) {
    const Conductor *conductor = document_conductor(document, i);
    const Landing *ends[2] = {&conductor->from, &conductor->to};
    for (int e = 0; e < 2; e++) {
      if (g_strcmp0(ends[e]->device, device->id) != 0 ||
          g_strcmp0(ends[e]->terminal, terminal->name) != 0)
        continue;
      const Device *other = document_find_device(document, ends[1 - e]->device);
      bool capped = other != NULL && other->kind->role == ROLE_CAP;
      g_autofree char *end = g_strdup_printf("%s.%s", ends[1 - e]->device, ends[1 - e]->terminal);
      g_string_append(text, text->len > 0 ? ", " : "");
      if (capped)
        g_string_append_printf(text, _("capped %s"), end);
      else
        g_string_append(text, end);
    }
  }
  if (text->len == 0)
    g_string_append(text, terminal->flying ? _("loose: land or cap it") : _("nothing landed"));
  return g_string_free(g_steal_pointer(&text), FALSE);
}

static void
show_terminals(LandPage *page)
{
  panel_clear(page->terminals);
  const Device *device = one_device(page);
  gtk_widget_set_visible(page->terminals_box, device != NULL && device_terminal_count(device) > 0);
  for (guint t = 0; device != NULL && t < device_terminal_count(device); t++) {
    const Terminal *terminal = device_terminal(device, t);
    g_autofree char *where = landed_where(page, device, terminal);
    g_autofree char *volts = session_dup_volts(page->session, device->id, terminal->name);
    GtkWidget *name = panel_label(terminal->name, "terminal-name");
    GtkWidget *place = panel_label(where, NULL);
    gtk_widget_set_hexpand(place, TRUE);
    GtkWidget *reading = panel_label(volts, "numeric");
    GtkWidget *land = gtk_button_new_with_label(_("Land"));
    gtk_widget_add_css_class(land, "tight");
    g_autofree char *what =
        g_strdup_printf(_("Land a conductor from %s.%s"), device->id, terminal->name);
    tip_set(land, what);
    gtk_accessible_update_property(GTK_ACCESSIBLE(land), GTK_ACCESSIBLE_PROPERTY_LABEL, what, -1);
    g_object_set_data_full(G_OBJECT(land), "terminal", g_strdup(terminal->name), g_free);
    g_signal_connect(land, "clicked", G_CALLBACK(on_land_from), page);
    GtkWidget *text = gtk_box_new(GTK_ORIENTATION_VERTICAL, 0);
    gtk_widget_set_hexpand(text, TRUE);
    gtk_box_append(GTK_BOX(text), place);
    gtk_box_append(GTK_BOX(text), reading);
    gtk_widget_add_css_class(reading, "dim-label");
    gtk_grid_attach(GTK_GRID(page->terminals), name, 0, (int)t, 1, 1);
    gtk_grid_attach(GTK_GRID(page->terminals), text, 1, (int)t, 1, 1);
    gtk_widget_set_valign(land, GTK_ALIGN_CENTER);
    gtk_grid_attach(GTK_GRID(page->terminals), land, 2, (int)t, 1, 1);
  }
}

/* --- the list of devices --- */

static void
on_list_chosen(GtkListBox *list, GtkListBoxRow *row, LandPage *page)
{
  (void)list;
  const char *id = g_object_get_data(G_OBJECT(row), "id");
  g_autofree char *copy = g_strdup(id);
  g_autoptr(GPtrArray) places = g_ptr_array_new();
  session_select_device(page->session, copy, false);
  g_ptr_array_add(places, copy);
  session_show_places(page->session, places);
  session_show_places(page->session, NULL);
}

/* Longer sheets are found by name (Ctrl+F), not by scrolling a list. */
#define LIST_MOST 300

static void
fill_list(LandPage *page)
{
  GtkWidget *row;
  while ((row = gtk_widget_get_first_child(page->list)) != NULL)
    gtk_list_box_remove(GTK_LIST_BOX(page->list), row);
  const Document *document = session_get_document(page->session);
  guint n = document_device_count(document);
  for (guint i = 0; i < MIN(n, LIST_MOST); i++) {
    const Device *device = document_device(document, i);
    g_autofree char *rating =
        device->kind->rating_text != NULL ? device->kind->rating_text(device) : NULL;
    g_autofree char *text =
        g_strdup_printf("%s  %s%s%s", device->id, _(device->kind->title),
                        rating != NULL ? ", " : "", rating != NULL ? rating : "");
    row = gtk_list_box_row_new();
    gtk_list_box_row_set_child(GTK_LIST_BOX_ROW(row), panel_label(text, NULL));
    gtk_accessible_update_property(GTK_ACCESSIBLE(row), GTK_ACCESSIBLE_PROPERTY_LABEL, text, -1);
    g_object_set_data_full(G_OBJECT(row), "id", g_strdup(device->id), g_free);
    gtk_list_box_append(GTK_LIST_BOX(page->list), row);
  }
}

/* --- following the session --- */

static void
head(LandPage *page, const char *heading, const char *help)
{
  gtk_label_set_text(page->heading, heading);
  gtk_label_set_text(page->help, help != NULL ? help : "");
  gtk_widget_set_visible(GTK_WIDGET(page->help), help != NULL && *help != '\0');
}

static void
head_of_conductor(LandPage *page, const Conductor *conductor)
{
  g_autofree char *name = conductor_dup_name(conductor);
  name[0] = g_ascii_toupper(name[0]);
  g_autofree char *volts =
      session_dup_volts(page->session, conductor->from.device, conductor->from.terminal);
  g_autofree char *help = g_strdup_printf(_("From %s.%s to %s.%s, %s."), conductor->from.device,
                                          conductor->from.terminal, conductor->to.device,
                                          conductor->to.terminal, volts);
  head(page, name, help);
}

static char *
signature(const Device *device, const Conductor *conductor)
{
  if (device != NULL)
    return g_strdup_printf("device %s %s", device->kind->name, device->id);
  return conductor != NULL ? g_strdup_printf("conductor %u", conductor->key) : g_strdup("");
}

static void
show_head(LandPage *page, const Device *device, const Conductor *conductor)
{
  if (device != NULL) {
    g_autofree char *heading =
        g_strdup_printf("%s  %s", device_designation(device), _(device->kind->title));
    head(page, heading, _(device->kind->help));
    const char *operate = device->kind->operate_field;
    gtk_widget_set_visible(GTK_WIDGET(page->operate), operate != NULL);
    if (operate != NULL) {
      const Value *value = device_value_named(device, operate);
      g_autofree char *now = value_dup_text(value, &device->kind->fields[value - device->values]);
      g_autofree char *text = g_strdup_printf(
          _("Operate (%s: %s)"), _(device->kind->fields[value - device->values].title), _(now));
      gtk_button_set_label(page->operate, text);
    }
  } else if (conductor != NULL)
    head_of_conductor(page, conductor);
  else if (session_get_selected_device_count(page->session) == 0) {
    g_autofree char *text = session_dup_selection_text(page->session);
    head(page, _("On this sheet"), text);
  } else {
    g_autofree char *text = session_dup_selection_text(page->session);
    head(page, _("Several selected"), text);
  }
}

static void
refresh(LandPage *page)
{
  const Device *device = one_device(page);
  const Conductor *conductor = one_conductor(page);
  bool any = device != NULL || conductor != NULL;
  g_autofree char *now = signature(device, conductor);
  show_head(page, device, conductor);
  gtk_widget_set_visible(page->commands, device != NULL);
  gtk_widget_set_visible(GTK_WIDGET(page->nameplate), device != NULL);
  gtk_widget_set_visible(page->list, !any);
  if (g_strcmp0(now, page->built_for) != 0) {
    g_ptr_array_set_size(page->entries, 0);
    panel_clear(page->fields);
    if (device != NULL)
      build_device(page, device);
    for (guint f = 0; conductor != NULL && f < CONDUCTOR_FIELD_COUNT; f++)
      add_entry(page, &conductor_fields[f]);
    g_free(page->built_for);
    page->built_for = g_steal_pointer(&now);
  }
  fill_values(page);
  row_table_show(DOORSHEET_ROW_TABLE(page->rows), device);
  show_terminals(page);
  if (!any)
    fill_list(page);
}

/* Out of sight nothing is built: every step of every tool changes the selection or the sheet. */
static bool
is_hidden(LandPage *page)
{
  page->stale = !gtk_widget_get_mapped(GTK_WIDGET(page));
  return page->stale;
}

static void
on_session(Session *session, LandPage *page)
{
  (void)session;
  if (!is_hidden(page))
    refresh(page);
}

static void
on_inspected(Session *session, LandPage *page)
{
  (void)session;
  if (!is_hidden(page))
    show_terminals(page);
}

static void
land_page_map(GtkWidget *widget)
{
  LandPage *page = DOORSHEET_LAND_PAGE(widget);
  GTK_WIDGET_CLASS(land_page_parent_class)->map(widget);
  if (page->stale && page->session != NULL)
    refresh(page);
  page->stale = false;
}

void
land_page_set_session(LandPage *page, Session *session)
{
  page->session = g_object_ref(session);
  page->rows = row_table_new(session);
  gtk_box_append(GTK_BOX(page->rows_box), page->rows);
  g_signal_connect_object(session, "changed", G_CALLBACK(on_session), page, 0);
  g_signal_connect_object(session, "selection", G_CALLBACK(on_session), page, 0);
  g_signal_connect_object(session, "inspected", G_CALLBACK(on_inspected), page, 0);
  g_signal_connect_object(session, "state", G_CALLBACK(on_inspected), page, 0);
  refresh(page);
}

static void
land_page_dispose(GObject *object)
{
  LandPage *page = DOORSHEET_LAND_PAGE(object);
  g_clear_pointer(&page->entries, g_ptr_array_unref);
  g_clear_pointer(&page->built_for, g_free);
  g_clear_object(&page->session);
  G_OBJECT_CLASS(land_page_parent_class)->dispose(object);
}

static void
land_page_class_init(LandPageClass *class)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS(class);
  G_OBJECT_CLASS(class)->dispose = land_page_dispose;
  GTK_WIDGET_CLASS(class)->map = land_page_map;
  template_set(widget_class, "land_page.ui");
  gtk_widget_class_bind_template_child(widget_class, LandPage, heading);
  gtk_widget_class_bind_template_child(widget_class, LandPage, help);
  gtk_widget_class_bind_template_child(widget_class, LandPage, commands);
  gtk_widget_class_bind_template_child(widget_class, LandPage, operate);
  gtk_widget_class_bind_template_child(widget_class, LandPage, nameplate);
  gtk_widget_class_bind_template_child(widget_class, LandPage, fields);
  gtk_widget_class_bind_template_child(widget_class, LandPage, rows_box);
  gtk_widget_class_bind_template_child(widget_class, LandPage, terminals_box);
  gtk_widget_class_bind_template_child(widget_class, LandPage, terminals);
  gtk_widget_class_bind_template_child(widget_class, LandPage, list);
  gtk_widget_class_bind_template_callback(widget_class, on_list_chosen);
}

static void
land_page_init(LandPage *page)
{
  page->entries = g_ptr_array_new();
  gtk_widget_init_template(GTK_WIDGET(page));
  gtk_menu_button_set_create_popup_func(page->nameplate, offer_nameplates, page, NULL);
}
