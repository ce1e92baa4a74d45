/* SPDX-License-Identifier: MIT */
/* Selecting what is joined or has a name, drawing an enclosure, and putting what is selected in
 * line: each command is one step of undo, and everything stays on the grid. */
#include "base/language.h"
#include "canvas/canvas_private.h"
#include "figure/figure.h"
#include "window/dialogs.h"
#include "window/nets.h"
#include "window/window.h"
#include <math.h>
#include <string.h>

/* --- what is joined --- */

static void
want_landing(Nets *nets, const Landing *landing, GHashTable *wanted)
{
  guint node = circuit_node_of_landing(nets->circuit, landing);
  if (node != G_MAXUINT)
    g_hash_table_add(wanted, GUINT_TO_POINTER(nets_of(nets, node)));
}

/* The nets asked for: of the selected conductors; else of the terminal pointed at; else of every
 * terminal of the selected devices. */
static void
wanted_nets(Session *session, Canvas *canvas, Nets *nets, GHashTable *wanted)
{
  const Document *document = session_get_document(session);
  guint n;
  const guint32 *keys = session_get_selected_conductors(session, &n);
  for (guint i = 0; i < n; i++)
    want_landing(nets, &document_find_conductor(document, keys[i])->from, wanted);
  Landing at;
  bool pointed = canvas->pointer_inside && canvas->hover.kind == HIT_TERMINAL &&
                 canvas_landing_of(&canvas->hover, &at);
  if (n == 0 && pointed)
    want_landing(nets, &at, wanted);
  const char *const *ids = session_get_selected_devices(session);
  for (guint i = 0; n == 0 && !pointed && ids[i] != NULL; i++) {
    const Device *device = document_find_device(document, ids[i]);
    guint index = (guint)document_device_index(document, ids[i]);
    for (guint t = 0; t < device_terminal_count(device); t++) {
      guint node = circuit_node(nets->circuit, index, t);
      g_hash_table_add(wanted, GUINT_TO_POINTER(nets_of(nets, node)));
    }
  }
}

static bool
is_wanted(Nets *nets, GHashTable *wanted, guint node)
{
  return node != G_MAXUINT && g_hash_table_contains(wanted, GUINT_TO_POINTER(nets_of(nets, node)));
}

static void
select_nets(Session *session, Nets *nets, GHashTable *wanted)
{
  const Document *document = session_get_document(session);
  session_select_nothing(session);
  for (guint i = 0; i < document_conductor_count(document); i++) {
    const Conductor *conductor = document_conductor(document, i);
    if (is_wanted(nets, wanted, circuit_node_of_landing(nets->circuit, &conductor->from)))
      session_select_conductor(session, conductor->key, true);
  }
  for (guint d = 0; d < document_device_count(document); d++) {
    const Device *device = document_device(document, d);
    bool touches = false;
    for (guint t = 0; t < device_terminal_count(device) && !touches; t++)
      touches = is_wanted(nets, wanted, circuit_node(nets->circuit, d, t));
    if (touches)
      session_select_device(session, device->id, true);
  }
}

static void
do_select_net(GSimpleAction *action, GVariant *parameter, gpointer data)
{
  (void)action;
  (void)parameter;
  Session *session = window_get_session(data);
  if (session_get_result(session) == NULL || !session_is_fresh(session)) {
    session_say(session, _("The sheet has just changed: wait until it is solved."));
    return;
  }
  g_auto(Nets) nets;
  nets_init(&nets, session_get_result(session)->inspection->circuit, true);
  g_autoptr(GHashTable) wanted = g_hash_table_new(NULL, NULL);
  wanted_nets(session, window_get_canvas(data), &nets, wanted);
  if (g_hash_table_size(wanted) == 0)
    session_say(session,
                _("Select a conductor or a device, or point at a terminal: then everything "
                  "joined to it can be selected."));
  else
    select_nets(session, &nets, wanted);
}

/* --- by name --- */

static bool
is_called(const char *name, const char *word, bool whole)
{
  return whole ? g_ascii_strcasecmp(name, word) == 0
               : g_ascii_strncasecmp(name, word, strlen(word)) == 0;
}

/* Every device of that name; when there is none, every conductor of that number. New array of the
 * names of both as places. */
static GPtrArray *
find_called(Session *session, const char *word, bool whole, GPtrArray *ids, GArray *keys)
{
  const Document *document = session_get_document(session);
  GPtrArray *places = g_ptr_array_new_with_free_func(g_free);
  for (guint i = 0; i < document_device_count(document); i++) {
    const Device *device = document_device(document, i);
    if (!is_called(device->id, word, whole) && !is_called(device_designation(device), word, whole))
      continue;
    g_ptr_array_add(ids, device->id);
    g_ptr_array_add(places, g_strdup(device->id));
  }
  for (guint i = 0; ids->len == 0 && i < document_conductor_count(document); i++) {
    const Conductor *conductor = document_conductor(document, i);
    if (!is_called(conductor_text(conductor, CONDUCTOR_NUMBER), word, whole))
      continue;
    g_array_append_val(keys, conductor->key);
    g_ptr_array_add(places, conductor_dup_name(conductor));
  }
  return places;
}

static void
select_called(Session *session, const char *word)
{
  g_autoptr(GPtrArray) ids = g_ptr_array_new(), places = NULL;
  g_autoptr(GArray) keys = g_array_new(FALSE, FALSE, sizeof(guint32));
  for (int whole = 1; whole >= 0 && ids->len + keys->len == 0; whole--) {
    g_clear_pointer(&places, g_ptr_array_unref);
    places = find_called(session, word, whole, ids, keys);
  }
  if (places->len == 0) {
    session_say(session, _("No device or wire number is called %s."), word);
    return;
  }
  for (guint i = 0; i < ids->len; i++)
    session_select_device(session, ids->pdata[i], i > 0);
  for (guint i = 0; i < keys->len; i++)
    session_select_conductor(session, g_array_index(keys, guint32, i), i > 0);
  session_show_places(session, places); /* brings them into view; they are selected, no mark is */
  session_show_places(session, NULL);   /* needed */
  if (ids->len > 1)
    session_say(session, _("Found %u devices."), ids->len);
  else if (keys->len > 1)
    session_say(session, _("Found %u conductors."), keys->len);
}

static void
on_find(const char *word, gpointer data)
{
  g_autoptr(DoorsheetWindow) window = data;
  g_autofree char *wanted = g_strstrip(g_strdup(word != NULL ? word : ""));
  if (*wanted != '\0')
    select_called(window_get_session(window), wanted);
}

static void
do_find(GSimpleAction *action, GVariant *parameter, gpointer data)
{
  (void)action;
  (void)parameter;
  dialogs_word(GTK_WINDOW(data), _("Find a designation or wire number"), _("Find"), on_find,
               g_object_ref(data));
}

/* --- enclosures --- */

static void
do_group(GSimpleAction *action, GVariant *parameter, gpointer data)
{
  (void)action;
  (void)parameter;
  Session *session = window_get_session(data);
  const Document *document = session_get_document(session);
  const char *const *ids = session_get_selected_devices(session);
  Rect around = rect_empty();
  for (guint i = 0; ids[i] != NULL; i++)
    around =
        rect_union(around, figure_device_bounds_labelled(document_find_device(document, ids[i])));
  g_autofree char *id = NULL;
  GError *error = NULL;
  Change *change = edit_group(document, ids, around, &id, &error);
  if (!session_edit(session, change, error))
    return;
  session_select_device(session, id, false);
  window_show_page(data, "land");
  session_say(
      session,
      _("%s is drawn round what was selected. Its title is on the Land page; it takes along "
        "what lies in it."),
      id);
}

static void
do_ungroup(GSimpleAction *action, GVariant *parameter, gpointer data)
{
  (void)action;
  (void)parameter;
  Session *session = window_get_session(data);
  const Document *document = session_get_document(session);
  const char *const *ids = session_get_selected_devices(session);
  g_auto(GStrv) all = edit_with_contents(document, ids);
  GError *error = NULL;
  Change *change = edit_ungroup(document, ids, &error);
  if (!session_edit(session, change, error))
    return;
  session_select_nothing(session);
  for (guint i = 0; all[i] != NULL; i++)
    if (document_find_device(document, all[i]) != NULL)
      session_select_device(session, all[i], true);
}

static bool
any_outline(Session *session)
{
  const char *const *ids = session_get_selected_devices(session);
  for (guint i = 0; ids[i] != NULL; i++) {
    const Device *device = document_find_device(session_get_document(session), ids[i]);
    if (device != NULL && device->kind->role == ROLE_OUTLINE)
      return true;
  }
  return false;
}

/* --- in line --- */

/* What of a device is put in line: a share of its box. */
#define EDGE_LOW 0.0
#define EDGE_MIDDLE 0.5
#define EDGE_HIGH 1.0

typedef struct {
  const char *action;
  const char *title;
  bool down; /* what is set is y */
  bool spread;
  double edge;
} Arrangement;

static const Arrangement arrangements[] = {
    {"align-left", N_("Align left edges"), false, false, EDGE_LOW},
    {"align-right", N_("Align right edges"), false, false, EDGE_HIGH},
    {"align-top", N_("Align top edges"), true, false, EDGE_LOW},
    {"align-bottom", N_("Align bottom edges"), true, false, EDGE_HIGH},
    {"align-column", N_("Align centres one under another"), false, false, EDGE_MIDDLE},
    {"align-row", N_("Align centres side by side"), true, false, EDGE_MIDDLE},
    {"spread-across", N_("Space evenly across"), false, true, EDGE_MIDDLE},
    {"spread-down", N_("Space evenly down"), true, true, EDGE_MIDDLE},
};

typedef struct {
  const Device *device;
  double now, wanted; /* mm on the grid, so that every move is a number of grid steps */
} Part;

static int
compare_parts(gconstpointer a, gconstpointer b)
{
  const Part *left = a, *right = b;
  return left->now < right->now ? -1 : left->now > right->now;
}

static GArray *
parts_of(Session *session, const Arrangement *how)
{
  GArray *parts = g_array_new(FALSE, FALSE, sizeof(Part));
  const char *const *ids = session_get_selected_devices(session);
  for (guint i = 0; ids[i] != NULL; i++) {
    Part part = {.device = document_find_device(session_get_document(session), ids[i])};
    Rect box = figure_device_bounds(part.device);
    double low = how->down ? box.y : box.x, size = how->down ? box.height : box.width;
    part.now = grid_snap(low + size * how->edge);
    g_array_append_val(parts, part);
  }
  g_array_sort(parts, compare_parts);
  return parts;
}

static void
set_wanted(GArray *parts, const Arrangement *how)
{
  double low = g_array_index(parts, Part, 0).now;
  double high = g_array_index(parts, Part, parts->len - 1).now;
  for (guint i = 0; i < parts->len; i++) {
    double share = how->spread ? (double)i / (parts->len - 1) : how->edge;
    g_array_index(parts, Part, i).wanted = grid_snap(low + (high - low) * share);
  }
}

/* Those that go equally far move together, so that bends between them come along. */
static bool
move_parts(Document *scratch, const GArray *parts, bool down)
{
  g_autoptr(GPtrArray) ids = g_ptr_array_new();
  g_autofree bool *moved = g_new0(bool, parts->len);
  for (guint i = 0; i < parts->len; i++) {
    double by = g_array_index(parts, Part, i).wanted - g_array_index(parts, Part, i).now;
    if (moved[i] || fabs(by) < GRID_STEP_MM / 2)
      continue;
    g_ptr_array_set_size(ids, 0);
    for (guint j = i; j < parts->len; j++) {
      const Part *part = &g_array_index(parts, Part, j);
      if (moved[j] || fabs(part->wanted - part->now - by) > GRID_STEP_MM / 2)
        continue;
      moved[j] = true;
      g_ptr_array_add(ids, part->device->id);
    }
    g_ptr_array_add(ids, NULL);
    Change *change =
        edit_move(scratch, (const char *const *)ids->pdata, down ? (Point){0, by} : (Point){by, 0});
    if (!document_apply(scratch, change, NULL))
      return false;
  }
  return true;
}

static Change *
moves_as_one(const Document *before, const Document *after, const char *title)
{
  Change *change = change_new(title);
  for (guint i = 0; i < document_device_count(before); i++)
    if (document_device(before, i) != document_device(after, i))
      change_device(change, document_device(before, i), document_device(after, i));
  for (guint i = 0; i < document_conductor_count(before); i++)
    if (document_conductor(before, i) != document_conductor(after, i))
      change_conductor(change, document_conductor(before, i), document_conductor(after, i));
  return change;
}

static void
do_arrange(GSimpleAction *action, GVariant *parameter, gpointer data)
{
  (void)parameter;
  const char *name = g_action_get_name(G_ACTION(action));
  const Arrangement *how = arrangements;
  while (strcmp(how->action, name) != 0)
    how++;
  Session *session = window_get_session(data);
  const Document *document = session_get_document(session);
  g_autoptr(GArray) parts = parts_of(session, how);
  if (parts->len < (how->spread ? 3 : 2))
    return;
  set_wanted(parts, how);
  g_autoptr(Document) scratch = document_snapshot(document);
  if (!move_parts(scratch, parts, how->down)) {
    session_say(session, _("There is no room on the sheet for that."));
    return;
  }
  g_autofree char *title = g_strdup_printf(_("%s: %u devices"), _(how->title), parts->len);
  g_autoptr(Change) change = moves_as_one(document, scratch, title);
  if (change_is_empty(change))
    session_say(session, _("They are in line already."));
  else
    session_edit(session, g_steal_pointer(&change), NULL);
}

/* --- setting up --- */

static void
set_enabled(DoorsheetWindow *window, const char *name, bool enabled)
{
  GAction *action = g_action_map_lookup_action(G_ACTION_MAP(window), name);
  g_simple_action_set_enabled(G_SIMPLE_ACTION(action), enabled);
}

void
window_arrange_update(DoorsheetWindow *window)
{
  guint n = session_get_selected_device_count(window_get_session(window));
  set_enabled(window, "group", n > 0);
  set_enabled(window, "ungroup", n > 0 && any_outline(window_get_session(window)));
  for (guint i = 0; i < G_N_ELEMENTS(arrangements); i++)
    set_enabled(window, arrangements[i].action, n >= (arrangements[i].spread ? 3u : 2u));
}

void
window_arrange_init(DoorsheetWindow *window)
{
  static const GActionEntry entries[] = {
      {.name = "select-net", .activate = do_select_net},
      {.name = "find", .activate = do_find},
      {.name = "group", .activate = do_group},
      {.name = "ungroup", .activate = do_ungroup},
  };
  g_action_map_add_action_entries(G_ACTION_MAP(window), entries, G_N_ELEMENTS(entries), window);
  for (guint i = 0; i < G_N_ELEMENTS(arrangements); i++) {
    const GActionEntry entry = {.name = arrangements[i].action, .activate = do_arrange};
    g_action_map_add_action_entries(G_ACTION_MAP(window), &entry, 1, window);
  }
}
