/* SPDX-License-Identifier: MIT */
/* A transformer from its nameplate: one core, a chain of segments for each winding.
 *
 * Per unit is on the winding's rated volts and the rating. Regulation at power factor 1 gives
 * r from r^2 (1+q^2) + 2 r + 1 - (1+reg)^2 = 0 with q = X/R; impedance gives r = Z / sqrt(1+q^2).
 * Half of r + jx lies in the primaries, half in the secondaries. Between taps V(k-1) and V(k) lies
 * z (V(k)^2 - V(k-1)^2) / VA, so that every tap sees the same per-unit impedance from the common.
 * Secondary turns carry the no-load rise kc (compensation), primary turns do not: fed backwards,
 * such a unit gives less than its nameplate says. */
#include "circuit/build.h"

#include "base/language.h"

#include "tables/transformer_defaults.h"
#include <math.h>
#include <string.h>

/* Flux where the core saturates, the air-core reactance over twice the leakage reactance and its
 * floor, per unit: two-slope curve of the transient literature (from memory). */
#define KNEE 1.2
#define LEAST_AIR_CORE 0.005
/* A core without any exciting current does not exist and has no solution. */
#define LEAST_NO_LOAD_CURRENT 1e-4
#define LEAST_IMPEDANCE 1e-4
/* VA; beyond these a rating is a slip of the keyboard. */
#define LEAST_RATING 0.01
#define MOST_RATING 1e9

typedef struct {
  double rating, rise; /* VA, kc */
  Phasor z;            /* per unit of rated secondary volts */
  Phasor core;         /* g - jb, VA at rated flux */
  double frequency;    /* applied over rated */
  guint core_index;
} Design;

static double
stated(double value, double fallback)
{
  return isfinite(value) && value >= 0 ? value : fallback;
}

/* Resistance that makes full load at power factor 1 fall from 1 + regulation to 1. */
static double
resistance_of_regulation(double regulation, double q)
{
  double a = 1 + q * q, c = 1 - (1 + regulation) * (1 + regulation);
  return (-1 + sqrt(1 - a * c)) / a;
}

/* Open volts that leave rated volts at rated load through an impedance given on open volts. */
static double
rise_of_impedance(double r, double x)
{
  double kc = 1;
  for (int i = 0; i < 60; i++)
    kc = hypot(1 + r * kc * kc, x * kc * kc);
  return isfinite(kc) ? MIN(kc, 2) : 2;
}

static void
design_impedance(Design *design, const StampTransformer *nameplate,
                 const TransformerDefaults *defaults)
{
  double q = isfinite(nameplate->x_over_r) && nameplate->x_over_r > 0 ? nameplate->x_over_r
                                                                      : defaults->x_over_r;
  q = MIN(q, 1000);
  bool compensated = design->rating <= TRANSFORMER_COMPENSATED_UP_TO;
  double rise = MIN(stated(nameplate->no_load_rise, -1), 1);
  double impedance = stated(nameplate->impedance, -1);
  double regulation = stated(nameplate->regulation, -1);
  if (regulation < 0 && impedance >= 0) {
    double r = MIN(MAX(impedance, LEAST_IMPEDANCE), 0.2) / sqrt(1 + q * q);
    double kc = rise >= 0 ? 1 + rise : compensated ? rise_of_impedance(r, q * r) : 1;
    design->rise = kc;
    design->z = CMPLX(r, q * r) * kc * kc;
    return;
  }
  /* An open secondary that stands high falls to rated volts at rated load, or it would be
   * another rating: the rise tells the regulation when nothing else does. */
  if (regulation < 0)
    regulation = rise >= 0 ? rise : defaults->regulation;
  regulation = MIN(MAX(regulation, LEAST_IMPEDANCE), 0.5);
  double r = resistance_of_regulation(regulation, q);
  design->rise = rise >= 0 ? 1 + rise : compensated ? 1 + regulation : 1;
  design->z = CMPLX(r, q * r) * design->rise / (1 + regulation);
}

static Design
design_from_nameplate(Stamp *stamp, const StampTransformer *nameplate)
{
  Design design = {.rating = nameplate->rating, .frequency = nameplate->frequency_ratio};
  if (!(design.rating >= LEAST_RATING && design.rating <= MOST_RATING)) {
    design.rating = TRANSFORMER_ASSUMED_RATING;
    g_autofree char *assumed = number_format(design.rating);
    build_note(stamp, BUILD_NAMEPLATE, SIGNAL_CAUTION,
               g_strdup_printf(
                   _("The transformer's rating is missing or impossible; %s VA is assumed, so its "
                     "loaded volts are a guess."),
                   assumed),
               g_strdup(_("Enter the rating in VA from the nameplate.")));
  }
  if (!(design.frequency >= 0.1 && design.frequency <= 10))
    design.frequency = 1;
  TransformerDefaults defaults = transformer_defaults(design.rating);
  design_impedance(&design, nameplate, &defaults);
  double i0 = isfinite(nameplate->no_load_current) && nameplate->no_load_current > 0
                  ? nameplate->no_load_current
                  : defaults.no_load_current;
  i0 = MIN(MAX(i0, LEAST_NO_LOAD_CURRENT), 1);
  double pf = defaults.no_load_power_factor;
  design.core = CMPLX(design.rating * i0 * pf, -design.rating * i0 * sqrt(1 - pf * pf));
  return design;
}

/* The knee curve must not bend upwards: above it the core takes at least what it took below. */
static void
add_core(Stamp *stamp, Design *design)
{
  double air_core = MAX(2 * cimag(design->z), LEAST_AIR_CORE);
  double extra = design->rating / air_core + cimag(design->core);
  Core core = {.rating = design->rating,
               .excitation_conductance = creal(design->core) * design->frequency,
               .excitation_susceptance = -cimag(design->core) * design->frequency,
               .knee = KNEE,
               .saturated_susceptance = MAX(extra, 0) * design->frequency,
               .owner = {.kind = OWNER_DEVICE, .index = stamp->device}};
  g_array_append_val(stamp->circuit->cores, core);
  design->core_index = stamp->circuit->cores->len - 1;
}

/* ----------------------------------------------------------------------------------- windings */

static gint
compare_sides(const StampLead *one, const StampLead *two)
{
  if (one->secondary != two->secondary)
    return one->secondary ? 1 : -1;
  return (one->winding > two->winding) - (one->winding < two->winding);
}

static gint
compare_leads(gconstpointer a, gconstpointer b)
{
  const StampLead *one = a, *two = b;
  gint side = compare_sides(one, two);
  if (side != 0)
    return side;
  if (one->volts < two->volts || one->volts > two->volts)
    return one->volts < two->volts ? -1 : 1;
  return (one->row > two->row) - (one->row < two->row);
}

/* First lead after the winding that starts here; primaries and secondaries may count alike. */
static guint
winding_end(const StampLead *leads, guint n_leads, guint start)
{
  guint end = start;
  while (end < n_leads && compare_sides(&leads[end], &leads[start]) == 0)
    end++;
  return end;
}

/* Volts of a winding: its highest lead less its common. */
static double
winding_volts(const StampLead *leads, guint n)
{
  return leads[n - 1].volts - leads[0].volts;
}

/* Windings of one side with the same volts are halves made to be put in series or parallel: they
 * share the rating. Windings of different volts can each carry all of it. */
static double
winding_share(const StampLead *leads, guint n_leads, const StampLead *winding, double volts)
{
  guint equal = 0;
  for (guint start = 0, end; start < n_leads; start = end) {
    end = winding_end(leads, n_leads, start);
    double other = winding_volts(leads + start, end - start);
    if (leads[start].secondary == winding->secondary && fabs(other - volts) <= 0.01 * volts)
      equal++;
  }
  return 1.0 / MAX(equal, 1);
}

static guint
lead_node(const Stamp *stamp, const StampLead *lead)
{
  if (stamp->source == NULL)
    return (guint)lead->terminal;
  return circuit_node(stamp->circuit, stamp->device, (guint)lead->terminal);
}

/* Leads of the same volts lie on the same turn. */
static void
add_equal_lead(Stamp *stamp, const StampLead *lead, const StampLead *below)
{
  g_autofree char *volts = number_format(lead->volts);
  build_note(stamp, BUILD_NAMEPLATE, SIGNAL_CAUTION,
             g_strdup_printf(_("Two leads of one winding have the same voltage, %s V: they are "
                               "taken as one tap."),
                             volts),
             g_strdup(_("Enter each lead's volts from the winding's common lead.")));
  stamp_join(stamp, lead->terminal, below->terminal,
             (Join){.role = JOIN_INTERNAL, .closed = true, .owner.part = (guint)MAX(lead->row, 0)});
}

static void
add_winding(Stamp *stamp, const Design *design, const StampLead *leads, guint n, double share)
{
  double kc = design->rise, volts = winding_volts(leads, n);
  double turns_factor = design->frequency;
  Phasor z = design->z / (2 * kc * kc);
  if (leads[0].secondary) {
    /* The exciting current drops a little in the primary; the open secondary is to stand at kc
     * times its nameplate with rated volts on the primary. */
    Phasor flux = 1 / (1 + z * design->core / design->rating);
    turns_factor *= kc / cabs(flux);
    z = design->z / 2;
  }
  for (guint k = 1; k < n; k++) {
    double low = leads[k - 1].volts - leads[0].volts, high = leads[k].volts - leads[0].volts;
    if (high - low <= 1e-6 * volts) {
      add_equal_lead(stamp, &leads[k], &leads[k - 1]);
      continue;
    }
    double per_ohm = (high * high - low * low) / (design->rating * share);
    Segment segment = {.a = lead_node(stamp, &leads[k]),
                       .b = lead_node(stamp, &leads[k - 1]),
                       .core = design->core_index,
                       .turns = (high - low) * turns_factor,
                       .z = CMPLX(creal(z) * per_ohm, cimag(z) * per_ohm * design->frequency),
                       .secondary = leads[0].secondary,
                       .rated_volts = high - low,
                       .rated_amps = design->rating * share / high,
                       .owner = {.kind = OWNER_DEVICE,
                                 .index = stamp->device,
                                 .part = (guint)MAX(leads[k].row, 0)}};
    g_array_append_val(stamp->circuit->segments, segment);
  }
}

/* Copies the leads that can be used and sorts them by winding and volts. */
static GArray *
usable_leads(Stamp *stamp, const StampTransformer *nameplate)
{
  GArray *leads = g_array_new(FALSE, FALSE, sizeof(StampLead));
  for (guint i = 0; i < nameplate->n_leads; i++) {
    const StampLead *lead = &nameplate->leads[i];
    guint node = lead_node(stamp, lead);
    if (node >= stamp->circuit->n_nodes)
      continue;
    if (isfinite(lead->volts) && lead->volts >= 0) {
      g_array_append_val(leads, *lead);
      continue;
    }
    build_note(
        stamp, BUILD_NAMEPLATE, SIGNAL_CAUTION,
        g_strdup(_("A lead has no voltage on the nameplate; it is left out of the circuit.")),
        g_strdup(_("Enter the lead's volts from the winding's common lead; 0 V for the "
                   "common itself.")));
  }
  g_array_sort(leads, compare_leads);
  return leads;
}

static void
note_lonely_winding(Stamp *stamp, const StampLead *lead)
{
  build_note(stamp, BUILD_NAMEPLATE, SIGNAL_CAUTION,
             g_strdup_printf(_("A %s winding has no two leads of different voltage, so it carries "
                               "nothing."),
                             lead->secondary ? _("secondary") : _("primary")),
             g_strdup(_("Enter the common lead with 0 V and every other lead with its volts from "
                        "the common.")));
}

/* Capacitance from each primary to each secondary winding and from a secondary to the core, F.
 * Small units have some tens to some hundreds of picofarads (from memory); it only decides what a
 * high-impedance meter shows on a secondary that floats. */
#define BETWEEN_WINDINGS 200e-12
#define WINDING_TO_CORE 200e-12

/* Half at each end of the primary, whose turns lie along the secondary. */
static void
add_strays(Stamp *stamp, const StampLead *leads, guint n, guint secondary)
{
  guint low = lead_node(stamp, &leads[secondary]);
  for (guint start = 0, end; start < n && !leads[start].secondary; start = end) {
    end = winding_end(leads, n, start);
    const guint ends[2] = {start, end - 1};
    for (int k = 0; k < 2; k++) {
      Stray stray = {.a = lead_node(stamp, &leads[ends[k]]),
                     .b = low,
                     .farads = BETWEEN_WINDINGS / 2,
                     .owner = {.kind = OWNER_DEVICE, .index = stamp->device}};
      g_array_append_val(stamp->circuit->strays, stray);
    }
  }
  Stray core = {.a = low,
                .b = 0,
                .farads = WINDING_TO_CORE,
                .owner = {.kind = OWNER_DEVICE, .index = stamp->device}};
  g_array_append_val(stamp->circuit->strays, core);
}

void
stamp_transformer(Stamp *stamp, const StampTransformer *transformer)
{
  g_autoptr(GArray) sorted = usable_leads(stamp, transformer);
  const StampLead *leads = (const StampLead *)(void *)sorted->data;
  Design design = design_from_nameplate(stamp, transformer);
  bool core_added = false;
  for (guint start = 0, end; start < sorted->len; start = end) {
    end = winding_end(leads, sorted->len, start);
    double volts = winding_volts(leads + start, end - start);
    if (volts <= 0) {
      note_lonely_winding(stamp, &leads[start]);
      for (guint k = start + 1; k < end; k++)
        add_equal_lead(stamp, &leads[k], &leads[k - 1]);
      continue;
    }
    /* A core without windings would be an unknown without equations. */
    if (!core_added)
      add_core(stamp, &design);
    core_added = true;
    double share = winding_share(leads, sorted->len, &leads[start], volts);
    add_winding(stamp, &design, leads + start, end - start, share);
    if (leads[start].secondary)
      add_strays(stamp, leads, sorted->len, start);
  }
}
