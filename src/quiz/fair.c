/* SPDX-License-Identifier: MIT */
/* One version: its faults made, and the proof that it is fair. */
#include "quiz/deal_private.h"

#include "base/language.h"
#include "base/text.h"
#include "quiz/site.h"

#include <string.h>

G_DEFINE_QUARK(deal - error - quark, deal_error)

const char *
fair_condition_word(FairCondition condition)
{
  static const char *const words[FAIR_CONDITION_COUNT] = {
      [FAIR_POSSIBLE] = N_("possible"), [FAIR_EXPECTED] = N_("expected"),
      [FAIR_SHOWS] = N_("shows"),       [FAIR_UNMASKED] = N_("unmasked"),
      [FAIR_UNIQUE] = N_("unique"),     [FAIR_FINDABLE] = N_("findable"),
  };
  return condition < FAIR_CONDITION_COUNT ? words[condition] : "";
}

void
dealt_fault_free(DealtFault *dealt)
{
  if (dealt == NULL)
    return;
  fault_place_free(dealt->place);
  g_free(dealt);
}

DealtFault *
dealt_fault_new(const Fault *fault, const FaultPlace *place)
{
  DealtFault *dealt = g_new0(DealtFault, 1);
  FaultPlace *copy = g_new0(FaultPlace, 1);
  *copy = (FaultPlace){place->first, place->second, g_strdup(place->name)};
  *dealt = (DealtFault){fault, copy};
  return dealt;
}

DealtVersion *
version_new(void)
{
  DealtVersion *version = g_new0(DealtVersion, 1);
  version->faults = g_ptr_array_new_with_free_func((GDestroyNotify)dealt_fault_free);
  version->answers = g_ptr_array_new_with_free_func((GDestroyNotify)g_ptr_array_unref);
  return version;
}

void
deal_version_free(DealtVersion *version)
{
  if (version == NULL)
    return;
  for (guint i = 0; i < FAIR_CONDITION_COUNT; i++)
    g_free(version->proof.sentences[i]);
  measuring_path_free(version->path);
  g_free(version->symptom);
  g_ptr_array_unref(version->answers);
  g_ptr_array_unref(version->faults);
  g_free(version);
}

static const DealtFault *
dealt_at(const DealtVersion *version, guint index)
{
  return g_ptr_array_index(version->faults, index);
}

DealtFault *
deal_find_fault(const FaultScene *scene, const char *name, const char *place, GError **error)
{
  const Fault *fault = fault_find(name);
  if (fault == NULL) {
    g_autofree char *shown = text_clean(name, 40);
    g_set_error(error, DEAL_ERROR, DEAL_ERROR_NO_PLACE,
                _("The catalogue has no fault \"%s\"; choose it anew."), shown);
    return NULL;
  }
  g_autoptr(GPtrArray) places = fault_places(fault, scene);
  g_autoptr(GPtrArray) names = g_ptr_array_new();
  for (guint i = 0; i < places->len; i++) {
    const FaultPlace *here = g_ptr_array_index(places, i);
    if (strcmp(here->name, place) == 0)
      return dealt_fault_new(fault, here);
    g_ptr_array_add(names, here->name);
  }
  g_ptr_array_add(names, NULL);
  const char *nearest = text_nearest(place, (const char *const *)names->pdata);
  if (nearest == NULL && places->len > 0)
    nearest = g_ptr_array_index(names, 0);
  g_autofree char *shown = text_clean(place, 80);
  if (nearest != NULL)
    g_set_error(error, DEAL_ERROR, DEAL_ERROR_NO_PLACE,
                _("%s cannot be made at \"%s\" of this diagram; it can at %s."), name, shown,
                nearest);
  else
    g_set_error(error, DEAL_ERROR, DEAL_ERROR_NO_PLACE,
                _("%s has no place in this diagram; take it off the list."), name);
  return NULL;
}

/* All but one; skip G_MAXUINT: all. */
static bool
make_but(const DealtVersion *version, const FaultScene *scene, guint skip, Document *document,
         GError **error)
{
  guint made = 0;
  for (guint i = 0; i < version->faults->len; i++) {
    const DealtFault *dealt = dealt_at(version, i);
    if (i == skip)
      continue;
    Change *change = fault_change(dealt->fault, scene, dealt->place);
    if (change != NULL && document_apply(document, change, error)) {
      made++;
      continue;
    }
    if (change == NULL)
      g_set_error(error, DEAL_ERROR, DEAL_ERROR_TOO_FEW, _("%s cannot be made at %s here"),
                  dealt->fault->name, dealt->place->name);
    while (made-- > 0)
      document_undo(document);
    return false;
  }
  return true;
}

bool
deal_make(const DealtVersion *version, const FaultScene *scene, Document *document, GError **error)
{
  return make_but(version, scene, G_MAXUINT, document, error);
}

/* --- fairness --- */

/* What is newly found, as text that can be compared. */
static char *
found_text(const FaultScene *scene, const Inspection *faulty)
{
  GString *text = g_string_new(NULL);
  for (guint i = 0; i < faulty->findings->len; i++) {
    const Finding *finding = g_ptr_array_index(faulty->findings, i);
    if (!fault_is_new(scene->sound, finding))
      continue;
    g_string_append_printf(text, "%s %d", finding->check, (int)finding->signal);
    for (guint p = 0; p < finding->places->len; p++)
      g_string_append_printf(text, " %s", (const char *)g_ptr_array_index(finding->places, p));
    g_string_append_c(text, '\n');
  }
  return g_string_free(text, FALSE);
}

/* The faulty diagram's inspection, or NULL when the faults exclude one another. */
static Inspection *
inspect_but(const DealtVersion *version, const FaultScene *scene, guint skip)
{
  g_autoptr(Document) document = document_snapshot(scene->document);
  return make_but(version, scene, skip, document, NULL) ? inspection_new(document) : NULL;
}

static bool
any_lists(const DealtVersion *version, const char *check)
{
  for (guint i = 0; i < version->faults->len; i++) {
    const Fault *fault = dealt_at(version, i)->fault;
    g_auto(GStrv) also = g_strsplit(fault->also != NULL ? fault->also : "", " ", -1);
    if (strcmp(fault->check, check) == 0 || g_strv_contains((const char *const *)also, check))
      return true;
  }
  return false;
}

typedef struct {
  const Evidence *evidence;
  const FaultScene *scene;
  DealtVersion *version;
  Document *document; /* faulty */
  Inspection *faulty;
} Judge;

static char *
why_impossible(Judge *judge)
{
  judge->document = document_snapshot(judge->scene->document);
  if (!deal_make(judge->version, judge->scene, judge->document, NULL))
    return g_strdup(_("two faults change the same conductor or device"));
  judge->faulty = inspection_new(judge->document);
  return judge->faulty->error != NULL ? g_strdup(_("the circuit cannot be computed")) : NULL;
}

static char *
why_unexpected(const Judge *judge)
{
  for (guint i = 0; i < judge->faulty->findings->len; i++) {
    const Finding *finding = g_ptr_array_index(judge->faulty->findings, i);
    if (finding->signal != SIGNAL_NOTICE && fault_is_new(judge->scene->sound, finding) &&
        !any_lists(judge->version, finding->check))
      return g_strdup_printf(_("%s is found and nobody meant it"), finding->check);
  }
  return NULL;
}

static char *
why_hidden(const Judge *judge)
{
  for (guint i = 0; i < judge->version->faults->len; i++) {
    const Fault *fault = dealt_at(judge->version, i)->fault;
    if (!fault_is_found(fault, judge->scene->sound, judge->faulty))
      return g_strdup_printf(_("%s does not show %s here"), fault->name, fault->check);
  }
  return NULL;
}

/* Mending one of several has to show: its finding goes, and it has one of its own. */
static char *
why_masked(const Judge *judge)
{
  const DealtVersion *version = judge->version;
  if (version->faults->len < 2)
    return NULL;
  for (guint i = 1; i < version->faults->len; i++)
    for (guint k = 0; k < i; k++)
      if (strcmp(dealt_at(version, k)->fault->check, dealt_at(version, i)->fault->check) == 0)
        return g_strdup_printf(_("two faults show %s"), dealt_at(version, i)->fault->check);
  g_autofree char *with = found_text(judge->scene, judge->faulty);
  for (guint i = 0; i < version->faults->len; i++) {
    const Fault *fault = dealt_at(version, i)->fault;
    g_autoptr(Inspection) rest = inspect_but(version, judge->scene, i);
    g_autofree char *without = rest != NULL ? found_text(judge->scene, rest) : NULL;
    if (rest == NULL || strcmp(with, without) == 0 ||
        fault_is_found(fault, judge->scene->sound, rest))
      return g_strdup_printf(_("%s cannot be told from the others"), fault->name);
  }
  return NULL;
}

static void
list_answers(const Judge *judge)
{
  for (guint i = 0; i < judge->version->faults->len; i++) {
    GPtrArray *names = g_ptr_array_new_with_free_func(g_free);
    const DealtFault *dealt = dealt_at(judge->version, i);
    int own = evidence_find_row(judge->evidence, dealt->fault->name, dealt->place->name);
    for (guint r = 0; own >= 0 && r < evidence_row_count(judge->evidence); r++) {
      const EvidenceRow *row = evidence_row(judge->evidence, r);
      if ((int)r != own && row->answer == evidence_row(judge->evidence, (guint)own)->answer)
        g_ptr_array_add(names, g_strdup_printf("%s at %s", row->fault->name, row->place->name));
    }
    g_ptr_array_add(judge->version->answers, names);
  }
}

static char *
why_ambiguous(const Judge *judge, const EvidenceCell *cells)
{
  DealtVersion *version = judge->version;
  guint answer = G_MAXUINT;
  if (version->faults->len == 1) {
    const DealtFault *dealt = dealt_at(version, 0);
    int own = evidence_find_row(judge->evidence, dealt->fault->name, dealt->place->name);
    answer = own >= 0 ? evidence_row(judge->evidence, (guint)own)->answer : G_MAXUINT;
  }
  version->path = path_find(judge->evidence, cells, answer);
  version->difficulty = path_rate(judge->evidence, version->path, version->faults->len);
  if (version->path->same->len == 0)
    return NULL;
  guint other = g_array_index(version->path->same, guint, 0);
  if (other >= evidence_row_count(judge->evidence))
    return g_strdup(_("nothing a student may measure or see is unlike the sound diagram"));
  const EvidenceRow *row = evidence_row(judge->evidence, other);
  return g_strdup_printf(_("%s at another place gives the same readings"), row->fault->name);
}

/* Each fault by itself must change something that can be measured or seen beside the others. */
static char *
why_unfindable(const Judge *judge, const EvidenceCell *cells)
{
  const DealtVersion *version = judge->version;
  for (guint i = 0; version->faults->len > 1 && i < version->faults->len; i++) {
    g_autoptr(Document) document = document_snapshot(judge->scene->document);
    if (!make_but(version, judge->scene, i, document, NULL))
      continue;
    g_autofree EvidenceCell *rest = evidence_cells(judge->evidence, document);
    if (rest != NULL && !evidence_told(judge->evidence, cells, rest, true))
      return g_strdup_printf(_("nothing a student may measure or see shows %s beside the others"),
                             dealt_at(version, i)->fault->name);
  }
  return NULL;
}

static char *
found_by(const MeasuringPath *path)
{
  guint measured = path->measurements, looks = path->steps->len - measured;
  if (looks == 0)
    return g_strdup_printf(
        language_plural("%u measurement finds it.", "%u measurements find it.", measured),
        measured);
  if (measured == 0)
    return g_strdup_printf(language_plural("%u look finds it.", "%u looks find it.", looks), looks);
  g_autofree char *first =
      g_strdup_printf(language_plural("%u measurement", "%u measurements", measured), measured);
  g_autofree char *second = g_strdup_printf(language_plural("%u look", "%u looks", looks), looks);
  return g_strdup_printf(_("%s and %s find it."), first, second);
}

static char *
how_met(const Judge *judge, FairCondition condition)
{
  const DealtVersion *version = judge->version;
  guint n = version->faults->len;
  switch (condition) {
  case FAIR_POSSIBLE:
    return g_strdup_printf(
        language_plural("The fault can be made and the circuit is computed.",
                        "All %u faults can be made together and the circuit is computed.", n),
        n);
  case FAIR_EXPECTED:
    return g_strdup(_("Nothing is found above NOTICE but what the faults cause."));
  case FAIR_SHOWS:
    return g_strdup_printf(language_plural("The fault shows its own finding.",
                                           "Each of the %u faults shows its own finding.", n),
                           n);
  case FAIR_UNMASKED:
    return g_strdup(_("Without any one of the faults its finding goes; none hides another."));
  case FAIR_UNIQUE:
    return g_strdup_printf(
        language_plural("Of %u single fault tried, none other gives the same readings.",
                        "Of %u single faults tried, none other gives the same readings.",
                        evidence_row_count(judge->evidence)),
        evidence_row_count(judge->evidence));
  case FAIR_FINDABLE:
  case FAIR_CONDITION_COUNT:
    break;
  }
  return found_by(version->path);
}

static char *
why_not(Judge *judge, FairCondition condition, EvidenceCell **cells)
{
  switch (condition) {
  case FAIR_POSSIBLE:
    return why_impossible(judge);
  case FAIR_EXPECTED:
    return why_unexpected(judge);
  case FAIR_SHOWS:
    return why_hidden(judge);
  case FAIR_UNMASKED:
    return why_masked(judge);
  case FAIR_UNIQUE:
    *cells = evidence_cells(judge->evidence, judge->document);
    return *cells != NULL ? why_ambiguous(judge, *cells)
                          : g_strdup(_("the circuit cannot be computed locked out"));
  case FAIR_FINDABLE:
  case FAIR_CONDITION_COUNT:
    break;
  }
  return why_unfindable(judge, *cells);
}

static char *
symptoms_of(const DealtVersion *version)
{
  GString *text = g_string_new(NULL);
  for (guint i = 0; i < version->faults->len; i++)
    g_string_append_printf(text, "%s%s", i > 0 ? " " : "", _(dealt_at(version, i)->fault->symptom));
  return g_string_free(text, FALSE);
}

void
version_judge(const Evidence *evidence, DealtVersion *version)
{
  Judge judge = {.evidence = evidence, .scene = evidence_scene(evidence), .version = version};
  g_autofree EvidenceCell *cells = NULL;
  version->symptom = symptoms_of(version);
  list_answers(&judge);
  version->proof.fair = true;
  for (guint c = 0; c < FAIR_CONDITION_COUNT && version->proof.fair; c++) {
    char *why = why_not(&judge, (FairCondition)c, &cells);
    version->proof.fair = why == NULL;
    version->proof.sentences[c] = why != NULL ? why : how_met(&judge, (FairCondition)c);
    version->proof.judged = c + 1;
  }
  inspection_free(judge.faulty);
  document_free(judge.document);
}

DealtVersion *
deal_judge(const Evidence *evidence, const GPtrArray *faults)
{
  DealtVersion *version = version_new();
  for (guint i = 0; i < faults->len; i++) {
    const DealtFault *dealt = g_ptr_array_index(faults, i);
    g_ptr_array_add(version->faults, dealt_fault_new(dealt->fault, dealt->place));
  }
  version_judge(evidence, version);
  return version;
}
