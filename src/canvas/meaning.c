/* SPDX-License-Identifier: MIT */
/* What a number on the canvas means to the hand and to the work, in one short sentence. */
#include "base/language.h"
#include "canvas/session.h"
#include "solve/meter.h"
#include <complex.h>

/* Live parts of 50 V and more are guarded and put in a safe state before work: 29 CFR
 * 1910.303(g)(2) and 1910.333(a)(1) (both from memory). */
#define SHOCK_VOLTS 50.0
/* Below this a clamp shows nothing (common practice, no source). */
#define CLAMP_AMPS 0.001

static const char *
live_meaning(double volts, bool landed)
{
  if (volts < SHOCK_VOLTS)
    return landed ? _("live, below 50 V") : _("an unused end that is live: cap it by itself");
  return landed ? _("live: shock hazard")
                : _("an unused end that is live: shock hazard, cap it by itself");
}

/* NULL: the reading says it all, or nothing is known. */
static const char *
meaning_of(const Solution *solution, guint node, bool landed, bool energized)
{
  Reading reading = solution_to_earth(solution, node);
  switch (reading.state) {
  case READING_LIVE:
    if (cabs(reading.volts) >= 0.5)
      return live_meaning(cabs(reading.volts), landed);
    return _("at ground potential");
  case READING_FLOATING:
    return _("not tied to ground: a meter shows stray volts here, do not take it for dead");
  case READING_DEAD:
    if (solution_same_net(solution, node, 0))
      return _("bonded to ground");
    return energized ? _("no source reaches it as the contacts stand")
                     : _("after lockout; prove it with a tested meter");
  default:
    return NULL;
  }
}

const char *
session_get_meaning(Session *session, const Landing *landing)
{
  const Document *document = session_get_document(session);
  const Solution *solution = session_get_solution(session);
  if (solution == NULL || sheet_is_exercise(document_sheet(document)))
    return NULL;
  guint node = circuit_node_of_landing(solution->circuit, landing);
  if (node == G_MAXUINT)
    return NULL;
  bool landed = landing->device == NULL ||
                document_landings(document, landing->device, landing->terminal) > 0;
  return meaning_of(solution, node, landed, session_get_energized(session));
}

const char *
session_get_flow_meaning(Session *session, const Conductor *conductor, double amps)
{
  const Solution *solution = session_get_solution(session);
  if (solution == NULL || !session_get_energized(session))
    return NULL;
  guint node = circuit_node_of_landing(solution->circuit, &conductor->from);
  if (node == G_MAXUINT)
    return NULL;
  bool live = cabs(solution_to_earth(solution, node).volts) >= 0.5;
  if (live && amps < CLAMP_AMPS)
    return _("nothing draws current through it");
  if (!live && amps >= CLAMP_AMPS)
    return _("carries the return current: opening it makes its far end live");
  return NULL;
}
