/* SPDX-License-Identifier: MIT */
#include "quiz/deal_private.h"

#include "base/language.h"
#include "diagram/document_file.h"
#include "quiz/site.h"

#include <string.h>

#define TRIES_A_VERSION 200

const DealOrder deal_order_default = {.versions = 1,
                                      .faults = 1,
                                      .seed = 1,
                                      .level = FAULT_HARD,
                                      .topic = DEAL_ANY,
                                      .difficulty = DEAL_ANY};

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
  const Evidence *evidence;
  const FaultScene *scene;
  const DealOrder *order;
  GCancellable *cancellable;
  QuizProgress progress; /* nullable */
  gpointer data;
  GArray *kinds;       /* of Kind: faults that have a place */
  GArray *hardest;     /* of those, as hard as ordered */
  GHashTable *dealt;   /* digests of the versions' documents */
  GHashTable *reasons; /* why not -> DealRefusal */
  Deal *deal;
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

/* Each intended fault is a kind with one place. */
static bool
collect_intended(Dealer *dealer, GError **error)
{
  const Document *document = dealer->scene->document;
  for (guint i = 0; i < document_intended_count(document); i++) {
    const Intended *intended = document_intended(document, i);
    DealtFault *dealt =
        deal_find_fault(dealer->scene, intended_fault(intended), intended_at(intended), error);
    if (dealt == NULL)
      return false;
    Kind kind = {dealt->fault, g_ptr_array_new_with_free_func((GDestroyNotify)fault_place_free)};
    g_ptr_array_add(kind.places, g_steal_pointer(&dealt->place));
    dealt_fault_free(dealt);
    g_array_append_val(dealer->kinds, kind);
  }
  if (dealer->kinds->len > 0)
    return true;
  g_set_error(error, DEAL_ERROR, DEAL_ERROR_NO_PLACE,
              _("No fault is chosen on this sheet: choose some, or let them be dealt."));
  return false;
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
refusal_free(gpointer data)
{
  g_free(((DealRefusal *)data)->why);
  g_free(data);
}

static void
refuse(Dealer *dealer, int condition, const char *why)
{
  DealRefusal *refusal = g_hash_table_lookup(dealer->reasons, why);
  dealer->deal->refused++;
  if (refusal == NULL) {
    refusal = g_new0(DealRefusal, 1);
    *refusal = (DealRefusal){condition, g_strdup(why), 0};
    g_ptr_array_add(dealer->deal->refusals, refusal);
    g_hash_table_insert(dealer->reasons, refusal->why, refusal);
  }
  refusal->count++;
}

/* Judges a drawn version; false when it is not to be dealt. */
static bool
accept(Dealer *dealer, DealtVersion *version)
{
  g_autofree char *digest = digest_of(version, dealer->scene);
  if (digest != NULL && g_hash_table_contains(dealer->dealt, digest)) {
    refuse(dealer, DEAL_ANY, _("it would be the same as another version"));
    return false;
  }
  version_judge(dealer->evidence, version);
  const FairProof *proof = &version->proof;
  if (!proof->fair) {
    refuse(dealer, (int)proof->judged - 1, proof->sentences[proof->judged - 1]);
    return false;
  }
  if (dealer->order->difficulty >= 0 && (int)version->difficulty != dealer->order->difficulty) {
    refuse(dealer, DEAL_ANY, _("its measuring path is easier or harder than asked for"));
    return false;
  }
  g_hash_table_add(dealer->dealt, g_steal_pointer(&digest));
  return true;
}

/* A fair version not dealt before, or NULL. */
static DealtVersion *
deal_one(Dealer *dealer)
{
  for (int i = 0; i < TRIES_A_VERSION && !g_cancellable_is_cancelled(dealer->cancellable); i++) {
    DealtVersion *version = draw(dealer);
    if (accept(dealer, version))
      return version;
    deal_version_free(version);
  }
  return NULL;
}

/* By name where counts are equal. */
static gint
compare_refusals(gconstpointer a, gconstpointer b)
{
  const DealRefusal *one = *(const DealRefusal *const *)a, *two = *(const DealRefusal *const *)b;
  if (one->count != two->count)
    return one->count > two->count ? -1 : 1;
  return strcmp(one->why, two->why);
}

static bool
deal_all(Dealer *dealer, GError **error)
{
  const DealOrder *order = dealer->order;
  GPtrArray *versions = dealer->deal->versions, *refusals = dealer->deal->refusals;
  while (versions->len < order->versions && dealer->kinds->len > 0) {
    DealtVersion *version = deal_one(dealer);
    if (version == NULL)
      break;
    version->number = versions->len + 1;
    g_ptr_array_add(versions, version);
    if (dealer->progress != NULL)
      dealer->progress(versions->len, order->versions, dealer->data);
  }
  g_ptr_array_sort(refusals, compare_refusals);
  if (g_cancellable_set_error_if_cancelled(dealer->cancellable, error))
    return false;
  if (versions->len == order->versions || (order->up_to && versions->len > 0))
    return true;
  const char *why = refusals->len > 0 ? ((DealRefusal *)refusals->pdata[0])->why
                                      : _("the diagram has no place for such faults");
  g_set_error(error, DEAL_ERROR, DEAL_ERROR_TOO_FEW,
              _("Only %u of %u versions could be dealt that differ and are fair; most others were "
                "left out because %s. Ask for fewer versions, fewer faults in each, more topics "
                "or a higher difficulty."),
              versions->len, order->versions, why);
  return false;
}

/* Master and order, as bytes that are the same on every machine. */
static char *
deal_digest(const Document *master, const DealOrder *order)
{
  g_autoptr(GBytes) bytes = document_write_memory(master);
  g_autofree char *said = g_strdup_printf(
      "%u %u %" G_GUINT64_FORMAT " %d %d %d %d %d", order->versions, order->faults, order->seed,
      (int)order->level, order->topic, order->difficulty, order->by_hand, order->up_to);
  g_autoptr(GChecksum) sum = g_checksum_new(G_CHECKSUM_SHA256);
  gsize size;
  const guchar *data = g_bytes_get_data(bytes, &size);
  g_checksum_update(sum, data, (gssize)size);
  g_checksum_update(sum, (const guchar *)said, -1);
  return g_strndup(g_checksum_get_string(sum), 32);
}

static Deal *
deal_start(const FaultScene *scene, const DealOrder *order)
{
  Deal *deal = g_new0(Deal, 1);
  deal->versions = g_ptr_array_new_with_free_func((GDestroyNotify)deal_version_free);
  deal->refusals = g_ptr_array_new_with_free_func(refusal_free);
  deal->digest = deal_digest(scene->document, order);
  deal->order = *order;
  return deal;
}

void
deal_free(Deal *deal)
{
  if (deal == NULL)
    return;
  g_ptr_array_unref(deal->versions);
  g_ptr_array_unref(deal->refusals);
  g_free(deal->digest);
  g_free(deal);
}

bool
deal_is_sound(const FaultScene *scene, GError **error)
{
  if (scene->sound->error == NULL && findings_sound(scene->sound->findings))
    return true;
  g_set_error(error, DEAL_ERROR, DEAL_ERROR_NOT_SOUND,
              _("Faults are dealt into a sound diagram only: clear what the checks find in this "
                "one first."));
  return false;
}

Deal *
deal_new(const Evidence *evidence, const DealOrder *order, GCancellable *cancellable,
         GError **error)
{
  return deal_new_watched(evidence, order, NULL, NULL, cancellable, error);
}

Deal *
deal_new_watched(const Evidence *evidence, const DealOrder *order, QuizProgress progress,
                 gpointer data, GCancellable *cancellable, GError **error)
{
  const FaultScene *scene = evidence_scene(evidence);
  g_return_val_if_fail(order->versions >= 1 && order->versions <= DEAL_MOST_VERSIONS, NULL);
  g_return_val_if_fail(order->faults >= 1 && order->faults <= DEAL_MOST_FAULTS, NULL);
  if (!deal_is_sound(scene, error))
    return NULL;
  Dealer dealer = {
      .evidence = evidence,
      .scene = scene,
      .order = order,
      .cancellable = cancellable,
      .progress = progress,
      .data = data,
      .kinds = g_array_new(FALSE, FALSE, sizeof(Kind)),
      .hardest = g_array_new(FALSE, FALSE, sizeof(Kind)), /* borrows */
      .dealt = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL),
      .reasons = g_hash_table_new(g_str_hash, g_str_equal),
      .deal = deal_start(scene, order),
      .state = order->seed,
  };
  g_array_set_clear_func(dealer.kinds, kind_clear);
  bool good = true;
  if (order->by_hand)
    good = collect_intended(&dealer, error);
  else
    collect(&dealer);
  if (!good || !deal_all(&dealer, error))
    g_clear_pointer(&dealer.deal, deal_free);
  g_array_unref(dealer.hardest);
  g_array_unref(dealer.kinds);
  g_hash_table_unref(dealer.dealt);
  g_hash_table_unref(dealer.reasons);
  return dealer.deal;
}
