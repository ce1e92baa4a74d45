/* SPDX-License-Identifier: MIT */
#include "tables/voltage_ranges.h"

#include "base/language.h"

#include <math.h>
#include <string.h>

/* Rows "C84.1" from MEMORY (most agree with published equipment limits or the state rule); state
 * rule and nameplate rows READ but for 575 V; motor percentages READ; coil and control rows from
 * MEMORY but for the class 2 output and the two switchgear coils; tap rows READ. */
/* clang-format off: one row a line */
static const VoltageRange rows[] = {
    {"C84.1 120", "LN", 120, N_("service"), "A", 114, 126},
    {"C84.1 120", "LN", 120, N_("utilization"), "A", 108, 126},
    {"C84.1 120", "LN", 120, N_("service"), "B", 110, 127},
    {"C84.1 120", "LN", 120, N_("utilization"), "B", 104, 127},
    {"C84.1 120/240 1ph 3W", "LL", 240, N_("service"), "A", 228, 252},
    {"C84.1 120/240 1ph 3W", "LL", 240, N_("utilization"), "A", 216, 252},
    {"C84.1 120/240 1ph 3W", "LL", 240, N_("service"), "B", 220, 254},
    {"C84.1 120/240 1ph 3W", "LL", 240, N_("utilization"), "B", 208, 254},
    {"C84.1 240 delta", "LL", 240, N_("service"), "A", 228, 252},
    {"C84.1 240 delta", "LL", 240, N_("utilization"), "A", 216, 252},
    {"C84.1 240 delta", "LL", 240, N_("service"), "B", 220, 254},
    {"C84.1 240 delta", "LL", 240, N_("utilization"), "B", 208, 254},
    {"C84.1 208Y/120", "LL", 208, N_("service"), "A", 197, 218},
    {"C84.1 208Y/120", "LL", 208, N_("utilization"), "A", 187, 218},
    {"C84.1 208Y/120", "LL", 208, N_("service"), "B", 191, 220},
    {"C84.1 208Y/120", "LL", 208, N_("utilization"), "B", 180, 220},
    {"C84.1 480Y/277", "LL", 480, N_("service"), "A", 456, 504},
    {"C84.1 480Y/277", "LL", 480, N_("utilization"), "A", 432, 504},
    {"C84.1 480Y/277", "LL", 480, N_("service"), "B", 440, 508},
    {"C84.1 480Y/277", "LL", 480, N_("utilization"), "B", 416, 508},
    {"C84.1 480Y/277", "LN", 277, N_("service"), "A", 263, 291},
    {"C84.1 480Y/277", "LN", 277, N_("utilization"), "A", 249, 291},
    {"C84.1 480Y/277", "LN", 277, N_("service"), "B", 254, 293},
    {"C84.1 480Y/277", "LN", 277, N_("utilization"), "B", 240, 293},
    {"C84.1 480 delta", "LL", 480, N_("service"), "A", 456, 504},
    {"C84.1 480 delta", "LL", 480, N_("utilization"), "A", 432, 504},
    {"C84.1 480 delta", "LL", 480, N_("service"), "B", 440, 508},
    {"C84.1 480 delta", "LL", 480, N_("utilization"), "B", 416, 508},
    {"C84.1 600", "LL", 600, N_("service"), "A", 570, 630},
    {"C84.1 600", "LL", 600, N_("utilization"), "A", 540, 630},
    {"C84.1 600", "LL", 600, N_("service"), "B", 550, 635},
    {"C84.1 600", "LL", 600, N_("utilization"), "B", 520, 635},
    {N_("COMAR service 120"), "LN", 120, N_("service"), N_("state rule"), 114, 126},
    {N_("COMAR service 120/208"), "LL", 208, N_("service"), N_("state rule"), 197, 219},
    {N_("COMAR service 120/240"), "LL", 240, N_("service"), N_("state rule"), 228, 252},
    {N_("COMAR service 208"), "LL", 208, N_("service"), N_("state rule"), 197, 219},
    {N_("COMAR service 240"), "LL", 240, N_("service"), N_("state rule"), 216, 252},
    {N_("COMAR service 277/480"), "LL", 480, N_("service"), N_("state rule"), 432, 504},
    {N_("COMAR service 277/480"), "LN", 277, N_("service"), N_("state rule"), 249, 291},
    {N_("COMAR service 480"), "LL", 480, N_("service"), N_("state rule"), 432, 504},
    {N_("COMAR service 600"), "LL", 600, N_("service"), N_("state rule"), 540, 630},
    {N_("unit nameplate 115 on 120"), "LN", 120, "nameplate", N_("operating limit"), 104, 127},
    {N_("unit nameplate 115 on 120"), "LN", 120, "nameplate", N_("acceptable performance"), 108,
     126},
    {N_("unit nameplate 208 on 208"), "LL", 208, "nameplate", N_("operating limit"), 187, 228},
    {N_("unit nameplate 208 on 208"), "LL", 208, "nameplate", N_("acceptable performance"), 187,
     228},
    {N_("unit nameplate 208/230 on 208/240"), "LL", 240, "nameplate", N_("operating limit"), 187,
     254},
    {N_("unit nameplate 208/230 on 208/240"), "LL", 240, "nameplate", N_("acceptable performance"),
     187, 252},
    {N_("unit nameplate 230 on 240"), "LL", 240, "nameplate", N_("operating limit"), 208, 254},
    {N_("unit nameplate 230 on 240"), "LL", 240, "nameplate", N_("acceptable performance"), 216,
     252},
    {N_("unit nameplate 265 on 277"), "LN", 277, "nameplate", N_("operating limit"), 240, 293},
    {N_("unit nameplate 265 on 277"), "LN", 277, "nameplate", N_("acceptable performance"), 249,
     291},
    {N_("unit nameplate 460 on 480"), "LL", 480, "nameplate", N_("operating limit"), 416, 508},
    {N_("unit nameplate 460 on 480"), "LL", 480, "nameplate", N_("acceptable performance"), 432,
     504},
    {N_("unit nameplate 575 on 600"), "LL", 600, "nameplate", N_("operating limit"), 520, 635},
    {N_("unit nameplate 575 on 600"), "LL", 600, "nameplate", N_("acceptable performance"), 540,
     630},
    {N_("unit nameplate 208/230"), "LL", 230, "nameplate", N_("maker range"), 187, 253},
    {N_("unit nameplate 460"), "LL", 460, "nameplate", N_("maker range"), 414, 506},
    {N_("unit nameplate 575"), "LL", 575, "nameplate", N_("maker range"), 518, 633},
    {N_("motor nameplate 115"), "LL", 115, "nameplate", N_("NEMA MG 1 12.44"), 103.5, 126.5},
    {N_("motor nameplate 200"), "LL", 200, "nameplate", N_("NEMA MG 1 12.44"), 180.0, 220.0},
    {N_("motor nameplate 230"), "LL", 230, "nameplate", N_("NEMA MG 1 12.44"), 207.0, 253.0},
    {N_("motor nameplate 460"), "LL", 460, "nameplate", N_("NEMA MG 1 12.44"), 414.0, 506.0},
    {N_("motor nameplate 575"), "LL", 575, "nameplate", N_("NEMA MG 1 12.44"), 517.5, 632.5},
    {N_("24 V AC coil"), "coil", 24, "coil", N_("must pick up and run"), 20.4, 26.4},
    {N_("120 V AC coil"), "coil", 120, "coil", N_("must pick up and run"), 102.0, 132.0},
    {N_("208 V AC coil"), "coil", 208, "coil", N_("must pick up and run"), 176.8, 228.8},
    {N_("240 V AC coil"), "coil", 240, "coil", N_("must pick up and run"), 204.0, 264.0},
    {N_("480 V AC coil"), "coil", 480, "coil", N_("must pick up and run"), 408.0, 528.0},
    {N_("AC contactor coil drop-out"), "coil", -1, "coil", N_("must release between"), -1, -1},
    {N_("DC contactor coil drop-out"), "coil", -1, "coil", N_("must release between"), -1, -1},
    {N_("DC relay coil"), "coil", -1, "coil", N_("usual pick-up and maximum"), -1, -1},
    {N_("dual 208/240 V AC coil"), "coil", -1, "coil", N_("must pick up and run"), 176.8, 264.0},
    {N_("24 V class 2 control circuit"), "coil", 24, "control", N_("usual device range"), 20.4,
     26.4},
    {N_("24 V class 2 control circuit"), "coil", 24, "control",
     N_("usual thermostat / board input"), 18, 30},
    {N_("class 2 AC source"), "output", -1, "control",
     N_("maximum open-circuit for class 2 wet/dry"), -1, 30},
    {N_("switchgear coil 120 V AC"), "coil", 120, "coil", N_("maker table"), 104, 127},
    {N_("switchgear coil 240 V AC"), "coil", 240, "coil", N_("maker table"), 208, 254},
    {"tap 240", "lead", 240, "tap", "published", 216, 253},
    {"tap 208", "lead", 208, "tap", "published", 187, 220},
};
/* clang-format on */

const VoltageRange *
voltage_ranges(guint *n)
{
  *n = G_N_ELEMENTS(rows);
  return rows;
}

static bool
fits(const char *wanted, const char *has)
{
  return wanted == NULL || strcmp(wanted, has) == 0;
}

const VoltageRange *
voltage_range_find(const char *kind, const char *range, const char *pair, double nominal)
{
  for (gsize i = 0; i < G_N_ELEMENTS(rows); i++)
    if (fits(kind, rows[i].kind) && fits(range, rows[i].range) && fits(pair, rows[i].pair) &&
        fabs(rows[i].nominal - nominal) <= 1.0)
      return &rows[i];
  return NULL;
}

TapRange
tap_range(double lead_volts)
{
  const VoltageRange *row = voltage_range_find("tap", NULL, NULL, lead_volts);
  if (row != NULL)
    return (TapRange){.low = row->low, .high = row->high, .published = true};
  return (TapRange){.low = 0.9 * lead_volts, .high = 1.1 * lead_volts};
}
