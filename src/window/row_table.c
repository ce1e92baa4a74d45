/* SPDX-License-Identifier: MIT */
#include "window/row_table.h"

#include "base/language.h"
#include "desk/field_entry.h"
#include <string.h>

struct _RowTable {
  GtkBox parent;
  GtkWidget *title, *place, *add; /* place holds the grid */
  Session *session;
  char *built_for;
  char *device;       /* whose rows these are; NULL: none */
  GPtrArray *entries; /* of FieldEntry *, borrowed, row after row */
  GPtrArray *notes;   /* of GtkLabel *, borrowed: one a row */
};

G_DEFINE_FINAL_TYPE(RowTable, row_table, GTK_TYPE_BOX)

#define ROW_KEY "row"

static const Device *
device_of(RowTable *table)
{
  return table->device != NULL
             ? document_find_device(session_get_document(table->session), table->device)
             : NULL;
}

static guint
row_of(gpointer widget)
{
  return GPOINTER_TO_UINT(g_object_get_data(G_OBJECT(widget), ROW_KEY));
}

static FieldEntry *
entry_at(RowTable *table, guint row, guint field)
{
  const Device *device = device_of(table);
  guint at = device != NULL ? row * device->kind->n_row_fields + field : 0;
  return device != NULL && at < table->entries->len ? table->entries->pdata[at] : NULL;
}

/* --- what is wrong with a row --- */

static void
note(RowTable *table, guint row, const char *message)
{
  GtkLabel *label = table->notes->pdata[row];
  gtk_label_set_text(label, message != NULL ? message : "");
  gtk_widget_set_visible(GTK_WIDGET(label), message != NULL);
}

/* The row as the document has it. */
static void
note_standing(RowTable *table, guint row)
{
  const Device *device = device_of(table);
  if (device == NULL || row >= device_row_count(device) || row >= table->notes->len)
    return;
  g_autofree char *problem =
      device->kind->row_problem != NULL ? device->kind->row_problem(device, row) : NULL;
  note(table, row, problem);
}

static void
on_judged(FieldEntry *entry, const char *message, RowTable *table)
{
  if (row_of(entry) >= table->notes->len)
    return;
  if (message != NULL)
    note(table, row_of(entry), message);
  else
    note_standing(table, row_of(entry));
}

/* Would the device still be one, with this text in this field? */
static bool
check(FieldEntry *entry, const char *text, gpointer data, GError **error)
{
  const Device *device = device_of(data);
  if (device == NULL || row_of(entry) >= device_row_count(device))
    return true;
  g_autoptr(Device) tried = device_copy(device);
  return device_set_row(tried, row_of(entry), field_entry_get_field(entry)->name, text, error) &&
         device_derive(tried, error);
}

/* --- edits --- */

static void
on_commit(FieldEntry *entry, const char *text, RowTable *table)
{
  const Device *device = device_of(table);
  if (device == NULL)
    return;
  g_autoptr(GError) error = NULL;
  Change *change =
      edit_set_row_field(session_get_document(table->session), device->id, row_of(entry),
                         field_entry_get_field(entry)->name, text, &error);
  if (change != NULL)
    session_try(table->session, change, &error);
  if (error != NULL)
    field_entry_set_error(entry, error->message);
}

static void
move(RowTable *table, guint from, int step)
{
  const Device *device = device_of(table);
  if (device == NULL || (step < 0 ? from == 0 : from + 1 >= device_row_count(device)))
    return;
  GtkRoot *root = gtk_widget_get_root(GTK_WIDGET(table));
  GtkWidget *focus = root != NULL ? gtk_root_get_focus(root) : NULL;
  GtkWidget *entry = focus != NULL ? gtk_widget_get_ancestor(focus, FIELD_ENTRY_TYPE) : NULL;
  guint to = step < 0 ? from - 1 : from + 1;
  guint field = 0;
  if (entry != NULL)
    field = (guint)(field_entry_get_field(DOORSHEET_FIELD_ENTRY(entry)) - device->kind->row_fields);
  GError *error = NULL;
  Change *change =
      edit_move_row(session_get_document(table->session), device->id, from, to, &error);
  if (!session_edit(table->session, change, error))
    return;
  FieldEntry *there = entry_at(table, to, field < device->kind->n_row_fields ? field : 0);
  if (there != NULL) /* the keyboard goes along with the row */
    gtk_widget_grab_focus(field_entry_get_editor(there));
}

static void
remove_row(RowTable *table, guint row)
{
  const Device *device = device_of(table);
  if (device == NULL)
    return;
  g_autofree char *gone = NULL;
  g_autofree char *name = g_strdup_printf("%s %u", _(device->kind->row_title), row + 1);
  for (guint t = 0; t < device_terminal_count(device); t++)
    if (device_terminal(device, t)->row == (int)row) {
      g_free(name);
      name = g_strdup(device_terminal(device, t)->name);
      break;
    }
  GError *error = NULL;
  Change *change =
      edit_remove_row_landed(session_get_document(table->session), device->id, row, &gone, &error);
  if (!session_edit(table->session, change, error))
    return;
  if (gone != NULL && *gone != '\0')
    session_say(table->session,
                _("%s is gone, and with it what was landed on it: %s. Ctrl+Z takes "
                  "it back."),
                name, gone);
  else
    session_say(table->session, _("%s is gone. Ctrl+Z takes it back."), name);
  device = device_of(table);
  guint left = device != NULL ? device_row_count(device) : 0;
  FieldEntry *next = left > 0 ? entry_at(table, MIN(row, left - 1), 0) : NULL;
  if (next != NULL)
    gtk_widget_grab_focus(field_entry_get_editor(next));
}

static void
on_add(GtkButton *button, RowTable *table)
{
  (void)button;
  const Device *device = device_of(table);
  if (device == NULL)
    return;
  GError *error = NULL;
  Change *change = edit_add_row(session_get_document(table->session), device->id, &error);
  if (!session_edit(table->session, change, error))
    return;
  device = device_of(table);
  FieldEntry *first = device != NULL ? entry_at(table, device_row_count(device) - 1, 0) : NULL;
  if (first != NULL)
    gtk_widget_grab_focus(field_entry_get_editor(first));
}

/* --- commands of a row --- */

static void
on_command(GtkWidget *widget, const char *action, GVariant *parameter)
{
  RowTable *table = DOORSHEET_ROW_TABLE(widget);
  guint row = g_variant_get_uint32(parameter);
  if (strcmp(action, "row.up") == 0)
    move(table, row, -1);
  else if (strcmp(action, "row.down") == 0)
    move(table, row, 1);
  else
    remove_row(table, row);
}

static void
add_command(GMenu *menu, const char *label, const char *action, const char *keys, guint row)
{
  g_autoptr(GMenuItem) item = g_menu_item_new(label, NULL);
  g_menu_item_set_action_and_target(item, action, "u", row);
  g_menu_item_set_attribute(item, "accel", "s", keys);
  g_menu_append_item(menu, item);
}

static GtkWidget *
more_button(const Device *device, guint row)
{
  g_autoptr(GMenu) menu = g_menu_new();
  add_command(menu, _("Move up"), "row.up", "<Alt>Up", row);
  add_command(menu, _("Move down"), "row.down", "<Alt>Down", row);
  g_autofree char *remove = g_strdup_printf(_("Remove this %s"), _(device->kind->row_name));
  add_command(menu, remove, "row.remove", "<Alt>Delete", row);
  GtkWidget *button = gtk_menu_button_new();
  gtk_menu_button_set_icon_name(GTK_MENU_BUTTON(button), "view-more-symbolic");
  gtk_menu_button_set_menu_model(GTK_MENU_BUTTON(button), G_MENU_MODEL(menu));
  gtk_menu_button_set_has_frame(GTK_MENU_BUTTON(button), FALSE);
  gtk_widget_add_css_class(button, "row-more");
  g_autofree char *what =
      g_strdup_printf(_("%s %u: move, remove"), _(device->kind->row_title), row + 1);
  gtk_widget_set_tooltip_text(button, what);
  gtk_accessible_update_property(GTK_ACCESSIBLE(button), GTK_ACCESSIBLE_PROPERTY_LABEL, what, -1);
  return button;
}

/* Before the entries get the key. */
static gboolean
on_key(GtkEventControllerKey *keys, guint key, guint code, GdkModifierType state, RowTable *table)
{
  (void)keys;
  (void)code;
  GtkRoot *root = gtk_widget_get_root(GTK_WIDGET(table));
  GtkWidget *focus = root != NULL ? gtk_root_get_focus(root) : NULL;
  GtkWidget *entry = focus != NULL ? gtk_widget_get_ancestor(focus, FIELD_ENTRY_TYPE) : NULL;
  if (entry == NULL || (state & gtk_accelerator_get_default_mod_mask()) != GDK_ALT_MASK)
    return FALSE;
  if (key == GDK_KEY_Up || key == GDK_KEY_Down)
    move(table, row_of(entry), key == GDK_KEY_Up ? -1 : 1);
  else if (key == GDK_KEY_Delete)
    remove_row(table, row_of(entry));
  else
    return FALSE;
  return TRUE;
}

/* --- building --- */

static void
narrow(FieldEntry *entry)
{
  GtkWidget *editor = field_entry_get_editor(entry);
  if (!GTK_IS_ENTRY(editor))
    return;
  int letters = field_entry_get_field(entry)->type == FIELD_NAME ? 3 : 5;
  gtk_editable_set_width_chars(GTK_EDITABLE(editor), letters);
  gtk_editable_set_max_width_chars(GTK_EDITABLE(editor), letters + 1);
}

static void
build_row(RowTable *table, GtkWidget *grid, const Device *device, guint row)
{
  const PartKind *kind = device->kind;
  int line = 2 * (int)row + 1;
  for (guint f = 0; f < kind->n_row_fields; f++) {
    g_autofree char *name =
        g_strdup_printf("%s %u %s", _(kind->row_title), row + 1, _(kind->row_fields[f].title));
    FieldEntry *entry = DOORSHEET_FIELD_ENTRY(field_entry_new(&kind->row_fields[f], name, true));
    narrow(entry);
    g_object_set_data(G_OBJECT(entry), ROW_KEY, GUINT_TO_POINTER(row));
    g_signal_connect(entry, "commit", G_CALLBACK(on_commit), table);
    g_signal_connect(entry, "judged", G_CALLBACK(on_judged), table);
    field_entry_set_check(entry, check, table);
    gtk_grid_attach(GTK_GRID(grid), GTK_WIDGET(entry), (int)f, line, 1, 1);
    g_ptr_array_add(table->entries, entry);
  }
  gtk_grid_attach(GTK_GRID(grid), more_button(device, row), (int)kind->n_row_fields, line, 1, 1);
  GtkWidget *label = panel_label("", "problem");
  gtk_widget_set_visible(label, FALSE);
  gtk_grid_attach(GTK_GRID(grid), label, 0, line + 1, (int)kind->n_row_fields + 1, 1);
  g_ptr_array_add(table->notes, label);
}

static void
build(RowTable *table, const Device *device)
{
  const PartKind *kind = device->kind;
  g_autofree char *title = g_strdup_printf("%ss", kind->row_title);
  gtk_label_set_text(GTK_LABEL(table->title), _(title));
  g_autofree char *add = g_strdup_printf(_("Add a %s"), _(kind->row_name));
  gtk_button_set_label(GTK_BUTTON(table->add), add);
  GtkWidget *grid = gtk_grid_new();
  gtk_grid_set_column_spacing(GTK_GRID(grid), 4);
  gtk_grid_set_row_spacing(GTK_GRID(grid), 3);
  for (guint f = 0; f < kind->n_row_fields; f++) {
    GtkWidget *head = panel_label(_(kind->row_fields[f].title), "column-head");
    gtk_label_set_wrap(GTK_LABEL(head), FALSE);
    gtk_grid_attach(GTK_GRID(grid), head, (int)f, 0, 1, 1);
  }
  for (guint row = 0; row < device_row_count(device); row++)
    build_row(table, grid, device, row);
  gtk_box_append(GTK_BOX(table->place), grid);
}

static void
fill(RowTable *table, const Device *device)
{
  const PartKind *kind = device->kind;
  for (guint row = 0; row < device_row_count(device); row++) {
    for (guint f = 0; f < kind->n_row_fields; f++)
      field_entry_set_value(entry_at(table, row, f), &device_row(device, row)[f]);
    note_standing(table, row);
  }
  gtk_widget_set_sensitive(table->add, device_row_count(device) < kind->max_rows);
}

void
row_table_show(RowTable *table, const Device *device)
{
  bool rows = device != NULL && device->kind->row_fields != NULL;
  g_autofree char *now =
      rows ? g_strdup_printf("%s %s %u", device->kind->name, device->id, device_row_count(device))
           : g_strdup("");
  gtk_widget_set_visible(GTK_WIDGET(table), rows);
  if (g_strcmp0(now, table->built_for) != 0) {
    g_ptr_array_set_size(table->entries, 0);
    g_ptr_array_set_size(table->notes, 0);
    g_free(table->device);
    table->device = g_strdup(rows ? device->id : NULL);
    panel_clear(table->place);
    if (rows)
      build(table, device);
    g_free(table->built_for);
    table->built_for = g_steal_pointer(&now);
  }
  if (rows)
    fill(table, device);
}

GtkWidget *
row_table_new(Session *session)
{
  RowTable *table = g_object_new(ROW_TABLE_TYPE, "orientation", GTK_ORIENTATION_VERTICAL, "spacing",
                                 4, "visible", FALSE, NULL);
  table->session = g_object_ref(session);
  return GTK_WIDGET(table);
}

static void
row_table_dispose(GObject *object)
{
  RowTable *table = DOORSHEET_ROW_TABLE(object);
  g_clear_pointer(&table->built_for, g_free);
  g_clear_pointer(&table->device, g_free);
  g_clear_object(&table->session);
  G_OBJECT_CLASS(row_table_parent_class)->dispose(object);
}

static void
row_table_finalize(GObject *object)
{
  g_ptr_array_unref(DOORSHEET_ROW_TABLE(object)->entries);
  g_ptr_array_unref(DOORSHEET_ROW_TABLE(object)->notes);
  G_OBJECT_CLASS(row_table_parent_class)->finalize(object);
}

static void
row_table_class_init(RowTableClass *class)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS(class);
  G_OBJECT_CLASS(class)->dispose = row_table_dispose;
  G_OBJECT_CLASS(class)->finalize = row_table_finalize;
  gtk_widget_class_install_action(widget_class, "row.up", "u", on_command);
  gtk_widget_class_install_action(widget_class, "row.down", "u", on_command);
  gtk_widget_class_install_action(widget_class, "row.remove", "u", on_command);
}

static void
row_table_init(RowTable *table)
{
  table->entries = g_ptr_array_new();
  table->notes = g_ptr_array_new();
  table->title = panel_label("", "section");
  table->place = gtk_box_new(GTK_ORIENTATION_VERTICAL, 0);
  table->add = gtk_button_new();
  gtk_widget_set_halign(table->add, GTK_ALIGN_START);
  g_signal_connect(table->add, "clicked", G_CALLBACK(on_add), table);
  GtkEventController *keys = gtk_event_controller_key_new();
  gtk_event_controller_set_propagation_phase(keys, GTK_PHASE_CAPTURE);
  g_signal_connect(keys, "key-pressed", G_CALLBACK(on_key), table);
  gtk_widget_add_controller(GTK_WIDGET(table), keys);
  gtk_box_append(GTK_BOX(table), table->title);
  gtk_box_append(GTK_BOX(table), table->place);
  gtk_box_append(GTK_BOX(table), table->add);
}
