/* SPDX-License-Identifier: MIT */
/* Which faults an exercise has: every fault of the catalogue whose finding is there is made in the
 * reference at every place it fits, and stays when findings and readings come out the same. */
#include "grade/score_private.h"
#include "grade/touch.h"
#include "quiz/path.h"

#include <math.h>
#include <string.h>

/* Trials of one grading: places of every fault whose finding is there. Beyond it the rest is left
 * out; a sheet has some dozens. */
#define TRIALS_MOST 600

static void
slot_free(gpointer data)
{
  ScoreSlot *slot = data;
  g_free(slot->place);
  g_ptr_array_unref(slot->answers);
  g_ptr_array_unref(slot->findings);
  g_free(slot);
}

static ScoreSlot *
slot_new(const char *check)
{
  ScoreSlot *slot = g_new0(ScoreSlot, 1);
  slot->check = check;
  slot->answers = g_ptr_array_new_with_free_func((GDestroyNotify)dealt_fault_free);
  slot->findings = g_ptr_array_new();
  return slot;
}

/* --- findings --- */

static bool
has_finding(const Inspection *of, const Finding *finding)
{
  return !fault_is_new(of, finding);
}

/* What a check only notes, because it cannot know why a fuse is blown. */
static bool
of_blown_fuse(const ScoreCase *of, const Finding *finding)
{
  const Document *document = of->faulty->document;
  for (guint i = 0; i < document_device_count(document); i++) {
    const Device *device = document_device(document, i);
    if (!touch_is_blown(device))
      continue;
    for (guint k = 0; k < fault_count(); k++)
      if (fault_at(k)->edit == FAULT_FIELD && strcmp(fault_at(k)->check, finding->check) == 0 &&
          strcmp(fault_at(k)->field, device->kind->operate_field) == 0)
        return true;
  }
  return false;
}

/* What of the exercise's findings the sound diagram would not have. */
static bool
is_new(const ScoreCase *of, const Finding *finding)
{
  if (of->reference != NULL)
    return fault_is_new(of->reference, finding);
  return finding->signal != SIGNAL_NOTICE || of_blown_fuse(of, finding);
}

static bool
check_is_new(const ScoreCase *of, const char *check)
{
  for (guint i = 0; i < of->faulty->findings->len; i++) {
    const Finding *finding = of->faulty->findings->pdata[i];
    if (strcmp(finding->check, check) == 0 && is_new(of, finding))
      return true;
  }
  return false;
}

/* --- readings --- */

/* Volts to ground of every terminal both diagrams have: within 2 %, or half a volt. */
static bool
reads_alike(const Solution *a, const Solution *b)
{
  if ((a == NULL) != (b == NULL))
    return false;
  for (guint node = 1; a != NULL && node < a->circuit->n_nodes; node++) {
    const NodePlace *place = &a->circuit->places[node];
    const Device *device = document_device(a->circuit->document, place->device);
    const Landing landing = {.device = device->id,
                             .terminal =
                                 (char *)(guintptr)device_terminal(device, place->terminal)->name};
    guint other = circuit_node_of_landing(b->circuit, &landing);
    if (other == G_MAXUINT)
      continue;
    Reading one = solution_to_earth(a, node), two = solution_to_earth(b, other);
    double apart = fabs(cabs(one.volts) - cabs(two.volts));
    if (one.state != two.state || apart > fmax(0.5, 0.02 * cabs(one.volts)))
      return false;
  }
  return true;
}

/* --- with a reference --- */

/* The own findings of the fault made there, as they stand in the exercise; false when one is
 * missing there. */
static bool
own_findings(const ScoreCase *of, const Fault *fault, const Inspection *made, GPtrArray *own)
{
  bool any = false;
  for (guint i = 0; i < made->findings->len; i++) {
    const Finding *finding = made->findings->pdata[i];
    if (strcmp(finding->check, fault->check) != 0 || !fault_is_new(of->reference, finding))
      continue;
    any = true;
    if (!has_finding(of->faulty, finding))
      return false;
  }
  for (guint i = 0; i < of->faulty->findings->len && any; i++) {
    const Finding *finding = of->faulty->findings->pdata[i];
    if (strcmp(finding->check, fault->check) == 0 && is_new(of, finding) &&
        has_finding(made, finding))
      g_ptr_array_add(own, (gpointer)(guintptr)finding);
  }
  return any && own->len > 0;
}

/* Everything above NOTICE that one has, the other has too. */
static bool
all_there(const Inspection *one, const Inspection *other)
{
  for (guint i = 0; i < one->findings->len; i++) {
    const Finding *finding = one->findings->pdata[i];
    if (finding->signal != SIGNAL_NOTICE && !has_finding(other, finding))
      return false;
  }
  return true;
}

/* The only fault: everything is found alike and every terminal reads alike. */
static bool
makes_all(const ScoreCase *of, const Inspection *made)
{
  if (!all_there(made, of->faulty) || !all_there(of->faulty, made))
    return false;
  return reads_alike(made->solution, of->faulty->solution) &&
         reads_alike(made->closed_solution, of->faulty->closed_solution);
}

static ScoreSlot *
slot_with(const ScoreCase *of, const GPtrArray *own)
{
  for (guint s = 0; s < of->slots->len; s++) {
    ScoreSlot *slot = of->slots->pdata[s];
    for (guint i = 0; i < own->len; i++)
      if (g_ptr_array_find(slot->findings, own->pdata[i], NULL))
        return slot;
  }
  return NULL;
}

static void
add_answer(ScoreCase *of, const Fault *fault, const FaultPlace *place, const GPtrArray *own)
{
  ScoreSlot *slot =
      of->faults == 1 && of->slots->len > 0 ? of->slots->pdata[0] : slot_with(of, own);
  if (slot == NULL) {
    slot = slot_new(fault->check);
    slot->fault = fault;
    slot->place = g_strdup(place->name);
    g_ptr_array_add(of->slots, slot);
  }
  for (guint i = 0; i < own->len; i++)
    if (!g_ptr_array_find(slot->findings, own->pdata[i], NULL))
      g_ptr_array_add(slot->findings, own->pdata[i]);
  g_ptr_array_add(slot->answers, dealt_fault_new(fault, place));
}

static void
try_fault(ScoreCase *of, const Fault *fault, Document *scratch, guint *trials)
{
  g_autoptr(GPtrArray) places = fault_places(fault, of->scene);
  for (guint i = 0; i < places->len && *trials < TRIALS_MOST; i++) {
    const FaultPlace *place = places->pdata[i];
    Change *change = fault_change(fault, of->scene, place);
    if (change == NULL || !document_apply(scratch, change, NULL))
      continue;
    (*trials)++;
    g_autoptr(Inspection) made = inspection_new(scratch);
    document_undo(scratch);
    g_autoptr(GPtrArray) own = g_ptr_array_new();
    if (own_findings(of, fault, made, own) && (of->faults > 1 || makes_all(of, made)))
      add_answer(of, fault, place, own);
  }
}

/* --- without one --- */

/* Names of the checks that found something new. */
static GHashTable *
new_checks(const ScoreCase *of)
{
  GHashTable *checks = g_hash_table_new(g_str_hash, g_str_equal);
  for (guint i = 0; i < of->faulty->findings->len; i++) {
    const Finding *finding = of->faulty->findings->pdata[i];
    if (is_new(of, finding))
      g_hash_table_add(checks, (gpointer)(guintptr)finding->check);
  }
  return checks;
}

/* Takes out of the list what the fault explains: its own finding and what may follow. How many. */
static guint
explain_away(const Fault *fault, GHashTable *left, bool really)
{
  g_auto(GStrv) also = g_strsplit(fault->also != NULL ? fault->also : "", " ", -1);
  guint n = g_hash_table_contains(left, fault->check);
  if (really)
    g_hash_table_remove(left, fault->check);
  for (guint i = 0; also[i] != NULL; i++) {
    n += g_hash_table_contains(left, also[i]);
    if (really)
      g_hash_table_remove(left, also[i]);
  }
  return n;
}

/* The fault with a finding of its own in the list that explains most of it; NULL: none. */
static const Fault *
explains_most(GHashTable *left)
{
  const Fault *best = NULL;
  guint most = 0;
  for (guint i = 0; i < fault_count(); i++) {
    const Fault *fault = fault_at(i);
    guint n = g_hash_table_contains(left, fault->check) ? explain_away(fault, left, false) : 0;
    if (n > most) {
      most = n;
      best = fault;
    }
  }
  return best;
}

static void
add_finding_slot(ScoreCase *of, const char *check)
{
  for (guint i = 0; i < of->faulty->findings->len; i++) {
    const Finding *finding = of->faulty->findings->pdata[i];
    g_autoptr(GPtrArray) own = g_ptr_array_new();
    g_ptr_array_add(own, (gpointer)(guintptr)finding);
    if (strcmp(finding->check, check) != 0 || !is_new(of, finding) || slot_with(of, own) != NULL)
      continue;
    ScoreSlot *slot = slot_new(finding->check);
    slot->place = g_strdup(finding->places->len > 0 ? finding->places->pdata[0] : "");
    g_ptr_array_add(slot->findings, own->pdata[0]);
    g_ptr_array_add(of->slots, slot);
    return;
  }
}

/* The fewest faults that explain what is found, the one that explains most first. */
static void
add_finding_slots(ScoreCase *of)
{
  g_autoptr(GHashTable) left = new_checks(of);
  for (guint s = 0; s < of->slots->len; s++) {
    const ScoreSlot *slot = of->slots->pdata[s];
    if (slot->fault != NULL)
      explain_away(slot->fault, left, true);
  }
  while (of->slots->len < of->faults) {
    const Fault *fault = explains_most(left);
    if (fault == NULL)
      return;
    add_finding_slot(of, fault->check);
    explain_away(fault, left, true);
  }
}

/* --- the case --- */

static gint
by_weight(gconstpointer a, gconstpointer b)
{
  const ScoreSlot *one = *(ScoreSlot *const *)a, *two = *(ScoreSlot *const *)b;
  return (gint)two->findings->len - (gint)one->findings->len;
}

void
score_case_init(ScoreCase *of)
{
  of->slots = g_ptr_array_new_with_free_func(slot_free);
  of->scene = NULL;
  if (of->reference != NULL) {
    of->scene = fault_scene_new(of->reference);
    g_autoptr(Document) scratch = document_snapshot(of->reference->document);
    guint trials = 0;
    for (guint i = 0; i < fault_count(); i++)
      if (check_is_new(of, fault_at(i)->check))
        try_fault(of, fault_at(i), scratch, &trials);
    g_ptr_array_sort(of->slots, by_weight);
    if (of->slots->len > of->faults)
      g_ptr_array_set_size(of->slots, (gint)of->faults);
  }
  if (of->slots->len < of->faults)
    add_finding_slots(of);
}

void
score_case_clear(ScoreCase *of)
{
  g_clear_pointer(&of->slots, g_ptr_array_unref);
  g_clear_pointer(&of->scene, fault_scene_free);
}

guint
score_case_shortest(const ScoreCase *of)
{
  if (of->scene == NULL || of->slots->len == 0)
    return 0;
  g_autoptr(Evidence) evidence = evidence_new(of->scene, NULL, NULL);
  g_autofree EvidenceCell *cells =
      evidence != NULL ? evidence_cells(evidence, of->faulty->document) : NULL;
  if (cells == NULL)
    return 0;
  const ScoreSlot *slot = of->slots->pdata[0];
  guint answer = G_MAXUINT;
  if (of->faults == 1 && slot->answers->len > 0) {
    const DealtFault *first = slot->answers->pdata[0];
    int row = evidence_find_row(evidence, first->fault->name, first->place->name);
    if (row >= 0)
      answer = evidence_row(evidence, (guint)row)->answer;
  }
  g_autoptr(MeasuringPath) path = path_find(evidence, cells, answer);
  return path->measurements;
}

/* --- answers --- */

static bool
finding_touches(const ScoreCase *of, const ScoreSlot *slot, const char *place)
{
  for (guint i = 0; i < slot->findings->len; i++) {
    const Finding *finding = slot->findings->pdata[i];
    for (guint k = 0; k < finding->places->len; k++)
      if (score_places_meet(of->faulty->document, place, finding->places->pdata[k]))
        return true;
  }
  return false;
}

/* A place may be named as it is called in the sound diagram or in the faulty one. A conductor of
 * the sound diagram is known by more than its number, which others may carry too. */
static bool
answer_touches(const ScoreCase *of, const DealtFault *answer, const char *place)
{
  const Document *reference = of->reference->document;
  switch (answer->fault->edit) {
  case FAULT_CUT:
  case FAULT_WIRE:
  case FAULT_COPY_WIRE:
    if (score_conductor_meets(document_conductor(reference, answer->place->first), place))
      return true;
    break;
  default:
    break;
  }
  return score_places_meet(of->faulty->document, place, answer->place->name) ||
         score_places_meet(reference, place, answer->place->name);
}

bool
score_slot_touches(const ScoreCase *of, const ScoreSlot *slot, const char *place)
{
  for (guint i = 0; i < slot->answers->len; i++)
    if (answer_touches(of, slot->answers->pdata[i], place))
      return true;
  return slot->answers->len == 0 && finding_touches(of, slot, place);
}

bool
score_slot_has_topic(const ScoreSlot *slot, FaultTopic topic)
{
  for (guint i = 0; i < slot->answers->len; i++)
    if (((const DealtFault *)slot->answers->pdata[i])->fault->topic == topic)
      return true;
  for (guint i = 0; i < fault_count() && slot->answers->len == 0; i++)
    if (strcmp(fault_at(i)->check, slot->check) == 0 && fault_at(i)->topic == topic)
      return true;
  return false;
}

/* Without a reference: the fault's own finding is this, and as many other faults as there are
 * explain whatever does not follow from it. */
static bool
explains(const ScoreCase *of, const ScoreSlot *slot, const Fault *fault)
{
  if (strcmp(fault->check, slot->check) != 0)
    return false;
  g_autoptr(GHashTable) left = new_checks(of);
  explain_away(fault, left, true);
  for (guint i = 1; i < of->faults && g_hash_table_size(left) > 0; i++) {
    const Fault *other = explains_most(left);
    if (other == NULL)
      return false;
    explain_away(other, left, true);
  }
  return g_hash_table_size(left) == 0;
}

bool
score_slot_is_right(const ScoreCase *of, const ScoreSlot *slot, const Fault *fault,
                    const char *place)
{
  for (guint i = 0; i < slot->answers->len; i++) {
    const DealtFault *answer = slot->answers->pdata[i];
    if (answer->fault == fault && answer_touches(of, answer, place))
      return true;
  }
  return slot->answers->len == 0 && finding_touches(of, slot, place) && explains(of, slot, fault);
}

bool
score_slot_is_gone(const ScoreCase *of, const ScoreSlot *slot)
{
  for (guint i = 0; i < slot->findings->len; i++)
    if (has_finding(of->handed, slot->findings->pdata[i]))
      return false;
  return slot->findings->len > 0 && of->handed->solution != NULL;
}
