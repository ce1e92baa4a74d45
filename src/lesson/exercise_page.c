/* SPDX-License-Identifier: MIT */
#include "lesson/exercise_page.h"

#include "base/language.h"
#include "grade/score.h"
#include "lesson/exercise_answer.h"
#include "lesson/exercise_log.h"
#include "lesson/exercise_outcome.h"
#include "lesson/exercise_repairs.h"
#include "lesson/pieces.h"

#include <string.h>

struct _ExercisePage {
  GtkBox parent;
  Session *session;
  GtkWidget *meter; /* borrowed */
  GtkLabel *heading, *symptom;
  GtkEntry *student;
  GtkBox *power, *work, *outcome;
  ExerciseAnswer *answer;
  ExerciseRepairs *repairs;
  ExerciseLog log;
  const Document *seen; /* the session's document the attempt belongs to; not followed */
  Document *exercise;
  Watch *watch;
  Result *result; /* once handed in */
  gint64 began;
  guint dwell; /* source */
  guint edits;
  char *last; /* the reading logged last */
  bool by_itself;
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

static void
show_log(ExercisePage *page)
{
  exercise_log_show(&page->log, exercise_page_get_attempt(page));
}

static void
show_answers(ExercisePage *page)
{
  exercise_answer_show(page->answer, exercise_page_get_attempt(page));
}

static void
show_selected(ExercisePage *page)
{
  g_autofree char *place = exercise_repairs_dup_place(page->session);
  exercise_answer_set_place(page->answer, place);
  exercise_repairs_show(page->repairs);
}

/* --- what power does --- */

/* Fuses and breakers open by themselves; that is an edit no hand made. */
static void
let_power(ExercisePage *page, GPtrArray *take_list)
{
  g_autoptr(GPtrArray) list = take_list;
  exercise_outcome_power(page->power, page->session, list);
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
  exercise_log_restart(&page->log);
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
  bool exercise = sheet_is_exercise(document_sheet(document));
  if (document != page->seen || exercise != (page->watch != NULL)) {
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
on_named(const char *place, const Fault *fault, gpointer data)
{
  ExercisePage *page = data;
  if (!running(page))
    return;
  watch_name(page->watch, now(page), place, fault->name, _(fault->title));
  show_answers(page);
  show_log(page);
}

static void
on_taken_back(guint answer, gpointer data)
{
  ExercisePage *page = data;
  if (!running(page))
    return;
  watch_take_back(page->watch, answer);
  show_answers(page);
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
  exercise_outcome_score(page->outcome, score, attempt);
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
exercise_page_dispose(GObject *object)
{
  ExercisePage *page = DOORSHEET_EXERCISE_PAGE(object);
  stop(page);
  g_clear_object(&page->session);
  G_OBJECT_CLASS(exercise_page_parent_class)->dispose(object);
}

static void
exercise_page_finalize(GObject *object)
{
  ExercisePage *page = DOORSHEET_EXERCISE_PAGE(object);
  exercise_answer_free(page->answer);
  exercise_repairs_free(page->repairs);
  G_OBJECT_CLASS(exercise_page_parent_class)->finalize(object);
}

static void
exercise_page_class_init(ExercisePageClass *class)
{
  G_OBJECT_CLASS(class)->dispose = exercise_page_dispose;
  G_OBJECT_CLASS(class)->finalize = exercise_page_finalize;
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
  page->log = exercise_log_new(box);
}

/* What follows the session. */
static void
build_work(ExercisePage *page)
{
  static const ExerciseAnswerCalls calls = {on_named, on_taken_back};
  page->repairs = exercise_repairs_new(page->work, page->session);
  page->answer = exercise_answer_new(page->work, &calls, page);
  GtkWidget *hand = pieces_button(page->work, _("Hand in"), G_CALLBACK(on_hand_in), page);
  gtk_widget_add_css_class(hand, "suggested-action");
}

ExercisePage *
exercise_page_new(Session *session, GtkWidget *meter)
{
  ExercisePage *page = g_object_new(EXERCISE_PAGE_TYPE, NULL);
  page->session = g_object_ref(session);
  page->meter = meter;
  build_work(page);
  g_signal_connect_object(session, "changed", G_CALLBACK(on_changed), page, 0);
  g_signal_connect_object(session, "state", G_CALLBACK(on_state), page, 0);
  g_signal_connect_object(session, "selection", G_CALLBACK(on_selection), page, 0);
  g_signal_connect_object(session, "probes", G_CALLBACK(on_meter), page, G_CONNECT_SWAPPED);
  g_signal_connect_object(meter, "notify::dial", G_CALLBACK(on_meter), page, G_CONNECT_SWAPPED);
  begin(page, session_get_document(session));
  return page;
}
