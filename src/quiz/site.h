/* SPDX-License-Identifier: MIT */
/* Private to the catalogue: one place where an edit might be made, resolved to nodes of the sound
 * circuit, and short questions about it for the conditions. */
#pragma once

#include "base/language.h"
#include "checks/survey.h"
#include "quiz/fault.h"

G_BEGIN_DECLS

struct FaultScene {
  const Inspection *sound;
  const Document *document;
  CheckContext context;
  Survey *survey;
  /* Some secondary lead lies on an ungrounded lead of its own primary: windings in series with the
   * supply, where one conductor answers to two sources. */
  bool boosts;
};

#define SITE_NONE G_MAXUINT

struct FaultSite {
  const FaultScene *scene;
  const Fault *fault;
  guint first, second;
  const Conductor *conductor; /* edits of a conductor */
  const Conductor *other;     /* FAULT_COPY_WIRE */
  const Device *device;       /* edits of a device; else the one at `near` */
  guint device_index;
  bool from;       /* near is the conductor's `from` end */
  guint near, far; /* nodes of the conductor's ends; SITE_NONE */
  guint to;        /* FAULT_RELAND: where near goes; pairs of terminals: near and to */
};

/* False when there is no such place. */
bool site_resolve(FaultSite *site);
/* How many values `first` and, for one of them, `second` has. */
guint site_firsts(const FaultScene *scene, FaultEdit edit);
guint site_seconds(const FaultScene *scene, FaultEdit edit, guint first);
/* Seconds of one first are the same fault: one of them is enough. */
bool site_once(FaultEdit edit);
/* The change, and its name for the answer key (new string); NULL when nothing would change. */
Change *site_change(const FaultSite *site, char **name);

/* --- questions --- */
const Device *site_device(const FaultSite *site, guint node);
PartRole site_role(const FaultSite *site, guint node); /* of the node's device */
TerminalRole site_terminal_role(const FaultSite *site, guint node);
bool site_frame(const FaultSite *site, guint node);
/* A terminal by which a load, motor or coil draws current; and of one that has two of them. */
bool site_draws(const FaultSite *site, guint node);
bool site_one_phase(const FaultSite *site, guint node);
/* What the node's device draws comes from one winding or one supply. */
bool site_one_source(const FaultSite *site, guint node);
bool site_sole(const FaultSite *site, guint node); /* one conductor end lies there */
bool site_metal(const FaultSite *site, guint a, guint b);
bool site_hot(const FaultSite *site, guint node);
double site_to_earth(const FaultSite *site, guint node);
double site_between(const FaultSite *site, guint a, guint b);
/* Core of a node that is a transformer's lead, or -1. */
int site_core(const FaultSite *site, guint node);
bool site_secondary(const FaultSite *site, guint node);
/* A lead with nothing but a cap, or nothing at all. */
bool site_unused_lead(const FaultSite *site, guint node);
/* The node is a lead of the pair that is fed; marked gets its volts from the other, other its
 * node. */
bool site_fed_lead(const FaultSite *site, guint node, guint *other, double *marked);
/* Figure of a field of the site's device; NAN. */
double site_figure(const FaultSite *site, const char *field);
/* Volts from near to `to` with everything on, and as drawn; most amperes through the device. */
double site_volts(const FaultSite *site);
double site_drawn_volts(const FaultSite *site);
double site_amps(const FaultSite *site);

/* Tables by topic; NULL name ends each. */
extern const Fault faults_supply[], faults_taps[], faults_loads[], faults_control[],
    faults_protection[], faults_conductors[], faults_grounding[];

G_END_DECLS
