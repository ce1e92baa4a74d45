/* SPDX-License-Identifier: MIT */
#include "canvas/listing.h"
#include "base/language.h"
#include "canvas/listing_rows.h"
#include "desk/field_entry.h"
#include "desk/keys.h"

struct _Listing {
  GtkBox parent;
  Session *session;
  ListingRows *rows;
  GtkSingleSelection *chosen;
  GtkWidget *view;
  GtkWidget *empty;
  GHashTable *bound; /* of GtkListItem: rows that are on the screen, more or less */
  int frames;        /* for so many the chosen row is waited for */
  bool updating;
  bool stale; /* what happened while hidden has not been taken in */
};

G_DEFINE_FINAL_TYPE(Listing, listing, GTK_TYPE_BOX)

/* --- one row on the screen --- */

static void
show_row(Listing *listing, GtkListItem *item)
{
  const ListingRow *row = gtk_list_item_get_item(item);
  GtkWidget *box = gtk_list_item_get_child(item);
  GtkWidget *arrow = gtk_widget_get_first_child(box);
  GtkWidget *label = gtk_widget_get_last_child(box);
  bool device = row->kind == LISTING_DEVICE;
  g_autofree char *text = listing_rows_dup_text(listing->rows, row);
  if (g_strcmp0(gtk_label_get_text(GTK_LABEL(label)), text) != 0)
    gtk_label_set_text(GTK_LABEL(label), text);
  gtk_image_set_from_icon_name(GTK_IMAGE(arrow),
                               row->open ? "pan-down-symbolic" : "pan-end-symbolic");
  gtk_widget_set_opacity(arrow, device ? 1 : 0); /* its room stays: terminals are set in */
  gtk_widget_set_margin_start(box, device ? 0 : 10);
  if (device)
    gtk_widget_add_css_class(box, "device");
  else
    gtk_widget_remove_css_class(box, "device");
  /* What has the focus, and so is read out, is the list's own widget round the row. */
  GtkWidget *around = gtk_widget_get_parent(box);
  if (around == NULL)
    return;
  gtk_accessible_update_property(GTK_ACCESSIBLE(around), GTK_ACCESSIBLE_PROPERTY_LABEL, text,
                                 GTK_ACCESSIBLE_PROPERTY_LEVEL, device ? 1 : 2, -1);
  if (device)
    gtk_accessible_update_state(GTK_ACCESSIBLE(around), GTK_ACCESSIBLE_STATE_EXPANDED, row->open,
                                -1);
  else
    gtk_accessible_reset_state(GTK_ACCESSIBLE(around), GTK_ACCESSIBLE_STATE_EXPANDED);
}

static void
on_setup(GtkSignalListItemFactory *factory, GtkListItem *item, Listing *listing)
{
  (void)factory;
  (void)listing;
  GtkWidget *box = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 4);
  gtk_box_append(GTK_BOX(box), g_object_new(GTK_TYPE_IMAGE, "accessible-role",
                                            GTK_ACCESSIBLE_ROLE_PRESENTATION, NULL));
  gtk_box_append(GTK_BOX(box), panel_label("", NULL));
  gtk_widget_set_valign(gtk_widget_get_first_child(box), GTK_ALIGN_START);
  gtk_list_item_set_child(item, box);
}

static void
on_bind(GtkSignalListItemFactory *factory, GtkListItem *item, Listing *listing)
{
  (void)factory;
  g_hash_table_add(listing->bound, item);
  show_row(listing, item);
}

static void
on_unbind(GtkSignalListItemFactory *factory, GtkListItem *item, Listing *listing)
{
  (void)factory;
  g_hash_table_remove(listing->bound, item);
}

/* --- following the session --- */

static void
choose(Listing *listing, guint at)
{
  listing->updating = true;
  gtk_single_selection_set_selected(listing->chosen, at);
  listing->updating = false;
  if (at != GTK_INVALID_LIST_POSITION)
    gtk_widget_activate_action(listing->view, "list.scroll-to-item", "u", at);
}

/* The row as it stands on the screen, or NULL. */
static GtkListItem *
bound_at(Listing *listing, guint at)
{
  GHashTableIter iter;
  gpointer item;
  g_hash_table_iter_init(&iter, listing->bound);
  while (g_hash_table_iter_next(&iter, &item, NULL))
    if (gtk_list_item_get_position(item) == at)
      return item;
  return NULL;
}

static bool
focus_row(Listing *listing, guint at)
{
  GtkListItem *item = bound_at(listing, at);
  GtkWidget *box = item != NULL ? gtk_list_item_get_child(item) : NULL;
  return box != NULL && gtk_widget_grab_focus(gtk_widget_get_parent(box));
}

/* A row of the selected device stays chosen: its terminals are read while it is selected. */
static void
follow_selection(Listing *listing)
{
  const ListingRow *now = gtk_single_selection_get_selected_item(listing->chosen);
  const char *const *ids = session_get_selected_devices(listing->session);
  guint n, at;
  const guint32 *keys = session_get_selected_conductors(listing->session, &n);
  if (ids[0] != NULL) {
    if (now != NULL && now->conductor == 0 && g_strcmp0(now->device, ids[0]) == 0)
      return;
    if (listing_rows_find_device(listing->rows, ids[0], &at))
      choose(listing, at);
  } else if (n > 0) {
    if ((now == NULL || now->conductor != keys[0]) &&
        listing_rows_find_conductor(listing->rows, keys[0], &at))
      choose(listing, at);
  } else
    choose(listing, GTK_INVALID_LIST_POSITION);
}

static void
follow(Listing *listing)
{
  listing->stale = !gtk_widget_get_mapped(GTK_WIDGET(listing));
  if (listing->stale)
    return;
  listing->updating = true;
  listing_rows_follow(listing->rows);
  listing->updating = false;
  bool empty = g_list_model_get_n_items(G_LIST_MODEL(listing->rows)) == 0;
  gtk_widget_set_visible(listing->empty, empty);
  GHashTableIter iter;
  gpointer item;
  g_hash_table_iter_init(&iter, listing->bound);
  while (g_hash_table_iter_next(&iter, &item, NULL))
    show_row(listing, item);
  follow_selection(listing);
}

static void
on_session(Session *session, Listing *listing)
{
  (void)session;
  follow(listing);
}

static void
on_selection(Session *session, Listing *listing)
{
  (void)session;
  if (listing->updating)
    return;
  listing->stale |= !gtk_widget_get_mapped(GTK_WIDGET(listing));
  if (!listing->stale)
    follow_selection(listing);
}

/* --- choosing --- */

static void
bring_into_view(Listing *listing, const char *place)
{
  g_autoptr(GPtrArray) places = g_ptr_array_new();
  g_ptr_array_add(places, (gpointer)(gintptr)place);
  session_show_places(listing->session, places);
  session_show_places(listing->session, NULL); /* it is selected: no mark is needed */
}

static void
on_chosen(GtkSingleSelection *chosen, GParamSpec *property, Listing *listing)
{
  (void)property;
  const ListingRow *row = gtk_single_selection_get_selected_item(chosen);
  if (listing->updating || row == NULL)
    return;
  listing->updating = true;
  if (row->conductor != 0) {
    session_select_conductor(listing->session, row->conductor, false);
    g_autofree char *place = g_strdup_printf("%s.%s", row->device, row->terminal);
    bring_into_view(listing, place);
  } else {
    session_select_device(listing->session, row->device, false);
    bring_into_view(listing, row->device);
  }
  if (row->kind == LISTING_FINDING)
    session_show_places(listing->session, row->places);
  listing->updating = false;
}

static void
set_open(Listing *listing, guint at, bool open)
{
  listing->updating = true;
  listing_rows_set_open(listing->rows, at, open);
  listing->updating = false;
  GtkListItem *item = bound_at(listing, at);
  if (item != NULL)
    show_row(listing, item);
}

static void
use_row(Listing *listing, guint at)
{
  const ListingRow *row = listing_rows_get(listing->rows, at);
  if (row == NULL)
    return;
  if (row->kind == LISTING_DEVICE)
    set_open(listing, at, !row->open);
  else if (row->kind == LISTING_LANDING) {
    g_autofree char *from = g_strdup_printf("%s.%s", row->device, row->terminal);
    gtk_widget_activate_action(GTK_WIDGET(listing), "win.land-from", "s", from);
  } else
    session_show_places(listing->session, row->places);
}

static void
on_activate(GtkListView *view, guint at, Listing *listing)
{
  (void)view;
  use_row(listing, at);
}

/* Left: a device is closed; from what lies under it the keyboard goes up to it. */
static void
go_left(Listing *listing, guint at)
{
  const ListingRow *row = listing_rows_get(listing->rows, at);
  guint up;
  if (row->kind == LISTING_DEVICE)
    set_open(listing, at, false);
  else if (listing_rows_find_device(listing->rows, row->device, &up)) {
    session_select_device(listing->session, row->device, false);
    choose(listing, up);
    focus_row(listing, up);
  }
}

/* Tab goes on past the list, as past any list: it may be thousands of rows long. */
static gboolean
leave(Listing *listing, bool back)
{
  for (GtkWidget *from = listing->view; from != NULL; from = gtk_widget_get_parent(from)) {
    GtkWidget *to = from;
    while ((to = back ? gtk_widget_get_prev_sibling(to) : gtk_widget_get_next_sibling(to)) != NULL)
      if (gtk_widget_get_mapped(to) &&
          gtk_widget_child_focus(to, back ? GTK_DIR_TAB_BACKWARD : GTK_DIR_TAB_FORWARD))
        return TRUE;
  }
  return FALSE;
}

static gboolean
on_key(GtkEventControllerKey *keys, guint key, guint code, GdkModifierType state, Listing *listing)
{
  (void)keys;
  (void)code;
  guint at = gtk_single_selection_get_selected(listing->chosen);
  const ListingRow *row = listing_rows_get(listing->rows, at);
  bool back = key == GDK_KEY_ISO_Left_Tab || (state & GDK_SHIFT_MASK) != 0;
  if ((key == GDK_KEY_Tab || key == GDK_KEY_ISO_Left_Tab) && (state & GDK_CONTROL_MASK) == 0)
    return leave(listing, back);
  if (row == NULL || (state & (GDK_ALT_MASK | GDK_CONTROL_MASK | GDK_SUPER_MASK)) != 0)
    return FALSE;
  switch (key) {
  case GDK_KEY_Right:
  case GDK_KEY_KP_Right:
    set_open(listing, at, true);
    return TRUE;
  case GDK_KEY_Left:
  case GDK_KEY_KP_Left:
    go_left(listing, at);
    return TRUE;
  case GDK_KEY_1:
  case GDK_KEY_2:
    if (row->kind != LISTING_LANDING)
      return FALSE;
    session_set_probe(listing->session, key == GDK_KEY_1 ? PROBE_RED : PROBE_BLACK, row->device,
                      row->terminal);
    return TRUE;
  default:
    return FALSE;
  }
}

/* --- widget --- */

/* A list just shown makes its rows with the next frames, first those at its top. */
static gboolean
on_frame(GtkWidget *view, GdkFrameClock *clock, gpointer data)
{
  (void)clock;
  Listing *listing = data;
  guint at = gtk_single_selection_get_selected(listing->chosen);
  GtkRoot *root = gtk_widget_get_root(view);
  GtkWidget *focus = root != NULL ? gtk_root_get_focus(root) : NULL;
  bool here = focus != NULL && (focus == view || gtk_widget_is_ancestor(focus, view));
  if (here && at != GTK_INVALID_LIST_POSITION && !focus_row(listing, at) && listing->frames-- > 0)
    return G_SOURCE_CONTINUE;
  return G_SOURCE_REMOVE;
}

void
listing_focus(Listing *listing)
{
  if (g_list_model_get_n_items(G_LIST_MODEL(listing->rows)) == 0)
    return;
  guint at = gtk_single_selection_get_selected(listing->chosen);
  if (at == GTK_INVALID_LIST_POSITION)
    gtk_single_selection_set_selected(listing->chosen, at = 0);
  gtk_widget_activate_action(listing->view, "list.scroll-to-item", "u", at);
  if (focus_row(listing, at))
    return;
  gtk_widget_grab_focus(listing->view);
  listing->frames = 5;
  gtk_widget_add_tick_callback(listing->view, on_frame, listing, NULL);
}

static void
listing_map(GtkWidget *widget)
{
  GTK_WIDGET_CLASS(listing_parent_class)->map(widget);
  Listing *listing = DOORSHEET_LISTING(widget);
  if (listing->stale)
    follow(listing);
}

static void
listing_dispose(GObject *object)
{
  Listing *listing = DOORSHEET_LISTING(object);
  listing->updating = true;
  g_clear_object(&listing->session);
  G_OBJECT_CLASS(listing_parent_class)->dispose(object);
}

static void
listing_finalize(GObject *object)
{
  Listing *listing = DOORSHEET_LISTING(object);
  g_hash_table_unref(listing->bound);
  g_object_unref(listing->chosen);
  g_object_unref(listing->rows);
  G_OBJECT_CLASS(listing_parent_class)->finalize(object);
}

static void
listing_class_init(ListingClass *class)
{
  G_OBJECT_CLASS(class)->dispose = listing_dispose;
  G_OBJECT_CLASS(class)->finalize = listing_finalize;
  GTK_WIDGET_CLASS(class)->map = listing_map;
  keys_bind_canvas(GTK_WIDGET_CLASS(class));
}

static GtkWidget *
make_view(Listing *listing)
{
  GtkListItemFactory *factory = gtk_signal_list_item_factory_new();
  g_signal_connect_object(factory, "setup", G_CALLBACK(on_setup), listing, 0);
  g_signal_connect_object(factory, "bind", G_CALLBACK(on_bind), listing, 0);
  g_signal_connect_object(factory, "unbind", G_CALLBACK(on_unbind), listing, 0);
  GtkWidget *view = gtk_list_view_new(GTK_SELECTION_MODEL(g_object_ref(listing->chosen)), factory);
  gtk_accessible_update_property(GTK_ACCESSIBLE(view), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                 _("Diagram as a list"), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION,
                                 _("Right opens a device, Enter lands a conductor from a terminal, "
                                   "1 and 2 put the probes."),
                                 -1);
  g_signal_connect_object(view, "activate", G_CALLBACK(on_activate), listing, 0);
  GtkEventController *keys = gtk_event_controller_key_new();
  gtk_event_controller_set_propagation_phase(keys, GTK_PHASE_CAPTURE);
  g_signal_connect_object(keys, "key-pressed", G_CALLBACK(on_key), listing, 0);
  gtk_widget_add_controller(view, keys);
  return view;
}

static void
listing_init(Listing *listing)
{
  listing->stale = true;
  listing->bound = g_hash_table_new(NULL, NULL);
  gtk_orientable_set_orientation(GTK_ORIENTABLE(listing), GTK_ORIENTATION_VERTICAL);
  gtk_widget_add_css_class(GTK_WIDGET(listing), "listing");
}

Listing *
listing_new(Session *session)
{
  Listing *listing = g_object_new(LISTING_TYPE, NULL);
  listing->session = g_object_ref(session);
  listing->rows = listing_rows_new(session);
  listing->chosen = gtk_single_selection_new(G_LIST_MODEL(g_object_ref(listing->rows)));
  gtk_single_selection_set_autoselect(listing->chosen, FALSE);
  gtk_single_selection_set_can_unselect(listing->chosen, TRUE);
  gtk_single_selection_set_selected(listing->chosen, GTK_INVALID_LIST_POSITION);
  g_signal_connect_object(listing->chosen, "notify::selected", G_CALLBACK(on_chosen), listing, 0);
  gtk_box_append(GTK_BOX(listing), panel_label(_("Diagram as a list"), "heading"));
  listing->empty = panel_label(_("Nothing is on the sheet yet."), "dim-label");
  gtk_box_append(GTK_BOX(listing), listing->empty);
  GtkWidget *scrolled = gtk_scrolled_window_new();
  gtk_scrolled_window_set_policy(GTK_SCROLLED_WINDOW(scrolled), GTK_POLICY_NEVER,
                                 GTK_POLICY_AUTOMATIC);
  gtk_widget_set_vexpand(scrolled, TRUE);
  gtk_accessible_update_property(GTK_ACCESSIBLE(scrolled), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                 _("Rows of the diagram"), -1);
  listing->view = make_view(listing);
  gtk_scrolled_window_set_child(GTK_SCROLLED_WINDOW(scrolled), listing->view);
  gtk_box_append(GTK_BOX(listing), scrolled);
  g_signal_connect_object(session, "changed", G_CALLBACK(on_session), listing, 0);
  g_signal_connect_object(session, "inspected", G_CALLBACK(on_session), listing, 0);
  g_signal_connect_object(session, "state", G_CALLBACK(on_session), listing, 0);
  g_signal_connect_object(session, "selection", G_CALLBACK(on_selection), listing, 0);
  return listing;
}
