/* SPDX-License-Identifier: MIT */
/* The supply as a meter finds it: readings line to line and line to ground. */
#include "parts/kinds.h"

#include "base/language.h"
#include "parts/symbol.h"

#include <limits.h>
#include <math.h>
#include <string.h>

typedef enum { LINES_LINE_NEUTRAL, LINES_1P_2W, LINES_1P_3W, LINES_3P_3W, LINES_3P_4W } Lines;
static const char *const lines_choices[] = {N_("1-phase-line-neutral"), N_("1-phase-2-wire"),
                                            N_("1-phase-3-wire"),       N_("3-phase-3-wire"),
                                            N_("3-phase-4-wire"),       NULL};
static const char *const rotation_choices[] = {N_("abc"), N_("cba"), NULL};
static const char *const grounding_choices[] = {N_("as-measured"), N_("ungrounded"), NULL};

/* Nominal systems to draft with before anybody has measured (ANSI C84.1, IEC 60038). Volts line to
 * line and from each line to ground; NAN where there is no fixed voltage to ground. */
typedef struct {
  double line, ground[3];
} Nominal;
enum { NOMINAL_120 = 1, NOMINAL_120_240, NOMINAL_208Y, NOMINAL_HIGH_LEG };
static const char *const system_choices[] = {
    N_("measured"),     "120",           "120/240",  "208Y/120",
    N_("240-high-leg"), N_("240-delta"), "400Y/230", "480Y/277",
    N_("480-delta"),    "600Y/347",      NULL};
static const Nominal nominals[] = {
    [NOMINAL_120] = {120, {120, 0, MISSING}},
    [NOMINAL_120_240] = {240, {120, 120, MISSING}},
    [NOMINAL_208Y] = {208, {120, 120, 120}},
    [NOMINAL_HIGH_LEG] = {240, {120, 208, 120}},
    [5] = {240, {MISSING, MISSING, MISSING}},
    [6] = {400, {231, 231, 231}},
    [7] = {480, {277, 277, 277}},
    [8] = {480, {MISSING, MISSING, MISSING}},
    [9] = {600, {346, 346, 346}},
};

enum {
  DESIGNATION,
  LINES,
  SYSTEM,
  FREQUENCY,
  FAULT_CURRENT,
  X_OVER_R,
  ROTATION,
  GROUNDING,
  NOTE,
  N_FIELDS
};
static const FieldSpec fields[N_FIELDS] = {
    [DESIGNATION] = FIELD_DESIGNATION,
    [LINES] = {.name = "lines",
               .title = N_("Lines"),
               .type = FIELD_CHOICE,
               .choices = lines_choices,
               .initial = "3-phase-4-wire",
               .help = N_("How many phases and wires arrive, the ground not counted")},
    [SYSTEM] = {.name = "system",
                .title = N_("System"),
                .type = FIELD_CHOICE,
                .choices = system_choices,
                .initial = "measured",
                .help =
                    N_("measured: told from the readings; a nominal system holds until a reading "
                       "is entered")},
    [FREQUENCY] = {.name = "frequency",
                   .title = N_("Frequency"),
                   .type = FIELD_QUANTITY,
                   .unit = UNIT_HERTZ,
                   .minimum = 40,
                   .maximum = 70,
                   .initial = "60 Hz",
                   .help = N_("Frequency of the supply")},
    [FAULT_CURRENT] = {.name = "fault-current",
                       .title = N_("Available fault current"),
                       .type = FIELD_QUANTITY,
                       .unit = UNIT_AMPERE,
                       .minimum = 10,
                       .maximum = 200000,
                       .help =
                           N_("Bolted fault current here, from the label on the equipment or the "
                              "utility; empty: unknown")},
    [X_OVER_R] = {.name = "x-over-r",
                  .title = "X/R",
                  .type = FIELD_QUANTITY,
                  .unit = UNIT_NONE,
                  .minimum = 0.05,
                  .maximum = 100,
                  .initial = "4.9",
                  .help =
                      N_("Reactance over resistance of the supply, given with the fault current")},
    [ROTATION] = {.name = "rotation",
                  .title = N_("Rotation"),
                  .type = FIELD_CHOICE,
                  .choices = rotation_choices,
                  .initial = "abc",
                  .help = N_("Phase sequence L1 L2 L3 as a rotation meter shows it")},
    [GROUNDING] = {.name = "grounding",
                   .title = N_("Grounding"),
                   .type = FIELD_CHOICE,
                   .choices = grounding_choices,
                   .initial = "as-measured",
                   .help = N_("ungrounded: known to have no grounded conductor, whatever a meter "
                              "shows to ground")},
    [NOTE] = FIELD_NOTE,
};

enum { BETWEEN, VALUE, N_ROW_FIELDS };
static const FieldSpec row_fields[N_ROW_FIELDS] = {
    [BETWEEN] = {.name = "between",
                 .title = N_("Between"),
                 .type = FIELD_TERMINALS,
                 .help =
                     N_("Two of L1 L2 L3 GND (N on a line-and-neutral supply), such as L1 GND")},
    [VALUE] = {.name = "value",
               .title = N_("Reading"),
               .type = FIELD_QUANTITY,
               .unit = UNIT_VOLT,
               .minimum = 0,
               .maximum = 2000,
               .help = N_("What the meter shows, ac volts; empty: not measured")},
};
static const char *const initial_rows[] = {"L1 L2",  NULL, "L2 L3",  NULL, "L3 L1",  NULL,
                                           "L1 GND", NULL, "L2 GND", NULL, "L3 GND", NULL};

static guint
line_count(const Device *device)
{
  static const guint counts[] = {[LINES_LINE_NEUTRAL] = 1,
                                 [LINES_1P_2W] = 2,
                                 [LINES_1P_3W] = 2,
                                 [LINES_3P_3W] = 3,
                                 [LINES_3P_4W] = 3};
  return counts[device_choice(device, LINES)];
}

static bool
has_neutral(const Device *device)
{
  int lines = device_choice(device, LINES);
  return lines == LINES_LINE_NEUTRAL || lines == LINES_1P_3W || lines == LINES_3P_4W;
}

#define WIDTH 20.0
#define PITCH 10.0

static void
terminals(const Device *device, GArray *array)
{
  static const char *const names[] = {"L1", "L2", "L3"};
  double y = 0;
  for (guint i = 0; i < line_count(device); i++, y += PITCH)
    part_terminal(array, names[i], WIDTH, y, SIDE_RIGHT, TERMINAL_LINE)->capacity = 4;
  if (has_neutral(device)) {
    part_terminal(array, "N", WIDTH, y, SIDE_RIGHT, TERMINAL_NEUTRAL)->capacity = 4;
    y += PITCH;
  }
  part_terminal(array, "GND", WIDTH, y, SIDE_RIGHT, TERMINAL_EARTH)->capacity = 8;
}

/* Sets one of the six readings from a row; NULL text or a pair that this supply lacks: nothing. */
static void
take_reading(SupplyReadings *readings, guint n_lines, const char *between, double volts)
{
  static const char *const pairs[6][2] = {{"L1", "L2"},  {"L2", "L3"},  {"L3", "L1"},
                                          {"L1", "GND"}, {"L2", "GND"}, {"L3", "GND"}};
  g_auto(GStrv) names = g_strsplit(between, " ", 2);
  if (g_strv_length(names) != 2)
    return;
  for (guint i = 0; i < 6; i++) {
    bool same = g_str_equal(names[0], pairs[i][0]) && g_str_equal(names[1], pairs[i][1]);
    bool turned = g_str_equal(names[1], pairs[i][0]) && g_str_equal(names[0], pairs[i][1]);
    bool present = i < 3 ? n_lines == 3 || (n_lines == 2 && i == 0) : i - 3 < n_lines;
    if ((same || turned) && present)
      *(i < 3 ? &readings->line[i] : &readings->ground[i - 3]) = volts;
  }
  bool line_neutral = strstr(between, "L1") && strstr(between, "N") && !strstr(between, "GND");
  if (line_neutral && n_lines == 1)
    readings->line[0] = volts;
}

/* A system drawn with other lines than it has names the one that has these lines and its volts: 120
 * V of three lines to ground is a 208Y/120, 120/240 V with three lines a high leg; two lines and a
 * neutral at 120 V are a 120/240; two lines of a high leg leave the high one out. */
static const Nominal *
nominal_for(int lines, int system)
{
  bool three = lines == LINES_3P_3W || lines == LINES_3P_4W;
  if (three && system == NOMINAL_120)
    system = NOMINAL_208Y;
  else if (three && system == NOMINAL_120_240)
    system = NOMINAL_HIGH_LEG;
  else if (lines == LINES_1P_3W && system == NOMINAL_120)
    system = NOMINAL_120_240;
  else if (!three && lines != LINES_LINE_NEUTRAL && system == NOMINAL_HIGH_LEG)
    system = NOMINAL_120_240;
  return &nominals[system];
}

/* A delta without a grounded corner is ungrounded by its name: nothing about it is in doubt. */
static void
take_nominal(SupplyReadings *readings, guint n_lines, const Nominal *nominal)
{
  for (guint i = 0; i < n_lines; i++)
    readings->ground[i] = nominal->ground[i];
  if (n_lines == 1)
    readings->line[0] = nominal->ground[0];
  else
    for (guint i = 0; i < (n_lines == 3 ? 3 : 1); i++)
      readings->line[i] = nominal->line;
  if (isnan(nominal->ground[0]))
    readings->stated_ungrounded = true;
}

static void
stamp(const Device *device, Stamp *out)
{
  guint n_lines = line_count(device);
  SupplyReadings readings = {
      .line = {MISSING, MISSING, MISSING},
      .ground = {MISSING, MISSING, MISSING},
      .phases = n_lines == 3 ? 3 : 1,
      .neutral = has_neutral(device),
      .reverse_rotation = device_choice(device, ROTATION) == 1,
      .stated_ungrounded = device_choice(device, GROUNDING) == 1,
  };
  bool given = false;
  for (guint row = 0; row < device_row_count(device); row++) {
    double volts = device_row_number(device, row, VALUE, MISSING);
    if (isnan(volts))
      continue;
    given = true;
    take_reading(&readings, n_lines, device_row_text(device, row, BETWEEN), volts);
  }
  if (!given && device_choice(device, SYSTEM) > 0)
    take_nominal(&readings, n_lines,
                 nominal_for(device_choice(device, LINES), device_choice(device, SYSTEM)));
  StampSupply supply = {
      .lines = {INT_MIN, INT_MIN, INT_MIN},
      .neutral = has_neutral(device) ? (int)n_lines : INT_MIN,
      .earth = (int)device_terminal_count(device) - 1,
      .readings = readings,
      .frequency = device_number(device, FREQUENCY, 60),
      .fault_amps = device_number(device, FAULT_CURRENT, 0),
      .x_over_r = device_number(device, X_OVER_R, 4.9),
  };
  for (guint i = 0; i < n_lines; i++)
    supply.lines[i] = (int)i;
  stamp_supply(out, &supply);
}

static void
probes(const Device *device, GArray *array)
{
  int n = (int)line_count(device);
  if (n >= 2)
    part_probe(array, 0, 1, _("line to line"));
  if (n == 3) {
    part_probe(array, 1, 2, _("line to line"));
    part_probe(array, 2, 0, _("line to line"));
  }
  for (int i = 0; i < n; i++)
    part_probe(array, i, PROBE_EARTH, _("line to ground"));
  if (has_neutral(device)) {
    for (int i = 0; i < n; i++)
      part_probe(array, i, n, _("line to neutral"));
    part_probe(array, n, PROBE_EARTH, _("neutral to ground"));
  }
}

static bool
pair_known(const char *between, const char *id, GError **error)
{
  static const char *const known[] = {"L1", "L2", "L3", "N", "GND", NULL};
  g_auto(GStrv) names = g_strsplit(between, " ", 2);
  bool good = g_strv_length(names) == 2 && g_strv_contains(known, names[0]) &&
              g_strv_contains(known, names[1]) && !g_str_equal(names[0], names[1]);
  if (!good)
    g_set_error(error, FIELD_ERROR, FIELD_ERROR_VALUE,
                _("%s: a reading lies between two of L1, L2, L3, N and GND, not “%s”; for example "
                  "between=\"L1 GND\""),
                id, between);
  return good;
}

static bool
validate(const Device *device, GError **error)
{
  for (guint row = 0; row < device_row_count(device); row++) {
    const char *between = device_row_text(device, row, BETWEEN);
    if (*between && !pair_known(between, device->id, error))
      return false;
  }
  return true;
}

static char *
rating_text(const Device *device)
{
  int system = device_choice(device, SYSTEM);
  char *fault = part_value_text(device, FAULT_CURRENT);
  if (*fault) {
    char *available = g_strdup_printf(_("%s fault"), fault);
    g_free(fault);
    fault = available;
  }
  char *name = system > 0 ? g_strconcat(system_choices[system], " V", NULL) : NULL;
  /* 60 Hz goes without saying where this is used. */
  double hertz = device_number(device, FREQUENCY, 60);
  char *frequency = hertz < 59.5 || hertz > 60.5 ? part_value_text(device, FREQUENCY) : NULL;
  return part_join_texts(" ", name, frequency, fault, PART_TEXT_END);
}

static void
draw(const Device *device, Pen *pen)
{
  guint n = device_terminal_count(device);
  Rect box = {0, -5, 15, n * PITCH};
  TextStyle title = {.height = SYMBOL_LETTER, .align = TEXT_MIDDLE, .ink = INK_LINE, .turns = 3};
  pen_box(pen, box, &symbol_stroke, &symbol_paper);
  for (guint i = 0; i < n; i++) {
    const Terminal *terminal = device_terminal(device, i);
    symbol_stub(pen, terminal, box.width, terminal->at.y);
    symbol_text(pen, box.width - 1.2, terminal->at.y + SYMBOL_LETTER / 2, terminal->name,
                SYMBOL_LETTER, TEXT_END);
  }
  pen_text(pen, (Point){4, box.y + box.height / 2}, n > 2 ? _("SUPPLY") : _("SUP"), &title);
}

const PartKind part_supply = {
    .name = "supply",
    .title = N_("Supply"),
    .designation = "S",
    .help = N_("Where power comes from, described by what a meter reads there"),
    .group = GROUP_SUPPLY,
    .role = ROLE_SUPPLY,
    .fields = fields,
    .n_fields = N_FIELDS,
    .row_name = N_("reading"),
    .row_title = N_("Reading"),
    .rows_title = N_("Readings"),
    .row_fields = row_fields,
    .n_row_fields = N_ROW_FIELDS,
    .max_rows = 12,
    .initial_rows = initial_rows,
    .n_initial_rows = G_N_ELEMENTS(initial_rows) / N_ROW_FIELDS,
    .terminals = terminals,
    .draw = draw,
    .rating_text = rating_text,
    .stamp = stamp,
    .probes = probes,
    .validate = validate,
};
