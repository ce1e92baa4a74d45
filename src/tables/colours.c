/* SPDX-License-Identifier: MIT */
#include "tables/colours.h"

#include "base/language.h"

#include <string.h>

/* clang-format off: one row a line */
static const struct {
  const char *name, *iec; /* IEC 60757 letters: RD, YE, GN, BU READ, the others from MEMORY */
} colours[COLOUR_COUNT] = {
    [COLOUR_UNKNOWN] = {"", ""},
    [COLOUR_BLACK] = {N_("black"), "BK"},
    [COLOUR_BROWN] = {N_("brown"), "BN"},
    [COLOUR_RED] = {N_("red"), "RD"},
    [COLOUR_ORANGE] = {N_("orange"), "OG"},
    [COLOUR_YELLOW] = {N_("yellow"), "YE"},
    [COLOUR_GREEN] = {N_("green"), "GN"},
    [COLOUR_BLUE] = {N_("blue"), "BU"},
    [COLOUR_VIOLET] = {N_("violet"), "VT"},
    [COLOUR_GREY] = {N_("grey"), "GY"},
    [COLOUR_WHITE] = {N_("white"), "WH"},
    [COLOUR_PINK] = {N_("pink"), "PK"},
    [COLOUR_GOLD] = {N_("gold"), "GD"},
    [COLOUR_TURQUOISE] = {N_("turquoise"), "TQ"},
    [COLOUR_SILVER] = {N_("silver"), "SR"},
    [COLOUR_BARE] = {N_("bare"), ""},
};

/* Other spellings people write. */
static const struct {
  const char *word;
  ColourName colour;
} synonyms[] = {
    {"gray", COLOUR_GREY},
    {"purple", COLOUR_VIOLET},
    {"copper", COLOUR_BARE},
};

static const ColourRule rules[] = {
    {"NEC", N_("grounded conductor 6 AWG and smaller"), "white|grey", "200.6(A)", COLOUR_REQUIRED},
    {"NEC", N_("grounded conductor 4 AWG and larger"), "white|grey", "200.6(B)", COLOUR_REQUIRED},
    {"NEC", N_("white or grey reserved for grounded conductor"), "white|grey", "200.7(A)",
     COLOUR_REQUIRED},
    {"NEC", N_("equipment grounding conductor 6 AWG and smaller"), "bare|green|green/yellow",
     "250.119", COLOUR_REQUIRED},
    {"NEC", N_("equipment grounding conductor 4 AWG and larger"), "green|green/yellow",
     "250.119(A)", COLOUR_REQUIRED},
    {"NEC", N_("green allowed for other uses"), "green", "250.119 Exceptions",
     COLOUR_REQUIRED}, /* MEMORY */
    {"NEC", N_("high leg of 4-wire midpoint-grounded delta"), "orange", "110.15", COLOUR_REQUIRED},
    {N_("practice 208Y/120 and 240 V"), "A", "black", "", COLOUR_PRACTICE},
    {N_("practice 208Y/120 and 240 V"), "B", "red", "", COLOUR_PRACTICE},
    {N_("practice 208Y/120 and 240 V"), "C", "blue", "", COLOUR_PRACTICE},
    {N_("practice 208Y/120 and 240 V"), "N", "white", "", COLOUR_PRACTICE}, /* MEMORY */
    {"practice 480Y/277", "A", "brown", "", COLOUR_PRACTICE},
    {"practice 480Y/277", "B", "orange", "", COLOUR_PRACTICE},
    {"practice 480Y/277", "C", "yellow", "", COLOUR_PRACTICE},
    {"practice 480Y/277", "N", "grey", "", COLOUR_PRACTICE},                    /* MEMORY */
    {N_("practice 240/120 high-leg delta"), "A", "black", "", COLOUR_PRACTICE}, /* MEMORY */
    {N_("practice 240/120 high-leg delta"), N_("B high leg"), "orange", "",
     COLOUR_PRACTICE},                                                          /* MEMORY */
    {N_("practice 240/120 high-leg delta"), "C", "blue", "", COLOUR_PRACTICE},  /* MEMORY */
    {N_("practice 240/120 high-leg delta"), "N", "white", "", COLOUR_PRACTICE}, /* MEMORY */
    {N_("practice 120/240 1ph"), "L1", "black", "", COLOUR_PRACTICE},           /* MEMORY */
    {N_("practice 120/240 1ph"), "L2", "red", "", COLOUR_PRACTICE},             /* MEMORY */
    {N_("practice 120/240 1ph"), "N", "white", "", COLOUR_PRACTICE},            /* MEMORY */
    {N_("Canada (CE Code 4-038)"), "A", "red", N_("CE Code 4-032/4-038"),
     COLOUR_REQUIRED}, /* MEMORY */
    {N_("Canada (CE Code 4-038)"), "B", "black", N_("CE Code 4-032/4-038"),
     COLOUR_REQUIRED}, /* MEMORY */
    {N_("Canada (CE Code 4-038)"), "C", "blue", N_("CE Code 4-032/4-038"),
     COLOUR_REQUIRED}, /* MEMORY */
    {N_("Canada (CE Code 4-038)"), "N", "white|grey", N_("CE Code 4-032/4-038"),
     COLOUR_REQUIRED}, /* MEMORY */
    {"NFPA 79", N_("ungrounded AC or DC at line voltage"), "black", "13.2.4.3(1)", COLOUR_STANDARD},
    {"NFPA 79", N_("ungrounded AC control below line voltage"), "red", "13.2.4.3(2)",
     COLOUR_STANDARD},
    {"NFPA 79", N_("ungrounded DC control"), "blue", "13.2.4.3(3)", COLOUR_STANDARD},
    {"NFPA 79", N_("ungrounded, live with the supply disconnect off"), "orange",
     "13.2.4 with 5.3.5", COLOUR_STANDARD},
    {"NFPA 79", N_("grounded AC"), "white|grey", "13.2.3", COLOUR_STANDARD},
    {"NFPA 79", N_("grounded DC"), "white/blue", "13.2.3.2(1)", COLOUR_STANDARD},
    {"NFPA 79", N_("grounded AC, live with the supply disconnect off"), "white/orange",
     "13.2.3.2(2)", COLOUR_STANDARD},
    {"NFPA 79", N_("equipment grounding (protective) conductor"), "green|green/yellow", "13.2.2",
     COLOUR_STANDARD},
    {"UL 508A", N_("ungrounded, live with the disconnect off"), "yellow|orange", "66.9",
     COLOUR_STANDARD},
    {"UL 508A", N_("grounded AC, live with the disconnect off"), "white/yellow", "66.9",
     COLOUR_STANDARD},
    {N_("NEMA ICS 1"), N_("line, load and motor circuits AC and DC; control-transformer primaries"),
     "black", "7.6", COLOUR_STANDARD},
    {N_("NEMA ICS 1"), N_("AC control"), "red", "7.6", COLOUR_STANDARD},
    {N_("NEMA ICS 1"), N_("DC control"), "blue", "7.6", COLOUR_STANDARD},
    {"IEC 60445 / 60446", "L1", "brown", "6.2", COLOUR_STANDARD},
    {"IEC 60445 / 60446", "L2", "black", "6.2", COLOUR_STANDARD},
    {"IEC 60445 / 60446", "L3", "grey", "6.2", COLOUR_STANDARD},
    {"IEC 60445 / 60446", N_("single phase line"), "brown", "6.2", COLOUR_STANDARD},
    {"IEC 60445 / 60446", N_("N or mid-point"), "blue", "6.2.2", COLOUR_STANDARD},
    {"IEC 60445 / 60446", "PE", "green/yellow", "6.3", COLOUR_STANDARD},
    {"IEC 60445:2017", N_("DC positive"), "red", "6.2", COLOUR_STANDARD},          /* MEMORY */
    {"IEC 60445:2017", N_("DC negative"), "white", "6.2", COLOUR_STANDARD},        /* MEMORY */
    {"IEC 60445:2017", N_("functional earthing"), "pink", "6.3", COLOUR_STANDARD}, /* MEMORY */
    {"IEC 60204-1", N_("AC and DC power"), "black", "13.2.4", COLOUR_STANDARD},    /* MEMORY */
    {"IEC 60204-1", N_("AC control"), "red", "13.2.4", COLOUR_STANDARD},           /* MEMORY */
    {"IEC 60204-1", N_("DC control"), "blue", "13.2.4", COLOUR_STANDARD},          /* MEMORY */
    {"IEC 60204-1", N_("excepted circuits (live with the disconnect off)"), "orange", "13.2.4",
     COLOUR_STANDARD}, /* MEMORY */
    {N_("practice 24 V thermostat cable"), N_("24 V hot (R)"), "red", "",
     COLOUR_PRACTICE}, /* MEMORY */
    {N_("practice 24 V thermostat cable"), N_("common (C)"), "blue", "",
     COLOUR_PRACTICE}, /* MEMORY */
    {N_("practice 24 V thermostat cable"), N_("fan (G)"), "green", "",
     COLOUR_PRACTICE}, /* MEMORY */
    {N_("practice 24 V thermostat cable"), N_("cooling (Y)"), "yellow", "",
     COLOUR_PRACTICE}, /* MEMORY */
    {N_("practice 24 V thermostat cable"), N_("heat (W)"), "white", "",
     COLOUR_PRACTICE}, /* MEMORY */
    {N_("practice 24 V thermostat cable"), N_("reversing valve energised in cooling (O)"), "orange",
     "", COLOUR_PRACTICE}, /* MEMORY */
};
/* clang-format on */

static ColourName
name_of(const char *word, gsize length)
{
  for (int c = COLOUR_BLACK; c < COLOUR_COUNT; c++)
    if ((strlen(colours[c].name) == length &&
         g_ascii_strncasecmp(colours[c].name, word, length) == 0) ||
        (length == 2 && strlen(colours[c].iec) == 2 &&
         g_ascii_strncasecmp(colours[c].iec, word, 2) == 0))
      return (ColourName)c;
  for (gsize i = 0; i < G_N_ELEMENTS(synonyms); i++)
    if (strlen(synonyms[i].word) == length &&
        g_ascii_strncasecmp(synonyms[i].word, word, length) == 0)
      return synonyms[i].colour;
  return COLOUR_UNKNOWN;
}

WireColour
wire_colour_parse(const char *text)
{
  WireColour colour = {COLOUR_UNKNOWN, COLOUR_UNKNOWN};
  const char *at = text != NULL ? text : "";
  bool first = true;
  while (*at != '\0') {
    gsize length = strcspn(at, "/- ");
    ColourName here = length > 0 ? name_of(at, length) : COLOUR_UNKNOWN;
    if (here == COLOUR_UNKNOWN && length == 4 && first) { /* "GNYE" */
      colour.base = name_of(at, 2);
      here = name_of(at + 2, 2);
      first = false;
    }
    if (here != COLOUR_UNKNOWN) { /* "and", "with", "stripe" say nothing more */
      if (first)
        colour.base = here;
      else if (colour.tracer == COLOUR_UNKNOWN)
        colour.tracer = here;
      first = false;
    }
    at += length;
    at += strspn(at, "/- ");
  }
  return colour;
}

const char *
colour_name(ColourName colour)
{
  return colour < COLOUR_COUNT ? colours[colour].name : "";
}

const char *
colour_iec_code(ColourName colour)
{
  return colour < COLOUR_COUNT ? colours[colour].iec : "";
}

bool
wire_colour_is_grounding(WireColour colour)
{
  if (colour.base == COLOUR_BARE)
    return true;
  return colour.base == COLOUR_GREEN &&
         (colour.tracer == COLOUR_UNKNOWN || colour.tracer == COLOUR_YELLOW);
}

bool
wire_colour_is_grounded(WireColour colour)
{
  return colour.base == COLOUR_WHITE || colour.base == COLOUR_GREY;
}

const ColourRule *
colour_rules(guint *n)
{
  *n = G_N_ELEMENTS(rules);
  return rules;
}

const ColourRule *
colour_rule_find(const char *set, const char *role)
{
  for (gsize i = 0; i < G_N_ELEMENTS(rules); i++)
    if (strcmp(rules[i].set, set) == 0 && strcmp(rules[i].role, role) == 0)
      return &rules[i];
  return NULL;
}

char *
wire_colour_text(const char *text)
{
  g_auto(GStrv) words = g_strsplit(text, "/", -1);

  for (guint i = 0; words[i] != NULL; i++) {
    char *word = g_strdup(_(words[i]));
    g_free(words[i]);
    words[i] = word;
  }
  return g_strjoinv("/", words);
}
