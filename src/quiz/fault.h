/* SPDX-License-Identifier: MIT */
/* The catalogue of faults: reversible changes an instructor makes on purpose, each with the finding
 * it has to cause. The quiz deals them, the tests try them on every sound diagram, and undoing the
 * change restores the document to the byte.
 *
 * A fault is an edit, a condition and a check. The condition tells from roles, nameplate figures
 * and the solved sound diagram where the edit is that fault; it never runs the check, so that the
 * matrix of faults against checks proves both. Rows stand in faults_*.c by topic. */
#pragma once

#include "checks/check.h"

G_BEGIN_DECLS

typedef enum { FAULT_EASY, FAULT_MEDIUM, FAULT_HARD } FaultLevel;
typedef enum {
  FAULT_SUPPLY,
  FAULT_TAPS,
  FAULT_LOADS,
  FAULT_CONTROL,
  FAULT_PROTECTION,
  FAULT_CONDUCTORS,
  FAULT_GROUNDING,
  FAULT_TOPIC_COUNT
} FaultTopic;
const char *fault_topic_word(FaultTopic topic); /* "taps" */
const char *fault_level_word(FaultLevel level); /* "easy" */

typedef enum {
  FAULT_CUT,        /* a conductor is left out */
  FAULT_RELAND,     /* a conductor's end lies on another terminal of a device of the same role */
  FAULT_LAND,       /* a conductor too many between two terminals of one device */
  FAULT_EXCHANGE,   /* what lies on two terminals of one device changes places */
  FAULT_BACKWARDS,  /* the pair of leads that is fed changes places with a pair that feeds */
  FAULT_GROUND,     /* a terminal is bonded to a ground of its own */
  FAULT_RETURN,     /* a conductor's end lies on a ground of its own instead */
  FAULT_FIELD,      /* a device's field has another value */
  FAULT_SCALE,      /* a device's figure is multiplied */
  FAULT_ROW,        /* a field of one row of a device has another value */
  FAULT_ROW_SCALE,  /* a figure of one row is multiplied */
  FAULT_ROWS_SCALE, /* that figure of all rows is multiplied */
  FAULT_ROWS_CLEAR, /* and of all rows left out */
  FAULT_LINE_TIED,  /* the readings say that the third line hangs on the first */
  FAULT_WIRE,       /* a conductor's field has another value */
  FAULT_COPY_WIRE,  /* a conductor's field has another conductor's value */
  FAULT_COPY_FIELD, /* a device's field has another device's id as its value */
  FAULT_MOVE,       /* a device lies far off the paper */
  FAULT_EDIT_COUNT
} FaultEdit;

typedef struct FaultSite FaultSite; /* quiz/site.h */

/* Titles, symptoms and reasons are marked for translation: show them with _(). */
typedef struct {
  const char *name;    /* "lead-left-open" */
  const char *title;   /* for the answer key: what was done */
  const char *symptom; /* for the student sheet: what somebody noticed */
  const char *check;   /* the finding it causes */
  const char *also;    /* checks that may follow from it, parted by spaces; NULL: none */
  const char *why;     /* why they follow; NULL when none do */
  FaultTopic topic;
  FaultLevel level;
  FaultEdit edit;
  bool (*where)(const FaultSite *site); /* NULL: wherever the edit can be made */
  const char *field;                    /* of the device, row or conductor */
  const char *value;                    /* text; NULL: cleared */
  double factor;
} Fault;

/* All faults, by topic. */
guint fault_count(void);
const Fault *fault_at(guint index);
const Fault *fault_find(const char *name); /* NULL: none of that name */

/* A sound diagram with what the conditions ask about it, made once for all faults. */
typedef struct FaultScene FaultScene;
/* Never NULL. Borrows the inspection: keep it alive. */
FaultScene *fault_scene_new(const Inspection *sound);
void fault_scene_free(FaultScene *scene);
const Inspection *fault_scene_sound(const FaultScene *scene); /* what it was made from */
G_DEFINE_AUTOPTR_CLEANUP_FUNC(FaultScene, fault_scene_free)

typedef struct {
  guint first, second; /* which conductor, device or terminal; the edit knows */
  char *name;          /* "T1.H3, T1.H4": for the answer key */
} FaultPlace;
void fault_place_free(FaultPlace *place);

/* Where the fault can be made: FaultPlace *, in the order of the document. Never NULL. */
GPtrArray *fault_places(const Fault *fault, const FaultScene *scene);
/* What of the sound diagram a place concerns, for whoever points at one; G_MAXUINT: none. */
typedef struct {
  guint device, other_device;
  guint conductor, other_conductor;
  guint nodes[3]; /* terminals */
} FaultSpot;
bool fault_place_spot(const Fault *fault, const FaultScene *scene, const FaultPlace *place,
                      FaultSpot *spot);
/* The change that makes it; the caller owns it. NULL when it would change nothing. */
Change *fault_change(const Fault *fault, const FaultScene *scene, const FaultPlace *place);

/* Whether a finding of the faulty diagram is new: the sound one has none of that check with the
 * same places and signal word. */
bool fault_is_new(const Inspection *sound, const Finding *finding);
/* Whether the fault's own finding is there, and nothing else new above NOTICE but what is listed
 * to follow. *other (nullable) gets the first check that is neither; static. */
bool fault_is_found(const Fault *fault, const Inspection *sound, const Inspection *faulty);
bool fault_is_alone(const Fault *fault, const Inspection *sound, const Inspection *faulty,
                    const char **other);

G_END_DECLS
