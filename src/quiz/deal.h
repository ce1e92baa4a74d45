/* SPDX-License-Identifier: MIT */
/* Versions of a sound diagram with faults dealt by seed or chosen by hand, each proven fair before
 * it is handed out: the same diagram, order and seed give the same versions on every machine. */
#pragma once

#include "quiz/path.h"

G_BEGIN_DECLS

#define DEAL_ERROR (deal_error_quark())
GQuark deal_error_quark(void);
typedef enum {
  DEAL_ERROR_NOT_SOUND, /* the diagram has findings of its own */
  DEAL_ERROR_TOO_FEW,   /* not that many versions that differ and are fair */
  DEAL_ERROR_NO_PLACE   /* a fault chosen by hand has no place there any more, or none is chosen */
} DealErrorCode;

#define DEAL_MOST_FAULTS 5
#define DEAL_MOST_VERSIONS 10000
#define DEAL_ANY (-1)

typedef struct {
  guint versions; /* 1..DEAL_MOST_VERSIONS */
  guint faults;   /* in each, 1..DEAL_MOST_FAULTS */
  guint64 seed;
  FaultLevel
      level;      /* of the catalogue: none harder; in each at least one as hard, where there is */
  int topic;      /* FaultTopic, or DEAL_ANY */
  int difficulty; /* FaultLevel by measuring path, or DEAL_ANY */
  bool by_hand;   /* only faults the document intends; level and topic do not count */
  bool up_to;     /* fewer versions are no error, as long as there is one */
} DealOrder;
/* One version, one fault, seed 1, any topic, level hard, any difficulty. */
extern const DealOrder deal_order_default;

typedef struct {
  const Fault *fault;
  FaultPlace *place; /* owned */
} DealtFault;

/* --- the proof --- */

typedef enum {
  FAIR_POSSIBLE, /* the faults can be made together and the circuit computed */
  FAIR_EXPECTED, /* nothing is found above NOTICE but the faults' own findings and what is listed to
                  * follow from them */
  FAIR_SHOWS,    /* each fault changes at least one finding or reading, by itself and among the
                  * others */
  FAIR_UNMASKED, /* no fault hides another: without any one of them something else is found, and no
                  * two share a finding */
  FAIR_UNIQUE,   /* no other single fault, and not the sound diagram, gives the same readings */
  FAIR_FINDABLE, /* the measuring path tells it, by what a student may touch and measure */
  FAIR_CONDITION_COUNT
} FairCondition;
const char *fair_condition_word(FairCondition condition); /* "possible", "unique"; static */

/* Each condition with a sentence that says how it was met, or why not (translated). Conditions
 * behind the first that does not hold are not judged. */
typedef struct {
  guint judged; /* how many conditions, from the first */
  bool fair;
  char *sentences[FAIR_CONDITION_COUNT]; /* owned; NULL: not judged */
} FairProof;

typedef struct {
  guint number;      /* from 1 */
  GPtrArray *faults; /* of DealtFault *, in the order they are made */
  FairProof proof;
  MeasuringPath *path; /* NULL unless FAIR_UNIQUE was judged */
  FaultLevel difficulty;
  char *symptom; /* what somebody noticed: the faults' symptoms, translated; owned */
  /* By fault: of char *, "FAULT at PLACE" of other rows that leave the same diagram and are equally
   * right. */
  GPtrArray *answers;
} DealtVersion;
void deal_version_free(DealtVersion *version);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(DealtVersion, deal_version_free)

/* A version of faults the caller names, judged but not numbered: fair or not, proof says. faults:
 * of DealtFault *, copied. */
DealtVersion *deal_judge(const Evidence *evidence, const GPtrArray *faults);
/* A fault of the catalogue at the place of that name; NULL with error DEAL_ERROR_NO_PLACE that
 * names the nearest. */
DealtFault *deal_find_fault(const FaultScene *scene, const char *fault, const char *place,
                            GError **error);
DealtFault *dealt_fault_new(const Fault *fault, const FaultPlace *place); /* copies the place */
void dealt_fault_free(DealtFault *dealt);

/* --- dealing --- */

/* Why versions were drawn and not dealt. */
typedef struct {
  int condition; /* FairCondition; DEAL_ANY: it would have been the same as another, or not of the
                  * difficulty asked for */
  char *why;
  guint count;
} DealRefusal;

typedef struct {
  GPtrArray *versions; /* of DealtVersion * */
  GPtrArray *refusals; /* of DealRefusal *, commonest first */
  guint refused;
  char *digest; /* of master and order, 32 hex digits: exercise and key carry it */
  DealOrder order;
} Deal;
void deal_free(Deal *deal);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(Deal, deal_free)

/* False with DEAL_ERROR_NOT_SOUND: faults are dealt into a sound diagram only. */
bool deal_is_sound(const FaultScene *scene, GError **error);
/* NULL with an error that says how many there are and why others were not dealt. */
Deal *deal_new(const Evidence *evidence, const DealOrder *order, GCancellable *cancellable,
               GError **error);

/* The same; progress, nullable, hears of every version dealt. */
Deal *deal_new_watched(const Evidence *evidence, const DealOrder *order, QuizProgress progress,
                       gpointer data, GCancellable *cancellable, GError **error);

/* Makes the version's faults in the document, one undo step each. The document is the sound one of
 * the scene; on an error it is as before. */
bool deal_make(const DealtVersion *version, const FaultScene *scene, Document *document,
               GError **error);

/* The student's document: faulty, marked as an exercise, and nothing in it but the faults
 * themselves says where they are: no as-measured readings, intended faults, notes or undo list,
 * devices and conductors in the order of their names, conductors drawn automatically and in one
 * direction, and no value written that is the default. lesson: nullable. */
Document *deal_exercise_document(const Deal *deal, const DealtVersion *version,
                                 const FaultScene *scene, const char *lesson, GError **error);

G_END_DECLS
