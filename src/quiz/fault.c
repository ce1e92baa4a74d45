/* SPDX-License-Identifier: MIT */
#include "quiz/site.h"

#include <string.h>

static const Fault *const tables[] = {faults_supply,   faults_taps,       faults_loads,
                                      faults_control,  faults_protection, faults_conductors,
                                      faults_grounding};

static const char *const topic_words[FAULT_TOPIC_COUNT] = {
    [FAULT_SUPPLY] = "supply",         [FAULT_TAPS] = "taps",
    [FAULT_LOADS] = "loads",           [FAULT_CONTROL] = "control",
    [FAULT_PROTECTION] = "protection", [FAULT_CONDUCTORS] = "conductors",
    [FAULT_GROUNDING] = "grounding",
};

const char *
fault_topic_word(FaultTopic topic)
{
  return topic < FAULT_TOPIC_COUNT ? topic_words[topic] : "";
}

const char *
fault_level_word(FaultLevel level)
{
  static const char *const words[] = {
      [FAULT_EASY] = "easy", [FAULT_MEDIUM] = "medium", [FAULT_HARD] = "hard"};
  return level <= FAULT_HARD ? words[level] : "";
}

const Fault *
fault_at(guint index)
{
  for (gsize t = 0; t < G_N_ELEMENTS(tables); t++)
    for (const Fault *fault = tables[t]; fault->name != NULL; fault++)
      if (index-- == 0)
        return fault;
  return NULL;
}

guint
fault_count(void)
{
  guint count = 0;
  while (fault_at(count) != NULL)
    count++;
  return count;
}

const Fault *
fault_find(const char *name)
{
  const Fault *fault;
  for (guint i = 0; (fault = fault_at(i)) != NULL; i++)
    if (strcmp(fault->name, name) == 0)
      return fault;
  return NULL;
}

static bool
lead_boosts(const Survey *survey, const SurveyCore *core, guint secondary)
{
  for (guint i = 0; i < core->primaries->len; i++) {
    const Winding *winding = survey_winding(survey, g_array_index(core->primaries, guint, i));
    for (guint k = 0; k < winding->leads->len; k++) {
      guint node = survey_lead(winding, k)->node;
      if (survey_hot(survey, node) && survey_same(survey, NET_CLOSED, node, secondary))
        return true;
    }
  }
  return false;
}

static bool
scene_boosts(const Survey *survey)
{
  for (guint node = 1; node < survey->n_nodes; node++) {
    int index = survey->winding_of[node];
    const Winding *winding = index >= 0 ? survey_winding(survey, (guint)index) : NULL;
    if (winding != NULL && winding->secondary &&
        lead_boosts(survey, &survey->cores[winding->core], node))
      return true;
  }
  return false;
}

FaultScene *
fault_scene_new(const Inspection *sound)
{
  FaultScene *scene = g_new0(FaultScene, 1);
  scene->sound = sound;
  scene->document = sound->document;
  scene->context = (CheckContext){
      .document = sound->document,
      .circuit = sound->circuit,
      .solution = sound->solution,
      .closed_circuit = sound->closed_circuit,
      .closed_solution = sound->closed_solution,
      .closed_partly = sound->closed_partly,
      .working_solution = sound->working_solution,
  };
  scene->survey = survey_new(&scene->context);
  scene->boosts = scene_boosts(scene->survey);
  return scene;
}

const Inspection *
fault_scene_sound(const FaultScene *scene)
{
  return scene->sound;
}

void
fault_scene_free(FaultScene *scene)
{
  if (scene == NULL)
    return;
  survey_free(scene->survey);
  g_free(scene);
}

void
fault_place_free(FaultPlace *place)
{
  if (place == NULL)
    return;
  g_free(place->name);
  g_free(place);
}

static FaultSite
site_at(const Fault *fault, const FaultScene *scene, guint first, guint second)
{
  return (FaultSite){.scene = scene,
                     .fault = fault,
                     .first = first,
                     .second = second,
                     .near = SITE_NONE,
                     .far = SITE_NONE,
                     .to = SITE_NONE};
}

/* The place when the fault can be made there, else NULL. */
static FaultPlace *
place_at(const Fault *fault, const FaultScene *scene, guint first, guint second)
{
  FaultSite site = site_at(fault, scene, first, second);
  if (!site_resolve(&site) || (fault->where != NULL && !fault->where(&site)))
    return NULL;
  g_autofree char *name = NULL;
  g_autoptr(Change) change = site_change(&site, &name);
  if (change == NULL || change_is_empty(change))
    return NULL;
  FaultPlace *place = g_new0(FaultPlace, 1);
  *place = (FaultPlace){first, second, g_steal_pointer(&name)};
  return place;
}

/* Names tell places apart: answers, keys and the master's list of intended faults go by them. */
static void
name_apart(GPtrArray *places)
{
  g_autoptr(GHashTable) seen = g_hash_table_new(g_str_hash, g_str_equal); /* name -> how often */
  for (guint i = 0; i < places->len; i++) {
    FaultPlace *place = g_ptr_array_index(places, i);
    guint before = GPOINTER_TO_UINT(g_hash_table_lookup(seen, place->name));
    if (before == 0) {
      g_hash_table_insert(seen, place->name, GUINT_TO_POINTER(1));
      continue;
    }
    const char *plain = place->name;
    gpointer key = NULL;
    g_hash_table_lookup_extended(seen, plain, &key, NULL); /* borrowed from the first of them */
    g_hash_table_insert(seen, key, GUINT_TO_POINTER(before + 1));
    char *name = g_strdup_printf("%s (%u)", plain, before + 1);
    g_free(place->name);
    place->name = name;
  }
}

GPtrArray *
fault_places(const Fault *fault, const FaultScene *scene)
{
  GPtrArray *places = g_ptr_array_new_with_free_func((GDestroyNotify)fault_place_free);
  guint firsts = site_firsts(scene, fault->edit);
  for (guint first = 0; first < firsts; first++) {
    guint seconds = site_seconds(scene, fault->edit, first);
    for (guint second = 0; second < seconds; second++) {
      FaultPlace *place = place_at(fault, scene, first, second);
      if (place == NULL)
        continue;
      g_ptr_array_add(places, place);
      if (site_once(fault->edit))
        break;
    }
  }
  name_apart(places);
  return places;
}

/* The terminal that the row of a device describes: a lead has the name of its own. */
static guint
row_node(const FaultSite *site)
{
  if (site->fault->edit != FAULT_ROW && site->fault->edit != FAULT_ROW_SCALE)
    return SITE_NONE;
  int terminal =
      device_terminal_index(site->device, device_row_text(site->device, site->second, 0));
  return terminal < 0 ? SITE_NONE
                      : circuit_node(site->scene->sound->circuit, site->first, (guint)terminal);
}

bool
fault_place_spot(const Fault *fault, const FaultScene *scene, const FaultPlace *place,
                 FaultSpot *spot)
{
  FaultSite site = site_at(fault, scene, place->first, place->second);
  *spot =
      (FaultSpot){SITE_NONE, SITE_NONE, SITE_NONE, SITE_NONE, {SITE_NONE, SITE_NONE, SITE_NONE}};
  if (!site_resolve(&site))
    return false;
  if (site.conductor != NULL) {
    bool whole = fault->edit == FAULT_CUT || fault->edit == FAULT_RETURN ||
                 fault->edit == FAULT_WIRE || fault->edit == FAULT_COPY_WIRE;
    spot->conductor = place->first;
    spot->other_conductor = fault->edit == FAULT_COPY_WIRE ? place->second : SITE_NONE;
    spot->nodes[0] = site.near;
    spot->nodes[1] = site.to;
    spot->nodes[2] = whole ? site.far : SITE_NONE;
    return true;
  }
  spot->device = place->first;
  spot->other_device = fault->edit == FAULT_COPY_FIELD ? place->second : SITE_NONE;
  /* Devices of two terminals answer questions about them; their fault is the whole device's. */
  bool terminals =
      fault->edit == FAULT_LAND || fault->edit == FAULT_EXCHANGE || fault->edit == FAULT_GROUND;
  spot->nodes[0] = terminals ? site.near : row_node(&site);
  spot->nodes[1] = terminals && fault->edit != FAULT_GROUND ? site.to : SITE_NONE;
  return true;
}

Change *
fault_change(const Fault *fault, const FaultScene *scene, const FaultPlace *place)
{
  FaultSite site = site_at(fault, scene, place->first, place->second);
  if (!site_resolve(&site))
    return NULL;
  Change *change = site_change(&site, NULL);
  if (change != NULL && change_is_empty(change))
    g_clear_pointer(&change, change_free);
  return change;
}

static bool
same_finding(const Finding *a, const Finding *b)
{
  if (strcmp(a->check, b->check) != 0 || a->signal != b->signal || a->places->len != b->places->len)
    return false;
  for (guint i = 0; i < a->places->len; i++)
    if (strcmp(g_ptr_array_index(a->places, i), g_ptr_array_index(b->places, i)) != 0)
      return false;
  return true;
}

bool
fault_is_new(const Inspection *sound, const Finding *finding)
{
  for (guint i = 0; i < sound->findings->len; i++)
    if (same_finding(g_ptr_array_index(sound->findings, i), finding))
      return false;
  return true;
}

bool
fault_is_found(const Fault *fault, const Inspection *sound, const Inspection *faulty)
{
  for (guint i = 0; i < faulty->findings->len; i++) {
    const Finding *finding = g_ptr_array_index(faulty->findings, i);
    if (strcmp(finding->check, fault->check) == 0 && fault_is_new(sound, finding))
      return true;
  }
  return false;
}

bool
fault_is_alone(const Fault *fault, const Inspection *sound, const Inspection *faulty,
               const char **other)
{
  g_auto(GStrv) also = g_strsplit(fault->also != NULL ? fault->also : "", " ", -1);
  for (guint i = 0; i < faulty->findings->len; i++) {
    const Finding *finding = g_ptr_array_index(faulty->findings, i);
    if (finding->signal == SIGNAL_NOTICE || strcmp(finding->check, fault->check) == 0 ||
        g_strv_contains((const char *const *)also, finding->check) || !fault_is_new(sound, finding))
      continue;
    if (other != NULL)
      *other = finding->check;
    return false;
  }
  return true;
}
