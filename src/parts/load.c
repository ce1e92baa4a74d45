/* SPDX-License-Identifier: MIT */
/* Any accessory known by its nameplate: controller, sensor panel, pump set, damper drive. */
#include "parts/kinds.h"

#include "base/language.h"
#include "parts/symbol.h"

static const char *const behaviour_choices[] = {N_("resistive"), N_("constant-power"),
                                                N_("constant-current"), NULL};

enum {
  DESIGNATION,
  LABEL,
  ACCEPTS,
  RATED_VOLTS,
  POWER,
  WATTS,
  AMPERES,
  POWER_FACTOR,
  BEHAVIOUR,
  FRAME,
  TERMINAL_CELSIUS,
  NOTE,
  N_FIELDS
};
static const FieldSpec fields[N_FIELDS] = {
    [DESIGNATION] = FIELD_DESIGNATION,
    [LABEL] = {.name = "label",
               .title = N_("What it is"),
               .type = FIELD_TEXT,
               .maximum = 40,
               .help = N_("Short name drawn in the box, such as Damper controller")},
    [ACCEPTS] = FIELD_ACCEPTS("110..125 V"),
    [RATED_VOLTS] = {.name = "rated-volts",
                     .title = N_("Rated volts"),
                     .type = FIELD_QUANTITY,
                     .unit = UNIT_VOLT,
                     .minimum = 1,
                     .maximum = 1000,
                     .help =
                         N_("Volts at which it draws its rated power; empty: middle of the range")},
    [POWER] = {.name = "power",
               .title = N_("Power"),
               .type = FIELD_QUANTITY,
               .unit = UNIT_VOLT_AMPERE,
               .minimum = 0.001,
               .maximum = 1e6,
               .initial = "50 VA",
               .help = N_("Volt-amperes on the nameplate")},
    [WATTS] = {.name = "watts",
               .title = N_("Watts"),
               .type = FIELD_QUANTITY,
               .unit = UNIT_WATT,
               .minimum = 0.001,
               .maximum = 1e6,
               .help = N_("Instead of volt-amperes when the nameplate gives watts")},
    [AMPERES] = {.name = "amperes",
                 .title = N_("Amperes"),
                 .type = FIELD_QUANTITY,
                 .unit = UNIT_AMPERE,
                 .minimum = 0.0001,
                 .maximum = 5000,
                 .help =
                     N_("Instead of volt-amperes when the nameplate gives amperes at rated volts")},
    [POWER_FACTOR] = {.name = "power-factor",
                      .title = N_("Power factor"),
                      .type = FIELD_QUANTITY,
                      .unit = UNIT_NONE,
                      .minimum = 0.05,
                      .maximum = 1,
                      .initial = "1",
                      .help = N_("Lagging power factor, 0.05 to 1; 1 when nothing is stated")},
    [BEHAVIOUR] = {.name = "behaviour",
                   .title = N_("Behaviour"),
                   .type = FIELD_CHOICE,
                   .choices = behaviour_choices,
                   .initial = "resistive",
                   .help = N_("resistive: heaters, coils; constant-power: electronic supplies; "
                              "constant-current: some drivers")},
    [FRAME] = FIELD_FRAME("no"),
    [TERMINAL_CELSIUS] = FIELD_TERMINAL_CELSIUS,
    [NOTE] = FIELD_NOTE,
};

#define WIDTH 35.0
#define HEIGHT 20.0
#define LINE_SPACING 1.5

static void
terminals(const Device *device, GArray *array)
{
  part_terminal(array, "1", 0, 0, SIDE_LEFT, TERMINAL_PLAIN);
  part_terminal(array, "2", 0, 10, SIDE_LEFT, TERMINAL_PLAIN);
  if (device_flag(device, FRAME))
    part_frame_terminal(array, 20, 20);
}

static double
rated_volts(const Device *device)
{
  QuantityRange accepts;
  if (device->values[RATED_VOLTS].has_value)
    return device_number(device, RATED_VOLTS, 0);
  if (!part_range(device, ACCEPTS, &accepts))
    return 0;
  return (quantity_value(accepts.low) + quantity_value(accepts.high)) / 2;
}

static double
volt_amperes(const Device *device)
{
  double watts = device_number(device, WATTS, 0), amperes = device_number(device, AMPERES, 0);
  if (watts > 0)
    return watts / device_number(device, POWER_FACTOR, 1);
  if (amperes > 0)
    return amperes * rated_volts(device);
  return device_number(device, POWER, 0);
}

static void
stamp(const Device *device, Stamp *out)
{
  static const LoadBehaviour behaviours[] = {LOAD_CONSTANT_IMPEDANCE, LOAD_CONSTANT_POWER,
                                             LOAD_CONSTANT_CURRENT};
  PartLoad load = {
      .volt_amperes = volt_amperes(device),
      .power_factor = device_number(device, POWER_FACTOR, 1),
      .rated_volts = rated_volts(device),
      .behaviour = behaviours[device_choice(device, BEHAVIOUR)],
  };
  if (part_range(device, ACCEPTS, &load.accepts))
    part_stamp_load(out, 0, 1, &load);
}

static void
probes(const Device *device, GArray *array)
{
  part_probe(array, 0, 1, _("at the load"));
  if (device_flag(device, FRAME))
    part_probe(array, 2, PROBE_EARTH, _("frame to ground"));
}

static bool
validate(const Device *device, GError **error)
{
  bool watts = device->values[WATTS].is_set, amperes = device->values[AMPERES].is_set;
  bool power = device->values[POWER].is_set;
  if (watts + amperes + power <= 1)
    return true;
  g_set_error(error, FIELD_ERROR, FIELD_ERROR_VALUE,
              _("%s: give the load's power once, as power=\"50 VA\", watts=\"40 W\" or "
                "amperes=\"0.5 A\", and clear the others"),
              device->id);
  return false;
}

static char *
rating_text(const Device *device)
{
  guint field = device->values[WATTS].is_set     ? WATTS
                : device->values[AMPERES].is_set ? AMPERES
                                                 : POWER;
  return part_join_texts(", ", part_value_text(device, ACCEPTS), part_value_text(device, field),
                         PART_TEXT_END);
}

/* The largest lettering that breaks no word and fits the height; the smallest if none does. */
static double
label_height(const char *label, double width, double height)
{
  TextStyle style = {.align = TEXT_MIDDLE, .ink = INK_LINE};
  g_auto(GStrv) words = g_strsplit(label, " ", -1);
  for (style.height = SYMBOL_LETTER; style.height > 1.7; style.height -= 0.25) {
    bool fits = pen_text_block_height(width, label, &style, LINE_SPACING) <= height;
    for (guint i = 0; words[i]; i++)
      fits = fits && pen_text_width(words[i], &style) <= width;
    if (fits)
      break;
  }
  return MAX(style.height, 1.75);
}

static void
draw(const Device *device, Pen *pen)
{
  Rect box = {5, -5, WIDTH - 5, HEIGHT};
  const double left = box.x + 5, width = box.x + box.width - 1 - left;
  const char *given = device_text(device, LABEL), *label = *given ? given : _("Load");
  TextStyle style = {
      .height = label_height(label, width, box.height - 2), .align = TEXT_MIDDLE, .ink = INK_LINE};
  pen_box(pen, box, &symbol_stroke, &symbol_paper);
  for (guint i = 0; i < 2; i++) {
    const Terminal *terminal = device_terminal(device, i);
    symbol_stub(pen, terminal, box.x, terminal->at.y);
    symbol_text(pen, box.x + 1.5, terminal->at.y + SYMBOL_LETTER / 2, terminal->name, SYMBOL_LETTER,
                TEXT_START);
  }
  double high = pen_text_block_height(width, label, &style, LINE_SPACING);
  pen_text_block(pen, (Point){left + width / 2, box.y + (box.height - high) / 2 + style.height},
                 width, label, &style, LINE_SPACING);
  if (device_flag(device, FRAME)) {
    const Terminal *frame = device_terminal(device, 2);
    symbol_stub(pen, frame, frame->at.x, box.y + box.height);
    symbol_name(pen, frame);
  }
}

const PartKind part_load = {
    .name = "load",
    .title = N_("Load"),
    .designation = "LD",
    .help = N_("Accessory known by its nameplate: controller, pump set, sensor panel"),
    .group = GROUP_LOAD,
    .role = ROLE_LOAD,
    .fields = fields,
    .n_fields = N_FIELDS,
    .terminals = terminals,
    .draw = draw,
    .rating_text = rating_text,
    .stamp = stamp,
    .probes = probes,
    .validate = validate,
};
