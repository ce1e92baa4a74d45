/* SPDX-License-Identifier: MIT */
#include "window/window.h"
#include "base/language.h"
#include "desk/glyph.h"
#include "desk/template.h"
#include "desk/tip.h"
#include "keep/preferences.h"
#include "window/dialogs.h"
#include "window/window_life.h"
#include "window/window_sides.h"
#include <string.h>

struct _DoorsheetWindow {
  GtkApplicationWindow parent;
  GtkLabel *title, *subtitle;
  GtkToggleButton *locked, *energized;
  GtkWidget *shelf_side;
  Canvas *canvas;
  GtkWidget *start;
  GtkWidget *clipboard;
  GtkBox *shelf_place, *clipboard_place, *meter_place;
  WindowSides sides; /* empty until complete */
  GtkLabel *status, *readout;
  GtkLabel *state_tag;
  NoticeBar *notices;
  WindowLife *life;
  Session *session;
  guint completing; /* source: between the first frame and window_complete */
  bool complete;
  bool shows_job; /* when complete, turn to the page on which the job stands */
  bool updating;
  bool start_dismissed;
  bool closing;
};

G_DEFINE_FINAL_TYPE(DoorsheetWindow, window, GTK_TYPE_APPLICATION_WINDOW)

Session *
window_get_session(DoorsheetWindow *window)
{
  return window->session;
}

Canvas *
window_get_canvas(DoorsheetWindow *window)
{
  return window->canvas;
}

DealPage *
window_get_deal_page(DoorsheetWindow *window)
{
  window_complete(window);
  return window->sides.deal_page;
}

CheckPage *
window_get_check_page(DoorsheetWindow *window)
{
  window_complete(window);
  return window->sides.check_page;
}

void
window_show_page(DoorsheetWindow *window, const char *page)
{
  window_complete(window);
  window->shows_job = false;
  gtk_widget_set_visible(window->clipboard, TRUE);
  if (exercise_page_is_active(window->sides.exercise_page))
    page = "exercise"; /* findings and expected readings would give the answer away */
  else if (strcmp(page, "lesson") == 0)
    deal_page_want(window->sides.deal_page);
  window_sides_follow(&window->sides);
  gtk_stack_set_visible_child_name(window->sides.pages, page);
  window_actions_update(window);
}

void
window_focus_page(DoorsheetWindow *window)
{
  window_complete(window);
  gtk_widget_child_focus(gtk_stack_get_visible_child(window->sides.pages), GTK_DIR_TAB_FORWARD);
}

void
window_focus_shelf(DoorsheetWindow *window)
{
  window_complete(window);
  gtk_widget_set_visible(window->shelf_side, TRUE);
  gtk_widget_child_focus(GTK_WIDGET(window->sides.shelf), GTK_DIR_TAB_FORWARD);
  window_actions_update(window);
}

const char *
window_get_page(DoorsheetWindow *window)
{
  return window->complete ? gtk_stack_get_visible_child_name(window->sides.pages) : "measure";
}

bool
window_side_shown(DoorsheetWindow *window, bool shelf)
{
  return gtk_widget_get_visible(shelf ? window->shelf_side : window->clipboard);
}

void
window_toggle_side(DoorsheetWindow *window, bool shelf)
{
  gtk_widget_set_visible(shelf ? window->shelf_side : window->clipboard,
                         !window_side_shown(window, shelf));
  window_actions_update(window);
}

void
window_say(DoorsheetWindow *window, const char *text)
{
  gtk_label_set_text(window->status, text);
  tip_set(GTK_WIDGET(window->status), text);
}

void
window_complain(DoorsheetWindow *window, const char *heading, const GError *error)
{
  static const char *const buttons[] = {N_("Close"), NULL};
  dialogs_ask(GTK_WINDOW(window), heading, error->message, buttons, NULL, NULL);
}

/* --- what is shown of the session --- */

NoticeBar *
window_get_notices(DoorsheetWindow *window)
{
  return window->notices;
}

WindowLife *
window_get_life(DoorsheetWindow *window)
{
  return window->life;
}

bool
window_is_untouched(DoorsheetWindow *window)
{
  return session_get_path(window->session) == NULL && !session_get_modified(window->session) &&
         document_device_count(session_get_document(window->session)) == 0;
}

void
window_hide_start(DoorsheetWindow *window)
{
  window->start_dismissed = true;
  gtk_widget_set_visible(window->start, FALSE);
}

static void
show_titles(DoorsheetWindow *window)
{
  g_autofree char *name = session_dup_name(window->session);
  bool modified = session_get_modified(window->session);
  const SheetData *data = document_sheet(session_get_document(window->session));
  const char *title = data->values[SHEET_TITLE].text;
  g_autofree char *full = g_strdup_printf("%s%s", modified ? "\342\200\242 " : "",
                                          title != NULL && *title != '\0' ? title : name);
  gtk_label_set_text(window->title, full);
  const char *path = session_get_path(window->session);
  bool read_only = path != NULL && disk_is_read_only(path);
  static const char *const states[] = {"%s", N_("%s, not saved"), N_("%s, read-only"),
                                       N_("%s, read-only, not saved")};
  g_autofree char *below = language_fill(_(states[2 * read_only + modified]), name, NULL);
  gtk_label_set_text(window->subtitle, below);
  gtk_widget_set_visible(GTK_WIDGET(window->subtitle), strcmp(below, full) != 0);
  g_autofree char *window_title = g_strdup_printf("%s%s - Doorsheet", modified ? "*" : "", name);
  gtk_window_set_title(GTK_WINDOW(window), window_title);
}

static void
show_switch(DoorsheetWindow *window)
{
  bool energized = session_get_energized(window->session);
  window->updating = true;
  gtk_toggle_button_set_active(window->energized, energized);
  gtk_toggle_button_set_active(window->locked, !energized);
  window->updating = false;
  (energized ? gtk_widget_add_css_class : gtk_widget_remove_css_class)(GTK_WIDGET(window), "live");
  gtk_label_set_text(window->state_tag, energized ? _("\342\232\241 ENERGIZED") : _("LOCKED OUT"));
}

static void
on_state(Session *session, DoorsheetWindow *window)
{
  (void)session;
  if (window->complete)
    window_sides_follow(&window->sides);
  show_titles(window);
  show_switch(window);
  window_actions_update(window);
}

static void
on_changed(Session *session, DoorsheetWindow *window)
{
  bool empty = document_device_count(session_get_document(session)) == 0;
  gtk_widget_set_visible(window->start,
                         empty && !window->start_dismissed && !canvas_is_busy(window->canvas));
}

static void
on_inspected(Session *session, DoorsheetWindow *window)
{
  const SessionResult *result = session_get_result(session);
  GtkStack *pages = window->sides.pages;
  if (result == NULL || pages == NULL)
    return;
  guint n = window_count_findings(result->inspection->findings);
  bool empty = document_device_count(session_get_document(session)) == 0;
  g_autofree char *title =
      empty || n == 0 ? g_strdup(_("Check")) : g_strdup_printf(_("Check %u"), n);
  GtkStackPage *page = gtk_stack_get_page(pages, gtk_stack_get_child_by_name(pages, "check"));
  gtk_stack_page_set_title(page, title);
  window_actions_update(window);
}

static void
on_selection(Session *session, DoorsheetWindow *window)
{
  g_autofree char *text = session_dup_selection_text(session);
  window_say(window, text);
  window_actions_update(window);
}

static void
on_text(gpointer source, const char *text, DoorsheetWindow *window)
{
  (void)source;
  if (*text != '\0')
    window_say(window, text);
}

static void
on_readout(Canvas *canvas, const char *text, DoorsheetWindow *window)
{
  (void)canvas;
  gtk_label_set_text(window->readout, text);
}

static void
on_switch(GtkToggleButton *button, DoorsheetWindow *window)
{
  if (window->updating)
    return;
  bool energize = button == window->energized;
  session_set_energized(window->session, energize);
  show_switch(window); /* pressing the pressed one again changes nothing */
}

/* --- files --- */

void
window_show_opened(DoorsheetWindow *window)
{
  window_hide_start(window);
  canvas_zoom_content(window->canvas);
  if (window->complete)
    window_show_page(window, window_page_of_job(window));
  else
    window->shows_job = true;
  gtk_widget_grab_focus(GTK_WIDGET(window->canvas));
}

static void
open_here(DoorsheetWindow *window, const char *path)
{
  g_autoptr(GError) error = NULL;
  if (!session_open(window->session, path, &error)) {
    window_complain(window, _("The sheet cannot be opened"), error);
    return;
  }
  window_recent_add(path);
  window_show_opened(window);
  g_autofree char *name = session_dup_name(window->session);
  g_autofree char *text = g_strdup_printf(_("Opened %s."), name);
  window_say(window, text);
}

static bool
present_open(DoorsheetWindow *window, const char *path)
{
  const char *mine = session_get_path(window->session);
  DoorsheetWindow *open =
      mine != NULL && disk_is_same_file(mine, path) ? window : window_find_other(window, path);
  if (open == NULL)
    return false;
  gtk_window_present(GTK_WINDOW(open));
  session_say(open->session, _("This sheet is open already, here."));
  return true;
}

void
window_open(DoorsheetWindow *window, const char *path)
{
  DoorsheetWindow *into = window;
  if (present_open(window, path))
    return;
  if (!window_is_untouched(window)) {
    into = window_new(gtk_window_get_application(GTK_WINDOW(window)));
    gtk_window_present(GTK_WINDOW(into));
  }
  open_here(into, path);
}

static gboolean
on_drop(GtkDropTarget *target, const GValue *value, double x, double y, DoorsheetWindow *window)
{
  (void)target;
  (void)x;
  (void)y;
  GSList *files = g_value_get_boxed(value);
  for (GSList *l = files; l != NULL; l = l->next) {
    g_autofree char *path = g_file_get_path(l->data);
    if (path != NULL)
      window_open(window, path);
  }
  return files != NULL;
}

static void
destroy_now(DoorsheetWindow *window)
{
  window->closing = true;
  gtk_window_destroy(GTK_WINDOW(window));
}

static gboolean
on_close(GtkWindow *gtk_window, gpointer data)
{
  (void)data;
  DoorsheetWindow *window = DOORSHEET_WINDOW(gtk_window);
  if (window->closing || !session_get_modified(window->session))
    return FALSE;
  window_before_loss(window, destroy_now);
  return TRUE;
}

static void
on_page(GtkStack *stack, GParamSpec *property, DoorsheetWindow *window)
{
  (void)stack;
  (void)property;
  if (window->session != NULL)
    window_actions_update(window);
}

/* --- the result of an exercise --- */

static void
on_result_named(const char *path, gpointer data)
{
  g_autoptr(DoorsheetWindow) window = data;
  g_autoptr(GError) error = NULL;
  if (path == NULL || window->session == NULL)
    return;
  if (!exercise_page_save(window->sides.exercise_page, path, &error)) {
    window_complain(window, _("The result cannot be saved"), error);
    return;
  }
  g_autofree char *text = g_strdup_printf(_("The result is in %s."), path);
  window_say(window, text);
}

static void
on_save_result(ExercisePage *page, DoorsheetWindow *window)
{
  static const char *const patterns[] = {"*" RESULT_SUFFIX, NULL};
  g_autofree char *name = exercise_page_dup_name(page);
  const char *path = session_get_path(window->session);
  g_autofree char *folder = path != NULL ? g_path_get_dirname(path) : NULL;
  const DialogsFile file = {.title = _("Save the result"),
                            .accept = _("Save"),
                            .save = true,
                            .name = name,
                            .folder = folder,
                            .filter_title = _("Results"),
                            .patterns = patterns};
  dialogs_file(GTK_WINDOW(window), &file, on_result_named, g_object_ref(window));
}

/* --- the first frame, and what comes after it --- */

void
window_complete(DoorsheetWindow *window)
{
  if (window->complete)
    return;
  window->complete = true;
  g_clear_handle_id(&window->completing, g_source_remove);
  window_recent_follow(window_header_complete(GTK_WIDGET(window)));
  start_page_complete(DOORSHEET_START_PAGE(window->start));
  const WindowPlaces places = {window->shelf_place, window->clipboard_place, window->meter_place,
                               window->canvas};
  window->sides = window_sides_new(&places, window->session);
  g_signal_connect_object(window->sides.pages, "notify::visible-child", G_CALLBACK(on_page), window,
                          0);
  g_autoptr(GPropertyAction) meter = g_property_action_new("meter", window->sides.meter, "dial");
  g_action_map_add_action(G_ACTION_MAP(window), G_ACTION(meter));
  g_signal_connect_object(window->sides.exercise_page, "save-result", G_CALLBACK(on_save_result),
                          window, 0);
  window_lesson_follow(window, window->sides.deal_page);
  window_sides_follow(&window->sides);
  session_set_held(window->session, false); /* the first inspection */
  on_inspected(window->session, window);
  if (window->shows_job)
    window_show_page(window, window_page_of_job(window));
}

static gboolean
on_completing(gpointer data)
{
  DoorsheetWindow *window = data;
  window->completing = 0;
  window_complete(window);
  return G_SOURCE_REMOVE;
}

static void
on_first_paint(GdkFrameClock *clock, DoorsheetWindow *window)
{
  g_signal_handlers_disconnect_by_func(clock, on_first_paint, window);
  if (!window->complete && window->session != NULL)
    window->completing = g_idle_add(on_completing, window);
}

static void
on_first_map(GtkWidget *widget, gpointer data)
{
  (void)data;
  g_signal_handlers_disconnect_by_func(widget, on_first_map, NULL);
  g_signal_connect_object(gtk_widget_get_frame_clock(widget), "after-paint",
                          G_CALLBACK(on_first_paint), widget, 0);
}

/* --- object --- */

static void
window_dispose(GObject *object)
{
  DoorsheetWindow *window = DOORSHEET_WINDOW(object);
  g_clear_handle_id(&window->completing, g_source_remove);
  g_clear_pointer(&window->life, window_life_free);
  g_clear_object(&window->session);
  G_OBJECT_CLASS(window_parent_class)->dispose(object);
}

static void
ensure_types(void)
{
  g_type_ensure(CANVAS_TYPE);
  g_type_ensure(GLYPH_TYPE);
  g_type_ensure(START_PAGE_TYPE);
  g_type_ensure(NOTICE_BAR_TYPE);
}

static void
window_class_init(DoorsheetWindowClass *class)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS(class);
  G_OBJECT_CLASS(class)->dispose = window_dispose;
  ensure_types();
  template_set(widget_class, "window.ui");
#define BIND(name) gtk_widget_class_bind_template_child(widget_class, DoorsheetWindow, name)
  BIND(title);
  BIND(subtitle);
  BIND(locked);
  BIND(energized);
  BIND(shelf_side);
  BIND(canvas);
  BIND(start);
  BIND(clipboard);
  BIND(shelf_place);
  BIND(clipboard_place);
  BIND(meter_place);
  BIND(status);
  BIND(readout);
  BIND(state_tag);
  BIND(notices);
#undef BIND
  window_header_bind(widget_class);
  gtk_widget_class_bind_template_callback(widget_class, on_switch);
}

static void
follow_session(DoorsheetWindow *window)
{
  Session *session = window->session;
  canvas_set_session(window->canvas, session);
  g_signal_connect_object(session, "changed", G_CALLBACK(on_changed), window, 0);
  g_signal_connect_object(session, "inspected", G_CALLBACK(on_inspected), window, 0);
  g_signal_connect_object(session, "selection", G_CALLBACK(on_selection), window, 0);
  g_signal_connect_object(session, "state", G_CALLBACK(on_state), window, 0);
  g_signal_connect_object(session, "message", G_CALLBACK(on_text), window, 0);
  g_signal_connect_object(window->canvas, "hint", G_CALLBACK(on_text), window, 0);
  g_signal_connect_object(window->canvas, "readout", G_CALLBACK(on_readout), window, 0);
}

static void
window_init(DoorsheetWindow *window)
{
  gtk_widget_init_template(GTK_WIDGET(window));
  window->session = session_new();
  session_set_held(window->session, true);
  g_autoptr(SheetData) data =
      preferences_new_sheet_data(document_sheet(session_get_document(window->session)));
  session_start_with(window->session, data);
  window->life = window_life_new(window, window->notices);
  window_actions_init(window);
  follow_session(window);
  g_signal_connect(window, "close-request", G_CALLBACK(on_close), NULL);
  GtkDropTarget *drop = gtk_drop_target_new(GDK_TYPE_FILE_LIST, GDK_ACTION_COPY);
  g_signal_connect(drop, "drop", G_CALLBACK(on_drop), window);
  gtk_widget_add_controller(GTK_WIDGET(window), GTK_EVENT_CONTROLLER(drop));
  on_changed(window->session, window);
  on_state(window->session, window);
  g_signal_connect(window, "map", G_CALLBACK(on_first_map), NULL);
}

DoorsheetWindow *
window_new(GtkApplication *application)
{
  return g_object_new(WINDOW_TYPE, "application", application, NULL);
}
