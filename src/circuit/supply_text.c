/* SPDX-License-Identifier: MIT */
#include "circuit/supply_text.h"

#include "base/language.h"

#include <math.h>

/* ANSI C84.1 and IEC 60038 nominal voltages, line to line and line to neutral. */
typedef struct {
  double line, ground;
} Nominal;
static const Nominal wyes[] = {{208, 120}, {400, 230}, {480, 277}, {600, 347}};
static const Nominal deltas[] = {{208, 0}, {240, 0}, {400, 0}, {480, 0}, {600, 0}};
static const Nominal high_legs[] = {{240, 120}, {480, 240}};
static const Nominal two_wire[] = {{120, 120}, {208, 208}, {230, 230}, {240, 240},
                                   {277, 277}, {347, 347}, {480, 480}, {600, 600}};
static const Nominal three_wire[] = {{240, 120}, {480, 240}};
static const Nominal one_phase[] = {{120, 0}, {208, 0}, {240, 0}, {277, 0},
                                    {400, 0}, {480, 0}, {600, 0}};

/* Nearest by ratio and within 12 %, else zeros. */
static Nominal
nearest(const Nominal *list, gsize n, double volts)
{
  Nominal best = {0, 0};
  double least = log(1.12);
  for (gsize i = 0; i < n; i++) {
    double distance = fabs(log(volts / list[i].line));
    if (distance < least) {
      least = distance;
      best = list[i];
    }
  }
  return best;
}
#define NEAREST(list, volts) nearest(list, G_N_ELEMENTS(list), volts)

bool
supply_wye_is_standard(double line_volts)
{
  Nominal wye = NEAREST(wyes, line_volts);
  if (wye.line <= 0)
    return false;
  return fabs(log(line_volts / wye.line)) <= fabs(log(line_volts / 240));
}

static Nominal
nominal_of(const SupplySystem *system, double line_volts)
{
  switch (system->class_) {
  case SYSTEM_WYE_GROUNDED:
  case SYSTEM_TWO_LINES_OF_WYE:
    return NEAREST(wyes, line_volts);
  case SYSTEM_DELTA_HIGH_LEG:
    return NEAREST(high_legs, line_volts);
  case SYSTEM_DELTA_CORNER_GROUNDED: {
    Nominal delta = NEAREST(deltas, line_volts);
    return (Nominal){delta.line, delta.line};
  }
  case SYSTEM_ONE_PHASE_2W:
    return NEAREST(two_wire, line_volts);
  case SYSTEM_ONE_PHASE_3W:
    return NEAREST(three_wire, line_volts);
  case SYSTEM_ONE_PHASE_UNGROUNDED:
    return NEAREST(one_phase, line_volts);
  case SYSTEM_UNGROUNDED:
    return NEAREST(deltas, line_volts);
  case SYSTEM_UNKNOWN:
  case SYSTEM_IMPOSSIBLE:
    break;
  }
  return (Nominal){0, 0};
}

static const char *
lost_text(const SupplySystem *system)
{
  static const char *const texts[] = {"", N_(", L1 lost"), N_(", L2 lost"), N_(", L3 lost")};
  if (!system->lost_phase)
    return "";
  return system->lost_line >= 0 && system->lost_line < 3 ? _(texts[system->lost_line + 1])
                                                         : _(", phase lost");
}

void
supply_name(SupplySystem *system, double line_volts)
{
  Nominal nominal = nominal_of(system, line_volts);
  system->nominal_line = nominal.line;
  system->nominal_ground = nominal.ground;
  double volts = nominal.line > 0 ? nominal.line : round(line_volts);
  char *out = system->name;
  gulong size = sizeof system->name;
  const char *lost = lost_text(system);
  int special = system->special_line + 1;
  switch (system->class_) {
  case SYSTEM_WYE_GROUNDED:
    g_snprintf(out, size, _("%.0fY/%.0f V, 3-phase, grounded wye%s"), volts,
               nominal.ground > 0 ? nominal.ground : round(line_volts / sqrt(3)), lost);
    break;
  case SYSTEM_TWO_LINES_OF_WYE:
    g_snprintf(out, size, _("%.0f V, 1-phase, two lines of %.0fY/%.0f V"), volts, volts,
               nominal.ground > 0 ? nominal.ground : round(line_volts / sqrt(3)));
    break;
  case SYSTEM_DELTA_HIGH_LEG:
    g_snprintf(out, size, _("%.0f/%.0f V, 3-phase delta, high leg L%d%s"), volts, volts / 2,
               special, lost);
    break;
  case SYSTEM_DELTA_CORNER_GROUNDED:
    g_snprintf(out, size, _("%.0f V, 3-phase delta, L%d grounded%s"), volts, special, lost);
    break;
  case SYSTEM_UNGROUNDED:
    g_snprintf(out, size,
               system->ambiguous ? _("%.0f V, 3-phase, ground not certain%s")
                                 : _("%.0f V, 3-phase, ungrounded%s"),
               volts, lost);
    break;
  case SYSTEM_ONE_PHASE_2W:
    g_snprintf(out, size, _("%.0f V, 1-phase, 2-wire"), volts);
    break;
  case SYSTEM_ONE_PHASE_3W:
    g_snprintf(out, size, _("%.0f/%.0f V, 1-phase, 3-wire"), volts / 2, volts);
    break;
  case SYSTEM_ONE_PHASE_UNGROUNDED:
    g_snprintf(out, size,
               system->ambiguous ? _("%.0f V, 1-phase, ground not certain")
                                 : _("%.0f V, 1-phase, ungrounded"),
               volts);
    break;
  case SYSTEM_UNKNOWN:
  case SYSTEM_IMPOSSIBLE:
    g_strlcpy(out, supply_class_title(system->class_), size);
    break;
  }
}

void
supply_set_problem(SupplySystem *system, const char *format, ...)
{
  va_list list;
  va_start(list, format);
  g_vsnprintf(system->problem, sizeof system->problem, format, list);
  va_end(list);
}

void
supply_set_ambiguity(SupplySystem *system, const char *format, ...)
{
  va_list list;
  va_start(list, format);
  g_vsnprintf(system->ambiguity, sizeof system->ambiguity, format, list);
  va_end(list);
  system->ambiguous = true;
}

const char *
supply_class_title(SupplyClass class_)
{
  switch (class_) {
  case SYSTEM_UNKNOWN:
    return _("Supply not measured");
  case SYSTEM_ONE_PHASE_2W:
    return _("One phase, one line grounded");
  case SYSTEM_ONE_PHASE_3W:
    return _("One phase, midpoint grounded");
  case SYSTEM_TWO_LINES_OF_WYE:
    return _("Two lines of a grounded wye");
  case SYSTEM_ONE_PHASE_UNGROUNDED:
    return _("One phase, ungrounded");
  case SYSTEM_WYE_GROUNDED:
    return _("Grounded wye");
  case SYSTEM_DELTA_CORNER_GROUNDED:
    return _("Corner-grounded delta");
  case SYSTEM_DELTA_HIGH_LEG:
    return _("High-leg delta");
  case SYSTEM_UNGROUNDED:
    return _("Three phases, ungrounded");
  case SYSTEM_IMPOSSIBLE:
    return _("Readings cannot be right");
  }
  return _("Supply not measured");
}
