/* SPDX-License-Identifier: MIT */
/* Conductor colours: their names, the two-letter code, and what they may stand for.
 *
 * Source: NFPA 70 200.6, 200.7 (grounded), 250.119 (grounding), 110.15 (high leg); NFPA 79 13.2;
 * NEMA ICS 1; IEC 60445; IEC 60757 (letters). Colours by phase are trade habit, not a rule. */
#pragma once

#include <glib.h>
#include <stdbool.h>

G_BEGIN_DECLS

typedef enum {
  COLOUR_UNKNOWN,
  COLOUR_BLACK,
  COLOUR_BROWN,
  COLOUR_RED,
  COLOUR_ORANGE,
  COLOUR_YELLOW,
  COLOUR_GREEN,
  COLOUR_BLUE,
  COLOUR_VIOLET,
  COLOUR_GREY,
  COLOUR_WHITE,
  COLOUR_PINK,
  COLOUR_GOLD,
  COLOUR_TURQUOISE,
  COLOUR_SILVER,
  COLOUR_BARE,
  COLOUR_COUNT
} ColourName;

typedef struct {
  ColourName base, tracer; /* tracer COLOUR_UNKNOWN: one colour */
} WireColour;

/* Reads "white", "white/blue", "green-and-yellow", "gray", "BK", "GNYE"; letters' case is free. */
WireColour wire_colour_parse(const char *text);
/* "white/blue" in the language of now; what is no known word stays. New string. */
char *wire_colour_text(const char *text);
const char *colour_name(ColourName colour);       /* "black"; "" when unknown */
const char *colour_iec_code(ColourName colour);   /* "BK"; "" when it has none */
bool wire_colour_is_grounding(WireColour colour); /* bare, green, green with yellow */
bool wire_colour_is_grounded(WireColour colour);  /* white, grey, or a stripe on one of them */

typedef enum { COLOUR_REQUIRED, COLOUR_STANDARD, COLOUR_PRACTICE } ColourStrength;
typedef struct {
  const char *set;     /* "NEC", "practice 480Y/277", "NFPA 79" */
  const char *role;    /* "A", "grounded AC" */
  const char *colours; /* alternatives parted by '|', stripe by '/' */
  const char *clause;  /* "" for practice */
  ColourStrength strength;
} ColourRule;
const ColourRule *colour_rules(guint *n);
const ColourRule *colour_rule_find(const char *set, const char *role);

G_END_DECLS
