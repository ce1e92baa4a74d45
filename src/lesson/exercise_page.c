/* SPDX-License-Identifier: MIT */
#include "lesson/exercise_page.h"

#include "base/language.h"
#include "grade/score.h"
#include "grade/touch.h"
#include "lesson/pieces.h"
#include "quiz/fault.h"

#include <string.h>

struct _ExercisePage {
  GtkBox parent;
  Session *session;
  GtkWidget *meter; /* borrowed */
  GtkLabel *heading, *symptom, *selected;
  GtkEntry *student;
  GtkBox *power, *work, *log, *answers, *outcome;
  GtkDropDown *topics, *faults;
  GPtrArray *listed; /* of const Fault *: as in faults */
  GtkWidget *name_it, *replace;
  const Document *seen; /* the session's document the attempt belongs to; not followed */
  Document *exercise;
  Watch *watch;
  Result *result; /* once handed in */
  gint64 began;
  guint dwell; /* source */
  guint edits;
  char *last; /* the reading logged last */
  bool by_itself, updating;
};

G_DEFINE_FINAL_TYPE(ExercisePage, exercise_page, GTK_TYPE_BOX)

static double
now(const ExercisePage *page)
{
  return (double)(g_get_monotonic_time() - page->began) / G_USEC_PER_SEC;
}

bool
exercise_page_is_active(ExercisePage *page)
{
  return page->watch != NULL;
}

bool
exercise_page_is_handed_in(ExercisePage *page)
{
  return page->result != NULL;
}

static bool
running(ExercisePage *page)
{
  return page->watch != NULL && page->result == NULL;
}

const Attempt *
exercise_page_get_attempt(ExercisePage *page)
{
  if (page->result != NULL)
    return page->result->attempt;
  return page->watch != NULL ? watch_get_attempt(page->watch) : NULL;
}

/* --- what is shown --- */

static void
show_log(ExercisePage *page)
{
  const Attempt *attempt = exercise_page_get_attempt(page);
  pieces_clear(page->log);
  if (attempt->steps->len == 0)
    gtk_box_append(page->log,
                   pieces_label(_("Nothing yet. Lock out, measure, then touch."), "dim-label"));
  for (guint i = attempt->steps->len; i-- > 0;) {
    g_autofree char *text = attempt_step_text(attempt->steps->pdata[i]);
    g_autofree char *line = g_strdup_printf("%u. %s", i + 1, text);
    gtk_box_append(page->log, pieces_label(line, NULL));
  }
}

/* The conductor or device that is selected, as a place; NULL unless it is one. New string. */
static char *
selected_place(ExercisePage *page)
{
  guint n;
  const guint32 *keys = session_get_selected_conductors(page->session, &n);
  guint devices = session_get_selected_device_count(page->session);
  if (devices == 1 && n == 0)
    return g_strdup(session_get_selected_devices(page->session)[0]);
  const Conductor *conductor =
      devices == 0 && n == 1 ? document_find_conductor(session_get_document(page->session), keys[0])
                             : NULL;
  return conductor != NULL ? conductor_dup_name(conductor) : NULL;
}

static void
show_selected(ExercisePage *page)
{
  g_autofree char *place = selected_place(page);
  g_autofree char *text = place != NULL ? g_strdup_printf(_("Place: %s"), place) : NULL;
  gtk_label_set_text(page->selected,
                     text != NULL ? text : _("Place: select one device or conductor."));
  const Device *device =
      place != NULL ? document_find_device(session_get_document(page->session), place) : NULL;
  gtk_widget_set_sensitive(page->name_it, place != NULL);
  gtk_widget_set_sensitive(page->replace,
                           place != NULL && (device == NULL || touch_is_replaceable(device)));
}

static void show_answers(ExercisePage *page);

static void
on_take_back(GtkButton *button, ExercisePage *page)
{
  watch_take_back(page->watch,
                  GPOINTER_TO_UINT(g_object_get_data(G_OBJECT(button), "doorsheet-answer")));
  show_answers(page);
}

static void
show_answers(ExercisePage *page)
{
  const Attempt *attempt = exercise_page_get_attempt(page);
  pieces_clear(page->answers);
  for (guint i = 0; i < attempt->answers->len; i++) {
    const AttemptAnswer *answer = attempt->answers->pdata[i];
    const Fault *fault = fault_find(answer->fault);
    g_autofree char *text = g_strdup_printf("%s: %s", answer->place, _(fault->title));
    GtkWidget *row = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 6);
    GtkWidget *title = pieces_label(text, NULL), *back = gtk_button_new_with_label(_("Take back"));
    gtk_widget_set_hexpand(title, TRUE);
    gtk_widget_set_valign(back, GTK_ALIGN_START);
    g_object_set_data(G_OBJECT(back), "doorsheet-answer", GUINT_TO_POINTER(i));
    g_signal_connect(back, "clicked", G_CALLBACK(on_take_back), page);
    gtk_box_append(GTK_BOX(row), title);
    gtk_box_append(GTK_BOX(row), back);
    gtk_box_append(page->answers, row);
  }
}

/* --- what power does --- */

static void
show_power(ExercisePage *page, const GPtrArray *list)
{
  static const char *const classes[] = {[SIGNAL_DANGER] = "signal-danger",
                                        [SIGNAL_WARNING] = "signal-warning",
                                        [SIGNAL_CAUTION] = "signal-caution",
                                        [SIGNAL_NOTICE] = "signal-notice"};
  if (list->len == 0)
    return;
  pieces_clear(page->power);
  for (guint i = 0; i < list->len; i++) {
    const Consequence *consequence = list->pdata[i];
    g_autofree char *word = g_strdup_printf("\342\232\240 %s", signal_word(consequence->signal));
    GtkWidget *signal = pieces_label(word, "signal");
    gtk_label_set_wrap(GTK_LABEL(signal), FALSE);
    gtk_widget_add_css_class(signal, classes[consequence->signal]);
    gtk_widget_set_halign(signal, GTK_ALIGN_START);
    gtk_box_append(page->power, signal);
    gtk_box_append(page->power, pieces_label(consequence->text, NULL));
    session_say(page->session, "%s: %s", signal_word(consequence->signal), consequence->text);
  }
  g_autofree char *cost = g_strdup_printf(_("This costs %.0f points."), SCORE_CONSEQUENCE);
  gtk_box_append(page->power, pieces_label(cost, "heading"));
}

/* Fuses and breakers open by themselves; that is an edit no hand made. */
static void
let_power(ExercisePage *page, GPtrArray *take_list)
{
  g_autoptr(GPtrArray) list = take_list;
  show_power(page, list);
  if (page->by_itself || !watch_get_energized(page->watch))
    return;
  Change *damage = consequences_damage(session_get_document(page->session));
  if (damage == NULL)
    return;
  page->by_itself = true;
  session_edit(page->session, damage, NULL);
  page->by_itself = false;
}

/* --- readings --- */

static void
take_reading(ExercisePage *page)
{
  g_autofree char *dial = NULL;
  g_object_get(page->meter, "dial", &dial, NULL);
  const Landing *red = session_get_probe(page->session, PROBE_RED);
  const Landing *black = session_get_probe(page->session, PROBE_BLACK);
  guint n;
  const guint32 *keys = session_get_selected_conductors(page->session, &n);
  bool amps = strcmp(dial, "amps") == 0;
  if (amps ? n != 1 : red == NULL || black == NULL)
    return;
  g_autofree char *key =
      amps
          ? g_strdup_printf("amps %u %d %u", keys[0], watch_get_energized(page->watch), page->edits)
          : g_strdup_printf("%s %s.%s %s.%s %d %u", dial, red->device, red->terminal, black->device,
                            black->terminal, watch_get_energized(page->watch), page->edits);
  if (g_strcmp0(key, page->last) == 0)
    return;
  g_free(page->last);
  page->last = g_steal_pointer(&key);
  if (amps)
    watch_amps(page->watch, now(page), keys[0]);
  else if (strcmp(dial, "ohms") == 0)
    watch_ohms(page->watch, now(page), red, black);
  else
    watch_volts(page->watch, now(page), red, black);
  show_log(page);
}

static gboolean
on_dwell(gpointer data)
{
  ExercisePage *page = data;
  page->dwell = 0;
  if (running(page))
    take_reading(page);
  return G_SOURCE_REMOVE;
}

void
exercise_page_settle(ExercisePage *page)
{
  g_clear_handle_id(&page->dwell, g_source_remove);
  on_dwell(page);
}

static void
on_meter(ExercisePage *page)
{
  if (!running(page))
    return;
  g_autofree char *dial = NULL;
  g_object_get(page->meter, "dial", &dial, NULL);
  g_clear_handle_id(&page->dwell, g_source_remove);
  if (watch_get_energized(page->watch) && strcmp(dial, "ohms") == 0)
    take_reading(page);
  else
    page->dwell = g_timeout_add(EXERCISE_DWELL_MS, on_dwell, page);
}

/* --- the session --- */

static void
show_all(ExercisePage *page)
{
  const SheetData *sheet = document_sheet(page->exercise);
  const char *lesson = sheet_exercise_text(sheet, EXERCISE_LESSON);
  const char *number = sheet_exercise_text(sheet, EXERCISE_NUMBER);
  g_autofree char *heading = *lesson != '\0' ? g_strdup_printf(_("Exercise %s: %s"), number, lesson)
                                             : g_strdup_printf(_("Exercise %s"), number);
  g_autofree char *symptom = g_strdup_printf(
      _("%s\nFaults to find: %s. Name the place and the fault, or mend it."),
      sheet_exercise_text(sheet, EXERCISE_SYMPTOM), sheet_exercise_text(sheet, EXERCISE_FAULTS));
  gtk_label_set_text(page->heading, heading);
  gtk_label_set_text(page->symptom, symptom);
  pieces_clear(page->power);
  pieces_clear(page->outcome);
  gtk_widget_set_visible(GTK_WIDGET(page->work), TRUE);
  gtk_widget_set_sensitive(GTK_WIDGET(page->student), TRUE);
  show_log(page);
  show_answers(page);
  show_selected(page);
}

static void
stop(ExercisePage *page)
{
  g_clear_handle_id(&page->dwell, g_source_remove);
  g_clear_pointer(&page->watch, watch_free);
  g_clear_pointer(&page->result, result_free);
  g_clear_pointer(&page->exercise, document_free);
  g_clear_pointer(&page->last, g_free);
}

static void
begin(ExercisePage *page, const Document *document)
{
  stop(page);
  page->seen = document;
  gtk_widget_set_visible(GTK_WIDGET(page), sheet_is_exercise(document_sheet(document)));
  if (!sheet_is_exercise(document_sheet(document)))
    return;
  g_autoptr(GDateTime) today = g_date_time_new_now_local();
  g_autofree char *day = g_date_time_format(today, "%Y-%m-%d");
  page->began = g_get_monotonic_time();
  page->exercise = document_snapshot(document);
  page->watch = watch_new(document, NULL, day);
  session_set_energized(page->session, false);
  show_all(page);
}

static void
on_changed(Session *session, ExercisePage *page)
{
  const Document *document = session_get_document(session);
  if (document != page->seen) {
    begin(page, document);
    return;
  }
  if (!running(page))
    return;
  page->edits++;
  let_power(page, watch_changed(page->watch, now(page), document, page->by_itself));
  show_log(page);
  show_selected(page);
  on_meter(page);
}

static void
on_state(Session *session, ExercisePage *page)
{
  bool energized = session_get_energized(session);
  if (!running(page) || energized == watch_get_energized(page->watch))
    return;
  if (energized)
    let_power(page, watch_energize(page->watch, now(page)));
  else
    watch_lock_out(page->watch, now(page));
  show_log(page);
  on_meter(page);
}

static void
on_selection(Session *session, ExercisePage *page)
{
  (void)session;
  if (!running(page))
    return;
  show_selected(page);
  on_meter(page);
}

/* --- buttons --- */

static void
on_topic(GtkDropDown *topics, GParamSpec *property, ExercisePage *page)
{
  (void)property;
  g_autoptr(GtkStringList) names = gtk_string_list_new(NULL);
  g_ptr_array_set_size(page->listed, 0);
  for (guint i = 0; i < fault_count(); i++) {
    const Fault *fault = fault_at(i);
    if (fault->topic != (FaultTopic)gtk_drop_down_get_selected(topics))
      continue;
    gtk_string_list_append(names, _(fault->title));
    g_ptr_array_add(page->listed, (gpointer)(guintptr)fault);
  }
  gtk_drop_down_set_model(page->faults, G_LIST_MODEL(names));
}

static void
on_name_it(GtkButton *button, ExercisePage *page)
{
  (void)button;
  g_autofree char *place = selected_place(page);
  guint at = gtk_drop_down_get_selected(page->faults);
  if (!running(page) || place == NULL || at >= page->listed->len)
    return;
  const Fault *fault = page->listed->pdata[at];
  watch_name(page->watch, now(page), place, fault->name, _(fault->title));
  show_answers(page);
  show_log(page);
}

/* A sound one in place of the selected: same ratings, whole inside. */
static void
on_replace(GtkButton *button, ExercisePage *page)
{
  (void)button;
  const Document *document = session_get_document(page->session);
  g_autofree char *place = selected_place(page);
  const Device *device = place != NULL ? document_find_device(document, place) : NULL;
  guint n;
  const guint32 *keys = session_get_selected_conductors(page->session, &n);
  GError *error = NULL;
  Change *change = NULL;
  if (device != NULL && touch_concealed_field(device) >= 0)
    change = edit_set_field(document, place, device->kind->operate_field, NULL, &error);
  else if (place != NULL && device == NULL)
    change = edit_set_conductor_field(document, keys[0], conductor_fields[CONDUCTOR_CONDITION].name,
                                      NULL, &error);
  if (change != NULL && change_is_empty(change))
    session_say(page->session, _("%s was sound: nothing is different now."), place);
  session_edit(page->session, change, error);
}

static void
show_outcome(ExercisePage *page, const Score *score)
{
  g_autofree char *points = g_strdup_printf(_("%.0f of 100 points"), score->total);
  gtk_box_append(page->outcome, pieces_label(points, "title-2"));
  for (guint i = 0; i < score->lines->len; i++)
    gtk_box_append(page->outcome, pieces_label(score->lines->pdata[i], NULL));
  const Attempt *attempt = page->result->attempt;
  for (guint i = 0; i < attempt->errors->len; i++) {
    const SafetyError *error = attempt->errors->pdata[i];
    g_autofree char *text =
        g_strdup_printf("\342\232\240 %s. %s", safety_kind_title(error->kind), error->text);
    gtk_box_append(page->outcome, pieces_label(text, NULL));
  }
}

static void
on_save(GtkButton *button, ExercisePage *page)
{
  (void)button;
  g_signal_emit_by_name(page, "save-result");
}

static void
on_hand_in(GtkButton *button, ExercisePage *page)
{
  (void)button;
  const char *student = gtk_editable_get_text(GTK_EDITABLE(page->student));
  if (*student == '\0') {
    session_say(page->session, "%s", _("Write your name first: the result file carries it."));
    gtk_widget_grab_focus(GTK_WIDGET(page->student));
    return;
  }
  exercise_page_settle(page);
  const Document *final = session_get_document(page->session);
  Attempt *attempt = attempt_copy(watch_get_attempt(page->watch), student);
  g_autoptr(Score) score = score_new(page->exercise, final, NULL, attempt);
  g_autofree char *text = score_dup_text(score);
  page->result = result_new(attempt, page->exercise, final, score->total, text);
  show_outcome(page, score);
  GtkWidget *save = gtk_button_new_with_label(_("Save the result\342\200\246"));
  gtk_widget_add_css_class(save, "suggested-action");
  g_signal_connect(save, "clicked", G_CALLBACK(on_save), page);
  gtk_box_append(page->outcome, save);
  gtk_widget_grab_focus(save); /* before what has it goes */
  gtk_widget_set_visible(GTK_WIDGET(page->work), FALSE);
  gtk_widget_set_sensitive(GTK_WIDGET(page->student), FALSE);
  session_say(page->session, _("Handed in: %.0f of 100 points."), score->total);
}

char *
exercise_page_dup_name(ExercisePage *page)
{
  return page->result != NULL ? result_dup_name(page->result) : NULL;
}

bool
exercise_page_save(ExercisePage *page, const char *path, GError **error)
{
  g_return_val_if_fail(page->result != NULL, false);
  return result_save(page->result, path, error);
}

/* --- object --- */

static void
build_answer(ExercisePage *page)
{
  static const char *const topics[] = {
      N_("Supply"),     N_("Taps"),       N_("Loads"),     N_("Control"),
      N_("Protection"), N_("Conductors"), N_("Grounding"), NULL};
  G_STATIC_ASSERT(G_N_ELEMENTS(topics) == FAULT_TOPIC_COUNT + 1);
  g_autoptr(GtkStringList) names = gtk_string_list_new(NULL);
  for (guint i = 0; topics[i] != NULL; i++)
    gtk_string_list_append(names, _(topics[i]));
  gtk_box_append(page->work, pieces_label(_("Your answer"), "heading"));
  page->selected = GTK_LABEL(pieces_label("", NULL));
  gtk_box_append(page->work, GTK_WIDGET(page->selected));
  page->topics = GTK_DROP_DOWN(gtk_drop_down_new(G_LIST_MODEL(g_object_ref(names)), NULL));
  page->faults = GTK_DROP_DOWN(gtk_drop_down_new(NULL, NULL));
  pieces_name(GTK_WIDGET(page->topics), _("Topic of the fault"));
  pieces_name(GTK_WIDGET(page->faults), _("Fault"));
  gtk_box_append(page->work, GTK_WIDGET(page->topics));
  gtk_box_append(page->work, GTK_WIDGET(page->faults));
  g_signal_connect(page->topics, "notify::selected", G_CALLBACK(on_topic), page);
  page->name_it =
      pieces_button(page->work, _("Name this fault here"), G_CALLBACK(on_name_it), page);
  page->answers = pieces_column(page->work);
  gtk_box_append(page->work, pieces_label(_("Repairs"), "heading"));
  gtk_box_append(page->work,
                 pieces_label(_("Drag a conductor's end to land it elsewhere."), "dim-label"));
  page->replace =
      pieces_button(page->work, _("Replace what is selected"), G_CALLBACK(on_replace), page);
  GtkWidget *hand = pieces_button(page->work, _("Hand in"), G_CALLBACK(on_hand_in), page);
  gtk_widget_add_css_class(hand, "suggested-action");
  on_topic(page->topics, NULL, page);
}

static void
exercise_page_dispose(GObject *object)
{
  ExercisePage *page = DOORSHEET_EXERCISE_PAGE(object);
  stop(page);
  g_clear_object(&page->session);
  g_clear_pointer(&page->listed, g_ptr_array_unref);
  G_OBJECT_CLASS(exercise_page_parent_class)->dispose(object);
}

static void
exercise_page_class_init(ExercisePageClass *class)
{
  G_OBJECT_CLASS(class)->dispose = exercise_page_dispose;
  g_signal_new("save-result", EXERCISE_PAGE_TYPE, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
               G_TYPE_NONE, 0);
}

static void
exercise_page_init(ExercisePage *page)
{
  GtkBox *box = GTK_BOX(page);
  gtk_orientable_set_orientation(GTK_ORIENTABLE(page), GTK_ORIENTATION_VERTICAL);
  gtk_box_set_spacing(box, 8);
  gtk_widget_add_css_class(GTK_WIDGET(page), "page");
  page->listed = g_ptr_array_new();
  page->heading = GTK_LABEL(pieces_label("", "heading"));
  page->symptom = GTK_LABEL(pieces_label("", NULL));
  gtk_box_append(box, GTK_WIDGET(page->heading));
  gtk_box_append(box, GTK_WIDGET(page->symptom));
  page->student = GTK_ENTRY(gtk_entry_new());
  gtk_entry_set_placeholder_text(page->student, _("Your name"));
  pieces_name(GTK_WIDGET(page->student), _("Your name"));
  gtk_box_append(box, GTK_WIDGET(page->student));
  page->power = pieces_column(box);
  page->outcome = pieces_column(box);
  page->work = pieces_column(box);
  build_answer(page);
  gtk_box_append(box, pieces_label(_("Log"), "heading"));
  page->log = pieces_column(box);
}

ExercisePage *
exercise_page_new(Session *session, GtkWidget *meter)
{
  ExercisePage *page = g_object_new(EXERCISE_PAGE_TYPE, NULL);
  page->session = g_object_ref(session);
  page->meter = meter;
  g_signal_connect_object(session, "changed", G_CALLBACK(on_changed), page, 0);
  g_signal_connect_object(session, "state", G_CALLBACK(on_state), page, 0);
  g_signal_connect_object(session, "selection", G_CALLBACK(on_selection), page, 0);
  g_signal_connect_object(session, "probes", G_CALLBACK(on_meter), page, G_CONNECT_SWAPPED);
  g_signal_connect_object(meter, "notify::dial", G_CALLBACK(on_meter), page, G_CONNECT_SWAPPED);
  begin(page, session_get_document(session));
  return page;
}
