/* SPDX-License-Identifier: MIT */
#include "lesson/deal_study.h"

#include "base/language.h"

#include <gio/gio.h>
#include <string.h>

struct DealStudy {
  int references;     /* the owner's and the task's */
  DealStudyDone done; /* NULL: the owner has gone */
  gpointer data;
  DealAnswer answer;
  GCancellable *running; /* NULL: nothing is under way */
  SessionResult *next;   /* asked while running */
  SessionResult *asked;  /* what the task under way is about */
};

/* --- scenes --- */

static DealScene *
scene_ref(DealScene *scene)
{
  if (scene != NULL)
    g_atomic_int_inc(&scene->references);
  return scene;
}

static void
scene_unref(DealScene *scene)
{
  if (scene == NULL || !g_atomic_int_dec_and_test(&scene->references))
    return;
  evidence_free(scene->evidence);
  g_clear_pointer(&scene->choices, g_array_unref);
  g_clear_pointer(&scene->places, g_ptr_array_unref);
  fault_scene_free(scene->scene);
  session_result_unref(scene->result);
  g_free(scene);
}

static void
find_choices(DealScene *scene)
{
  for (guint f = 0; f < fault_count(); f++) {
    const Fault *fault = fault_at(f);
    GPtrArray *places = fault_places(fault, scene->scene);
    g_ptr_array_add(scene->places, places);
    for (guint p = 0; p < places->len; p++) {
      DealChoice choice = {.fault = fault, .place = places->pdata[p]};
      if (fault_place_spot(fault, scene->scene, choice.place, &choice.spot))
        g_array_append_val(scene->choices, choice);
    }
  }
}

/* NULL with an error when the diagram is not sound. */
static DealScene *
scene_new(SessionResult *result, GError **error)
{
  DealScene *scene = g_new0(DealScene, 1);
  scene->references = 1;
  scene->result = session_result_ref(result);
  scene->scene = fault_scene_new(result->inspection);
  scene->places = g_ptr_array_new_with_free_func((GDestroyNotify)g_ptr_array_unref);
  scene->choices = g_array_new(FALSE, FALSE, sizeof(DealChoice));
  if (!deal_is_sound(scene->scene, error)) {
    scene_unref(scene);
    return NULL;
  }
  find_choices(scene);
  return scene;
}

int
deal_scene_find(const DealScene *scene, const char *fault, const char *place)
{
  for (guint i = 0; i < scene->choices->len; i++) {
    const DealChoice *choice = &g_array_index(scene->choices, DealChoice, i);
    if (strcmp(choice->fault->name, fault) == 0 && strcmp(choice->place->name, place) == 0)
      return (int)i;
  }
  return -1;
}

/* Nothing but marks is another: what a document holds is never changed, only replaced. */
static bool
same_diagram(const Document *a, const Document *b)
{
  if (document_sheet(a) != document_sheet(b) ||
      document_device_count(a) != document_device_count(b) ||
      document_conductor_count(a) != document_conductor_count(b))
    return false;
  for (guint i = 0; i < document_device_count(a); i++)
    if (document_device(a, i) != document_device(b, i))
      return false;
  for (guint i = 0; i < document_conductor_count(a); i++)
    if (document_conductor(a, i) != document_conductor(b, i))
      return false;
  return true;
}

bool
deal_scene_is_of(const DealScene *scene, const Document *document)
{
  return scene != NULL && same_diagram(scene->result->inspection->document, document);
}

/* --- questions --- */

typedef struct {
  DealStudy *study;
  SessionResult *result;
  DealScene *scene;   /* NULL: to be made, and nothing more */
  DealScene *made;    /* that one */
  Evidence *evidence; /* made for the scene */
  GPtrArray *judged;
  char *trouble, *together;
} Question;

static void
version_free(gpointer version)
{
  if (version != NULL)
    deal_version_free(version);
}

static void
question_free(gpointer data)
{
  Question *question = data;
  session_result_unref(question->result);
  scene_unref(question->scene);
  scene_unref(question->made);
  evidence_free(question->evidence);
  g_clear_pointer(&question->judged, g_ptr_array_unref);
  g_free(question->trouble);
  g_free(question->together);
  g_free(question);
}

/* The marks as faults of the scene; NULL where the sheet has no such place any more. */
static GPtrArray *
find_marked(const Question *question)
{
  const Document *document = question->result->inspection->document;
  GPtrArray *marked = g_ptr_array_new();
  for (guint i = 0; i < document_intended_count(document); i++) {
    const Intended *intended = document_intended(document, i);
    int at = deal_scene_find(question->scene, intended_fault(intended), intended_at(intended));
    const DealChoice *choice =
        at >= 0 ? &g_array_index(question->scene->choices, DealChoice, at) : NULL;
    g_ptr_array_add(marked, choice != NULL ? dealt_fault_new(choice->fault, choice->place) : NULL);
  }
  return marked;
}

static DealtVersion *
judge(const Question *question, DealtFault *const *faults, guint n)
{
  const Evidence *evidence =
      question->evidence != NULL ? question->evidence : question->scene->evidence;
  g_autoptr(GPtrArray) list = g_ptr_array_new();
  for (guint i = 0; i < n; i++)
    if (faults[i] != NULL)
      g_ptr_array_add(list, faults[i]);
  return list->len == n && n > 0 ? deal_judge(evidence, list) : NULL;
}

static void
judge_marked(Question *question, const GPtrArray *marked, GCancellable *cancellable)
{
  DealtFault *const *faults = (DealtFault *const *)marked->pdata;
  GPtrArray *judged = g_ptr_array_new_with_free_func(version_free);
  if (marked->len > DEAL_MOST_FAULTS)
    question->together =
        g_strdup_printf(_("One version has at most %u faults, so these are not judged together."),
                        DEAL_MOST_FAULTS);
  g_ptr_array_add(judged,
                  marked->len <= DEAL_MOST_FAULTS ? judge(question, faults, marked->len) : NULL);
  for (guint i = 0; i < marked->len && !g_cancellable_is_cancelled(cancellable); i++)
    g_ptr_array_add(judged, judge(question, &faults[i], 1));
  question->judged = judged;
}

static void
run(GTask *task, gpointer source, gpointer data, GCancellable *cancellable)
{
  (void)source;
  Question *question = data;
  g_autoptr(GError) error = NULL;
  if (question->scene == NULL) {
    question->made = scene_new(question->result, &error);
  } else if (question->scene->evidence == NULL) {
    question->evidence = evidence_new(question->scene->scene, cancellable, &error);
  }
  if (error != NULL && !g_error_matches(error, G_IO_ERROR, G_IO_ERROR_CANCELLED))
    question->trouble = g_strdup(error->message);
  if (error == NULL && question->scene != NULL) {
    GPtrArray *marked = find_marked(question);
    judge_marked(question, marked, cancellable);
    g_ptr_array_foreach(marked, (GFunc)(void (*)(void))dealt_fault_free, NULL);
    g_ptr_array_unref(marked);
  }
  g_task_return_boolean(task, TRUE);
}

/* --- the owner's side --- */

static void ask(DealStudy *study, SessionResult *take_result);

static void
clear_judged(DealStudy *study)
{
  g_clear_pointer(&study->answer.judged, g_ptr_array_unref);
  g_clear_pointer(&study->answer.together, g_free);
}

static void
unref(DealStudy *study)
{
  if (--study->references > 0)
    return;
  clear_judged(study);
  scene_unref(study->answer.scene);
  g_free(study->answer.trouble);
  g_clear_pointer(&study->next, session_result_unref);
  g_clear_pointer(&study->asked, session_result_unref);
  g_free(study);
}

static void
tell(DealStudy *study)
{
  if (study->done != NULL)
    study->done(study->data);
}

/* What a finished task found, as far as it is still of what is asked now. */
static void
take(DealStudy *study, Question *question)
{
  DealAnswer *answer = &study->answer;
  if (question->evidence != NULL && question->scene->evidence == NULL)
    question->scene->evidence = g_steal_pointer(&question->evidence);
  if (question->made != NULL) {
    scene_unref(answer->scene);
    answer->scene = g_steal_pointer(&question->made);
  }
  if (question->trouble != NULL) {
    g_free(answer->trouble);
    answer->trouble = g_steal_pointer(&question->trouble);
  }
}

static void
finished(GObject *source, GAsyncResult *async, gpointer data)
{
  (void)source;
  (void)data;
  Question *question = g_task_get_task_data(G_TASK(async));
  DealStudy *study = question->study;
  bool cancelled = g_cancellable_is_cancelled(study->running);
  g_clear_object(&study->running);
  if (study->done != NULL && !cancelled) {
    take(study, question);
    if (study->next == NULL && question->scene == NULL && study->answer.trouble == NULL)
      study->next = session_result_ref(question->result); /* now what the faults show */
    else if (study->next == NULL)
      study->answer.judged = g_steal_pointer(&question->judged);
    if (study->answer.judged != NULL)
      study->answer.together = g_steal_pointer(&question->together);
  }
  g_clear_pointer(&study->asked, session_result_unref);
  if (study->done != NULL && study->next != NULL)
    ask(study, g_steal_pointer(&study->next));
  else
    study->answer.busy = false;
  tell(study);
  unref(study);
}

static void
ask(DealStudy *study, SessionResult *take_result)
{
  Question *question = g_new0(Question, 1);
  question->study = study;
  question->result = take_result;
  if (deal_scene_is_of(study->answer.scene, take_result->inspection->document))
    question->scene = scene_ref(study->answer.scene);
  else
    g_clear_pointer(&study->answer.scene, scene_unref);
  g_clear_pointer(&study->answer.trouble, g_free);
  clear_judged(study);
  study->answer.busy = true;
  study->references++;
  study->running = g_cancellable_new();
  study->asked = session_result_ref(take_result);
  g_autoptr(GTask) task = g_task_new(NULL, study->running, finished, NULL);
  g_task_set_task_data(task, question, question_free);
  g_task_run_in_thread(task, run);
}

DealStudy *
deal_study_new(DealStudyDone done, gpointer data)
{
  DealStudy *study = g_new0(DealStudy, 1);
  study->references = 1;
  study->done = done;
  study->data = data;
  return study;
}

void
deal_study_free(DealStudy *study)
{
  if (study == NULL)
    return;
  study->done = NULL;
  if (study->running != NULL)
    g_cancellable_cancel(study->running);
  unref(study);
}

void
deal_study_ask(DealStudy *study, SessionResult *result)
{
  if (study->running == NULL) {
    ask(study, session_result_ref(result));
    tell(study);
    return;
  }
  /* Other marks do not spoil what is being found of the diagram. */
  if (!same_diagram(study->asked->inspection->document, result->inspection->document))
    g_cancellable_cancel(study->running);
  g_clear_pointer(&study->next, session_result_unref);
  study->next = session_result_ref(result);
  clear_judged(study);
  tell(study);
}

void
deal_study_forget(DealStudy *study)
{
  if (study->running != NULL)
    g_cancellable_cancel(study->running);
  g_clear_pointer(&study->next, session_result_unref);
  clear_judged(study);
  g_clear_pointer(&study->answer.scene, scene_unref);
  g_clear_pointer(&study->answer.trouble, g_free);
  tell(study);
}

const DealAnswer *
deal_study_get(const DealStudy *study)
{
  return &study->answer;
}
