/* SPDX-License-Identifier: MIT */
#include "canvas/study.h"

#include <gio/gio.h>

#define SUSPECTS_MOST 5

struct Study {
  int references; /* the owner's and the task's */
  StudyDone done; /* NULL: the owner has gone */
  gpointer data;
  bool running;
  SessionResult *next; /* asked while running */
  guint next_most;
};

typedef struct {
  Study *study;
  SessionResult *result;
  guint most;
  StudyAnswer answer;
} Question;

static void ask(Study *study, SessionResult *take_result, guint most);

static void
unref(Study *study)
{
  if (--study->references > 0)
    return;
  g_clear_pointer(&study->next, session_result_unref);
  g_free(study);
}

static void
question_free(gpointer data)
{
  Question *question = data;
  session_result_unref(question->result);
  g_clear_pointer(&question->answer.ohms, g_array_unref);
  g_clear_pointer(&question->answer.suspects, g_ptr_array_unref);
  g_free(question);
}

static GArray *
find_ohms(const SessionResult *result, guint most)
{
  const GArray *pairs = result->expected_locked;
  if (pairs == NULL)
    return NULL;
  GArray *ohms = g_array_new(FALSE, TRUE, sizeof(MeterReading));
  for (guint i = 0; i < MIN(pairs->len, most); i++) {
    const ExpectedReading *pair = &g_array_index(pairs, ExpectedReading, i);
    MeterReading reading = {.state = METER_DRIFTS, .unit = UNIT_OHM};
    meter_ohms(result->locked_circuit, result->locked_solution, pair->a, pair->b, &reading, NULL);
    g_array_append_val(ohms, reading);
  }
  return ohms;
}

static void
run(GTask *task, gpointer source, gpointer data, GCancellable *cancellable)
{
  (void)source;
  Question *question = data;
  question->answer.ohms = find_ohms(question->result, question->most);
  question->answer.suspects =
      suspects_rank(question->result->inspection, SUSPECTS_MOST, cancellable, NULL);
  g_task_return_boolean(task, TRUE);
}

static void
finished(GObject *source, GAsyncResult *async, gpointer data)
{
  (void)source;
  (void)data;
  const Question *question = g_task_get_task_data(G_TASK(async));
  Study *study = question->study;
  study->running = false;
  if (study->next != NULL && study->done != NULL)
    ask(study, g_steal_pointer(&study->next), study->next_most);
  else if (study->done != NULL)
    study->done(&question->answer, study->data);
  unref(study);
}

static void
ask(Study *study, SessionResult *take_result, guint most)
{
  Question *question = g_new0(Question, 1);
  question->study = study;
  question->result = take_result;
  question->most = most;
  study->references++;
  study->running = true;
  g_autoptr(GTask) task = g_task_new(NULL, NULL, finished, NULL);
  g_task_set_task_data(task, question, question_free);
  g_task_run_in_thread(task, run);
}

Study *
study_new(StudyDone done, gpointer data)
{
  Study *study = g_new0(Study, 1);
  study->references = 1;
  study->done = done;
  study->data = data;
  return study;
}

void
study_free(Study *study)
{
  if (study == NULL)
    return;
  study->done = NULL;
  unref(study);
}

void
study_ask(Study *study, SessionResult *result, guint most)
{
  if (!study->running) {
    ask(study, session_result_ref(result), most);
    return;
  }
  g_clear_pointer(&study->next, session_result_unref);
  study->next = session_result_ref(result);
  study->next_most = most;
}
