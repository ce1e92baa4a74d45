/* SPDX-License-Identifier: MIT */
#include "quiz/deal.h"

#include "diagram/document_file.h"
#include "quiz/site.h"

#include <string.h>

G_DEFINE_QUARK(deal - error - quark, deal_error)

#define TRIES_A_VERSION 200

/* Sebastiano Vigna's SplitMix64, public domain: a few integer operations, alike on every machine.
 */
static guint64
next_random(guint64 *state)
{
  guint64 z = (*state += G_GUINT64_CONSTANT(0x9e3779b97f4a7c15));
  z = (z ^ (z >> 30)) * G_GUINT64_CONSTANT(0xbf58476d1ce4e5b9);
  z = (z ^ (z >> 27)) * G_GUINT64_CONSTANT(0x94d049bb133111eb);
  return z ^ (z >> 31);
}

static guint
pick(guint64 *state, guint n)
{
  return (guint)(next_random(state) % n); /* n is small: the bias is below 1e-15 */
}

void
dealt_fault_free(DealtFault *dealt)
{
  fault_place_free(dealt->place);
  g_free(dealt);
}

static DealtFault *
dealt_fault_new(const Fault *fault, const FaultPlace *place)
{
  DealtFault *dealt = g_new0(DealtFault, 1);
  FaultPlace *copy = g_new0(FaultPlace, 1);
  *copy = (FaultPlace){place->first, place->second, g_strdup(place->name)};
  *dealt = (DealtFault){fault, copy};
  return dealt;
}

static DealtVersion *
version_new(void)
{
  DealtVersion *version = g_new0(DealtVersion, 1);
  version->faults = g_ptr_array_new_with_free_func((GDestroyNotify)dealt_fault_free);
  return version;
}

void
deal_version_free(DealtVersion *version)
{
  if (version == NULL)
    return;
  g_ptr_array_unref(version->faults);
  g_free(version);
}

static const DealtFault *
dealt_at(const DealtVersion *version, guint index)
{
  return g_ptr_array_index(version->faults, index);
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
      g_set_error(error, DEAL_ERROR, DEAL_ERROR_TOO_FEW, "%s cannot be made at %s here",
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

static char *
why_findings_unfair(const DealtVersion *version, const FaultScene *scene, const Inspection *faulty)
{
  if (faulty->error != NULL)
    return g_strdup("the circuit cannot be computed");
  for (guint i = 0; i < version->faults->len; i++) {
    const Fault *fault = dealt_at(version, i)->fault;
    if (!fault_is_found(fault, scene->sound, faulty))
      return g_strdup_printf("%s does not show %s here", fault->name, fault->check);
    for (guint k = 0; k < i; k++)
      if (strcmp(dealt_at(version, k)->fault->check, fault->check) == 0)
        return g_strdup_printf("two faults show %s", fault->check);
  }
  for (guint i = 0; i < faulty->findings->len; i++) {
    const Finding *finding = g_ptr_array_index(faulty->findings, i);
    if (finding->signal != SIGNAL_NOTICE && fault_is_new(scene->sound, finding) &&
        !any_lists(version, finding->check))
      return g_strdup_printf("%s is found and nobody meant it", finding->check);
  }
  return NULL;
}

char *
deal_why_unfair(const DealtVersion *version, const FaultScene *scene)
{
  g_autoptr(Inspection) all = inspect_but(version, scene, G_MAXUINT);
  if (all == NULL)
    return g_strdup("two faults change the same conductor or device");
  char *why = why_findings_unfair(version, scene, all);
  if (why != NULL)
    return why;
  g_autofree char *with = found_text(scene, all);
  for (guint i = 0; version->faults->len > 1 && i < version->faults->len; i++) {
    const Fault *fault = dealt_at(version, i)->fault;
    g_autoptr(Inspection) rest = inspect_but(version, scene, i);
    g_autofree char *without = rest != NULL ? found_text(scene, rest) : NULL;
    /* Mending one of them has to show: its finding goes. */
    if (rest == NULL || strcmp(with, without) == 0 || fault_is_found(fault, scene->sound, rest))
      return g_strdup_printf("%s cannot be told from the others", fault->name);
  }
  return NULL;
}

/* --- dealing --- */

typedef struct {
  const Fault *fault;
  GPtrArray *places; /* of FaultPlace * */
} Kind;

static void
kind_clear(gpointer data)
{
  g_ptr_array_unref(((Kind *)data)->places);
}

typedef struct {
  const FaultScene *scene;
  const DealOrder *order;
  GArray *kinds;       /* of Kind: faults that have a place */
  GArray *hardest;     /* of those, as hard as ordered */
  GHashTable *dealt;   /* digests of the versions' documents */
  GHashTable *reasons; /* why not -> count */
  guint64 state;
} Dealer;

static void
collect(Dealer *dealer)
{
  const DealOrder *order = dealer->order;
  for (guint f = 0; fault_at(f) != NULL; f++) {
    const Fault *fault = fault_at(f);
    if (fault->level > order->level || (order->topic >= 0 && (int)fault->topic != order->topic))
      continue;
    Kind kind = {fault, fault_places(fault, dealer->scene)};
    if (kind.places->len == 0) {
      kind_clear(&kind);
      continue;
    }
    g_array_append_val(dealer->kinds, kind);
    if (fault->level == order->level)
      g_array_append_val(dealer->hardest, kind);
  }
}

/* First a fault, then a place of it: kinds with many places would crowd out the others. */
static DealtVersion *
draw(Dealer *dealer)
{
  DealtVersion *version = version_new();
  const GArray *from = dealer->hardest->len > 0 ? dealer->hardest : dealer->kinds;
  for (guint i = 0; i < dealer->order->faults; i++) {
    const Kind *kind = &g_array_index(from, Kind, pick(&dealer->state, from->len));
    const FaultPlace *place =
        g_ptr_array_index(kind->places, pick(&dealer->state, kind->places->len));
    g_ptr_array_add(version->faults, dealt_fault_new(kind->fault, place));
    from = dealer->kinds;
  }
  return version;
}

/* Of the faulty document as it would be written: equal ones are one version. */
static char *
digest_of(const DealtVersion *version, const FaultScene *scene)
{
  g_autoptr(Document) document = document_snapshot(scene->document);
  if (!deal_make(version, scene, document, NULL))
    return NULL;
  g_autoptr(GBytes) bytes = document_write_memory(document);
  return g_compute_checksum_for_bytes(G_CHECKSUM_SHA256, bytes);
}

static void
note_reason(Dealer *dealer, char *take_why)
{
  guint count = GPOINTER_TO_UINT(g_hash_table_lookup(dealer->reasons, take_why));
  g_hash_table_insert(dealer->reasons, take_why, GUINT_TO_POINTER(count + 1));
}

/* A fair version not dealt before, or NULL. */
static DealtVersion *
deal_one(Dealer *dealer)
{
  for (int i = 0; i < TRIES_A_VERSION; i++) {
    DealtVersion *version = draw(dealer);
    char *digest = digest_of(version, dealer->scene);
    char *why = digest == NULL ? g_strdup("two faults change the same conductor or device")
                : g_hash_table_contains(dealer->dealt, digest)
                    ? g_strdup("it would be the same as another version")
                    : deal_why_unfair(version, dealer->scene);
    if (why == NULL) {
      g_hash_table_add(dealer->dealt, digest);
      return version;
    }
    note_reason(dealer, why);
    g_free(digest);
    deal_version_free(version);
  }
  return NULL;
}

static char *
commonest_reason(const Dealer *dealer)
{
  GHashTableIter iter;
  gpointer key, value;
  const char *best = "the diagram has no place for such faults";
  guint most = 0;
  g_hash_table_iter_init(&iter, dealer->reasons);
  while (g_hash_table_iter_next(&iter, &key, &value)) {
    guint count = GPOINTER_TO_UINT(value);
    /* By name where counts are equal: the table has no order. */
    if (count > most || (count == most && strcmp(key, best) < 0)) {
      most = count;
      best = key;
    }
  }
  return g_strdup(best);
}

static GPtrArray *
deal_all(Dealer *dealer, GError **error)
{
  const DealOrder *order = dealer->order;
  g_autoptr(GPtrArray) versions = g_ptr_array_new_with_free_func((GDestroyNotify)deal_version_free);
  while (versions->len < order->versions) {
    DealtVersion *version = dealer->kinds->len > 0 ? deal_one(dealer) : NULL;
    if (version == NULL) {
      g_autofree char *reason = commonest_reason(dealer);
      g_set_error(
          error, DEAL_ERROR, DEAL_ERROR_TOO_FEW,
          "Only %u of %u versions could be dealt that differ and are fair; most others were "
          "left out because %s. Ask for fewer versions, fewer faults in each, more topics "
          "or a higher difficulty.",
          versions->len, order->versions, reason);
      return NULL;
    }
    version->number = versions->len + 1;
    g_ptr_array_add(versions, version);
  }
  return g_steal_pointer(&versions);
}

GPtrArray *
deal_versions(const FaultScene *scene, const DealOrder *order, GError **error)
{
  g_return_val_if_fail(order->versions >= 1 && order->versions <= DEAL_MOST_VERSIONS, NULL);
  g_return_val_if_fail(order->faults >= 1 && order->faults <= DEAL_MOST_FAULTS, NULL);
  if (scene->sound->error != NULL || !findings_sound(scene->sound->findings)) {
    g_set_error(
        error, DEAL_ERROR, DEAL_ERROR_NOT_SOUND,
        "Faults are dealt into a sound diagram only: clear what the checks find in this one "
        "first.");
    return NULL;
  }
  Dealer dealer = {
      .scene = scene,
      .order = order,
      .kinds = g_array_new(FALSE, FALSE, sizeof(Kind)),
      .hardest = g_array_new(FALSE, FALSE, sizeof(Kind)), /* borrows */
      .dealt = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL),
      .reasons = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL),
      .state = order->seed,
  };
  g_array_set_clear_func(dealer.kinds, kind_clear);
  collect(&dealer);
  GPtrArray *versions = deal_all(&dealer, error);
  g_array_unref(dealer.hardest);
  g_array_unref(dealer.kinds);
  g_hash_table_unref(dealer.dealt);
  g_hash_table_unref(dealer.reasons);
  return versions;
}
