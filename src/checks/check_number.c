/* SPDX-License-Identifier: MIT */
/* The sheet as a document: wire numbers, designations, what lies off the paper. */
#include "checks/check_list.h"

#include "base/language.h"
#include "checks/remedy.h"

#include <string.h>

/* A wire number that is not in use: one more than the largest. */
static guint
free_number(const Document *document)
{
  guint most = 100;
  for (guint i = 0; i < document_conductor_count(document); i++) {
    const char *text = conductor_text(document_conductor(document, i), CONDUCTOR_NUMBER);
    char *end = NULL;
    guint64 number = g_ascii_strtoull(text, &end, 10);
    if (end != text && *end == '\0' && number < 1000000)
      most = MAX(most, (guint)number);
  }
  return most + 1;
}

static bool
needs_number(const Survey *survey, guint index, guint *node)
{
  const CheckContext *context = survey->context;
  const Conductor *conductor = document_conductor(context->document, index);
  *node = circuit_node_of_landing(context->circuit, &conductor->from);
  /* Grounding conductors and capped leads are known by what they are. */
  return *conductor_text(conductor, CONDUCTOR_NUMBER) == '\0' && *node < survey->n_nodes &&
         !survey_same(survey, NET_WIRE, *node, 0) &&
         !survey->capped[survey->nets[NET_METAL][*node]];
}

/* The number the rest of the same metal has, else a free one. */
static void
note_numbers(CheckContext *context, const Finding *finding)
{
  const Survey *survey = context->survey;
  guint next = free_number(context->document), node;
  g_autoptr(GHashTable) numbers = g_hash_table_new_full(NULL, NULL, NULL, g_free);
  for (guint i = 0; i < document_conductor_count(context->document); i++) {
    const Conductor *conductor = document_conductor(context->document, i);
    const char *number = conductor_text(conductor, CONDUCTOR_NUMBER);
    node = circuit_node_of_landing(context->circuit, &conductor->from);
    if (*number != '\0' && node < survey->n_nodes)
      g_hash_table_replace(numbers, GUINT_TO_POINTER(survey->nets[NET_METAL][node]),
                           g_strdup(number));
  }
  for (guint i = 0; i < document_conductor_count(context->document); i++) {
    if (!needs_number(survey, i, &node))
      continue;
    gpointer net = GUINT_TO_POINTER(survey->nets[NET_METAL][node]);
    if (!g_hash_table_contains(numbers, net))
      g_hash_table_insert(numbers, net, g_strdup_printf("%u", next++));
    remedy_wire(context, finding, i, "number", g_strdup(g_hash_table_lookup(numbers, net)));
  }
}

void
check_wire_number_missing(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  guint without = 0, n = document_conductor_count(context->document), node;
  const char *first = NULL;
  for (guint i = 0; i < n; i++) {
    if (!needs_number(survey, i, &node))
      continue;
    if (first == NULL)
      first = survey_conductor_name(survey, i);
    without++;
  }
  if (without == 0)
    return;
  Finding *finding = check_report(
      check, context,
      g_strdup_printf(_("%u of %u conductors have no wire number, %s first."), without, n, first),
      g_strdup(_("Number every conductor alike at both ends, and on the sheet.")), first, NULL);
  note_numbers(context, finding);
}

/* Grounding conductors may all be called alike. */
static bool
grounding(const Survey *survey, guint node)
{
  const Terminal *terminal = survey_terminal(survey, node);
  return terminal != NULL && (terminal->role == TERMINAL_FRAME || terminal->role == TERMINAL_EARTH);
}

void
check_wire_number_conflict(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  g_autoptr(GHashTable) seen = g_hash_table_new(g_str_hash, g_str_equal);
  g_autoptr(GHashTable) told = g_hash_table_new(g_str_hash, g_str_equal);
  guint next = free_number(context->document);
  for (guint i = 0; i < document_conductor_count(context->document); i++) {
    const Conductor *conductor = document_conductor(context->document, i);
    const char *number = conductor_text(conductor, CONDUCTOR_NUMBER);
    guint node = circuit_node_of_landing(context->circuit, &conductor->from);
    guint end = circuit_node_of_landing(context->circuit, &conductor->to);
    if (*number == '\0' || node >= survey->n_nodes || grounding(survey, node) ||
        grounding(survey, end))
      continue;
    gpointer other = NULL;
    if (!g_hash_table_lookup_extended(seen, number, NULL, &other)) {
      g_hash_table_insert(seen, (gpointer)number, GUINT_TO_POINTER(node));
      continue;
    }
    guint before = GPOINTER_TO_UINT(other);
    if (survey_same(survey, NET_WIRE, before, node) || !g_hash_table_add(told, (gpointer)number))
      continue;
    g_autofree char *place = g_strdup_printf(_("conductor %s"), number);
    check_report(
        check, context,
        g_strdup_printf(_("Wire number %s is used at %s and at %s, which are not the same "
                          "conductor."),
                        number, survey_node_name(survey, before), survey_node_name(survey, node)),
        g_strdup_printf(_("Give one of them a number of its own, such as %u; %s stays with "
                          "one potential."),
                        next++, number),
        place, NULL);
  }
}

void
check_designation_duplicate(const Check *check, CheckContext *context)
{
  g_autoptr(GHashTable) seen = g_hash_table_new(g_str_hash, g_str_equal);
  for (guint d = 0; d < document_device_count(context->document); d++) {
    const Device *device = document_device(context->document, d);
    const char *designation = device_designation(device);
    /* A contact carries its relay's designation: that is how it is found. */
    if (device->kind->role == ROLE_CONTACT || *designation == '\0')
      continue;
    const Device *other = g_hash_table_lookup(seen, designation);
    if (other == NULL) {
      g_hash_table_insert(seen, (gpointer)designation, (gpointer)device);
      continue;
    }
    g_autofree char *free_id = document_free_id(
        context->document, device->kind->designation != NULL ? device->kind->designation : "X");
    Finding *finding = check_report(
        check, context,
        g_strdup_printf(_("%s and %s are both called %s on the sheet."), other->id, device->id,
                        designation),
        g_strdup_printf(_("Call one of them %s, or another designation that is free."), free_id),
        other->id, device->id, NULL);
    if (device_value_named(device, "designation") != NULL)
      remedy_set(context, finding, d, "designation", g_strdup(free_id));
  }
}

/* Paper in millimetres, portrait; ANSI/ASME Y14.1 and ISO 216. The small label takes the drawing
 * of a letter sheet reduced, so it has the letter's field. */
static Rect
paper_of(const SheetData *sheet)
{
  static const struct {
    const char *name;
    double width, height;
  } papers[] = {
      {"letter", 215.9, 279.4}, {"legal", 215.9, 355.6}, {"tabloid", 279.4, 431.8},
      {"a4", 210, 297},         {"a3", 297, 420},
  };
  g_autofree char *name =
      value_dup_text(&sheet->values[SHEET_PAPER], &sheet_data_fields[SHEET_PAPER]);
  g_autofree char *turned =
      value_dup_text(&sheet->values[SHEET_ORIENTATION], &sheet_data_fields[SHEET_ORIENTATION]);
  Rect paper = {0, 0, papers[0].width, papers[0].height};
  for (gsize i = 0; i < G_N_ELEMENTS(papers); i++)
    if (g_strcmp0(name, papers[i].name) == 0)
      paper = (Rect){0, 0, papers[i].width, papers[i].height};
  if (g_strcmp0(turned, "portrait") != 0)
    paper = (Rect){0, 0, paper.height, paper.width};
  return paper;
}

#define MM(value) survey_show(context->survey, (value), UNIT_MILLIMETRE)

/* Moves a device onto the paper by its terminals, in grid steps, clear of the edge. */
static Point
way_back(const Device *device, Rect paper)
{
  Point low = device->placement.at, high = low;
  for (guint i = 0; i < device_terminal_count(device); i++) {
    Point at = device_terminal_point(device, i);
    low = (Point){MIN(low.x, at.x), MIN(low.y, at.y)};
    high = (Point){MAX(high.x, at.x), MAX(high.y, at.y)};
  }
  const double edge = 10;
  Point by = {0, 0};
  if (high.x > paper.width - edge)
    by.x = paper.width - edge - high.x - GRID_STEP_MM;
  if (low.x + by.x < edge)
    by.x = edge - low.x;
  if (high.y > paper.height - edge)
    by.y = paper.height - edge - high.y - GRID_STEP_MM;
  if (low.y + by.y < edge)
    by.y = edge - low.y;
  return point_snap(by);
}

void
check_device_outside_sheet(const Check *check, CheckContext *context)
{
  Rect paper = paper_of(document_sheet(context->document));
  for (guint d = 0; d < document_device_count(context->document); d++) {
    const Device *device = document_device(context->document, d);
    Point at = device->placement.at;
    bool inside = rect_contains(paper, at);
    for (guint i = 0; i < device_terminal_count(device) && inside; i++) {
      at = device_terminal_point(device, i);
      inside = rect_contains(paper, at);
    }
    if (inside)
      continue;
    Finding *finding = check_report(
        check, context,
        g_strdup_printf(
            _("%s lies off the paper, at %s across and %s down; the paper is %s wide and "
              "%s high. The print spreads over more pages."),
            device->id, MM(at.x), MM(at.y), MM(paper.width), MM(paper.height)),
        g_strdup_printf(_("Move %s onto the sheet, or choose larger paper."), device->id),
        device->id, NULL);
    remedy_move(context, finding, d, way_back(device, paper));
  }
}
