/* SPDX-License-Identifier: MIT */
/* Numbering by rule: wire numbers and designations in the order the sheet is read, from the top
 * down and from left to right; each command is one step of undo. */
#include "base/language.h"
#include "window/nets.h"
#include "window/window.h"
#include <math.h>
#include <string.h>

/* The first wire number; the checks count from the same (common practice, no source). */
#define FIRST_NUMBER 101

static int
compare_points(Point a, Point b)
{
  if (fabs(a.y - b.y) > GRID_STEP_MM / 2)
    return a.y < b.y ? -1 : 1;
  return a.x < b.x ? -1 : a.x > b.x;
}

typedef struct {
  guint index; /* in the document */
  Point at;
} Place;

static int
compare_places(gconstpointer a, gconstpointer b)
{
  const Place *left = a, *right = b;
  int order = compare_points(left->at, right->at);
  return order != 0 ? order : (left->index > right->index) - (left->index < right->index);
}

/* --- wire numbers --- */

static Point
upper_end(const Document *document, const Conductor *conductor)
{
  const Landing *ends[2] = {&conductor->from, &conductor->to};
  Point upper = {HUGE_VAL, HUGE_VAL};
  for (int e = 0; e < 2; e++) {
    const Device *device;
    guint terminal;
    if (!document_resolve(document, ends[e], &device, &terminal))
      continue;
    Point at = device_terminal_point(device, terminal);
    if (isinf(upper.x) || compare_points(at, upper) < 0)
      upper = at;
  }
  return upper;
}

static bool
ends_in_cap(const Document *document, const Conductor *conductor)
{
  const Landing *ends[2] = {&conductor->from, &conductor->to};
  for (int e = 0; e < 2; e++) {
    const Device *device =
        ends[e]->device != NULL ? document_find_device(document, ends[e]->device) : NULL;
    if (device != NULL && device->kind->role == ROLE_CAP)
      return true;
  }
  return false;
}

/* What is grounded and what is capped is known by what it is; numbered already, it is renumbered
 * with the rest, or its number would be there twice. */
static bool
takes_number(const Document *document, const Conductor *conductor, Nets *bonded, guint node)
{
  return *conductor_text(conductor, CONDUCTOR_NUMBER) != '\0' ||
         (nets_of(bonded, node) != nets_of(bonded, 0) && !ends_in_cap(document, conductor));
}

static GArray *
conductors_as_read(const Document *document)
{
  GArray *places = g_array_new(FALSE, FALSE, sizeof(Place));
  for (guint i = 0; i < document_conductor_count(document); i++) {
    Place place = {i, upper_end(document, document_conductor(document, i))};
    g_array_append_val(places, place);
  }
  g_array_sort(places, compare_places);
  return places;
}

static Change *
number_wires(const Document *document, const Circuit *circuit)
{
  g_auto(Nets) metal, bonded;
  nets_init(&metal, circuit, false);
  nets_init(&bonded, circuit, true);
  g_autoptr(GArray) places = conductors_as_read(document);
  g_autoptr(GHashTable) numbers = g_hash_table_new(NULL, NULL);
  guint next = FIRST_NUMBER;
  Change *change = change_new(_("Number all conductors"));
  for (guint i = 0; i < places->len; i++) {
    const Conductor *conductor =
        document_conductor(document, g_array_index(places, Place, i).index);
    guint node = circuit_node_of_landing(circuit, &conductor->from);
    if (node == G_MAXUINT || !takes_number(document, conductor, &bonded, node))
      continue;
    gpointer net = GUINT_TO_POINTER(nets_of(&metal, node));
    guint number = GPOINTER_TO_UINT(g_hash_table_lookup(numbers, net));
    if (number == 0) {
      number = next++;
      g_hash_table_insert(numbers, net, GUINT_TO_POINTER(number));
    }
    g_autoptr(Conductor) after = conductor_copy(conductor);
    g_autofree char *text = g_strdup_printf("%u", number);
    if (conductor_set(after, "number", text, NULL) && !conductor_equal(conductor, after))
      change_conductor(change, conductor, after);
  }
  return change;
}

static void
do_number_wires(GSimpleAction *action, GVariant *parameter, gpointer data)
{
  (void)action;
  (void)parameter;
  Session *session = window_get_session(data);
  if (session_get_result(session) == NULL || !session_is_fresh(session)) {
    session_say(session, "%s", _("The sheet has just changed: wait until it is solved."));
    return;
  }
  const Circuit *circuit = session_get_result(session)->inspection->circuit;
  Change *change = number_wires(session_get_document(session), circuit);
  if (change_is_empty(change)) {
    change_free(change);
    session_say(session, "%s", _("All conductors are numbered in order already."));
  } else if (session_edit(session, change, NULL))
    session_say(session, "%s",
                _("Conductors are numbered as the sheet is read, one number for each potential."));
}

/* --- designations --- */

/* How many letters an id like "FU12" begins with; 0: it is called otherwise. */
static size_t
letters_of(const char *id)
{
  size_t length = strlen(id), letters = length;
  while (letters > 0 && g_ascii_isdigit(id[letters - 1]))
    letters--;
  return letters < length ? letters : 0;
}

static bool
rename_device(Document *scratch, const char *id, const char *new_id)
{
  Change *change = edit_set_id(scratch, id, new_id, NULL);
  return change != NULL && document_apply(scratch, change, NULL);
}

/* Every device of one kind of letters gets a name that is free first, so that two can change
 * theirs. */
static bool
rename_in_order(Document *scratch, const GArray *places, const char *letters)
{
  g_autoptr(GPtrArray) passing = g_ptr_array_new_with_free_func(g_free);
  for (guint i = 0; i < places->len; i++) {
    g_autofree char *id =
        g_strdup(document_device(scratch, g_array_index(places, Place, i).index)->id);
    if (letters_of(id) != strlen(letters) || !g_str_has_prefix(id, letters))
      continue;
    char *free_id = document_free_id(scratch, "PASSING");
    g_ptr_array_add(passing, free_id);
    if (!rename_device(scratch, id, free_id))
      return false;
  }
  for (guint i = 0; i < passing->len; i++) {
    g_autofree char *id = document_free_id(scratch, letters);
    if (!rename_device(scratch, passing->pdata[i], id))
      return false;
  }
  return true;
}

static Change *
difference(const Document *before, const Document *after, const char *title)
{
  Change *change = change_new(title);
  for (guint i = 0; i < document_device_count(before); i++)
    if (!device_equal(document_device(before, i), document_device(after, i)))
      change_device(change, document_device(before, i), document_device(after, i));
  for (guint i = 0; i < document_conductor_count(before); i++)
    if (!conductor_equal(document_conductor(before, i), document_conductor(after, i)))
      change_conductor(change, document_conductor(before, i), document_conductor(after, i));
  for (guint i = 0; i < document_measured_count(before); i++)
    if (document_measured(before, i) != document_measured(after, i))
      change_measured(change, document_measured(before, i), document_measured(after, i));
  for (guint i = 0; i < document_intended_count(before); i++)
    if (document_intended(before, i) != document_intended(after, i))
      change_intended(change, document_intended(before, i), document_intended(after, i));
  return change;
}

static Change *
name_devices(const Document *document)
{
  g_autoptr(GArray) places = g_array_new(FALSE, FALSE, sizeof(Place));
  for (guint i = 0; i < document_device_count(document); i++) {
    Place place = {i, document_device(document, i)->placement.at};
    if (letters_of(document_device(document, i)->id) > 0)
      g_array_append_val(places, place);
  }
  g_array_sort(places, compare_places);
  g_autoptr(Document) scratch = document_snapshot(document);
  g_autoptr(GHashTable) done = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
  for (guint i = 0; i < places->len; i++) {
    const char *id = document_device(document, g_array_index(places, Place, i).index)->id;
    char *letters = g_strndup(id, letters_of(id));
    if (g_hash_table_add(done, letters) && !rename_in_order(scratch, places, letters))
      return NULL;
  }
  return difference(document, scratch, _("Number all devices"));
}

static void
do_number_devices(GSimpleAction *action, GVariant *parameter, gpointer data)
{
  (void)action;
  (void)parameter;
  Session *session = window_get_session(data);
  Change *change = name_devices(session_get_document(session));
  if (change == NULL) {
    session_say(session, "%s", _("The devices could not be numbered anew."));
    return;
  }
  if (change_is_empty(change)) {
    change_free(change);
    session_say(session, "%s", _("All devices are numbered in order already."));
    return;
  }
  /* What was called so may now be another device: nothing stays selected or touched by a probe. */
  session_select_nothing(session);
  session_set_probe(session, PROBE_RED, NULL, NULL);
  session_set_probe(session, PROBE_BLACK, NULL, NULL);
  if (session_edit(session, change, NULL))
    session_say(session, "%s", _("Devices are numbered as the sheet is read."));
}

void
window_number_init(DoorsheetWindow *window)
{
  static const GActionEntry entries[] = {
      {.name = "number-wires", .activate = do_number_wires},
      {.name = "number-devices", .activate = do_number_devices},
  };
  g_action_map_add_action_entries(G_ACTION_MAP(window), entries, G_N_ELEMENTS(entries), window);
}
