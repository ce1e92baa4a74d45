/* SPDX-License-Identifier: MIT */
#include "pen/pen_svg.h"

#include "base/language.h"
#include "pen/pen_text.h"
#include <libxml/parser.h>
#include <libxml/tree.h>
#include <libxml/xmlwriter.h>
#include <math.h>
#include <string.h>

/* The size of the picture is known only after the last page, so the pages go to a body of their
 * own and the document is put together by finish. */
typedef struct {
  Pen pen;
  GByteArray *bytes;
  Palette palette;
  char *title, *description, *metadata;
  xmlBufferPtr body;
  xmlTextWriterPtr writer; /* on body */
  GHashTable *ids;         /* char *: those given out */
  double width, height;    /* so far */
  double page_height;      /* of the tallest one */
  guint pages;
} SvgPen;

#define X(text) ((const xmlChar *)(text))

static const char *const ink_classes[INK_COUNT] = {
    [INK_LINE] = "line",
    [INK_FAINT] = "faint",
    [INK_PAPER] = "paper",
    [INK_ACCENT] = "accent",
    [INK_DANGER] = "danger",
    [INK_WARNING] = "warning",
    [INK_CAUTION] = "caution",
    [INK_NOTICE] = "notice",
    [INK_ON_SIGNAL_DARK] = "on-dark",
    [INK_ON_SIGNAL_LIGHT] = "on-light",
    [INK_LIVE] = "live",
    [INK_COLOUR] = NULL, /* data: written as an attribute */
};

/* A thousandth of a millimetre, without trailing zeros, "-0" or a locale's comma. */
static void
append_number(GString *out, double value)
{
  char text[G_ASCII_DTOSTR_BUF_SIZE];
  g_ascii_formatd(text, sizeof text, "%.3f", value);
  char *end = text + strlen(text);
  while (end[-1] == '0')
    *--end = '\0';
  if (end[-1] == '.')
    *--end = '\0';
  g_string_append(out, strcmp(text, "-0") == 0 ? "0" : text);
}

static void
append_point(GString *out, char command, Point p)
{
  g_string_append_c(out, command);
  append_number(out, p.x);
  g_string_append_c(out, ' ');
  append_number(out, p.y);
}

static void
attribute(SvgPen *self, const char *name, const char *value)
{
  xmlTextWriterWriteAttribute(self->writer, X(name), X(value));
}

static void
number_attribute(SvgPen *self, const char *name, double value)
{
  g_autoptr(GString) text = g_string_new(NULL);
  append_number(text, value);
  attribute(self, name, text->str);
}

static void
append_hex(GString *out, PenColour colour)
{
  g_string_append_printf(out, "#%02x%02x%02x", (guint)lround(CLAMP(colour.red, 0, 1) * 255),
                         (guint)lround(CLAMP(colour.green, 0, 1) * 255),
                         (guint)lround(CLAMP(colour.blue, 0, 1) * 255));
}

/* class="s-line f-paper" for roles, stroke="#..." for given colours. */
static void
write_paint(SvgPen *self, const PenStyle *stroke, const PenStyle *fill)
{
  g_autoptr(GString) classes = g_string_new(NULL);
  const struct {
    const PenStyle *style;
    const char *prefix, *attribute;
  } parts[] = {{stroke, "s-", "stroke"}, {fill, "f-", "fill"}};
  for (guint i = 0; i < G_N_ELEMENTS(parts); i++) {
    if (parts[i].style == NULL)
      continue;
    if (parts[i].style->ink != INK_COLOUR) {
      g_string_append_printf(classes, "%s%s%s", classes->len > 0 ? " " : "", parts[i].prefix,
                             ink_classes[parts[i].style->ink]);
      continue;
    }
    g_autoptr(GString) hex = g_string_new(NULL);
    append_hex(hex, palette_colour(self->palette, INK_COLOUR, parts[i].style->colour));
    attribute(self, parts[i].attribute, hex->str);
  }
  if (classes->len > 0)
    attribute(self, "class", classes->str);
  if (stroke == NULL)
    return;
  number_attribute(self, "stroke-width", stroke->width);
  double lengths[4];
  guint n = pen_dash_lengths(stroke->dash, lengths);
  if (n == 0)
    return;
  g_autoptr(GString) dashes = g_string_new(NULL);
  for (guint i = 0; i < n; i++) {
    if (i > 0)
      g_string_append_c(dashes, ' ');
    append_number(dashes, lengths[i]);
  }
  attribute(self, "stroke-dasharray", dashes->str);
  attribute(self, "stroke-linecap", "butt");
}

static void
write_path(SvgPen *self, const char *data, const PenStyle *stroke, const PenStyle *fill)
{
  xmlTextWriterStartElement(self->writer, X("path"));
  attribute(self, "d", data);
  write_paint(self, stroke, fill);
  xmlTextWriterEndElement(self->writer);
  xmlTextWriterWriteString(self->writer, X("\n"));
}

static void
svg_line(Pen *pen, const Point *points, guint n, bool closed, const PenStyle *stroke,
         const PenStyle *fill)
{
  g_autoptr(GString) data = g_string_new(NULL);
  for (guint i = 0; i < n; i++)
    append_point(data, i == 0 ? 'M' : 'L', points[i]);
  if (closed)
    g_string_append_c(data, 'Z');
  write_path((SvgPen *)pen, data->str, stroke, fill);
}

/* Seen by the pointer only: no fill and no line, but part of the group that has the title. */
static void
svg_hit(Pen *pen, const Point *points, guint n, double width)
{
  SvgPen *self = (SvgPen *)pen;
  g_autoptr(GString) data = g_string_new(NULL);

  for (guint i = 0; i < n; i++)
    append_point(data, i == 0 ? 'M' : 'L', points[i]);
  if (width <= 0)
    g_string_append_c(data, 'Z');
  xmlTextWriterStartElement(self->writer, X("path"));
  attribute(self, "d", data->str);
  attribute(self, "class", "hit");
  attribute(self, "pointer-events", width > 0 ? "stroke" : "all");
  if (width > 0)
    number_attribute(self, "stroke-width", width);
  xmlTextWriterEndElement(self->writer);
  xmlTextWriterWriteString(self->writer, X("\n"));
}

static Point
on_circle(Point centre, double radius, double degrees)
{
  double radians = degrees * G_PI / 180;
  return (Point){centre.x + radius * cos(radians), centre.y + radius * sin(radians)};
}

static void
svg_arc(Pen *pen, Point centre, double radius, double from, double to, const PenStyle *stroke,
        const PenStyle *fill)
{
  SvgPen *self = (SvgPen *)pen;
  if (to - from >= 360) {
    xmlTextWriterStartElement(self->writer, X("circle"));
    number_attribute(self, "cx", centre.x);
    number_attribute(self, "cy", centre.y);
    number_attribute(self, "r", radius);
    write_paint(self, stroke, fill);
    xmlTextWriterEndElement(self->writer);
    xmlTextWriterWriteString(self->writer, X("\n"));
    return;
  }
  g_autoptr(GString) data = g_string_new(NULL);
  append_point(data, 'M', on_circle(centre, radius, from));
  append_point(data, 'A', (Point){radius, radius});
  g_string_append(data, to - from > 180 ? " 0 1 1" : " 0 0 1");
  append_point(data, ' ', on_circle(centre, radius, to));
  write_path(self, data->str, stroke, fill);
}

static void
svg_text(Pen *pen, Point at, const char *utf8, const TextStyle *style)
{
  static const char *const anchors[] = {"start", "middle", "end"};
  SvgPen *self = (SvgPen *)pen;
  xmlTextWriterStartElement(self->writer, X("text"));
  number_attribute(self, "x", at.x);
  number_attribute(self, "y", at.y);
  number_attribute(self, "font-size", pen_text_em(style));
  g_autofree char *class =
      g_strconcat("f-", ink_classes[style->ink != INK_COLOUR ? style->ink : INK_LINE], NULL);
  attribute(self, "class", class);
  if (style->align != TEXT_START)
    attribute(self, "text-anchor", anchors[style->align]);
  if (style->bold)
    attribute(self, "font-weight", "bold");
  if (style->italic)
    attribute(self, "font-style", "italic");
  if (style->turns & 3) {
    g_autoptr(GString) turn = g_string_new("rotate(");
    append_number(turn, (style->turns & 3) * 90.0);
    append_point(turn, ' ', at);
    g_string_append_c(turn, ')');
    attribute(self, "transform", turn->str);
  }
  /* Several spaces in a row, and spaces at the ends, count: "L1  L2". */
  if (strstr(utf8, "  ") != NULL || g_str_has_prefix(utf8, " ") || g_str_has_suffix(utf8, " "))
    attribute(self, "xml:space", "preserve");
  xmlTextWriterWriteString(self->writer, X(utf8));
  xmlTextWriterEndElement(self->writer);
  xmlTextWriterWriteString(self->writer, X("\n"));
}

/* Letters, digits, '-', '_' and '.', a letter first, never twice. New string. */
static char *
unique_id(SvgPen *self, const char *wanted)
{
  GString *id = g_string_new(NULL);
  if (!g_ascii_isalpha(wanted[0]))
    g_string_append(id, "g-");
  for (const char *p = wanted; *p != '\0'; p++)
    g_string_append_c(id, g_ascii_isalnum(*p) || *p == '-' || *p == '.' ? *p : '_');
  gsize length = id->len;
  for (guint n = 2; g_hash_table_contains(self->ids, id->str); n++) {
    g_string_truncate(id, length);
    g_string_append_printf(id, "-%u", n);
  }
  char *given = g_string_free(id, FALSE);
  g_hash_table_add(self->ids, g_strdup(given));
  return given;
}

static void
write_described(SvgPen *self, const char *title, const char *description)
{
  const struct {
    const char *element, *text;
  } parts[] = {{"title", title}, {"desc", description}};
  for (guint i = 0; i < G_N_ELEMENTS(parts); i++) {
    if (parts[i].text == NULL || *parts[i].text == '\0')
      continue;
    g_autofree char *clean = pen_text_prepare(parts[i].text);
    xmlTextWriterWriteElement(self->writer, X(parts[i].element), X(clean));
  }
}

static void
svg_begin_group(Pen *pen, const char *id, const char *title, const char *description)
{
  SvgPen *self = (SvgPen *)pen;
  xmlTextWriterStartElement(self->writer, X("g"));
  if (id != NULL && *id != '\0') {
    g_autofree char *given = unique_id(self, id);
    attribute(self, "id", given);
  }
  write_described(self, title, description);
  xmlTextWriterWriteString(self->writer, X("\n"));
}

static void
svg_end_group(Pen *pen)
{
  SvgPen *self = (SvgPen *)pen;
  xmlTextWriterEndElement(self->writer);
  xmlTextWriterWriteString(self->writer, X("\n"));
}

static void
svg_begin_link(Pen *pen, guint page)
{
  SvgPen *self = (SvgPen *)pen;
  g_autofree char *to = g_strdup_printf("#page-%u", page);
  xmlTextWriterStartElement(self->writer, X("a"));
  attribute(self, "xlink:href", to);
  xmlTextWriterWriteString(self->writer, X("\n"));
}

static void
svg_begin_page(Pen *pen, double width, double height, const char *title)
{
  SvgPen *self = (SvgPen *)pen;
  g_autofree char *wanted = g_strdup_printf("page-%u", ++self->pages);
  g_autofree char *id = unique_id(self, wanted);
  xmlTextWriterStartElement(self->writer, X("g"));
  attribute(self, "id", id);
  if (self->height > 0) {
    g_autoptr(GString) shift = g_string_new("translate(0 ");
    append_number(shift, self->height);
    g_string_append_c(shift, ')');
    attribute(self, "transform", shift->str);
  }
  write_described(self, title, NULL);
  xmlTextWriterWriteString(self->writer, X("\n"));
  const Point corners[] = {{0, 0}, {width, 0}, {width, height}, {0, height}};
  svg_line(pen, corners, 4, true, NULL, &(PenStyle){.ink = INK_PAPER});
  self->width = MAX(self->width, width);
  self->page_height = MAX(self->page_height, height);
  self->height += height;
}

static void
append_inks(GString *css, Palette palette, const char *indent)
{
  for (int ink = 0; ink < INK_COUNT; ink++) {
    if (ink_classes[ink] == NULL)
      continue;
    g_autoptr(GString) hex = g_string_new(NULL);
    append_hex(hex, palette_ink(palette, (Ink)ink));
    g_string_append_printf(css, "%s.s-%s{stroke:%s}.f-%s{fill:%s}\n", indent, ink_classes[ink],
                           hex->str, ink_classes[ink], hex->str);
  }
}

/* page: of one page; a browser that prints the picture then cuts it between pages. */
static char *
style_sheet(Palette palette, double page_width, double page_height)
{
  /* Only classes: a rule for elements would win over the attributes of given colours. */
  GString *css = g_string_new("\n");
  append_inks(css, palette, "");
  g_string_append(css, "@page{size:");
  append_number(css, page_width);
  g_string_append(css, "mm ");
  append_number(css, page_height);
  g_string_append(css, "mm;margin:0}\n");
  /* A device in hand is framed while the pointer is on it; paper has no pointer. */
  g_string_append(css, "g:hover>.hit[pointer-events=all]{stroke:");
  g_autoptr(GString) accent = g_string_new(NULL);
  append_hex(accent, palette_ink(palette, INK_ACCENT));
  g_string_append_printf(css, "%s;stroke-width:.35}\n@media print{.hit{display:none}}\n",
                         accent->str);
  /* A picture made for a dark screen does not cost a cartridge when somebody prints it. */
  if (palette == PALETTE_DARK || palette == PALETTE_CONTRAST) {
    g_string_append(css, "@media print{\n");
    append_inks(css, PALETTE_LIGHT, "  ");
    g_string_append(css, "}\n");
  }
  return g_string_free(css, FALSE);
}

static void
svg_head(SvgPen *self)
{
  g_autoptr(GString) box = g_string_new("0 0 ");
  append_number(box, self->width);
  g_string_append_c(box, ' ');
  append_number(box, self->height);
  const struct {
    const char *name;
    double value;
  } sizes[] = {{"width", self->width}, {"height", self->height}};
  xmlTextWriterStartElement(self->writer, X("svg"));
  attribute(self, "xmlns", "http://www.w3.org/2000/svg");
  attribute(self, "xmlns:xlink", "http://www.w3.org/1999/xlink");
  attribute(self, "version", "1.1");
  for (guint i = 0; i < G_N_ELEMENTS(sizes); i++) {
    g_autoptr(GString) text = g_string_new(NULL);
    append_number(text, sizes[i].value);
    g_string_append(text, "mm");
    attribute(self, sizes[i].name, text->str);
  }
  attribute(self, "viewBox", box->str);
  attribute(self, "font-family", "DejaVu Sans, Arial, sans-serif");
  attribute(self, "fill", "none");
  attribute(self, "stroke-linecap", "round");
  attribute(self, "stroke-linejoin", "round");
  xmlTextWriterWriteString(self->writer, X("\n"));
  write_described(self, self->title, self->description);
  g_autofree char *css = style_sheet(self->palette, self->width, self->page_height);
  xmlTextWriterStartElement(self->writer, X("style"));
  attribute(self, "type", "text/css");
  xmlTextWriterWriteString(self->writer, X(css));
  xmlTextWriterEndElement(self->writer);
  xmlTextWriterWriteString(self->writer, X("\n"));
  if (self->metadata != NULL) {
    xmlTextWriterStartElement(self->writer, X("metadata"));
    xmlTextWriterWriteRaw(self->writer, X(self->metadata));
    xmlTextWriterEndElement(self->writer);
    xmlTextWriterWriteString(self->writer, X("\n"));
  }
}

static void
svg_finish(Pen *pen)
{
  SvgPen *self = (SvgPen *)pen;
  if (pen->status == NULL && self->pages == 0)
    pen_fail(pen, g_error_new_literal(PEN_ERROR, PEN_ERROR_PAGE, _("There is no page to draw.")));
  if (pen->status != NULL)
    return;
  xmlTextWriterFlush(self->writer);
  xmlFreeTextWriter(self->writer);
  xmlBufferPtr whole = xmlBufferCreate();
  self->writer = xmlNewTextWriterMemory(whole, 0);
  int bad = xmlTextWriterStartDocument(self->writer, "1.0", "UTF-8", NULL);
  svg_head(self);
  bad |= xmlTextWriterWriteRaw(self->writer, xmlBufferContent(self->body));
  bad |= xmlTextWriterEndDocument(self->writer);
  xmlTextWriterFlush(self->writer);
  if (bad < 0)
    pen_fail(pen, g_error_new_literal(PEN_ERROR, PEN_ERROR_OUTPUT,
                                      _("The SVG picture could not be written: out of memory.")));
  else
    g_byte_array_append(self->bytes, xmlBufferContent(whole), (guint)xmlBufferLength(whole));
  xmlFreeTextWriter(self->writer);
  self->writer = NULL;
  xmlBufferFree(whole);
}

static void
svg_free(Pen *pen)
{
  SvgPen *self = (SvgPen *)pen;
  if (self->writer != NULL)
    xmlFreeTextWriter(self->writer);
  xmlBufferFree(self->body);
  g_hash_table_unref(self->ids);
  g_byte_array_unref(self->bytes);
  g_free(self->title);
  g_free(self->description);
  g_free(self->metadata);
  g_free(self);
}

/* The root element as text, without declaration and comments around it. NULL: fails the pen. */
static char *
take_metadata(Pen *pen, const char *xml)
{
  char *copy = NULL;
  gsize size = strlen(xml);
  xmlDocPtr document =
      size > G_MAXINT ? NULL
                      : xmlReadMemory(xml, (int)size, "metadata", NULL,
                                      XML_PARSE_NONET | XML_PARSE_NOERROR | XML_PARSE_NOWARNING);
  if (document != NULL && document->intSubset == NULL) {
    xmlBufferPtr buffer = xmlBufferCreate();
    if (xmlNodeDump(buffer, document, xmlDocGetRootElement(document), 0, 0) >= 0)
      copy = g_strdup((const char *)xmlBufferContent(buffer));
    xmlBufferFree(buffer);
  }
  xmlFreeDoc(document);
  if (copy == NULL)
    pen_fail(pen,
             g_error_new_literal(PEN_ERROR, PEN_ERROR_METADATA,
                                 _("The diagram to keep inside the SVG is not well-formed XML, "
                                   "or declares a document type. Please report this.")));
  return copy;
}

Pen *
pen_svg_new(GByteArray *bytes, Palette palette, const char *title, const char *description,
            const char *metadata_xml)
{
  static const PenBackEnd back_end = {
      .line = svg_line,
      .arc = svg_arc,
      .text = svg_text,
      .begin_group = svg_begin_group,
      .end_group = svg_end_group,
      .begin_link = svg_begin_link,
      .end_link = svg_end_group,
      .hit = svg_hit,
      .begin_page = svg_begin_page,
      .end_page = svg_end_group,
      .finish = svg_finish,
      .free = svg_free,
      .needs_page = true,
  };
  SvgPen *self = g_new0(SvgPen, 1);
  pen_init(&self->pen, &back_end);
  self->bytes = g_byte_array_ref(bytes);
  self->palette = palette;
  self->title = g_strdup(title);
  self->description = g_strdup(description);
  self->ids = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
  self->body = xmlBufferCreate();
  xmlBufferSetAllocationScheme(self->body, XML_BUFFER_ALLOC_DOUBLEIT);
  self->writer = xmlNewTextWriterMemory(self->body, 0);
  if (metadata_xml != NULL)
    self->metadata = take_metadata(&self->pen, metadata_xml);
  return &self->pen;
}
