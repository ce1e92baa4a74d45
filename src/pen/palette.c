/* SPDX-License-Identifier: MIT */
/* The signal colours are sRGB renderings of the safety colours of ANSI Z535.1 (Pantone 186, 152,
 * 109 and 285 class; from memory, darkened where white letters need it). Everything that is text is
 * held to WCAG 2.1 level AA (4.5:1) by tests/pen/test_palette.c. */
#include "pen/pen_cairo.h"

#define HEX(rgb)                                                                                   \
  {                                                                                                \
    ((rgb) >> 16 & 255) / 255.0, ((rgb) >> 8 & 255) / 255.0, ((rgb)&255) / 255.0                   \
  }

static const PenColour inks[PALETTE_COUNT][INK_COUNT] = {
    [PALETTE_LIGHT] =
        {
            [INK_LINE] = HEX(0x1a1a1a),
            [INK_FAINT] = HEX(0x62676d),
            [INK_PAPER] = HEX(0xffffff),
            [INK_ACCENT] = HEX(0x1a5fb4),
            [INK_DANGER] = HEX(0xc8102e),
            [INK_WARNING] = HEX(0xe87722),
            [INK_CAUTION] = HEX(0xffd100),
            [INK_NOTICE] = HEX(0x0067b9),
            [INK_ON_SIGNAL_DARK] = HEX(0xffffff),
            [INK_ON_SIGNAL_LIGHT] = HEX(0x000000),
            [INK_LIVE] = HEX(0xa3107c),
            [INK_COLOUR] = HEX(0x1a1a1a),
        },
    [PALETTE_DARK] =
        {
            [INK_LINE] = HEX(0xeeeeec),
            [INK_FAINT] = HEX(0x9a9fa6),
            [INK_PAPER] = HEX(0x222326),
            [INK_ACCENT] = HEX(0x78aeed),
            [INK_DANGER] = HEX(0xc8102e),
            [INK_WARNING] = HEX(0xf08a3c),
            [INK_CAUTION] = HEX(0xffd84d),
            [INK_NOTICE] = HEX(0x0067b9),
            [INK_ON_SIGNAL_DARK] = HEX(0xffffff),
            [INK_ON_SIGNAL_LIGHT] = HEX(0x000000),
            [INK_LIVE] = HEX(0xff8ad8),
            [INK_COLOUR] = HEX(0xeeeeec),
        },
    [PALETTE_CONTRAST] =
        {
            [INK_LINE] = HEX(0x000000),
            [INK_FAINT] = HEX(0x303030),
            [INK_PAPER] = HEX(0xffffff),
            [INK_ACCENT] = HEX(0x0000b0),
            [INK_DANGER] = HEX(0x9b0000),
            [INK_WARNING] = HEX(0xff8c1a),
            [INK_CAUTION] = HEX(0xffdd00),
            [INK_NOTICE] = HEX(0x003c8f),
            [INK_ON_SIGNAL_DARK] = HEX(0xffffff),
            [INK_ON_SIGNAL_LIGHT] = HEX(0x000000),
            [INK_LIVE] = HEX(0x7a005c),
            [INK_COLOUR] = HEX(0x000000),
        },
    /* Black ink only: a panel whose letters are white is black, the others stay paper. */
    [PALETTE_MONO] =
        {
            [INK_PAPER] = HEX(0xffffff),
            [INK_WARNING] = HEX(0xffffff),
            [INK_CAUTION] = HEX(0xffffff),
            [INK_ON_SIGNAL_DARK] = HEX(0xffffff),
        },
};

PenColour
palette_ink(Palette palette, Ink ink)
{
  g_return_val_if_fail((guint)palette < PALETTE_COUNT && (guint)ink < INK_COUNT,
                       inks[PALETTE_LIGHT][INK_LINE]);
  return inks[palette][ink];
}

PenColour
palette_colour(Palette palette, Ink ink, PenColour given)
{
  if (ink != INK_COLOUR)
    return palette_ink(palette, ink);
  if (palette != PALETTE_MONO)
    return given;
  /* Light insulation stays paper inside its outline, so that a white conductor is told from a
   * black one even by fax. Luma of ITU-R BT.601; the limit puts white and yellow on one side, and
   * grey, orange and green on the other. */
  double luma = 0.299 * given.red + 0.587 * given.green + 0.114 * given.blue;
  return inks[PALETTE_MONO][luma > 0.72 ? INK_PAPER : INK_LINE];
}
