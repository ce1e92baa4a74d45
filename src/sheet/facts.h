/* SPDX-License-Identifier: MIT */
/* What a sheet states about an inspected diagram, as texts and plain values: tables, unused leads,
 * what stays live, descriptions of devices. Nothing here draws. Where a diagram could not be
 * solved, volts and amperes read "not solved". */
#pragma once

#include "checks/check.h"
#include "sheet/table.h"
#include "sheet/units.h"

G_BEGIN_DECLS

/* Which conductors land on which terminal, made once for a document (borrowed). */
typedef struct Landings Landings;
Landings *landings_new(const Document *document);
void landings_free(Landings *landings);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(Landings, landings_free)

/* A list of names in a sentence ends with "and 57 more" beyond this many. */
#define FACTS_MOST_NAMES 12

/* A lead that lands nowhere or only in a cap. */
typedef struct {
  guint device, terminal; /* indices in the document */
  bool capped;
  Reading to_ground, to_common; /* live: volts known */
  char *name;                   /* "T1.H2" */
  char *common;                 /* "T1.H1", NULL: it is the common itself */
} UnusedLead;
void unused_lead_clear(UnusedLead *lead);

/* Of UnusedLead, with clear function; in document order. */
GArray *facts_unused_leads(const Inspection *inspection, const Landings *landings);
/* What stays live with every disconnect open, a text for each device: "DISC1: L1 277 V, L2 277 V".
 * Of char *, owned. Only devices that are locked out themselves and supplies. */
GPtrArray *facts_live_when_locked_out(const Inspection *inspection);
/* "L1-L2 486 V, L2-L3 484 V": what was entered for a supply; "" when nothing was. New string. */
char *facts_readings_entered(const Device *device);
/* "a, b, c and 4 more". names: of char *. New string. */
char *facts_join_names(const GPtrArray *names);
/* Designations of what is to be locked out, "CB1, DISC1"; NULL when nothing can be. New string. */
char *facts_lockout_points(const Inspection *inspection);
/* The highest voltage between any two terminals of one device or to ground; 0 when unknown. */
double facts_highest_volts(const Inspection *inspection);
/* Volts as they stand on the sheet: "118.4 V", "floating". New string. */
char *facts_volts(const Inspection *inspection, Reading reading);
/* Where a terminal's conductors go: "FU1.2, wire 103", "capped (CAP1)", "not landed". New string.
 * unused (nullable): no conductor goes anywhere but to a cap. */
char *facts_landed(const Landings *landings, const Device *device, guint terminal, bool *unused,
                   bool *capped);
/* Group id ("device-T1") -> one text for assistive technology and hover: rating, landings, volts.
 */
GHashTable *facts_descriptions(const Inspection *inspection, const Landings *landings);
/* The first 12 hexadecimal digits of the SHA-256 of the document's file text. New string. */
char *facts_digest(const Document *document);
/* "2 DANGER, 1 CAUTION"; "none" when there are none. New string. */
char *facts_finding_counts(const Inspection *inspection);

/* Amperes of every conductor; NAN where unknown. Free with g_free. */
double *facts_conductor_amps(const Inspection *inspection);

/* Tables; NULL when there is nothing to list. brief: for a label, only what one needs at the open
 * door, in few columns. */
Table *facts_leads_table(const Inspection *inspection, const Landings *landings, guint device,
                         bool brief);
Table *facts_supply_table(const Inspection *inspection);
Table *facts_wires_table(const Inspection *inspection, Units units);
Table *facts_readings_table(const Inspection *inspection, bool brief);
Table *facts_protection_table(const Inspection *inspection, const Landings *landings, Units units);
/* Fuses and breakers with what they carry, for a label. */
Table *facts_fuses_table(const Inspection *inspection);
/* Every conductor once, from where power comes: supplies first, then what they feed. For a label
 * that cannot show the diagram. */
Table *facts_connections_table(const Inspection *inspection);
Table *facts_parts_table(const Inspection *inspection, Units units);
Table *facts_findings_table(const Inspection *inspection, bool brief);

G_END_DECLS
