/* SPDX-License-Identifier: MIT */
/* The facts behind these sentences: 29 CFR 1910.147 and 1910.333 (lockout, stored energy,
 * verification), NFPA 70E 120 (proving the tester before and after), NFPA 70 250.20, 300.3 and 725
 * (control circuits), ANSI Z535.4 (signal words). The wording is our own. */
#include "sheet/cautions.h"

#include "base/language.h"

#include <math.h>
#include <string.h>

void
caution_free(Caution *caution)
{
  if (caution == NULL)
    return;
  g_free(caution->headline);
  g_ptr_array_unref(caution->paragraphs);
  g_ptr_array_unref(caution->essentials);
  g_free(caution);
}

Caution *
caution_new(const char *name, Signal signal, char *take_headline)
{
  Caution *caution = g_new0(Caution, 1);

  caution->name = name;
  caution->language = language_now();
  caution->signal = signal;
  caution->headline = take_headline;
  caution->paragraphs = g_ptr_array_new_with_free_func(g_free);
  caution->essentials = g_ptr_array_new_with_free_func(g_free);
  return caution;
}

static Caution *
add(GPtrArray *cautions, const char *name, Signal signal, bool key, char *take_headline)
{
  Caution *caution = caution_new(name, signal, take_headline);

  caution->key = key;
  g_ptr_array_add(cautions, caution);
  return caution;
}

static void
say(Caution *caution, char *take_paragraph)
{
  g_ptr_array_add(caution->paragraphs, take_paragraph);
}

/* A paragraph with the circuit's own designations or volts. */
static void
say_essential(Caution *caution, char *take_paragraph)
{
  g_ptr_array_add(caution->essentials, g_strdup(take_paragraph));
  say(caution, take_paragraph);
}

static void
add_not_sound(GPtrArray *cautions, const Inspection *inspection)
{
  if (inspection->error != NULL) {
    Caution *caution = add(cautions, "not-solved", SIGNAL_DANGER, true,
                           g_strdup(_("Do not energize: this circuit could not be solved.")));
    say_essential(caution, g_strdup(inspection->error->message));
    return;
  }
  if (findings_sound(inspection->findings))
    return;
  g_autofree char *counts = facts_finding_counts(inspection);
  const Finding *worst = inspection->findings->pdata[0];
  Caution *caution = add(cautions, "not-sound", worst->signal, true,
                         g_strdup_printf(_("Do not energize as drawn. Findings: %s."), counts));
  say(caution, g_strdup(_("Clear every finding listed on this sheet, then check again.")));
}

static void
add_lockout(GPtrArray *cautions, const Inspection *inspection)
{
  g_autofree char *points = facts_lockout_points(inspection);
  Caution *caution =
      add(cautions, "lockout", SIGNAL_DANGER, true,
          points != NULL ? g_strdup_printf(_("Open and lock out %s before you reach in."), points)
                         : g_strdup(_("Find and lock out every source before you reach in.")));
  if (points == NULL)
    say(caution, g_strdup(_("No disconnect that can be locked is drawn here. The source has to be "
                            "locked at its own panel.")));
  say(caution, g_strdup(_("Your own lock, your own tag, the key in your pocket. A thermostat, a "
                          "control switch or a door interlock is no lockout. Look for a second "
                          "source: control power, a convenience outlet, another unit.")));
}

static void
add_line_side(GPtrArray *cautions, const Inspection *inspection)
{
  g_autoptr(GPtrArray) live = facts_live_when_locked_out(inspection);

  if (live->len == 0)
    return;
  Caution *caution = add(cautions, "line-side", SIGNAL_DANGER, false,
                         g_strdup(_("The line side stays live with the disconnect open.")));
  say(caution, g_strdup(_("Computed volts to ground with everything locked out:")));
  for (guint i = 0; i < live->len; i++)
    say_essential(caution, g_strdup(live->pdata[i]));
}

static void
add_verify(GPtrArray *cautions, const Inspection *inspection)
{
  const double highest = facts_highest_volts(inspection);
  g_autofree char *volts = quantity_display(highest, UNIT_VOLT, 3);
  Caution *caution = add(cautions, "verify", SIGNAL_DANGER, true,
                         g_strdup(_("Prove it dead before you touch it: live, dead, live.")));

  if (highest > 0)
    say_essential(
        caution,
        g_strdup_printf(_("Up to %s is present. Use a contact tester rated for it."), volts));
  else
    say(caution, g_strdup(_("Use a contact tester rated for the supply.")));
  say(caution,
      g_strdup(_("Try the tester on a source you know is live. Test every conductor to every "
                 "other and to ground where you will work. Try the tester on the live "
                 "source again. A proximity tester alone proves nothing.")));
}

/* New string. */
static char *
unused_lead_text(const UnusedLead *lead, const char *ground, const char *common)
{
  if (lead->common == NULL)
    return g_strdup_printf(lead->capped ? _("%s: %s to ground.")
                                        : _("%s: %s to ground; NOT CAPPED."),
                           lead->name, ground);
  return g_strdup_printf(lead->capped ? _("%s: %s to ground, %s to %s.")
                                      : _("%s: %s to ground, %s to %s; NOT CAPPED."),
                         lead->name, ground, common, lead->common);
}

static void
add_unused_leads(GPtrArray *cautions, const Inspection *inspection, const Landings *landings)
{
  g_autoptr(GArray) leads = facts_unused_leads(inspection, landings);
  Caution *caution = NULL;

  for (guint i = 0; i < leads->len; i++) {
    const UnusedLead *lead = &g_array_index(leads, UnusedLead, i);
    const bool live =
        lead->to_ground.state == READING_LIVE || lead->to_common.state == READING_LIVE;
    if (!live)
      continue;
    if (caution == NULL) {
      caution = add(cautions, "unused-leads", SIGNAL_WARNING, true,
                    g_strdup(_("Unused leads are live when the unit is energized.")));
      say(caution, g_strdup(_("Every one needs a cap of its own. Never join two, never cut one "
                              "short of its cap.")));
    }
    g_autofree char *ground = facts_volts(inspection, lead->to_ground);
    g_autofree char *common = facts_volts(inspection, lead->to_common);
    say(caution, unused_lead_text(lead, ground, common));
  }
}

static bool
has_role(const Document *document, PartRole role)
{
  for (guint i = 0; i < document_device_count(document); i++)
    if (document_device(document, i)->kind->role == role)
      return true;
  return false;
}

static char *
names_with_role(const Document *document, PartRole role)
{
  g_autoptr(GPtrArray) names = g_ptr_array_new();

  for (guint i = 0; i < document_device_count(document); i++) {
    const Device *device = document_device(document, i);
    if (device->kind->role == role)
      g_ptr_array_add(names, (gpointer)(guintptr)device_designation(device));
  }
  return facts_join_names(names);
}

static void
add_backfeed(GPtrArray *cautions, const Document *document)
{
  if (!has_role(document, ROLE_TRANSFORMER))
    return;
  g_autofree char *names = names_with_role(document, ROLE_TRANSFORMER);
  Caution *caution = add(cautions, "backfeed", SIGNAL_WARNING, false,
                         g_strdup_printf(_("Backfeed: %s works both ways."), names));
  say(caution,
      g_strdup(_("Volts from any other source on the secondary come out at the primary leads "
                 "at full primary voltage, with the disconnect open. Isolate and lock out "
                 "both sides; never try a load out with a test supply on landed leads.")));
}

static void
add_capacitors(GPtrArray *cautions, const Document *document)
{
  const bool drawn = has_role(document, ROLE_CAPACITOR);
  g_autofree char *names = names_with_role(document, ROLE_CAPACITOR);
  Caution *caution =
      add(cautions, "capacitors", SIGNAL_WARNING, false,
          drawn ? g_strdup_printf(_("Stored charge: %s and any capacitor in the unit."), names)
                : g_strdup(_("Stored charge: capacitors in the unit stay charged.")));
  say(caution, g_strdup(_("After locking out, wait as long as the equipment label says, discharge "
                          "through a bleeder resistor made for it, then measure 0 V across the "
                          "terminals. Treat a capacitor as live until you have.")));
}

/* The line of a high-leg delta that stands about 1.73 times as high above ground as the others. */
static void
add_high_leg(GPtrArray *cautions, const Inspection *inspection)
{
  const GArray *supplies = inspection->circuit->supplies;

  for (guint i = 0; i < supplies->len; i++) {
    const CircuitSupply *supply = circuit_item(supplies, CircuitSupply, i);
    const int special = supply->system.special_line;
    if (supply->system.class_ != SYSTEM_DELTA_HIGH_LEG || special < 0 || special > 2)
      continue;
    const Device *device = document_device(inspection->document, supply->device);
    g_autofree char *volts =
        quantity_display(cabs(supply->system.line_phasor[special]), UNIT_VOLT, 3);
    Caution *caution = add(cautions, "high-leg", SIGNAL_WARNING, true,
                           g_strdup_printf(_("High leg: %s line L%d stands at %s to ground."),
                                           device_designation(device), special + 1, volts));
    say_essential(
        caution,
        g_strdup(_("Mark it orange. Nothing made for 120 V goes between it and the neutral or "
                   "ground.")));
  }
}

static void
add_people(GPtrArray *cautions)
{
  Caution *caution =
      add(cautions, "qualified", SIGNAL_WARNING, false, g_strdup(_("For qualified persons only.")));
  say(caution,
      g_strdup(_("Wiring and measuring live parts call for a licensed electrician or another "
                 "person qualified for this equipment, with arc-flash and shock protection "
                 "chosen for it.")));
  caution = add(cautions, "local-code", SIGNAL_NOTICE, false,
                g_strdup(_("Local code and the makers' instructions come first.")));
  say(caution,
      g_strdup(_("The code adopted at the site, its inspector and the instructions of the "
                 "equipment overrule this sheet. It covers the added electrical circuit only, "
                 "is not an approval, and does not replace hazard labels fixed to the "
                 "equipment.")));
}

static void
add_class_2(GPtrArray *cautions, const Document *document)
{
  for (guint i = 0; i < document_device_count(document); i++) {
    const Device *device = document_device(document, i);
    const Value *flag = device_value_named(device, "class-2");
    if (flag == NULL || flag->choice != 1)
      continue;
    Caution *caution =
        add(cautions, "class-2", SIGNAL_CAUTION, false,
            g_strdup_printf(_("Keep the Class 2 wiring of %s apart."), device_designation(device)));
    say(caution, g_strdup(_("No power conductor in the same cable, raceway or compartment unless a "
                            "barrier or fixed space divides them.")));
  }
}

static gint
compare_cautions(gconstpointer a, gconstpointer b)
{
  const Caution *first = *(Caution *const *)a, *second = *(Caution *const *)b;

  if (first->key != second->key)
    return first->key ? -1 : 1;
  return (int)first->signal - (int)second->signal;
}

GPtrArray *
cautions_new(const Inspection *inspection, const Landings *landings)
{
  GPtrArray *cautions = g_ptr_array_new_with_free_func((GDestroyNotify)caution_free);

  add_not_sound(cautions, inspection);
  add_lockout(cautions, inspection);
  add_verify(cautions, inspection);
  add_line_side(cautions, inspection);
  add_unused_leads(cautions, inspection, landings);
  add_high_leg(cautions, inspection);
  add_backfeed(cautions, inspection->document);
  add_capacitors(cautions, inspection->document);
  add_class_2(cautions, inspection->document);
  add_people(cautions);
  g_ptr_array_sort(cautions, compare_cautions); /* a stable sort */
  return cautions;
}

Caution *
cautions_merge(const GPtrArray *cautions, Signal signal)
{
  Caution *merged = NULL;

  for (guint i = 0; i < cautions->len; i++) {
    const Caution *caution = cautions->pdata[i];
    if (caution->signal != signal)
      continue;
    if (merged == NULL)
      merged = caution_new("merged", signal, g_strdup(caution->headline));
    else
      say(merged, g_strdup(caution->headline));
    for (guint e = 0; e < caution->essentials->len; e++)
      say(merged, g_strdup(caution->essentials->pdata[e]));
  }
  return merged;
}

/* ------------------------------------------------------------------------------------------- */

/* "T1.H1 on FU1.2; T1.H4 on FU2.2", or the leads to cap, of every transformer; NULL: none. Where
 * there are too many for a sentence it names the tables. New string. */
static char *
lead_names(const Inspection *inspection, const Landings *landings, bool unused_wanted)
{
  const Document *document = inspection->document;
  GString *text = g_string_new(NULL);
  guint count = 0;

  for (guint d = 0; d < document_device_count(document); d++) {
    const Device *device = document_device(document, d);
    for (guint t = 0; t < device_terminal_count(device); t++) {
      const Terminal *terminal = device_terminal(device, t);
      bool unused = false;
      if (terminal->row < 0 || device->kind->role != ROLE_TRANSFORMER)
        continue;
      g_autofree char *landed = facts_landed(landings, device, t, &unused, NULL);
      if (unused != unused_wanted || (unused && !terminal->flying))
        continue;
      if (count > 0)
        g_string_append(text, unused ? ", " : "; ");
      if (unused)
        g_string_append_printf(text, "%s.%s", device->id, terminal->name);
      else
        g_string_append_printf(text, _("%s.%s on %s"), device->id, terminal->name, landed);
      count++;
    }
  }
  if (count > FACTS_MOST_NAMES)
    g_string_printf(text, _("%u of them, as the lead tables list them"), count);
  if (count > 0)
    return g_string_free(text, FALSE);
  g_string_free(text, TRUE);
  return NULL;
}

GPtrArray *
cautions_steps(const Inspection *inspection, const Landings *landings)
{
  GPtrArray *steps = g_ptr_array_new_with_free_func(g_free);
  g_autofree char *points = facts_lockout_points(inspection);
  g_autofree char *landed = lead_names(inspection, landings, false);
  g_autofree char *unused = lead_names(inspection, landings, true);

  if (!findings_sound(inspection->findings) || inspection->error != NULL)
    g_ptr_array_add(steps,
                    g_strdup(_("Stop: clear the findings on this sheet and check again before "
                               "any of the steps below.")));
  g_ptr_array_add(steps, g_strdup_printf(_("Shut the unit down. Open, lock and tag %s."),
                                         points != NULL ? points : _("its source")));
  g_ptr_array_add(steps,
                  g_strdup(_("Wait for capacitors. Prove the circuit dead with a tester tried "
                             "on a live source before and after.")));
  g_ptr_array_add(steps, g_strdup(_("Bond the metal frames and the grounded secondary conductor as "
                                    "drawn, first of all.")));
  if (landed != NULL)
    g_ptr_array_add(steps, g_strdup_printf(_("Land the transformer leads: %s."), landed));
  if (unused != NULL)
    g_ptr_array_add(steps, g_strdup_printf(_("Cap each unused lead by itself: %s."), unused));
  g_ptr_array_add(steps,
                  g_strdup(_("Land the rest by the wire schedule. Tighten to the marked torque "
                             "and pull on every conductor.")));
  g_ptr_array_add(steps,
                  g_strdup(_("Still locked out, compare wiring and sheet point by point, count "
                             "tools, close covers.")));
  g_ptr_array_add(steps,
                  g_strdup(_("Remove your own lock and energize, standing clear of the door.")));
  g_ptr_array_add(steps,
                  g_strdup(_("Take the expected readings in the order listed. One outside its "
                             "range: lock out again and find out why.")));
  g_ptr_array_add(steps, g_strdup(_("Write down what you left, sign, and post the sheet inside the "
                                    "door.")));
  return steps;
}
