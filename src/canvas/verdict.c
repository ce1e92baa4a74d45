/* SPDX-License-Identifier: MIT */
#include "canvas/verdict.h"

#include "base/language.h"
#include <math.h>

static Verdict
agrees(char **words)
{
  *words = g_strdup(_("agrees"));
  return VERDICT_AGREES;
}

Verdict
verdict_of_volts(const ExpectedReading *expected, double volts, char **words)
{
  double slack = fmax(VERDICT_VOLTS, VERDICT_SHARE * expected->high);
  if (expected->state != READING_LIVE && expected->state != READING_DEAD) {
    *words = g_strdup(_("no fixed value to compare with"));
    return VERDICT_NONE;
  }
  if (volts >= expected->low - slack && volts <= expected->high + slack)
    return agrees(words);
  if (expected->state == READING_DEAD && expected->high < EXPECTED_ZERO_VOLTS) {
    *words = g_strdup(_("live, expected dead"));
    return VERDICT_DIFFERS;
  }
  bool low = volts < expected->low;
  if (low && volts < VERDICT_VOLTS) {
    *words = g_strdup(_("dead, expected live"));
    return VERDICT_DIFFERS;
  }
  g_autofree char *by =
      quantity_display(low ? expected->low - volts : volts - expected->high, UNIT_VOLT, 3);
  /* %s: "12.3 V" */
  *words = g_strdup_printf(low ? _("%s too low") : _("%s too high"), by);
  return VERDICT_DIFFERS;
}

#define OHMS_TIMES 3.0
#define OHMS_LEADS 1.0
#define OHMS_LEAKAGE 1e6 /* dust and damp, no path (common practice, no source) */

Verdict
verdict_of_ohms(const MeterReading *expected, double ohms, char **words)
{
  bool open = ohms >= METER_OPEN_OHMS;
  if (expected->state == METER_OPEN) {
    if (open || ohms >= OHMS_LEAKAGE)
      return agrees(words);
    *words = g_strdup(_("a path, expected open"));
    return VERDICT_DIFFERS;
  }
  if (expected->state != METER_READS) {
    *words = g_strdup(_("no fixed value to compare with"));
    return VERDICT_NONE;
  }
  if (open) {
    *words = g_strdup(_("open, expected a path"));
    return VERDICT_DIFFERS;
  }
  if (fabs(ohms - expected->value) <= OHMS_LEADS ||
      (ohms <= OHMS_TIMES * expected->value && ohms >= expected->value / OHMS_TIMES))
    return agrees(words);
  *words = g_strdup(ohms < expected->value ? _("far too low") : _("far too high"));
  return VERDICT_DIFFERS;
}
