/* SPDX-License-Identifier: MIT */
#include "grade/result_private.h"

#include "base/language.h"

#include <errno.h>
#include <libxml/parser.h>
#include <math.h>
#include <string.h>

#define BYTES_MOST (32u << 20)
#define ENTRIES_MOST 20000u

typedef struct {
  const char *name; /* of the file */
  PartCatalog catalog;
  GError **error;
} Reader;

G_GNUC_PRINTF(2, 3) static bool complain(const Reader *reader, const char *format, ...)
{
  va_list args;
  va_start(args, format);
  g_autofree char *text = g_strdup_vprintf(format, args);
  va_end(args);
  if (reader->error == NULL || *reader->error == NULL)
    g_set_error(reader->error, RESULT_ERROR, RESULT_ERROR_FORMAT, "%s: %s", reader->name, text);
  return false;
}

/* --- attributes: every one there is has to be known --- */

static bool
attributes_known(const Reader *reader, const xmlNode *node, const char *const *known)
{
  for (const xmlAttr *attribute = node->properties; attribute != NULL; attribute = attribute->next)
    if (attribute->ns != NULL || !g_strv_contains(known, (const char *)attribute->name))
      return complain(reader, _("line %ld: <%s> has no attribute \"%s\"."), xmlGetLineNo(node),
                      (const char *)node->name, (const char *)attribute->name);
  return true;
}

/* New string; "" when missing. */
static char *
attribute(const xmlNode *node, const char *name)
{
  xmlChar *value = xmlGetNoNsProp(node, BAD_CAST name);
  char *text = g_strdup(value != NULL ? (const char *)value : "");
  xmlFree(value);
  return text;
}

static bool
number(const Reader *reader, const xmlNode *node, const char *name, double *out)
{
  g_autofree char *text = attribute(node, name);
  char *end = text;
  errno = 0;
  *out = g_ascii_strtod(text, &end);
  if (end == text || *end != '\0' || errno != 0 || !isfinite(*out) || *out < 0)
    return complain(reader, _("line %ld: %s=\"%s\" is no number."), xmlGetLineNo(node), name, text);
  return true;
}

static bool
is_element(const xmlNode *node, const char *name)
{
  return node->type == XML_ELEMENT_NODE && strcmp((const char *)node->name, name) == 0 &&
         node->ns != NULL && strcmp((const char *)node->ns->href, RESULT_NAMESPACE) == 0;
}

/* The next element from here on, or NULL; text that is not blank is an error. */
static bool
next_element(const Reader *reader, const xmlNode *from, const xmlNode **out)
{
  for (*out = from; *out != NULL && (*out)->type != XML_ELEMENT_NODE; *out = (*out)->next)
    if ((*out)->type != XML_COMMENT_NODE && !xmlIsBlankNode(*out))
      return complain(reader, _("line %ld: text where an element was expected."),
                      xmlGetLineNo(*out));
  return true;
}

/* --- lists --- */

typedef bool (*ReadEntry)(const Reader *reader, const xmlNode *node, Attempt *attempt);

static bool
read_list(const Reader *reader, const xmlNode *list, const char *entry, ReadEntry read,
          Attempt *attempt)
{
  static const char *const none[] = {NULL};
  const xmlNode *node;
  guint n = 0;
  if (!attributes_known(reader, list, none) || !next_element(reader, list->children, &node))
    return false;
  while (node != NULL) {
    if (!is_element(node, entry) || node->children != NULL || ++n > ENTRIES_MOST)
      return complain(reader, _("line %ld: an empty <%s> was expected."), xmlGetLineNo(node),
                      entry);
    if (!read(reader, node, attempt) || !next_element(reader, node->next, &node))
      return false;
  }
  return true;
}

static bool
read_step(const Reader *reader, const xmlNode *node, Attempt *attempt)
{
  static const char *const known[] = {"kind", "at", "energized", "a", "b", "reads", "text", NULL};
  g_autofree char *kind = attribute(node, "kind"), *energized = attribute(node, "energized");
  g_autofree char *a = attribute(node, "a"), *b = attribute(node, "b");
  g_autofree char *reads = attribute(node, "reads"), *text = attribute(node, "text");
  double seconds;
  if (!attributes_known(reader, node, known) || !number(reader, node, "at", &seconds))
    return false;
  if (strcmp(energized, "yes") != 0 && strcmp(energized, "no") != 0)
    return complain(reader, _("line %ld: energized=\"%s\" is neither yes nor no."),
                    xmlGetLineNo(node), energized);
  for (guint i = 0; i < STEP_COUNT; i++)
    if (strcmp(kind, step_kind_word((StepKind)i)) == 0) {
      attempt_add_step(attempt, (StepKind)i, seconds, strcmp(energized, "yes") == 0, a, b, reads,
                       text);
      return true;
    }
  return complain(reader, _("line %ld: no step is called \"%s\"."), xmlGetLineNo(node), kind);
}

static bool
read_error(const Reader *reader, const xmlNode *node, Attempt *attempt)
{
  static const char *const known[] = {"kind", "at", "place", "text", NULL};
  g_autofree char *kind = attribute(node, "kind"), *place = attribute(node, "place");
  g_autofree char *text = attribute(node, "text");
  double seconds;
  if (!attributes_known(reader, node, known) || !number(reader, node, "at", &seconds))
    return false;
  for (guint i = 0; i < SAFETY_COUNT; i++)
    if (strcmp(kind, safety_kind_word((SafetyKind)i)) == 0) {
      attempt_add_error(attempt, (SafetyKind)i, seconds, place, text);
      return true;
    }
  return complain(reader, _("line %ld: no safety error is called \"%s\"."), xmlGetLineNo(node),
                  kind);
}

static bool
read_answer(const Reader *reader, const xmlNode *node, Attempt *attempt)
{
  static const char *const known[] = {"place", "fault", NULL};
  g_autofree char *place = attribute(node, "place"), *fault = attribute(node, "fault");
  if (!attributes_known(reader, node, known))
    return false;
  attempt_add_answer(attempt, place, fault);
  return true;
}

/* --- the whole --- */

static char *
content(const xmlNode *node)
{
  xmlChar *value = xmlNodeGetContent(node);
  char *text = g_strdup(value != NULL ? (const char *)value : "");
  xmlFree(value);
  return text;
}

static Document *
read_document(const Reader *reader, const xmlNode *node)
{
  static const char *const none[] = {NULL};
  if (!attributes_known(reader, node, none))
    return NULL;
  g_autofree char *text = content(node);
  g_autofree char *name = g_strdup_printf("%s, <%s>", reader->name, (const char *)node->name);
  g_autoptr(GError) why = NULL;
  Document *document = document_read_memory(text, strlen(text), name, reader->catalog, &why);
  if (document == NULL) {
    complain(reader, "%s", why->message);
    return NULL;
  }
  g_autoptr(GBytes) written = document_write_memory(document);
  if (strcmp(g_bytes_get_data(written, NULL), text) == 0)
    return document;
  document_free(document);
  g_set_error(reader->error, RESULT_ERROR, RESULT_ERROR_EDITED,
              _("%s: <%s> is not as Doorsheet wrote it: it was edited."), reader->name,
              (const char *)node->name);
  return NULL;
}

static bool
read_score(const Reader *reader, const xmlNode *node, Result *result)
{
  static const char *const known[] = {"points", NULL};
  g_free(result->summary);
  result->summary = content(node);
  return attributes_known(reader, node, known) && number(reader, node, "points", &result->points);
}

static bool
read_part(const Reader *reader, const xmlNode *node, guint part, Result *result, char **digest)
{
  static const char *const digest_known[] = {"hmac-sha256", NULL};
  switch (part) {
  case 0:
    return read_list(reader, node, "step", read_step, result->attempt);
  case 1:
    return read_list(reader, node, "error", read_error, result->attempt);
  case 2:
    return read_list(reader, node, "answer", read_answer, result->attempt);
  case 3:
    return read_score(reader, node, result);
  case 4:
    return (result->exercise = read_document(reader, node)) != NULL;
  case 5:
    return (result->final = read_document(reader, node)) != NULL;
  default:
    *digest = attribute(node, "hmac-sha256");
    return attributes_known(reader, node, digest_known);
  }
}

static bool
read_root(const Reader *reader, const xmlNode *root, Result *result, char **digest)
{
  static const char *const known[] = {"version", "student", "began", "exercise", "set", NULL};
  static const char *const parts[] = {"log",   "safety",    "answers", "score",
                                      "given", "handed-in", "digest"};
  if (root == NULL || !is_element(root, "doorsheet-result"))
    return complain(reader, "%s", _("this is no result of an exercise."));
  g_autofree char *version = attribute(root, "version");
  if (strcmp(version, "1") != 0)
    return complain(reader, _("a newer Doorsheet wrote this (version %s)."), version);
  if (!attributes_known(reader, root, known))
    return false;
  g_autofree char *student = attribute(root, "student"), *began = attribute(root, "began");
  result->attempt = attempt_new(student, began);
  const xmlNode *node;
  if (!next_element(reader, root->children, &node))
    return false;
  for (guint part = 0; part < G_N_ELEMENTS(parts); part++) {
    if (node == NULL || !is_element(node, parts[part]))
      return complain(reader, _("<%s> was expected and is missing."), parts[part]);
    if (!read_part(reader, node, part, result, digest) || !next_element(reader, node->next, &node))
      return false;
  }
  return node == NULL || complain(reader, "%s", _("there is something behind the digest."));
}

/* What the root says of the exercise is what the exercise says: else somebody edited it. */
static bool
root_agrees(const xmlNode *root, const Result *result)
{
  const SheetData *sheet = document_sheet(result->exercise);
  g_autofree char *number = attribute(root, "exercise"), *set = attribute(root, "set");
  return strcmp(number, sheet_exercise_text(sheet, EXERCISE_NUMBER)) == 0 &&
         strcmp(set, sheet_exercise_text(sheet, EXERCISE_SET)) == 0;
}

static Result *
read_tree(const Reader *reader, const xmlDoc *tree)
{
  g_autoptr(Result) result = g_new0(Result, 1);
  g_autofree char *digest = NULL;
  const xmlNode *root = tree != NULL ? xmlDocGetRootElement((xmlDoc *)(guintptr)tree) : NULL;
  if (tree != NULL && tree->intSubset != NULL) {
    complain(reader, "%s", _("a result has no document type."));
    return NULL;
  }
  result->summary = g_strdup("");
  if (!read_root(reader, root, result, &digest))
    return NULL;
  g_autofree char *own = result_dup_digest(result);
  if (strcmp(own, digest) == 0 && root_agrees(root, result))
    return g_steal_pointer(&result);
  g_set_error(reader->error, RESULT_ERROR, RESULT_ERROR_EDITED,
              _("%s: this result was edited after it was handed in; its digest does not fit."),
              reader->name);
  return NULL;
}

Result *
result_read_memory(const char *data, gsize size, const char *name, PartCatalog catalog,
                   GError **error)
{
  g_autoptr(GError) own = NULL;
  Reader reader = {.name = name, .catalog = catalog, .error = &own};
  Result *result = NULL;
  if (size > BYTES_MOST) {
    complain(&reader, "%s", _("too large for a result."));
  } else {
    xmlDoc *tree = xmlReadMemory(data, (int)size, NULL, NULL,
                                 XML_PARSE_NONET | XML_PARSE_NOERROR | XML_PARSE_NOWARNING);
    if (tree == NULL)
      complain(&reader, "%s", _("this is no XML, or it is damaged."));
    else
      result = read_tree(&reader, tree);
    xmlFreeDoc(tree);
  }
  if (result == NULL)
    g_propagate_error(error, g_steal_pointer(&own));
  return result;
}

Result *
result_read(const char *path, PartCatalog catalog, GError **error)
{
  g_autofree char *data = NULL, *name = g_path_get_basename(path);
  gsize size;
  g_autoptr(GError) why = NULL;
  if (!g_file_get_contents(path, &data, &size, &why)) {
    g_set_error(error, RESULT_ERROR, RESULT_ERROR_OPEN, "%s: %s", name, why->message);
    return NULL;
  }
  return result_read_memory(data, size, name, catalog, error);
}
