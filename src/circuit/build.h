/* SPDX-License-Identifier: MIT */
/* Steps of building a circuit that stamps and build share; private to the circuit layer. */
#pragma once

#include "base/language.h"
#include "base/finding.h"
#include "circuit/stamp.h"

G_BEGIN_DECLS

/* Conductors are taken at 75 C, the temperature of the published resistance table and of most
 * terminals (NFPA 70 110.14(C)), or at the insulation's rating where that is lower. A conductor
 * in a control circuit runs cooler, so the voltage drop is on the high side. */
#define BUILD_CONDUCTOR_CELSIUS 75.0

/* Gives every waiting contact its coil; empties circuit->contact_links. */
void build_link_contacts(Circuit *circuit);

/* Adds a finding about the stamped device's nameplate. Takes both texts. */
void build_note(Stamp *stamp, const char *check, const char *title, Signal signal,
                char *take_message, char *take_remedy);
#define BUILD_NAMEPLATE "nameplate-incomplete", N_("Nameplate data missing or impossible")

G_END_DECLS
