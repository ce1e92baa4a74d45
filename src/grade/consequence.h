/* SPDX-License-Identifier: MIT */
/* What power does to a diagram: which fuse or breaker opens and at how many amperes, what is
 * overexcited, burnt, overheated, stalled or live where hands go. Computed from the solution as the
 * switches stand; nothing here knows which fault somebody made. */
#pragma once

#include "base/finding.h"
#include "solve/solution.h"

G_BEGIN_DECLS

typedef enum {
  CONSEQUENCE_SHOCK,       /* a frame stands at dangerous volts */
  CONSEQUENCE_ARC,         /* a short nothing on the sheet can open */
  CONSEQUENCE_OPENS,       /* a fuse or breaker opens */
  CONSEQUENCE_OVEREXCITED, /* a core above its knee */
  CONSEQUENCE_BURNS,       /* more volts than a load or coil takes */
  CONSEQUENCE_OVERHEATS,   /* a winding above its amperes */
  CONSEQUENCE_STALLS       /* a motor on one phase, or turning the wrong way */
} ConsequenceKind;

/* Protection opens sooner or later above this multiple of its rating, and a winding is damaged:
 * UL 248 and UL 489 let 135 % open within the hour (from memory). */
#define CONSEQUENCE_OVERLOAD 1.35
/* Coils and loads stand this much above the most they accept: NEMA gives coils 110 % (from
 * memory); loads the same, common practice, no source. */
#define CONSEQUENCE_OVERVOLTAGE 1.10
/* Volts to ground from which live parts are guarded and people protected (50 V: 29 CFR 1910.303(g)
 * and NFPA 70E 110, from memory). */
#define CONSEQUENCE_SHOCK_VOLTS 50.0

typedef struct {
  ConsequenceKind kind;
  Signal signal;
  char *place; /* "FU1", "T1.FRAME" */
  char *text;  /* a sentence with the numbers; translated */
} Consequence;

/* Of Consequence *, worst first, then in the circuit's order. Never NULL. */
GPtrArray *consequences_new(const Circuit *circuit, const Solution *solution);
/* A word for the log: "opens", "arc". Static. */
const char *consequence_word(ConsequenceKind kind);

/* What opens by itself, as a change to the document of the circuit: fuses blow and breakers trip
 * until nothing carries too much, the most overloaded first. NULL when nothing opens. */
Change *consequences_damage(const Document *document);

G_END_DECLS
