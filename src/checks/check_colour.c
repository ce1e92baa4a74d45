/* SPDX-License-Identifier: MIT */
/* Insulation colours against what the conductor is. */
#include "checks/check_list.h"

#include "base/language.h"
#include "checks/remedy.h"

#include <math.h>

/* One conductor and what it was found to be. */
typedef struct {
  guint index;
  const char *name, *text;
  WireColour colour;
  guint node[2];
  double volts; /* of its circuit, or to ground */
  bool carries; /* current, with everything on */
  bool field;   /* field wiring: ours to choose; factory wiring is what it is */
} Coloured;

static bool
coloured_at(const Survey *survey, guint index, Coloured *out)
{
  const CheckContext *context = survey->context;
  const Conductor *conductor = document_conductor(context->document, index);
  out->index = index;
  out->text = conductor_text(conductor, CONDUCTOR_COLOUR);
  out->colour = wire_colour_parse(out->text);
  out->node[0] = circuit_node_of_landing(context->circuit, &conductor->from);
  out->node[1] = circuit_node_of_landing(context->circuit, &conductor->to);
  if (out->colour.base == COLOUR_UNKNOWN || out->node[0] >= survey->n_nodes ||
      out->node[1] >= survey->n_nodes || survey->capped[survey->nets[NET_METAL][out->node[0]]])
    return false; /* a capped lead keeps the colour its maker gave it */
  out->name = survey_conductor_name(survey, index);
  out->volts = fmax(survey->circuit_volts[out->node[0]], survey->circuit_volts[out->node[1]]);
  if (out->volts <= 0)
    out->volts = survey_to_earth(survey, out->node[0]);
  double amps = survey_conductor_amps(survey, index);
  out->carries = !survey->shorted && isfinite(amps) && amps > 1e-3;
  out->field = conductor->values[CONDUCTOR_WIRING].choice == 1;
  return true;
}

static bool
is_frame(const Survey *survey, guint node)
{
  const Terminal *terminal = survey_terminal(survey, node);
  return terminal != NULL && terminal->role == TERMINAL_FRAME;
}

static Finding *
report(const Check *check, CheckContext *context, const Coloured *wire, const char *what,
       const char *rule, const char *use, const char *set)
{
  g_autofree char *colour = wire_colour_text(wire->text);
  Finding *finding =
      check_report(check, context,
                   g_strdup_printf(_("%s is %s and %s (%s). %s"), wire->name, colour, what,
                                   survey_show(context->survey, wire->volts, UNIT_VOLT), rule),
                   g_strdup_printf(_("Use %s for %s, or re-mark it at every landing where the "
                                     "code permits."),
                                   use, wire->name),
                   wire->name, NULL);
  remedy_wire(context, finding, wire->index, "colour", g_strdup(set));
  return finding;
}

/* Below 50 V local practice and the limited-energy exceptions differ: a note, no more. */
static void
soften(Finding *finding, const Coloured *wire)
{
  if (wire->volts < 50 || !wire->field)
    finding->signal = SIGNAL_NOTICE;
}

/* A secondary that nobody grounded has a white conductor waiting for its bond: whether it must be
 * grounded is another check's question. */
static bool
waits_for_bond(const Survey *survey, guint node)
{
  guint root = survey->root[node];
  return root != G_MAXUINT && survey->winding_of[root] >= 0 &&
         !survey_same(survey, NET_WINDINGS, root, 0);
}

static void
check_ungrounded(const Check *check, CheckContext *context, const Coloured *wire)
{
  if (wire_colour_is_grounded(wire->colour) && waits_for_bond(context->survey, wire->node[0]))
    return;
  if (wire_colour_is_grounded(wire->colour))
    soften(report(check, context, wire, _("ungrounded"),
                  _("White and grey mark the grounded conductor."),
                  _("black, or a colour other than white, grey and green,"), "black"),
           wire);
  else if (wire->colour.base == COLOUR_GREEN || wire->colour.base == COLOUR_BARE)
    soften(report(check, context, wire, _("ungrounded"),
                  _("Green and bare mark grounding conductors and nothing else."),
                  _("black, or a colour other than white, grey and green,"), "black"),
           wire);
}

static void
check_grounded(const Check *check, CheckContext *context, const Coloured *wire)
{
  const Survey *survey = context->survey;
  bool frame = is_frame(survey, wire->node[0]) || is_frame(survey, wire->node[1]);
  if (frame && !wire_colour_is_grounding(wire->colour))
    soften(report(check, context, wire, _("grounds a frame"),
                  _("An equipment grounding conductor is green, green with yellow, or bare."),
                  _("green or bare"), "green"),
           &(Coloured){.volts = 600, .field = wire->field});
  else if (!frame && wire->carries && wire_colour_is_grounding(wire->colour))
    soften(report(check, context, wire, _("carries current as the grounded conductor"),
                  _("Green and bare mark grounding conductors and nothing else."),
                  _("white or grey"), "white"),
           wire);
  else if (!frame && wire->carries && !wire_colour_is_grounded(wire->colour)) {
    Finding *finding =
        report(check, context, wire, _("is the grounded conductor"),
               _("The grounded conductor is white or grey."), _("white or grey"), "white");
    finding->signal = SIGNAL_CAUTION;
    soften(finding, wire);
  }
}

/* The high leg's closed net, or G_MAXUINT. */
static guint
high_leg(const Survey *survey)
{
  const GArray *supplies = survey->context->circuit->supplies;
  for (guint i = 0; i < supplies->len; i++) {
    const CircuitSupply *supply = circuit_item(supplies, CircuitSupply, i);
    int line = supply->system.special_line;
    if (supply->system.class_ == SYSTEM_DELTA_HIGH_LEG && line >= 0 && line < 3 &&
        supply->line_nodes[line] != G_MAXUINT)
      return survey->nets[NET_CLOSED][supply->line_nodes[line]];
  }
  return G_MAXUINT;
}

static void
check_high_leg(const Check *check, CheckContext *context, const Coloured *wire, guint leg)
{
  const Survey *survey = context->survey;
  bool on_leg = survey->nets[NET_CLOSED][wire->node[0]] == leg;
  bool orange = wire->colour.base == COLOUR_ORANGE;
  if (on_leg == orange || !(survey_feed(survey, wire->node[0]) & FEED_LINE))
    return;
  Finding *finding =
      on_leg ? report(check, context, wire, _("the high leg"),
                      _("The leg with the higher voltage to ground is marked orange."), _("orange"),
                      "orange")
             : report(check, context, wire, _("not the high leg"),
                      _("Orange marks the leg with the higher voltage to ground."),
                      _("black, or a colour other than orange, white, grey and green,"), "black");
  finding->signal = SIGNAL_CAUTION;
  if (!wire->field)
    finding->signal = SIGNAL_NOTICE;
}

void
check_colour_misused(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  guint leg = high_leg(survey);
  for (guint i = 0; i < document_conductor_count(context->document); i++) {
    Coloured wire;
    if (!coloured_at(survey, i, &wire))
      continue;
    if (survey_grounded(survey, wire.node[0])) {
      check_grounded(check, context, &wire);
    } else if (survey_hot(survey, wire.node[0]) && !is_frame(survey, wire.node[0]) &&
               !is_frame(survey, wire.node[1])) { /* a live frame is line-to-ground's matter */
      check_ungrounded(check, context, &wire);
      if (leg != G_MAXUINT)
        check_high_leg(check, context, &wire, leg);
    }
  }
}
