/* SPDX-License-Identifier: MIT */
/* What a frame of the canvas costs while panning, zooming and dragging, and what starting costs
 * beside a bare window. Runs under tests/window/under-display.sh; nothing is asserted.
 *
 * Panning scrolls 16 mm a frame at real size, zooming changes by 3 % a frame, dragging moves one
 * load with its conductors; "all" has the whole drawing in view.
 *
 * A frame's cost is the input handler, plus the frame clock's before-paint to after-paint, plus
 * the time until the display server has taken it. Starting is from just before the process is
 * made to the first frame the server has taken, both programs by turns in this run.
 *
 *   bench-canvas               everything
 *   bench-canvas DEVICES       frames with one size only */
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
#define STARTS 11

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
  printf("  %-8s %-6s p50 %6.2f  p95 %6.2f  largest %6.2f | own CPU p50 %6.2f  p95 %6.2f | handler "
         "mean %5.2f ms\n",
         what, where, percentile(costs, FRAMES, 0.5), percentile(costs, FRAMES, 0.95),
         costs[FRAMES - 1], percentile(own, FRAMES, 0.5), percentile(own, FRAMES, 0.95),
         handlers / FRAMES);
}

/* A device near the middle of the view, taken by its body. */
static bool
begin_drag(Bench *bench, double *x, double *y)
{
  const Document *document = session_get_document(window_get_session(bench->window));
  double width = gtk_widget_get_width(bench->canvas), height = gtk_widget_get_height(bench->canvas);
  double nearest = G_MAXDOUBLE;
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
    *x = at_x;
    *y = at_y;
  }
  session_select_nothing(window_get_session(bench->window));
  g_signal_emit_by_name(controller(bench, GTK_TYPE_GESTURE_DRAG), "drag-begin", *x, *y);
  g_signal_emit_by_name(controller(bench, GTK_TYPE_GESTURE_DRAG), "drag-update", 40.0, 40.0);
  return session_get_selected_device_count(window_get_session(bench->window)) == 1;
}

static void
measure_view(Bench *bench, const char *where)
{
  measure(bench, "panning", where, step_pan);
  measure(bench, "zooming", where, step_zoom);
  double x = 0, y = 0;
  if (begin_drag(bench, &x, &y)) {
    measure(bench, "dragging", where, step_drag);
    canvas_cancel(DOORSHEET_CANVAS(bench->canvas));
  } else {
    printf("  dragging %-6s symbols are too small here to be taken by the pointer\n", where);
  }
  g_signal_emit_by_name(controller(bench, GTK_TYPE_GESTURE_DRAG), "drag-end", 0.0, 0.0);
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
  Bench bench = {.window = window_new(application)};
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
  canvas_zoom_content(window_get_canvas(bench.window));
  canvas_zoom_normal(window_get_canvas(bench.window));
  settle(300);
  measure_view(&bench, "normal");
  canvas_zoom_content(window_get_canvas(bench.window));
  settle(300);
  measure_view(&bench, "all");
  g_signal_handler_disconnect(bench.clock, before);
  g_signal_handler_disconnect(bench.clock, after);
  gtk_window_destroy(window);
  settle(50);
  g_remove(path);
}

/* --- starting --- */

static void
on_first_paint(GdkFrameClock *clock, gpointer data)
{
  (void)clock;
  (void)data;
  gdk_display_sync(gdk_display_get_default());
  printf("%.3f\n", now_ms());
  fflush(stdout);
  _Exit(0);
}

static void
on_map(GtkWidget *window, gpointer data)
{
  g_signal_connect_after(gtk_widget_get_frame_clock(window), "after-paint",
                         G_CALLBACK(on_first_paint), data);
}

static void
on_bare(GtkApplication *application)
{
  GtkWidget *window = gtk_application_window_new(application);
  gtk_window_set_default_size(GTK_WINDOW(window), 1280, 860);
  g_signal_connect_after(window, "map", G_CALLBACK(on_map), NULL);
  gtk_window_present(GTK_WINDOW(window));
}

static void
on_window_added(GtkApplication *application, GtkWindow *window)
{
  (void)application;
  g_signal_connect_after(window, "map", G_CALLBACK(on_map), NULL);
}

static int
be_started(bool bare)
{
  g_autoptr(GtkApplication) application = NULL;
  if (bare) {
    application = gtk_application_new("org.doorsheet.Bare", G_APPLICATION_NON_UNIQUE);
    g_signal_connect(application, "activate", G_CALLBACK(on_bare), NULL);
  } else {
    application = window_application_new(G_APPLICATION_NON_UNIQUE);
    g_signal_connect(application, "window-added", G_CALLBACK(on_window_added), NULL);
  }
  return g_application_run(G_APPLICATION(application), 0, NULL);
}

static double
start_once(const char *program, const char *what)
{
  const char *const arguments[] = {program, what, NULL};
  double since = now_ms();
  g_autoptr(GError) error = NULL;
  g_autoptr(GSubprocess) child =
      g_subprocess_newv(arguments, G_SUBPROCESS_FLAGS_STDOUT_PIPE, &error);
  g_autofree char *text = NULL;
  if (child == NULL || !g_subprocess_communicate_utf8(child, NULL, NULL, &text, NULL, &error))
    g_error("%s", error->message);
  return g_ascii_strtod(text, NULL) - since;
}

static void
bench_start(const char *program)
{
  double bare[STARTS], whole[STARTS];
  start_once(program, "--start-bare"); /* files into memory */
  start_once(program, "--start");
  for (int i = 0; i < STARTS; i++) {
    bare[i] = start_once(program, "--start-bare");
    whole[i] = start_once(program, "--start");
  }
  qsort(bare, STARTS, sizeof *bare, compare);
  qsort(whole, STARTS, sizeof *whole, compare);
  printf("start to first frame, median of %d: bare window %.0f ms, doorsheet %.0f ms, ratio %.2f\n",
         STARTS, bare[STARTS / 2], whole[STARTS / 2], whole[STARTS / 2] / bare[STARTS / 2]);
}

int
main(int argc, char **argv)
{
  /* As main.c does, for the reason given there. */
  mallopt(M_MMAP_THRESHOLD, 64 << 20);
  mallopt(M_TRIM_THRESHOLD, 128 << 20);
  setvbuf(stdout, NULL, _IOLBF, 0);
  if (argc == 2 && g_str_has_prefix(argv[1], "--start"))
    return be_started(strcmp(argv[1], "--start-bare") == 0);
  if (!gtk_init_check()) {
    fputs("no display: run through tests/window/under-display.sh\n", stderr);
    return 77;
  }
  if (argc == 1)
    bench_start(argv[0]);
  g_autoptr(GtkApplication) application = window_application_new(G_APPLICATION_NON_UNIQUE);
  g_application_register(G_APPLICATION(application), NULL, NULL);
  static const guint sizes[] = {100, 1000, 10000};
  for (guint i = 0; argc == 1 && i < G_N_ELEMENTS(sizes); i++)
    bench_size(application, sizes[i]);
  if (argc == 2)
    bench_size(application, (guint)g_ascii_strtoull(argv[1], NULL, 10));
  return 0;
}
