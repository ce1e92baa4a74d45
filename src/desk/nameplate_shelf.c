/* SPDX-License-Identifier: MIT */
#include "desk/nameplate_shelf.h"

#include "base/language.h"
#include "desk/field_entry.h"
#include "desk/part_item.h"
#include "desk/tip.h"
#include <string.h>

struct _NameplateShelf {
  GtkBox parent;
  GtkWidget *hint;  /* what to do while it is empty, or what is wrong with the file */
  GtkWidget *aside; /* button: the file cannot be used */
  GtkWidget *items; /* of rows, each with its Nameplate's index */
  PartCatalog catalog;
  GPtrArray *nameplates;
  GFileMonitor *monitor;
  guint listener;
  char *words;
};

G_DEFINE_FINAL_TYPE(NameplateShelf, nameplate_shelf, GTK_TYPE_BOX)

bool
nameplate_shelf_matches(const char *words, const char *const *texts)
{
  g_autofree char *folded = g_utf8_casefold(words, -1);
  g_auto(GStrv) list = g_strsplit_set(folded, " \t", -1);
  g_autofree char *joined = g_strjoinv(" ", (char **)(guintptr)texts);
  g_autofree char *all = g_utf8_casefold(joined, -1);
  for (guint i = 0; list[i] != NULL; i++)
    if (strstr(all, list[i]) == NULL)
      return false;
  return true;
}

/* --- one nameplate --- */

static char *
dup_facts(const Device *device)
{
  const PartKind *kind = device->kind;
  g_autofree char *rating = kind->rating_text != NULL ? kind->rating_text(device) : NULL;
  if (rating == NULL || *rating == '\0')
    return g_strdup(_(kind->title));
  return g_strdup_printf("%s, %s", _(kind->title), rating);
}

static void
add_entry(GMenu *menu, const char *label, const char *action, const char *name)
{
  g_autoptr(GMenuItem) item = g_menu_item_new(label, NULL);
  g_menu_item_set_action_and_target(item, action, "s", name);
  g_menu_append_item(menu, item);
}

static GtkWidget *
more_button(const Nameplate *nameplate)
{
  g_autoptr(GMenu) menu = g_menu_new();
  if (nameplate->device != NULL)
    add_entry(menu, _("Give it to the selected device"), "win.use-nameplate", nameplate->name);
  add_entry(menu, _("Rename..."), "win.rename-nameplate", nameplate->name);
  add_entry(menu, _("Export..."), "win.export-nameplate", nameplate->name);
  add_entry(menu, _("Delete..."), "win.delete-nameplate", nameplate->name);
  GtkWidget *button = gtk_menu_button_new();
  gtk_menu_button_set_icon_name(GTK_MENU_BUTTON(button), "view-more-symbolic");
  gtk_menu_button_set_menu_model(GTK_MENU_BUTTON(button), G_MENU_MODEL(menu));
  gtk_menu_button_set_has_frame(GTK_MENU_BUTTON(button), FALSE);
  gtk_widget_set_valign(button, GTK_ALIGN_CENTER);
  g_autofree char *what = g_strdup_printf(_("More for %s"), nameplate->name);
  tip_set(button, what);
  gtk_accessible_update_property(GTK_ACCESSIBLE(button), GTK_ACCESSIBLE_PROPERTY_LABEL, what, -1);
  return button;
}

static void
on_right_click(GtkGestureClick *click, int presses, double x, double y, GtkMenuButton *more)
{
  (void)click;
  (void)presses;
  (void)x;
  (void)y;
  gtk_menu_button_popup(more);
}

static GtkWidget *
make_row(const Nameplate *nameplate)
{
  GtkWidget *row = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 0);
  GtkWidget *item;
  if (nameplate->device != NULL) {
    g_autofree char *facts = dup_facts(nameplate->device);
    item = part_item_new(nameplate->device, nameplate->name, facts,
                         _("Own nameplate: click, or drag it onto the sheet"));
    gtk_actionable_set_action_name(GTK_ACTIONABLE(item), "win.place-nameplate");
    gtk_actionable_set_action_target(GTK_ACTIONABLE(item), "s", nameplate->name);
  } else {
    item = gtk_box_new(GTK_ORIENTATION_VERTICAL, 0);
    gtk_widget_add_css_class(item, "unreadable");
    gtk_box_append(GTK_BOX(item), panel_label(nameplate->name, NULL));
    gtk_box_append(GTK_BOX(item),
                   panel_label(_("Cannot be read here; it stays in the file."), "dim-label"));
    tip_set(item, nameplate->problem);
  }
  gtk_widget_set_hexpand(item, TRUE);
  GtkWidget *more = more_button(nameplate);
  gtk_box_append(GTK_BOX(row), item);
  gtk_box_append(GTK_BOX(row), more);
  GtkGesture *click = gtk_gesture_click_new();
  gtk_gesture_single_set_button(GTK_GESTURE_SINGLE(click), GDK_BUTTON_SECONDARY);
  g_signal_connect_object(click, "pressed", G_CALLBACK(on_right_click), more, 0);
  gtk_widget_add_controller(row, GTK_EVENT_CONTROLLER(click));
  return row;
}

/* --- the list --- */

static bool
shown(const NameplateShelf *shelf, const Nameplate *nameplate)
{
  const Device *device = nameplate->device;
  g_autofree char *facts = device != NULL ? dup_facts(device) : g_strdup("");
  g_autoptr(GString) rows = g_string_new(NULL); /* a tap is found by its volts */
  for (guint r = 0; device != NULL && r < device_row_count(device); r++)
    for (guint f = 0; f < device->kind->n_row_fields; f++)
      g_string_append_printf(rows, " %s", device_row_text(device, r, f));
  const char *texts[] = {nameplate->name, facts, rows->str, NULL};
  return nameplate_shelf_matches(shelf->words, texts);
}

guint
nameplate_shelf_filter(NameplateShelf *shelf, const char *words)
{
  guint n = 0, i = 0;
  char *before = shelf->words; /* may be the very words: freed last */
  shelf->words = g_strdup(words);
  GtkWidget *row = gtk_widget_get_first_child(shelf->items);
  for (; row != NULL; row = gtk_widget_get_next_sibling(row), i++) {
    bool visible = shown(shelf, shelf->nameplates->pdata[i]);
    gtk_widget_set_visible(row, visible);
    n += visible;
  }
  bool all = *words == '\0';
  gtk_widget_set_visible(GTK_WIDGET(shelf), all || n > 0);
  g_free(before);
  return n;
}

GtkWidget *
nameplate_shelf_first(NameplateShelf *shelf)
{
  GtkWidget *row = gtk_widget_get_first_child(shelf->items);
  for (; row != NULL; row = gtk_widget_get_next_sibling(row)) {
    GtkWidget *item = gtk_widget_get_first_child(row);
    if (gtk_widget_get_visible(row) && GTK_IS_BUTTON(item))
      return item;
  }
  return NULL;
}

const GPtrArray *
nameplate_shelf_get(NameplateShelf *shelf)
{
  return shelf->nameplates;
}

/* Names do not move about when the focused one is told: the keyboard stays where it was. */
static void
refresh(gpointer data)
{
  NameplateShelf *shelf = data;
  g_autoptr(GError) error = NULL;
  g_autofree char *path = nameplates_dup_path();
  GtkRoot *root = gtk_widget_get_root(GTK_WIDGET(shelf));
  GtkWidget *focus = root != NULL ? gtk_root_get_focus(root) : NULL;
  bool inside = focus != NULL && gtk_widget_is_ancestor(focus, shelf->items);
  g_clear_pointer(&shelf->nameplates, g_ptr_array_unref);
  panel_clear(shelf->items);
  shelf->nameplates = nameplates_read(path, shelf->catalog, &error);
  guint n = shelf->nameplates != NULL ? shelf->nameplates->len : 0;
  for (guint i = 0; i < n; i++)
    gtk_box_append(GTK_BOX(shelf->items), make_row(shelf->nameplates->pdata[i]));
  gtk_label_set_text(GTK_LABEL(shelf->hint),
                     error != NULL ? error->message
                                   : _("Select a device and press Ctrl+K: its nameplate is kept "
                                       "here for every sheet."));
  gtk_widget_set_visible(shelf->hint, n == 0);
  gtk_widget_set_visible(shelf->aside, error != NULL);
  nameplate_shelf_filter(shelf, shelf->words);
  GtkWidget *first = nameplate_shelf_first(shelf);
  if (inside && first != NULL)
    gtk_widget_grab_focus(first);
  g_signal_emit_by_name(shelf, "refreshed");
}

static void
on_file_event(GFileMonitor *monitor, GFile *file, GFile *other, GFileMonitorEvent event,
              NameplateShelf *shelf)
{
  (void)monitor;
  (void)file;
  (void)other;
  if (event == G_FILE_MONITOR_EVENT_CHANGES_DONE_HINT || event == G_FILE_MONITOR_EVENT_CREATED ||
      event == G_FILE_MONITOR_EVENT_DELETED || event == G_FILE_MONITOR_EVENT_RENAMED ||
      event == G_FILE_MONITOR_EVENT_MOVED_IN)
    refresh(shelf);
}

/* --- making it --- */

static GtkWidget *
make_head(void)
{
  GtkWidget *head = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 4);
  GtkWidget *title = panel_label(_("My nameplates"), "shelf-group");
  gtk_widget_set_hexpand(title, TRUE);
  gtk_box_append(GTK_BOX(head), title);
  g_autoptr(GMenu) menu = g_menu_new();
  g_menu_append(menu, _("Keep the selected device's nameplate"), "win.keep-nameplate");
  g_menu_append(menu, _("Import nameplates..."), "win.import-nameplates");
  g_menu_append(menu, _("Export all nameplates..."), "win.export-nameplates");
  GtkWidget *more = gtk_menu_button_new();
  gtk_menu_button_set_icon_name(GTK_MENU_BUTTON(more), "view-more-symbolic");
  gtk_menu_button_set_menu_model(GTK_MENU_BUTTON(more), G_MENU_MODEL(menu));
  gtk_menu_button_set_has_frame(GTK_MENU_BUTTON(more), FALSE);
  tip_set(more, _("Keep, import and export nameplates"));
  gtk_accessible_update_property(GTK_ACCESSIBLE(more), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                 _("My nameplates: keep, import, export"), -1);
  gtk_box_append(GTK_BOX(head), more);
  return head;
}

GtkWidget *
nameplate_shelf_new(PartCatalog catalog)
{
  NameplateShelf *shelf =
      g_object_new(NAMEPLATE_SHELF_TYPE, "orientation", GTK_ORIENTATION_VERTICAL, NULL);
  shelf->catalog = catalog;
  g_autofree char *path = nameplates_dup_path();
  g_autoptr(GFile) file = g_file_new_for_path(path);
  shelf->monitor = g_file_monitor_file(file, G_FILE_MONITOR_WATCH_MOVES, NULL, NULL);
  if (shelf->monitor != NULL)
    g_signal_connect_object(shelf->monitor, "changed", G_CALLBACK(on_file_event), shelf, 0);
  shelf->listener = nameplates_listen(refresh, shelf);
  refresh(shelf);
  return GTK_WIDGET(shelf);
}

static void
nameplate_shelf_dispose(GObject *object)
{
  NameplateShelf *shelf = DOORSHEET_NAMEPLATE_SHELF(object);
  if (shelf->listener != 0)
    nameplates_unlisten(shelf->listener);
  shelf->listener = 0;
  if (shelf->monitor != NULL)
    g_file_monitor_cancel(shelf->monitor);
  g_clear_object(&shelf->monitor);
  g_clear_pointer(&shelf->nameplates, g_ptr_array_unref);
  g_clear_pointer(&shelf->words, g_free);
  G_OBJECT_CLASS(nameplate_shelf_parent_class)->dispose(object);
}

static void
nameplate_shelf_class_init(NameplateShelfClass *class)
{
  G_OBJECT_CLASS(class)->dispose = nameplate_shelf_dispose;
  g_signal_new("refreshed", NAMEPLATE_SHELF_TYPE, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
               G_TYPE_NONE, 0);
}

static void
nameplate_shelf_init(NameplateShelf *shelf)
{
  shelf->words = g_strdup("");
  gtk_box_append(GTK_BOX(shelf), make_head());
  shelf->hint = panel_label("", "shelf-hint");
  gtk_box_append(GTK_BOX(shelf), shelf->hint);
  shelf->aside = gtk_button_new_with_label(_("Set the file aside"));
  gtk_widget_set_halign(shelf->aside, GTK_ALIGN_START);
  tip_set(shelf->aside, _("Renames the file and begins a new, empty shelf"));
  gtk_actionable_set_action_name(GTK_ACTIONABLE(shelf->aside), "win.set-nameplates-aside");
  gtk_box_append(GTK_BOX(shelf), shelf->aside);
  shelf->items = gtk_box_new(GTK_ORIENTATION_VERTICAL, 0);
  gtk_box_append(GTK_BOX(shelf), shelf->items);
  gtk_widget_add_css_class(GTK_WIDGET(shelf), "nameplates");
}
