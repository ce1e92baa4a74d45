/* SPDX-License-Identifier: MIT */
#include "handout/key.h"

#include "base/language.h"
#include "base/text.h"
#include "figure/figure.h"
#include "handout/layout.h"
#include "sheet/block.h"
#include "sheet/contents.h"

#include <string.h>

#define MARK_RADIUS 3.2 /* mm: room for two digits of the normal lettering */
#define MARK_AWAY 7.0   /* mm from the place, up and to the left */

/* --- where the marks go --- */

static bool
conductor_point(const Document *document, const Conductor *conductor, Point *at)
{
  g_autoptr(GArray) route = figure_route(document, conductor);
  double best = -1;

  /* The middle of the longest stretch, where there is most room. */
  for (guint i = 1; i < route->len; i++) {
    const Point a = g_array_index(route, Point, i - 1), b = g_array_index(route, Point, i);
    const double length = ABS(b.x - a.x) + ABS(b.y - a.y);
    if (length <= best)
      continue;
    best = length;
    *at = (Point){(a.x + b.x) / 2, (a.y + b.y) / 2};
  }
  return best >= 0;
}

/* Cuts "conductor 202 (2) as 103" down to "conductor 202" and says which of that name it is, from
 * 1 (quiz/site.h makes such names). */
static guint
bare_name(char *name)
{
  char *as = strstr(name, " as ");
  guint64 which = 1;

  if (as != NULL)
    *as = '\0';
  char *bracket = strrchr(name, '(');
  if (bracket == NULL || bracket == name || !g_str_has_suffix(bracket, ")"))
    return 1;
  which = g_ascii_strtoull(bracket + 1, NULL, 10);
  bracket[-1] = '\0';
  return (guint)CLAMP(which, 1, G_MAXUINT16);
}

static bool
conductor_named(const Document *document, const char *text, Point *at)
{
  g_autofree char *name = g_strdup(text);
  guint which = bare_name(name);

  for (guint i = 0; i < document_conductor_count(document); i++) {
    const Conductor *conductor = document_conductor(document, i);
    g_autofree char *own = conductor_dup_name(conductor);
    if (strcmp(own, name) == 0 && --which == 0)
      return conductor_point(document, conductor, at);
  }
  return false;
}

static const Device *
device_named(const Document *document, const char *name)
{
  const Device *device = document_find_device(document, name);

  for (guint i = 0; device == NULL && i < document_device_count(document); i++)
    if (strcmp(device_designation(document_device(document, i)), name) == 0)
      device = document_device(document, i);
  return device;
}

static bool
word_point(const Document *document, const char *word, Point *at)
{
  g_autofree char *id = NULL, *terminal = NULL;
  const bool split = text_split_terminal(word, &id, &terminal);
  const Device *device = device_named(document, split ? id : word);

  if (device == NULL)
    return false;
  const int index = split ? device_terminal_index(device, terminal) : -1;
  if (split && index < 0)
    return false;
  const Rect box = figure_device_bounds(device);
  *at = split ? device_terminal_point(device, (guint)index)
              : (Point){box.x + box.width / 2, box.y + box.height / 2};
  return true;
}

bool
key_place_point(const Document *document, const char *place, Point *at)
{
  g_auto(GStrv) parts = g_strsplit(place, ", ", -1);

  for (guint i = 0; parts[i] != NULL; i++)
    if (conductor_named(document, parts[i], at) || word_point(document, parts[i], at))
      return true;
  g_auto(GStrv) words = g_strsplit_set(place, " ,", -1);
  for (guint i = 0; words[i] != NULL; i++)
    if (word_point(document, words[i], at))
      return true;
  return false;
}

typedef struct {
  Point place, centre;
  char text[8];
} Mark;

/* At the fault's place, else where its finding is. */
static bool
fault_point(const KeyFacts *facts, const DealtFault *dealt, Point *at)
{
  const Document *document = facts->faulty->document;

  if (key_place_point(document, dealt->place->name, at))
    return true;
  for (guint i = 0; i < facts->faulty->findings->len; i++) {
    const Finding *finding = facts->faulty->findings->pdata[i];
    if (strcmp(finding->check, dealt->fault->check) != 0 || !fault_is_new(facts->sound, finding))
      continue;
    for (guint k = 0; k < finding->places->len; k++)
      if (key_place_point(document, finding->places->pdata[k], at))
        return true;
  }
  return false;
}

static bool
is_free(const GArray *marks, Point centre)
{
  for (guint i = 0; i < marks->len; i++) {
    const Point other = g_array_index(marks, Mark, i).centre;
    if (ABS(other.x - centre.x) < 2.2 * MARK_RADIUS && ABS(other.y - centre.y) < 2.2 * MARK_RADIUS)
      return false;
  }
  return true;
}

static GArray *
marks_new(const KeyFacts *facts)
{
  GArray *marks = g_array_new(FALSE, TRUE, sizeof(Mark));

  for (guint i = 0; i < facts->version->faults->len; i++) {
    Mark mark = {0};
    if (!fault_point(facts, facts->version->faults->pdata[i], &mark.place))
      continue;
    g_snprintf(mark.text, sizeof mark.text, "%u", i + 1);
    mark.centre = (Point){mark.place.x - MARK_AWAY, mark.place.y - MARK_AWAY};
    while (!is_free(marks, mark.centre))
      mark.centre.y -= 2.4 * MARK_RADIUS;
    g_array_append_val(marks, mark);
  }
  return marks;
}

/* Filled in line ink with the number in paper ink: plain in black and white too. */
static void
draw_marks(Pen *pen, gconstpointer data)
{
  const GArray *marks = data;
  const PenStyle line = {.width = PEN_HEAVY, .ink = INK_LINE};
  const PenStyle fill = {.ink = INK_LINE};
  const TextStyle text = {
      .height = PEN_LETTER_MM, .align = TEXT_MIDDLE, .ink = INK_PAPER, .bold = true};

  for (guint i = 0; i < marks->len; i++) {
    const Mark *mark = &g_array_index(marks, Mark, i);
    pen_line(pen, mark->place, mark->centre, &line);
    pen_circle(pen, mark->centre, MARK_RADIUS, &line, &fill);
    pen_text(pen, (Point){mark->centre.x, mark->centre.y + PEN_LETTER_MM / 2}, mark->text, &text);
  }
}

static Rect
marks_bounds(const GArray *marks)
{
  Rect bounds = rect_empty();

  for (guint i = 0; i < marks->len; i++) {
    const Mark *mark = &g_array_index(marks, Mark, i);
    const double r = MARK_RADIUS + PEN_HEAVY;
    bounds = rect_union(bounds, (Rect){mark->centre.x - r, mark->centre.y - r, 2 * r, 2 * r});
    bounds = rect_union(bounds, (Rect){mark->place.x - r, mark->place.y - r, 2 * r, 2 * r});
  }
  return bounds;
}

static void
marks_free(gpointer data)
{
  g_array_unref(data);
}

/* --- the sheet --- */

static Caution *
key_caution(void)
{
  Caution *caution =
      caution_new("exercise", SIGNAL_WARNING,
                  g_strdup(_("Answer key: this diagram has faults made on purpose.")));
  const char *text = _("Never use it on real equipment. Keep it from students until they have "
                       "handed in.");

  g_ptr_array_add(caution->paragraphs, g_strdup(text));
  g_ptr_array_add(caution->essentials, g_strdup(text));
  return caution;
}

static void
add(Flow *flow, const Frame *frame, double column_width, guint *key, bool *legend,
    gconstpointer data)
{
  const KeyFacts *facts = data;
  const Layout layout = {flow, frame, column_width};
  GPtrArray *steps = key_path_steps(facts);

  flow_add(flow, block_panel_new(key_caution(), &frame->lettering));
  layout_table(&layout, key_faults_table(facts), true);
  *key = flow->blocks->len;
  *legend = false;
  layout_table(&layout, key_findings_table(facts), true);
  if (steps->len > 0)
    flow_add(flow, block_steps_new(_("Shortest measuring path"), steps, &frame->lettering));
  else
    g_ptr_array_unref(steps);
  layout_table(&layout, key_readings_table(facts), false);
  layout_table(&layout, key_proof_table(facts), true);
}

static const char *
key_line(const DealtVersion *version)
{
  switch (version->difficulty) {
  case FAULT_EASY:
    return _("Difficulty by measuring: easy.");
  case FAULT_MEDIUM:
    return _("Difficulty by measuring: medium.");
  case FAULT_HARD:
    break;
  }
  return _("Difficulty by measuring: hard.");
}

Sheet *
key_sheet_compose(const DealtVersion *version, const Evidence *evidence, const Document *exercise,
                  const SheetOptions *options, GError **error)
{
  g_autoptr(Inspection) faulty = inspection_new(exercise);
  const Inspection *sound = fault_scene_sound(evidence_scene(evidence));
  const KeyFacts facts = {version, evidence, sound, faulty};
  GArray *marks = marks_new(&facts);
  const char *line = key_line(version);
  const SheetContents contents = {
      .title = layout_title(document_sheet(exercise), line, options),
      .add = add,
      .data = &facts,
      .alternative = g_strdup(line),
      .overlay = {draw_marks, marks, marks_free, marks_bounds(marks)},
      .label_figure = true,
  };
  return sheet_compose_contents(exercise, &contents, options, error);
}
