/* SPDX-License-Identifier: MIT */
/* The parts shelf: own nameplates, the kinds in the order power flows, and the words that narrow
 * both down. */
#include "base/language.h"
#include "desk/nameplate_shelf.h"
#include "desk/part_item.h"
#include "desk/template.h"
#include "window/panels.h"
#include <string.h>

struct _Shelf {
  GtkBox parent;
  GtkWidget *search;
  GtkWidget *items;
  GtkWidget *nothing;
  GtkWidget *nameplates;
  bool (*offers)(const PartKind *kind); /* NULL: everything */
};

G_DEFINE_FINAL_TYPE(Shelf, shelf, GTK_TYPE_BOX)

#define KIND_KEY "kind"

static GtkWidget *
make_item(const PartKind *kind)
{
  g_autoptr(Device) sample = device_new(kind, kind->designation);
  GtkWidget *item = part_item_new(sample, _(kind->title), NULL, _(kind->help));
  gtk_actionable_set_action_name(GTK_ACTIONABLE(item), "win.place");
  gtk_actionable_set_action_target(GTK_ACTIONABLE(item), "s", kind->name);
  g_object_set_data(G_OBJECT(item), KIND_KEY, (gpointer)(guintptr)kind);
  return item;
}

/* --- narrowing down --- */

static bool
matches(const PartKind *kind, const char *words)
{
  const char *texts[] = {_(kind->title), _(kind->help), kind->designation,
                         _(part_group_title(kind->group)), NULL};
  return nameplate_shelf_matches(words, texts);
}

static void
filter(Shelf *shelf)
{
  const char *words = gtk_editable_get_text(GTK_EDITABLE(shelf->search));
  guint n = nameplate_shelf_filter(DOORSHEET_NAMEPLATE_SHELF(shelf->nameplates), words);
  gtk_widget_set_visible(shelf->nameplates, shelf->offers == NULL);
  n = shelf->offers == NULL ? n : 0;
  GtkWidget *heading = NULL;
  GtkWidget *child = gtk_widget_get_first_child(shelf->items);
  for (; child != NULL; child = gtk_widget_get_next_sibling(child)) {
    const PartKind *kind = g_object_get_data(G_OBJECT(child), KIND_KEY);
    if (child == shelf->nameplates)
      continue;
    bool visible =
        kind != NULL && (shelf->offers == NULL || shelf->offers(kind)) && matches(kind, words);
    gtk_widget_set_visible(child, visible); /* a heading: until one below it is seen */
    n += visible;
    if (kind == NULL)
      heading = child;
    else if (visible && heading != NULL)
      gtk_widget_set_visible(heading, TRUE);
  }
  gtk_widget_set_visible(shelf->nothing, n == 0);
}

static void
on_search(GtkSearchEntry *entry, Shelf *shelf)
{
  (void)entry;
  filter(shelf);
}

/* Enter takes the first thing found in hand. */
static void
on_search_activate(GtkSearchEntry *entry, Shelf *shelf)
{
  (void)entry;
  filter(shelf); /* the search is told a moment after the typing */
  GtkWidget *first = NULL;
  GtkWidget *child = gtk_widget_get_first_child(shelf->items);
  for (; child != NULL && first == NULL; child = gtk_widget_get_next_sibling(child)) {
    if (child == shelf->nameplates && shelf->offers == NULL)
      first = nameplate_shelf_first(DOORSHEET_NAMEPLATE_SHELF(child));
    else if (GTK_IS_BUTTON(child) && gtk_widget_get_visible(child))
      first = child;
  }
  if (first != NULL)
    g_signal_emit_by_name(first, "clicked"); /* at once, not after the press is shown */
}

static void
on_search_stop(GtkSearchEntry *entry, Shelf *shelf)
{
  (void)shelf;
  gtk_editable_set_text(GTK_EDITABLE(entry), "");
}

/* Own nameplates come first once there are some; until then their hint stays out of the way. */
static void
on_refreshed(NameplateShelf *nameplates, Shelf *shelf)
{
  const GPtrArray *list = nameplate_shelf_get(nameplates);
  bool first = list == NULL || list->len > 0;
  gtk_box_reorder_child_after(GTK_BOX(shelf->items), shelf->nameplates,
                              first ? NULL : gtk_widget_get_last_child(shelf->items));
  filter(shelf);
}

void
shelf_set_catalog(Shelf *shelf, PartCatalog catalog)
{
  panel_clear(shelf->items);
  shelf->nameplates = nameplate_shelf_new(catalog);
  for (int group = 0; group < GROUP_COUNT; group++) {
    bool titled = false;
    for (guint i = 0; catalog[i] != NULL; i++) {
      if (catalog[i]->group != (PartGroup)group)
        continue;
      if (!titled)
        gtk_box_append(GTK_BOX(shelf->items),
                       panel_label(_(part_group_title((PartGroup)group)), "shelf-group"));
      titled = true;
      gtk_box_append(GTK_BOX(shelf->items), make_item(catalog[i]));
    }
  }
  gtk_box_append(GTK_BOX(shelf->items), shelf->nameplates);
  g_signal_connect_object(shelf->nameplates, "refreshed", G_CALLBACK(on_refreshed), shelf, 0);
  on_refreshed(DOORSHEET_NAMEPLATE_SHELF(shelf->nameplates), shelf);
}

void
shelf_set_offers(Shelf *shelf, bool (*offers)(const PartKind *kind))
{
  if (shelf->offers == offers)
    return;
  shelf->offers = offers;
  filter(shelf);
}

static void
shelf_class_init(ShelfClass *class)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS(class);
  template_set(widget_class, "shelf.ui");
  gtk_widget_class_bind_template_child(widget_class, Shelf, search);
  gtk_widget_class_bind_template_child(widget_class, Shelf, items);
  gtk_widget_class_bind_template_child(widget_class, Shelf, nothing);
  gtk_widget_class_bind_template_callback(widget_class, on_search);
  gtk_widget_class_bind_template_callback(widget_class, on_search_activate);
  gtk_widget_class_bind_template_callback(widget_class, on_search_stop);
}

static void
shelf_init(Shelf *shelf)
{
  gtk_widget_init_template(GTK_WIDGET(shelf));
}
