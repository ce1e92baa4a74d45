/* SPDX-License-Identifier: MIT */
/* What a frame of the canvas costs while panning, zooming and dragging, beside a frame of an empty
 * drawing area of the same size in the same run. Runs under tests/window/under-display.sh; nothing
 * is asserted. bench_start.c measures the start.
 *
 * Panning scrolls 16 mm a frame at real size, zooming changes by 3 % a frame, dragging moves one
 * load, some hundred devices, or all of them with their conductors; "all" has the whole drawing in
 * view. Locked out, and energized with its potentials.
 *
 * A frame's cost is the input handler, plus the frame clock's before-paint to after-paint, plus
 * the time until the display server has taken it.
 *
 *   bench-canvas               everything
 *   bench-canvas DEVICES       one size only */
#include "diagram/document_file.h"
#include "figure/figure.h"
#include "greenhouse_rows.h"
#include "parts/catalog.h"
#include "window/window.h"
#include "window/window_main.h"
#include <glib/gstdio.h>
#include <malloc.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#define FRAMES 90
#define SOME 300 /* devices dragged at once */

static double
now_ms(void)
{
  return (double)g_get_monotonic_time() / 1000;
}

/* The program's own work, whatever else the machine does; without the display server's. */
static double
cpu_ms(void)
{
  struct timespec time;
  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &time);
  return 1e3 * (double)time.tv_sec + (double)time.tv_nsec / 1e6;
}

static int
compare(const void *a, const void *b)
{
  double left = *(const double *)a, right = *(const double *)b;
  return left < right ? -1 : left > right;
}

static double
percentile(double *sorted, guint n, double p)
{
  return sorted[MIN(n - 1, (guint)(p * n))];
}

/* --- frames --- */

typedef struct {
  DoorsheetWindow *window;
  GtkWidget *canvas;
  GdkFrameClock *clock;
  double began, cost;
  double empty; /* p95 of an empty drawing area, ms */
  bool painted;
} Bench;

static void
on_before(GdkFrameClock *clock, Bench *bench)
{
  (void)clock;
  bench->began = now_ms();
}

static void
on_after(GdkFrameClock *clock, Bench *bench)
{
  (void)clock;
  gdk_display_sync(gdk_display_get_default());
  bench->cost = now_ms() - bench->began;
  bench->painted = true;
}

static void
run_frame(Bench *bench)
{
  bench->painted = false;
  gtk_widget_queue_draw(bench->canvas);
  while (!bench->painted)
    g_main_context_iteration(NULL, TRUE);
}

static void
settle(double ms)
{
  double end = now_ms() + ms;
  while (now_ms() < end)
    if (!g_main_context_iteration(NULL, FALSE))
      g_usleep(500);
}

static gpointer
controller(Bench *bench, GType type)
{
  g_autoptr(GListModel) all = gtk_widget_observe_controllers(bench->canvas);
  for (guint i = 0; i < g_list_model_get_n_items(all); i++) {
    g_autoptr(GtkEventController) one = g_list_model_get_item(all, i);
    if (G_OBJECT_TYPE(one) == type)
      return one; /* the widget holds it */
  }
  g_error("the canvas has no %s", g_type_name(type));
}

typedef void (*Step)(Bench *bench, int frame);

/* There and back, so that the view stays over the drawing. */
static void
step_pan(Bench *bench, int frame)
{
  gboolean handled;
  double by = frame % 30 < 15 ? 0.35 : -0.35;
  g_signal_emit_by_name(controller(bench, GTK_TYPE_EVENT_CONTROLLER_SCROLL), "scroll", by, by / 2,
                        &handled);
}

static void
step_zoom(Bench *bench, int frame)
{
  canvas_zoom_by(DOORSHEET_CANVAS(bench->canvas), frame % 20 < 10 ? 1.03 : 1 / 1.03);
}

static void
step_drag(Bench *bench, int frame)
{
  double x = 4.0 * (frame % 45), y = 3.0 * (frame % 30);
  g_signal_emit_by_name(controller(bench, GTK_TYPE_GESTURE_DRAG), "drag-update", x, y);
}

static void
step_nothing(Bench *bench, int frame)
{
  (void)bench;
  (void)frame;
}

static void
measure(Bench *bench, const char *what, const char *where, Step step)
{
  static double costs[FRAMES], own[FRAMES];
  double handlers = 0;
  for (int frame = 0; frame < FRAMES; frame++) {
    double since = now_ms(), cpu = cpu_ms();
    step(bench, frame);
    double handler = now_ms() - since;
    run_frame(bench);
    costs[frame] = handler + bench->cost;
    own[frame] = cpu_ms() - cpu;
    handlers += handler;
  }
  qsort(costs, FRAMES, sizeof *costs, compare);
  qsort(own, FRAMES, sizeof *own, compare);
  double p95 = percentile(costs, FRAMES, 0.95);
  bench->empty = step == step_nothing ? p95 : bench->empty;
  printf("  %-13s %-6s p50 %6.2f  p95 %6.2f (%4.1f x empty)  largest %6.2f | own CPU p50 %6.2f  "
         "p95 %6.2f | handler mean %5.2f ms\n",
         what, where, percentile(costs, FRAMES, 0.5), p95, p95 / bench->empty, costs[FRAMES - 1],
         percentile(own, FRAMES, 0.5), percentile(own, FRAMES, 0.95), handlers / FRAMES);
}

/* The device nearest the middle of the view; NULL: none. */
static const Device *
middle_device(Bench *bench, double *x, double *y)
{
  const Document *document = session_get_document(window_get_session(bench->window));
  double width = gtk_widget_get_width(bench->canvas), height = gtk_widget_get_height(bench->canvas);
  double nearest = G_MAXDOUBLE;
  const Device *found = NULL;
  for (guint i = 0; i < document_device_count(document); i++) {
    const Device *device = document_device(document, i);
    if (device->kind->role != ROLE_LOAD)
      continue;
    double at_x, at_y;
    Rect box = figure_device_bounds(device);
    canvas_from_sheet(DOORSHEET_CANVAS(bench->canvas),
                      (Point){box.x + box.width / 2, box.y + box.height / 2}, &at_x, &at_y);
    double distance = ABS(at_x - width / 2) + ABS(at_y - height / 2);
    if (distance >= nearest)
      continue;
    nearest = distance;
    found = device;
    *x = at_x;
    *y = at_y;
  }
  return found;
}

/* So many devices of the sheet's order round the one that is taken by its body. */
static bool
begin_drag(Bench *bench, guint devices)
{
  Session *session = window_get_session(bench->window);
  const Document *document = session_get_document(session);
  double x = 0, y = 0;
  const Device *taken = middle_device(bench, &x, &y);
  if (taken == NULL)
    return false;
  guint n = document_device_count(document), at = 0;
  session_select_nothing(session);
  if (devices >= n)
    session_select_all(session);
  else if (devices > 1) {
    at = (guint)document_device_index(document, taken->id);
    at = MIN(at > devices / 2 ? at - devices / 2 : 0, n - devices);
    for (guint i = at; i < at + devices; i++)
      session_select_device(session, document_device(document, i)->id, true);
  }
  g_signal_emit_by_name(controller(bench, GTK_TYPE_GESTURE_DRAG), "drag-begin", x, y);
  g_signal_emit_by_name(controller(bench, GTK_TYPE_GESTURE_DRAG), "drag-update", 40.0, 40.0);
  return session_get_selected_device_count(session) >= MIN(devices, n);
}

static void
measure_drag(Bench *bench, const char *what, const char *where, guint devices)
{
  if (begin_drag(bench, devices)) {
    measure(bench, what, where, step_drag);
    canvas_cancel(DOORSHEET_CANVAS(bench->canvas));
  } else {
    printf("  %-13s %-6s symbols are too small here to be taken by the pointer\n", what, where);
  }
  g_signal_emit_by_name(controller(bench, GTK_TYPE_GESTURE_DRAG), "drag-end", 0.0, 0.0);
}

static void
measure_view(Bench *bench, const char *where)
{
  measure(bench, "panning", where, step_pan);
  measure(bench, "zooming", where, step_zoom);
  measure_drag(bench, "dragging one", where, 1);
  measure_drag(bench, "dragging some", where, SOME);
  measure_drag(bench, "dragging all", where, G_MAXUINT);
}

static void
measure_views(Bench *bench, const char *state)
{
  printf(" %s\n", state);
  canvas_zoom_content(DOORSHEET_CANVAS(bench->canvas));
  canvas_zoom_normal(DOORSHEET_CANVAS(bench->canvas));
  settle(300);
  measure_view(bench, "normal");
  canvas_zoom_content(DOORSHEET_CANVAS(bench->canvas));
  settle(300);
  measure_view(bench, "all");
}

/* One step that moves everything, done and taken back: until the frame that shows it. */
static void
measure_undo(Bench *bench)
{
  Session *session = window_get_session(bench->window);
  session_select_all(session);
  const char *const *ids = session_get_selected_devices(session);
  double since = now_ms();
  session_edit(session, edit_move(session_get_document(session), ids, (Point){25, 25}), NULL);
  run_frame(bench);
  double done = now_ms();
  session_undo(session);
  run_frame(bench);
  printf("  everything moved in %.0f ms, undone in %.0f ms, each with its frame\n", done - since,
         now_ms() - done);
}

/* What any frame costs here: a drawing area that draws nothing, as large as the window. */
static void
measure_empty(Bench *bench, GtkApplication *application)
{
  GtkWidget *window = gtk_application_window_new(application);
  Bench empty = {.canvas = gtk_drawing_area_new()};
  gtk_window_set_default_size(GTK_WINDOW(window), 1280, 860);
  gtk_window_set_child(GTK_WINDOW(window), empty.canvas);
  gtk_window_present(GTK_WINDOW(window));
  settle(300);
  empty.clock = gtk_widget_get_frame_clock(empty.canvas);
  g_signal_connect(empty.clock, "before-paint", G_CALLBACK(on_before), &empty);
  g_signal_connect_after(empty.clock, "after-paint", G_CALLBACK(on_after), &empty);
  measure(&empty, "nothing", "drawn", step_nothing);
  bench->empty = empty.empty;
  g_signal_handlers_disconnect_by_data(empty.clock, &empty);
  gtk_window_destroy(GTK_WINDOW(window));
}

static char *
make_file(guint devices)
{
  g_autoptr(Document) document = greenhouse_rows(parts_catalog(), devices);
  char *path = NULL;
  g_autoptr(GError) error = NULL;
  int fd = g_file_open_tmp("bench-XXXXXX.doorsheet", &path, &error);
  if (fd < 0 || !g_close(fd, NULL) || !document_save(document, path, &error))
    g_error("%s", error != NULL ? error->message : "no temporary file");
  return path;
}

static void
bench_size(GtkApplication *application, guint devices)
{
  g_autofree char *path = make_file(devices);
  Bench bench = {0};
  measure_empty(&bench, application);
  bench.window = window_new(application);
  GtkWindow *window = GTK_WINDOW(bench.window);
  gtk_window_present(window);
  bench.canvas = GTK_WIDGET(window_get_canvas(bench.window));
  settle(300);
  double since = now_ms();
  window_open(bench.window, path);
  double opened = now_ms() - since;
  while (!session_is_fresh(window_get_session(bench.window)))
    g_main_context_iteration(NULL, TRUE);
  printf("%u devices: opened in %.0f ms, findings after %.0f ms\n", devices, opened,
         now_ms() - since);
  bench.clock = gtk_widget_get_frame_clock(bench.canvas);
  gulong before = g_signal_connect(bench.clock, "before-paint", G_CALLBACK(on_before), &bench);
  gulong after = g_signal_connect_after(bench.clock, "after-paint", G_CALLBACK(on_after), &bench);
  measure_views(&bench, "locked out");
  session_set_energized(window_get_session(bench.window), true);
  settle(300);
  measure_views(&bench, "energized");
  measure_undo(&bench);
  g_signal_handler_disconnect(bench.clock, before);
  g_signal_handler_disconnect(bench.clock, after);
  gtk_window_destroy(window);
  settle(50);
  g_remove(path);
}

int
main(int argc, char **argv)
{
  /* As main.c does, for the reason given there. */
  mallopt(M_MMAP_THRESHOLD, 64 << 20);
  mallopt(M_TRIM_THRESHOLD, 128 << 20);
  setvbuf(stdout, NULL, _IOLBF, 0);
  if (!gtk_init_check()) {
    fputs("no display: run through tests/window/under-display.sh\n", stderr);
    return 77;
  }
  g_autoptr(GtkApplication) application = window_application_new(G_APPLICATION_NON_UNIQUE);
  g_application_register(G_APPLICATION(application), NULL, NULL);
  static const guint sizes[] = {100, 1000, 10000};
  for (guint i = 0; argc == 1 && i < G_N_ELEMENTS(sizes); i++)
    bench_size(application, sizes[i]);
  if (argc == 2)
    bench_size(application, (guint)g_ascii_strtoull(argv[1], NULL, 10));
  return 0;
}
