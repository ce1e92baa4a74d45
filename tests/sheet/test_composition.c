/* SPDX-License-Identifier: MIT */
/* Everything a sheet has to hold is there, item by item, on every paper, upright and across, and is
 * true: what each item has to say is worked out here from the document and the solution, not from
 * the sheet's own tables.
 *
 * Label stock carries what one needs at the open door and names the sheet for the rest: cautions,
 * who and where, findings, fuses, every transformer lead, readings at transformers and at what they
 * feed, and the diagram, or every conductor where the diagram does not fit. Wire schedule details,
 * parts, rules, steps, signatures and columns to write in need a table at which one can write. */
#include "sheet_fixture.h"

#include "checks/check.h"
#include "sheet/sheet_private.h"
#include "solve/expected.h"
#include <math.h>

typedef struct {
  const Inspection *inspection;
  const Document *document;
  const Sheet *sheet;
  Pen *record;
  GString *text; /* everything drawn, in order, without any space */
  const char *what;
  bool label;
} View;

/* A text without spaces: wrapping puts them, and takes them away, as it likes. New string. */
static char *
bare(const char *text)
{
  GString *out = g_string_new(NULL);

  for (const char *c = text; *c != '\0'; c = g_utf8_next_char(c)) {
    const gunichar u = g_utf8_get_char(c);
    if (!g_unichar_isspace(u) && u != 0xa0)
      g_string_append_unichar(out, u);
  }
  return g_string_free(out, FALSE);
}

static bool
says(const View *view, const char *text)
{
  g_autofree char *part = bare(text);
  return strstr(view->text->str, part) != NULL;
}

static void
must_say(const View *view, const char *item, const char *text)
{
  if (!says(view, text))
    fail_msg("%s: %s: not there: \"%s\"", view->what, item, text);
}

/* A row stands as its cells side by side, or, where columns are too narrow, as "Column: cell; ...".
 * Cells beginning with "|" are blanks to write in; titles: of the columns. */
static void
must_have_row(const View *view, const char *item, const char *const *titles,
              const char *const *cells, guint n)
{
  g_autoptr(GString) side = g_string_new(cells[0]), list = g_string_new(NULL);

  for (guint i = 1; i < n; i++) {
    const bool blank = cells[i][0] == '|';
    g_string_append(side, blank ? "" : cells[i]);
    if (cells[i][0] != '\0')
      g_string_append_printf(list, "%s%s: %s", list->len > 0 ? "; " : "", titles[i],
                             blank ? "________" : cells[i]);
  }
  g_string_prepend(list, cells[0]);
  if (!says(view, side->str) && !says(view, list->str))
    fail_msg("%s: %s: neither the row \"%s\" nor the list \"%s\"", view->what, item, side->str,
             list->str);
}

/* "2026-11-05" as "5 Nov 2026", which is read the same everywhere. New string. */
static char *
in_letters(const char *date)
{
  static const char *const months[] = {"Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                       "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};
  g_auto(GStrv) parts = g_strsplit(date, "-", -1);

  if (g_strv_length(parts) != 3 || strlen(parts[0]) != 4)
    return g_strdup(date);
  const guint64 month = g_ascii_strtoull(parts[1], NULL, 10);
  assert_true(month >= 1 && month <= 12);
  return g_strdup_printf("%u %s %s", (guint)g_ascii_strtoull(parts[2], NULL, 10), months[month - 1],
                         parts[0]);
}

/* --- the title block, the line of the check, the digest --- */

static const char *
dash(const Value *value)
{
  return value->has_value && value->text != NULL && value->text[0] != '\0' ? value->text : "-";
}

static void
check_title_block(const View *view)
{
  const SheetData *data = document_sheet(view->document);
  const struct {
    const char *caption, *label_caption;
    const Value *value;
  } cells[] = {{"Equipment", "", &data->equipment[EQUIPMENT_TAG]},
               {"Location", "Place", &data->equipment[EQUIPMENT_LOCATION]},
               {"Drawing", "Drawing", &data->values[SHEET_TITLE]},
               {"Sheet", "Number", &data->values[SHEET_NUMBER]},
               {"Drawn by", "Drawn", &data->values[SHEET_AUTHOR]}};

  for (guint i = 0; i < G_N_ELEMENTS(cells); i++) {
    g_autofree char *cell = g_strconcat(view->label ? cells[i].label_caption : cells[i].caption,
                                        dash(cells[i].value), NULL);
    g_autofree char *listed =
        g_strconcat(cells[i].label_caption, "Says: ", dash(cells[i].value), NULL);
    if (!view->label || !says(view, listed))
      must_say(view, "title block", cell);
  }
  const char *revision = dash(&data->values[SHEET_REVISION]);
  g_autofree char *wide = g_strconcat("Revision", revision, NULL);
  g_autofree char *narrow = g_strconcat("Rev.", revision, NULL);
  g_autofree char *label = g_strconcat("rev. ", revision, NULL);
  if (!says(view, wide) && !says(view, narrow))
    must_say(view, "revision", view->label ? label : wide);
  g_autofree char *date = in_letters(dash(&data->values[SHEET_DATE]));
  must_say(view, "date of drawing", date);
}

static void
check_proof(const View *view)
{
  g_autoptr(GBytes) bytes = document_write_memory(view->document);
  g_autofree char *sum = g_compute_checksum_for_bytes(G_CHECKSUM_SHA256, bytes);
  guint counts[4] = {0};
  g_autoptr(GString) found = g_string_new(NULL);

  sum[12] = '\0';
  for (guint i = 0; i < view->inspection->findings->len; i++)
    counts[((const Finding *)view->inspection->findings->pdata[i])->signal]++;
  for (int s = SIGNAL_DANGER; s <= SIGNAL_NOTICE; s++)
    if (counts[s] > 0)
      g_string_append_printf(found, "%s%u %s", found->len > 0 ? ", " : "", counts[s],
                             signal_word((Signal)s));
  g_autofree char *line =
      g_strdup_printf("Checked on 25 Nov 2026 by Doorsheet %s; not an approval. Findings: %s. File "
                      "digest %s.",
                      DOORSHEET_VERSION, found->len > 0 ? found->str : "none", sum);
  must_say(view, "line of the check", line);
}

static void
check_findings(const View *view)
{
  for (guint i = 0; i < view->inspection->findings->len; i++) {
    const Finding *finding = view->inspection->findings->pdata[i];
    must_say(view, "finding", finding->title);
    if (view->label)
      continue;
    must_say(view, "finding", finding->message);
    must_say(view, "remedy", finding->remedy);
    for (guint p = 0; p < finding->places->len; p++)
      must_say(view, "place of a finding", finding->places->pdata[p]);
  }
}

/* --- the diagram and its legend --- */

static bool
has_group(const View *view, const char *id)
{
  const GArray *items = pen_record_items(view->record);

  for (guint i = 0; i < items->len; i++) {
    const RecordItem *item = &g_array_index(items, RecordItem, i);
    if (item->kind == RECORD_GROUP && g_strcmp0(item->text, id) == 0 &&
        !rect_is_empty(item->bounds))
      return true;
  }
  return false;
}

static void
check_diagram(const View *view)
{
  if (!view->sheet->has_figure) { /* a label: every conductor is listed instead */
    assert_true(view->label);
    must_say(view, "diagram", "Connections, from the supply on");
    return;
  }
  for (guint i = 0; i < document_device_count(view->document); i++) {
    const Device *device = document_device(view->document, i);
    g_autofree char *id = g_strconcat("device-", device->id, NULL);
    if (!has_group(view, id))
      fail_msg("%s: %s is not drawn", view->what, device->id);
    must_say(view, "designation", device_designation(device));
  }
  for (guint i = 0; i < document_conductor_count(view->document); i++) {
    const Conductor *c = document_conductor(view->document, i);
    g_autofree char *id = g_strdup_printf("conductor-%s.%s-%s.%s", c->from.device, c->from.terminal,
                                          c->to.device, c->to.terminal);
    if (!has_group(view, id))
      fail_msg("%s: %s is not drawn", view->what, id);
  }
  if (!view->label)
    must_say(view, "scale", view->sheet->scale_text);
}

static void
check_legend(const View *view)
{
  bool field = false, factory = false;

  if (view->label)
    return;
  must_say(view, "legend", "Legend");
  for (guint i = 0; i < document_conductor_count(view->document); i++) {
    const Conductor *conductor = document_conductor(view->document, i);
    const bool is_field = conductor->values[CONDUCTOR_WIRING].choice == 1;
    field |= is_field;
    factory |= !is_field;
    must_say(view, "legend", conductor_text(conductor, CONDUCTOR_COLOUR));
  }
  if (field)
    must_say(view, "legend", "field wiring");
  if (factory)
    must_say(view, "legend", "factory wiring");
}

/* --- wires, leads, parts, readings --- */

static char *
volts_text(const View *view, Reading reading)
{
  if (view->inspection->solution == NULL)
    return g_strdup("not solved");
  if (reading.state == READING_FLOATING || reading.state == READING_UNDEFINED)
    return g_strdup(reading_state_word(reading.state));
  const double volts = cabs(reading.volts);
  if (reading.state == READING_DEAD || volts < 0.05)
    return g_strdup("0 V");
  return quantity_display(volts, UNIT_VOLT, volts < 100 ? 3 : 4);
}

static char *
ground_text(const View *view, const Landing *at)
{
  const Inspection *inspection = view->inspection;
  Reading reading = {.state = READING_UNDEFINED};

  if (inspection->solution != NULL)
    reading =
        solution_to_earth(inspection->solution, circuit_node_of_landing(inspection->circuit, at));
  return volts_text(view, reading);
}

static char *
wire_amps(const View *view, guint conductor)
{
  const Inspection *inspection = view->inspection;
  double amps = NAN;

  for (guint i = 0; inspection->solution != NULL && i < inspection->circuit->joins->len; i++) {
    const Join *join = circuit_item(inspection->circuit->joins, Join, i);
    if (join->owner.kind == OWNER_CONDUCTOR && join->owner.index == conductor)
      amps = cabs(inspection->solution->join_amps[i]);
  }
  for (guint i = 0; inspection->solution != NULL && i < inspection->circuit->impedances->len; i++) {
    const Impedance *z = circuit_item(inspection->circuit->impedances, Impedance, i);
    if (z->owner.kind == OWNER_CONDUCTOR && z->owner.index == conductor)
      amps = cabs(inspection->solution->impedance_amps[i]);
  }
  if (isnan(amps) || isinf(amps))
    return g_strdup(isnan(amps) ? "not solved" : "short circuit");
  return amps < 0.0005 ? g_strdup("0 A") : quantity_display(amps, UNIT_AMPERE, 3);
}

static void
check_wires(const View *view)
{
  static const char *const titles[] = {"Wire", "Colour", "Size",      "Length", "From",
                                       "To",   "Wiring", "To ground", "Amperes"};

  for (guint i = 0; i < document_conductor_count(view->document); i++) {
    const Conductor *c = document_conductor(view->document, i);
    const Value *gauge = &c->values[CONDUCTOR_GAUGE];
    const Units units = view->sheet->frame.units;
    g_autofree char *size = gauge->has_value ? units_size(gauge->low, units) : g_strdup("");
    g_autofree char *length = units_length(&c->values[CONDUCTOR_LENGTH], units);
    g_autofree char *from = landing_dup_name(&c->from), *to = landing_dup_name(&c->to);
    g_autofree char *volts = ground_text(view, &c->from), *amps = wire_amps(view, i);
    const char *wiring = c->values[CONDUCTOR_WIRING].choice == 1 ? "field" : "factory";
    const char *number = conductor_text(c, CONDUCTOR_NUMBER);
    const char *const cells[] = {
        number, conductor_text(c, CONDUCTOR_COLOUR), size, length, from, to, wiring, volts, amps};
    if (!view->label)
      must_have_row(view, "wire schedule", titles, cells, G_N_ELEMENTS(cells));
    else if (!view->sheet->has_figure) {
      g_autofree char *on = g_strconcat(number, from, to, volts, NULL);
      g_autofree char *back = g_strconcat(number, to, from, NULL);
      g_autofree char *listed = g_strdup_printf("%sFrom: %s; To: %s", number, from, to);
      g_autofree char *turned = g_strdup_printf("%sFrom: %s; To: %s", number, to, from);
      if (!says(view, on) && !says(view, back) && !says(view, listed) && !says(view, turned))
        must_say(view, "connections", on);
    }
  }
}

/* Where a lead goes, by the conductors of the document. */
static char *
landed_text(const View *view, const Device *device, const char *terminal, bool flying)
{
  g_autoptr(GString) text = g_string_new(NULL);

  for (guint i = 0; i < document_conductor_count(view->document); i++) {
    const Conductor *c = document_conductor(view->document, i);
    for (int end = 0; end < 2; end++) {
      const Landing *here = end == 0 ? &c->from : &c->to, *there = end == 0 ? &c->to : &c->from;
      const Device *other = document_find_device(view->document, there->device);
      if (strcmp(here->device, device->id) != 0 || strcmp(here->terminal, terminal) != 0)
        continue;
      g_string_append(text, text->len > 0 ? "; " : "");
      if (other->kind->role == ROLE_CAP)
        g_string_append_printf(text, "capped (%s)", there->device);
      else
        g_string_append_printf(text, "%s.%s, wire %s", there->device, there->terminal,
                               conductor_text(c, CONDUCTOR_NUMBER));
    }
  }
  g_string_replace(text, ", wire ;", ";", 0);
  if (g_str_has_suffix(text->str, ", wire "))
    g_string_truncate(text, text->len - strlen(", wire "));
  if (text->len == 0)
    g_string_append(text, flying ? "NOT LANDED, NOT CAPPED" : "not landed");
  return g_strdup(text->str);
}

static guint
check_leads(const View *view)
{
  static const char *const titles[] = {"Lead", "Colour", "Landed", "To ground"};
  guint leads = 0;

  for (guint d = 0; d < document_device_count(view->document); d++) {
    const Device *device = document_device(view->document, d);
    const int colour = field_index(device->kind->row_fields, device->kind->n_row_fields, "colour");
    if (device->kind->role != ROLE_TRANSFORMER)
      continue;
    for (guint t = 0; t < device_terminal_count(device); t++) {
      const Terminal *terminal = device_terminal(device, t);
      if (terminal->row < 0)
        continue;
      const Landing at = {device->id, (char *)(guintptr)terminal->name};
      g_autofree char *landed = landed_text(view, device, terminal->name, terminal->flying);
      g_autofree char *volts = ground_text(view, &at);
      const char *const cells[] = {
          terminal->name,
          colour >= 0 ? device_row_text(device, (guint)terminal->row, (guint)colour) : "", landed,
          volts};
      must_have_row(view, "lead table", titles, cells, G_N_ELEMENTS(cells));
      leads++;
    }
  }
  return leads;
}

static void
check_parts(const View *view)
{
  for (guint d = 0; !view->label && d < document_device_count(view->document); d++) {
    const Device *device = document_device(view->document, d);
    const PartRole role = device->kind->role;
    if (role == ROLE_OUTLINE)
      continue;
    if (role == ROLE_CAP || role == ROLE_SPLICE || role == ROLE_GROUND || role == ROLE_TEST_POINT) {
      must_say(view, "parts list", device->kind->title);
      continue;
    }
    g_autofree char *rating =
        device->kind->rating_text != NULL ? device->kind->rating_text(device) : NULL;
    g_autofree char *shown = units_rating(rating, view->sheet->frame.units);
    g_autofree char *row = g_strdup_printf("%s%s%s1", device_designation(device),
                                           device->kind->title, shown != NULL ? shown : "");
    g_autofree char *list =
        g_strdup_printf("%sPart: %s", device_designation(device), device->kind->title);
    if (!says(view, list))
      must_say(view, "parts list", row);
  }
}

/* What protects says how much it may carry, what is protected says by which rule. */
static void
check_protection(const View *view)
{
  bool sized = false;

  for (guint i = 0; i < view->inspection->circuit->joins->len; i++) {
    const Join *join = circuit_item(view->inspection->circuit->joins, Join, i);
    if ((join->role != JOIN_FUSE && join->role != JOIN_BREAKER) || join->rated_amps <= 0)
      continue;
    const Device *device = document_device(view->document, join->owner.index);
    g_autofree char *rating = device->kind->rating_text(device);
    g_autofree char *row = g_strconcat(device_designation(device), rating, NULL);
    g_autofree char *most = quantity_display(0.8 * join->rated_amps, UNIT_AMPERE, 3);
    g_autofree char *limit = g_strconcat("continuous load up to ", most, "210.20(A), 215.3", NULL);
    g_autofree char *list = g_strconcat(device_designation(device), "Rating: ", rating, NULL);
    if (!says(view, list))
      must_say(view, "protection", row);
    if (!view->label && !says(view, list))
      must_say(view, "rule of a protective device", limit);
  }
  for (guint i = 0; i < document_conductor_count(view->document); i++)
    sized |= document_conductor(view->document, i)->values[CONDUCTOR_GAUGE].has_value;
  if (!view->label && view->inspection->circuit->cores->len > 0)
    must_say(view, "rule of a transformer", "450.3(B)");
  if (!view->label && sized)
    must_say(view, "rule of conductors", "310.16");
}

/* At transformers and at what they feed. */
static bool
on_label(const View *view, const ExpectedReading *reading)
{
  const NodePlace *place = &view->inspection->circuit->places[reading->a];

  if (place->device == G_MAXUINT)
    return false;
  const PartRole role = document_device(view->document, place->device)->kind->role;
  return role == ROLE_TRANSFORMER || role == ROLE_LOAD || role == ROLE_MOTOR ||
         role == ROLE_RECEPTACLE;
}

static guint
check_readings(const View *view, const GArray *readings)
{
  static const char *const titles[] = {"Between",  "Expected", "Range",
                                       "As found", "As left",  "What it is"};
  guint n = 0;

  for (guint i = 0; readings != NULL && i < readings->len; i++) {
    const ExpectedReading *r = &g_array_index(readings, ExpectedReading, i);
    if (view->label && !on_label(view, r))
      continue;
    n++;
    const int digits = r->volts < 100 ? 3 : 4;
    const bool live = r->state == READING_LIVE;
    g_autofree char *between = g_strdup_printf("%s%s%s to %s", r->point != NULL ? r->point : "",
                                               r->point != NULL ? ": " : "", r->a_name, r->b_name);
    g_autofree char *shown =
        live && r->high >= EXPECTED_ZERO_VOLTS
            ? expected_reading_text(r, digits)
            : g_strdup(live || r->state == READING_DEAD ? "0 V" : reading_state_word(r->state));
    g_autofree char *range = live ? expected_reading_range_text(r, digits) : g_strdup("");
    g_autofree char *found = NULL;
    for (guint m = 0; m < document_measured_count(view->document); m++) {
      const Measured *measured = document_measured(view->document, m);
      const char *noted = measured->values[MEASURED_DATE].text;
      g_autofree char *day = in_letters(noted != NULL ? noted : "");
      g_autofree char *a = landing_dup_name(&measured->a), *b = landing_dup_name(&measured->b);
      if (!measured->values[MEASURED_VALUE].has_value ||
          measured_state(measured) != MEASURED_ENERGIZED || strcmp(a, r->a_name) != 0 ||
          strcmp(b, r->b_name) != 0)
        continue;
      g_autofree char *value =
          value_dup_text(&measured->values[MEASURED_VALUE], &measured_fields[MEASURED_VALUE]);
      found = *day != '\0' ? g_strdup_printf("%s (%s)", value, day) : g_strdup(value);
    }
    const char *const cells[] = {between, shown,     range, found != NULL ? found : "|",
                                 "|",     r->purpose};
    must_have_row(view, "expected readings", titles, cells, view->label ? 3 : G_N_ELEMENTS(cells));
  }
  return n;
}

/* --- cautions, steps, signatures --- */

/* Whether a word is the end of the wrapped heading "Findings: 3 CAUTION, 1 NOTICE". */
static bool
in_heading(const GArray *items, guint i)
{
  const RecordItem *before = &g_array_index(items, RecordItem, i - 1);
  return before->kind == RECORD_TEXT && g_str_has_prefix(before->text, "Findings:");
}

/* Each word stands in a filled band that is as wide as its panel; the three of injury have a
 * triangle beside them (ANSI Z535.4). */
static void
check_panels(const View *view)
{
  const GArray *items = pen_record_items(view->record);
  guint seen[4] = {0};

  for (guint i = 0; i < items->len; i++) {
    const RecordItem *item = &g_array_index(items, RecordItem, i);
    bool band = false, triangle = false;
    if (item->kind != RECORD_TEXT || item->height < view->sheet->frame.lettering.heading - 0.01)
      continue;
    for (int s = SIGNAL_DANGER; s <= SIGNAL_NOTICE; s++) {
      if (strcmp(item->text, signal_word((Signal)s)) != 0 || in_heading(items, i))
        continue;
      for (guint k = 0; k < i; k++) {
        const RecordItem *shape = &g_array_index(items, RecordItem, k);
        if (shape->kind != RECORD_LINE || !shape->filled || shape->page != item->page)
          continue;
        band |= rect_holds(rect_grow(shape->bounds, 1), item->bounds) && shape->bounds.width > 40 &&
                shape->bounds.height < 4 * item->height;
        triangle |= shape->points->len == 4 && shape->bounds.x < item->bounds.x &&
                    item->bounds.x - shape->bounds.x < 12 &&
                    ABS(shape->bounds.y - item->bounds.y) < item->height;
      }
      if (!band || triangle != (s != SIGNAL_NOTICE))
        fail_msg("%s: %s has %s band and %s triangle", view->what, item->text, band ? "a" : "no",
                 triangle ? "a" : "no");
      seen[s]++;
    }
  }
  assert_true(seen[SIGNAL_DANGER] > 0 && seen[SIGNAL_WARNING] > 0 && seen[SIGNAL_NOTICE] > 0);
}

static void
check_steps(const View *view)
{
  static const char *const order[] = {"Orderofwork",
                                      "locktag|lockandtag",
                                      "Provethecircuitdead",
                                      "Landthetransformerleads",
                                      "Stilllockedout",
                                      "Removeyourownlockandenergize",
                                      "Taketheexpectedreadings",
                                      "Writedownwhatyouleft"};
  const char *at = strstr(view->text->str, "Orderofwork");

  if (view->label)
    return;
  assert_non_null(at);
  for (guint i = 1; i < G_N_ELEMENTS(order); i++) {
    g_auto(GStrv) either = g_strsplit(order[i], "|", -1);
    const char *found = NULL;
    for (guint k = 0; either[k] != NULL && found == NULL; k++)
      found = strstr(at, either[k]);
    if (found == NULL && strstr(order[i], "transformer") != NULL &&
        view->inspection->circuit->cores->len == 0)
      continue;
    if (found == NULL)
      fail_msg("%s: step \"%s\" is missing or out of order", view->what, order[i]);
    at = found;
  }
  must_say(view, "signatures", "Signed offNameDateInstalled byMeasured byAccepted by");
}

/* --- references between sheets --- */

static const RecordItem *
find_text(const View *view, guint page, const char *text)
{
  const GArray *items = pen_record_items(view->record);

  for (guint i = 0; i < items->len; i++) {
    const RecordItem *item = &g_array_index(items, RecordItem, i);
    if (item->kind == RECORD_TEXT && item->page == page && g_str_has_prefix(item->text, text))
      return item;
  }
  return NULL;
}

/* "103 to 3/B1": page 3 has "103 to <this page>/...", and in or beside zone B1, by the letters and
 * figures on its border. */
static guint
check_references(const View *view)
{
  const GArray *items = pen_record_items(view->record);
  guint references = 0;

  for (guint i = 0; i < items->len; i++) {
    const RecordItem *item = &g_array_index(items, RecordItem, i);
    const char *to = item->kind == RECORD_TEXT ? g_strrstr(item->text, " to ") : NULL;
    char *end = NULL;
    const guint64 page = to != NULL ? g_ascii_strtoull(to + 4, &end, 10) : 0;
    if (page == 0 || *end != '/' || !g_ascii_isalpha(end[1]) || end[2] == '\0' ||
        strspn(end + 2, "0123456789") != strlen(end + 2))
      continue;
    g_autofree char *name = g_strndup(item->text, (gsize)(to - item->text));
    g_autofree char *back = g_strdup_printf("%s to %u/", name, item->page + 1);
    assert_true(page <= sheet_page_count(view->sheet));
    const RecordItem *other = find_text(view, (guint)page - 1, back);
    if (other == NULL)
      fail_msg("%s: page %u: \"%s\" has no answer", view->what, item->page + 1, item->text);
    g_autofree char *letter = g_strndup(end + 1, 1);
    const RecordItem *row = find_text(view, (guint)page - 1, letter);
    assert_non_null(row);
    references++;
  }
  return references;
}

/* Every device of a part is drawn on the page the first page names. */
static void
check_parts_of_diagram(const View *view)
{
  for (guint d = 0; view->sheet->tiling != NULL && d < document_device_count(view->document); d++) {
    const Device *device = document_device(view->document, d);
    g_autofree char *id = g_strconcat("device-", device->id, NULL);
    const GArray *items = pen_record_items(view->record);
    if (device->kind->role == ROLE_OUTLINE || tiling_splits(view->sheet->tiling, device))
      continue;
    const guint page = tiling_part_of_device(view->sheet->tiling, device) + 1;
    bool drawn = false;
    for (guint i = 0; i < items->len; i++) {
      const RecordItem *item = &g_array_index(items, RecordItem, i);
      drawn |= item->kind == RECORD_GROUP && g_strcmp0(item->text, id) == 0 && item->page == page &&
               !rect_is_empty(item->bounds);
    }
    if (!drawn)
      fail_msg("%s: %s is not on page %u", view->what, id, page + 1);
  }
}

/* --- all of it --- */

typedef struct {
  guint sheets, leads, readings, references;
} Counts;

static void
check_sheet(const Inspection *inspection, const GArray *readings, const char *paper,
            const char *what, Counts *counts)
{
  const SheetOptions options = {.paper = paper, .language = "en", .date = "2026-11-25"};
  g_autoptr(GError) error = NULL;
  g_autoptr(Sheet) sheet = sheet_compose(inspection, &options, &error);
  if (sheet == NULL)
    fail_msg("%s: %s", what, error->message);
  g_autoptr(Pen) record = fixture_record(sheet);
  g_autoptr(GString) text = g_string_new(NULL);

  for (guint i = 0; i < pen_record_items(record)->len; i++) {
    const RecordItem *item = &g_array_index(pen_record_items(record), RecordItem, i);
    if (item->kind != RECORD_TEXT)
      continue;
    g_autofree char *plain = bare(item->text);
    g_string_append(text, plain);
  }
  const View view = {inspection, inspection->document, sheet, record, text,
                     what,       sheet->frame.label};
  check_title_block(&view);
  check_proof(&view);
  check_findings(&view);
  check_diagram(&view);
  check_legend(&view);
  check_wires(&view);
  counts->leads += check_leads(&view);
  check_parts(&view);
  check_protection(&view);
  counts->readings += check_readings(&view, readings);
  check_panels(&view);
  check_steps(&view);
  counts->references += check_references(&view);
  check_parts_of_diagram(&view);
  counts->sheets++;
}

static void
check_document(Document *document, const char *name, Counts *counts)
{
  static const char *const orientations[] = {"landscape", "portrait"};

  for (guint o = 0; o < G_N_ELEMENTS(orientations); o++) {
    g_autoptr(GError) error = NULL;
    Change *change = edit_set_sheet_field(document, false, "orientation", orientations[o], &error);
    if (change == NULL || !document_apply(document, change, &error))
      fail_msg("%s", error->message);
    g_autoptr(Inspection) inspection = inspection_new(document);
    g_autoptr(GArray) readings =
        inspection->solution != NULL
            ? expected_readings(inspection->circuit, inspection->solution, NULL, NULL)
            : NULL;
    for (const Paper *paper = sheet_papers; paper->name != NULL; paper++) {
      g_autofree char *what = g_strdup_printf("%s on %s %s", name, paper->name, orientations[o]);
      check_sheet(inspection, readings, paper->name, what, counts);
    }
  }
}

static void
test_every_item(void **state)
{
  g_autoptr(GPtrArray) paths = fixture_all_paths();
  Counts counts = {0};
  (void)state;

  fixture_add_paths(paths, "tests/data/sound");
  for (guint i = 0; i < paths->len; i++) {
    g_autoptr(Document) document = fixture_read(paths->pdata[i]);
    g_autofree char *name = g_path_get_basename(paths->pdata[i]);
    check_document(document, name, &counts);
  }
  print_message("%u sheets: %u leads, %u readings, %u references\n", counts.sheets, counts.leads,
                counts.readings, counts.references);
  assert_int_equal(counts.sheets, paths->len * 12);
  assert_true(counts.leads > 1000 && counts.readings > 5000 && counts.references > 200);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_every_item),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
