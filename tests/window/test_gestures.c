/* SPDX-License-Identifier: MIT */
/* A crowd of random valid gestures in the real window, every tool among them: whatever order they
 * come in, the document stays sound, what the canvas keeps is what it would make afresh, steps go
 * back and forth, the file reads back as what was written, and undoing leaves nothing behind.
 *
 *   DOORSHEET_GESTURES=20000   how many (600 when not said; tests/run asks for 20 000 under the
 *                              sanitizers)
 *   DOORSHEET_SEED=7           the same ones again
 *
 * Solving and drawing take most of the time of a gesture, so that only some are solved and fewer
 * drawn; the document is judged after each. */
#include "drive.h"

#include "canvas/canvas_private.h"
#include "diagram/document_file.h"
#include "figure/figure_cache.h"
#include "gestures.h"
#include <stdlib.h>
#include <string.h>

#define SOLVE_EVERY 40
#define DRAW_EVERY 100
#define LOOK_EVERY 50 /* cache, file, steps back and forth */

static GtkApplication *application;

/* --- what always holds --- */

static bool
landing_is_there(const Document *document, const Landing *landing)
{
  const Device *found;
  guint terminal;
  return landing->device == NULL || document_resolve(document, landing, &found, &terminal);
}

static void
assert_document_sound(const Document *document)
{
  g_autoptr(GHashTable) ids = g_hash_table_new(g_str_hash, g_str_equal);
  for (guint i = 0; i < document_device_count(document); i++) {
    const Device *device = document_device(document, i);
    assert_true(g_hash_table_add(ids, device->id));
    assert_true(point_equal(device->placement.at, point_snap(device->placement.at)));
  }
  for (guint i = 0; i < document_conductor_count(document); i++) {
    const Conductor *conductor = document_conductor(document, i);
    assert_true(landing_is_there(document, &conductor->from));
    assert_true(landing_is_there(document, &conductor->to));
    assert_ptr_equal(document_find_conductor(document, conductor->key), conductor);
  }
  for (guint i = 0; i < document_measured_count(document); i++) {
    assert_true(landing_is_there(document, &document_measured(document, i)->a));
    assert_true(landing_is_there(document, &document_measured(document, i)->b));
  }
}

static void
assert_session_sound(Session *session)
{
  const Document *document = session_get_document(session);
  const char *const *ids = session_get_selected_devices(session);
  for (guint i = 0; ids[i] != NULL; i++)
    assert_non_null(document_find_device(document, ids[i]));
  guint n;
  const guint32 *selected = session_get_selected_conductors(session, &n);
  for (guint i = 0; i < n; i++)
    assert_non_null(document_find_conductor(document, selected[i]));
  for (ProbeColour probe = PROBE_RED; probe <= PROBE_BLACK; probe++) {
    const Landing *touched = session_get_probe(session, probe);
    if (touched != NULL)
      assert_true(landing_is_there(document, touched));
  }
}

/* --- what holds and costs more to look at --- */

static void
assert_same_route(const GArray *a, const GArray *b)
{
  assert_non_null(a);
  assert_non_null(b);
  assert_int_equal(a->len, b->len);
  for (guint i = 0; i < a->len; i++)
    assert_true(point_equal(g_array_index(a, Point, i), g_array_index(b, Point, i)));
}

static bool
rect_same(Rect a, Rect b)
{
  return a.x == b.x && a.y == b.y && a.width == b.width && a.height == b.height;
}

static void
assert_cache_as_fresh(DoorsheetWindow *window)
{
  const Document *document = drive_document(window);
  const FigureCache *kept = window_get_canvas(window)->cache;
  g_autoptr(FigureCache) fresh = figure_cache_new();
  figure_cache_update(fresh, document);
  for (guint i = 0; i < document_conductor_count(document); i++) {
    const Conductor *conductor = document_conductor(document, i);
    assert_same_route(figure_cache_route(kept, conductor), figure_cache_route(fresh, conductor));
    assert_true(rect_same(figure_cache_conductor_bounds(kept, conductor),
                          figure_cache_conductor_bounds(fresh, conductor)));
  }
  for (guint i = 0; i < document_device_count(document); i++) {
    const Device *device = document_device(document, i);
    assert_true(rect_same(figure_cache_device_bounds(kept, device),
                          figure_cache_device_bounds(fresh, device)));
  }
}

static void
assert_file_reads_back(const Document *document)
{
  g_autoptr(GBytes) bytes = document_write_memory(document);
  gsize size;
  const char *data = g_bytes_get_data(bytes, &size);
  g_autoptr(GError) error = NULL;
  g_autoptr(Document) read =
      document_read_memory(data, size, "gestures", document_catalog(document), &error);
  if (read == NULL)
    fail_msg("what was written is refused: %s\n%.*s", error->message, (int)size, data);
  if (document_equal(read, document))
    return;
  for (guint i = 0; i < document_device_count(document); i++)
    if (!device_equal(document_device(read, i), document_device(document, i)))
      print_message("%s reads otherwise\n", document_device(document, i)->id);
  for (guint i = 0; i < document_conductor_count(document); i++)
    if (!conductor_equal(document_conductor(read, i), document_conductor(document, i)))
      print_message("conductor %u reads otherwise\n", i);
  for (guint i = 0; i < document_measured_count(document); i++)
    if (!measured_equal(document_measured(read, i), document_measured(document, i)))
      print_message("reading %u reads otherwise\n", i);
  print_message("%.*s\n", (int)size, data);
  fail_msg("what was written reads otherwise");
}

static void
assert_steps_return(DoorsheetWindow *window, guint steps)
{
  Session *session = window_get_session(window);
  g_autoptr(Document) now = document_snapshot(drive_document(window));
  guint back = 0;
  while (back < steps && document_can_undo(drive_document(window))) {
    assert_true(session_undo(session));
    assert_document_sound(drive_document(window));
    back++;
  }
  for (guint i = 0; i < back; i++)
    assert_true(session_redo(session));
  assert_true(document_equal(drive_document(window), now));
}

/* --- the crowd --- */

typedef struct {
  guint done, edited;
} Tally;

static void
report(const Tally *tally, int count)
{
  for (guint i = 0; i < gestures_count(); i++) {
    const Gesture *gesture = gestures_at(i);
    print_message("  %-18s %5u, of which %5u edited\n", gesture->name, tally[i].done,
                  tally[i].edited);
    if (count >= 5000 && gesture->edits && tally[i].edited == 0)
      fail_msg("\"%s\" never changed the sheet: it is no test of that tool", gesture->name);
  }
}

static void
one_gesture(DoorsheetWindow *window, GRand *random, Tally *tally)
{
  guint which = gestures_choose(random);
  g_autoptr(Document) before = document_snapshot(drive_document(window));
  gestures_at(which)->make(window, random);
  tally[which].done++;
  if (!document_equal(before, drive_document(window)))
    tally[which].edited++;
  assert_document_sound(drive_document(window));
  assert_session_sound(window_get_session(window));
}

/* Held, the session is inspected only when it is let go of: by the gestures that need findings,
 * and now and then. */
static void
look(DoorsheetWindow *window, GRand *random, int at)
{
  Session *session = window_get_session(window);
  if (at % SOLVE_EVERY == 0) {
    session_set_held(session, false);
    assert_non_null(session_get_result(session));
    session_set_held(session, true);
  }
  if (at % LOOK_EVERY == 0) {
    assert_cache_as_fresh(window);
    assert_file_reads_back(drive_document(window));
    canvas_cancel(window_get_canvas(window));
    assert_steps_return(window, (guint)g_rand_int_range(random, 1, 8));
  }
  if (at % DRAW_EVERY == 0)
    drive_settle();
}

static void
random_gestures_leave_nothing_behind(void **state)
{
  (void)state;
  const char *given = g_getenv("DOORSHEET_SEED"), *wanted = g_getenv("DOORSHEET_GESTURES");
  guint32 seed = given != NULL ? (guint32)strtoul(given, NULL, 10) : g_random_int();
  int count = wanted != NULL ? atoi(wanted) : 600;
  print_message("DOORSHEET_SEED=%u, %d gestures\n", seed, count);
  DoorsheetWindow *window = drive_window(application);
  g_autofree char *path =
      g_build_filename(g_getenv("DOORSHEET_SOURCE"), "samples", "pump-208.doorsheet", NULL);
  window_open(window, path);
  session_set_held(window_get_session(window), true);
  g_autoptr(Document) start = document_snapshot(drive_document(window));
  g_autoptr(GRand) random = g_rand_new_with_seed(seed);
  g_autofree Tally *tally = g_new0(Tally, gestures_count());
  gint64 since = g_get_monotonic_time();
  for (int i = 1; i <= count; i++) {
    one_gesture(window, random, tally);
    look(window, random, i);
    if (i % 2000 == 0)
      print_message("%d gestures in %.0f s, %u devices, %u conductors\n", i,
                    (double)(g_get_monotonic_time() - since) / 1e6,
                    document_device_count(drive_document(window)),
                    document_conductor_count(drive_document(window)));
  }
  canvas_cancel(window_get_canvas(window));
  while (document_can_undo(drive_document(window)))
    assert_true(session_undo(window_get_session(window)));
  assert_true(document_equal(drive_document(window), start));
  assert_cache_as_fresh(window);
  session_set_held(window_get_session(window), false);
  drive_close(window);
  report(tally, count);
}

int
main(void)
{
  application = drive_application();
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(random_gestures_leave_nothing_behind),
  };
  int failed = cmocka_run_group_tests(tests, NULL, NULL);
  g_object_unref(application);
  return failed;
}
