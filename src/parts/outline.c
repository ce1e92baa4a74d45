/* SPDX-License-Identifier: MIT */
/* A dashed outline that groups devices into an enclosure. It conducts nothing. */
#include "parts/kinds.h"

#include "base/language.h"
#include "parts/symbol.h"

static const char *const belongs_choices[] = {N_("existing"), N_("add-on"), NULL};

enum { DESIGNATION, LABEL, BELONGS, WIDTH, HEIGHT, AMBIENT, NOTE, N_FIELDS };
static const FieldSpec fields[N_FIELDS] = {
    [DESIGNATION] = FIELD_DESIGNATION,
    [LABEL] = {.name = "label",
               .title = N_("Title"),
               .type = FIELD_TEXT,
               .maximum = 60,
               .initial = N_("Add-on"),
               .help = N_("Words at the outline's upper left corner, such as Existing unit")},
    [BELONGS] = {.name = "belongs",
                 .title = N_("Belongs to"),
                 .type = FIELD_CHOICE,
                 .choices = belongs_choices,
                 .initial = "add-on",
                 .help = N_("existing: was there before; add-on: comes with this job")},
    [WIDTH] = {.name = "width",
               .title = N_("Width"),
               .type = FIELD_QUANTITY,
               .unit = UNIT_MILLIMETRE,
               .minimum = 10,
               .maximum = 2000,
               .initial = "80 mm",
               .help = N_("Width on paper")},
    [HEIGHT] = {.name = "height",
                .title = N_("Height"),
                .type = FIELD_QUANTITY,
                .unit = UNIT_MILLIMETRE,
                .minimum = 10,
                .maximum = 2000,
                .initial = "60 mm",
                .help = N_("Height on paper")},
    [AMBIENT] = {.name = "ambient",
                 .title = N_("Air inside"),
                 .type = FIELD_QUANTITY,
                 .unit = UNIT_CELSIUS,
                 .minimum = -60,
                 .maximum = 150,
                 .help = N_("Hottest air in this enclosure in service; empty: as on the sheet")},
    [NOTE] = FIELD_NOTE,
};

static void
terminals(const Device *device, GArray *array)
{
  (void)device;
  (void)array;
}

static void
draw(const Device *device, Pen *pen)
{
  PenStyle style = {.width = PEN_NORMAL, .ink = INK_LINE, .dash = DASH_OUTLINE};
  Rect box = {0, 0, device_number(device, WIDTH, 80), device_number(device, HEIGHT, 60)};
  /* What nobody wrote speaks the language of the sheet. */
  const char *text = device_text(device, LABEL);
  const char *label = device->values[LABEL].is_set ? text : _(text);
  pen_box(pen, box, &style, NULL);
  symbol_text_fit(pen, 2, 4.5, label, SYMBOL_LETTER, box.width - 4, TEXT_START);
}

const PartKind part_outline = {
    .name = "outline",
    .title = N_("Outline"),
    .designation = "ENC",
    .help = N_("Dashed frame round the devices of one enclosure"),
    .group = GROUP_END,
    .role = ROLE_OUTLINE,
    .fields = fields,
    .n_fields = N_FIELDS,
    .terminals = terminals,
    .draw = draw,
};
