/* SPDX-License-Identifier: MIT */
/* A transformer with any number of leads: every lead a row with marking, winding, volts and
 * colour, as its nameplate lists them. */
#include "parts/kinds.h"

#include "base/language.h"
#include "parts/symbol.h"
#include "tables/colours.h"

#include <math.h>

#define MAX_LEADS 24

static const char *const mounting_choices[] = {N_("flying-leads"), N_("screw-terminals"), NULL};
/* Even: a primary; odd: a secondary; half the index: which one. */
static const char *const winding_choices[] = {
    N_("primary"),     N_("secondary"),   N_("primary-2"),
    N_("secondary-2"), N_("primary-3"),   N_("secondary-3"),
    N_("primary-4"),   N_("secondary-4"), NULL};

enum {
  DESIGNATION,
  RATING,
  REGULATION,
  IMPEDANCE,
  X_OVER_R,
  NO_LOAD_RISE,
  NO_LOAD_CURRENT,
  CLASS_2,
  FREQUENCY,
  MOUNTING,
  NOTE,
  N_FIELDS
};
static const FieldSpec fields[N_FIELDS] = {
    [DESIGNATION] = FIELD_DESIGNATION,
    [RATING] = {.name = "rating",
                .title = N_("Rating"),
                .type = FIELD_QUANTITY,
                .unit = UNIT_VOLT_AMPERE,
                .minimum = 0.1,
                .maximum = 1e7,
                .initial = "75 VA",
                .help = N_("Volt-amperes on the nameplate")},
    [REGULATION] = {.name = "regulation",
                    .title = N_("Regulation"),
                    .type = FIELD_QUANTITY,
                    .unit = UNIT_PERCENT,
                    .minimum = 0.1,
                    .maximum = 50,
                    .help =
                        N_("Rise of secondary volts from rated load to none; empty: by impedance "
                           "or by size")},
    [IMPEDANCE] = {.name = "impedance",
                   .title = N_("Impedance"),
                   .type = FIELD_QUANTITY,
                   .unit = UNIT_PERCENT,
                   .minimum = 0.1,
                   .maximum = 50,
                   .help = N_("%Z on the nameplate; regulation wins when both are given")},
    [X_OVER_R] = {.name = "x-over-r",
                  .title = "X/R",
                  .type = FIELD_QUANTITY,
                  .unit = UNIT_NONE,
                  .minimum = 0.01,
                  .maximum = 100,
                  .help = N_("Reactance over resistance of the windings; empty: by size")},
    [NO_LOAD_RISE] = {.name = "no-load-rise",
                      .title = N_("No-load rise"),
                      .type = FIELD_QUANTITY,
                      .unit = UNIT_PERCENT,
                      .minimum = 0,
                      .maximum = 50,
                      .help =
                          N_("How far open secondary volts lie above rated volts; small units are "
                             "wound high; empty: as regulation")},
    [NO_LOAD_CURRENT] = {.name = "no-load-current",
                         .title = N_("No-load current"),
                         .type = FIELD_QUANTITY,
                         .unit = UNIT_PERCENT,
                         .minimum = 0.01,
                         .maximum = 100,
                         .help =
                             N_("Primary current without load, of rated current; empty: by size")},
    [CLASS_2] = {.name = "class-2",
                 .title = N_("Class 2"),
                 .type = FIELD_BOOLEAN,
                 .initial = "no",
                 .help = N_("yes: the nameplate says Class 2 (its output limits itself)")},
    [FREQUENCY] = {.name = "frequency",
                   .title = N_("Rated frequency"),
                   .type = FIELD_RANGE,
                   .unit = UNIT_HERTZ,
                   .minimum = 40,
                   .maximum = 400,
                   .initial = "60 Hz",
                   .help = N_("Frequency on the nameplate, such as 60 Hz or 50..60 Hz")},
    [MOUNTING] = {.name = "mounting",
                  .title = N_("Connections"),
                  .type = FIELD_CHOICE,
                  .choices = mounting_choices,
                  .initial = "flying-leads",
                  .help = N_(
                      "flying-leads have to be landed or capped; screw-terminals may stay empty")},
    [NOTE] = FIELD_NOTE,
};

enum { LEAD_NAME, LEAD_WINDING, LEAD_VOLTS, LEAD_COLOUR, N_ROW_FIELDS };
static const FieldSpec row_fields[N_ROW_FIELDS] = {
    [LEAD_NAME] = {.name = "name",
                   .title = N_("Marking"),
                   .type = FIELD_NAME,
                   .help =
                       N_("Marking on lead or screw, such as H1 or X2; empty: numbered in order")},
    [LEAD_WINDING] = {.name = "winding",
                      .title = N_("Winding"),
                      .type = FIELD_CHOICE,
                      .choices = winding_choices,
                      .initial = "primary",
                      .help =
                          N_("Which winding it belongs to; separate windings do not conduct to one "
                             "another")},
    [LEAD_VOLTS] = {.name = "volts",
                    .title = N_("Volts"),
                    .type = FIELD_QUANTITY,
                    .unit = UNIT_VOLT,
                    .minimum = 0,
                    .maximum = 35000,
                    .help = N_("Rated volts from the winding's common lead, which has 0 V")},
    [LEAD_COLOUR] = {.name = "colour",
                     .is_colour = true,
                     .title = N_("Colour"),
                     .type = FIELD_TEXT,
                     .maximum = 24,
                     .help = N_("Insulation of the lead, such as brown or white/blue")},
};
/* Colours of our own invention, none of them one that marks a grounded conductor on the primary. */
static const char *const initial_rows[] = {
    "H4", "primary",   "480 V", "brown",  "H3", "primary",   "240 V", "violet",
    "H2", "primary",   "208 V", "yellow", "H1", "primary",   "0 V",   "black",
    "X2", "secondary", "24 V",  "blue",   "X1", "secondary", "0 V",   "white",
};

#define WIDTH 50.0
#define FRAME_X (WIDTH / 2)
#define LEAD_PITCH 7.5
#define WINDING_GAP 2.5

static bool
lead_secondary(const Device *device, guint row)
{
  return device_row_choice(device, row, LEAD_WINDING) % 2 == 1;
}

/* An unnamed lead takes the lowest number of its side that no other lead has. */
static void
lead_name(const Device *device, guint row, const GArray *made, char *name, gsize size)
{
  const char *given = device_row_text(device, row, LEAD_NAME);
  if (*given) {
    g_strlcpy(name, given, size);
    return;
  }
  char letter = lead_secondary(device, row) ? 'X' : 'H';
  for (guint number = 1; number <= 2 * MAX_LEADS + 1; number++) {
    g_snprintf(name, size, "%c%u", letter, number);
    bool used = false;
    for (guint i = 0; i < made->len; i++)
      used = used || g_str_equal(g_array_index(made, Terminal, i).name, name);
    for (guint i = 0; i < device_row_count(device); i++)
      used = used || g_str_equal(device_row_text(device, i, LEAD_NAME), name);
    if (!used)
      return;
  }
}

/* Terminals come in the order of the rows, then FRAME. Down each side the leads keep that order,
 * with a gap between windings. */
static void
terminals(const Device *device, GArray *array)
{
  double y[2] = {0, 0};
  int winding[2] = {-1, -1};
  bool flying = device_choice(device, MOUNTING) == 0;
  for (guint row = 0; row < device_row_count(device) && row < MAX_LEADS; row++) {
    int side = lead_secondary(device, row) ? 1 : 0;
    int choice = device_row_choice(device, row, LEAD_WINDING);
    if (winding[side] >= 0)
      y[side] += LEAD_PITCH + (winding[side] != choice ? WINDING_GAP : 0);
    winding[side] = choice;
    char name[34];
    lead_name(device, row, array, name, sizeof name);
    Terminal *terminal =
        part_terminal(array, name, side ? WIDTH : 0, y[side], side ? SIDE_RIGHT : SIDE_LEFT,
                      side ? TERMINAL_SECONDARY : TERMINAL_PRIMARY);
    terminal->flying = flying;
    terminal->capacity = flying ? 1 : 2;
    terminal->row = (int)row;
  }
  part_frame_terminal(array, FRAME_X, MAX(y[0], y[1]) + 10);
}

/* Applied over rated frequency; inside a rated range it is 1. */
static double
frequency_ratio(const Device *device, const Stamp *out)
{
  QuantityRange rated;
  double applied = part_supply_frequency(out);
  if (!part_range(device, FREQUENCY, &rated))
    return 1;
  double low = quantity_value(rated.low), high = quantity_value(rated.high);
  return applied / CLAMP(applied, low, high);
}

static double
per_unit(const Device *device, guint field)
{
  return device_number(device, field, -100) / 100;
}

static void
stamp(const Device *device, Stamp *out)
{
  StampLead leads[MAX_LEADS];
  guint n = 0;
  for (guint row = 0; row < device_row_count(device) && row < MAX_LEADS; row++) {
    leads[n++] = (StampLead){
        .terminal = (int)row,
        .winding = (guint)device_row_choice(device, row, LEAD_WINDING),
        .secondary = lead_secondary(device, row),
        .volts = device_row_number(device, row, LEAD_VOLTS, MISSING),
        .row = (int)row,
    };
  }
  stamp_transformer(out, &(StampTransformer){
                             .rating = device_number(device, RATING, 75),
                             .frequency_ratio = frequency_ratio(device, out),
                             .regulation = per_unit(device, REGULATION),
                             .impedance = per_unit(device, IMPEDANCE),
                             .x_over_r = device_number(device, X_OVER_R, 0),
                             .no_load_rise = per_unit(device, NO_LOAD_RISE),
                             .no_load_current = per_unit(device, NO_LOAD_CURRENT),
                             .leads = leads,
                             .n_leads = n,
                         });
}

/* Row of the winding's common lead: the lowest volts. */
static int
common_row(const Device *device, int winding)
{
  int common = -1;
  double lowest = HUGE_VAL;
  for (guint row = 0; row < device_row_count(device); row++) {
    double volts = device_row_number(device, row, LEAD_VOLTS, HUGE_VAL);
    if (device_row_choice(device, row, LEAD_WINDING) == winding && volts < lowest) {
      lowest = volts;
      common = (int)row;
    }
  }
  return common;
}

static void
probes(const Device *device, GArray *array)
{
  int frame = (int)device_terminal_count(device) - 1;
  for (guint row = 0; row < device_row_count(device) && (int)row < frame; row++) {
    int common = common_row(device, device_row_choice(device, row, LEAD_WINDING));
    if (common >= 0 && (int)row != common)
      part_probe(array, (int)row, common,
                 lead_secondary(device, row) ? _("across the secondary") : _("across the primary"));
  }
  for (guint row = 0; row < device_row_count(device) && (int)row < frame; row++)
    if (lead_secondary(device, row))
      part_probe(array, (int)row, PROBE_EARTH, _("secondary to ground"));
  part_probe(array, frame, PROBE_EARTH, _("frame to ground"));
}

static bool
validate(const Device *device, GError **error)
{
  for (guint i = 0; i < device_terminal_count(device); i++)
    for (guint j = i + 1; j < device_terminal_count(device); j++) {
      const char *name = device_terminal(device, i)->name;
      if (!g_str_equal(name, device_terminal(device, j)->name))
        continue;
      g_set_error(error, FIELD_ERROR, FIELD_ERROR_VALUE,
                  g_str_equal(name, "FRAME")
                      ? _("%s: two leads are marked %s; every lead needs a marking of its own "
                          "(FRAME is the case)")
                      : _("%s: two leads are marked %s; every lead needs a marking of its own"),
                  device->id, name);
      return false;
    }
  return true;
}

/* A winding is two leads or more, each at volts of its own, counted from one that has 0 V. */
static char *
row_problem(const Device *device, guint row)
{
  int winding = device_row_choice(device, row, LEAD_WINDING);
  double volts = device_row_number(device, row, LEAD_VOLTS, -1);
  double lowest = volts;
  guint others = 0;
  if (volts < 0)
    return g_strdup(
        _("Give its volts, counted from the common lead of the winding (that has 0 V)"));
  for (guint i = 0; i < device_row_count(device); i++) {
    if (i == row || device_row_choice(device, i, LEAD_WINDING) != winding)
      continue;
    double theirs = device_row_number(device, i, LEAD_VOLTS, -1);
    others++;
    if (fabs(theirs - volts) < 1e-9 * MAX(1, volts))
      return g_strdup_printf(_("%s of this winding has the same volts: each lead is a tap of its "
                               "own"),
                             device_terminal(device, i)->name);
    lowest = theirs >= 0 ? MIN(lowest, theirs) : lowest;
  }
  if (others == 0)
    return g_strdup(_("The only lead of its winding: a winding has two or more"));
  if (lowest > 0 && lowest == volts)
    return g_strdup(_("The lowest of its winding, but not 0 V: one lead is common and has 0 V"));
  return NULL;
}

static char *
rating_text(const Device *device)
{
  return part_join_texts(" ", part_value_text(device, RATING),
                         device_flag(device, CLASS_2) ? g_strdup(_("Class 2")) : NULL,
                         PART_TEXT_END);
}

#define COIL_PRIMARY 20.0
#define COIL_SECONDARY (WIDTH - COIL_PRIMARY)
#define CORE_HALF_GAP 0.75
#define LEAD_MARGIN 1.5
#define LEAD_AIR 0.7 /* between a lead and its letters: two lines of them fit between leads */

/* Marking and volts above the lead, colour below it. */
static void
draw_lead(const Device *device, Pen *pen, guint row)
{
  const Terminal *terminal = device_terminal(device, row);
  bool secondary = lead_secondary(device, row);
  double y = terminal->at.y;
  symbol_stub(pen, terminal, secondary ? COIL_SECONDARY : COIL_PRIMARY, y);
  g_autofree char *volts =
      value_dup_text(&device_row(device, row)[LEAD_VOLTS], &row_fields[LEAD_VOLTS]);
  const double room = COIL_PRIMARY - 2 * LEAD_MARGIN, gap = 1.2;
  TextStyle style = {.height = SYMBOL_LETTER};
  double marked = pen_text_width(terminal->name, &style);
  double rated = volts ? gap + pen_text_width(volts, &style) : 0;
  /* Both shrink alike when together they would run into the coil. */
  double scale = MIN(1, room / (marked + rated));
  double left = secondary ? COIL_SECONDARY + LEAD_MARGIN : LEAD_MARGIN;
  symbol_text(pen, left, y - LEAD_AIR, terminal->name, scale * SYMBOL_LETTER, TEXT_START);
  if (volts)
    symbol_text(pen, left + scale * (marked + gap), y - LEAD_AIR, volts, scale * SYMBOL_LETTER,
                TEXT_START);
  g_autofree char *colour = wire_colour_text(device_row_text(device, row, LEAD_COLOUR));
  symbol_text_fit(pen, left, y + LEAD_AIR + SYMBOL_LETTER, colour, SYMBOL_LETTER, room, TEXT_START);
}

/* Coil from the first to the last lead of one winding, and a polarity dot at its common end. */
static void
draw_winding(const Device *device, Pen *pen, int winding)
{
  double top = HUGE_VAL, bottom = -HUGE_VAL;
  for (guint row = 0; row < device_row_count(device); row++)
    if (device_row_choice(device, row, LEAD_WINDING) == winding) {
      top = MIN(top, device_terminal(device, row)->at.y);
      bottom = MAX(bottom, device_terminal(device, row)->at.y);
    }
  if (!(bottom > top))
    return;
  bool secondary = winding % 2 == 1;
  double x = secondary ? COIL_SECONDARY : COIL_PRIMARY;
  symbol_winding(pen, x, top, (guint)((bottom - top) / GRID_STEP_MM + 0.5), secondary ? -1 : 1);
  int common = common_row(device, winding);
  if (common >= 0) {
    double y = device_terminal(device, (guint)common)->at.y;
    y += y > (top + bottom) / 2 ? -1.25 : 1.25;
    pen_circle(pen, (Point){x + (secondary ? -2.4 : 2.4), y}, 0.45, &symbol_stroke, &symbol_solid);
  }
}

static void
draw(const Device *device, Pen *pen)
{
  const Terminal *frame = device_terminal(device, device_terminal_count(device) - 1);
  double bottom = frame->at.y - 7.5;
  for (guint row = 0; row < device_row_count(device) && row < MAX_LEADS; row++)
    draw_lead(device, pen, row);
  for (int winding = 0; winding_choices[winding]; winding++)
    draw_winding(device, pen, winding);
  for (int side = -1; side <= 1; side += 2) {
    double x = FRAME_X + side * CORE_HALF_GAP;
    pen_line(pen, (Point){x, -2.5}, (Point){x, bottom}, &symbol_stroke);
  }
  pen_line(pen, (Point){FRAME_X - CORE_HALF_GAP, bottom}, (Point){FRAME_X + CORE_HALF_GAP, bottom},
           &symbol_stroke);
  symbol_stub(pen, frame, FRAME_X, bottom);
  symbol_name(pen, frame);
}

const PartKind part_transformer = {
    .name = "transformer",
    .title = N_("Transformer"),
    .designation = "T",
    .help = N_("Control transformer with tapped primary leads and one or more secondaries"),
    .group = GROUP_TRANSFORMER,
    .role = ROLE_TRANSFORMER,
    .fields = fields,
    .n_fields = N_FIELDS,
    .row_name = N_("lead"),
    .row_title = N_("Lead"),
    .rows_title = N_("Leads"),
    .row_fields = row_fields,
    .n_row_fields = N_ROW_FIELDS,
    .max_rows = MAX_LEADS,
    .initial_rows = initial_rows,
    .n_initial_rows = G_N_ELEMENTS(initial_rows) / N_ROW_FIELDS,
    .terminals = terminals,
    .draw = draw,
    .rating_text = rating_text,
    .stamp = stamp,
    .probes = probes,
    .validate = validate,
    .row_problem = row_problem,
};
